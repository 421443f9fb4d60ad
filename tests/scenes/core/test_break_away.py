"""Parts that break: counted by hand, and as laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.core.break_away import count_break_away
from scenes.core.plot import Appearance, Plot, Scene

SCENES = (Scene("a", "1", 240), Scene("b", "2", 300))


def on(*rows: tuple[str, str, str, int]) -> Plot:
    """A plot of (guise, rig, scene, copies)."""
    return Plot(
        SCENES,
        tuple(
            Appearance(number, guise, "coat", scene, rig=rig, copies=copies)
            for number, (guise, rig, scene, copies) in enumerate(rows)
        ),
    )


def test_each_copy_breaks_a_part_at_every_performance() -> None:
    plot = on(
        ("Pell", "barrel", "a", 2), ("Pell", "Barrel", "b", 1), ("Pell", "", "b", 4),
        ("Quill", "barrel", "a", 9),
    )  # fmt: skip
    (found,) = count_break_away(plot, {("Pell", "barrel"): 30}, 20)
    assert (found.a_show, found.parts, found.minutes) == (3, 60, 30 * 60)


def test_without_performances_only_one_show_is_said() -> None:
    (found,) = count_break_away(on(("Pell", "barrel", "a", 1)), {("Pell", "barrel"): 30}, None)
    assert (found.a_show, found.parts, found.minutes) == (1, None, None)


def test_what_the_plot_does_not_use_needs_none() -> None:
    (found,) = count_break_away(on(("Pell", "", "a", 1)), {("Pell", "barrel"): 30}, 20)
    assert (found.a_show, found.parts) == (0, 0)
    assert count_break_away(on(), {}, 20) == ()


def test_numbers_below_nought_are_refused() -> None:
    with pytest.raises(ValueError, match="performances is -1"):
        count_break_away(on(), {}, -1)
    with pytest.raises(ValueError, match="-5 minutes"):
        count_break_away(on(), {("Pell", "barrel"): -5}, 1)


@given(
    st.lists(st.tuples(st.sampled_from(["Pell", "Quill"]), st.sampled_from(["", "barrel"]),
                       st.sampled_from(["a", "b"]), st.integers(1, 5)), max_size=6),
    st.integers(0, 99),
)  # fmt: skip
def test_parts_grow_with_the_run_and_with_the_plot(
    rows: list[tuple[str, str, str, int]], performances: int
) -> None:
    breaking = {("Pell", "barrel"): 15}
    (one,) = count_break_away(on(*rows), breaking, performances)
    (more,) = count_break_away(on(*rows, ("Pell", "barrel", "a", 1)), breaking, performances)
    assert one.parts == one.a_show * performances
    assert (more.a_show, more.parts) == (one.a_show + 1, one.parts + performances)
    (mixed,) = count_break_away(on(*rows[::-1]), breaking, performances)
    assert mixed == one
