"""An independent check of a count: it shares nothing with the solvers but the plot."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping

from scenes.core.counting.results import Count, GuiseCount, Stop, Track
from scenes.core.plot import AppearanceKey, ChangeRule, Placed, Plot, place_appearances


def check_count(plot: Plot, count: Count) -> list[str]:
    """What is wrong with a count of this plot, as sentences; [] when it holds.

    Every copy of every appearance is played exactly once, every hand-over is allowed, the
    changes and crossings named are those that the tracks make, and the numbers add up. It does not
    ask whether fewer figures would do: the reason's witness and the tests' oracles do that.
    """
    placed = {p.appearance.key: p for p in place_appearances(plot)}
    return [
        *_check_stops(placed, count),
        *(line for counted in count.guises for line in _check_guise(plot, placed, counted)),
        *_check_sums(plot, count),
    ]


def _check_stops(placed: Mapping[AppearanceKey, Placed], count: Count) -> Iterator[str]:
    wanted = {
        Stop(key, copy) for key, p in placed.items() for copy in range(1, p.appearance.copies + 1)
    }
    played = Counter(
        stop for counted in count.guises for track in counted.tracks for stop in track.stops
    )
    for stop in wanted - played.keys():
        yield f"copy {stop.copy} of appearance {stop.key!r} is on no track"
    for stop, times in played.items():
        if stop not in wanted:
            yield f"copy {stop.copy} of appearance {stop.key!r} is not in the plot"
        elif times > 1:
            yield f"copy {stop.copy} of appearance {stop.key!r} is played {times} times"


def _check_sums(plot: Plot, count: Count) -> Iterator[str]:
    if [counted.guise for counted in count.guises] != list(plot.all_guises()):
        yield "the guises counted are not those of the plot, in its order"
    if count.figures != sum(counted.figures for counted in count.guises):
        yield f"{count.figures} figures is not the sum over the guises"


def _check_guise(
    plot: Plot, placed: Mapping[AppearanceKey, Placed], counted: GuiseCount
) -> Iterator[str]:
    who = f"guise {counted.guise!r}"
    if counted.figures != len(counted.tracks):
        yield f"{who}: {counted.figures} figures but {len(counted.tracks)} tracks"
    if counted.changes != sum(len(track.changes) for track in counted.tracks):
        yield f"{who}: the changes do not add up"
    if counted.crossings != sum(track.crossings for track in counted.tracks):
        yield f"{who}: the crossings do not add up"
    if counted.reason.figures != counted.figures or not counted.reason.words():
        yield f"{who}: the reason does not give the number"
    first_entrances = []
    for track in counted.tracks:
        if not track.stops:
            yield f"{who}: an empty track"
            continue
        known = [placed[stop.key] for stop in track.stops if stop.key in placed]
        if any(p.appearance.guise != counted.guise for p in known):
            yield f"{who}: a track plays another guise"
        if len(known) == len(track.stops):
            first_entrances.append(known[0].enters_s)
            yield from (f"{who}: {line}" for line in check_track(plot, known, track))
    if first_entrances != sorted(first_entrances):
        yield f"{who}: the tracks are not in order of first entrance"


def check_track(plot: Plot, played: list[Placed], track: Track) -> Iterator[str]:
    """What is wrong with one track that plays these appearances, as sentences."""
    rules = {(rule.guise, rule.from_costume, rule.to_costume): rule for rule in plot.rules}
    changes: list[tuple[Stop, Stop, ChangeRule]] = []
    crossings = 0
    for n in range(1, len(played)):
        first, second = played[n - 1].appearance, played[n].appearance
        where = f"from {first.key!r} to {second.key!r}"
        need_s = 0
        rigs = {first.rig, second.rig}
        tricks = {(first.guise, rig) for rig in rigs if rig}
        if len(rigs) == 2 and not ("" in rigs and tricks <= plot.plain_rigs):
            yield f"{where}: no figure plays both rigs"
        if first.costume != second.costume:
            rule = rules.get((first.guise, first.costume or (), second.costume or ()))
            if rule is None:
                yield f"{where}: no change is possible"
                continue
            need_s += rule.change_s
            changes.append((track.stops[n - 1], track.stops[n], rule))
        crosses = bool(first.to_place and second.from_place) and first.to_place != second.from_place
        if crosses:
            crossings += 1
            need_s += plot.walks.get((first.to_place, second.from_place), plot.crossing_s)
        wait_s = played[n].enters_s - played[n - 1].leaves_s
        touches = wait_s == 0 and first.costume == second.costume and not crosses
        if not touches:
            need_s += plot.reset_s
        if wait_s < need_s:
            yield f"{where}: {wait_s} s for what takes {need_s} s"
    if changes != [(c.from_stop, c.to_stop, c.rule) for c in track.changes]:
        yield "the changes named are not those made"
    if crossings != track.crossings:
        yield "the crossings named are not those made"
