"""An independent check of a count with people: it shares nothing with the search but the plot."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from scenes.core.counting.checking import check_track
from scenes.core.hands import Crew, find_stretches
from scenes.core.joint.results import BuildHours, JointChange, JointCount
from scenes.core.plot import AppearanceKey, Placed, Plot, place_appearances, scene_starts
from scenes.core.roster import check_roster

LOST_S = 480


def check_joint(plot: Plot, crew: Crew, hours: BuildHours, joint: JointCount) -> list[str]:
    """What is wrong with a count with people, as sentences; [] when it holds.

    Every copy is played once, every hand-over allowed; every change of a track is planned once,
    in one go inside its window, outside the lost minutes of an interval, and at no second do
    figures and changes want more people than there are; the named people can do it; the minutes
    add up. It does not ask whether fewer minutes would do: the bound and the tests do that.
    """
    placed = {p.appearance.key: p for p in place_appearances(plot)}
    changes = [change.planned for change in joint.changes]
    return [
        *_check_tracks(plot, placed, joint),
        *_check_planned(placed, joint),
        *(line for change in joint.changes for line in _check_window(plot, placed, change)),
        *_check_people(plot, crew, joint),
        *check_roster(plot, crew, joint.roster, changes),
        *_check_minutes(placed, hours, joint),
    ]


def _check_tracks(
    plot: Plot, placed: dict[AppearanceKey, Placed], joint: JointCount
) -> Iterator[str]:
    wanted = Counter(
        (key, copy) for key, p in placed.items() for copy in range(1, p.appearance.copies + 1)
    )
    tracks = [(guise.guise, track) for guise in joint.guises for track in guise.tracks]
    if Counter((s.key, s.copy) for _, track in tracks for s in track.stops) != wanted:
        yield "not every copy is played exactly once"
    if [guise.guise for guise in joint.guises] != list(plot.all_guises()):
        yield "the guises are not those of the plot, in its order"
    for guise, track in tracks:
        stops = [placed[stop.key] for stop in track.stops if stop.key in placed]
        if any(p.appearance.guise != guise for p in stops):
            yield f"a track of {guise!r} plays another guise"
        yield from check_track(plot, stops, track)


def _check_planned(placed: dict[AppearanceKey, Placed], joint: JointCount) -> Iterator[str]:
    made = Counter(
        (change.from_stop, change.to_stop, change.rule)
        for guise in joint.guises for track in guise.tracks for change in track.changes
    )  # fmt: skip
    planned = Counter((c.planned.from_stop, c.planned.to_stop, c.rule) for c in joint.changes)
    if made != planned:
        yield "the changes planned are not those that the tracks make"


def _check_window(
    plot: Plot, placed: dict[AppearanceKey, Placed], change: JointChange
) -> Iterator[str]:
    first, second = placed[change.planned.from_stop.key], placed[change.planned.to_stop.key]
    start_s, end_s = change.planned.starts_s, change.planned.ends_s
    who = f"the change for {change.planned.to_stop}"
    if end_s - start_s != change.rule.change_s or change.planned.people != change.rule.people:
        yield f"{who} is not as its rule says"
    a, b = first.appearance, second.appearance
    walk_s = 0
    if a.to_place and b.from_place and a.to_place != b.from_place:
        walk_s = plot.walks.get((a.to_place, b.from_place), plot.crossing_s)
    if start_s < first.leaves_s or end_s + walk_s + plot.reset_s > second.enters_s:
        yield f"{who} does not fit between exit and entrance"
    for scene, start in zip(plot.scenes, scene_starts(plot.scenes)[1:], strict=False):
        lost = start - min(LOST_S, scene.gap_s)
        if scene.is_interval and start_s < min(start, end_s) and lost < end_s:
            yield f"{who} runs into the end of an interval"


def _check_people(plot: Plot, crew: Crew, joint: JointCount) -> Iterator[str]:
    """Second by second where anything begins: workers and helpers each suffice for changes."""
    tracks = [track for guise in joint.guises for track in guise.tracks]
    stretches = find_stretches(plot, crew.people_for, tracks)
    helpers = crew.dressers - crew.dressers_who_work
    for at_s in {c.planned.starts_s for c in joint.changes} | {s.starts_s for s in stretches}:
        now = [c for c in joint.changes if c.planned.starts_s <= at_s < c.planned.ends_s]
        working = next((s.working for s in stretches if s.starts_s <= at_s < s.ends_s), 0)
        by_workers = sum(c.workers for c in now)
        by_helpers = sum(c.planned.people - c.workers for c in now)
        if by_helpers > helpers or (by_workers and by_workers + working > crew.workers):
            yield f"at {at_s} s changes want more people than are free"


def _check_minutes(
    placed: dict[AppearanceKey, Placed], hours: BuildHours, joint: JointCount
) -> Iterator[str]:
    total = 0
    for guise in joint.guises:
        for track in guise.tracks:
            worn = {placed[stop.key].appearance.costume for stop in track.stops}
            total += max(1, hours.figure_min.get(guise.guise, 0))
            for costume in worn - {None}:
                sewing = hours.sewing_min.get(costume, 0)
                extra = (sewing * hours.removable_percent + 99) // 100 if len(worn) > 1 else 0
                total += sewing + extra
    if total != joint.build_min:
        yield f"the tracks take {total} minutes to build, not {joint.build_min}"
    if joint.bound_min > joint.build_min:
        yield "the bound lies above what was found"
    if joint.proved and joint.bound_min != joint.build_min:
        yield "proved, and the bound is another"
