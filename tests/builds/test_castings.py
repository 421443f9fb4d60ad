"""Tests of pours and castings as they happen, and of what is planned after each."""

from __future__ import annotations

from contextlib import suppress
from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from builds.core.casting.yields import castings_to_pour
from builds.models import Casting, Mould, Pour, Step
from builds.queries.steps import live_steps, step_waits
from builds.services.bench import add_figure, set_figure_state
from builds.services.moulds import add_mould, dry_mould, edit_mould, mend_mould, retire_mould
from builds.services.pours import MouldNotReady, drain_pour, record_pour, strike_pour
from builds.services.results import Verdict, judge_casting, open_pour
from builds.services.whereabouts import put_casting, swap_castings
from builds.services.work import finish_step, undo_press
from company import clock
from company.models import Change, Maker
from company.services.changes import StaleEdit
from tests.builds.foundry import DAY_MIN, FLAWED, GOOD, THROWN, Foundry, remake

pytestmark = pytest.mark.django_db
DAY = timedelta(days=1)


@pytest.fixture
def foundry() -> Foundry:
    return Foundry()


# What is planned


def test_pours_follow_the_rule_and_the_spare_ones_are_for_no_figure(foundry: Foundry) -> None:
    # P(Binomial(4, 0.9) >= 3) = 0.948, P(Binomial(3, 0.9) >= 3) = 0.729: four for three.
    assert foundry.figures_by_casting() == {
        "JORY60-01": "J1", "JORY60-02": "J2", "JORY60-03": "J3", "JORY60-04": "",
    }  # fmt: skip
    spare = Step.objects.get(pour__castings__number=4)
    assert spare.struck_at is None
    waits = step_waits(foundry.show)
    making = Step.objects.get(stage__key="mould")
    first = [Step.objects.get(pour__castings__number=n).pk for n in (1, 2, 3)]
    # It is poured last: those that a figure waits for come first, as fast as the mould allows.
    assert waits[spare.pk] == ((making.pk, 2 * DAY_MIN), *((pk, 0) for pk in first))
    assert not any(spare.pk == before for found in waits.values() for before, _ in found)


def test_each_good_one_leaves_fewer_to_pour_until_none_is_left(foundry: Foundry) -> None:
    foundry.make_mould()
    left = []
    for n in range(3):
        foundry.cast(at=clock.now() + n * DAY)
        left.append(foundry.ahead())
        assert left[-1] == castings_to_pour(2 - n, 0.9, 0.9, n + 1, 0)
    assert left[-1] == 0
    assert Pour.objects.get(castings__number=4).struck_words == "No longer wanted."


def test_a_failed_one_is_replaced_and_the_record_asks_for_more(foundry: Foundry) -> None:
    foundry.make_mould()
    out = foundry.cast(THROWN)
    assert (out.figure, out.place, out.result) == (None, "scrap", THROWN)
    assert foundry.figures_by_casting()["JORY60-04"] == "J1"
    assert foundry.ahead() == castings_to_pour(3, 0.9, 0.9, 0, 1)
    assert foundry.faults() == []


def test_what_is_no_longer_wanted_is_taken_up_before_a_new_number(foundry: Foundry) -> None:
    figure = foundry.figure("J3")
    set_figure_state(figure=figure, state="struck", user=foundry.lead)
    numbers = set(Casting.objects.values_list("number", flat=True))
    add_figure(show=foundry.show, user=foundry.lead, guise=foundry.guise)
    assert set(Casting.objects.values_list("number", flat=True)) == numbers


def test_making_steps_again_changes_nothing(foundry: Foundry) -> None:
    before = list(Casting.objects.values().order_by("pk"))
    remake(foundry)
    remake(foundry)
    assert list(Casting.objects.values().order_by("pk")) == before


def test_two_cavities_take_half_as_many_pours(foundry: Foundry) -> None:
    edit_mould(mould=foundry.mould(), user=foundry.lead, version=None, cavities=2)
    assert foundry.ahead() == 2
    pour = Pour.objects.order_by("pk").first()
    assert foundry.faults() == []
    assert [str(c.figure) for c in pour.castings.order_by("number")] == ["J1", "J2"]
    assert Step.objects.filter(pour=pour, struck_at=None).count() == 1


