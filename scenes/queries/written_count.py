"""A count for scripts and for the terminal: as a JSON document, and as lines of text."""

from __future__ import annotations

from collections.abc import Iterator

from company.core.units import minutes_number
from scenes.core.counting import GuiseCount
from scenes.core.joint import JointCount
from scenes.models import Appearance, Guise
from scenes.queries.counts import CountedPlot
from scenes.queries.lede import say_count, say_reason
from scenes.queries.ranges import range_of


def as_json(counted: CountedPlot, joint: JointCount | None = None) -> dict[str, object]:
    """Every role, guise and track. Minutes are numbers, blank ones told as they were counted.

    `figures` and the tracks are the count by the clock alone; `joint` is the one with people.
    """
    rows = counted.rows
    return {
        "show": rows.show.title,
        "figures": counted.count.figures,
        "proved": True,
        "with_people": None if joint is None else _with_people(joint),
        "characters": [
            {
                "character": character.name,
                "figures": sum(counted.count.of(guise.pk).figures for guise in guises),
                "guises": [_guise(counted, guise) for guise in guises],
            }
            for character in rows.characters
            for guises in [[g for g in rows.guises if g.character_id == character.pk]]
        ],
    }


def _with_people(joint: JointCount) -> dict[str, object]:
    return {"figures": joint.figures, "proved": joint.proved, "gap": round(joint.gap, 4)}


def as_lines(counted: CountedPlot, joint: JointCount | None = None) -> Iterator[str]:
    """The sentence, then every guise with its reason and what each of its figures plays."""
    by_key = {a.key: a for a in counted.rows.appearances}
    yield str(say_count(counted))
    if joint is not None:
        yield f"With the people there are: {joint.figures}, {joint.words()}."
    if counted.has_blanks and (blanks := range_of(counted.plot)).lowest != blanks.highest:
        yield f"With what is left blank: {blanks.words()}."
    for pin in counted.rows.pins:
        if why := counted.pinned.why.get(pin.pk):
            yield f"A pin on {pin.guise} is not kept: {why}."
    for guise in counted.rows.guises:
        count = counted.count.of(guise.pk)
        yield f"{guise}: {count.figures} ({say_reason(count, counted.names)})"
        for number, track in enumerate(count.tracks, 1):
            stops = (_say_stop(by_key[stop.key]) for stop in track.stops)  # type: ignore[index]
            yield f"  {number}. {', '.join(stops)}"


def _guise(counted: CountedPlot, guise: Guise) -> dict[str, object]:
    count: GuiseCount = counted.count.of(guise.pk)
    by_key = {a.key: a for a in counted.rows.appearances}
    return {
        "guise": guise.name,
        "figures": count.figures,
        "reason": count.reason.words(counted.names),
        "tracks": [
            {
                "appearances": [
                    _appearance(counted, by_key[stop.key])  # type: ignore[index]
                    for stop in track.stops
                ],
                "changes": len(track.changes),
            }
            for track in count.tracks
        ],
    }


def _appearance(counted: CountedPlot, appearance: Appearance) -> dict[str, object]:
    enters_s, leaves_s = counted.times[appearance.key]
    return {
        "scene": appearance.scene.label,
        "costume": appearance.costume.name if appearance.costume else "",
        "enters": minutes_number(enters_s),
        "leaves": minutes_number(leaves_s),
        "from_place": appearance.from_place,
        "to_place": appearance.to_place,
    }


def _say_stop(appearance: Appearance) -> str:
    return f"{appearance.scene.label} {appearance.costume or 'undecided'}"
