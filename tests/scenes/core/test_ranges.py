"""The range of a count with blanks, against every way to fill them tried out."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from scenes.core.counting import count_figures
from scenes.core.naming import Names
from scenes.core.plot import Appearance, Plot
from scenes.core.plot_problems import costume_owners
from scenes.core.ranges import Decision, count_range, fill_blanks, known_places, say_decision
from tests.scenes.core.stories import JORY, change, make_scenes, name_all, wear
from tests.scenes.core.strategies import plots

some_plots = plots(most_appearances=4, most_copies=2)


def fillings_of(plot: Plot) -> list[list[Appearance]]:
    """Every way to fill each appearance's blanks, written from the rule's words."""
    places = {p for a in plot.appearances for p in (a.from_place, a.to_place)}
    places |= {p for pair in plot.walks for p in pair}
    places -= {""}
    if len(places) < 2:
        places |= {"left", "right"}
    owners = costume_owners(plot)
    ways = []
    for a in plot.appearances:
        worn = [c for c, g in owners.items() if g == a.guise] + [None]
        ways.append(
            [
                replace(a, costume=c, from_place=i, to_place=o)
                for c in (worn if a.costume is None else [a.costume])
                for i in (sorted(places) if not a.from_place else [a.from_place])
                for o in (sorted(places) if not a.to_place else [a.to_place])
            ]
        )
    return ways


def by_trying_all(plot: Plot) -> tuple[int, int] | None:
    """Fewest and most of all fillings; None where there are too many to try."""
    ways = fillings_of(plot)
    total = 1
    for choices in ways:
        total *= len(choices)
    if total > 250:
        return None
    counts = [
        count_figures(replace(plot, appearances=tuple(filled))).figures for filled in product(*ways)
    ]
    return min(counts), max(counts)


@given(plot=some_plots)
def test_both_ends_are_those_of_every_way_to_fill(plot: Plot) -> None:
    tried = by_trying_all(plot)
    assume(tried is not None)
    found = count_range(plot)
    assert found.proved
    assert (found.lowest, found.highest) == tried


@given(plot=plots(most_appearances=10, most_copies=3, guises=("Jory", "Heron")))
def test_the_count_lies_in_the_range_and_the_ends_are_met(plot: Plot) -> None:
    found = count_range(plot)
    assert found.figures == count_figures(plot).figures
    assert found.figures <= found.highest
    if all(a.copies == 1 for a in plot.appearances):  # copies share one place when it is said
        assert found.lowest <= found.figures
    best = [decision for guise in found.guises for decision in guise.for_it]
    worst = {(d.key, d.what): d for d in best}
    worst |= {(d.key, d.what): d for guise in found.guises for d in guise.against}
    assert count_range(fill_blanks(plot, best)).lowest == found.lowest
    assert count_range(fill_blanks(plot, list(worst.values()))).highest == found.highest
    if found.proved:
        assert (found.lowest < found.highest) == any(guise.against for guise in found.guises)


@given(plot=plots(most_appearances=6), data=st.data())
def test_deciding_a_blank_never_widens_the_range_and_is_foretold(
    plot: Plot, data: st.DataObject
) -> None:
    found = count_range(plot)
    blanks = [blank for guise in found.guises for blank in guise.blanks if blank.outcomes]
    assume(blanks)
    blank = data.draw(st.sampled_from(blanks))
    value, lowest, highest = data.draw(st.sampled_from(blank.outcomes))
    assert found.lowest <= lowest <= highest <= found.highest
    if value is not None:  # a costume not named yet stays undecided in the plot
        after = count_range(fill_blanks(plot, [Decision(blank.key, blank.what, value)]))
        # A costume named now may be a choice the less for nobody; places stay as they are.
        if known_places(fill_blanks(plot, [Decision(blank.key, blank.what, value)])) == (
            known_places(plot)
        ):
            assert (after.lowest, after.highest) == (lowest, highest)


@given(plot=plots(most_appearances=10))
def test_without_blanks_there_is_no_range(plot: Plot) -> None:
    said = replace(
        plot,
        appearances=tuple(
            replace(
                a,
                costume=a.costume or ("Jory", "coat"),
                from_place=a.from_place or "left",
                to_place=a.to_place or "right",
            )
            for a in plot.appearances
        ),
    )
    found = count_range(said)
    assert found.lowest == found.highest == count_figures(said).figures
    assert all(guise.blanks == () for guise in found.guises)


@given(plot=some_plots, data=st.data())
def test_the_order_of_rows_moves_neither_end(plot: Plot, data: st.DataObject) -> None:
    shuffled = replace(plot, appearances=tuple(data.draw(st.permutations(plot.appearances))))
    one, two = count_range(plot), count_range(shuffled)
    assert (one.lowest, one.highest) == (two.lowest, two.highest)


def test_a_blank_place_that_is_tight_is_a_blank_that_matters() -> None:
    """Off left, on again a quarter of a minute later; crossing takes half a minute."""
    scenes = make_scenes(4, 4, gap_min=0.25)
    worn = (
        wear("a", "coat", 1, places=("left", "left")),
        wear("b", "coat", 2, places=("", "left")),
    )
    plot = Plot(scenes, worn, crossing_s=30)
    found = count_range(plot)
    assert found.words() == "1, or 2 if the blanks go against you"
    (guise,) = found.guises
    (blank,) = guise.blanks
    assert (blank.key, blank.what, blank.matters) == ("b", "from_place", True)
    assert blank.outcomes == (("left", 1, 1), ("right", 2, 2))
    (against,) = guise.against
    said = say_decision(against, plot, Names(guises={JORY: "Jory"}, scenes={2: "2"}))
    assert said == "Jory in scene 2 enters from right"


def test_places_do_not_matter_where_there_is_time() -> None:
    scenes = make_scenes(4, 4, gap_min=1)
    plot = Plot(scenes, (wear("a", "coat", 1), wear("b", "coat", 2)), crossing_s=30)
    found = count_range(plot)
    assert found.words() == "1, however the blanks are filled"
    assert found.guises[0].blanks == ()


def test_an_undecided_costume_between_two_others() -> None:
    """Coat, undecided, gown, and a change from coat to gown: at best one figure plays all."""
    scenes = make_scenes(4, 4, 4, gap_min=2)
    worn = (wear("a", "coat", 1), wear("b", None, 2), wear("c", "gown", 3))
    plot = Plot(scenes, worn, (change("coat", "gown", 1),))
    found = count_range(plot)
    assert (found.lowest, found.highest, found.figures) == (1, 2, 2)
    (against,) = found.guises[0].against
    assert say_decision(against, plot, name_all(plot)) == (
        "Jory at thirty in scene 2 wears a costume not named yet"
    )
    assert found.words() == "1, or 2 if the blanks go against you"


def test_both_sides_of_a_blank_exit_cannot_both_be_suited() -> None:
    """Two copies leave by one place; one is wanted left and one right, at once."""
    scenes = make_scenes(4, 4, gap_min=0.25)
    worn = (
        wear("a", "coat", 1, copies=2),
        wear("l", "coat", 2, places=("left", "left")),
        wear("r", "coat", 2, places=("right", "right")),
    )
    found = count_range(Plot(scenes, worn, crossing_s=30))
    assert (found.lowest, found.highest) == (3, 3)
    assert found.figures == 2


def test_too_many_ways_give_bounds_that_are_said_to_be_bounds(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Neighbouring scenes are too near to cross between, the next but one is not: at most two."""
    monkeypatch.setattr("scenes.core.ranges.MOST_WAYS", 10)
    scenes = make_scenes(*[2] * 40, gap_min=0.25)
    worn = tuple(wear(f"{n}", "coat", n) for n in range(1, 41))
    found = count_range(Plot(scenes, worn, crossing_s=30))
    assert not found.proved
    assert found.words() == "no fewer than 1 and no more than 2"
    assert all(blank.matters for blank in found.guises[0].blanks)