def test_work_that_goes_on_says_the_casting_is_good_enough(foundry: Foundry) -> None:
    """Paper stays master: what is poured and trimmed counts without a verdict."""
    foundry.make_mould()
    for step in Step.objects.filter(pour__castings__figure__isnull=False):
        finish_step(step=step, user=foundry.lead, reason="by hand")
    for tag in ("J1", "J2", "J3"):
        finish_step(step=foundry.step(tag, "trim"), user=foundry.lead, reason="by hand")
    remake(foundry)
    assert foundry.ahead() == 0


# The mould


def test_the_step_that_makes_it_makes_the_mould(foundry: Foundry) -> None:
    mould = foundry.make_mould(days_ago=1)
    assert (mould.state, mould.made_at) == (Mould.State.IN_USE, clock.now() - DAY)
    assert mould.first_use == mould.made_at + timedelta(minutes=2 * DAY_MIN)
    undo_press(step=Step.objects.get(stage__key="mould"), user=foundry.lead)
    assert foundry.mould().state == Mould.State.WANTED
    assert foundry.mould().first_use is None


def test_a_mould_that_was_poured_in_is_not_unmade(foundry: Foundry) -> None:
    foundry.make_mould()
    foundry.pour()
    with pytest.raises(ValidationError, match="poured in already"):
        undo_press(step=Step.objects.get(stage__key="mould"), user=foundry.lead)


def test_pours_wait_for_the_first_use_that_is_written_down(foundry: Foundry) -> None:
    mould = foundry.make_mould(days_ago=1)
    pour = Step.objects.get(pour__castings__number=1)
    making = Step.objects.get(stage__key="mould")
    assert dict(step_waits(foundry.show)[pour.pk])[making.pk] == 2 * DAY_MIN
    sooner = mould.made_at + timedelta(hours=30)
    edit_mould(mould=mould, user=foundry.lead, version=None, first_use=sooner)
    assert dict(step_waits(foundry.show)[pour.pk])[making.pk] == 30 * 60


def test_another_material_dries_by_its_own_time(foundry: Foundry) -> None:
    Mould.objects.update(material="tin silicone")
    pour = Step.objects.get(pour__castings__number=1)
    making = Step.objects.get(stage__key="mould")
    assert dict(step_waits(foundry.show)[pour.pk])[making.pk] == DAY_MIN


def test_a_second_mould_has_a_step_of_its_own_and_shares_the_pours(foundry: Foundry) -> None:
    second = add_mould(mould=foundry.mould(), user=foundry.lead)
    step = Step.objects.get(mould=second)
    assert (step.stage.key, step.struck_at) == ("mould", None)
    own = list(Pour.objects.filter(mould=second, struck_at=None))
    assert len(own) == 2
    waits = step_waits(foundry.show)
    for pour in own:
        (stepped,) = Step.objects.filter(pour=pour, struck_at=None)
        assert waits[stepped.pk][0][0] == step.pk
    finish_step(step=step, user=foundry.lead, reason="early")
    assert foundry.mould(2).is_made
    assert not foundry.mould(1).is_made


def test_a_retired_mould_is_replaced_and_its_pours_move(foundry: Foundry) -> None:
    mould = foundry.make_mould()
    foundry.cast()
    mould = foundry.mould()
    retire_mould(mould=mould, user=foundry.lead, words="keys worn off", replace=True)
    mould = foundry.mould()
    assert (mould.state, mould.replaced_by) == (Mould.State.RETIRED, foundry.mould(2))
    assert not Pour.objects.filter(mould=mould, poured_at=None, struck_at=None).exists()
    assert Step.objects.get(mould=foundry.mould(2)).finished_at is None
    with pytest.raises(ValidationError, match="it is retired"):
        record_pour(mould=mould, user=foundry.lead, maker=foundry.ines)
    assert foundry.casting(1).figure == foundry.figure("J1")


def test_used_up_moulds_ask_for_one_more_where_a_figure_needs_it(foundry: Foundry) -> None:
    edit_mould(mould=foundry.mould(), user=foundry.lead, version=None, life=4)
    add_figure(show=foundry.show, user=foundry.lead, guise=foundry.guise)
    add_figure(show=foundry.show, user=foundry.lead, guise=foundry.guise)
    assert foundry.mould(2).state == Mould.State.WANTED
    assert Step.objects.filter(mould=foundry.mould(2)).count() == 1


