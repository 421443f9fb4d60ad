"""Makers, crafts, settings and who signs in: what is saved, what is refused, what is written."""

from __future__ import annotations

from datetime import date, datetime
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.services.routes import add_default_routes
from company.models import Change, Company, Craft, Maker, Membership, Role
from company.services.changes import StaleEdit
from company.services.crafts import add_craft, edit_craft, strike_craft
from company.services.members import change_role, invite, take_access
from company.services.people import (
    add_maker,
    edit_company,
    edit_maker,
    reasons_to_keep,
    strike_maker,
    take_back_maker,
)
from company.services.sign_in import LinkRefused, make_link, read_link
from tests.factories import CompanyFactory, CraftFactory, MakerFactory, person

pytestmark = pytest.mark.django_db


@pytest.fixture
def company() -> Company:
    return CompanyFactory(name="Driftmoor Figure Theatre")


@pytest.fixture
def ines(company: Company) -> Maker:
    return MakerFactory(company=company, name="Ines", is_lead=True)


def problems(wrong: pytest.ExceptionInfo[ValidationError]) -> dict[str, list[str]]:
    return dict(wrong.value.message_dict)


# Makers


def test_add_maker_saves_marks_and_crafts_and_writes_one_change(company: Company) -> None:
    sew = CraftFactory(company=company, name="sew")
    priya = add_maker(
        company=company,
        user=None,
        values={"name": "  Priya ", "has_latex_allergy": True, "from_date": date(2026, 3, 1)},
        crafts=[sew],
    )
    priya.refresh_from_db()
    assert (priya.name, priya.has_latex_allergy, priya.from_date) == (
        *("Priya", True, date(2026, 3, 1)),
    )
    assert list(priya.crafts.all()) == [sew]
    change = Change.objects.get()
    assert (change.noun, change.before) == ("maker", None)
    assert change.after is not None
    assert change.after["crafts"] == [sew.pk]


def test_add_maker_names_everything_wrong_at_once(company: Company) -> None:
    MakerFactory(company=company, name="Tomas")
    other = CraftFactory(name="sew")
    stranger = person(CompanyFactory(), Role.MAKER)
    with pytest.raises(ValidationError) as wrong:
        add_maker(
            company=company,
            user=None,
            values={
                "name": "TOMAS",
                "from_date": date(2026, 3, 2),
                "to_date": date(2026, 3, 1),
                "user": stranger,
            },
            crafts=[other],
        )
    assert problems(wrong) == {
        "name": ["There is a maker of this name already."],
        "to_date": ["'Here from' comes after 'here until'."],
        "crafts": ["That craft is not of this company."],
        "user": ["Ines has no access to this company."],
    }
    assert Maker.objects.count() == 1
    assert not Change.objects.exists()


def test_edit_maker_at_a_stale_version_is_refused(ines: Maker) -> None:
    edit_maker(maker=ines, user=None, version=1, values={"name": "Ines M."})
    with pytest.raises(StaleEdit):
        edit_maker(maker=ines, user=None, version=1, values={"name": "Ines Q."})
    assert Maker.objects.get(pk=ines.pk).name == "Ines M."


def test_edit_maker_keeps_a_struck_craft(company: Company, ines: Maker) -> None:
    old, new = CraftFactory(company=company), CraftFactory(company=company)
    ines.crafts.add(old)
    strike_craft(craft=old, user=None)
    edit_maker(maker=ines, user=None, version=None, values={}, crafts=[new])
    assert set(ines.crafts.all()) == {old, new}


def test_last_lead_at_the_bench_stays_lead(company: Company, ines: Maker) -> None:
    with pytest.raises(ValidationError, match="A company needs a lead"):
        edit_maker(maker=ines, user=None, version=None, values={"is_lead": False})
    MakerFactory(company=company, name="Odile", is_lead=True)
    edit_maker(maker=ines, user=None, version=None, values={"is_lead": False})
    assert Maker.objects.get(pk=ines.pk).is_lead is False


def test_unknown_columns_are_a_mistake_of_the_caller(ines: Maker) -> None:
    with pytest.raises(ValueError, match="struck_at"):
        edit_maker(maker=ines, user=None, version=None, values={"struck_at": None})


