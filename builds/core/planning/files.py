"""Reading the two kinds of problem files, and one line of JSON for each answer.

Show files (`.json`, 'show 1') and single-mode files in Patterson's format (`.rcp`: Patterson,
Management Science 30 (1984) 854-867; the benchmark library PSPLIB is kept in it: Kolisch and
Sprecher, European Journal of Operational Research 96 (1997) 205-216).
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from builds.core.planning.calendars import tidy
from builds.core.planning.plan import Plan
from builds.core.planning.problem import (
    ANYBODY,
    Equipment,
    Figure,
    Fixed,
    Helpers,
    Hold,
    Person,
    Problem,
    Step,
)


class FileFault(ValueError):
    """A file that is not what its name says, with the reason as a sentence."""


def read_file(path: Path) -> Problem:
    """A problem from a `.json` show or a `.rcp` file; FileFault says what is wrong with it."""
    try:
        text = path.read_text(encoding="utf-8")
    except OSError as error:
        raise FileFault(f"{path.name}: it cannot be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise FileFault(f"{path.name}: it is not UTF-8 text.") from error
    if path.suffix == ".rcp":
        return read_patterson(text, path.name)
    if path.suffix == ".json":
        return read_show(text, path.name)
    raise FileFault(f"{path.name}: its name should end in .json or .rcp.")


def read_patterson(text: str, name: str = "") -> Problem:
    """A classical problem: no people, renewable equipment, durations in minutes of one unit each.

    >>> tiny = "3 1\\n2\\n0 0 1 2\\n4 1 1 3\\n0 0 0"
    >>> [step.minutes for step in read_patterson(tiny).steps]
    [0, 4, 0]
    """
    try:
        numbers = [int(word) for word in text.split()]
    except ValueError as error:
        raise FileFault(f"{name}: a Patterson file holds whole numbers alone.") from error
    if len(numbers) < 2 or numbers[0] < 1 or numbers[1] < 0 or len(numbers) < 2 + numbers[1]:
        raise FileFault(f"{name}: the first two lines of a Patterson file are missing.")
    count, gear = numbers[0], numbers[1]
    capacity = numbers[2 : 2 + gear]
    at = 2 + gear
    minutes: list[int] = []
    demand: list[list[int]] = []
    after: list[list[tuple[str, int]]] = [[] for _ in range(count)]
    for i in range(count):
        row = numbers[at : at + gear + 2]
        follow = numbers[at + gear + 2 : at + gear + 2 + row[-1]] if len(row) == gear + 2 else []
        if len(row) < gear + 2 or len(follow) < row[-1]:
            raise FileFault(f"{name}: activity {i + 1} of {count} is cut short.")
        minutes.append(row[0])
        demand.append(row[1:-1])
        for j in follow:
            if not 1 <= j <= count:
                raise FileFault(f"{name}: activity {i + 1} has the unknown successor {j}.")
            after[j - 1].append((str(i + 1), 0))
        at += gear + 2 + row[-1]
    steps = tuple(
        Step(
            str(i + 1),
            minutes[i],
            unattended=True,
            holds=tuple(Hold(f"R{k + 1}", amount=a) for k, a in enumerate(demand[i]) if a),
            after=tuple(after[i]),
        )
        for i in range(count)
    )
    equipment = tuple(Equipment(f"R{k + 1}", size) for k, size in enumerate(capacity))
    return Problem(steps, equipment=equipment, horizon=sum(minutes) + 1)


def read_show(text: str, name: str = "") -> Problem:
    """A show of format 'show 1': people, equipment, figures and steps from minute 0."""
    try:
        data = json.loads(text)
    except json.JSONDecodeError as error:
        raise FileFault(f"{name}: line {error.lineno} is not JSON ({error.msg}).") from error
    if not isinstance(data, dict) or data.get("format") != "show 1":
        raise FileFault(f"{name}: its 'format' should be 'show 1'.")
    try:
        return _show(data)
    except KeyError as error:
        raise FileFault(f"{name}: the key {error} is missing.") from error
    except (AttributeError, TypeError, ValueError) as error:
        raise FileFault(f"{name}: a value has the wrong shape ({error}).") from error


def _show(data: dict[str, Any]) -> Problem:
    people = tuple(
        Person(
            str(one["id"]),
            tidy((int(a), int(b)) for a, b in one["work"]),
            frozenset(str(craft) for craft in one["crafts"]),
            bool(one.get("lead", False)),
        )
        for one in data["people"]
    )
    crafts = {craft for person in people for craft in person.crafts}
    able = {
        craft: tuple(person.id for person in people if craft in person.crafts) for craft in crafts
    }
    return Problem(
        steps=tuple(_show_step(one, able) for one in data["steps"]),
        people=people,
        equipment=tuple(Equipment(str(e["id"]), int(e["capacity"])) for e in data["equipment"]),
        figures=tuple(
            Figure(str(f["id"]), int(f["needed_by"]), int(f["weight"])) for f in data["figures"]
        ),
        horizon=int(data["horizon"]),
        opening=int(data["opening"]),
    )


def _show_step(one: dict[str, Any], able: dict[str, tuple[str, ...]]) -> Step:
    second: Helpers = None
    if one.get("second") is not None:
        second = ANYBODY if one["second"] == ANYBODY else able.get(str(one["second"]), ())
    fixed = one.get("fixed")
    holds: tuple[Hold, ...] = ()
    if "equipment" in one:
        holds = (Hold(str(one["equipment"]), int(one.get("hold", 0))),)
    return Step(
        id=str(one["id"]),
        minutes=int(one["minutes"]),
        craft=str(one["craft"]),
        lead_only=bool(one.get("lead", False)),
        second=second,
        one_go=bool(one.get("one_go", False)),
        holds=holds,
        after=tuple((str(before), int(wait)) for before, wait in one["after"]),
        not_before=int(one["not_before"]) if "not_before" in one else None,
        fixed=None
        if fixed is None
        else Fixed(fixed["person"], int(fixed["start"]), int(fixed["finish"]), fixed.get("second")),
        figure=str(one["figure"]) if "figure" in one else None,
    )


def answer(name: str, problem: Problem, plan: Plan) -> str:
    """One line of JSON about a plan; `starts` instead of `steps` where there are no people."""
    line: dict[str, Any] = {
        "file": name,
        "makespan": plan.ready,
        "lateness": plan.lateness,
        "bound": plan.bound,
        "status": plan.status,
    }
    if plan.reasons:
        line["reasons"] = list(plan.reasons)
    if problem.people:
        line["steps"] = [
            {
                "id": step.id,
                "person": step.person,
                "second": step.second,
                "start": step.start,
                "finish": step.finish,
            }
            for step in plan.steps
        ]
    else:
        line["starts"] = [step.start for step in plan.steps]
    return json.dumps(line)