def test_drying_mending_and_bad_words_about_a_mould(foundry: Foundry) -> None:
    with pytest.raises(ValidationError, match="in use"):
        dry_mould(mould=foundry.mould(), user=foundry.lead)
    mould = foundry.make_mould()
    dry_mould(mould=mould, user=foundry.lead)
    mend_mould(mould=mould, user=foundry.lead, words="chin glued", more_castings=5)
    mould = foundry.mould()
    assert (mould.state, mould.life, mould.dried_at) == ("mended", 35, clock.now())
    with pytest.raises(ValidationError) as refusal:
        edit_mould(
            mould=mould, user=foundry.lead, version=None, parts=0, cavities=99, life=0,
            first_use=mould.made_at - DAY,
        )  # fmt: skip
    assert set(refusal.value.message_dict) == {"parts", "cavities", "life", "first_use"}
    with pytest.raises(ValidationError, match="Say in a few words"):
        retire_mould(mould=mould, user=foundry.lead, words=" ")


# Recording a pour


def test_a_pour_is_its_step_begun_and_finished_with_lot_and_mix(foundry: Foundry) -> None:
    foundry.make_mould()
    pour = foundry.pour(lot=" N-114 ", mix="1  to 1")
    step = Step.objects.get(pour=pour)
    assert (pour.lot, pour.mix, pour.maker) == ("N-114", "1 to 1", foundry.ines)
    assert (step.begun_at, step.finished_at, step.begun_by) == (
        clock.now(), clock.now(), foundry.ines,
    )  # fmt: skip
    change = Change.objects.filter(noun="pour", row=str(pour.pk)).latest("pk")
    assert change.after["lot"] == "N-114"


def test_a_slip_is_under_way_until_it_is_drained(foundry: Foundry) -> None:
    foundry.make_mould()
    Mould.objects.update(casting_material="neoprene slip")
    pour = foundry.pour()
    step = Step.objects.get(pour=pour)
    assert (step.begun_at, step.finished_at) == (clock.now(), None)
    with pytest.raises(ValidationError, match="before it was poured"):
        drain_pour(pour=pour, user=foundry.lead, at=clock.now() - DAY)
    drain_pour(pour=pour, user=foundry.lead)
    step.refresh_from_db()
    assert step.finished_at == clock.now()
    with pytest.raises(ValidationError, match="drained already"):
        drain_pour(pour=pour, user=foundry.lead)


def test_a_drying_mould_is_poured_only_with_a_reason(foundry: Foundry) -> None:
    foundry.make_mould(days_ago=1)
    with pytest.raises(MouldNotReady, match="still drying"):
        foundry.pour()
    assert not Pour.objects.filter(poured_at__isnull=False).exists()
    assert foundry.pour(reason="two days in the cabinet").reason == "two days in the cabinet"


@pytest.mark.parametrize(
    ("values", "field", "words"),
    [
        ({"poured_at": timedelta(days=1)}, "poured_at", "still to come"),
        ({"poured_at": timedelta(days=-5)}, "poured_at", "before the mould was made"),
        ({"poured_at": timedelta(days=-2000)}, "poured_at", "years ago"),
        ({"lot": "x" * 41}, "lot", "At most 40 letters, not 41"),
        ({"mix": "x" * 201}, "mix", "At most 200"),
    ],
)
def test_a_wrong_pour_says_what_is_wrong(
    foundry: Foundry, values: dict[str, Any], field: str, words: str
) -> None:
    foundry.make_mould()
    if "poured_at" in values:
        values = {"poured_at": clock.now() + values["poured_at"]}
    with pytest.raises(ValidationError) as refusal:
        record_pour(mould=foundry.mould(), user=foundry.lead, maker=foundry.ines, **values)
    assert words in refusal.value.message_dict[field][0]
    assert not Pour.objects.filter(poured_at__isnull=False).exists()


def test_nothing_is_poured_in_a_mould_that_is_not_made_or_full(foundry: Foundry) -> None:
    with pytest.raises(ValidationError, match="not made yet"):
        foundry.pour()
    foundry.make_mould()
    foundry.pour()
    with pytest.raises(ValidationError, match="a casting is still in it"):
        foundry.pour()


