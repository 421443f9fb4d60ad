"""What brings a figure back to its drawing: ballast, moved holes, or a lighter piece.

True is to the drawing, not to plumb: the torso is held as drawn, everything else settles, and what
turns it about its string holes is the moment to be taken away (ballast b at x_b with
b x_b = -sum of m x; textbook statics).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from builds.core.statics.chain import (
    FLOOR_PER_WEIGHT_MM,
    Array,
    Chain,
    Variants,
    build_chain,
    place,
    slopes,
)
from builds.core.statics.rest import find_rest, first_poses, settle
from builds.core.statics.values import TORSO, Figure, Load, Point

MOST_TAKEN = 0.6  # of a piece, before there is nothing left to hollow
TRUE_DEG = 0.25


@dataclass(frozen=True, slots=True)
class Ballast:
    """So many grams at a point of the torso; `lean_deg` is what then remains."""

    mass_g: float
    at: Point
    lean_deg: float


@dataclass(frozen=True, slots=True)
class MovedHoles:
    """The string holes so far forward (back: below nought); `lean_deg` is what then remains."""

    by_mm: float
    lean_deg: float


@dataclass(frozen=True, slots=True)
class LighterPiece:
    """So many grams less in one piece (each of a pair); `lean_deg` is what then remains."""

    kind: str
    less_g: float
    of_g: float
    lean_deg: float


@dataclass(frozen=True, slots=True)
class Hollow:
    """So many grams out of the torso at a point across from the ballast's; what then remains."""

    mass_g: float
    at: Point
    of_g: float
    lean_deg: float


@dataclass(frozen=True, slots=True)
class Truing:
    """All that trues a figure. `moment_gmm` turns it forward when held as drawn.

    Held so, the weight that turns it lies `forward_mm` of the holes and `drop_mm` below them;
    a drop of nought or less is a figure that would turn over.
    """

    moment_gmm: float
    forward_mm: float
    drop_mm: float
    ballast: Ballast | None
    holes: MovedHoles | None
    lighter: tuple[LighterPiece, ...]
    hollow: Hollow | None = None
    ballast_refused: str = ""


def moment_about_holes(figure: Figure) -> float:
    """Gram-millimetres that turn the torso forward while it is held as drawn.

    >>> from builds.core.statics.values import Piece
    >>> moment_about_holes(Figure((Piece("torso", 500, 12, 380),), (), 0, 500))
    6000.0
    """
    return float(_held(build_chain(figure))[0][0])


def _held(chain: Chain, start: Array | None = None) -> tuple[Array, Array]:
    """Moments forward (S,), and the weight (S,) that the shoulder strings then carry."""
    starts = first_poses(chain) if start is None else [start]
    q = settle(chain, starts=starts, pinned=True)
    pose = place(chain, q)
    moment = slopes(chain, pose)[0][:, 0]
    weight = np.sum(chain.mass, axis=1)
    sunk = np.maximum(0.0, chain.floor_mm - pose.soles[..., 1])
    carried: Array = weight * (1 - FLOOR_PER_WEIGHT_MM * np.sum(sunk, axis=1))
    return moment, carried


def find_truing(figure: Figure, ballast_at: Point) -> Truing:
    """What trues the figure: ballast at the chosen point of the torso, holes, lighter pieces.

    >>> from builds.core.statics.values import Piece
    >>> truing = find_truing(Figure((Piece("torso", 500, 12, 380),), (), 0, 500), (-100, 400))
    >>> round(truing.ballast.mass_g), round(truing.holes.by_mm)
    (60, 12)
    """
    chain = build_chain(figure)
    moment, carried = (float(part[0]) for part in _held(chain))
    drop = _righting(chain) / carried if carried > 0 else 0.0
    ballast, refused = _ballast(figure, moment, ballast_at)
    holes = None
    if carried > 0:
        by = moment / carried
        moved = replace(figure, hole_x_mm=figure.hole_x_mm + by)
        holes = MovedHoles(by, find_rest(moved).lean_deg)
    forward = moment / carried if carried > 0 else 0.0
    lighter, hollow = _lighter(figure, moment), _hollow(figure, ballast)
    return Truing(moment, forward, drop, ballast, holes, lighter, hollow, refused)


