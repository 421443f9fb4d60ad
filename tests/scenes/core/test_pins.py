"""Pins on a count, against every partition tried out and against what they must never do."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.core.counting import Stop, count_figures
from scenes.core.pins import Apart, More, Pin, PinnedCount, Same, check_pinned, count_pinned
from scenes.core.plot import Plot
from tests.scenes.core.oracles import Unit, all_partitions, cost_of_step, lay_out
from tests.scenes.core.stories import JORY, change, make_scenes, name_all, wear
from tests.scenes.core.strategies import plots

SCENES = make_scenes(4, 4, 4, 4, gap_min=1)


def honours(tracks: list[list[Unit]], pins: Sequence[Pin]) -> bool:
    on = {
        Stop(unit[0].key, unit[1]): number for number, track in enumerate(tracks) for unit in track
    }
    return all(
        isinstance(pin, More) or (on[pin.first] == on[pin.second]) == isinstance(pin, Same)
        for pin in pins
    )


def by_trying_all(plot: Plot, pins: Sequence[Pin]) -> tuple[int, int, int] | None:
    """Tracks, changes and crossings of the best partition that honours the pins."""
    more = sum(pin.figures for pin in pins if isinstance(pin, More))
    found = []
    for tracks in all_partitions(plot, lay_out(plot)):
        if honours(tracks, pins):
            costs = [cost_of_step(plot, *step) for track in tracks for step in pairwise(track)]
            sums = [sum(cost[n] for cost in costs if cost) for n in (0, 1)]
            found.append((len(tracks), *sums))
    if not found:
        return None
    target = min(tracks for tracks, *_ in found) + more
    most = max(tracks for tracks, *_ in found if tracks <= target)
    return min(aims for aims in found if aims[0] == most)


@st.composite
def pinned_plots(draw: st.DrawFn) -> tuple[Plot, list[Pin]]:
    plot = draw(plots(most_appearances=5, most_copies=2))
    stops = [Stop(unit[0].key, unit[1]) for unit in lay_out(plot)]
    if len(stops) < 2:
        return plot, []
    pair = st.lists(st.sampled_from(stops), min_size=2, max_size=2, unique=True)
    pins: list[Pin] = draw(
        st.lists(
            st.one_of(
                pair.map(lambda two: Same(*two)),
                pair.map(lambda two: Apart(*two)),
                st.just(More("Jory")),
            ),
            max_size=3,
            unique=True,
        )
    )
    return plot, pins


@given(made=pinned_plots())
def test_all_aims_are_those_of_the_best_partition_that_honours_the_pins(
    made: tuple[Plot, list[Pin]],
) -> None:
    plot, pins = made
    pinned = count_pinned(plot, pins)
    assert check_pinned(plot, pinned) == []
    best = by_trying_all(plot, pinned.kept)
    (guise,) = pinned.guises
    assert guise.proved
    assert (len(guise.tracks), guise.changes, guise.crossings) == best
    assert pinned.build >= pinned.needs.figures  # a kept pin never lowers the count
    assert {*pinned.kept, *(gone.pin for gone in pinned.unkept)} == set(pins)
    for gone in pinned.unkept:  # together with those kept, it could not have been
        assert by_trying_all(plot, [*pinned.kept, gone.pin]) is None
        assert gone.why


@given(made=pinned_plots())
def test_without_pins_and_with_pins_kept_anyway_the_count_is_the_plain_one(
    made: tuple[Plot, list[Pin]],
) -> None:
    plot, _ = made
    plain = count_figures(plot)
    made_pins: list[Pin] = [
        Same(one, two)
        for guise in plain.guises
        for track in guise.tracks
        for one, two in pairwise(track.stops)
    ]
    pinned = count_pinned(plot, made_pins)
    assert pinned.unkept == ()
    assert [g.tracks for g in pinned.guises] == [g.tracks for g in plain.guises]
    assert count_pinned(plot, []).guises == pinned.guises


@given(made=pinned_plots())
def test_the_same_pins_give_the_same_tracks_and_hold_when_counted_again(
    made: tuple[Plot, list[Pin]],
) -> None:
    plot, pins = made
    once = count_pinned(plot, pins)
    assert count_pinned(plot, pins) == once
    tracks = {
        stop: number
        for number, track in enumerate(t for g in once.guises for t in g.tracks)
        for stop in track.stops
    }
    again = count_pinned(plot, pins, tracks)
    assert [[t.stops for t in g.tracks] for g in again.guises] == [
        [t.stops for t in g.tracks] for g in once.guises
    ]


def jory_twice() -> Plot:
    """Two at once in scenes 1 and 3, coat and smock, no change."""
    worn = (
        wear("1", "coat", 1),
        wear("1b", "coat", 1),
        wear("2", "coat", 2),
        wear("3", "smock", 3),
    )
    return Plot(SCENES, worn)


def why(plot: Plot, *pins: Pin) -> list[str]:
    return [gone.why for gone in count_pinned(plot, pins, names=name_all(plot)).unkept]


@pytest.mark.parametrize(
    ("pins", "said"),
    [
        (
            (Same(Stop("1", 1), Stop("1b", 1)),),
            "coat in scene 1 and coat in scene 1 are on at once",
        ),
        ((Same(Stop("2", 1), Stop("3", 1)),), "no change from coat to smock possible"),
        ((Same(Stop("2", 1), Stop("9", 1)),), "one of the two is no longer in the plot"),
        ((Same(Stop("2", 1), Stop("1", 2)),), "there is no copy 2 of coat in scene 1 any more"),
        ((Same(Stop("2", 1), Stop("2", 1)),), "both are the same appearance"),
        (
            (Same(Stop("1", 1), Stop("2", 1)), Apart(Stop("1", 1), Stop("2", 1))),
            "another pin makes them one figure",
        ),
        (
            (Apart(Stop("1", 1), Stop("2", 1)), Same(Stop("1", 1), Stop("2", 1))),
            "another pin keeps them apart",
        ),
        (
            (Same(Stop("1", 1), Stop("2", 1)), Same(Stop("1b", 1), Stop("2", 1))),
            "coat in scene 1 and coat in scene 1 are on at once",
        ),
    ],
)  # fmt: skip
def test_a_pin_that_cannot_be_kept_says_why(pins: tuple[Pin, ...], said: str) -> None:
    assert why(jory_twice(), *pins) == [said]


def test_two_guises_are_never_one_figure() -> None:
    worn = (wear("1", "coat", 1), wear("2", "grey", 2, guise="the Heron"))
    plot = Plot(SCENES, worn)
    assert why(plot, Same(Stop("1", 1), Stop("2", 1))) == [
        "they are two guises: no figure plays both"
    ]


def test_pins_that_only_together_fail_leave_out_the_last() -> None:
    """From coat to gown only by way of the smock; the smock is kept from the coat's figure."""
    worn = (wear("c", "coat", 1), wear("s", "smock", 2), wear("g", "gown", 3))
    plot = Plot(SCENES, worn, (change("coat", "smock", 1), change("smock", "gown", 1)))
    pins = (Same(Stop("c", 1), Stop("g", 1)), Apart(Stop("c", 1), Stop("s", 1)))
    pinned = count_pinned(plot, pins, names=name_all(plot))
    assert pinned.kept == pins[:1]
    assert [gone.why for gone in pinned.unkept] == [
        "no way was found to keep it together with the other pins of Jory at thirty"
    ]
    assert pinned.words() == "needs 1"


