"""Time that fixed steps take from people and equipment before anything is planned."""

from __future__ import annotations

from typing import Any

from builds.core.planning.problem import Fixed, Problem

BEFORE_ALL = -(1 << 60)


def rows_taken(problem: Problem, fixed: dict[str, Fixed], number: dict[str, int]) -> dict[str, Any]:
    """Time that fixed steps take from people and equipment, from now on."""
    busy: list[list[tuple[int, int]]] = [[] for _ in problem.people]
    gear = {piece.id: k for k, piece in enumerate(problem.equipment)}
    change: list[dict[int, int]] = [{} for _ in problem.equipment]
    uses = [0] * len(problem.equipment)
    for step in problem.steps:
        for hold in step.holds:
            uses[gear[hold.equipment]] += 1
        if step.id not in fixed:
            continue
        stands = fixed[step.id]
        start = max(stands.start, problem.now)
        if stands.finish > start:
            for who in (stands.person, stands.second):
                if who is not None:
                    busy[number[who]].append((start, stands.finish))
        for hold in step.holds:
            until = stands.finish + hold.hold_min + hold.rest_min
            if until > start:
                row = change[gear[hold.equipment]]
                row[start] = row.get(start, 0) + hold.amount
                row[until] = row.get(until, 0) - hold.amount
    width = len(problem.steps) + 2
    marks = 2 * max(uses, default=0) + 4
    out: dict[str, Any] = {"width": width, "marks": marks}
    rows = [_joined(row) for row in busy]
    out["busy_n"] = [len(row) for row in rows]
    out["busy_from"] = [_padded([a for a, _ in row], width) for row in rows]
    out["busy_to"] = [_padded([b for _, b in row], width) for row in rows]
    steps_of = [_profile(row) for row in change]
    out["mark_n"] = [len(row) for row in steps_of]
    out["mark_at"] = [_padded([at for at, _ in row], marks) for row in steps_of]
    out["mark_used"] = [_padded([used for _, used in row], marks) for row in steps_of]
    return out


def _joined(row: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Busy time sorted, overlaps (two steps fixed at once) joined."""
    out: list[tuple[int, int]] = []
    for a, b in sorted(row):
        if out and a < out[-1][1]:
            out[-1] = (out[-1][0], max(out[-1][1], b))
        else:
            out.append((a, b))
    return out


def _profile(change: dict[int, int]) -> list[tuple[int, int]]:
    """How much is held from each minute on; the first mark stands before all time."""
    out, used = [(BEFORE_ALL, 0)], 0
    for at in sorted(change):
        used += change[at]
        out.append((at, used))
    return out


def _padded(row: list[int], width: int) -> list[int]:
    return row + [0] * max(0, width - len(row))
