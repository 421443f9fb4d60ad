"""The finer measurements run and agree, and each question can be asked alone. No time is judged."""

from __future__ import annotations

import pytest

from scenes.core import benchmark_finer
from scenes.core.benchmark import StatedPlot
from scenes.core.benchmark_finer import make_show, measure_finer
from scenes.core.plot_problems import problems


def test_every_method_finds_the_same_figures_with_fewest_changes() -> None:
    rows = measure_finer(1, "changes", [StatedPlot(60, 1, 10), StatedPlot(80, 3, 12)])
    assert [row.method for row in rows[:4]] == [
        "Strung, tracks",
        "OR-Tools cheapest flow, pooled",
        "scipy HiGHS, pooled",
        "networkx cheapest flow, pooled",
    ]
    for plot in {row.plot for row in rows}:
        assert len({row.figures for row in rows if row.plot == plot}) == 1
    assert all(row.median_s and row.ratio for row in rows)
    assert "changes" in rows[0].note
    assert {row.note for row in rows if row.method != "Strung, tracks"} == {""}


@pytest.mark.parametrize("only", ["ranges", "pins", "savings"])
def test_each_question_is_asked_alone(only: str) -> None:
    (row,) = measure_finer(1, only)
    assert row.plot.startswith(only)
    assert row.median_s
    assert row.note


@pytest.mark.solver
def test_people_are_measured_on_a_small_show(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(benchmark_finer, "SHOW", (8, 4, 2))
    (row,) = measure_finer(1, "people")
    assert row.plot == "people, 8 scenes x 4 roles x 2 costumes"
    assert row.figures
    assert row.note == "proved"


def test_what_is_too_large_or_not_there_says_why(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(benchmark_finer, "MOST_ARCS_NETWORKX", 10)
    monkeypatch.setattr(
        benchmark_finer, "find_spec", lambda name: None if name == "scipy" else name
    )
    rows = measure_finer(1, "changes", [StatedPlot(60, 1, 10)])
    assert [row.note for row in rows[2:]] == [
        "not run: scipy is not installed",
        "not run: more than 10 arcs",
    ]


def test_the_stated_show_is_sound_and_always_the_same() -> None:
    plot, hours = make_show(12, 5, 3)
    assert problems(plot) == []
    assert make_show(12, 5, 3) == (plot, hours)


def test_no_runs_at_all_are_refused() -> None:
    with pytest.raises(ValueError, match="runs is 0"):
        measure_finer(0)