def _hollow(figure: Figure, ballast: Ballast | None) -> Hollow | None:
    """Wood taken out of the torso as far on the other side as ballast would be put in.

    Taking away there turns it as putting in here does: the same arm, the other sign twice.
    """
    torso = figure.in_order[0]
    if ballast is None or not 0.5 <= ballast.mass_g <= MOST_TAKEN * torso.mass_g:
        return None
    at = (2 * figure.hole_x_mm - ballast.at[0], ballast.at[1])
    lean = find_rest(with_ballast(figure, -ballast.mass_g, at)).lean_deg
    return Hollow(ballast.mass_g, at, torso.mass_g, lean)


def _righting(chain: Chain) -> float:
    """Gram-millimetres per radian that right the torso while its free limbs follow.

    The second derivative of the energy with the free limbs taken out (Schur complement): a limb
    that swings free then counts at its joint, a stopped one where it is.
    """
    q = settle(chain, starts=first_poses(chain), pinned=True)
    gradient, bend = (part[0] for part in slopes(chain, place(chain, q)))
    scale = float(np.abs(bend).max()) or 1.0
    free = [
        k
        for k in range(1, len(chain.kinds))
        if chain.low[k] + 1e-9 < q[0, k] < chain.high[k] - 1e-9 and abs(gradient[k]) < 1e-3 * scale
    ]
    if not free:
        return float(bend[0, 0])
    inner = bend[np.ix_(free, free)] + 1e-9 * scale * np.eye(len(free))
    across = bend[0, free]
    return float(bend[0, 0] - across @ np.linalg.solve(inner, across))


def with_ballast(figure: Figure, mass_g: float, at: Point) -> Figure:
    """The figure with ballast let into its torso."""
    return replace(figure, loads=(*figure.loads, Load(TORSO, mass_g, *at)))


def _ballast(figure: Figure, moment: float, at: Point) -> tuple[Ballast | None, str]:
    arm = at[0] - figure.hole_x_mm
    if abs(moment) < 1e-6:
        return Ballast(0.0, at, find_rest(figure).lean_deg), ""
    if abs(arm) < 1:
        return None, "there it lies under the string holes and turns nothing"
    mass = -moment / arm
    if mass < 0:
        side = "behind" if moment > 0 else "in front of"
        return None, f"it must lie {side} the string holes to turn the figure back"
    return Ballast(mass, at, find_rest(with_ballast(figure, mass, at)).lean_deg), ""


def _lighter(figure: Figure, moment: float) -> tuple[LighterPiece, ...]:
    """Pieces of which so much less makes the moment nought, by halving, all side by side."""
    pieces = figure.in_order
    size = len(pieces)
    least, most = np.full(size, 1 - MOST_TAKEN), np.ones(size)
    plain = build_chain(figure)
    near = np.tile(settle(plain, starts=first_poses(plain), pinned=True), (size, 1))

    def moments(shares: Array) -> Array:
        factors = np.ones((size, size))
        factors[np.arange(size), np.arange(size)] = shares
        return _held(build_chain(figure, Variants(mass_factor=factors), size), near)[0]

    crosses = moments(least) * moment < 0
    if not crosses.any():
        return ()
    for _ in range(16):
        middle = (least + most) / 2
        past = moments(middle) * moment < 0
        least = np.where(past, middle, least)
        most = np.where(past, most, middle)
    found = []
    for k in np.flatnonzero(crosses):
        piece = pieces[int(k)]
        less = piece.mass_g * (1 - float(most[k]))
        if piece.mass_g > 0 and less > 0:
            lighter = replace(piece, mass_g=piece.mass_g - less)
            changed = tuple(lighter if p.kind == piece.kind else p for p in figure.pieces)
            lean = find_rest(replace(figure, pieces=changed)).lean_deg
            found.append(LighterPiece(piece.kind, less, piece.mass_g, lean))
    trued = [piece for piece in found if abs(piece.lean_deg) < TRUE_DEG]
    return tuple(sorted(trued, key=lambda piece: piece.less_g / piece.of_g))
