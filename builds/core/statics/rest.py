"""The rest pose: least potential energy within the stops, by projected Newton steps.

Angles relative to the piece above make every stop a plain bound, so pieces pressed against their
stops simply drop out of the step (Bertsekas 1982, 'Projected Newton methods for optimization
problems with simple constraints', SIAM J. Control Optim. 20(2)). A head that stands above its neck
may fall either way: several starts are tried and the lowest rest kept.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from builds.core.statics.chain import (
    FLOOR_PER_WEIGHT_MM,
    Array,
    Chain,
    Pose,
    build_chain,
    energy,
    place,
    slopes,
)
from builds.core.statics.values import Figure, Point

MOST_STEPS = 200
LONGEST_STEP_RAD = 0.6
SETTLED_RAD = 1e-8


@dataclass(frozen=True)
class RestPose:
    """How a figure rests. Turns are degrees from the drawing, by kind of piece, forward positive.

    `lean_deg` is the torso's, forward positive. `joints` says where each piece's upper joint is
    (the torso's: its string holes), `centres` each piece's centre of mass with its loads, both
    in drawing millimetres; `clearance_mm` is the gap between the lowest sole and the floor.
    `floor_share` is the part of the weight that stands on the floor.
    """

    lean_deg: float
    turned_deg: dict[str, float]
    bent_deg: dict[str, float]
    at_stop: frozenset[str]
    joints: dict[str, Point]
    drawn_joints: dict[str, Point]
    centres: dict[str, Point]
    clearance_mm: float | None
    floor_share: float
    on_strings_g: float

    def moved(self, kind: str, at: Point) -> Point:
        """Where a point of a piece comes to lie that was drawn at `at`."""
        angle = math.radians(self.turned_deg[kind])
        from_x, from_y = self.drawn_joints[kind]
        dx, dy = at[0] - from_x, at[1] - from_y
        x, y = self.joints[kind]
        cos, sin = math.cos(angle), math.sin(angle)
        return x + cos * dx - sin * dy, y + sin * dx + cos * dy


def find_rest(figure: Figure) -> RestPose:
    """The rest pose of one figure.

    For one rigid piece with centre (x, y) under holes at height s the lean is atan(x / (s - y))
    (a body hangs with its centre of mass under its support; textbook statics):

    >>> from builds.core.statics.values import Piece
    >>> rest = find_rest(Figure((Piece("torso", 500, 12, 380),), (), 0, 500))
    >>> round(rest.lean_deg, 2)
    5.71
    """
    chain = build_chain(figure)
    q = settle(chain, starts=first_poses(chain))
    return describe(figure, chain, q)


def describe(figure: Figure, chain: Chain, q: Array) -> RestPose:
    """The first variant at angles `q` (S, K), in words of the trade."""
    pose = place(chain, q)
    turned = _absolute(chain, q)[0]
    if chain.head_held:
        turned[chain.kinds.index("head")] = 0.0
    sunk = np.maximum(0.0, chain.floor_mm - pose.soles[0, :, 1])
    weight = float(np.sum(chain.mass[0]))
    floor_share = float(min(1.0, FLOOR_PER_WEIGHT_MM * np.sum(sunk))) if sunk.size else 0.0
    lowest = float(np.min(pose.soles[0, :, 1]) - chain.floor_mm) if chain.soles.size else None
    is_stop = [
        bool(high - low > 1e-9 and (value - low < 1e-6 or high - value < 1e-6))
        for value, low, high in zip(q[0], chain.low, chain.high, strict=True)
    ]
    kinds = chain.kinds
    return RestPose(
        lean_deg=-math.degrees(q[0, 0]),
        turned_deg={kind: math.degrees(turned[k]) for k, kind in enumerate(kinds)},
        bent_deg={kind: math.degrees(q[0, k]) for k, kind in enumerate(kinds)},
        at_stop=frozenset(kind for k, kind in enumerate(kinds) if is_stop[k]),
        joints={kind: _point(pose.joint[0, k]) for k, kind in enumerate(kinds)},
        drawn_joints={kind: _point(chain.joint[0, k]) for k, kind in enumerate(kinds)},
        centres={kind: _point(pose.centre[0, k]) for k, kind in enumerate(kinds)},
        clearance_mm=None if lowest is None else max(0.0, lowest),
        floor_share=floor_share,
        on_strings_g=weight * (1 - floor_share),
    )


def _point(row: Array) -> Point:
    return float(row[0]), float(row[1])


def _absolute(chain: Chain, q: Array) -> Array:
    turned = np.empty_like(q)
    for k, above in enumerate(chain.parent):
        turned[:, k] = q[:, k] + (turned[:, above] if above >= 0 else 0.0)
    return turned


def first_poses(chain: Chain) -> list[Array]:
    """Poses to start from: as drawn, all hanging, and the head fallen either way."""
    drawn = np.zeros((chain.variants, len(chain.kinds)))
    hanging = drawn.copy()
    turned = np.zeros(len(chain.kinds))
    for k, above in enumerate(chain.parent):
        arm = chain.centre[0, k] - chain.joint[0, k]
        base = turned[above] if above >= 0 else 0.0
        down = -math.pi / 2 - math.atan2(arm[1], arm[0]) - base if arm.any() else 0.0
        down = (down + math.pi) % (2 * math.pi) - math.pi
        hanging[:, k] = min(max(down, chain.low[k]), chain.high[k])
        turned[k] = base + hanging[0, k]
    poses = [drawn, hanging]
    if "head" in chain.kinds:
        k = chain.kinds.index("head")
        for bound in (chain.low[k], chain.high[k]):
            fallen = drawn.copy()
            fallen[:, k] = max(-3.0, min(3.0, bound))
            poses.append(fallen)
    return poses


def settle(chain: Chain, *, starts: list[Array], pinned: bool = False) -> Array:
    """Angles (S, K) of the lowest rest found from the starts; `pinned` holds the torso as drawn."""
    best: Array | None = None
    lowest: Array | None = None
    for start in starts:
        q = _descend(chain, start.copy(), pinned=pinned)
        reached = energy(chain, place(chain, q))
        if best is None or lowest is None:
            best, lowest = q, reached
        else:
            margin = 1e-9 * np.maximum(1.0, np.abs(lowest))
            better = reached < lowest - margin
            best = np.where(better[:, None], q, best)
            lowest = np.where(better, reached, lowest)
    if best is None:
        raise ValueError("starts is empty: give one pose or more")
    return best


# The floor is met soft and then harder: a sole that only just touches would else go on and off.
FLOOR_STAGES = (0.002, 0.04, 1.0)
TRAPPED_MM = 0.01  # several times what the whole weight on one sole sinks in


def _descend(chain: Chain, start: Array, *, pinned: bool) -> Array:
    """Down from one pose; without soles the floor plays no part and one stage is enough.

    A leg that sank through the soft floor may be caught below the hard one between its stops:
    such a variant is let down once more with the hard floor alone, and the lower rest counts.
    """
    if not chain.soles.size:
        return _descend_on(chain, start, pinned=pinned)
    q = start
    for firmness in FLOOR_STAGES:
        q = _descend_on(replace(chain, firmness=firmness), q, pinned=pinned)
    pose = place(chain, q)
    if bool((chain.floor_mm - pose.soles[..., 1] > TRAPPED_MM).any()):
        again = _descend_on(chain, start, pinned=pinned)
        lower = energy(chain, place(chain, again)) < energy(chain, pose)
        q = np.where(lower[:, None], again, q)
    return q


def _descend_on(chain: Chain, q: Array, *, pinned: bool) -> Array:
    low, high = chain.low.copy(), chain.high.copy()
    if pinned:
        low[0] = high[0] = 0.0
    q = np.clip(q, low, high)
    pose = place(chain, q)
    at = energy(chain, pose)
    for _ in range(MOST_STEPS):
        gradient, bend = slopes(chain, pose)
        step = _newton_step(q, gradient, bend, low, high)
        q, pose, at, moved = _line_search(chain, q, pose, at, step, gradient, low, high)
        if moved < SETTLED_RAD:
            break
    return q


def _newton_step(q: Array, gradient: Array, bend: Array, low: Array, high: Array) -> Array:
    """A step down for the pieces that are not pressed against a stop."""
    fixed = ((q <= low + 1e-12) & (gradient >= 0)) | ((q >= high - 1e-12) & (gradient <= 0))
    fixed |= (high - low) < 1e-12
    free = ~fixed
    size = q.shape[1]
    both = free[:, :, None] & free[:, None, :]
    matrix = np.where(both, bend, 0.0)
    scale = np.maximum(np.abs(bend).max(axis=(1, 2)), 1e-9)
    matrix[:, np.arange(size), np.arange(size)] += np.where(fixed, scale[:, None], 0.0)
    force = np.where(free, gradient, 0.0)
    step = _solve_down(matrix, force, scale)
    longest = np.maximum(np.abs(step).max(axis=1), 1e-300)
    shrink = np.minimum(1.0, LONGEST_STEP_RAD / longest)
    taken: Array = step * shrink[:, None]
    return taken


def _solve_down(matrix: Array, force: Array, scale: Array) -> Array:
    """Newton's step, or where the energy bends the wrong way one that still goes down."""
    try:
        np.linalg.cholesky(matrix - 1e-7 * scale[:, None, None] * np.eye(matrix.shape[1]))
    except np.linalg.LinAlgError:
        values, vectors = np.linalg.eigh(matrix)
        firm = np.maximum(np.abs(values), 1e-7 * scale[:, None])
        inner = np.einsum("skj,sk->sj", vectors, force) / firm
        return np.asarray(-np.einsum("skj,sj->sk", vectors, inner), dtype=np.float64)
    return np.asarray(-np.linalg.solve(matrix, force[..., None])[..., 0], dtype=np.float64)


def _line_search(
    chain: Chain,
    q: Array,
    pose: Pose,
    at: Array,
    step: Array,
    gradient: Array,
    low: Array,
    high: Array,
) -> tuple[Array, Pose, Array, float]:
    """Halve the step where it does not go down; variants are searched side by side."""
    size = np.ones(q.shape[0])
    open_ = np.ones(q.shape[0], dtype=bool)
    new = q
    for _ in range(30):
        trial = np.clip(q + size[:, None] * step, low, high)
        reached = energy(chain, place(chain, trial))
        wanted = 1e-4 * np.sum(gradient * (trial - q), axis=1)
        fine = reached <= at + np.minimum(wanted, 0.0) + 1e-12 * np.abs(at)
        new = np.where((open_ & fine)[:, None], trial, new)
        open_ &= ~fine
        if not open_.any():
            break
        size = np.where(open_, size / 2, size)
    moved = float(np.abs(new - q).max(initial=0.0))
    pose = place(chain, new)
    return new, pose, energy(chain, pose), moved
