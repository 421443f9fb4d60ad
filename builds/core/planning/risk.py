"""How sure a date is: critical path, three-point guesses, and the plan sampled many times.

Critical path: Kelley and Walker, Proceedings of the Eastern Joint Computer Conference (1959).
Three-point mean and variance: Malcolm, Roseboom, Clark and Fazar, Operations Research 7 (1959)
646-669. Adding them along one path leaves out near-critical paths and is hopeful: hence sampling.
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from builds.core.planning.calendars import Calendar
from builds.core.planning.hours import Hours
from builds.core.planning.network import Link, find_links, goes_on
from builds.core.planning.pace import ThreePoint
from builds.core.planning.plan import Plan
from builds.core.planning.problem import Problem

Array = npt.NDArray[np.float64]
Word = Literal["tight", "fair", "easy"]

STAY_ON_MIN = 30  # people stay as long to finish a piece: common practice, no source
EASY_CHANCE, FAIR_CHANCE = 0.9, 0.6
RUNS = 2000
MARKS = (1, 2, 5, *range(10, 91, 5), 95, 98, 99)  # hundredths at which the dates are given


@dataclass(frozen=True, slots=True)
class PathTimes:
    """Earliest and latest start and finish of an activity, and what it can wait (`spare`)."""

    earliest_start: int
    earliest_finish: int
    latest_start: int
    latest_finish: int

    @property
    def spare(self) -> int:
        """Time by which it can be late without moving the end; 0 on a critical path."""
        return self.latest_start - self.earliest_start


def critical_path(
    durations: Mapping[str, int], after: Mapping[str, Sequence[str]]
) -> dict[str, PathTimes]:
    """Times of each activity when people are no limit. O(n + links).

    `after`: for an activity, those it waits for. ValueError for an unknown one or a ring.

    >>> times = critical_path({"carve": 3, "sew": 5, "dress": 1}, {"dress": ["carve", "sew"]})
    >>> times["dress"].earliest_start, times["carve"].spare
    (5, 2)
    """
    order = _in_order(durations, after)
    start: dict[str, int] = {}
    for one in order:
        start[one] = max((start[b] + durations[b] for b in after.get(one, ())), default=0)
    end = max((start[one] + durations[one] for one in order), default=0)
    late = dict.fromkeys(order, end)
    for one in reversed(order):
        for before in after.get(one, ()):
            late[before] = min(late[before], late[one] - durations[one])
    return {
        one: PathTimes(
            start[one], start[one] + durations[one], late[one] - durations[one], late[one]
        )
        for one in durations
    }


def _in_order(durations: Mapping[str, int], after: Mapping[str, Sequence[str]]) -> list[str]:
    left = {one: len(after.get(one, ())) for one in durations}
    follow: dict[str, list[str]] = defaultdict(list)
    for one, ahead in after.items():
        for before in ahead:
            if before not in durations or one not in durations:
                raise ValueError(f"after names {before!r} for {one!r}: one of them has no duration")
            follow[before].append(one)
    order = [one for one, count in left.items() if count == 0]
    for one in order:
        for later in follow[one]:
            left[later] -= 1
            if left[later] == 0:
                order.append(later)
    if len(order) < len(durations):
        raise ValueError("after has a ring: activities wait for each other")
    return order


def three_point(low: float, usual: float, high: float) -> tuple[float, float]:
    """Mean and variance of a three-point guess (Malcolm et al. 1959), in its unit and unit squared.

    ValueError unless low <= usual <= high.

    >>> three_point(5, 8, 17)
    (9.0, 4.0)
    """
    if not low <= usual <= high:
        raise ValueError(f"low, usual, high are {low}, {usual}, {high}: they must not fall")
    return (low + 4 * usual + high) / 6, ((high - low) / 6) ** 2


def chance_by(date: float, mean: float, variance: float) -> float:
    """Chance that a sum with this mean and variance is at most `date`, by the normal curve.

    >>> round(chance_by(28, 24, 5), 4)
    0.9632
    """
    if variance <= 0:
        return 1.0 if date >= mean else 0.0
    return 0.5 * (1 + math.erf((date - mean) / math.sqrt(2 * variance)))


def sample_factors(
    shape: tuple[int, int], seed: int, points: Sequence[ThreePoint] | None = None
) -> Array:
    """Factors on usual hours, a row a step, from beta distributions with their mode at `usual`.

    `points`: the three points of each row; common practice for all where left out. Low and high
    are the ends of the distribution (beta-PERT, weight 4 on the mode), and its mean is that of
    Malcolm et al. 1959.
    """
    rng = np.random.default_rng(seed)
    rows = [ThreePoint()] * shape[0] if points is None else list(points)
    low = np.array([one.low for one in rows], dtype=np.float64).reshape(-1, 1)
    wide = np.array([one.high - one.low for one in rows], dtype=np.float64).reshape(-1, 1)
    peak = np.array([_peak(one) for one in rows], dtype=np.float64).reshape(-1, 1)
    return np.asarray(low + wide * rng.beta(1 + peak, 5 - peak, size=shape), dtype=np.float64)


def _peak(one: ThreePoint) -> float:
    return 4 * (one.usual - one.low) / (one.high - one.low) if one.high > one.low else 2.0


@dataclass(frozen=True, slots=True)
class Odds:
    """What sampling the plan's order says. Instants in minutes; `chance` is None without a date.

    `decides`: for each step, the share of runs in which it is on the chain that sets the date.
    `dates`: (hundredths, the minute by which all is ready in so many of 100 runs), rising.
    """

    word: Word
    chance: float | None
    half_by: int
    four_fifths_by: int
    nearly_sure_by: int
    figures: Mapping[str, float]
    decides: Mapping[str, float]
    dates: tuple[tuple[int, int], ...] = ()


class _Timeline:
    """A calendar as arrays, for many minutes at once; beyond its end work goes on at its pace."""

    def __init__(self, calendar: Calendar, end: int) -> None:
        row = np.array(calendar.slots or ((0, 1),), dtype=np.float64)
        length = row[:, 1] - row[:, 0]
        self.total = float(length.sum())
        self.pace = max(1.0, (end - row[0, 0]) / self.total) if self.total else 1.0
        self.clock = row.ravel()
        self.worked = np.column_stack((np.cumsum(length) - length, np.cumsum(length))).ravel()

    def finish(self, start: Array, minutes: Array) -> Array:
        """Finish of work that may begin at `start`."""
        done = np.interp(start, self.clock, self.worked)
        done += np.maximum(0, start - self.clock[-1]) / self.pace
        want = done + minutes
        # searching from the left ends work with the slot that holds its last minute, where
        # people stay on for a little to be done, but never when they have only just begun
        soon = np.maximum(want - STAY_ON_MIN, done + np.minimum(minutes, STAY_ON_MIN))
        k = np.searchsorted(self.worked, np.minimum(soon, want), side="left")
        k = np.clip(k, 1, len(self.worked) - 1)
        inside = self.clock[k] - np.maximum(0, self.worked[k] - want)
        beyond = self.clock[-1] + (want - self.total) * self.pace
        return np.asarray(np.where(want <= self.total, inside, beyond), dtype=np.float64)


def sample_plan(
    problem: Problem,
    plan: Plan,
    *,
    seed: int,
    runs: int = RUNS,
    points: Mapping[str, ThreePoint] | None = None,
) -> Odds | None:
    """Play the plan's order `runs` times with hours that differ; None where there is no plan.

    `points`: three points by step id; common practice for steps left out. People, and the order
    of each person's and mould's work, stay; finished and fixed work stays as it is. Cost: runs x
    links, in numpy: a fraction of a second for 2 000 runs of 500 steps.
    ValueError for fewer than 1 run.
    """
    if runs < 1:
        raise ValueError(f"runs is {runs}: it must be 1 or more")
    if not plan.steps:
        return None
    finish, holder = _play(problem, plan, seed, runs, points or {})
    index = {step.id: k for k, step in enumerate(plan.steps)}
    ready = finish.max(axis=0)
    dated = {figure.id: figure for figure in problem.figures if figure.needed_by is not None}
    waits: dict[str, list[int]] = defaultdict(list)
    for step in problem.steps:
        if step.figure in dated and step.for_needed_by:
            waits[step.figure or ""].append(index[step.id])
    figures = {
        one: float(np.mean(finish[rows].max(axis=0) <= (dated[one].needed_by or 0)))
        for one, rows in waits.items()
    }
    chance = None if problem.opening is None else float(np.mean(ready <= problem.opening))
    half, most, nearly = (math.ceil(at) for at in np.quantile(ready, (0.5, 0.8, 0.95)))
    marks = np.quantile(ready, [mark / 100 for mark in MARKS])
    dates = tuple((mark, math.ceil(at)) for mark, at in zip(MARKS, marks, strict=True))
    least = min([*figures.values(), 1.0 if chance is None else chance])
    word: Word = "easy" if least >= EASY_CHANCE else "fair" if least >= FAIR_CHANCE else "tight"
    decides = _decides(finish, holder, [step.id for step in plan.steps])
    return Odds(word, chance, half, most, nearly, figures, decides, dates)


def _play(
    problem: Problem, plan: Plan, seed: int, runs: int, points: Mapping[str, ThreePoint]
) -> tuple[Array, npt.NDArray[np.int64]]:
    """Finish of each step in each run, and the step (row) that held it up, -1 for none."""
    hours = Hours(problem)
    by_id = {step.id: step for step in problem.steps}
    index = {step.id: k for k, step in enumerate(plan.steps)}
    into: dict[str, list[Link]] = defaultdict(list)
    for link in find_links(problem, plan.steps):
        into[link.after].append(link)
    rows = [points.get(put.id, ThreePoint()) for put in plan.steps]
    factors = sample_factors((len(plan.steps), runs), seed, rows)
    finish = np.zeros((len(plan.steps), runs))
    holder = np.full((len(plan.steps), runs), -1, dtype=np.int64)
    lines: dict[int, _Timeline] = {}
    for put in sorted(plan.steps, key=lambda step: (goes_on(step), step.finish)):
        step, row = by_id[put.id], index[put.id]
        if step.fixed is not None and put.finish <= problem.now:
            finish[row] = put.finish
            continue
        own = problem.now if step.not_before is None else max(problem.now, step.not_before)
        start = np.full(runs, float(goes_on(put) if step.fixed is not None else own))
        for link in into[put.id] if step.fixed is None else ():
            release = finish[index[link.before]] + link.lag_min
            later = release > start
            start = np.where(later, release, start)
            holder[row] = np.where(later, index[link.before], holder[row])
        if put.person is None:
            finish[row] = start + step.minutes
            continue
        calendar = hours.calendar(step, put.person, put.second)
        line = lines.setdefault(id(calendar), _Timeline(calendar, problem.horizon))
        minutes = step.minutes
        if step.fixed is not None:
            start = np.maximum(start, problem.now)
            minutes = calendar.worked_before(put.finish) - calendar.worked_before(
                max(put.start, problem.now)
            )
        finish[row] = line.finish(start, minutes * factors[row])
    return finish, holder


def _decides(finish: Array, holder: npt.NDArray[np.int64], ids: Sequence[str]) -> dict[str, float]:
    runs = finish.shape[1]
    seen = np.zeros(len(ids), dtype=np.int64)
    at = finish.argmax(axis=0)
    columns = np.arange(runs)
    while bool(np.any(at >= 0)):
        on = at >= 0
        np.add.at(seen, at[on], 1)
        at = np.where(on, holder[np.maximum(at, 0), columns], -1)
    return {one: int(count) / runs for one, count in zip(ids, seen, strict=True) if count}
