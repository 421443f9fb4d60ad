"""Figures for tests of the statics: a plain one, random ones, and the same seen in a mirror."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np
from hypothesis import strategies as st

from builds.core.statics.values import Figure, Joint, Load, Piece

SOLES = ((-20.0, 0.0), (60.0, 0.0))


def rigid(mass_g: float = 500, x: float = 12, y: float = 380, hole_y: float = 500) -> Figure:
    """One rigid piece under its holes."""
    return Figure((Piece("torso", mass_g, x, y),), (), 0, hole_y)


def stooped(**more: Any) -> Figure:
    """A figure with a bend in knee and elbow, of about 1.1 kg."""
    pieces = (
        Piece("torso", 420, 5, 410),
        Piece("head", 120, 18, 520),
        Piece("upper arm", 40, 0, 420, 2),
        Piece("fore arm", 28, 5, 350, 2),
        Piece("hand", 15, 10, 290, 2),
        Piece("thigh", 90, 10, 235, 2),
        Piece("shank", 70, 20, 110, 2),
        Piece("foot", 45, 15, 15, 2),
    )
    joints = (
        Joint("neck", 10, 480, -30, 30),
        Joint("shoulder", 0, 465),
        Joint("elbow", 0, 380, 0, 120),
        Joint("wrist", 8, 310, -60, 60),
        Joint("hip", 0, 300, -30, 90),
        Joint("knee", 25, 165, -100, 0),
        Joint("ankle", 5, 30, -20, 10),
    )
    values: dict[str, Any] = {"soles": SOLES, "head_share": 0.5, **more}
    return Figure(pieces, joints, 0, 480, **values)


def mirrored(figure: Figure) -> Figure:
    """The same figure facing the other way: forward is back."""
    return replace(
        figure,
        pieces=tuple(replace(piece, x_mm=-piece.x_mm) for piece in figure.pieces),
        joints=tuple(
            replace(
                joint,
                x_mm=-joint.x_mm,
                back_deg=_negative(joint.forward_deg),
                forward_deg=_negative(joint.back_deg),
            )
            for joint in figure.joints
        ),
        hole_x_mm=-figure.hole_x_mm,
        loads=tuple(replace(load, x_mm=-load.x_mm) for load in figure.loads),
        soles=tuple((-x, y) for x, y in reversed(figure.soles)),
    )


def _negative(value: float | None) -> float | None:
    return None if value is None else -value


def heavier(figure: Figure, times: float) -> Figure:
    """Everything so many times as heavy."""
    return replace(
        figure,
        pieces=tuple(replace(piece, mass_g=piece.mass_g * times) for piece in figure.pieces),
        loads=tuple(replace(load, mass_g=load.mass_g * times) for load in figure.loads),
    )


def random_figure(seed: int) -> Figure:
    """A figure as a maker might draw one, with bends, stops and weights at random."""
    rng = np.random.default_rng(seed)

    def about(value: float, within: float) -> float:
        return float(value + rng.uniform(-within, within))

    plain = stooped()
    pieces = tuple(
        replace(
            piece,
            mass_g=piece.mass_g * float(rng.uniform(0.6, 1.6)),
            x_mm=about(piece.x_mm, 9),
            y_mm=about(piece.y_mm, 9),
        )
        for piece in plain.pieces
    )
    joints = tuple(_bent(joint, rng) for joint in plain.joints)
    loads = (Load("torso", about(60, 50), about(0, 40), about(400, 40)),)
    lift = float(rng.choice([0.0, 0.0, 25.0]))
    return replace(
        plain,
        pieces=pieces,
        joints=joints,
        loads=loads,
        lift_mm=lift,
        hole_x_mm=about(0, 3),
        head_share=float(rng.choice([0.0, 0.4, 1.0])),
    )


def _bent(joint: Joint, rng: np.random.Generator) -> Joint:
    """The joint a little elsewhere; now and then held, or with narrow stops."""
    moved = replace(
        joint,
        x_mm=joint.x_mm + float(rng.uniform(-5, 5)),
        y_mm=joint.y_mm + float(rng.uniform(-5, 5)),
    )
    lot = rng.uniform()
    if lot < 0.15:
        return replace(moved, is_held=True)
    if lot < 0.35:
        return replace(
            moved, back_deg=-float(rng.integers(0, 8)), forward_deg=float(rng.integers(0, 8))
        )
    return moved


figures = st.integers(0, 100_000).map(random_figure)
