"""The count with people, against every cover with every time of every change tried out."""

from __future__ import annotations

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scenes.core.counting import Stop, count_figures
from scenes.core.hands import Crew, PlannedChange
from scenes.core.joint import BuildHours, JointCount, check_joint, count_with_people
from scenes.core.joint.windows import Span, find_lost, find_starts
from scenes.core.plot import Appearance, ChangeRule, Plot, Scene
from tests.scenes.core.oracles import Unit, all_partitions, cost_of_step, lay_out, people_at
from tests.scenes.core.stories import JORY, change, crowded_plot, make_scenes, wear
from tests.scenes.core.strategies import plots

Wanted = tuple[int, int, int, int]  # earliest, latest start, seconds, people

HOURS = BuildHours(
    {"Jory": 600, "Heron": 400},
    {("Jory", "coat"): 100, ("Jory", "gown"): 55, ("Heron", "coat"): 30, ("Heron", "gown"): 300},
)


def window(plot: Plot, before: Unit, after: Unit) -> Wanted | None:
    """When a change between two units may start, from the words of the rule; None for no change."""
    a, b = before[0], after[0]
    if a.costume == b.costume:
        return None
    (rule,) = [
        r for r in plot.rules
        if (r.guise, r.from_costume, r.to_costume) == (a.guise, a.costume, b.costume)
    ]  # fmt: skip
    walk_s = 0
    if a.to_place and b.from_place and a.to_place != b.from_place:
        walk_s = plot.walks.get((a.to_place, b.from_place), plot.crossing_s)
    latest = after[2] - plot.reset_s - walk_s - rule.change_s
    return before[3], latest, rule.change_s, rule.people


def can_be_made(plot: Plot, crew: Crew, wanted: Sequence[Wanted]) -> bool:
    """Whether some start of each change leaves enough people at every second."""
    workers = crew.performers + crew.dressers_who_work
    helpers = crew.dressers - crew.dressers_who_work
    free = {
        at_s: max(0, workers - people_at(plot, at_s)[0])
        for at_s in range(-5, 60)
    }  # fmt: skip

    def put(n: int, by_workers: dict[int, int], by_helpers: dict[int, int]) -> bool:
        if n == len(wanted):
            return True
        first, last, seconds, people = wanted[n]
        for start in range(first, last + 1):
            for helping in range(min(people, helpers) + 1):
                one, two = dict(by_workers), dict(by_helpers)
                for at_s in range(start, start + seconds):
                    one[at_s] = one.get(at_s, 0) + people - helping
                    two[at_s] = two.get(at_s, 0) + helping
                span = range(start, start + seconds)
                is_enough = all(two[s] <= helpers and one[s] <= free[s] for s in span)
                if is_enough and put(n + 1, one, two):
                    return True
            if not seconds:
                return put(n + 1, by_workers, by_helpers)
        return False

    return put(0, {}, {})


