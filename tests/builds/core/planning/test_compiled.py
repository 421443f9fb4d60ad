"""Compiled loops give the same plans as plain ones; without them everything works, slower."""

from __future__ import annotations

import threading

import pytest

from builds.core.planning import Figure, Person, Problem, Step, heats, solve, warmth, workbench
from builds.core.planning.compiled import compiled_loops
from builds.core.planning.search import Bench
from builds.core.planning.warmth import warm_up

DAY = 1440


def company() -> Problem:
    """Two people, three figures of a few steps, dates that are hard to keep."""
    days = tuple((day * DAY + 540, day * DAY + 840) for day in range(200))
    crew = (
        Person("Ines", days, frozenset({"carve", "sew", "rig"}), is_lead=True),
        Person("Priya", days[::3], frozenset({"sew", "rig"})),
    )
    steps = []
    for k in range(12):
        steps += [
            Step(f"{k}.carve", 700 - 40 * k, craft="carve", lead_only=True, figure=f"J{k}"),
            Step(
                f"{k}.sew",
                300 + 30 * k,
                craft="sew",
                after=((f"{k}.carve", DAY),),
                figure=f"J{k}",
                twin_of="coat",
            ),
            Step(
                f"{k}.string",
                200,
                craft="rig",
                second="anybody",
                after=((f"{k}.sew", 0),),
                figure=f"J{k}",
            ),
        ]
    figures = tuple(
        Figure(f"J{k}", needed_by=(12 + 5 * k % 17) * DAY, weight=k % 3 + 1) for k in range(12)
    )
    return Problem(tuple(steps), crew, figures=figures, horizon=200 * DAY)


def test_compiled_search_is_the_plain_search(monkeypatch: pytest.MonkeyPatch) -> None:
    if compiled_loops() is None:
        pytest.skip("numba is not installed: there is nothing to compare")
    assert warm_up()
    monkeypatch.setattr(workbench, "WORTH_COMPILING", 10**12)
    monkeypatch.setattr(workbench, "loops_ready", lambda: False)
    plain = solve(company(), work=1200, seed=7)
    monkeypatch.setattr(workbench, "WORTH_COMPILING", 0)
    monkeypatch.setattr(workbench, "loops_ready", lambda: True)
    compiled = solve(company(), work=1200, seed=7)
    assert compiled == plain
    assert plain.score < solve(company(), work=0, seed=7).score


def test_without_numba_the_plan_is_made_in_plain_python(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbench, "WORTH_COMPILING", 0)
    monkeypatch.setattr(warmth, "compiled_loops", lambda: None)
    monkeypatch.setattr(warmth, "_done", threading.Event())
    assert not warm_up()
    assert solve(company(), work=20, seed=7).steps


def test_search_changes_over_in_the_middle(monkeypatch: pytest.MonkeyPatch) -> None:
    if compiled_loops() is None:
        pytest.skip("numba is not installed: there is nothing to compare")
    warm_up()
    monkeypatch.setattr(workbench, "loops_ready", lambda: False)
    plain = solve(company(), work=1200, seed=3)
    asked: list[int] = []

    def warm_at_last() -> bool:
        asked.append(1)
        return len(asked) > 60

    monkeypatch.setattr(workbench, "WORTH_COMPILING", 0)
    monkeypatch.setattr(workbench, "is_warm", warm_at_last)
    monkeypatch.setattr(heats, "PLAIN_PIECE", 1)
    assert solve(company(), work=1200, seed=3) == plain


def test_one_core_and_two_find_the_same_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    if not warm_up():
        pytest.skip("numba is not installed: there is nothing to compare")
    begun: list[int] = []
    search = heats.Heats._search

    def noted(self: heats.Heats, heat: heats.Heat, bench: Bench, rounds: int, desk: int) -> int:
        begun.append(desk)
        return search(self, heat, bench, rounds, desk)

    monkeypatch.setattr(heats.Heats, "_search", noted)
    monkeypatch.setattr(heats, "_cores", lambda: 2)
    both = solve(company(), work=3000, seed=3)
    assert set(begun) == {0, 1}, "two searches go side by side, on sheets of their own"
    begun.clear()
    monkeypatch.setattr(heats, "_cores", lambda: 1)
    assert solve(company(), work=3000, seed=3) == both
    assert set(begun) == {0}
