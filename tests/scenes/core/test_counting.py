"""Counts that can be checked by hand, and the trade's own values."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scenes.core.counting import Change, Stop, count_figures, count_guise
from scenes.core.plot import Plot
from tests.scenes.core.stories import JORY, change, make_scenes, wear

FOUR = make_scenes(4, 4, 4, 4, gap_min=1)


def figures_of(plot: Plot) -> int:
    return count_figures(plot).figures


def test_a_guise_in_four_costumes_and_no_changes_is_four_figures() -> None:
    """Common practice, no source."""
    costumes = ("oilskin", "coat", "nightshirt", "uniform")
    plot = Plot(FOUR, tuple(wear(c, c, n) for n, c in enumerate(costumes, start=1)))
    assert figures_of(plot) == 4


def test_five_costumes_at_one_age_and_younger_guises_beside_them_are_a_dozen() -> None:
    """Common practice, no source: five at sixty, four at thirty, three at nine."""
    ages = {"Jory at sixty": 5, "Jory at thirty": 4, "Jory at nine": 3}
    scenes = make_scenes(*[3] * 12, gap_min=1)
    worn = [(age, costume) for age, many in ages.items() for costume in range(many)]
    plot = Plot(
        scenes,
        tuple(
            wear(f"{age} {costume} {scene}", f"costume {costume}", scene, guise=age)
            for age, costume in worn
            for scene in (1 + costume, 7 + costume)
        ),
    )
    count = count_figures(plot)
    assert count.figures == 12
    assert [guise.figures for guise in count.guises] == [5, 4, 3]


def test_one_costume_throughout_is_one_figure() -> None:
    plot = Plot(FOUR, tuple(wear(f"a{n}", "coat", n) for n in (1, 2, 3, 4)))
    count = count_guise(plot, JORY)
    assert [[stop.key for stop in track.stops] for track in count.tracks] == [
        ["a1", "a2", "a3", "a4"]
    ]


def test_a_change_that_has_the_time_saves_a_figure() -> None:
    """Coat until 4:00, gown from 5:00 on: a change of one minute just fits."""
    plot = Plot(FOUR, (wear("a", "coat", 1), wear("b", "gown", 2)))
    assert figures_of(plot) == 2
    fits = replace(plot, rules=(change("coat", "gown", 1),))
    counted = count_guise(fits, JORY)
    assert (counted.figures, counted.changes) == (1, 1)
    assert counted.tracks[0].changes == (Change(Stop("a", 1), Stop("b", 1), fits.rules[0]),)
    assert figures_of(replace(plot, rules=(change("coat", "gown", 61 / 60),))) == 2


def test_a_change_goes_one_way_only() -> None:
    plot = Plot(FOUR, (wear("a", "coat", 1), wear("b", "gown", 3)), (change("gown", "coat", 1),))
    assert figures_of(plot) == 2


def test_changes_do_not_chain() -> None:
    """Coat to smock and smock to gown: no smock between them is worn, so no way to the gown."""
    rules = (change("coat", "smock", 0.5), change("smock", "gown", 0.5))
    plot = Plot(FOUR, (wear("a", "coat", 1), wear("c", "gown", 3)), rules)
    assert figures_of(plot) == 2
    worn_between = replace(plot, appearances=(*plot.appearances, wear("b", "smock", 2)))
    assert figures_of(worn_between) == 1


def test_pairs_are_counted_as_they_stand_not_on_their_closure() -> None:
    """The five-node hourglass 0-2, 1-2, 2-3, 2-4: 3 paths on the pairs, 2 on their closure.

    From memory (the usual trap of minimum path cover); checked by hand: the middle one is on one
    path only, which leaves one of 0 and 1 alone, and one of 3 and 4.
    """
    first = [wear("0", "coat", 1), wear("1", "cape", 1)]
    last = [wear("3", "gown", 3), wear("4", "apron", 3)]
    rules = (
        change("coat", "smock", 1),
        change("cape", "smock", 1),
        change("smock", "gown", 1),
        change("smock", "apron", 1),
    )
    plot = Plot(FOUR, (*first, wear("2", "smock", 2), *last), rules)
    counted = count_guise(plot, JORY)
    assert counted.figures == 3
    assert counted.reason.kind == "shared"


def test_crossing_takes_its_time_only_between_places_that_are_said() -> None:
    scenes = make_scenes(4, 4, gap_min=1)
    left = wear("a", "coat", 1, places=("left", "left"))
    for place, figures in (("right", 2), ("left", 1), ("", 1)):
        second = wear("b", "coat", 2, places=(place, place))
        assert figures_of(Plot(scenes, (left, second), crossing_s=90)) == figures
        assert figures_of(Plot(scenes, (left, second), crossing_s=60)) == 1


def test_named_places_take_their_own_time_each_way() -> None:
    scenes = make_scenes(4, 4, gap_min=1)
    worn = (wear("a", "coat", 1, places=("", "bridge")), wear("b", "coat", 2, places=("left", "")))
    plot = Plot(scenes, worn, crossing_s=0, walks={("bridge", "left"): 90, ("left", "bridge"): 10})
    assert figures_of(plot) == 2
    assert figures_of(replace(plot, walks={("bridge", "left"): 60})) == 1


def test_the_reset_drops_out_where_one_costume_goes_straight_on() -> None:
    """Scene 2 follows scene 1 without a gap: the figure simply stays in hand."""
    scenes = make_scenes(4, 4)
    same = Plot(scenes, (wear("a", "coat", 1), wear("b", "coat", 2)), reset_s=30)
    assert figures_of(same) == 1
    later = replace(same, appearances=(wear("a", "coat", 1), wear("b", "coat", 2, enters_min=0.25)))
    assert figures_of(later) == 2  # a quarter of a minute off: out of hand, so reset
    changed = Plot(
        scenes,
        (wear("a", "coat", 1), wear("b", "gown", 2)),
        (change("coat", "gown", 0),),
        reset_s=30,
    )
    assert figures_of(changed) == 2
    crossed = replace(
        same,
        appearances=(
            wear("a", "coat", 1, places=("left", "left")),
            wear("b", "coat", 2, places=("right", "right")),
        ),
    )
    assert figures_of(crossed) == 2  # even when the crossing itself takes no time


def test_copies_are_on_at_once() -> None:
    plot = Plot(FOUR, (wear("a", "grey", 1, copies=5), wear("b", "grey", 2, copies=3)))
    counted = count_guise(plot, JORY)
    assert counted.figures == 5
    assert [len(track.stops) for track in counted.tracks] == [2, 2, 2, 1, 1]


def test_appearances_alike_are_not_merged() -> None:
    plot = Plot(FOUR, (wear("a", "coat", 1), wear("b", "coat", 1)))
    assert figures_of(plot) == 2


def test_of_covers_with_the_fewest_figures_the_one_with_fewest_changes_counts() -> None:
    """Two in the coat, then coat and gown. Two figures whatever is done; one need change."""
    scenes = make_scenes(4, 4, gap_min=2)
    worn = (wear("a", "coat", 1), wear("b", "gown", 1), wear("c", "coat", 2), wear("d", "gown", 2))
    rules = (change("coat", "gown", 1), change("gown", "coat", 1))
    counted = count_guise(Plot(scenes, worn, rules), JORY)
    assert (counted.figures, counted.changes) == (2, 0)


def test_of_those_the_one_with_fewest_crossings_counts() -> None:
    scenes = make_scenes(4, 4, gap_min=2)
    sides = ("left", "right")
    worn = tuple(
        wear(f"{scene}{side}", "coat", scene, places=(side, side))
        for scene in (1, 2)
        for side in (sides if scene == 1 else sides[::-1])
    )
    counted = count_guise(Plot(scenes, worn, crossing_s=60), JORY)
    assert (counted.figures, counted.crossings) == (2, 0)


@pytest.mark.parametrize(
    ("rigs", "plays_plain", "figures"),
    [
        (("", "flying"), (), 2),
        (("", "flying"), ("flying",), 1),
        (("flying", ""), ("flying",), 1),
        (("fight", "flying"), ("flying", "fight"), 2),
        (("flying", "flying"), (), 1),
    ],
)
def test_a_rig_plays_plain_only_where_the_show_says_so(
    rigs: tuple[str, str], plays_plain: tuple[str, ...], figures: int
) -> None:
    worn = (wear("a", "coat", 1, rig=rigs[0]), wear("b", "coat", 2, rig=rigs[1]))
    assert (
        figures_of(
            Plot(FOUR, worn, plain_rigs=frozenset((worn[0].guise, rig) for rig in plays_plain))
        )
        == figures
    )


def test_an_undecided_costume_is_one_of_its_own() -> None:
    """Two undecided ones may turn out the same; none is taken for a costume that is named."""
    worn = (wear("a", None, 1), wear("b", None, 2), wear("c", "coat", 3))
    plot = Plot(FOUR, worn, (change("coat", "gown", 0),))
    assert figures_of(plot) == 2


def test_a_figure_may_be_set_before_its_scene_and_struck_after_it() -> None:
    scenes = make_scenes(4, 4, gap_min=1)
    lingering = wear("a", "coat", 1, leaves_min=5)
    early = wear("b", "coat", 2, enters_min=-0.5)
    assert figures_of(Plot(scenes, (lingering, wear("b", "coat", 2)))) == 1
    assert figures_of(Plot(scenes, (lingering, early))) == 2


def test_a_guise_that_nothing_wears_is_counted_with_no_figure() -> None:
    count = count_figures(Plot(FOUR, (wear("a", "coat", 1),), guises=("the Heron", JORY)))
    assert [(c.guise, c.figures) for c in count.guises] == [("the Heron", 0), (JORY, 1)]
    assert count.of("the Heron").reason.words() == "not in any scene yet"
    with pytest.raises(KeyError):
        count.of("Bartle")


def test_an_unknown_scene_is_refused() -> None:
    with pytest.raises(ValueError, match="scene 9 of appearance 'a' is unknown"):
        count_figures(Plot(FOUR, (wear("a", "coat", 9),)))


def test_an_unsound_appearance_is_refused() -> None:
    with pytest.raises(ValueError, match=r"'a' leaves \(60 s\) before it enters \(60 s\)"):
        count_figures(Plot(FOUR, (wear("a", "coat", 1, 1, 1),)))
    with pytest.raises(ValueError, match="copies of appearance 'a' is 0"):
        count_figures(Plot(FOUR, (wear("a", "coat", 1, copies=0),)))


def test_tracks_come_by_first_entrance() -> None:
    worn = (wear("late", "gown", 3), wear("first", "coat", 1), wear("second", "cape", 2))
    tracks = count_guise(Plot(FOUR, worn), JORY).tracks
    assert [track.stops[0].key for track in tracks] == ["first", "second", "late"]
