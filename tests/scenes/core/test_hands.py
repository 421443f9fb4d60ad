"""People at work: counted second by second, manned, mended, and put right for the next day."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.core.counting import Stop, Track, count_figures
from scenes.core.hands import (
    HUNG,
    ONE_HAND,
    SET_DOWN,
    Crew,
    PlannedChange,
    find_handling,
    find_needs,
    find_stretches,
)
from scenes.core.mends import find_mends
from scenes.core.naming import Names
from scenes.core.plot import Plot, place_appearances, scene_starts
from scenes.core.roster import Person, check_roster, make_roster
from scenes.core.turn_round import find_ways_back
from tests.scenes.core.oracles import lay_out, people_at
from tests.scenes.core.stories import JORY, change, make_scenes, wear
from tests.scenes.core.strategies import plots

HOLDS = ("two hands", ONE_HAND, HUNG, SET_DOWN)
SCENES = make_scenes(4, 4, gap_min=1)


@st.composite
def held_plots(draw: st.DrawFn) -> Plot:
    """Random plots in which figures are held in all ways, minutes long so that handling fits."""
    plot = draw(plots(most_appearances=8, guises=("Jory", "Heron"), most_copies=2))

    def long(seconds: int | None) -> int | None:
        return None if seconds is None else seconds * 7

    return replace(
        plot,
        scenes=tuple(replace(s, length_s=s.length_s * 7, gap_s=s.gap_s * 7) for s in plot.scenes),
        appearances=tuple(
            replace(
                a,
                enters_s=long(a.enters_s),
                leaves_s=long(a.leaves_s),
                hold=draw(st.sampled_from(HOLDS)),
            )
            for a in plot.appearances
        ),
    )


@given(plot=held_plots())
def test_people_and_hooks_second_by_second(plot: Plot) -> None:
    stretches = find_stretches(plot)
    for at_s in range(-10, 200):
        here = [s for s in stretches if s.starts_s <= at_s < s.ends_s]
        assert len(here) <= 1
        said = (here[0].working, here[0].hooks) if here else (0, 0)
        assert said == people_at(plot, at_s)


@given(plot=held_plots())
def test_the_greatest_need_of_the_scenes_is_that_of_the_show(plot: Plot) -> None:
    stretches = find_stretches(plot)
    needs = find_needs(plot, Crew(0), stretches)
    assert max(n.people for n in needs) == max((s.people for s in stretches), default=0)
    assert max(n.hooks for n in needs) == max((s.hooks for s in stretches), default=0)


@given(plot=held_plots(), performers=st.integers(0, 5))
def test_everything_is_manned_where_the_numbers_suffice(plot: Plot, performers: int) -> None:
    crew = Crew(performers)
    tracks = [track for guise in count_figures(plot).guises for track in guise.tracks]
    stretches = find_stretches(plot, tracks=tracks)
    roster = make_roster(plot, tracks, crew)
    assert check_roster(plot, crew, roster) == []
    is_enough = all(s.short(crew) <= 0 for s in stretches)
    assert (not roster.unmanned) == is_enough


@given(plot=held_plots(), performers=st.integers(0, 4))
def test_one_performer_more_never_leaves_more_unmanned(plot: Plot, performers: int) -> None:
    need = sum(n.short for n in find_needs(plot, Crew(performers), find_stretches(plot)))
    more = sum(n.short for n in find_needs(plot, Crew(performers + 1), find_stretches(plot)))
    assert more <= need


@given(plot=held_plots(), performers=st.integers(0, 3))
def test_every_mend_mends_its_scene(plot: Plot, performers: int) -> None:
    crew = Crew(performers, hooks=1)
    needs = find_needs(plot, crew, find_stretches(plot))
    for n, need in enumerate(needs):
        mends = find_mends(plot, crew, need.scene)
        assert bool(mends) == bool(need.short or need.hooks_short)
        for mend in mends:
            if mend.appearance is None:
                continue
            key = mend.appearance.key
            entries = tuple(mend.appearance if a.key == key else a for a in plot.appearances)
            after = replace(plot, appearances=entries)
            made = find_needs(after, crew, find_stretches(after))[n]
            assert not made.short
            assert not made.hooks_short


@given(plot=held_plots())
def test_figures_held_with_two_hands_need_no_hand_over(plot: Plot) -> None:
    """Intervals coloured in order of time: as many people as are on at once (Golumbic 1980,
    Algorithmic Graph Theory and Perfect Graphs, on interval graphs; networkx finds the clique)."""
    plot = replace(plot, appearances=tuple(replace(a, hold="two hands") for a in plot.appearances))
    units = lay_out(plot)
    graph = nx.Graph()
    graph.add_nodes_from(range(len(units)))
    graph.add_edges_from(
        (i, j) for i, one in enumerate(units) for j, two in enumerate(units)
        if i < j and one[2] < two[3] and two[2] < one[3]
    )  # fmt: skip
    people = max((len(clique) for clique in nx.find_cliques(graph)), default=0)
    roster = make_roster(plot, (), Crew(people))
    assert (roster.unmanned, roster.hand_overs) == ((), ())
    if people:
        assert make_roster(plot, (), Crew(people - 1)).unmanned


def test_scene_five_wants_four_people() -> None:
    scenes = make_scenes(*[4] * 5)
    worn = tuple(wear(f"{n}", "coat", 5, guise=g) for n, g in enumerate(("Pell", "Heron")))
    worn = (*worn, replace(wear("x", "coat", 5), copies=2))
    plot = Plot(scenes, worn)
    crew = Crew(3)
    need = find_needs(plot, crew, find_stretches(plot))[4]
    names = Names(scenes={5: "5"})
    assert need.words(crew, names) == "scene 5 wants four people; you are three"
    assert [mend.words(names) for mend in find_mends(plot, crew, 5)][-1] == "one performer more"
    assert need.at_s == scene_starts(scenes)[4]


def test_hanging_one_up_mends_a_scene_that_has_people_to_hang_it() -> None:
    """The gull is on from minute 1, hung by somebody free; the other two come at minute 2."""
    worn = (
        wear("g", "grey", 1, 1, guise="gull"),
        wear("p", "coat", 1, 2, 3.5, guise="Pell"),
        wear("q", "gown", 1, 2, 3.5, guise="Quill"),
    )
    plot = Plot(SCENES, worn)
    said = [mend.words(Names()) for mend in find_mends(plot, Crew(2, hooks=1), 1)]
    assert "hang gull up" in said
    assert "hang gull up" not in [
        mend.words(Names()) for mend in find_mends(plot, Crew(2, hooks=0), 1)
    ]
    assert said[-1] == "one performer more"
    assert "gull leaves 3:00 earlier" not in said
    assert "Pell enters 1:30 later" not in said


def test_a_time_moved_a_little_is_the_smallest_thing() -> None:
    worn = (
        wear("p", "coat", 1, 0, 2, guise="Pell"),
        wear("q", "gown", 1, 1.75, 4, guise="Quill"),
    )
    mends = find_mends(Plot(SCENES, worn), Crew(1), 1)
    assert [m.words(Names()) for m in mends][:2] == [
        "Pell leaves 0:15 earlier",
        "Quill enters 0:15 later",
    ]


def test_figures_that_rest_on_are_not_handled_between() -> None:
    scenes = make_scenes(4, 4)
    worn = tuple(replace(wear(f"{n}", "coat", n), hold=HUNG) for n in (1, 2))
    plot = Plot(scenes, worn)
    placed = place_appearances(plot)
    assert len(find_handling(placed)) == 4
    tracks = count_figures(plot).guises[0].tracks
    assert [(h.starts_s, h.ends_s) for h in find_handling(placed, tracks)] == [(0, 10), (470, 480)]


def test_a_table_top_figure_takes_three_people() -> None:
    plot = Plot(SCENES, (wear("x", "coat", 1),))
    crew = Crew(2, people_for={JORY: 3})
    assert find_stretches(plot, crew.people_for)[0].working == 3
    assert len(make_roster(plot, (), crew).unmanned) == 1


def test_a_change_takes_a_dresser_and_keeps_them() -> None:
    plot = Plot(SCENES, (wear("1", "coat", 1), wear("2", "gown", 2)), (change("coat", "gown", 1),))
    planned = PlannedChange(Stop("1", 1), Stop("2", 1), 240, 300, 1)
    crew = Crew(1, dressers=1)
    roster = make_roster(plot, count_figures(plot).guises[0].tracks, crew, [planned])
    assert roster.people_of(planned) == (Person("dresser", 1),)
    assert check_roster(plot, crew, roster, [planned]) == []
    assert find_stretches(plot, changes=[planned])[1].changing == 1


def test_a_hand_over_joins_two_figures_of_one_hand() -> None:
    """Two people hold one each in both hands' halves; a third, two-handed, comes on later."""
    halves = [
        replace(wear("b", "coat", 1, 0, 1, guise="b"), hold=ONE_HAND),
        replace(wear("a", "coat", 1, 0, 4, guise="a"), hold=ONE_HAND),
        replace(wear("c", "coat", 1, 0, 1, guise="c"), hold=ONE_HAND),
        replace(wear("d", "coat", 1, 0, 4, guise="d"), hold=ONE_HAND),
        wear("e", "coat", 1, 2, 4, guise="e"),
    ]
    crew = Crew(2)
    plot = Plot(SCENES, tuple(halves))
    roster = make_roster(plot, (), crew)
    assert roster.unmanned == ()
    assert check_roster(plot, crew, roster) == []
    assert len(roster.hand_overs) <= 1


