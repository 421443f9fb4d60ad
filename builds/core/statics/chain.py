"""Many hanging figures at once, as arrays: positions, potential energy, its slopes and bends.

A pose is one angle a piece in radians, counter-clockwise with x forward and y up: the torso's own
turn first, then each piece's turn against the one it hangs on, all nought in the drawing. Stops
are then plain bounds, and the energy is smooth. Every array has a first axis of S variants of one
figure (masses, centres, holes that differ), so that a range of leans costs hardly more than one.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from builds.core.statics.values import JOINT_OF, PARENT, Figure, Piece

Array = npt.NDArray[np.float64]

# How hard floor and sole push back: with the figure's weight on one point it sinks 0.002 mm.
FLOOR_PER_WEIGHT_MM = 500.0


@dataclass(frozen=True)
class Chain:
    """S variants of one figure. Masses are grams of both sides, points drawn millimetres.

    `parent[k]` is the piece that k hangs on (-1 for the torso), `below[k, i]` says that i is k or
    hangs on it somewhere. `mass`, `x`, `y` are (S, K); `joint` is (S, K, 2), the torso's being
    its string holes; `low` and `high` are (K,) in radians.
    """

    kinds: tuple[str, ...]
    parent: tuple[int, ...]
    below: npt.NDArray[np.bool_]
    mass: Array
    centre: Array
    joint: Array
    low: Array
    high: Array
    soles: Array
    sole_piece: int
    floor_mm: float
    head_held: bool = False
    firmness: float = 1.0

    @property
    def variants(self) -> int:
        """How many variants there are."""
        return int(self.mass.shape[0])


@dataclass(frozen=True)
class Variants:
    """What differs between variants, each None or an array with a first axis of S.

    `mass_factor` (S, K) multiplies a piece's own mass, `shift_mm` (S, K, 2) moves its own centre,
    `hole_mm` (S, 2) moves the string holes. K goes over `figure.in_order`.
    """

    mass_factor: Array | None = None
    shift_mm: Array | None = None
    hole_mm: Array | None = None


def build_chain(figure: Figure, variants: Variants | None = None, count: int = 1) -> Chain:
    """The arrays of a figure; cost grows with S times the pieces.

    With the head on its strings, what they do not carry lies at the neck and the head itself
    drops out of the chain. A piece whose joint is not given is rigid with what it hangs on.
    """
    variants = variants or Variants()
    pieces = figure.in_order
    mass, centre = _own(pieces, variants, count)
    joints = {joint.kind: joint for joint in figure.joints}
    at, low, high, parent = [], [], [], []
    index = {piece.kind: k for k, piece in enumerate(pieces)}
    for k, piece in enumerate(pieces):
        above = _parent_of(piece.kind, index)
        joint = joints.get(JOINT_OF[piece.kind])
        span = joint.range_deg if joint else (0.0, 0.0)
        parent.append(above)
        if k == 0:
            at.append((figure.hole_x_mm, figure.hole_y_mm))
            span = (-180.0, 180.0)
        elif joint is None:
            at.append((pieces[above].x_mm, pieces[above].y_mm))
        else:
            at.append((joint.x_mm, joint.y_mm))
        low.append(math.radians(span[0]))
        high.append(math.radians(span[1]))
    mass, centre = _with_loads(figure, index, mass, centre)
    joint_at = np.tile(np.array(at, dtype=float), (count, 1, 1))
    if variants.hole_mm is not None:
        joint_at[:, 0] += variants.hole_mm
    head_held = "head" in index and figure.head_share > 0
    if head_held:
        k = index["head"]
        mass[:, k] *= 1 - figure.head_share
        centre[:, k] = joint_at[:, k]
        low[k] = high[k] = 0.0
    soles = np.array(figure.soles, dtype=float).reshape(-1, 2)
    drawn_floor = min([0.0, *(y for _, y in figure.soles)])
    leg = [index[kind] for kind in ("thigh", "shank", "foot") if kind in index]
    return Chain(
        kinds=tuple(piece.kind for piece in pieces),
        parent=tuple(parent),
        below=_below(parent),
        mass=mass,
        centre=centre,
        joint=joint_at,
        low=np.array(low),
        high=np.array(high),
        soles=soles,
        sole_piece=leg[-1] if leg else 0,
        floor_mm=drawn_floor - figure.lift_mm,
        head_held=head_held,
    )


def _own(pieces: tuple[Piece, ...], variants: Variants, count: int) -> tuple[Array, Array]:
    mass = np.tile(np.array([float(p.mass_g * p.count) for p in pieces]), (count, 1))
    centre = np.tile(np.array([(p.x_mm, p.y_mm) for p in pieces], dtype=float), (count, 1, 1))
    if variants.mass_factor is not None:
        mass = mass * variants.mass_factor
    if variants.shift_mm is not None:
        centre = centre + variants.shift_mm
    return mass, centre


def _with_loads(
    figure: Figure, index: dict[str, int], mass: Array, centre: Array
) -> tuple[Array, Array]:
    """Each piece with what is fixed to it, as one weight at one centre."""
    mass, centre = mass.copy(), centre.copy()
    for load in figure.loads:
        k = index[load.kind] if load.kind in index else _parent_of(load.kind, index)
        total = mass[:, k] + load.mass_g
        share = np.divide(load.mass_g, total, out=np.zeros_like(total), where=total > 0)
        centre[:, k] += (np.array([load.x_mm, load.y_mm]) - centre[:, k]) * share[:, None]
        mass[:, k] = total
    return mass, centre


def _parent_of(kind: str, index: dict[str, int]) -> int:
    """The nearest piece up the body that the figure has, -1 above the torso."""
    above = PARENT[kind]
    while above and above not in index:
        above = PARENT[above]
    return index[above] if above else -1


def _below(parent: list[int]) -> npt.NDArray[np.bool_]:
    size = len(parent)
    below = np.eye(size, dtype=bool)
    for k in range(size):
        above = parent[k]
        while above >= 0:
            below[above, k] = True
            above = parent[above]
    return below


@dataclass(frozen=True)
class Pose:
    """Where everything is: joints (S, K, 2), centres (S, K, 2), soles (S, P, 2)."""

    joint: Array
    centre: Array
    soles: Array


def place(chain: Chain, q: Array) -> Pose:
    """Where the joints, centres and soles are at angles `q` (S, K)."""
    joint, centre = np.empty_like(chain.joint), np.empty_like(chain.centre)
    turned: list[Array] = []
    for k, above in enumerate(chain.parent):
        if above < 0:
            joint[:, k] = chain.joint[:, k]
            turned.append(q[:, k])
        else:
            joint[:, k] = joint[:, above] + _turn(
                chain.joint[:, k] - chain.joint[:, above], turned[above]
            )
            turned.append(turned[above] + q[:, k])
        centre[:, k] = joint[:, k] + _turn(chain.centre[:, k] - chain.joint[:, k], turned[k])
    k = chain.sole_piece
    arms = chain.soles[None] - chain.joint[:, k][:, None]
    soles = joint[:, k][:, None] + _turn(arms, turned[k][:, None])
    return Pose(joint, centre, soles)


def _turn(vector: Array, angle: Array) -> Array:
    cos, sin = np.cos(angle), np.sin(angle)
    x, y = vector[..., 0], vector[..., 1]
    turned: Array = np.stack((cos * x - sin * y, sin * x + cos * y), axis=-1)
    return turned


def energy(chain: Chain, pose: Pose) -> Array:
    """Potential energy (S,) in gram-millimetres (times g), with the floor's push."""
    high = np.sum(chain.mass * pose.centre[..., 1], axis=1)
    sunk = np.maximum(0.0, chain.floor_mm - pose.soles[..., 1])
    push = chain.firmness * FLOOR_PER_WEIGHT_MM * np.sum(chain.mass, axis=1)
    lifted: Array = high + push / 2 * np.sum(sunk**2, axis=1)
    return lifted


