"""What would save a figure: what the list says, what a trial leaves behind, what taking writes."""

from __future__ import annotations

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Figure, PlannedStep, Step
from builds.queries.plans import latest_plan
from builds.queries.savings import SavingLine, read_savings
from builds.services.bench import add_figure
from builds.services.plans import make_plan
from builds.services.savings import SavingGone, ready_dates, take_saving
from company import clock
from company.models import Change, Role
from scenes.core.plot_edits import Edit
from scenes.models import Appearance, ChangeRule, Costume, Show
from scenes.services.costumes import edit_costume
from scenes.services.shows import start_show
from tests.builds.workshop import Workshop
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop() -> Workshop:
    """Two of Jory's figures at the bench, in two costumes in two scenes, and a plan."""
    made = Workshop(figures=2)
    make_plan(show=made.show, user=made.lead)
    return made


def lines(shop: Workshop) -> list[SavingLine]:
    return list(read_savings(shop.show).lines)


def line(shop: Workshop, kind: str) -> SavingLine:
    return next(found for found in lines(shop) if found.edit.kind == kind)


def client_of(user: Any) -> Client:
    client = Client()
    if user is not None:
        client.force_login(user)
    return client


def words_of(answer: Any) -> str:
    text = re.sub(r"<[^>]+>", " ", answer.content.decode()).replace("\u00a0", " ")
    return " ".join(text.split())


def everything(shop: Workshop) -> tuple[Any, ...]:
    """All that a trial must leave as it was."""
    return (
        list(Appearance.objects.order_by("pk").values_list()),
        list(ChangeRule.objects.order_by("pk").values_list()),
        list(Figure.objects.order_by("pk").values_list()),
        list(Step.objects.order_by("pk").values_list()),
        Change.objects.count(),
        shop.show.current_draft_id,
    )


# What the list says


def test_each_line_says_what_the_bench_is_spared(shop: Workshop) -> None:
    found = lines(shop)
    assert {one.edit.kind for one in found} >= {"costume", "cut"}
    # Carve 10, hang 1, paint 2, true 1, bag 1: nothing of it is begun, and no cloth is in it.
    assert {(one.figures, one.minutes, one.fresh) for one in found} == {(1, 15 * 60, 0)}
    assert {one.tags for one in found} <= {("J1",), ("J2",)}


def test_work_that_is_done_is_not_saved_any_more(shop: Workshop) -> None:
    Step.objects.filter(stage__key="carve").update(begun_at=clock.now(), finished_at=clock.now())
    assert {one.minutes for one in lines(shop)} == {5 * 60}
    assert all(one.is_begun and one.last_day is None for one in lines(shop))


def test_last_day_is_the_latest_start_of_the_figures_first_step(shop: Workshop) -> None:
    plan = latest_plan(shop.show)
    for one in lines(shop):
        (tag,) = one.tags
        starts = PlannedStep.objects.filter(plan=plan, step__figure__number=int(tag[1:]))
        first = min(row.latest_start for row in starts if row.latest_start)
        assert one.last_day == first.date()
        assert tag in one.last_day_why


def test_a_figure_not_at_the_bench_is_saved_whole(shop: Workshop) -> None:
    shop.wear(shop.guise, "3", "oilskin")
    saved = [one for one in lines(shop) if "oilskin" in str(one.words) or one.fresh]
    assert saved
    assert {(one.fresh, one.tags, one.minutes) for one in saved} == {(1, (), 15 * 60)}


def test_a_costume_that_matters_is_left_alone(shop: Workshop) -> None:
    assert lines(shop)
    for costume in Costume.objects.filter(guise=shop.guise):
        edit_costume(
            show=shop.show, user=shop.lead, costume=costume, name=costume.name, matters=True
        )
    assert lines(shop) == []


def test_best_first_and_spares_before_all(shop: Workshop) -> None:
    spare = add_figure(show=shop.show, user=shop.lead, guise=shop.guise, is_spare=True)
    savings = read_savings(shop.show)
    assert [one.figure for one in savings.spares] == [spare]
    assert savings.spares[0].minutes == 15 * 60
    minutes = [one.minutes for one in savings.lines]
    assert minutes == sorted(minutes, reverse=True)


# A trial leaves nothing behind


def test_the_new_ready_date_is_that_of_a_copy(shop: Workshop) -> None:
    before = everything(shop)
    dates = ready_dates(shop.show, line(shop, "costume").edit)
    assert isinstance(dates.now, date)
    assert isinstance(dates.then, date)
    assert dates.then < dates.now
    assert dates.days_gained == (dates.now - dates.then).days
    assert everything(shop) == before


def test_the_date_is_that_of_the_plan_once_it_is_taken(shop: Workshop) -> None:
    edit = line(shop, "cut").edit
    said = ready_dates(shop.show, edit)
    take_saving(show=shop.show, user=shop.lead, edit=edit)
    shop.accept()
    plan = make_plan(show=shop.show, user=shop.lead)
    assert plan.ready is not None
    assert abs(plan.ready.date() - said.then) <= timedelta(days=1)


