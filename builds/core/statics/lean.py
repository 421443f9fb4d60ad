"""The lean with its range: what is believed of masses and centres, and what a small change does.

Beliefs are a normal spread about the reckoned figure: one share of mass and two coordinates a
piece. The range of the lean is sampled with a seed, because stops and floor bend it; the same
figure gives the same range.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from builds.core.statics.chain import Array, Variants, build_chain
from builds.core.statics.rest import describe, find_rest, first_poses, settle
from builds.core.statics.values import Figure, Piece

SAMPLES = 200
RANGE = (5.0, 95.0)  # nine leans in ten lie between


@dataclass(frozen=True)
class Beliefs:
    """How far the pieces are from what was reckoned.

    `mean` is (3K,): shares of mass, then centres forward, then centres up, in the order of
    `kinds`; `spread` its (3K, 3K) covariance.
    """

    kinds: tuple[str, ...]
    mean: Array
    spread: Array


@dataclass(frozen=True, slots=True)
class Lean:
    """Degrees forward of the drawing, and between which bounds nine times in ten."""

    lean_deg: float
    low_deg: float
    high_deg: float

    @property
    def is_settled(self) -> bool:
        """Whether the range leaves no doubt to which side it leans, or that it hardly does."""
        return self.low_deg * self.high_deg > 0 or self.high_deg - self.low_deg < 1.0


def first_beliefs(figure: Figure) -> Beliefs:
    """What is believed before anything was hung: each piece's own bounds as two deviations.

    >>> figure = Figure((Piece("torso", 400, 0, 400),), (), 0, 480)
    >>> [round(float(s), 3) for s in np.sqrt(np.diag(first_beliefs(figure).spread))]
    [0.05, 1.5, 1.5]
    """
    pieces = figure.in_order
    deviations = [piece.mass_within / 2 for piece in pieces]
    deviations += 2 * [piece.centre_within_mm / 2 for piece in pieces]
    kinds = tuple(piece.kind for piece in pieces)
    return Beliefs(kinds, np.zeros(3 * len(pieces)), np.diag(np.square(deviations)))


def believed(figure: Figure, beliefs: Beliefs) -> Figure:
    """The figure with its pieces moved to what is believed of them."""
    size = len(beliefs.kinds)
    place = {kind: k for k, kind in enumerate(beliefs.kinds)}

    def moved(piece: Piece) -> Piece:
        if piece.kind not in place:
            return piece
        k = place[piece.kind]
        return replace(
            piece,
            mass_g=piece.mass_g * max(0.05, 1 + float(beliefs.mean[k])),
            x_mm=piece.x_mm + float(beliefs.mean[size + k]),
            y_mm=piece.y_mm + float(beliefs.mean[2 * size + k]),
        )

    return replace(figure, pieces=tuple(moved(piece) for piece in figure.pieces))


def find_lean(
    figure: Figure, beliefs: Beliefs | None = None, *, samples: int = SAMPLES, seed: int = 1
) -> Lean:
    """The lean and its range. Cost grows with `samples`; the same seed gives the same range."""
    beliefs = beliefs or first_beliefs(figure)
    lean = find_rest(believed(figure, beliefs)).lean_deg
    leans = leans_of(figure, _draw(beliefs, samples, seed))
    low, high = np.percentile(leans, RANGE)
    return Lean(lean, min(float(low), lean), max(float(high), lean))


def _draw(beliefs: Beliefs, samples: int, seed: int) -> Array:
    """Samples (S, 3K) of what is believed."""
    values, vectors = np.linalg.eigh(beliefs.spread)
    root = vectors * np.sqrt(np.maximum(values, 0.0))
    normal = np.random.default_rng(seed).standard_normal((samples, len(beliefs.mean)))
    drawn: Array = beliefs.mean + normal @ root.T
    return drawn


def leans_of(figure: Figure, changes: Array) -> Array:
    """Leans (S,) in degrees of the figure with its pieces changed by rows (S, 3K)."""
    size = changes.shape[1] // 3
    variants = Variants(
        mass_factor=np.maximum(0.05, 1 + changes[:, :size]),
        shift_mm=np.stack((changes[:, size : 2 * size], changes[:, 2 * size :]), axis=-1),
    )
    return _solve(figure, variants, changes.shape[0])


def _solve(figure: Figure, variants: Variants, count: int) -> Array:
    plain = build_chain(figure)
    nominal = settle(plain, starts=first_poses(plain))
    chain = build_chain(figure, variants, count)
    starts = [np.tile(nominal, (count, 1))]
    if figure.head_share == 0:
        # A head that stands on its neck may fall to the other side in some of the variants.
        starts += [np.tile(pose, (count, 1)) for pose in first_poses(plain)[2:]]
    q = settle(chain, starts=starts)
    degrees: Array = -np.degrees(q[:, 0])
    return degrees


@dataclass(frozen=True, slots=True)
class Effect:
    """What one small change does to the lean: degrees forward."""

    words: str
    degrees: float


def find_effects(figure: Figure, ballast_at: tuple[float, float] | None = None) -> list[Effect]:
    """Lean gained by 1 mm at the holes and at each piece's centre, and by 10 g on each piece.

    `ballast_at`: also by 10 g at that point of the torso. All solved side by side.
    """
    pieces = figure.in_order
    size = len(pieces)
    rows: list[tuple[str, Array, Array, Array]] = []

    def row(words: str) -> tuple[Array, Array, Array]:
        factor, shift, hole = np.ones(size), np.zeros((size, 2)), np.zeros(2)
        rows.append((words, factor, shift, hole))
        return factor, shift, hole

    row("as it is")
    row("string holes 1 mm further forward")[2][0] = 1.0
    for k, piece in enumerate(pieces):
        name = _plural(piece)
        row(f"centre of the {name} 1 mm further forward")[1][k, 0] = 1.0
        if piece.mass_g > 0:
            each = " each" if piece.count == 2 else ""
            row(f"{name} 10 g heavier{each}")[0][k] = 1 + 10 / piece.mass_g
    torso = pieces[0]
    if ballast_at is not None and torso.mass_g > 0:
        factor, shift, _ = row("10 g of ballast at the chosen place")
        factor[0] = 1 + 10 / torso.mass_g
        pull = 10 / (torso.mass_g + 10)
        shift[0] = pull * (np.array(ballast_at) - np.array([torso.x_mm, torso.y_mm]))
    variants = Variants(
        mass_factor=np.stack([factor for _, factor, _, _ in rows]),
        shift_mm=np.stack([shift for _, _, shift, _ in rows]),
        hole_mm=np.stack([hole for _, _, _, hole in rows]),
    )
    leans = _solve(figure, variants, len(rows))
    effects = [
        Effect(words, float(lean - leans[0]))
        for (words, _, _, _), lean in zip(rows[1:], leans[1:], strict=True)
    ]
    return sorted(effects, key=lambda effect: -abs(effect.degrees))


_MANY = {"hand": "hands", "foot": "feet", "shank": "lower legs"}


def _plural(piece: Piece) -> str:
    """'thighs' where the figure has two, else 'torso'."""
    if piece.count == 1:
        return "lower leg" if piece.kind == "shank" else piece.kind
    return _MANY.get(piece.kind, f"{piece.kind}s")


__all__ = [
    "Beliefs",
    "Effect",
    "Lean",
    "believed",
    "describe",
    "find_effects",
    "find_lean",
    "first_beliefs",
    "leans_of",
]