def slopes(chain: Chain, pose: Pose) -> tuple[Array, Array]:
    """Gradient (S, K) and second derivatives (S, K, K) of the energy by the angles.

    Turning k moves every centre below it about k's joint: the slope is the sum of weight times
    how far forward of the joint it lies. Turning the upper one of two pieces tilts the lower's
    slope by minus the height over the lower's joint.
    """
    below = chain.below
    arms = pose.centre[:, None, :, :] - pose.joint[:, :, None, :]  # (S, joint, piece, 2)
    weight = chain.mass[:, None, :] * below[None]
    gradient = np.sum(weight * arms[..., 0], axis=2)
    falls = -np.sum(weight * arms[..., 1], axis=2)  # by the lower of two joints
    deeper = np.where(below[None], falls[:, None, :], 0.0)
    bend = deeper + np.swapaxes(np.where(below[None], falls[:, None, :], 0.0), 1, 2)
    size = bend.shape[1]
    bend[:, np.arange(size), np.arange(size)] = falls
    if chain.soles.size:
        _add_floor(chain, pose, gradient, bend)
    return gradient, bend


def _add_floor(chain: Chain, pose: Pose, gradient: Array, bend: Array) -> None:
    line = [k for k in range(len(chain.kinds)) if chain.below[k, chain.sole_piece]]
    push = chain.firmness * FLOOR_PER_WEIGHT_MM * np.sum(chain.mass, axis=1)
    for p in range(chain.soles.shape[0]):
        sunk = np.maximum(0.0, chain.floor_mm - pose.soles[:, p, 1])
        if not sunk.any():
            continue
        arm = pose.soles[:, None, p, :] - pose.joint[:, line]
        rise = arm[..., 0]
        gradient[:, line] -= (push * sunk)[:, None] * rise
        stiff = np.where(sunk > 0, push, 0.0)
        block = stiff[:, None, None] * rise[:, :, None] * rise[:, None, :]
        # The deeper of two joints comes later in the line: its height is the one that counts.
        later = np.maximum.outer(np.arange(len(line)), np.arange(len(line)))
        block += (push * sunk)[:, None, None] * arm[..., 1][:, later]
        bend[np.ix_(range(bend.shape[0]), line, line)] += block
