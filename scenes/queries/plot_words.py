"""What the page of the plot says in words: warnings, remarks on changes, pins."""

from __future__ import annotations

from collections.abc import Mapping

from company.core.units import format_minutes
from scenes.core.plot import place_appearances
from scenes.models import Appearance, Pin
from scenes.queries.counts import CountedPlot
from scenes.queries.crew import crew_of


def say_warnings(counted: CountedPlot) -> list[str]:
    """What to look at, each a sentence."""
    said = counted.misfit_sentences
    undecided = sum(1 for a in counted.rows.appearances if a.costume_id is None)
    if undecided == 1:
        said.append(
            "One costume is not decided yet. It is counted as a costume of its own; "
            "deciding it may save a figure."
        )
    elif undecided:
        said.append(
            f"{undecided} costumes are not decided yet. Within a guise they are counted as one "
            "costume of its own; deciding them may change the count."
        )
    return said


def say_of_rules(counted: CountedPlot) -> dict[int, str]:
    """Rules that take longer than any wait, or more people than there are: allowed, but said."""
    crew = crew_of(counted.rows)
    placed = place_appearances(counted.plot)
    remarks = {}
    for rule in counted.rows.rules:
        leaving = [p for p in placed if p.appearance.costume == rule.from_costume_id]
        entering = [p for p in placed if p.appearance.costume == rule.to_costume_id]
        waits = [
            after.enters_s - before.leaves_s
            for before in leaving
            for after in entering
            if after.enters_s >= before.leaves_s
        ]
        if waits and max(waits) < rule.change_s:
            remarks[rule.pk] = (
                f"Longer than any wait: there are at most {format_minutes(max(waits))} min from "
                f"{rule.from_costume} to {rule.to_costume}."
            )
        if crew is not None and rule.people > crew.all:
            there = f"there are {crew.all}" if crew.all != 1 else "there is one"
            many = f"It takes {rule.people} people, and {there}: with these people it is not made."
            remarks[rule.pk] = f"{remarks.get(rule.pk, '')} {many}".strip()
    return remarks


def say_pin(pin: Pin, by_key: Mapping[object, Appearance]) -> str:
    """The pin in words, its appearances as they stand now where they are still there."""
    if pin.kind == Pin.Kind.MORE:
        return "one more than is needed"
    stops = ((pin.first_key, pin.first_copy), (pin.second_key, pin.second_copy))
    if all(key in by_key for key, _ in stops):
        said = " and ".join(say_stop(by_key[key], copy) for key, copy in stops)
    else:
        said = pin.said
    return f"{said}: {'one figure' if pin.kind == Pin.Kind.SAME else 'not one figure'}"


def say_stop(appearance: Appearance, copy: int = 1) -> str:
    """'smock in scene 4', with its copy where there are several."""
    worn = appearance.costume.name if appearance.costume else "undecided"
    which = f", {copy} of {appearance.copies}" if appearance.copies > 1 else ""
    return f"{worn} in scene {appearance.scene.label}{which}"
