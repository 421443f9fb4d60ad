"""The problem as rows of whole numbers: steps, who may do them, hours, what is already taken.

Steps that are fixed are not in the rows: they stand in their people's and equipment's time from
the start, and what follows them has its release from them.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, NamedTuple, Protocol

import numpy as np

from builds.core.planning.calendars import DAY_MIN, Calendar
from builds.core.planning.hours import Hours, Pair
from builds.core.planning.problem import Fixed, Intervals, Problem, Step
from builds.core.planning.taken import BEFORE_ALL, rows_taken


class Row(Protocol):
    """A row of whole numbers: a list, or an array where the loops are compiled."""

    def __getitem__(self, k: int, /) -> int: ...
    def __setitem__(self, k: int, value: int, /) -> None: ...
    def __len__(self) -> int: ...


Numbers = list[int]

NONE = -1


class Tables(NamedTuple):
    """Rows over steps (n), options of steps (who, with whom, when), calendars, equipment."""

    n: int
    horizon: int
    minutes: Numbers
    one_go: Numbers
    release: Numbers
    part: Numbers
    pred_at: Numbers
    pred: Numbers
    pred_wait: Numbers
    succ_at: Numbers
    succ: Numbers
    succ_wait: Numbers
    opt_at: Numbers
    opt_person: Numbers
    opt_second: Numbers
    opt_cal: Numbers
    hold_at: Numbers
    hold_of: Numbers
    hold_amount: Numbers
    hold_pre: Numbers
    hold_post: Numbers
    user_at: Numbers
    user: Numbers
    user_post: Numbers
    days: int
    cal_day: Numbers
    cal_end: Numbers
    slot_from: Numbers
    slot_to: Numbers
    slot_before: Numbers
    capacity: Numbers
    part_person: Numbers
    busy_from: list[Numbers]
    busy_to: list[Numbers]
    busy_n: Numbers
    mark_at: list[Numbers]
    mark_used: list[Numbers]
    mark_n: Numbers
    beats: Numbers
    figure: Numbers
    due: Numbers
    weight: Numbers
    figure_done: Numbers
    all_done: int
    people: int
    gear: int
    parts: int
    width: int
    marks: int


class Layout(NamedTuple):
    """Tables with what their numbers stand for."""

    tables: Tables
    problem: Problem
    hours: Hours
    steps: tuple[Step, ...]
    index_of: dict[str, int]
    people: tuple[str, ...]
    pairs: tuple[tuple[str | None, str | None], ...]
    calendars: tuple[Calendar, ...]
    slots: tuple[Intervals, ...]
    fixed: dict[str, Fixed]


def lay_out(problem: Problem, fixed: dict[str, Fixed], hours: Hours | None = None) -> Layout:
    """Build the rows for the steps that are not in `fixed` (begun steps settled included)."""
    hours = hours or Hours(problem)
    steps = tuple(step for step in problem.steps if step.id not in fixed)
    index = {step.id: i for i, step in enumerate(steps)}
    people = tuple(person.id for person in problem.people)
    number = {one: k for k, one in enumerate(people)}
    own = [Calendar(hours.work(one)) for one in people]
    calendars = {id(calendar): k for k, calendar in enumerate(own)}
    slots = [calendar.slots for calendar in own]
    made = list(own)
    pairs: list[tuple[str | None, str | None]] = []
    opt_at, opt_person, opt_second, opt_cal = [0], [], [], []
    common = _common_hands(steps, hours, fixed, problem)
    for step in steps:
        for (person, second), calendar in _options(step, hours):
            if step.part_of is not None and person not in common[step.part_of]:
                continue
            pairs.append((person, second))
            opt_person.append(NONE if person is None else number[person])
            opt_second.append(NONE if second is None else number[second])
            if calendar is None:
                opt_cal.append(NONE)
                continue
            if id(calendar) not in calendars:
                calendars[id(calendar)] = len(slots)
                slots.append(calendar.slots)
                made.append(calendar)
            opt_cal.append(calendars[id(calendar)])
        opt_at.append(len(opt_person))
    tables = Tables(
        n=len(steps),
        horizon=problem.horizon,
        minutes=[step.minutes for step in steps],
        one_go=[int(step.one_go) for step in steps],
        release=[_release(step, problem, fixed) for step in steps],
        opt_at=opt_at,
        opt_person=opt_person,
        opt_second=opt_second,
        opt_cal=opt_cal,
        people=len(people),
        gear=len(problem.equipment),
        capacity=[gear.capacity for gear in problem.equipment],
        **_waits(steps, index),
        **_holds(steps, problem),
        **slot_rows(slots, problem.horizon),
        **_parts(steps, problem, fixed, number),
        **rows_taken(problem, fixed, number),
        **_dates(steps, problem, fixed),
        beats=sorted({a for row in slots[: len(own)] for a, _ in row}),
    )
    return Layout(
        tables, problem, hours, steps, index, people, tuple(pairs), tuple(made), tuple(slots), fixed
    )


def _options(
    step: Step, hours: Hours
) -> Sequence[tuple[Pair | tuple[None, None], Calendar | None]]:
    return [((None, None), None)] if step.unattended else list(hours.able(step))


def _common_hands(
    steps: Sequence[Step], hours: Hours, fixed: dict[str, Fixed], problem: Problem
) -> dict[str, set[str | None]]:
    """For each long step, those who may do every part of it that is not done yet."""
    common: dict[str, set[str | None]] = {}
    for step in steps:
        if step.part_of is not None:
            who = {person for (person, _), _ in _options(step, hours)}
            common[step.part_of] = common.get(step.part_of, who) & who
    for step in problem.steps:
        if step.part_of in common and step.id in fixed:
            common[step.part_of] &= {fixed[step.id].person}
    return common


def _release(step: Step, problem: Problem, fixed: dict[str, Fixed]) -> int:
    """Earliest start: now, its own date, and what it waits for among fixed steps."""
    out = problem.now if step.not_before is None else max(problem.now, step.not_before)
    for before, wait in step.after:
        if before in fixed:
            out = max(out, fixed[before].finish + wait)
    return out


def _waits(steps: Sequence[Step], index: dict[str, int]) -> dict[str, Any]:
    follow: list[list[tuple[int, int]]] = [[] for _ in steps]
    pred_at, pred, pred_wait = [0], [], []
    for i, step in enumerate(steps):
        for before, wait in step.after:
            if before in index:
                pred.append(index[before])
                pred_wait.append(wait)
                follow[index[before]].append((i, wait))
        pred_at.append(len(pred))
    succ_at, succ, succ_wait = [0], [], []
    for row in follow:
        succ += [j for j, _ in row]
        succ_wait += [wait for _, wait in row]
        succ_at.append(len(succ))
    return {
        "pred_at": pred_at,
        "pred": pred,
        "pred_wait": pred_wait,
        "succ_at": succ_at,
        "succ": succ,
        "succ_wait": succ_wait,
    }


def _holds(steps: Sequence[Step], problem: Problem) -> dict[str, Any]:
    number = {gear.id: k for k, gear in enumerate(problem.equipment)}
    hold_at, hold_of, amount, post = [0], [], [], []
    for step in steps:
        for hold in step.holds:
            if hold.amount > 0:
                hold_of.append(number[hold.equipment])
                amount.append(hold.amount)
                post.append(hold.hold_min + hold.rest_min)
        hold_at.append(len(hold_of))
    users: list[list[tuple[int, int]]] = [[] for _ in problem.equipment]
    for i in range(len(steps)):
        for h in range(hold_at[i], hold_at[i + 1]):
            users[hold_of[h]].append((i, post[h]))
    user_at = [0]
    for row in users:
        user_at.append(user_at[-1] + len(row))
    return {
        "user_at": user_at,
        "user": [i for row in users for i, _ in row],
        "user_post": [after for row in users for _, after in row],
        "hold_at": hold_at,
        "hold_of": hold_of,
        "hold_amount": amount,
        "hold_pre": [0] * len(post),
        "hold_post": post,
    }


def slot_rows(slots: Sequence[Intervals], horizon: int) -> dict[str, Any]:
    """Calendars one behind the other, with the first slot that ends after each day's start."""
    days = horizon // DAY_MIN + 2
    midnights = np.arange(days, dtype=np.int64) * DAY_MIN
    cal_day: list[int] = []
    cal_end: list[int] = []
    slot_from: list[int] = []
    slot_to: list[int] = []
    before: list[int] = []
    for row in slots:
        total, base = 0, len(slot_from)
        for a, b in row:
            slot_from.append(a)
            slot_to.append(b)
            before.append(total)
            total += b - a
        over = np.searchsorted(np.array([b for _, b in row]), midnights, side="right")
        cal_day += (base + over).tolist()
        cal_end.append(len(slot_from))
    return {
        "days": days,
        "cal_day": cal_day,
        "cal_end": cal_end,
        "slot_from": slot_from,
        "slot_to": slot_to,
        "slot_before": before,
    }


