"""Laws that any count obeys, whatever the plot."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from scenes.core.counting import Count, count_figures
from scenes.core.plot import Appearance, ChangeRule, Plot, Scene
from tests.scenes.core.strategies import COSTUMES, plots

some_plots = plots(most_appearances=14, most_copies=3, guises=("Jory", "Heron"))


def aims(count: Count) -> list[tuple[int, int, int]]:
    return [(guise.figures, guise.changes, guise.crossings) for guise in count.guises]


@given(plot=some_plots, data=st.data())
def test_the_order_of_rows_means_nothing(plot: Plot, data: st.DataObject) -> None:
    shuffled = replace(
        plot,
        appearances=tuple(data.draw(st.permutations(plot.appearances))),
        rules=tuple(data.draw(st.permutations(plot.rules))),
    )
    assert count_figures(shuffled) == count_figures(plot)


@given(plot=some_plots, one=st.sampled_from(COSTUMES), two=st.sampled_from(COSTUMES))
def test_one_rule_more_never_needs_more_figures(plot: Plot, one: str, two: str) -> None:
    pair = (("Jory", one), ("Jory", two))
    if one == two or pair in {(r.from_costume, r.to_costume) for r in plot.rules}:
        return
    more = replace(plot, rules=(*plot.rules, ChangeRule("Jory", *pair, 0)))
    assert count_figures(more).figures <= count_figures(plot).figures


@given(plot=some_plots, factor=st.integers(2, 90))
def test_scaling_all_times_changes_nothing(plot: Plot, factor: int) -> None:
    def times(seconds: int | None) -> int | None:
        return None if seconds is None else seconds * factor

    scaled = replace(
        plot,
        scenes=tuple(
            replace(s, length_s=s.length_s * factor, gap_s=s.gap_s * factor) for s in plot.scenes
        ),
        appearances=tuple(
            replace(a, enters_s=times(a.enters_s), leaves_s=times(a.leaves_s))
            for a in plot.appearances
        ),
        rules=tuple(replace(r, change_s=r.change_s * factor) for r in plot.rules),
        crossing_s=plot.crossing_s * factor,
        reset_s=plot.reset_s * factor,
        walks={pair: seconds * factor for pair, seconds in plot.walks.items()},
    )
    assert aims(count_figures(scaled)) == aims(count_figures(plot))


@given(plot=some_plots)
def test_the_show_played_backwards_needs_the_same(plot: Plot) -> None:
    """Scenes, times, places and rules turned round: what followed now goes before."""
    gaps = [0, *(scene.gap_s for scene in plot.scenes[:-1])]
    lengths = {scene.key: scene.length_s for scene in plot.scenes}
    turned = replace(
        plot,
        scenes=tuple(
            replace(scene, gap_s=gap) for scene, gap in zip(plot.scenes, gaps, strict=True)
        )[::-1],
        appearances=tuple(_turn(a, lengths[a.scene]) for a in plot.appearances),
        rules=tuple(
            replace(r, from_costume=r.to_costume, to_costume=r.from_costume) for r in plot.rules
        ),
        walks={(two, one): seconds for (one, two), seconds in plot.walks.items()},
    )
    assert aims(count_figures(turned)) == aims(count_figures(plot))


def _turn(a: Appearance, length_s: int) -> Appearance:
    enters_s = None if a.leaves_s is None else length_s - a.leaves_s
    leaves_s = None if a.enters_s is None else length_s - a.enters_s
    places = {"from_place": a.to_place, "to_place": a.from_place}
    return replace(a, enters_s=enters_s, leaves_s=leaves_s, **places)


@given(plot=some_plots)
def test_more_time_to_reset_or_cross_never_needs_fewer_figures(plot: Plot) -> None:
    figures = count_figures(plot).figures
    assert count_figures(replace(plot, reset_s=plot.reset_s + 1)).figures >= figures
    assert count_figures(replace(plot, crossing_s=plot.crossing_s + 1)).figures >= figures


@given(plot=some_plots, place=st.sampled_from(("left", "right")))
def test_saying_a_place_never_needs_fewer_figures(plot: Plot, place: str) -> None:
    said = tuple(replace(a, from_place=a.from_place or place) for a in plot.appearances)
    assert count_figures(replace(plot, appearances=said)).figures >= count_figures(plot).figures


@given(plot=plots(most_appearances=14, has_rules=False, has_rigs=False), data=st.data())
def test_one_appearance_more_never_needs_fewer_figures_where_pairs_are_transitive(
    plot: Plot, data: st.DataObject
) -> None:
    """With change rules it may (see the smock between coat and gown): rules do not chain."""
    plain = tuple(replace(a, from_place="", to_place="") for a in plot.appearances)
    plot = replace(plot, appearances=plain, reset_s=0)
    if not plain:
        return
    gone = data.draw(st.sampled_from(plain))
    fewer = replace(plot, appearances=tuple(a for a in plain if a != gone))
    more, less = count_figures(plot).figures, count_figures(fewer).figures
    assert less <= more <= less + gone.copies


@given(plot=some_plots)
def test_cutting_an_appearance_saves_no_more_than_its_copies(plot: Plot) -> None:
    figures = count_figures(plot).figures
    for gone in plot.appearances[:3]:
        fewer = replace(plot, appearances=tuple(a for a in plot.appearances if a != gone))
        assert count_figures(fewer).figures >= figures - gone.copies


@given(plot=some_plots)
def test_each_guise_is_counted_apart(plot: Plot) -> None:
    whole = count_figures(plot)
    for counted in whole.guises:
        alone = replace(
            plot,
            appearances=tuple(a for a in plot.appearances if a.guise == counted.guise),
            rules=tuple(r for r in plot.rules if r.guise == counted.guise),
            guises=(counted.guise,),
        )
        assert count_figures(alone).guises == (counted,)


@given(plot=some_plots)
def test_a_show_given_twice_needs_between_once_and_twice_its_figures(plot: Plot) -> None:
    """A figure that cannot get back to where it began is wanted a second time, and no more."""
    again = tuple(replace(scene, key=f"{scene.key} again", label="") for scene in plot.scenes)
    waiting = (*plot.scenes[:-1], replace(plot.scenes[-1], gap_s=10_000))
    twice = replace(
        plot,
        scenes=(*waiting, *again),
        appearances=(
            *plot.appearances,
            *(replace(a, key=f"{a.key} again", scene=f"{a.scene} again") for a in plot.appearances),
        ),
    )
    once = count_figures(plot).figures
    assert once <= count_figures(twice).figures <= 2 * once


def test_ten_thousand_appearances_of_one_guise_are_counted() -> None:
    """Two in every scene, one of them lingering a second too long: three figures, by hand."""
    scenes = tuple(Scene(n, str(n), 60) for n in range(5_000))
    worn = tuple(
        Appearance((n, side), "gulls", "grey", n, 0 if n else None, 60)
        for n in range(5_000)
        for side in (1, 2)
    )
    plot = Plot(scenes, worn, reset_s=30)
    assert count_figures(plot).figures == 2
    late = replace(worn[100], enters_s=-1)
    assert count_figures(replace(plot, appearances=(*worn[:100], late, *worn[101:]))).figures == 3
