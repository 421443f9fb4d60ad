"""The published sample and the shows, where their folders are present: valid, near, not below."""

from __future__ import annotations

import csv
import statistics

from builds.core.planning import check_plan, solve
from builds.core.planning.benchmark import read_best_seen
from builds.core.planning.files import read_file
from tests.builds.core.planning.companies import sample_folder

# Kolisch and Sprecher, European Journal of Operational Research 96 (1997) 205-216: lengths of the
# 30-activity set are proved optima, those of the larger sets the best published.
ROUNDS_J30 = 600
MEAN_ABOVE_J30 = 0.02
FIRST_ABOVE = 0.20


def test_classical_sample_is_planned_near_the_best_known() -> None:
    folder = sample_folder("PSPLIB_DIR", "psplib")
    above, first_above = [], []
    with (folder / "best_known.csv").open(encoding="utf-8", newline="") as lines:
        rows = list(csv.DictReader(lines))
    assert len(rows) == 60
    for row in rows:
        problem = read_file(folder / row["file"])
        best = int(row["best_known_makespan"])
        lower = int(row["best_known_lower_bound"] or 0)
        small = row["file"].startswith("j30")
        plan = solve(problem, work=ROUNDS_J30 if small else 0, seed=1)
        assert check_plan(problem, plan) == []
        assert plan.ready is not None
        assert plan.bound is not None
        assert plan.ready >= max(lower, best if small else 0), row["file"]
        assert plan.bound <= best, row["file"]
        (above if small else first_above).append(plan.ready / best - 1)
    assert statistics.fmean(above) <= MEAN_ABOVE_J30
    assert statistics.fmean(first_above) <= FIRST_ABOVE


def test_shows_are_planned_by_the_rules_and_not_below_the_bound() -> None:
    folder = sample_folder("SHOWS_DIR", "shows")
    with (folder / "reference.csv").open(encoding="utf-8", newline="") as lines:
        reference = {row["show"]: row for row in csv.DictReader(lines)}
    for name in ("show-12-3-1", "show-12-5-3", "show-40-8-3", "show-120-3-3"):
        problem = read_file(folder / f"{name}.json")
        assert problem.problems() == []
        plan = solve(problem, work=0, seed=1)
        assert check_plan(problem, plan) == []
        assert plan.bound is not None
        assert plan.bound <= read_best_seen()[name].soonest
        # as strong as the published bound, and not above the best plan anybody has found
        assert plan.bound >= int(reference[name]["bound_ready"]) - 60
        assert plan.bound <= int(reference[name]["ready_60s"])