def _parts(
    steps: Sequence[Step], problem: Problem, fixed: dict[str, Fixed], number: dict[str, int]
) -> dict[str, Any]:
    names = {step.part_of: 0 for step in steps if step.part_of is not None}
    names = {name: k for k, name in enumerate(names)}
    person = [NONE] * len(names)
    for step in problem.steps:
        if step.id in fixed and step.part_of in names:
            who = fixed[step.id].person
            if who is not None:
                person[names[step.part_of]] = number[who]
    part = [NONE if step.part_of is None else names[step.part_of] for step in steps]
    return {"part": part, "part_person": person, "parts": len(names)}


def _dates(steps: Sequence[Step], problem: Problem, fixed: dict[str, Fixed]) -> dict[str, Any]:
    """Figures with a date: which of the steps it waits for, and how far fixed ones bring it."""
    dated = [figure for figure in problem.figures if figure.needed_by is not None]
    number = {figure.id: k for k, figure in enumerate(dated)}
    done = [BEFORE_ALL] * len(dated)
    for step in problem.steps:
        if step.id in fixed and step.figure in number and step.for_needed_by:
            k = number[step.figure]
            done[k] = max(done[k], fixed[step.id].finish)
    return {
        "figure": [
            number.get(step.figure, NONE) if step.figure and step.for_needed_by else NONE
            for step in steps
        ],
        "due": [figure.needed_by for figure in dated],
        "weight": [figure.weight for figure in dated],
        "figure_done": done,
        "all_done": max((stands.finish for stands in fixed.values()), default=problem.now),
    }
