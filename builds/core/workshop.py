"""What steps are made from, and what a step is: routes, guises, figures, step keys, waits.

Ids are opaque and hashable: the core never looks inside them.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

GUISE, POUR, FIGURE, COSTUME = "guise", "pour", "figure", "costume"
HEAD, HANDS, BODY = "head", "hands", "body"
MADE_OVER, CROWD = "made over", "crowd"

SubjectKind = Literal["guise", "pattern", "mould", "pour", "figure", "costume"]


@dataclass(frozen=True, slots=True)
class RouteStage:
    """One stage. `left_out`: nobody it could be done with. Minutes are whole, 0 and up.

    `done_to` says what of the figure it is done to (costume, head or body; "" the whole), and so
    what makes it be done again. `only_when` is "", MADE_OVER (figures that are made over) or
    CROWD (figures of several on one control, for the hours of the further ones).
    """

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
    done_to: str = ""
    only_when: str = ""


@dataclass(frozen=True, slots=True)
class Guise:
    """A guise, its route, and its pattern for each part (shared where it borrows).

    `on_one` is how many hang on one control, `further_min` the minutes that each one beyond the
    first takes (0: as long as the stage says).
    """

    id: Hashable
    route: Hashable
    patterns: Mapping[str, Hashable] = field(default_factory=dict)
    has_working: bool = False
    on_one: int = 1
    further_min: int = 0


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
    `again` says how often a stage, by key, is gone through once more because the figure was made
    over. `kept` are parts that it brought along from elsewhere: nothing is sculpted or drawn for
    them. `only` names the parts of a spare that is no whole figure (HEAD, HANDS).
    """

    id: Hashable
    guise: Hashable
    wears: tuple[Worn, ...] = ()
    pours: Mapping[str, tuple[Hashable, ...]] = field(default_factory=dict)
    is_wanted: bool = True
    done: frozenset[str] = frozenset()
    begun: frozenset[str] = frozenset()
    again: Mapping[str, int] = field(default_factory=dict)
    kept: frozenset[str] = frozenset()
    only: frozenset[str] = frozenset()

    def lacks(self, part: str) -> bool:
        """Whether the part of its guise has to be made for it."""
        return part not in self.kept and (not self.only or part in self.only)


@dataclass(frozen=True, slots=True)
class Subject:
    """What a step is for. `costume` is given for a costume of the figure `id` alone.

    `round` is 2 and more where a figure that was made over goes through a stage again.
    """

    kind: SubjectKind
    id: Hashable
    costume: Hashable = None
    round: int = 1


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
    while it is wanted, else the route of the first wanted guise that borrows it. `more_moulds`
    are the moulds of a pattern beyond its first: each is made by a step of its own, and
    `mould_of` says which pours are poured in one of those. `spare_pours` of a pattern are poured
    in case another fails: no figure waits for them.
    """

    routes: Mapping[Hashable, tuple[RouteStage, ...]]
    guises: tuple[Guise, ...]
    figures: tuple[Figure, ...]
    made_for: Mapping[Hashable, Hashable] = field(default_factory=dict)
    more_moulds: Mapping[Hashable, tuple[Hashable, ...]] = field(default_factory=dict)
    mould_of: Mapping[Hashable, Hashable] = field(default_factory=dict)
    spare_pours: Mapping[Hashable, tuple[Hashable, ...]] = field(default_factory=dict)

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
