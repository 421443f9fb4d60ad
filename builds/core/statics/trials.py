"""What a trial hang teaches: masses and centres moved as little as it takes to hang as measured.

The measured lean is one equation for many unknowns. The least change, weighed by how far each was
good, is the Gauss-Newton form of the Kalman update (Kalman 1960, 'A new approach to linear
filtering and prediction problems', J. Basic Eng. 82(1)): gain = P J' / (J P J' + r).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from builds.core.statics.chain import Array
from builds.core.statics.lean import Beliefs, first_beliefs, leans_of
from builds.core.statics.values import Figure

ROUNDS = 6


@dataclass(frozen=True, slots=True)
class Trial:
    """A figure as it was hung (its loads and head share then), and how far forward it leant.

    `within_deg` is what the measuring is good to, about two standard deviations.
    """

    hung: Figure
    lean_deg: float
    within_deg: float = 1.0


@dataclass(frozen=True, slots=True)
class Learnt:
    """What a piece was taken to be different by: grams of one piece, mm forward, mm up."""

    kind: str
    more_g: float
    forward_mm: float
    up_mm: float


def learn(figure: Figure, trials: Sequence[Trial]) -> Beliefs:
    """Beliefs of the figure after its trials, oldest first.

    >>> from builds.core.statics.values import Piece
    >>> from builds.core.statics.lean import find_lean
    >>> body = Figure((Piece("torso", 500, 0, 380),), (), 0, 500)
    >>> after = learn(body, [Trial(body, 1.0, 0.1)])
    >>> round(find_lean(body, after).lean_deg, 1)
    1.0
    """
    beliefs = first_beliefs(figure)
    for trial in trials:
        if not trial.within_deg > 0:
            raise ValueError(f"within_deg is {trial.within_deg} degrees, not more than nought")
        beliefs = _update(trial, beliefs)
    return beliefs


def _update(trial: Trial, beliefs: Beliefs) -> Beliefs:
    kinds = tuple(piece.kind for piece in trial.hung.in_order)
    if kinds != beliefs.kinds:
        raise ValueError("the figure that was hung has other pieces than the one believed in")
    noise = (trial.within_deg / 2) ** 2
    at, spread = beliefs.mean, beliefs.spread
    slope = np.zeros_like(at)
    gain = np.zeros_like(at)
    for _ in range(ROUNDS):
        lean, slope = _slope(trial.hung, at)
        gain = spread @ slope / (float(slope @ spread @ slope) + noise)
        at = beliefs.mean + gain * (trial.lean_deg - lean - float(slope @ (beliefs.mean - at)))
    return Beliefs(kinds, at, spread - np.outer(gain, slope @ spread))


def _slope(figure: Figure, at: Array) -> tuple[float, Array]:
    """The lean and its slope by each unknown, by differences on both sides, side by side."""
    size = len(at)
    third = size // 3
    steps = np.array([0.005] * third + [0.15] * (2 * third))
    rows = np.vstack((at[None], at + np.diag(steps), at - np.diag(steps)))
    leans = leans_of(figure, rows)
    return float(leans[0]), (leans[1 : size + 1] - leans[size + 1 :]) / (2 * steps)


def say_learnt(figure: Figure, beliefs: Beliefs) -> list[Learnt]:
    """What each piece was changed by, the most telling first."""
    third = len(beliefs.kinds)
    deviation = np.sqrt(np.diag(first_beliefs(figure).spread))
    moved = np.abs(np.divide(beliefs.mean, deviation, where=deviation > 0, out=deviation * 0))
    rows = []
    for k, kind in enumerate(beliefs.kinds):
        piece = figure.piece(kind)
        grams = float(beliefs.mean[k]) * (piece.mass_g if piece else 0.0)
        change = Learnt(
            kind, grams, float(beliefs.mean[third + k]), float(beliefs.mean[2 * third + k])
        )
        rows.append((max(moved[k], moved[third + k], moved[2 * third + k]), change))
    return [change for _, change in sorted(rows, key=lambda row: -row[0])]