def test_maker_is_struck_and_taken_back_and_never_deleted(company: Company, ines: Maker) -> None:
    tomas = MakerFactory(company=company, name="Tomas")
    strike_maker(maker=tomas, user=None)
    assert Maker.objects.get(pk=tomas.pk).struck_at is not None
    again = MakerFactory(company=company, name="Tomas")
    with pytest.raises(ValidationError, match="this name already"):
        take_back_maker(maker=tomas, user=None)
    strike_maker(maker=again, user=None)
    take_back_maker(maker=Maker.objects.get(pk=tomas.pk), user=None)
    assert Maker.objects.get(pk=tomas.pk).struck_at is None


def test_only_lead_is_not_struck(ines: Maker) -> None:
    with pytest.raises(ValidationError, match="A company needs a lead"):
        strike_maker(maker=ines, user=None)


def test_maker_with_work_is_not_struck(company: Company, ines: Maker) -> None:
    step = _step(company)
    tomas = MakerFactory(company=company, name="Tomas")
    step.begun_at, step.begun_by, step.pinned_maker = _noon(), tomas, tomas
    step.save()
    assert reasons_to_keep(tomas) == [
        "Tomas has begun a step that is not finished: hand over first.",
        "Work is kept for Tomas by hand: give it to somebody else first.",
    ]
    step.finished_at = _noon()
    step.save()
    assert reasons_to_keep(tomas) == []


@pytest.mark.parametrize("is_second", [False, True])
def test_maker_in_the_pinned_up_plan_is_not_struck(
    company: Company, ines: Maker, is_second: bool
) -> None:
    from builds.models import Plan, PlannedStep

    step = _step(company)
    tomas = MakerFactory(company=company, name="Tomas")
    plan = Plan.objects.create(show=step.show, made_at=_noon(), status="first", is_pinned_up=True)
    PlannedStep.objects.create(
        plan=plan,
        step=step,
        maker=ines if is_second else tomas,
        second=tomas if is_second else None,
        minutes=120,
        start=_noon(),
        finish=_noon().replace(hour=14),
    )
    with pytest.raises(ValidationError, match="stands in the plan that is pinned up"):
        strike_maker(maker=tomas, user=None)
    plan.is_pinned_up = False
    plan.save()
    strike_maker(maker=tomas, user=None)


def _noon() -> datetime:
    from datetime import UTC

    return datetime(2026, 3, 4, 12, tzinfo=UTC)


def _step(company: Company) -> Any:
    from builds.models import Stage, Step
    from tests.factories import CharacterFactory, GuiseFactory, ShowFactory

    add_default_routes(company=company)
    show = ShowFactory(company=company)
    guise = GuiseFactory(character=CharacterFactory(show=show))
    stage = Stage.objects.get(route__company=company, route__kind="string", key="choose-sketch")
    return Step.objects.create(show=show, stage=stage, guise=guise, planned_min=60)


# Crafts


def test_craft_is_added_with_its_cap_and_makers(company: Company, ines: Maker) -> None:
    craft = add_craft(company=company, user=None, name="carve", daily_cap_min=300, makers=[ines])
    assert list(craft.makers.all()) == [ines]
    assert Change.objects.get().noun == "craft"


def test_craft_names_everything_wrong_at_once(company: Company) -> None:
    CraftFactory(company=company, name="carve")
    with pytest.raises(ValidationError) as wrong:
        add_craft(company=company, user=None, name=" Carve", daily_cap_min=0)
    assert problems(wrong) == {
        "name": ["There is a craft of this name already."],
        "daily_cap_min": ["At most so much a day: between 1 minute and 24 hours."],
    }


def test_craft_of_another_companys_maker_is_refused_whole(company: Company) -> None:
    craft = CraftFactory(company=company, name="carve")
    stranger = MakerFactory(name="Tomas")
    with pytest.raises(ValidationError, match="not of this company"):
        edit_craft(craft=craft, user=None, name="carving", daily_cap_min=None, makers=[stranger])
    assert Craft.objects.get(pk=craft.pk).name == "carve"


def test_craft_that_a_stage_asks_for_is_not_struck(company: Company) -> None:
    add_default_routes(company=company)
    carve = Craft.objects.get(company=company, name="carve")
    with pytest.raises(ValidationError, match="'Carve the body' of String figure still asks"):
        strike_craft(craft=carve, user=None)
    sculpt = Craft.objects.get(company=company, name="sculpt")
    with pytest.raises(ValidationError, match="more still ask for it"):
        strike_craft(craft=sculpt, user=None)


