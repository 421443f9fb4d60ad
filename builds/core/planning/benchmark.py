"""Measurements of the planning: shows and classical problems, beside general solvers, as rows.

Nothing is printed and no time is asserted: a page or command shows the rows. The problems are not
kept in the project; a folder that is not there gives no rows.
"""

from __future__ import annotations

import csv
import statistics
import sys
import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from builds.core.planning.checker import check_plan
from builds.core.planning.engine import solve
from builds.core.planning.files import read_file
from builds.core.planning.plan import Plan
from builds.core.planning.problem import Problem
from builds.core.planning.rivals import solve_with_cp_sat, solve_with_pyjobshop
from builds.core.planning.warmth import warm_up

MOST_WORK = 10**9
# the best plan of each show that this or any other search has found, and the soonest 'all ready'
BEST_SEEN = Path(__file__).with_name("best_seen.csv")
Score = tuple[int, int]


class BestSeen(NamedTuple):
    """The best plan ever seen of a show, and the soonest any plan of it had all ready."""

    score: Score
    soonest: int


@dataclass(frozen=True, slots=True)
class ShowRow:
    """One show: the first plan and its time, the plan after `seconds`, and the reference's."""

    name: str
    steps: int
    first_ms: float
    first: Score
    score: Score
    bound: int
    bound_by: str
    lateness_bound: int
    gap: float
    rounds: int
    reference_1s: Score | None
    reference_10s: Score | None
    best_seen: Score | None = None

    @property
    def verdict(self) -> str:
        """Against the reference: 'better' than its 10 s plan or as good, 'fair' its 1 s plan."""
        if self.reference_1s is None or self.reference_10s is None:
            return "no reference"
        if self.score <= self.reference_10s:
            return "better"
        return "fair" if self.score <= self.reference_1s else "worse"


@dataclass(frozen=True, slots=True)
class ClassicalRow:
    """One classical problem: lengths found in the same time, and the best known one."""

    name: str
    best_known: int
    ours: int
    bound: int
    cp_sat: int | None
    pyjobshop: int | None

    def above(self, length: int | None) -> float | None:
        """A length's share above the best known one."""
        return None if length is None else length / self.best_known - 1


@dataclass(frozen=True, slots=True)
class Summary:
    """Means of a set of classical problems: share above the best known, ours and the others'."""

    name: str
    problems: int
    ours: float
    cp_sat: float | None
    pyjobshop: float | None


def calibrate() -> float:
    """Milliseconds of a fixed loop in plain Python: what this machine makes of the same work."""
    times = []
    for _ in range(5):
        began = time.perf_counter()
        total = 0
        for k in range(1_000_000):
            total += k * k % 7
        times.append((time.perf_counter() - began) * 1000)
    return statistics.median(times)


def measure_shows(folder: Path, seconds: float, names: Sequence[str] = ()) -> list[ShowRow]:
    """A row for each show in the folder, or for those named; RuntimeError if a plan is wrong."""
    warm_up()
    reference = _read_reference(folder / "reference.csv")
    seen = read_best_seen()
    rows = []
    for path in sorted(folder.glob("show-*.json")):
        if names and path.stem not in names:
            continue
        problem = read_file(path)
        began = time.perf_counter()
        first = solve(problem, work=0, seed=1)
        first_ms = (time.perf_counter() - began) * 1000
        plan = _timed(problem, seconds)
        _hold_to_rules(problem, plan, path.name)
        known, best = reference.get(path.stem), seen.get(path.stem)
        if best is not None and (plan.bound or 0) > best.soonest:
            raise RuntimeError(
                f"{path.stem}: the bound {plan.bound} lies above a plan that was ready at "
                f"{best.soonest}, so one of the two is wrong."
            )
        if best is not None and plan.lateness_bound > best.score[0]:
            raise RuntimeError(
                f"{path.stem}: the bound on lateness {plan.lateness_bound} lies above a plan that "
                f"was {best.score[0]} late, so one of the two is wrong."
            )
        rows.append(
            ShowRow(
                path.stem,
                len(problem.steps),
                first_ms,
                first.score,
                plan.score,
                plan.bound or 0,
                plan.bound_by,
                plan.lateness_bound,
                plan.gap or 0.0,
                plan.work,
                known[0] if known else None,
                known[1] if known else None,
                best.score if best else None,
            )
        )
    return rows


