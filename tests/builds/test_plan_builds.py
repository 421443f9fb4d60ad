"""`plan_builds`: one document for scripts, or sentences; reasons where there is no plan."""

from __future__ import annotations

import io
import json
from datetime import datetime
from typing import Any

import pytest
from django.core.management import CommandError, call_command

from builds.models import Plan, Step
from builds.services.work import finish_step
from company import clock
from company.models import Hours
from tests.builds.workshop import MORNING, Workshop

pytestmark = pytest.mark.django_db


def run(*args: str) -> tuple[str, str, int]:
    out, err, code = io.StringIO(), io.StringIO(), 0
    try:
        with clock.fixed_at(MORNING):
            call_command("plan_builds", *args, stdout=out, stderr=err)
    except SystemExit as ended:
        code = int(str(ended.code))
    return out.getvalue(), err.getvalue(), code


def test_one_document_and_nothing_else() -> None:
    shop = Workshop()
    with clock.fixed_at(MORNING):
        finish_step(step=shop.step("carve"), user=shop.lead, reason="carved before")
    out, err, code = run("the salt  ALMANAC", "--json")
    found: dict[str, Any] = json.loads(out)
    assert (err, code) == ("", 0)
    assert {key: found[key] for key in ("show", "ready", "opening", "days_in_hand", "bound")} == {
        "show": "The Salt Almanac",
        "ready": "2027-05-04",
        "opening": "2027-06-30",
        "days_in_hand": 57,
        "bound": "2027-05-04",
    }
    carve, hang, *_ = found["steps"]
    assert carve["done"] is True
    assert (carve["person"], carve["latest_start"]) == ("Ines", None)
    assert (hang["step"], hang["figure"], hang["person"], hang["second"]) == (
        "Hang",
        "J1",
        "Ines",
        "Tomas",
    )
    assert hang["guise"] == "Jory Tarrow at nine"
    assert hang["start"] == "2027-05-03T09:00:00+01:00"
    assert datetime.fromisoformat(hang["latest_start"]) >= datetime.fromisoformat(hang["start"])
    assert {step["id"] for step in found["steps"]} == set(
        Step.objects.filter(struck_at=None).values_list("pk", flat=True)
    )


def test_the_parts_of_a_step_stand_as_one() -> None:
    Workshop()
    found = json.loads(run("The Salt Almanac", "--json")[0])
    carve = found["steps"][0]
    assert (carve["start"][:16], carve["finish"][:16]) == ("2027-05-03T09:00", "2027-05-04T11:00")


def test_it_is_kept_as_a_draft_and_pins_nothing_up() -> None:
    Workshop()
    run("The Salt Almanac", "--seconds", "0.2")
    assert Plan.objects.get().is_pinned_up is False


def test_sentences_without_json() -> None:
    Workshop()
    out, _, _ = run("The Salt Almanac")
    assert "All ready to play on 2027-05-05, 56 days in hand." in out
    assert "2027-05-04 11:00  Ines with Tomas: Hang J1" in out


def test_no_hours_ends_with_1_and_reasons_as_sentences() -> None:
    Workshop()
    Hours.objects.all().delete()
    out, err, code = run("The Salt Almanac", "--json")
    assert code == 1
    assert json.loads(out)["reasons"] == [err.strip()]
    assert err.startswith("Nobody has hours from now on")


def test_unknown_show_lists_those_there_are() -> None:
    Workshop()
    with pytest.raises(CommandError, match="The Salt Almanac"):
        call_command("plan_builds", "Hamlet")


@pytest.mark.parametrize("seconds", ["-1", "3601", "nan"])
def test_absurd_seconds_are_refused(seconds: str) -> None:
    Workshop()
    with pytest.raises(CommandError, match="--seconds runs from 0 to 3600"):
        call_command("plan_builds", "The Salt Almanac", "--seconds", seconds)
