"""What steps are made from, and what a step is: routes, guises, figures, step keys, waits.

Ids are opaque and hashable: the core never looks inside them.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

GUISE, POUR, FIGURE, COSTUME = "guise", "pour", "figure", "costume"
HEAD = "head"

SubjectKind = Literal["guise", "pattern", "pour", "figure", "costume"]


@dataclass(frozen=True, slots=True)
class RouteStage:
    """One stage. `left_out`: nobody it could be done with. Minutes are whole, 0 and up."""

    id: Hashable
    key: str
    scope: str = FIGURE
    part: str = ""
    hours_min: int = 0
    wait_min: int = 0
    rate: float = 1.0
    afters: tuple[Hashable, ...] = ()
    hours_by_costume: bool = False
    first_of_costume: bool = False
    only_with_working: bool = False
    left_out: bool = False


@dataclass(frozen=True, slots=True)
class Guise:
    """A guise, its route, and its pattern for each part (shared where it borrows)."""

    id: Hashable
    route: Hashable
    patterns: Mapping[str, Hashable] = field(default_factory=dict)
    has_working: bool = False


@dataclass(frozen=True, slots=True)
class Worn:
    """A costume on a figure. `sewing_min` None: as long as the stage says."""

    costume: Hashable
    sewing_min: int | None = None
    is_removable: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure. `pours` by part; `done` and `begun` are keys of stages finished and under way.

    One that is not wanted makes no steps, but what is done on it was still learnt from.
    """

    id: Hashable
    guise: Hashable
    wears: tuple[Worn, ...] = ()
    pours: Mapping[str, tuple[Hashable, ...]] = field(default_factory=dict)
    is_wanted: bool = True
    done: frozenset[str] = frozenset()
    begun: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Subject:
    """What a step is for. `costume` is given for a costume of the figure `id` alone."""

    kind: SubjectKind
    id: Hashable
    costume: Hashable = None


@dataclass(frozen=True, slots=True)
class StepKey:
    """A step is known by its stage and its subject."""

    stage: Hashable
    subject: Subject


@dataclass(frozen=True, slots=True)
class Wait:
    """A step that must be done first, and the minutes on the clock that follow it (drying)."""

    step: StepKey
    wait_min: int = 0


@dataclass(frozen=True, slots=True)
class WantedStep:
    """A step that is wanted, its minutes of work, and what it waits for."""

    key: StepKey
    minutes: int
    after: tuple[Wait, ...] = ()


@dataclass(frozen=True)
class Workshop:
    """Everything that steps are made from.

    `figures` are in the order in which they were numbered: that order is the learning's.
    `made_for` says for which guise each pattern was made; that guise's route makes its steps
    while it is wanted, else the route of the first wanted guise that borrows it.
    """

    routes: Mapping[Hashable, tuple[RouteStage, ...]]
    guises: tuple[Guise, ...]
    figures: tuple[Figure, ...]
    made_for: Mapping[Hashable, Hashable] = field(default_factory=dict)

    @cached_property
    def guise_by_id(self) -> Mapping[Hashable, Guise]:
        """Guises by id."""
        return {guise.id: guise for guise in self.guises}

    @cached_property
    def wanted(self) -> tuple[Figure, ...]:
        """Figures that are to be built, in their order."""
        return tuple(f for f in self.figures if f.is_wanted)

    @cached_property
    def wanted_guises(self) -> tuple[Guise, ...]:
        """Guises with a wanted figure, in their order."""
        ids = {figure.guise for figure in self.wanted}
        return tuple(guise for guise in self.guises if guise.id in ids)

    @cached_property
    def hosts(self) -> Mapping[Hashable, Guise]:
        """For each pattern in use, the guise whose route makes its steps."""
        hosts: dict[Hashable, Guise] = {}
        for guise in self.wanted_guises:
            for pattern in guise.patterns.values():
                if pattern not in hosts or self.made_for.get(pattern) == guise.id:
                    hosts[pattern] = guise
        return hosts

    def route_of(self, guise: Guise) -> tuple[RouteStage, ...]:
        """The stages of the guise's route; none where its kind has no route."""
        return self.routes.get(guise.route, ())
