"""Everything that makes a problem impossible to plan, as sentences, all at once."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping
from itertools import pairwise

from builds.core.planning.hours import Hours, describe_helpers, describe_who
from builds.core.planning.problem import ANYBODY, Helpers, Problem, Step


def find_faults(problem: Problem, hours: Hours | None = None) -> list[str]:
    """Sentences that name each fault: wrong values first, then cycles, then who is missing.

    Who is missing is looked for only when the values hold, because it reads them.
    """
    faults = [*_repeated(problem), *_wrong_values(problem), *_unknown(problem)]
    faults += _cycles(problem)
    if not faults:
        faults += _nobody(problem, hours or Hours(problem))
    return faults


def _repeated(problem: Problem) -> Iterator[str]:
    rows: tuple[tuple[str, Iterable[str]], ...] = (
        ("person", (p.id for p in problem.people)),
        ("piece of equipment", (e.id for e in problem.equipment)),
        ("step", (s.id for s in problem.steps)),
        ("figure", (f.id for f in problem.figures)),
    )
    for noun, ids in rows:
        for one, count in Counter(ids).items():
            if count > 1:
                yield f"There are {count} entries for the {noun} '{one}': each may stand once."


def _wrong_values(problem: Problem) -> Iterator[str]:
    if problem.horizon <= problem.now:
        yield (
            f"Hours are known until minute {problem.horizon}, but it is already minute "
            f"{problem.now}: nothing can be planned."
        )
    if problem.now < 0:
        yield f"It is minute {problem.now} of the calendar: choose an epoch that lies in the past."
    for person in problem.people:
        rows = {"": person.work, **{f" for {c}": row for c, row in person.craft_work.items()}}
        for what, row in rows.items():
            for a, b in row:
                if b <= a:
                    yield f"{person.id} has hours{what} from {a} to {b} that end before they begin."
            for (_, b), (a, _) in pairwise(row):
                if a < b:
                    yield f"{person.id} has hours{what} that overlap or are unsorted at minute {a}."
    for gear in problem.equipment:
        if gear.capacity < 1:
            yield f"{gear.id} has a capacity of {gear.capacity}: it must be 1 or more."
    for figure in problem.figures:
        if figure.weight < 0:
            yield f"Figure {figure.id} has a weight of {figure.weight}: it must not be negative."
    capacity = {gear.id: gear.capacity for gear in problem.equipment}
    for step in problem.steps:
        yield from _wrong_step(step, capacity, problem.now)


def _wrong_step(step: Step, capacity: Mapping[str, int], now: int) -> Iterator[str]:
    lowest = 0 if step.unattended or step.fixed else 1
    if step.minutes < lowest:
        yield f"{step.name} takes {step.minutes} minutes: it must be {lowest} or more."
    for before, wait in step.after:
        if wait < 0:
            yield f"{step.name} waits {wait} minutes after {before}: it must not be negative."
    for hold in step.holds:
        if hold.amount < 0 or hold.hold_min < 0 or hold.rest_min < 0:
            yield f"{step.name} holds {hold.equipment} with a negative number."
        if hold.amount > capacity.get(hold.equipment, hold.amount):
            yield (
                f"{step.name} needs {hold.amount} of {hold.equipment}, "
                f"of which there are {capacity[hold.equipment]}."
            )
    if step.fixed and step.begun:
        yield f"{step.name} cannot be both fixed and still under way."
    if step.fixed and step.fixed.finish < step.fixed.start:
        yield f"{step.name} is fixed to finish before it starts."
    if step.begun and (step.unattended or step.begun.start > now):
        yield f"{step.name} cannot have been begun in the future or by nobody."


def _unknown(problem: Problem) -> Iterator[str]:
    people = {person.id for person in problem.people}
    steps = {step.id for step in problem.steps}
    gear = {piece.id for piece in problem.equipment}
    figures = {figure.id for figure in problem.figures}
    for step in problem.steps:
        named: list[str | None] = [
            *(step.who or ()),
            *_ids(step.second),
            *_ids(step.company_needed),
        ]
        for known in (step.fixed, step.begun):
            if known is not None:
                named += [known.person, known.second]
        for one in named:
            if one is not None and one not in people:
                yield f"{step.name} names {one}, who is not among the people."
        for before, _ in step.after:
            if before not in steps:
                yield f"{step.name} waits for '{before}', which is not among the steps."
        for hold in step.holds:
            if hold.equipment not in gear:
                yield f"{step.name} holds '{hold.equipment}', which is not among the equipment."
        if step.figure is not None and step.figure not in figures:
            yield f"{step.name} belongs to figure '{step.figure}', which is not among the figures."


def _ids(helpers: Helpers) -> tuple[str, ...]:
    return () if helpers is None or helpers == ANYBODY else helpers


def _cycles(problem: Problem) -> Iterator[str]:
    """Each ring of steps that wait for each other, named once, along what they wait for."""
    after = {step.id: [before for before, _ in step.after] for step in problem.steps}
    names = {step.id: step.name for step in problem.steps}
    state: dict[str, int] = {}
    for root in after:
        if root in state:
            continue
        state[root] = 1
        path, branches = [root], [iter(after[root])]
        while path:
            ahead = next(branches[-1], None)
            if ahead is None:
                state[path.pop()] = 2
                branches.pop()
            elif state.get(ahead) == 1:
                ring = [*path[path.index(ahead) :], ahead]
                yield "Steps wait for each other in a ring: " + " waits for ".join(
                    names[one] for one in ring
                )
            elif ahead in after and ahead not in state:
                state[ahead] = 1
                path.append(ahead)
                branches.append(iter(after[ahead]))


def _nobody(problem: Problem, hours: Hours) -> list[str]:
    """Steps that nobody can do in the hours known, one sentence a cause, with the first step."""
    causes: dict[str, list[str]] = defaultdict(list)
    for step in problem.steps:
        if step.unattended or step.fixed is not None or step.begun is not None:
            continue
        cause = _why_nobody(step, hours)
        if cause:
            causes[cause].append(step.name)
    said = {name for names in causes.values() for name in names}
    for cause, names in _parted(problem, hours).items():
        if not said.issuperset(names):
            causes[cause] = [name for name in names if name not in said]
    return [cause + _which(names) for cause, names in causes.items()]


def _which(names: list[str]) -> str:
    if len(names) == 1:
        return f" It is needed for: {names[0]}."
    return f" {len(names)} steps need it, the first is: {names[0]}."


def _why_nobody(step: Step, hours: Hours) -> str:
    problem = hours.problem
    if not problem.people:
        return "There are no people to do the work."
    first = problem.who_may(step)
    if not first:
        return f"Nobody may do this: it needs {describe_who(step)}."
    now = problem.now
    if not any(hours.work(one, step.craft) and hours.work(one)[-1][1] > now for one in first):
        have = "has" if len(first) == 1 else "have"
        return f"{' and '.join(first)} {have} no hours left, and nobody else may do this."
    if not hours.pairs(step):
        return f"There is no second person: it needs {describe_helpers(step)}."
    if hours.able(step):
        return ""
    calendars = [hours.calendar(step, *pair) for pair in hours.pairs(step)]
    together = " together with a second person" if step.second is not None else ""
    if step.company_needed is not None:
        together += " while somebody else is in the workshop"
    longest = max(calendar.longest_go(now) for calendar in calendars)
    if step.one_go and longest < step.minutes:
        return (
            f"This takes {step.minutes} minutes in one go, but the longest stretch of "
            f"{' or '.join(first)}{together} is {longest} minutes."
        )
    left = max(calendar.total - calendar.worked_before(now) for calendar in calendars)
    return (
        f"This takes {step.minutes} minutes, but {' or '.join(first)} "
        f"{'has' if len(first) == 1 else 'have'} only {left} minutes left{together}."
    )


def _parted(problem: Problem, hours: Hours) -> dict[str, list[str]]:
    """Parts of one long step that no one person may do all of."""
    common: dict[str, set[str]] = {}
    names: dict[str, str] = {}
    for step in problem.steps:
        if step.part_of is None:
            continue
        known = step.fixed or step.begun
        who = {known.person or ""} if known else {person for (person, _), _ in hours.able(step)}
        common[step.part_of] = common.get(step.part_of, who) & who
        names.setdefault(step.part_of, step.name)
    text = "Its parts must all be done by one person, and nobody may do them all."
    lost = [names[part] for part, who in common.items() if not who]
    return {text: lost} if lost else {}
