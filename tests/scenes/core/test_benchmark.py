"""The measurements run, agree on the figures, and say what was left out. No time is judged."""

from __future__ import annotations

import pytest

from scenes.core import benchmark
from scenes.core.benchmark import StatedPlot, make_plot, measure_counting
from scenes.core.plot_problems import problems


def test_every_method_finds_the_same_figures() -> None:
    rows = measure_counting([StatedPlot(60, 3, 10), StatedPlot(40, 1, 8)], runs=1)
    assert [row.method for row in rows[:4]] == [
        "Strung, whole count",
        "OR-Tools max flow",
        "scipy bipartite matching",
        "networkx Hopcroft-Karp",
    ]
    assert len(rows) == 8
    for plot in {row.plot for row in rows}:
        assert len({row.figures for row in rows if row.plot == plot}) == 1
    assert all(row.note == "" and row.median_s and row.ratio for row in rows)
    assert [row.ratio for row in rows if row.method == benchmark.REFERENCE] == [1, 1]


def test_what_is_not_run_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(benchmark, "MOST_PAIRS", 10)
    rows = measure_counting([StatedPlot(60, 1, 10)], runs=1)
    assert rows[0].figures
    assert rows[0].ratio is None
    assert {row.note for row in rows[1:]} == {"not run: more than 10 pairs"}


def test_a_library_that_is_not_there_is_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(benchmark, "find_spec", lambda name: None if name == "networkx" else name)
    rows = measure_counting([StatedPlot(20, 1, 4)], runs=1)
    assert rows[-1].note == "not run: networkx is not installed"
    assert rows[1].figures == rows[0].figures


def test_stated_plots_are_sound_and_always_the_same() -> None:
    stated = StatedPlot(200, 4, 20)
    assert problems(make_plot(stated)) == []
    assert make_plot(stated) == make_plot(stated)
    assert str(stated) == "200 appearances, 4 guises, 20 scenes"


def test_no_runs_at_all_are_refused() -> None:
    with pytest.raises(ValueError, match="runs is 0"):
        measure_counting(runs=0)