def minutes_of(hours: BuildHours, tracks: list[list[Unit]]) -> int:
    total = 0
    for track in tracks:
        worn = {unit[0].costume for unit in track}
        total += max(1, hours.figure_min.get(track[0][0].guise, 0))
        for costume in worn:
            sewing = hours.sewing_min.get(costume, 0)
            extra = -(-sewing * hours.removable_percent // 100)
            total += sewing + (extra if len(worn) > 1 else 0)
    return total


def by_trying_all(plot: Plot, crew: Crew, hours: BuildHours) -> tuple[int, int, int]:
    best: tuple[int, int, int] | None = None
    for tracks in all_partitions(plot, lay_out(plot)):
        steps = [step for track in tracks for step in pairwise(track)]
        costs = [cost for step in steps if (cost := cost_of_step(plot, *step))]
        aims = (minutes_of(hours, tracks), sum(c[0] for c in costs), sum(c[1] for c in costs))
        if best is not None and aims >= best:
            continue
        wanted = [w for step in steps if (w := window(plot, *step))]
        if can_be_made(plot, crew, wanted):
            best = aims
    assert best is not None
    return best


def aims_of(joint: JointCount) -> tuple[int, int, int]:
    tracks = [track for guise in joint.guises for track in guise.tracks]
    return (
        joint.build_min,
        sum(len(track.changes) for track in tracks),
        sum(track.crossings for track in tracks),
    )


@st.composite
def peopled_plots(draw: st.DrawFn, most: int = 5) -> tuple[Plot, Crew]:
    plot = draw(
        plots(
            most_appearances=most,
            guises=("Jory", "Heron"),
            most_copies=1,
            longest_scene_s=4,
            most_scenes=4,
            has_rigs=False,
        )
    )
    plot = replace(
        plot,
        scenes=tuple(replace(s, gap_s=s.gap_s + 2) for s in plot.scenes),
        rules=tuple(replace(r, people=draw(st.sampled_from((1, 1, 2, 0)))) for r in plot.rules),
        appearances=tuple(
            replace(a, hold=draw(st.sampled_from(("two hands", "one hand"))))
            for a in plot.appearances
        ),
    )
    dressers = draw(st.integers(0, 2))
    return plot, Crew(draw(st.integers(0, 3)), dressers, draw(st.integers(0, min(1, dressers))))


@settings(max_examples=60)
@given(made=peopled_plots())
def test_hours_changes_and_crossings_are_the_best_of_all(made: tuple[Plot, Crew]) -> None:
    plot, crew = made
    joint = count_with_people(plot, crew, HOURS)
    assert check_joint(plot, crew, HOURS, joint) == []
    assert joint.proved
    assert aims_of(joint) == by_trying_all(plot, crew, HOURS)


def test_where_people_run_short_the_best_of_all_is_found() -> None:
    """Plots drawn so that most want more changes at once than there are people for."""
    short = 0
    for seed in range(24):
        plot = crowded_plot(seed)
        crew = (Crew(1), Crew(1, 1), Crew(2), Crew(0, 2, 1))[seed % 4]
        joint = count_with_people(plot, crew, HOURS)
        assert check_joint(plot, crew, HOURS, joint) == []
        assert joint.proved
        assert aims_of(joint) == by_trying_all(plot, crew, HOURS)
        short += joint.build_min > count_with_people(plot, Crew(9), HOURS).build_min
    assert short >= 6


@given(made=peopled_plots(most=9))
def test_every_answer_passes_the_checker_and_comes_again(made: tuple[Plot, Crew]) -> None:
    plot, crew = made
    joint = count_with_people(plot, crew, HOURS)
    assert check_joint(plot, crew, HOURS, joint) == []
    assert count_with_people(plot, crew, HOURS) == joint
    assert joint.figures >= count_figures(plot).figures


@given(made=peopled_plots(most=8))
def test_one_dresser_more_never_costs_more(made: tuple[Plot, Crew]) -> None:
    plot, crew = made
    more = replace(crew, dressers=crew.dressers + 1)
    fewer = count_with_people(plot, crew, HOURS)
    assume(fewer.proved)
    assert count_with_people(plot, more, HOURS).build_min <= fewer.build_min


@given(made=peopled_plots(most=8), data=st.data())
def test_the_order_of_rows_means_nothing(made: tuple[Plot, Crew], data: st.DataObject) -> None:
    plot, crew = made
    shuffled = replace(plot, appearances=tuple(data.draw(st.permutations(plot.appearances))))
    assert count_with_people(shuffled, crew, HOURS) == count_with_people(plot, crew, HOURS)


@given(made=peopled_plots(most=8))
def test_with_people_enough_the_figures_are_those_of_the_clock(made: tuple[Plot, Crew]) -> None:
    """Bodies only, no cloth: the fewest hours are then the fewest figures."""
    plot, _ = made
    joint = count_with_people(plot, Crew(40), BuildHours({"Jory": 10, "Heron": 10}))
    count = count_figures(plot)
    assert joint.figures == count.figures
    assert aims_of(joint)[1] == sum(guise.changes for guise in count.guises)


def test_one_dresser_cannot_make_two_changes_at_once() -> None:
    """Jory and Pell both change in the same minute; the dearer body is saved."""
    scenes = make_scenes(4, 4, gap_min=1.5)
    worn = tuple(
        wear(f"{guise}{n}", costume, n, guise=guise)
        for guise in (JORY, "Pell")
        for n, costume in ((1, "coat"), (2, "gown"))
    )
    rules = (change("coat", "gown", 1), change("coat", "gown", 1, guise="Pell"))
    plot = Plot(scenes, worn, rules)
    hours = BuildHours({JORY: 100, "Pell": 200})
    for crew, figures in ((Crew(2), 2), (Crew(1), 3), (Crew(0, 1), 3), (Crew(0), 4)):
        joint = count_with_people(plot, crew, hours)
        assert check_joint(plot, crew, hours, joint) == []
        assert joint.figures == figures
        assert joint.proved
    (made,) = count_with_people(plot, Crew(0, 1), hours).changes
    assert made.guise == "Pell"
    assert [person.part for person in made.people] == ["dresser"]


def test_cloth_can_cost_more_than_a_body() -> None:
    """A gown of 1 000 that comes off costs 400 more: dearer than another body of 300."""
    scenes = make_scenes(4, 4, gap_min=2)
    plot = Plot(scenes, (wear("1", "coat", 1), wear("2", "gown", 2)), (change("coat", "gown", 1),))
    gown = f"{JORY}: gown"
    dear = BuildHours({JORY: 300}, {gown: 1000})
    assert count_with_people(plot, Crew(1), dear).figures == 2
    assert count_with_people(plot, Crew(1), replace(dear, removable_percent=0)).figures == 1


def test_a_costume_put_on_again_is_sewn_once() -> None:
    scenes = make_scenes(4, 4, 4, gap_min=2)
    worn = (wear("1", "coat", 1), wear("2", "gown", 2), wear("3", "coat", 3))
    rules = (change("coat", "gown", 1), change("gown", "coat", 1))
    hours = BuildHours({JORY: 1000}, {f"{JORY}: coat": 100, f"{JORY}: gown": 200})
    plot = Plot(scenes, worn, rules)
    joint = count_with_people(plot, Crew(1), hours)
    assert (joint.figures, joint.build_min, joint.proved) == (1, 1000 + 140 + 280, True)
    assert check_joint(plot, Crew(1), hours, joint) == []


def test_of_an_interval_eight_minutes_are_lost() -> None:
    scenes = (Scene(1, "1", 240, 15 * 60, is_interval=True), Scene(2, "2", 240))
    plot = Plot(scenes, (wear("1", "coat", 1), wear("2", "gown", 2)), (change("coat", "gown", 7),))
    hours = BuildHours({JORY: 100})
    assert count_with_people(plot, Crew(1), hours).figures == 1
    longer = replace(plot, rules=(change("coat", "gown", 8),))
    assert count_figures(longer).figures == 1  # by the clock alone
    assert count_with_people(longer, Crew(1), hours).figures == 2
    short = replace(plot, scenes=(replace(scenes[0], gap_s=300), scenes[1]))
    assert find_lost(short) == (Span(240, 540),)


def test_starts_leave_the_lost_minutes_alone() -> None:
    assert find_starts(0, 100, 10, [Span(20, 50), Span(70, 80)]) == (
        Span(0, 10),
        Span(50, 60),
        Span(80, 100),
    )
    assert find_starts(0, 5, 10, [Span(3, 50)]) == ()
    assert find_starts(5, 3, 0, []) == ()


def test_without_an_answer_of_the_search_the_first_choice_stands() -> None:
    plot = make_show(8, 6, seed=3)
    hours = show_hours(plot)
    joint = count_with_people(plot, Crew(4, 1), hours, work=0.0)
    assert check_joint(plot, Crew(4, 1), hours, joint) == []
    assert joint.bound_min <= joint.build_min
    if not joint.proved:
        assert joint.words().startswith("not proved")
        assert 0 <= joint.gap < 1


def test_the_checker_finds_what_is_wrong() -> None:
    scenes = make_scenes(4, 4, gap_min=2)
    plot = Plot(scenes, (wear("1", "coat", 1), wear("2", "gown", 2)), (change("coat", "gown", 1),))
    crew, hours = Crew(1), BuildHours({JORY: 100})
    good = count_with_people(plot, crew, hours)
    assert check_joint(plot, crew, hours, good) == []
    (made,) = good.changes
    late = PlannedChange(Stop("1", 1), Stop("2", 1), 301, 361, 1)
    for wrong, said in (
        (replace(good, build_min=7), "minutes to build"),
        (replace(good, changes=()), "not those that the tracks make"),
        (replace(good, changes=(replace(made, planned=late),)), "does not fit"),
        (replace(good, changes=(replace(made, workers=0),)), "more people than are free"),
        (replace(good, guises=()), "not every copy"),
    ):
        assert any(said in line for line in check_joint(plot, crew, hours, wrong))


def test_hours_below_nought_are_refused() -> None:
    with pytest.raises(ValueError, match="figure_min of 'Jory' is -1"):
        BuildHours({"Jory": -1})
    with pytest.raises(ValueError, match="removable_percent"):
        BuildHours(removable_percent=-1)


def make_show(scenes: int, roles: int, seed: int, on: float = 0.25) -> Plot:
    """A random show: each role in a quarter of the scenes, three costumes, most changes allowed."""
    chance = random.Random(seed)
    play = tuple(
        Scene(n, str(n), chance.choice((120, 180, 240, 300)), chance.choice((0, 15, 30, 60)))
        for n in range(scenes)
    )
    worn: list[Appearance] = []
    rules: list[ChangeRule] = []
    for role in range(roles):
        at = chance.randrange(3)
        for n in range(scenes):
            if chance.random() < on:
                if chance.random() < 0.3:
                    at = chance.randrange(3)
                hold = chance.choice(("two hands", "one hand", "one hand"))
                worn.append(
                    Appearance((role, n), role, (role, at), n, 0, play[n].length_s, hold=hold)
                )
        for one in range(3):
            for two in range(3):
                if one != two and chance.random() < 0.7:
                    seconds = chance.choice((60, 120, 180, 300))
                    rules.append(
                        ChangeRule(
                            role, (role, one), (role, two), seconds, chance.choice((1, 1, 2))
                        )
                    )
    return Plot(play, tuple(worn), tuple(rules), crossing_s=20, reset_s=30)


def show_hours(plot: Plot) -> BuildHours:
    chance = random.Random(1)
    guises = plot.all_guises()
    return BuildHours(
        {guise: chance.randrange(3000, 9000) for guise in guises},
        {(guise, n): chance.randrange(400, 2400) for guise in guises for n in range(3)},
    )


@pytest.mark.solver
def test_a_show_of_sixty_scenes_and_twenty_five_roles_is_proved() -> None:
    plot = make_show(60, 25, seed=1)
    hours = show_hours(plot)
    crew = Crew(7, 2)
    joint = count_with_people(plot, crew, hours)
    assert check_joint(plot, crew, hours, joint) == []
    assert joint.proved