def test_the_checker_finds_a_roster_that_is_wrong() -> None:
    plot = Plot(SCENES, (wear("1", "coat", 1), wear("2", "gown", 1, guise="Pell")))
    good = make_roster(plot, (), Crew(2))
    one = Person("performer", 1)
    both = replace(good, duties=tuple(replace(d, person=one) for d in good.duties))
    assert any("needs 4 hands" in line for line in check_roster(plot, Crew(2), both))
    none = replace(good, duties=good.duties[:1])
    assert any("has 0 people" in line for line in check_roster(plot, Crew(2), none))
    assert any("is not there" in line for line in check_roster(plot, Crew(1), good))


def test_ways_back_between_performances() -> None:
    worn = (
        wear("1", "coat", 1, places=("left", "left")),
        wear("2", "gown", 2, places=("left", "right")),
        wear("p", "grey", 1, guise="Pell"),
    )
    rules = (
        change("coat", "gown", 1),
        change("gown", "smock", 2),
        change("smock", "coat", 3),
    )
    plot = Plot(SCENES, worn, rules, crossing_s=40)
    tracks = {guise.guise: guise.tracks for guise in count_figures(plot).guises}
    (way,) = find_ways_back(plot, tracks)
    assert [str(c).split(": ")[1] for c in way.costumes] == ["gown", "smock", "coat"]
    assert (way.change_s, way.people, way.walk_s) == (300, 1, 40)
    (stuck,) = find_ways_back(replace(plot, rules=rules[:1]), tracks)
    assert stuck.change_s is None


