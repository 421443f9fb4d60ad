"""The chain of steps that sets the date, as the wall plan tells it step by step."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Plan
from builds.queries.chain import read_chain
from builds.services.plans import make_plan
from tests.builds.workshop import MORNING, Workshop

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(settings: Any) -> Workshop:
    settings.TODAY = MORNING
    made = Workshop()
    make_plan(show=made.show, user=made.lead)
    return made


def rows_of(plan: Plan) -> list[Any]:
    return list(plan.steps.select_related("step__stage", "step__figure", "step__costume", "maker"))


def test_each_step_once_in_order_with_what_it_waits_for(shop: Workshop) -> None:
    """Ten hours of carving are two parts, and one step of the chain."""
    plan = Plan.objects.get()
    chain = read_chain(plan, rows_of(plan))
    assert [(link.row.step.stage.name, link.parts) for link in chain] == [
        ("Carve", 2), ("Hang", 1), ("Paint", 1), ("True", 1), ("Bag", 1),
    ]  # fmt: skip
    assert chain[0].why == "waits for nothing else: Ines begins with it."
    assert chain[1].why.startswith("waits until Carve J1")
    starts = [link.row.start for link in chain]
    assert starts == sorted(starts)


def test_what_was_finished_since_is_left_out(shop: Workshop) -> None:
    plan = Plan.objects.get()
    left = [row for row in rows_of(plan) if row.step.stage.key != "carve"]
    assert next(link.row.step.stage.key for link in read_chain(plan, left)) == "hang"


def test_the_wall_tells_it_under_the_slips(shop: Workshop, client: Client) -> None:
    client.force_login(shop.lead, backend="django.contrib.auth.backends.ModelBackend")
    page = client.get(reverse("builds:wall_plan", args=[shop.show.pk])).content.decode()
    assert "What sets the date, step by step" in page
    assert "Mon 3 May, Ines" in page
    assert "2 parts of 2" in page