def read_best_seen(path: Path = BEST_SEEN) -> dict[str, BestSeen]:
    """The best plan ever seen of each show, by name; empty where the table is not there."""
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as lines:
        return {
            row["show"]: BestSeen((int(row["late"]), int(row["ready"])), int(row["soonest"]))
            for row in csv.DictReader(lines)
        }


def keep_best_seen(rows: Iterable[ShowRow], path: Path = BEST_SEEN) -> list[str]:
    """Write better plans of shows that the table knows into it; the names of those shows."""
    seen = read_best_seen(path)
    better = []
    for row in rows:
        known = seen.get(row.name)
        if known is not None and (row.score < known.score or row.score[1] < known.soonest):
            better.append(row.name)
            seen[row.name] = BestSeen(min(row.score, known.score), min(row.score[1], known.soonest))
    if better:
        with path.open("w", encoding="utf-8", newline="") as out:
            table = csv.writer(out, lineterminator="\n")
            table.writerow(("show", "late", "ready", "soonest"))
            table.writerows((name, *best.score, best.soonest) for name, best in seen.items())
    return better


def measure_classical(
    folder: Path, seconds: float, *, rivals: bool = True, prefix: str = ""
) -> list[ClassicalRow]:
    """A row for each `.rcp` file with a best known length, the others in the same run."""
    warm_up()
    rows = []
    for name, best in read_best_known(folder / "best_known.csv").items():
        path = folder / name
        if not name.startswith(prefix) or not path.exists():
            continue
        problem = read_file(path)
        plan = _timed(problem, seconds)
        _hold_to_rules(problem, plan, name)
        rows.append(
            ClassicalRow(
                name,
                best,
                plan.ready or 0,
                plan.bound or 0,
                solve_with_cp_sat(problem, seconds) if rivals else None,
                solve_with_pyjobshop(problem, seconds) if rivals else None,
            )
        )
    return rows


def summarise(rows: Iterable[ClassicalRow]) -> list[Summary]:
    """Means by set ('j30', 'j60', 'j120')."""
    sets: dict[str, list[ClassicalRow]] = {}
    for row in rows:
        sets.setdefault(row.name.split("_")[0], []).append(row)
    return [
        Summary(
            name,
            len(these),
            statistics.fmean(row.above(row.ours) or 0.0 for row in these),
            _mean(row.above(row.cp_sat) for row in these),
            _mean(row.above(row.pyjobshop) for row in these),
        )
        for name, these in sets.items()
    ]


def peak_memory_mb() -> float | None:
    """The most memory this process has had, in MB; None where the system does not tell."""
    try:
        import resource
    except ImportError:
        return None
    most = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    return most / (1_000_000 if sys.platform == "darwin" else 1000)


def median_gap(rows: Iterable[ShowRow]) -> float | None:
    """Median gap to the proved bound; None without rows."""
    gaps = [row.gap for row in rows]
    return statistics.median(gaps) if gaps else None


def read_best_known(path: Path) -> dict[str, int]:
    """Best known lengths by file name; empty where the table is not there."""
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as lines:
        return {row["file"]: int(row["best_known_makespan"]) for row in csv.DictReader(lines)}


def _read_reference(path: Path) -> dict[str, tuple[Score, Score]]:
    if not path.exists():
        return {}
    with path.open(encoding="utf-8", newline="") as lines:
        return {
            row["show"]: (
                (int(row["late_1s"]), int(row["ready_1s"])),
                (int(row["late_10s"]), int(row["ready_10s"])),
            )
            for row in csv.DictReader(lines)
        }


def _mean(values: Iterable[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return statistics.fmean(known) if known else None


def _timed(problem: Problem, seconds: float) -> Plan:
    until = time.monotonic() + seconds
    return solve(problem, work=MOST_WORK, seed=1, stop=_after(until))


def _after(until: float) -> Callable[[], bool]:
    return lambda: time.monotonic() >= until


def _hold_to_rules(problem: Problem, plan: Plan, name: str) -> None:
    wrong = check_plan(problem, plan)
    if wrong or plan.status == "none":
        raise RuntimeError(f"{name}: {' '.join(wrong or plan.reasons)}")