@given(plot=plots(most_appearances=8))
def test_ways_back_are_the_quickest_by_networkx(plot: Plot) -> None:
    tracks: dict[object, tuple[Track, ...]] = {
        guise.guise: guise.tracks for guise in count_figures(plot).guises
    }
    ways = nx.DiGraph()
    ways.add_weighted_edges_from((r.from_costume, r.to_costume, r.change_s) for r in plot.rules)
    by_key = {a.key: a for a in plot.appearances}
    found = {(way.guise, way.track): way for way in find_ways_back(plot, tracks)}
    for guise, its in tracks.items():
        for number, track in enumerate(its, start=1):
            start, end = by_key[track.stops[0].key], by_key[track.stops[-1].key]
            way = found.get((guise, number))
            if start.costume == end.costume:
                assert way is None or way.costumes == ()
                continue
            assert way is not None
            try:
                said = nx.dijkstra_path_length(ways, end.costume, start.costume)
            except (nx.NetworkXNoPath, nx.NodeNotFound):
                said = None
            assert way.change_s == said


def test_a_crew_of_less_than_nobody_is_refused() -> None:
    with pytest.raises(ValueError, match="performers is -1"):
        Crew(-1)
    with pytest.raises(ValueError, match="more than 1 dressers"):
        Crew(1, 1, 2)
    with pytest.raises(ValueError, match="unknown"):
        find_mends(Plot(), Crew(1), "9")