def test_a_latex_pour_is_closed_to_who_is_allergic_and_a_plaster_one_is_not(
    foundry: Foundry,
) -> None:
    foundry.make_mould()
    Maker.objects.filter(pk=foundry.tomas.pk).update(has_latex_allergy=True)
    tomas = Maker.objects.get(pk=foundry.tomas.pk)
    Mould.objects.update(casting_material="latex slip")
    with pytest.raises(ValidationError, match="latex allergy"):
        record_pour(mould=foundry.mould(), user=foundry.lead, maker=tomas)
    Mould.objects.update(casting_material="plaster")
    assert record_pour(mould=foundry.mould(), user=foundry.lead, maker=tomas).maker == tomas


def test_a_pour_nobody_planned_is_one_more(foundry: Foundry) -> None:
    foundry.make_mould()
    for n in range(3):
        foundry.cast(at=clock.now() + n * DAY)
    extra = foundry.cast(at=clock.now() + 4 * DAY)
    assert (extra.figure, extra.place) == (None, "shelf")
    assert foundry.faults() == []


def test_a_mistaken_pour_is_struck_and_planned_anew(foundry: Foundry) -> None:
    foundry.make_mould()
    pour = foundry.pour()
    with pytest.raises(ValidationError, match="Say in a few words"):
        strike_pour(pour=pour, user=foundry.lead, words="")
    strike_pour(pour=pour, user=foundry.lead, words="it was the other mould")
    pour.refresh_from_db()
    assert (pour.struck_at, pour.poured_at) == (clock.now(), clock.now())
    assert Pour.objects.filter(pk=pour.pk).exists()
    assert Casting.objects.filter(figure=foundry.figure("J1")).count() == 1
    assert live_steps(foundry.show).filter(pour=pour).count() == 0
    assert foundry.faults() == []


def test_a_pour_on_record_is_not_taken_back_on_its_slip(foundry: Foundry) -> None:
    foundry.make_mould()
    pour = foundry.cast().pour
    with pytest.raises(ValidationError, match="on its own page"):
        undo_press(step=Step.objects.get(pour=pour), user=foundry.lead)


# What comes out


def test_a_good_one_goes_to_its_figure_and_says_who_judged_it(foundry: Foundry) -> None:
    foundry.make_mould()
    casting = foundry.cast()
    assert (casting.figure, casting.place) == (foundry.figure("J1"), "")
    assert (casting.judged_by, casting.judged_at) == (foundry.lead, clock.now() + DAY)


def test_a_flawed_one_is_kept_on_the_shelf_or_used_all_the_same(foundry: Foundry) -> None:
    foundry.make_mould()
    first = foundry.cast(FLAWED)
    assert (first.figure, first.place, first.reason) == (None, "shelf", "thin at the nose")
    pour = foundry.pour(clock.now() + 2 * DAY)
    casting = pour.castings.get()
    with clock.fixed_at(clock.now() + 3 * DAY):
        open_pour(
            pour=pour, user=foundry.lead,
            verdicts=[Verdict(casting, FLAWED, "a bubble", use=True)],
        )  # fmt: skip
    casting.refresh_from_db()
    assert casting.figure is not None


@pytest.mark.parametrize(
    ("result", "reason", "words"),
    [
        ("", "", "Say how JORY60-01 came out"),
        ("broken", "", "Say how JORY60-01 came out"),
        (THROWN, " ", "Say in a word what is wrong"),
        (FLAWED, "x" * 201, "At most 200 letters"),
    ],
)
def test_a_verdict_without_its_word_saves_nothing(
    foundry: Foundry, result: str, reason: str, words: str
) -> None:
    foundry.make_mould()
    pour = foundry.pour()
    with pytest.raises(ValidationError) as refusal:
        open_pour(
            pour=pour, user=foundry.lead, verdicts=[Verdict(pour.castings.get(), result, reason)]
        )
    assert words in str(refusal.value)
    pour.refresh_from_db()
    assert pour.opened_at is None


def test_more_castings_than_cavities_are_refused(foundry: Foundry) -> None:
    foundry.make_mould()
    pour = foundry.pour()
    two = [Verdict(pour.castings.get(), GOOD), Verdict(foundry.casting(2), GOOD)]
    with pytest.raises(ValidationError, match="1 cavity: 2 castings"):
        open_pour(pour=pour, user=foundry.lead, verdicts=two)
    with pytest.raises(ValidationError, match="each casting of this pour"):
        open_pour(pour=pour, user=foundry.lead, verdicts=[two[1]])