def test_one_more_takes_part_and_saves_a_change() -> None:
    worn = (wear("1", "coat", 1), wear("2", "gown", 2), wear("3", "gown", 3))
    plot = Plot(SCENES, worn, (change("coat", "gown", 1),))
    pinned = count_pinned(plot, [More(JORY)])
    assert pinned.words() == "needs 1, you build 2"
    assert [[stop.key for stop in track.stops] for track in pinned.guises[0].tracks] == [
        ["1"],
        ["2", "3"],
    ]
    assert pinned.guises[0].changes == 0


def test_one_more_without_anything_to_play_stands_by() -> None:
    plot = Plot(SCENES, (wear("1", "coat", 1),))
    pinned: PinnedCount = count_pinned(plot, [More(JORY, 2)])
    (guise,) = pinned.guises
    assert (pinned.build, guise.idle, len(guise.tracks)) == (3, 2, 1)


def test_fewer_than_one_more_is_refused() -> None:
    with pytest.raises(ValueError, match="fewer than 1"):
        count_pinned(jory_twice(), [More(JORY, 0)])


def test_the_checker_finds_what_is_wrong() -> None:
    plot = jory_twice()
    good = count_pinned(plot, [Apart(Stop("1", 1), Stop("2", 1))])
    assert check_pinned(plot, good) == []
    lied = PinnedCount(good.needs, good.guises, (Same(Stop("1", 1), Stop("2", 1)),))
    assert "said to be kept and is not" in check_pinned(plot, lied)[0]
    short = PinnedCount(good.needs, ())
    assert check_pinned(plot, short) == ["not every copy is played exactly once"]
