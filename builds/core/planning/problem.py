"""What is to be planned: people with their hours, equipment, steps, figures, as plain values.

All instants are whole minutes from one epoch that the caller chooses (the core knows no zones and
no clock), all durations are whole minutes. An interval (a, b) holds the minutes a .. b - 1.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Final, Literal

Interval = tuple[int, int]
Intervals = tuple[Interval, ...]
Anybody = Literal["anybody"]
Helpers = Anybody | tuple[str, ...] | None

ANYBODY: Final[Anybody] = "anybody"


@dataclass(frozen=True, slots=True)
class Person:
    """Somebody who works, with what they can do and when they come.

    `work` are the working intervals that remain after days off, holidays and other work.
    `craft_work` narrows them for a craft (a daily cap on carving: see `calendars.cap_days`).
    """

    id: str
    work: Intervals
    crafts: frozenset[str] = frozenset()
    is_lead: bool = False
    craft_work: Mapping[str, Intervals] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Equipment:
    """A mould, the stringing frame, a booth: how much of it can be held at once."""

    id: str
    capacity: int = 1


@dataclass(frozen=True, slots=True)
class Hold:
    """A step's hold on equipment: from its start to its finish, `hold_min` longer, then rest."""

    equipment: str
    hold_min: int = 0
    rest_min: int = 0
    amount: int = 1


@dataclass(frozen=True, slots=True)
class Fixed:
    """Where a finished or frozen step stands; it is repeated in the plan as it is."""

    person: str | None
    start: int
    finish: int
    second: str | None = None


@dataclass(frozen=True, slots=True)
class Begun:
    """A step under way: it keeps its person and start; the step's `minutes` are what remains.

    What remains goes on at its person's first free minutes from now, before all unbegun work, in
    the order in which the problem lists begun steps.
    """

    person: str
    start: int
    second: str | None = None


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work.

    Who may do it: `who` (ids) where given, else everybody with `craft`, and the lead alone where
    `lead_only`. Where `who` is given and `craft` too, `craft` only picks the narrowed hours.
    `second` asks for a second person for all of it, never the same one. `company_needed` asks that
    somebody else (anybody, or one of those) is in the workshop, without taking their time.
    `unattended` steps need nobody and run on the clock. Steps with one `part_of` are parts of one
    long step and share their person; their order is in `after`. `twin_of` groups like work on like
    figures: the same hands are preferred. `for_needed_by` is False for what may follow the first
    rehearsal (restringing, bagging).
    """

    id: str
    minutes: int
    craft: str | None = None
    lead_only: bool = False
    who: tuple[str, ...] | None = None
    second: Helpers = None
    company_needed: Helpers = None
    unattended: bool = False
    one_go: bool = False
    holds: tuple[Hold, ...] = ()
    after: tuple[tuple[str, int], ...] = ()
    not_before: int | None = None
    fixed: Fixed | None = None
    begun: Begun | None = None
    part_of: str | None = None
    figure: str | None = None
    for_needed_by: bool = True
    twin_of: str | None = None
    gate: bool = False
    words: str = ""

    @property
    def name(self) -> str:
        """What to call the step in a sentence."""
        return self.words or self.id


@dataclass(frozen=True, slots=True)
class Figure:
    """A figure with the end of the day that needs it, and what a minute late costs."""

    id: str
    needed_by: int | None = None
    weight: int = 1


@dataclass(frozen=True, slots=True)
class Problem:
    """All that a plan must respect.

    `now`: nothing unbegun starts earlier. `horizon`: hours are known until here; no step ends
    later. `opening`, where given, is what steps without a date of their own have in hand against.
    Shape and sense are not checked here: `problems()` lists every fault as a sentence.
    """

    steps: tuple[Step, ...]
    people: tuple[Person, ...] = ()
    equipment: tuple[Equipment, ...] = ()
    figures: tuple[Figure, ...] = ()
    now: int = 0
    horizon: int = 0
    opening: int | None = None

    def problems(self) -> list[str]:
        """Every fault that makes planning impossible, as sentences; empty when there is none."""
        from builds.core.planning.faults import find_faults

        return find_faults(self)

    def who_may(self, step: Step) -> tuple[str, ...]:
        """Ids of those who may do the step, lead last, those with fewest crafts first.

        >>> lead = Person("Ines", ((0, 60),), frozenset({"carve", "sew"}), is_lead=True)
        >>> helper = Person("Priya", ((0, 60),), frozenset({"sew"}))
        >>> problem = Problem((), (lead, helper))
        >>> problem.who_may(Step("sew", 30, craft="sew"))
        ('Priya', 'Ines')
        >>> problem.who_may(Step("carve", 30, craft="carve", lead_only=True))
        ('Ines',)
        """
        if step.unattended:
            return ()
        able = [
            person
            for person in self.people
            if (person.id in step.who if step.who is not None else step.craft in person.crafts)
            and (person.is_lead or not step.lead_only)
        ]
        able.sort(key=lambda person: (person.is_lead, len(person.crafts)))
        return tuple(person.id for person in able)

    def who_helps(self, step: Step, helpers: Helpers) -> tuple[str, ...]:
        """Ids of those whom `step.second` or `step.company_needed` allows, lead last."""
        if helpers is None:
            return ()
        able = [person for person in self.people if helpers == ANYBODY or person.id in helpers]
        able.sort(key=lambda person: (person.is_lead, len(person.crafts)))
        return tuple(person.id for person in able)
