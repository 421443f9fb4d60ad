"""Trial hangs as the statics read them: what was hung is kept as it was then."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from typing import Any

from builds.core.statics.trials import Trial
from builds.core.statics.values import Figure, Joint, Load
from builds.models import TrialHang


def keep_hung(figure: Figure) -> dict[str, Any]:
    """Everything of a figure but its pieces, as plain JSON values."""
    return {
        "hole": [figure.hole_x_mm, figure.hole_y_mm],
        "lift": figure.lift_mm,
        "soles": [list(sole) for sole in figure.soles],
        "loads": [[load.kind, load.mass_g, load.x_mm, load.y_mm] for load in figure.loads],
        "joints": [
            [j.kind, j.x_mm, j.y_mm, j.back_deg, j.forward_deg, j.is_held] for j in figure.joints
        ],
    }


def load_trials(figure: Figure, rows: Iterable[TrialHang]) -> list[Trial]:
    """Trials, oldest first, of the pieces as they are known now, hung as they were then."""
    return [_trial(figure, row) for row in sorted(rows, key=lambda row: (row.at, row.pk))]


def _trial(figure: Figure, row: TrialHang) -> Trial:
    kept = row.hung
    hung = replace(
        figure,
        hole_x_mm=kept["hole"][0],
        hole_y_mm=kept["hole"][1],
        lift_mm=kept["lift"],
        soles=tuple((x, y) for x, y in kept["soles"]),
        loads=tuple(Load(*load) for load in kept["loads"]),
        joints=tuple(Joint(*joint) for joint in kept["joints"]),
        head_share=row.head_share_pct / 100,
    )
    return Trial(hung, float(row.lean_deg), float(row.within_deg))
