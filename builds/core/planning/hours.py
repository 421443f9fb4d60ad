"""Who may do a step with whom, and in which hours: the calendars of a problem, each made once."""

from __future__ import annotations

from builds.core.planning.calendars import Calendar, intersect, tidy
from builds.core.planning.problem import ANYBODY, Intervals, Person, Problem, Step

Pair = tuple[str, str | None]


class Hours:
    """Calendars of one problem by person, craft, second person and company needed."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.people: dict[str, Person] = {person.id: person for person in problem.people}
        self._work: dict[tuple[str, str | None], Intervals] = {}
        self._others: dict[tuple[str, tuple[str, ...]], Intervals] = {}
        self._calendars: dict[tuple[object, ...], Calendar] = {}
        self._pairs: dict[tuple[object, ...], tuple[Pair, ...]] = {}
        self._able: dict[str, tuple[tuple[Pair, Calendar], ...]] = {}

    def work(self, person: str, craft: str | None = None) -> Intervals:
        """A person's tidy hours up to the horizon, narrowed where the craft has a daily cap."""
        narrowed = craft if craft in self.people[person].craft_work else None
        key = (person, narrowed)
        if key not in self._work:
            row = tidy(self.people[person].work)
            if narrowed is not None:
                row = intersect(row, tidy(self.people[person].craft_work[narrowed]))
            horizon = self.problem.horizon
            if row and row[-1][1] > horizon:
                row = tuple((a, min(b, horizon)) for a, b in row if a < horizon)
            self._work[key] = row
        return self._work[key]

    def others(self, person: str, ids: tuple[str, ...]) -> Intervals:
        """Minutes in which at least one of `ids` other than the person is in."""
        key = (person, ids)
        if key not in self._others:
            self._others[key] = tidy(
                pair for other in ids if other != person for pair in self.work(other)
            )
        return self._others[key]

    def pairs(self, step: Step) -> tuple[Pair, ...]:
        """(person, second) who may do a step, in the order in which a tie is broken."""
        key = (step.craft, step.lead_only, step.who, step.second, step.unattended)
        if key not in self._pairs:
            first = self.problem.who_may(step)
            if step.second is None:
                self._pairs[key] = tuple((person, None) for person in first)
            else:
                helpers = self.problem.who_helps(step, step.second)
                self._pairs[key] = tuple((a, b) for a in first for b in helpers if a != b)
        return self._pairs[key]

    def calendar(self, step: Step, person: str, second: str | None) -> Calendar:
        """Working time of a step for these two: where both work, with company if it needs some."""
        narrowed = step.craft if step.craft in self.people[person].craft_work else None
        company: object = None
        if step.company_needed is not None and second is None:
            company = step.company_needed
        key = (person, narrowed, second, company)
        if key not in self._calendars:
            row = self.work(person, narrowed)
            if second is not None:
                row = intersect(row, self.work(second))
            elif company is not None:
                ids = self.problem.who_helps(step, step.company_needed)
                row = intersect(row, self.others(person, ids))
            self._calendars[key] = Calendar(row)
        return self._calendars[key]

    def able(self, step: Step) -> tuple[tuple[Pair, Calendar], ...]:
        """Pairs whose hours from now on can hold the step at all, with their calendars."""
        if step.id not in self._able:
            self._able[step.id] = tuple(
                (pair, calendar)
                for pair in self.pairs(step)
                if _can_hold(calendar := self.calendar(step, *pair), step, self.problem.now)
            )
        return self._able[step.id]


def _can_hold(calendar: Calendar, step: Step, now: int) -> bool:
    start = max(now, step.not_before if step.not_before is not None else now)
    if step.one_go:
        return calendar.earliest_go(start, step.minutes) is not None
    return calendar.finish_of(start, step.minutes) is not None


def describe_who(step: Step) -> str:
    """Who a step asks for, as the end of a sentence.

    >>> describe_who(Step("x", 10, craft="carve", lead_only=True))
    "the lead with the craft 'carve'"
    >>> describe_who(Step("x", 10, craft="sew", who=()))
    "somebody with the craft 'sew'"
    """
    if step.who:
        return " or ".join(step.who)
    who = "the lead" if step.lead_only else "somebody"
    return f"{who} with the craft '{step.craft}'" if step.craft is not None else who


def describe_helpers(step: Step) -> str:
    """The second person a step asks for, as the end of a sentence."""
    if step.second == ANYBODY:
        return "anybody else"
    return " or ".join(step.second or ()) or "nobody at all"
