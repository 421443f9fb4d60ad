"""The benchmark's rows on problems made here: no times are asserted."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from builds.core.planning import benchmark
from tests.builds.core.planning.test_files import PATTERSON, SHOW


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "j30_1_1.rcp").write_text(PATTERSON, encoding="utf-8")
    (tmp_path / "best_known.csv").write_text(
        "file,best_known_makespan,best_known_lower_bound\nj30_1_1.rcp,9,9\nj30_9_9.rcp,3,3\n",
        encoding="utf-8",
    )
    (tmp_path / "show-1-2-1.json").write_text(json.dumps(SHOW), encoding="utf-8")
    (tmp_path / "reference.csv").write_text(
        "show,late_1s,ready_1s,late_10s,ready_10s\nshow-1-2-1,0,900,0,800\n", encoding="utf-8"
    )
    return tmp_path


def test_rows_of_shows(folder: Path) -> None:
    (row,) = benchmark.measure_shows(folder, 0.01)
    assert (row.name, row.steps, row.score, row.gap) == ("show-1-2-1", 3, (0, 810), 0.0)
    assert row.verdict == "fair"
    assert benchmark.median_gap([row]) == 0
    assert benchmark.measure_shows(folder, 0.01, names=["show-2"]) == []


def test_table_of_best_plans_keeps_what_is_better(folder: Path, tmp_path: Path) -> None:
    table = tmp_path / "best.csv"
    table.write_text("show,late,ready,soonest\nshow-1-2-1,0,900,850\nshow-2,1,2,2\n", "utf-8")
    (row,) = benchmark.measure_shows(folder, 0.01)
    assert benchmark.keep_best_seen([row], table) == ["show-1-2-1"]
    assert benchmark.keep_best_seen([row], table) == []
    assert benchmark.read_best_seen(table) == {
        "show-1-2-1": ((0, 810), 810),
        "show-2": ((1, 2), 2),
    }
    assert benchmark.read_best_seen(tmp_path / "none.csv") == {}


def test_bound_above_the_best_plan_seen_fails_the_run(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = {"show-1-2-1": benchmark.BestSeen((0, 700), 700)}
    monkeypatch.setattr(benchmark, "read_best_seen", lambda: seen)
    with pytest.raises(RuntimeError, match="lies above a plan that was ready at 700"):
        benchmark.measure_shows(folder, 0.01)


def test_bound_on_lateness_above_the_best_plan_seen_fails_the_run(
    folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    figures = [{**figure, "needed_by": 1} for figure in SHOW["figures"]]
    path = folder / "show-1-2-1.json"
    path.write_text(json.dumps({**SHOW, "figures": figures}), encoding="utf-8")
    seen = {"show-1-2-1": benchmark.BestSeen((0, 900), 900)}
    monkeypatch.setattr(benchmark, "read_best_seen", lambda: seen)
    with pytest.raises(RuntimeError, match=r"bound on lateness \d+ lies above a plan that was 0"):
        benchmark.measure_shows(folder, 0.01)


def test_rows_of_classical_problems_stand_beside_another_solver(folder: Path) -> None:
    rows = benchmark.measure_classical(folder, 20)
    assert [(row.name, row.ours, row.cp_sat) for row in rows] == [("j30_1_1.rcp", 9, 9)]
    (summary,) = benchmark.summarise(rows)
    assert (summary.name, summary.problems, summary.ours, summary.cp_sat) == ("j30", 1, 0, 0)


def test_absent_folder_gives_no_rows(tmp_path: Path) -> None:
    assert benchmark.measure_shows(tmp_path, 0.01) == []
    assert benchmark.measure_classical(tmp_path, 0.01) == []
    assert benchmark.summarise([]) == []
    assert benchmark.median_gap([]) is None


def test_memory_is_told_where_the_system_tells_it() -> None:
    memory = benchmark.peak_memory_mb()
    assert memory is None or memory > 10


def test_calibration_takes_some_time() -> None:
    assert benchmark.calibrate() > 0