def test_opening_before_pouring_and_in_the_future_is_refused(foundry: Foundry) -> None:
    foundry.make_mould()
    planned = Pour.objects.select_related("mould__pattern__show__company").get(castings__number=2)
    verdicts = [Verdict(foundry.casting(2), GOOD)]
    with pytest.raises(ValidationError, match="not poured yet"):
        open_pour(pour=planned, user=foundry.lead, verdicts=verdicts)
    pour = foundry.pour()
    good = [Verdict(pour.castings.get(), GOOD)]
    for at, words in ((clock.now() - DAY, "before it was poured"), (clock.now() + DAY, "to come")):
        with pytest.raises(ValidationError, match=words):
            open_pour(pour=pour, user=foundry.lead, verdicts=good, opened_at=at)
    with pytest.raises(StaleEdit):
        open_pour(pour=pour, user=foundry.lead, verdicts=good, version=1)


def test_a_head_that_fails_while_it_is_trimmed_is_trimmed_again(foundry: Foundry) -> None:
    foundry.make_mould()
    casting = foundry.cast()
    finish_step(step=foundry.step("J1", "trim"), user=foundry.lead, minutes=60, reason="quick")
    judge_casting(verdict=Verdict(casting, THROWN, "ear broke off"), user=foundry.lead)
    trim = foundry.step("J1", "trim")
    assert (trim.begun_at, trim.finished_at) == (None, None)
    assert "To do again: JORY60-01 left J1." in trim.note
    assert trim.work.count() == 1
    replaced = Casting.objects.get(figure=foundry.figure("J1"))
    assert replaced.result is None


def test_a_casting_on_the_shelf_takes_the_place_of_one_that_fails(foundry: Foundry) -> None:
    foundry.make_mould()
    for n in range(3):
        foundry.cast(at=clock.now() + n * DAY)
    spare = foundry.cast(at=clock.now() + 4 * DAY)
    judge_casting(verdict=Verdict(foundry.casting(2), THROWN, "cracked"), user=foundry.lead)
    spare.refresh_from_db()
    assert spare.figure == foundry.figure("J2")
    assert foundry.ahead() == 0
    change = Change.objects.filter(noun="casting", row=str(spare.pk)).latest("pk")
    assert change.after["words"] == "from the shelf"


# Where it is


def test_two_castings_change_places(foundry: Foundry) -> None:
    foundry.make_mould()
    one, two = foundry.cast(), foundry.cast(at=clock.now() + 2 * DAY)
    swap_castings(casting=one, other=two, user=foundry.lead)
    found = foundry.figures_by_casting()
    assert (found["JORY60-01"], found["JORY60-02"]) == ("J2", "J1")
    assert foundry.faults() == []


def test_out_of_a_figure_another_is_planned_for_it(foundry: Foundry) -> None:
    foundry.make_mould()
    casting = foundry.cast()
    put_casting(casting=casting, user=foundry.lead, place="shelf B")
    assert (casting.figure, casting.place) == (None, "shelf B")
    assert Casting.objects.get(figure=foundry.figure("J1")).result is None
    put_casting(casting=casting, user=foundry.lead, figure=foundry.figure("J3"))
    assert foundry.figures_by_casting()["JORY60-01"] == "J3"
    assert foundry.faults() == []


def test_a_casting_goes_into_no_figure_that_has_one_or_is_of_another_guise(
    foundry: Foundry,
) -> None:
    foundry.make_mould()
    one, two = foundry.cast(), foundry.cast(at=clock.now() + 2 * DAY)
    with pytest.raises(ValidationError, match="J1 has JORY60-01 already"):
        put_casting(casting=two, user=foundry.lead, figure=foundry.figure("J1"))
    with pytest.raises(ValidationError, match="is in J2 already"):
        put_casting(casting=two, user=foundry.lead, figure=foundry.figure("J2"))
    other = foundry.role("Captain Pell", "", "uniform")
    pell = add_figure(show=foundry.show, user=foundry.lead, guise=other)
    with pytest.raises(ValidationError, match="another guise's"):
        put_casting(casting=one, user=foundry.lead, figure=pell)
    with pytest.raises(ValidationError, match="not both"):
        put_casting(casting=one, user=foundry.lead, figure=foundry.figure("J3"), place="shelf")
    with pytest.raises(ValidationError, match="Say where it lies"):
        put_casting(casting=one, user=foundry.lead)
    with pytest.raises(ValidationError, match="not out of the mould"):
        put_casting(casting=foundry.casting(3), user=foundry.lead, place="shelf")
    with pytest.raises(ValidationError, match="not a casting of the same mould"):
        swap_castings(casting=one, other=one, user=foundry.lead)


