"""The chain of steps that sets the date, step by step: when, whose, and what each waits for."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from builds.models import Plan, PlannedStep


@dataclass(frozen=True, slots=True)
class ChainStep:
    """A step on the chain with its first part on it; `why` is the end of a sentence about it."""

    row: PlannedStep
    why: str
    parts: int = 1  # of the step, one after the other


def read_chain(plan: Plan, rows: Iterable[PlannedStep]) -> tuple[ChainStep, ...]:
    """The plan's chain in order, `rows` being the plan's. Parts in a row are one step. No query."""
    by_part = {(row.step_id, row.part): row for row in rows}
    found: list[ChainStep] = []
    for link in plan.chain:
        row = by_part.get((link["step"], link["part"]))
        if row is None:
            continue  # finished since
        if found and found[-1].row.step_id == row.step_id:
            found[-1] = ChainStep(found[-1].row, found[-1].why, found[-1].parts + 1)
        else:
            found.append(ChainStep(row, _why(link["words"], row)))
    return tuple(found)


def _why(words: str, row: PlannedStep) -> str:
    """What is said of the step, without its name in front."""
    name = f"{row.step.stage.name} {row.step.subject_words}"
    part = f", part {row.part} of {row.parts}" if row.parts > 1 else ""
    return words.removeprefix(name).removeprefix(part).strip()