# Settings


def test_settings_are_saved_and_written_down(company: Company) -> None:
    values = {"name": "Driftmoor", "time_zone": "Europe/Vienna", "currency": "gbp"}
    edit_company(company=company, user=None, version=1, values=values)
    company.refresh_from_db()
    assert (company.name, company.time_zone, company.currency) == (
        *("Driftmoor", "Europe/Vienna", "GBP"),
    )
    assert company.version == 2
    assert Change.objects.get().before["name"] == "Driftmoor Figure Theatre"  # type: ignore[index]


def test_settings_name_everything_wrong_at_once(company: Company) -> None:
    CompanyFactory(name="The Other House")
    values = {"name": "the other  house", "time_zone": "Mars/Base", "currency": "E1", "paper": "A0"}
    with pytest.raises(ValidationError) as wrong:
        edit_company(company=company, user=None, version=None, values=values)
    found = problems(wrong)
    assert found["name"] == ["There is a company of this name already."]
    assert found["time_zone"] == ["'Mars/Base' is no time zone: write Europe/London."]
    assert found["currency"] == ["A currency is three letters, as in EUR, GBP or USD."]
    assert "paper" in found


# Who signs in


def test_invited_person_comes_in_by_link_as_the_maker_they_are(company: Company) -> None:
    tomas = MakerFactory(company=company, name="Tomas")
    place = invite(company=company, user=None, name="Tomas", role=Role.MAKER, maker=tomas)
    tomas.refresh_from_db()
    assert tomas.user == place.user
    assert not place.user.has_usable_password()
    token = make_link(user=place.user, company=company, by=None)
    assert read_link(token=token).user == place.user


def test_invite_names_everything_wrong_at_once(company: Company) -> None:
    person(company, Role.LEAD, login="ines")
    taken = MakerFactory(company=company, name="Tomas", user=person(company, Role.MAKER, "Tomas"))
    with pytest.raises(ValidationError) as wrong:
        invite(company=company, user=None, name=" ", role="boss", login="INES", maker=taken)
    assert problems(wrong) == {
        "name": ["Who is it? Give a name."],
        "login": ["Somebody signs in as 'INES' already: choose another name."],
        "role": ["Choose reader, maker or lead."],
        "maker": ["Tomas signs in already, as Tomas."],
    }
    with pytest.raises(ValidationError, match="not of this company"):
        invite(
            company=company, user=None, name="Odile", role=Role.READER, maker=MakerFactory(name="X")
        )


def test_a_company_keeps_one_lead_who_signs_in(company: Company) -> None:
    person(company, Role.LEAD)
    only = Membership.objects.get(company=company)
    for refused in (
        lambda: change_role(place=only, user=None, role=Role.MAKER),
        lambda: take_access(place=only, user=None),
    ):
        with pytest.raises(ValidationError, match="Ines is the only lead who signs in"):
            refused()
    assert Membership.objects.get().role == Role.LEAD
    person(company, Role.LEAD, "Odile")
    change_role(place=only, user=None, role=Role.READER)
    assert Membership.objects.get(pk=only.pk).role == Role.READER


def test_access_taken_away_leaves_the_maker_and_ends_unused_links(company: Company) -> None:
    person(company, Role.LEAD)
    tomas = person(company, Role.MAKER, "Tomas")
    maker = MakerFactory(company=company, name="Tomas", user=tomas)
    token = make_link(user=tomas, company=company, by=None)
    take_access(place=Membership.objects.get(user=tomas), user=None)
    maker.refresh_from_db()
    assert maker.user is None
    assert maker.struck_at is None
    with pytest.raises(LinkRefused):
        read_link(token=token)
    assert Change.objects.latest("pk").before["name"] == "Tomas"  # type: ignore[index]


def test_access_taken_in_one_company_leaves_links_of_another(company: Company) -> None:
    tomas = person(company, Role.MAKER, "Tomas")
    other = CompanyFactory()
    Membership.objects.create(user=tomas, company=other, role=Role.MAKER)
    token = make_link(user=tomas, company=other, by=None)
    take_access(place=Membership.objects.get(user=tomas, company=company), user=None)
    assert read_link(token=token).user == tomas
