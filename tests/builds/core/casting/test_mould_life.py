"""Tests of a mould's life, of the clock of a pour, and of where castings are."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.casting.life import (
    MoreMoulds,
    MouldState,
    Wear,
    is_ready,
    moulds_needed,
    wear_of,
)
from builds.core.casting.moments import Moment, PourClock
from builds.core.casting.whereabouts import Stage, Whereabouts, check_castings

NOON = datetime(2026, 3, 4, 12, tzinfo=UTC)
HOUR, DAY = timedelta(hours=1), timedelta(days=1)


def dry(**more: object) -> MouldState:
    return MouldState(first_use=NOON - DAY, **more)  # type: ignore[arg-type]


# Whether it may be poured


def test_a_dry_empty_mould_is_free() -> None:
    assert is_ready(dry(), NOON).is_free


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (MouldState(first_use=None), "it is not made yet"),
        (dry(retired=True), "it is retired"),
        (dry(is_filled=True, holds=NOON + HOUR), "a casting is still in it"),
    ],
)
def test_what_forbids_a_pour(state: MouldState, words: str) -> None:
    assert words in is_ready(state, NOON).forbidden


@pytest.mark.parametrize(
    ("state", "words"),
    [
        (MouldState(first_use=NOON + DAY), "it is still drying"),
        (dry(last_poured=NOON - HOUR, rest_min=1440), "it rests after its last pour"),
        (dry(pours_since_dry=5, dry_every=5), "it has had 5 pours since it was last dried"),
        (dry(drawn=30, life=30), "it has given all 30 castings it is good for"),
    ],
)
def test_what_warns_and_may_be_overruled(state: MouldState, words: str) -> None:
    ready = is_ready(state, NOON)
    assert ready.forbidden == ()
    assert words in ready.warnings


def test_one_a_day_means_the_next_morning_and_not_the_same_hour() -> None:
    late = dry(last_poured=NOON.replace(hour=17), rest_min=1440)
    assert not is_ready(late, NOON.replace(hour=18)).is_free
    assert is_ready(late, NOON + DAY - timedelta(hours=3)).is_free


def test_a_rest_in_hours_is_kept_to_the_minute() -> None:
    state = dry(last_poured=NOON, rest_min=90)
    assert is_ready(state, NOON + timedelta(minutes=89)).warnings
    assert is_ready(state, NOON + timedelta(minutes=90)).is_free
    assert is_ready(state, NOON).ready_at == NOON + timedelta(minutes=90)


# Wear


@given(st.integers(1, 300), st.integers(0, 400))
def test_wear_only_ever_grows(life: int, drawn: int) -> None:
    order = [Wear.FRESH, Wear.WORN, Wear.SPENT]
    assert order.index(wear_of(drawn, life)) <= order.index(wear_of(drawn + 1, life))
    assert (wear_of(drawn, life) is Wear.SPENT) is (drawn >= life)


def test_a_plaster_mould_for_slip_is_worn_at_twenty_of_thirty() -> None:
    """Common practice, no source."""
    assert [wear_of(n, 30).value for n in (0, 19, 20, 29, 30)] == [
        *("fresh", "fresh", "worn", "worn", "spent"),
    ]


@pytest.mark.parametrize("wrong", [(0, 0), (-1, 30)])
def test_wear_of_nonsense_is_refused(wrong: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="castings|casting"):
        wear_of(*wrong)


# More moulds


def test_one_mould_is_enough_where_life_and_dates_hold() -> None:
    assert moulds_needed(6, 1, [30], 6, 1) == MoreMoulds(1)
    assert moulds_needed(0, 1, [], 5, 1) == MoreMoulds(0)


def test_dates_ask_for_moulds_by_the_day() -> None:
    # Six castings in two days at one a day: three moulds.
    assert moulds_needed(6, 1, [30], 2, 1) == MoreMoulds(3, "dates")
    assert moulds_needed(6, 1, [30], -4, 1) == MoreMoulds(6, "dates")


def test_life_asks_for_a_mould_where_what_is_left_is_too_little() -> None:
    assert moulds_needed(9, 1, [4], 99, 1) == MoreMoulds(3, "life")
    assert moulds_needed(9, 2, [8], 99, 1) == MoreMoulds(3, "life")


@given(st.integers(1, 40), st.integers(1, 4), st.lists(st.integers(0, 40), max_size=4),
       st.integers(1, 60))  # fmt: skip
def test_the_moulds_told_of_can_pour_them_all(
    pours: int, cavities: int, left: list[int], days: int
) -> None:
    found = moulds_needed(pours, cavities, left, days, 1)
    fresh = max([*(one // cavities for one in left), 1])
    room = sum(one // cavities for one in left) + fresh * max(0, found.moulds - len(left))
    if found.why == "life":
        assert room >= pours
    assert found.moulds >= len(left)
    if found.why != "life":
        assert found.moulds * days >= pours


# The clock


SLIP = PourClock(NOON, drain_min=240, open_min=480, cure_min=480)


def test_a_slip_is_drained_opened_and_hard_one_after_the_other() -> None:
    assert SLIP.next_at(NOON) == (Moment.DRAIN, NOON + 4 * HOUR)
    assert (SLIP.open_due, SLIP.cure_due) == (NOON + 12 * HOUR, NOON + 20 * HOUR)


def test_what_was_done_late_moves_what_comes_after() -> None:
    drained = PourClock(NOON, 240, 480, 480, drained_at=NOON + 6 * HOUR)
    assert drained.next_at(NOON) == (Moment.OPEN, NOON + 14 * HOUR)
    out = PourClock(NOON, 240, 480, 480, NOON + 6 * HOUR, NOON + DAY)
    assert out.next_at(NOON + DAY) == (Moment.CURE, NOON + DAY + 8 * HOUR)
    assert out.next_at(NOON + 2 * DAY) == (Moment.DONE, None)


def test_a_material_without_times_is_opened_by_the_data_sheet() -> None:
    unknown = PourClock(NOON)
    assert unknown.next_at(NOON) == (Moment.OPEN, None)
    assert PourClock(NOON, opened_at=NOON + HOUR).next_at(NOON + HOUR)[0] is Moment.DONE


# Where castings are


def casting(code: str, stage: Stage = Stage.OUT, **more: object) -> Whereabouts:
    return Whereabouts(code, "head", 1, stage, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("castings", "words"),
    [
        ([casting("A", figure="J1", place="shelf")], "A is in J1 and at 'shelf' as well."),
        ([casting("A")], "A is out of the mould and nowhere."),
        ([casting("A", figure="J1", is_thrown=True)], "A is thrown out and still in J1."),
        ([casting("A", Stage.STRUCK, place="shelf")], "A is struck and still somewhere."),
        ([casting("A", Stage.PLANNED, place="shelf")], "A is not out yet and lies at 'shelf'"),
        ([casting("A", figure="J1"), casting("A", place="shelf")], "A is written 2 times."),
        (
            [casting("A", figure="J1"), casting("B", figure="J1")],
            "J1 has A and B: one casting of each part is enough.",
        ),
    ],
)
def test_every_way_of_being_in_two_places_is_found(castings: list[Whereabouts], words: str) -> None:
    assert any(words in fault for fault in check_castings(castings, {1: 9}))


def test_more_castings_than_cavities_are_found() -> None:
    two = [casting("A", place="shelf"), casting("B", place="shelf")]
    assert check_castings(two, {1: 1}) == ["Pour 1 has 2 castings from 1 cavities."]
    assert check_castings(two, {1: 2}) == []