def test_pages_that_only_look_write_nothing(shop: Workshop) -> None:
    before = everything(shop)
    client, code = client_of(shop.lead), lines(shop)[0].code
    for name, args in (
        ("saving_list", []),
        ("saving_try", [code]),
        ("saving_date", [code]),
    ):
        answer = client.get(reverse(f"builds:{name}", args=[shop.show.pk, *args]))
        assert answer.status_code == 200, name
    assert everything(shop) == before


# Taking one


@pytest.mark.parametrize("kind", ["costume", "cut"])
def test_taking_writes_what_the_line_said(shop: Workshop, kind: str) -> None:
    one = line(shop, kind)
    needed = read_savings(shop.show).counted.count.figures
    client = client_of(shop.lead)
    answer = client.post(reverse("builds:saving_take", args=[shop.show.pk, one.code]))
    assert answer.status_code == 302
    assert read_savings(shop.show).counted.count.figures == needed - one.figures
    assert "Undo turns it back" in words_of(client.get(answer.url))


def test_a_change_is_taken_as_a_rule(shop: Workshop) -> None:
    # Between scene 1 and scene 4 there are ten minutes.
    shop.wear(shop.guise, "2")
    shop.wear(shop.guise, "4", "smock 2")
    one = line(shop, "change")
    take_saving(show=shop.show, user=shop.lead, edit=one.edit)
    rule = ChangeRule.objects.get(draft=shop.show.current_draft)
    assert rule.change_s == one.edit.rule.change_s
    assert read_savings(shop.show).counted.count.figures == 1


def test_what_is_gone_is_refused_with_the_list_as_it_stands(shop: Workshop) -> None:
    one = line(shop, "cut")
    shop.wear(shop.guise, "1")
    url = reverse("builds:saving_take", args=[shop.show.pk, one.code])
    answer = client_of(shop.lead).post(url, follow=True)
    assert answer.redirect_chain == [(reverse("builds:saving_list", args=[shop.show.pk]), 302)]
    assert "Nothing was written" in words_of(answer)
    with pytest.raises(SavingGone):
        take_saving(show=shop.show, user=shop.lead, edit=Edit("cut", shop.guise.pk, one.edit.key))
    with pytest.raises(SavingGone):
        take_saving(show=shop.show, user=shop.lead, edit=Edit("cut", 10**6, one.edit.key))
    missing = client_of(shop.lead).get(reverse("builds:saving_try", args=[shop.show.pk, "nope"]))
    assert missing.status_code == 404


def test_roles_on_the_list_and_on_the_press(shop: Workshop) -> None:
    code = lines(shop)[0].code
    people = {
        "maker": person(shop.company, Role.MAKER, "Tomas"),
        "reader": person(shop.company, Role.READER, "Odile"),
        "stranger": person(CompanyFactory(), Role.LEAD, "Somebody"),
    }
    got = {
        name: (
            client_of(user).get(reverse("builds:saving_list", args=[shop.show.pk])).status_code,
            client_of(user)
            .post(reverse("builds:saving_take", args=[shop.show.pk, code]))
            .status_code,
        )
        for name, user in people.items()
    }
    assert got == {"maker": (200, 403), "reader": (200, 403), "stranger": (404, 404)}


def test_a_plot_with_nothing_to_save_says_so() -> None:
    shop = Workshop()
    Costume.objects.update(matters=True)
    answer = client_of(shop.lead).get(reverse("builds:saving_list", args=[shop.show.pk]))
    assert "No single edit of the plot would save a figure." in words_of(answer)


def test_an_empty_plot_says_what_comes_next() -> None:
    company = CompanyFactory()
    lead = person(company, Role.LEAD)
    show = start_show(company=company, user=lead, title="The Salt Almanac")
    answer = client_of(lead).get(reverse("builds:saving_list", args=[show.pk]))
    assert "There is no figure to save yet." in words_of(answer)
    assert reverse("scenes:plot_grid", args=[show.pk]) in answer.content.decode()


def test_the_plot_offers_it_only_as_a_question(shop: Workshop) -> None:
    page = words_of(client_of(shop.lead).get(reverse("scenes:plot", args=[shop.show.pk])))
    assert "What would save a figure?" in page
    assert "is cut from scene" not in page


@pytest.mark.parametrize("more", [1, 6])
def test_queries_do_not_grow(shop: Workshop, more: int, django_assert_num_queries: Any) -> None:
    for number in range(more):
        other = shop.role(f"Gull {number}", "", "white", "grey")
        shop.wear(other, "1", "white")
        shop.wear(other, "3", "grey")
    show = Show.objects.select_related("company", "current_draft").get(pk=shop.show.pk)
    with django_assert_num_queries(82):
        read_savings(show)
