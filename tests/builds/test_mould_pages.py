"""Tests of the pages of moulds, pours, castings and lots: what they say, and to whom."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from itertools import pairwise

import pytest
from django.test import Client
from django.urls import reverse

from builds.core.planning import check_plan, solve
from builds.loading import load_problem
from builds.models import Casting, Figure, Mould, PlannedStep, Pour, Stage, Step
from builds.queries.lots import read_lots
from builds.queries.moulds import read_shelf
from builds.queries.today import read_today
from builds.services.bench import add_figure
from builds.services.moulds import retire_mould
from builds.services.plans import make_plan, pin_up
from builds.services.pours import drain_pour
from company import clock
from company.models import Maker, Role, User
from tests.builds.foundry import FLAWED, THROWN, Foundry
from tests.factories import MakerFactory, ShowFactory, person

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)
LIST_QUERIES = 15
MOULD_QUERIES = 15
POUR_QUERIES = 9


@pytest.fixture
def foundry() -> Foundry:
    return Foundry()


def enter(client: Client, user: User) -> Client:
    client.force_login(user, backend="django.contrib.auth.backends.ModelBackend")
    return client


def text_of(client: Client, name: str, pk: int, query: str = "") -> str:
    answer = client.get(reverse(f"builds:{name}", args=[pk]) + query)
    assert answer.status_code == 200
    return " ".join(answer.content.decode().split())


def post(client: Client, name: str, pk: int, **values: object) -> object:
    return client.post(reverse(f"builds:{name}", args=[pk]), values)


# What the shelf says


def test_an_empty_show_offers_the_bench(client: Client, foundry: Foundry) -> None:
    show = ShowFactory(company=foundry.company, title="Ferry Songs")
    said = text_of(enter(client, foundry.lead), "mould_list", show.pk)
    assert "No mould is wanted yet" in said
    assert reverse("builds:bench", args=[show.pk]) in said


def test_the_first_sentence_says_what_is_to_be_poured(client: Client, foundry: Foundry) -> None:
    foundry.make_mould()
    said = text_of(enter(client, foundry.lead), "mould_list", foundry.show.pk)
    assert "One mould, made. Today, pour Jory Tarrow at sixty for J1." in said
    assert "Owes three castings: four are planned, to be 9 in 10 sure." in said
    assert "JORY60-04" in said
    assert "in case one fails" in said


def test_a_drying_mould_says_until_when(foundry: Foundry) -> None:
    foundry.make_mould(days_ago=1)
    shelf = read_shelf(foundry.show, foundry.lead)
    assert shelf.cards[0].is_drying
    assert "Drying: leave it until" in shelf.cards[0].words
    assert "Next is Jory Tarrow at sixty, from" in shelf.lede


def test_what_is_in_a_mould_is_due_by_its_clock(foundry: Foundry) -> None:
    foundry.make_mould()
    Mould.objects.update(casting_material="neoprene slip")
    foundry.pour()
    with clock.fixed_at(clock.now() + timedelta(hours=5)):
        (one,) = read_shelf(foundry.show, foundry.lead).filled
        assert (one.moment.name, one.is_due) == ("DRAIN", True)
        assert one.due == clock.now() - timedelta(hours=1)
        today = read_today(foundry.show, None, clock.today(foundry.company), None)
        assert [two.pour.pk for two in today.in_moulds] == [one.pour.pk]


def test_castings_stand_as_knots_good_flawed_and_thrown(client: Client, foundry: Foundry) -> None:
    foundry.make_mould()
    foundry.cast()
    foundry.cast(FLAWED, at=clock.now() + 2 * DAY)
    foundry.cast(THROWN, at=clock.now() + 4 * DAY)
    with clock.fixed_at(clock.now() + 6 * DAY):
        said = text_of(enter(client, foundry.lead), "mould_list", foundry.show.pk)
        assert "Castings: 1 good, 1 thrown out, 27 to come, 1 flawed" in said
        assert "Three castings drawn of about 30" in said
        assert "flawed: thin at the nose" in said


def test_queries_do_not_grow(
    client: Client, foundry: Foundry, django_assert_num_queries: object
) -> None:
    foundry.make_mould()
    enter(client, foundry.lead)
    first = foundry.cast()

    def measure() -> None:
        show, mould = foundry.show, foundry.mould()
        for name, pk, queries in (
            ("mould_list", show.pk, LIST_QUERIES),
            ("mould_detail", mould.pk, MOULD_QUERIES),
            ("pour_detail", first.pour.pk, POUR_QUERIES),
        ):
            with django_assert_num_queries(queries):  # type: ignore[operator]
                assert client.get(reverse(f"builds:{name}", args=[pk])).status_code == 200

    with clock.fixed_at(clock.now() + 2 * DAY):
        measure()
    for n in range(9):
        add_figure(show=foundry.show, user=foundry.lead, guise=foundry.guise)
        foundry.cast(THROWN if n % 3 == 0 else "good", at=clock.now() + (2 + 2 * n) * DAY)
    with clock.fixed_at(clock.now() + 40 * DAY):
        measure()


# Recording


def test_a_pour_is_recorded_with_the_last_lot_and_mix_offered(
    client: Client, foundry: Foundry
) -> None:
    foundry.make_mould()
    foundry.cast()
    Pour.objects.filter(poured_at__isnull=False).update(lot="N-114", mix="4 in, 1 stays")
    enter(client, foundry.lead)
    with clock.fixed_at(clock.now() + 2 * DAY):
        mould, show = foundry.mould(), foundry.show
        page = text_of(client, "pour_new", show.pk, f"?mould={mould.pk}")
        assert 'value="N-114"' in page
        assert 'value="4 in, 1 stays"' in page
        answer = post(client, "pour_new", show.pk, mould=mould.pk, lot="N-114", mix="4 in, 1 stays")
        pour = Pour.objects.get(castings__number=2)
        assert answer.status_code == 302  # type: ignore[attr-defined]
        assert (pour.poured_at, pour.maker, pour.lot) == (clock.now(), foundry.ines, "N-114")


def test_a_drying_mould_asks_why_and_keeps_what_was_typed(client: Client, foundry: Foundry) -> None:
    mould = foundry.make_mould(days_ago=1)
    enter(client, foundry.lead)
    answer = post(client, "pour_new", foundry.show.pk, mould=mould.pk, lot="N-7")
    assert answer.status_code == 422  # type: ignore[attr-defined]
    page = answer.content.decode()  # type: ignore[attr-defined]
    assert "it is still drying. Say why it is poured all the same." in page
    assert 'value="N-7"' in page
    again = post(client, "pour_new", foundry.show.pk, mould=mould.pk, lot="N-7", reason="cabinet")
    assert again.status_code == 302  # type: ignore[attr-defined]


def test_an_hour_that_is_told_is_the_companys(client: Client, foundry: Foundry) -> None:
    mould = foundry.make_mould(days_ago=30)
    enter(client, foundry.lead)
    post(client, "pour_new", foundry.show.pk, mould=mould.pk, poured_at="2026-02-27T09:30")
    assert Pour.objects.get(castings__number=1).poured_at == datetime(
        2026, 2, 27, 9, 30, tzinfo=UTC
    )
    wrong = post(client, "pour_new", foundry.show.pk, mould=mould.pk, poured_at="yesterday")
    assert "Write day and time as" in wrong.content.decode()  # type: ignore[attr-defined]


def test_castings_come_out_with_a_word_for_what_is_wrong(client: Client, foundry: Foundry) -> None:
    foundry.make_mould()
    pour = foundry.pour()
    casting = pour.castings.get()
    enter(client, foundry.lead)
    name = f"result_{casting.pk}"
    refused = post(client, "pour_open", pour.pk, **{name: "thrown out"})
    assert refused.status_code == 422  # type: ignore[attr-defined]
    assert "what is wrong with JORY60-01" in refused.content.decode()  # type: ignore[attr-defined]
    values = {name: "thrown out", f"reason_{casting.pk}": "bubble in the face"}
    assert post(client, "pour_open", pour.pk, **values).status_code == 302  # type: ignore[attr-defined]
    casting.refresh_from_db()
    assert (casting.result, casting.place) == (THROWN, "scrap")
    stale = post(client, "pour_open", pour.pk, version=1, **values)
    assert stale.status_code in (409, 422)  # type: ignore[attr-defined]


def test_a_retired_mould_is_offered_nowhere(client: Client, foundry: Foundry) -> None:
    mould = foundry.make_mould()
    retire_mould(mould=mould, user=foundry.lead, words="keys worn off")
    enter(client, foundry.lead)
    refused = post(client, "pour_new", foundry.show.pk, mould=mould.pk)
    assert refused.status_code == 422  # type: ignore[attr-defined]
    assert "Choose a mould of this show." in refused.content.decode()  # type: ignore[attr-defined]
    said = text_of(client, "mould_detail", mould.pk)
    assert "Retired: keys worn off." in said
    assert "Record a pour" not in said


@pytest.mark.parametrize("role", [Role.MAKER, Role.READER])
def test_makers_record_and_readers_look(client: Client, foundry: Foundry, role: Role) -> None:
    foundry.make_mould()
    casting = foundry.cast()
    enter(client, person(foundry.company, role, "Tomas"))
    with clock.fixed_at(clock.now() + 2 * DAY):
        for name, pk in (
            ("mould_list", foundry.show.pk),
            ("mould_detail", foundry.mould().pk),
            ("pour_detail", casting.pour.pk),
            ("casting_detail", casting.pk),
            ("mould_lot", foundry.show.pk),
        ):
            page = text_of(client, name, pk)
            assert "Retire it" not in page
            if role is Role.READER:
                assert "Record a pour" not in page
                assert 'method="post"' not in page.split("<main")[1].split("</main>")[0]
        if role is Role.READER:
            assert client.get(reverse("builds:pour_new", args=[foundry.show.pk])).status_code == 403


# Lots


def test_a_lot_lists_every_figure_it_is_in(client: Client, foundry: Foundry) -> None:
    foundry.make_mould()
    foundry.cast()
    foundry.cast(THROWN, at=clock.now() + 2 * DAY)
    lots = read_lots(foundry.show, "n-1")
    assert [str(figure) for figure in lots.figures] == ["J1"]
    assert (len(lots.pours), lots.thrown) == (2, 1)
    assert (
        lots.lede
        == "Lot 'n-1' went into 2 pours: 1 figure, no castings on the shelf, 1 thrown out."
    )
    enter(client, foundry.lead)
    assert "JORY60-02" in text_of(client, "mould_lot", foundry.show.pk, "?lot=N-1")
    assert "No pour of a lot &#x27;Z&#x27;" in text_of(
        client, "mould_lot", foundry.show.pk, "?lot=Z"
    )
    figure = text_of(client, "figure_detail", foundry.figure("J1").pk)
    assert foundry.casting(1).get_absolute_url() in figure


# In the plan


def test_one_mould_holds_one_casting_at_a_time_in_the_plan(foundry: Foundry) -> None:
    foundry.make_mould()
    plan = make_plan(show=foundry.show, user=foundry.lead)
    rows = list(PlannedStep.objects.filter(plan=plan, step__pour__isnull=False).order_by("start"))
    assert len(rows) == 4
    for before, after in pairwise(rows):
        assert after.start >= before.finish + timedelta(minutes=before.step.stage.wait_min)
    loaded = load_problem(foundry.show)
    assert check_plan(loaded.problem, solve(loaded.problem, work=0, seed=1)) == []


def test_nothing_is_planned_in_a_mould_before_it_is_dry(foundry: Foundry) -> None:
    mould = foundry.make_mould(days_ago=0)
    plan = make_plan(show=foundry.show, user=foundry.lead)
    first = PlannedStep.objects.filter(plan=plan, step__pour__isnull=False).earliest("start")
    assert mould.first_use == clock.now() + 2 * DAY
    assert first.start >= mould.first_use


def test_a_latex_pour_is_planned_for_nobody_who_is_allergic(foundry: Foundry) -> None:
    Maker.objects.filter(pk=foundry.ines.pk).update(has_latex_allergy=True)
    foundry.make_mould()
    pours = Step.objects.filter(pour__isnull=False)
    for material, expected in (("latex slip", {"Tomas"}), ("plaster", {"Ines", "Tomas"})):
        Mould.objects.update(casting_material=material)
        problem = load_problem(foundry.show).problem
        able = {problem.who_may(s) for s in problem.steps if s.id in {str(p.pk) for p in pours}}
        assert {name for who in able for name in who} == expected


def test_resin_is_closed_to_the_under_18_in_the_plan(foundry: Foundry) -> None:
    Maker.objects.filter(pk=foundry.tomas.pk).update(is_under_18=True)
    Mould.objects.update(casting_material="urethane resin")
    problem = load_problem(foundry.show).problem
    pour = Step.objects.get(pour__castings__number=1)
    (step,) = [s for s in problem.steps if s.id == str(pour.pk)]
    assert problem.who_may(step) == ("Ines",)


@pytest.mark.django_db(transaction=True)
def test_a_failed_casting_moves_the_plan_and_says_what_it_costs(client: Client) -> None:
    foundry = Foundry(figures=2)
    mould = foundry.make_mould()
    plan = make_plan(show=foundry.show, user=foundry.lead)
    pin_up(plan=plan, user=foundry.lead)
    enter(client, foundry.lead)
    for number in (1, 2, 3):
        pour = Pour.objects.filter(mould=mould, poured_at=None, struck_at=None).first()
        if pour is None:
            break
        at = clock.now() + (number * 2 - 1) * DAY
        with clock.fixed_at(at):
            post(client, "pour_new", foundry.show.pk, mould=mould.pk, reason="as it is")
        pour = Pour.objects.get(poured_at__isnull=False, opened_at=None)
        casting = pour.castings.get()
        with clock.fixed_at(at + DAY):
            values = {f"result_{casting.pk}": "thrown out", f"reason_{casting.pk}": "torn"}
            assert post(client, "pour_open", pour.pk, **values).status_code == 302  # type: ignore[attr-defined]
            said = text_of(client, "pour_detail", pour.pk)
        pour.refresh_from_db()
        assert pour.cost["ready_before"] < pour.cost["ready_after"]
        assert pour.cost["work_min"] >= 0
        assert f"{casting.code}:" in said
        assert "all ready" in said
        assert "later" in said


def test_draining_late_moves_what_comes_after(foundry: Foundry) -> None:
    foundry.make_mould()
    Mould.objects.update(casting_material="neoprene slip")
    pour = foundry.pour()
    with clock.fixed_at(clock.now() + timedelta(hours=6)):
        drain_pour(pour=Pour.objects.get(pk=pour.pk), user=foundry.lead)
        (one,) = read_shelf(foundry.show, foundry.lead).filled
    assert one.moment.name == "OPEN"
    assert one.due == clock.now() + timedelta(hours=14)
    assert Casting.objects.filter(result__isnull=False).count() == 0


def test_nobody_stands_beside_what_is_closed_to_them(foundry: Foundry) -> None:
    Stage.objects.filter(key="pour").update(second="anybody", closed_to_latex_allergy=True)
    allergic = MakerFactory(company=foundry.company, name="Priya", has_latex_allergy=True)
    problem = load_problem(foundry.show).problem
    pour = Step.objects.get(pour__castings__number=1)
    (step,) = [s for s in problem.steps if s.id == str(pour.pk)]
    assert set(problem.who_helps(step, step.second)) == {"Ines", "Tomas"}
    Maker.objects.filter(pk=allergic.pk).update(has_latex_allergy=False)
    problem = load_problem(foundry.show).problem
    (step,) = [s for s in problem.steps if s.id == str(pour.pk)]
    assert "Priya" in problem.who_helps(step, step.second)


def test_dates_that_one_mould_cannot_keep_ask_for_a_second(
    client: Client, foundry: Foundry
) -> None:
    foundry.make_mould()
    Figure.objects.update(needed_by=clock.today(foundry.company) + 2 * DAY)
    make_plan(show=foundry.show, user=foundry.lead)
    (card,) = read_shelf(foundry.show, foundry.lead).cards
    assert (card.more.why, card.more.moulds >= 2) == ("dates", True)
    enter(client, foundry.lead)
    assert "The dates ask for a second mould" in text_of(client, "mould_list", foundry.show.pk)
    post(client, "mould_add", foundry.mould().pk)
    assert foundry.mould(2).state == Mould.State.WANTED