def test_what_is_thrown_out_is_used_only_after_another_look(foundry: Foundry) -> None:
    foundry.make_mould()
    casting = foundry.cast(THROWN)
    with pytest.raises(ValidationError, match="thrown out"):
        put_casting(casting=casting, user=foundry.lead, place="shelf")
    judge_casting(verdict=Verdict(casting, GOOD), user=foundry.lead)
    casting.refresh_from_db()
    assert casting.figure is not None
    assert casting.reason == ""
    assert foundry.faults() == []


# Every casting is in exactly one place

PRESSES = st.lists(
    st.tuples(
        st.sampled_from(
            ["cast", "throw", "flaw", "shelf", "into", "swap", "judge", "strike", "more", "off",
             "retire"]
        ),
        st.integers(0, 7),
    ),
    min_size=3,
    max_size=10,
)  # fmt: skip


class Conservation(TestCase):
    """Whatever is pressed, in whatever order, taken or refused."""

    @given(PRESSES)
    @settings(
        max_examples=10,
        suppress_health_check=[HealthCheck.too_slow],
        deadline=None,
        phases=(Phase.explicit, Phase.reuse, Phase.generate),  # a shorter story takes minutes
    )
    def test_every_casting_is_in_exactly_one_place(self, presses: list[tuple[str, int]]) -> None:
        foundry = Foundry(figures=2)
        foundry.make_mould(days_ago=400)
        numbers: set[str] = set()
        for day, (what, number) in enumerate(presses):
            with suppress(ValidationError, MouldNotReady):
                _press(foundry, what, number, day)
            assert foundry.faults() == []
            codes = {casting.code for casting in Casting.objects.select_related("pattern")}
            assert numbers <= codes
            numbers = codes
            for figure in foundry.tags():
                own = Casting.objects.filter(figure=foundry.figure(figure))
                assert own.count() == 1, figure


def _press(foundry: Foundry, what: str, number: int, day: int) -> None:
    out = list(Casting.objects.filter(result__isnull=False).order_by("number"))
    chosen = foundry.casting(out[number % len(out)].number) if out else None
    at = clock.now() - timedelta(days=300 - 2 * day)
    if what in ("cast", "throw", "flaw"):
        foundry.cast({"cast": GOOD, "throw": THROWN, "flaw": FLAWED}[what], at=at)
    elif what == "strike":
        strike_pour(pour=foundry.pour(at), user=foundry.lead, words="a mistake")
    elif what == "more":
        add_figure(show=foundry.show, user=foundry.lead, guise=foundry.guise)
    elif what == "off":
        tags = foundry.tags()
        if tags:
            figure = foundry.figure(tags[number % len(tags)])
            set_figure_state(figure=figure, state="struck", user=foundry.lead)
    elif what == "retire":
        retire_mould(mould=foundry.mould(), user=foundry.lead, words="worn", replace=True)
    elif chosen is not None:
        figures = foundry.tags()
        other = foundry.casting(out[(number + 1) % len(out)].number)
        if what == "shelf":
            put_casting(casting=chosen, user=foundry.lead, place="shelf C")
        elif what == "into" and figures:
            figure = foundry.figure(figures[number % len(figures)])
            put_casting(casting=chosen, user=foundry.lead, figure=figure)
        elif what == "swap":
            swap_castings(casting=chosen, other=other, user=foundry.lead)
        elif what == "judge":
            result = (GOOD, FLAWED, THROWN)[number % 3]
            verdict = Verdict(chosen, result, "seen again", use=bool(number % 2))
            judge_casting(verdict=verdict, user=foundry.lead)
