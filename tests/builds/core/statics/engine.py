"""A general rigid-body engine (MuJoCo) as outside judge: the same figure let go, and settled.

The chain is given to it as bodies with hinges, limits and damping, in metres and kilograms, with
its own solver, contacts and integrator. Nothing of our own reckoning is used but the numbers of
the figure.
"""

from __future__ import annotations

import math

import mujoco
import numpy as np

from builds.core.statics.values import JOINT_OF, PARENT, Figure

MM = 1e-3


def settled_lean(figure: Figure, start_deg: dict[str, float] | None = None) -> tuple[float, float]:
    """The lean in degrees forward after settling, and the height of all weight in g mm."""
    model = mujoco.MjModel.from_xml_string(_world(figure))
    data = mujoco.MjData(model)
    for kind, angle in (start_deg or {}).items():
        name = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, kind.replace(" ", "_"))
        if name >= 0:
            data.qpos[model.jnt_qposadr[name]] = math.radians(angle)
    for _ in range(40):
        mujoco.mj_step(model, data, nstep=500)
        if float(np.abs(data.qvel).max()) < 1e-6:
            break
    mujoco.mj_forward(model, data)
    high = float(np.sum(model.body_mass * data.xipos[:, 2]))
    torso = mujoco.mj_name2id(model, mujoco.mjtObj.mjOBJ_JOINT, "torso")
    return -math.degrees(float(data.qpos[model.jnt_qposadr[torso]])), high * 1e6


def _world(figure: Figure) -> str:
    """The figure in the x-z plane. A hinge about -y turns x towards z: forward, as ours."""
    floor = min([0.0, *(y for _, y in figure.soles)]) - figure.lift_mm
    contact = ""
    if figure.soles:
        contact = (
            f'<geom type="plane" size="5 5 .1" pos="0 0 {floor * MM}" condim="1" '
            'contype="2" conaffinity="1"/>'
        )
    root = figure.piece("torso")
    assert root is not None
    body = _body(figure, "torso", (figure.hole_x_mm, figure.hole_y_mm), (0.0, 0.0))
    return f"""<mujoco>
      <compiler angle="degree" inertiafromgeom="false" autolimits="true"/>
      <option timestep="0.001" gravity="0 0 -9.80665" integrator="implicitfast" iterations="100"
              tolerance="1e-12" cone="elliptic"/>
      <default>
        <joint type="hinge" axis="0 -1 0" solreflimit="0.002 1"
               solimplimit="0.999 0.9999 0.00001"/>
        <geom condim="1" solref="0.002 1" solimp="0.99 0.9999 0.00001" friction="0 0 0"/>
      </default>
      <worldbody>{contact}{body}</worldbody>
    </mujoco>"""


def _body(figure: Figure, kind: str, at: tuple[float, float], above: tuple[float, float]) -> str:
    """A body at its joint, with what is fixed to it and what hangs on it."""
    mass, x, y = _weight(figure, kind, at)
    below = "".join(
        _body(figure, piece.kind, _joint_at(figure, piece.kind), at)
        for piece in figure.pieces
        if PARENT[piece.kind] == kind
    )
    soles = ""
    if kind == "foot":
        soles = "".join(
            f'<geom type="sphere" size="0.0001" contype="1" conaffinity="2" '
            f'pos="{(px - at[0]) * MM} 0 {(py - at[1] + 0.1) * MM}" mass="0"/>'
            for px, py in figure.soles
        )
    inertia = max(mass * 1e-3 * 0.1**2, 1e-6)
    return f"""<body name="{kind.replace(" ", "_")}" pos="{(at[0] - above[0]) * MM} 0
        {(at[1] - above[1]) * MM}">{_hinge(figure, kind)}
        <inertial pos="{(x - at[0]) * MM} 0 {(y - at[1]) * MM}" mass="{max(mass, 1e-6) * 1e-3}"
                  diaginertia="{inertia} {inertia} {inertia}"/>{soles}{below}</body>"""


def _hinge(figure: Figure, kind: str) -> str:
    name = kind.replace(" ", "_")
    damping = 0.05 if kind == "torso" else 0.005
    if kind == "torso":
        return f'<joint name="{name}" damping="{damping}"/>'
    joint = next(j for j in figure.joints if j.kind == JOINT_OF[kind])
    if joint.is_held or (kind == "head" and figure.head_share > 0):
        return ""
    low, high = joint.range_deg
    if high - low < 1e-9:
        return ""
    limits = "" if high - low >= 360 else f'range="{low} {high}"'
    return f'<joint name="{name}" damping="{damping}" {limits}/>'


def _joint_at(figure: Figure, kind: str) -> tuple[float, float]:
    joint = next(j for j in figure.joints if j.kind == JOINT_OF[kind])
    return joint.x_mm, joint.y_mm


def _weight(figure: Figure, kind: str, at: tuple[float, float]) -> tuple[float, float, float]:
    """Grams and centre of a piece with its loads; a head on its strings rests on the neck."""
    piece = figure.piece(kind)
    assert piece is not None
    rows = [(piece.mass_g * piece.count, piece.x_mm, piece.y_mm)]
    rows += [(load.mass_g, load.x_mm, load.y_mm) for load in figure.loads if load.kind == kind]
    mass = sum(row[0] for row in rows)
    if kind == "head" and figure.head_share > 0:
        return mass * (1 - figure.head_share), *at
    return (
        mass,
        sum(m * x for m, x, _ in rows) / mass,
        sum(m * y for m, _, y in rows) / mass,
    )
