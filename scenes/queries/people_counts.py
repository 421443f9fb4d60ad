"""The count with people: what it depends on, and an answer as plain data and back."""

from __future__ import annotations

import hashlib
from collections.abc import Hashable, Mapping
from dataclasses import replace
from itertools import pairwise
from typing import Any
from uuid import UUID

from scenes.core.counting import Change, Stop, Track
from scenes.core.hands import Crew, PlannedChange
from scenes.core.joint import BuildHours, JointChange, JointCount, JointGuise
from scenes.core.plot import AppearanceKey, ChangeRule, CostumeId, Plot
from scenes.core.roster import make_roster
from scenes.models import Draft, PeopleCount


def question_of(plot: Plot, crew: Crew, hours: BuildHours) -> str:
    """The digest of everything that the count with people depends on."""
    asked = (
        [replace(scene, label="", title="", act="") for scene in plot.scenes],
        plot.appearances,
        plot.rules,
        (plot.crossing_s, plot.reset_s),
        sorted(plot.walks.items()),
        sorted(plot.plain_rigs, key=repr),
        (crew.performers, crew.dressers, crew.dressers_who_work),
        sorted(crew.people_for.items(), key=repr),
        sorted(hours.figure_min.items(), key=repr),
        sorted(hours.sewing_min.items(), key=repr),
        hours.removable_percent,
    )
    return hashlib.blake2b(repr(asked).encode(), digest_size=24).hexdigest()


def read_kept(draft: Draft, question: str) -> PeopleCount | None:
    """The answer that was found before, if any."""
    found: PeopleCount | None = PeopleCount.objects.filter(draft=draft, question=question).first()
    return found


def as_found(joint: JointCount) -> dict[str, Any]:
    """An answer as plain data. Rosters are not in it: they are made from the rest."""
    return {
        "build_min": joint.build_min,
        "bound_min": joint.bound_min,
        "guises": [
            {
                "guise": guise.guise,
                "tracks": [
                    {"stops": [_pair(s) for s in track.stops], "crossings": track.crossings}
                    for track in guise.tracks
                ],
            }
            for guise in joint.guises
        ],
        "changes": [
            {
                "from": _pair(change.planned.from_stop),
                "to": _pair(change.planned.to_stop),
                "starts_s": change.planned.starts_s,
                "workers": change.workers,
            }
            for change in joint.changes
        ],
    }


def as_joint(plot: Plot, crew: Crew, kept: PeopleCount) -> JointCount:
    """The answer again, as the core gave it, people put to everything anew."""
    found = kept.found
    costumes = {a.key: a.costume for a in plot.appearances}
    rules = {(r.from_costume, r.to_costume): r for r in plot.rules}
    guises = tuple(
        JointGuise(
            entry["guise"],
            tuple(_track(track, costumes, rules) for track in entry["tracks"]),
        )
        for entry in found["guises"]
    )
    owners = {a.key: a.guise for a in plot.appearances}
    changes = []
    for entry in found["changes"]:
        first, second = _stop(entry["from"]), _stop(entry["to"])
        rule = rules[costumes[first.key], costumes[second.key]]  # type: ignore[index]
        starts_s = entry["starts_s"]
        planned = PlannedChange(first, second, starts_s, starts_s + rule.change_s, rule.people)
        changes.append(JointChange(owners[first.key], rule, planned, entry["workers"]))
    roster = make_roster(
        plot,
        [track for guise in guises for track in guise.tracks],
        crew,
        [change.planned for change in changes],
        {change.planned: change.workers for change in changes},
    )
    return JointCount(
        guises=guises,
        changes=tuple(replace(c, people=roster.people_of(c.planned)) for c in changes),
        build_min=found["build_min"],
        bound_min=found["bound_min"],
        proved=kept.proved,
        roster=roster,
    )


def _pair(stop: Stop) -> list[object]:
    return [str(stop.key), stop.copy]


def _stop(pair: list[Any]) -> Stop:
    return Stop(UUID(pair[0]), int(pair[1]))


def _track(
    entry: dict[str, Any],
    costumes: Mapping[AppearanceKey, CostumeId | None],
    rules: Mapping[tuple[Hashable, Hashable], ChangeRule],
) -> Track:
    stops = tuple(_stop(pair) for pair in entry["stops"])
    changes = tuple(
        Change(one, two, rules[costumes[one.key], costumes[two.key]])
        for one, two in pairwise(stops)
        if costumes[one.key] != costumes[two.key]
    )
    return Track(stops, changes, entry["crossings"])
