"""What the lead's pins make of a count: what is built, and which pins cannot be kept."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import lru_cache
from uuid import UUID

from scenes.core import pins as core_pins
from scenes.core.counting import Stop
from scenes.core.naming import Names
from scenes.core.plot import Appearance, AppearanceKey, ChangeRule, Plot, Scene
from scenes.models import Pin

PLOTS_KEPT = 256


@dataclass(frozen=True)
class Pinned:
    """The guises with pins as they are built, and by pin why it is not kept."""

    guises: Mapping[Hashable, core_pins.PinnedGuise] = field(default_factory=dict)
    why: Mapping[int, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class PinQuestion:
    """Everything that the pinned count depends on: key of the store and its only argument."""

    scenes: tuple[Scene, ...]
    appearances: tuple[Appearance, ...]
    rules: tuple[ChangeRule, ...]
    times: tuple[int, int]
    walks: frozenset[tuple[tuple[str, str], int]]
    plain_rigs: frozenset[tuple[Hashable, str]]
    guises: tuple[Hashable, ...]
    previous: frozenset[tuple[tuple[AppearanceKey, int], object]]
    pins: tuple[core_pins.Pin, ...]
    said: tuple[tuple[tuple[Hashable, str], ...], ...]


def pin_count(
    plot: Plot, rows: Sequence[Pin], previous: Mapping[tuple[UUID, int], int], names: Names
) -> Pinned:
    """Count the guises that have pins anew, with the pins honoured in the order they were set."""
    if not rows:
        return Pinned()
    named = {row.guise_id for row in rows}
    keys = {key for row in rows for key in (row.first_key, row.second_key)}
    named |= {a.guise for a in plot.appearances if a.key in keys}
    guises = tuple(guise for guise in plot.all_guises() if guise in named)
    own = {a.key for a in plot.appearances if a.guise in named}
    pins = to_pins(rows)
    question = PinQuestion(
        scenes=plot.scenes,
        appearances=tuple(a for a in plot.appearances if a.guise in named),
        rules=tuple(rule for rule in plot.rules if rule.guise in named),
        times=(plot.crossing_s, plot.reset_s),
        walks=frozenset(plot.walks.items()),
        plain_rigs=frozenset(pair for pair in plot.plain_rigs if pair[0] in named),
        guises=guises,
        previous=frozenset((stop, track) for stop, track in previous.items() if stop[0] in own),
        pins=tuple(dict.fromkeys(pins.values())),
        said=tuple(
            tuple(sorted(said.items(), key=repr))
            for said in (
                {guise: names.guise(guise) for guise in guises},
                {a.costume: names.costume(a.costume) for a in plot.appearances
                 if a.guise in named and a.costume is not None},
                names.scenes,
            )
        ),
    )  # fmt: skip
    answer = answer_pins(question)
    why = {gone.pin: gone.why for gone in answer.unkept}
    return Pinned(
        guises={guise.guise: guise for guise in answer.guises},
        why={pk: why[pin] for pk, pin in pins.items() if pin in why},
    )


def to_pins(rows: Sequence[Pin]) -> dict[int, core_pins.Pin]:
    """Each row's pin as the core knows it; those that ask for more of a guise are one together."""
    more: dict[int, int] = {}
    for row in rows:
        if row.kind == Pin.Kind.MORE:
            more[row.guise_id] = more.get(row.guise_id, 0) + 1
    pins: dict[int, core_pins.Pin] = {}
    for row in rows:
        if row.kind == Pin.Kind.MORE:
            pins[row.pk] = core_pins.More(row.guise_id, more[row.guise_id])
            continue
        first, second = Stop(row.first_key, row.first_copy), Stop(row.second_key, row.second_copy)
        made = core_pins.Same if row.kind == Pin.Kind.SAME else core_pins.Apart
        pins[row.pk] = made(first, second)
    return pins


@lru_cache(maxsize=PLOTS_KEPT)
def answer_pins(question: PinQuestion) -> core_pins.PinnedCount:
    """The pinned count, from its question alone."""
    plot = Plot(
        scenes=question.scenes,
        appearances=question.appearances,
        rules=question.rules,
        crossing_s=question.times[0],
        reset_s=question.times[1],
        guises=question.guises,
        plain_rigs=question.plain_rigs,
        walks=dict(question.walks),
    )
    names = Names(*(dict(said) for said in question.said))
    return core_pins.count_pinned(plot, question.pins, dict(question.previous), names)
