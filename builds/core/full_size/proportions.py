"""Proportion sheets to start a drawing from: a person's, a puppet's in heads, or one's own.

A sheet is a mapping of lengths to shares of the figure's height. It is only a start: the figure
then stands upright, and the maker bends it into its stoop.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from types import MappingProxyType

SHORTEST_MM = 50.0
TALLEST_MM = 5000.0
FEWEST_HEADS, MOST_HEADS = 2.0, 10.0
HEADS = 6.0

# What a sheet says, from the top down, in a maker's words; all else follows from these.
ASKED: Mapping[str, str] = MappingProxyType(
    {
        "chin_height": "chin, above the floor",
        "shoulder_height": "shoulder joint, above the floor",
        "hip_height": "hip joint, above the floor",
        "knee_height": "knee, above the floor",
        "ankle_height": "ankle, above the floor",
        "upper_arm": "upper arm, shoulder to elbow",
        "fore_arm": "fore arm, elbow to wrist",
        "hand": "hand, wrist to fingertip",
        "foot": "foot, heel to toe",
        "shoulder_half_width": "shoulder joint, from the middle",
        "hip_half_width": "hip joint, from the middle",
    }
)
_FROM_THE_TOP = ("chin_height", "shoulder_height", "hip_height", "knee_height", "ankle_height")

# The share of the figure below its head that is body, and what hangs from it: the comments of
# `heads_shares` say where each is from.
_BODY_SHARE = 2 / 5
_HAND_HEADS, _FOOT_HEADS = 0.75, 0.75
_ANKLE_HEADS = 0.25
_SHOULDER_BELOW_CHIN_HEADS = 0.3
_SHOULDER_HALF_HEADS, _HIP_HALF_HEADS = 0.8, 0.4
_THIGH_REACHED = 0.5


@dataclass(frozen=True, slots=True)
class StartPoint:
    """Where a joint begins: forward of the line of balance, aside from the middle, up (mm)."""

    name: str
    forward_mm: float
    aside_mm: float
    height_mm: float


def full_shares(asked: Mapping[str, float]) -> Mapping[str, float]:
    """The sheet with the lengths that follow from its heights: head, neck, trunk, thigh, shank.

    `asked` has the keys of ASKED, each a share of the height. Raises ValueError with every
    sentence of `find_share_faults`.

    >>> round(full_shares(PEOPLE_SHARES)["thigh"], 3)
    0.245
    """
    faults = find_share_faults(asked)
    if faults:
        raise ValueError(" ".join(sentence for _, sentence in faults))
    sheet = {key: float(asked[key]) for key in ASKED}
    return MappingProxyType(
        {
            **sheet,
            "head": 1 - sheet["chin_height"],
            "neck": sheet["chin_height"] - sheet["shoulder_height"],
            "trunk": sheet["shoulder_height"] - sheet["hip_height"],
            "thigh": sheet["hip_height"] - sheet["knee_height"],
            "shank": sheet["knee_height"] - sheet["ankle_height"],
        }
    )


def find_share_faults(asked: Mapping[str, float]) -> list[tuple[str, str]]:
    """What is wrong with a sheet, all at once: keys of ASKED with sentences.

    >>> find_share_faults({**PEOPLE_SHARES, "knee_height": 0.6, "hand": 0})
    [('hand', 'The hand has a length.'), ('knee_height', 'The knee lies below the hip.')]
    """
    faults = []
    for key, words in ASKED.items():
        value = asked.get(key)
        if value is None or not math.isfinite(value):
            faults.append((key, f"The {words.split(',')[0]} is missing."))
        elif not 0 < value < 1:
            noun = words.split(",")[0]
            faults.append(
                (key, f"The {noun} has a length." if value <= 0 else f"The {noun} is too long.")
            )
    wrong = {key for key, _ in faults}
    for above, below in pairwise(_FROM_THE_TOP):
        if not wrong & {above, below} and asked[below] >= asked[above]:
            lower, upper = _noun(below), _noun(above)
            faults.append((below, f"The {lower} lies below the {upper}."))
    arm = ("shoulder_height", "upper_arm", "fore_arm", "hand")
    if not wrong & set(arm) and sum(asked[key] for key in arm[1:]) >= asked["shoulder_height"]:
        faults.append(("hand", "The arm reaches below the floor."))
    return faults


def _noun(key: str) -> str:
    return key.split("_", maxsplit=1)[0]


# Drillis and Contini (1966), Body Segment Parameters, New York University, report 1166.03: lengths
# of segments as fractions of stature, as printed in Winter, Biomechanics and Motor Control of
# Human Movement, figure 4.1.
PEOPLE_SHARES: Mapping[str, float] = full_shares(
    {
        "chin_height": 0.870,
        "shoulder_height": 0.818,
        "hip_height": 0.530,
        "knee_height": 0.285,
        "ankle_height": 0.039,
        "upper_arm": 0.186,
        "fore_arm": 0.146,
        "hand": 0.108,
        "foot": 0.152,
        "shoulder_half_width": 0.1295,
        "hip_half_width": 0.0955,
    }
)


def heads_shares(heads: float = HEADS) -> Mapping[str, float]:
    """The sheet of a puppet so many heads tall, 2 to 10; raises ValueError outside.

    At six heads after Drake, 'The Art of Making Lifelike Marionette Bodies', Popular Science
    Monthly, February 1936: head 1, body 2, hips to sole 3, so that the hips halve the figure;
    thigh and lower leg alike; upper arm and fore arm alike; hand and foot as long as the face. At
    another number what is below the head is shared two to three. Ankle, shoulders, widths, the
    face as three quarters of the head, and arms that reach the middle of the thigh: common
    practice, no source.

    >>> sheet = heads_shares(6)
    >>> [round(sheet[key] * 6, 2) for key in ("head", "hip_height", "knee_height")]
    [1.0, 3.0, 1.5]
    """
    if not FEWEST_HEADS <= heads <= MOST_HEADS:
        raise ValueError(
            f"A figure is {FEWEST_HEADS:.0f} to {MOST_HEADS:.0f} heads tall, not {heads:g}."
        )
    head = 1 / heads
    chin = 1 - head
    hip = chin * (1 - _BODY_SHARE)
    knee = hip / 2
    # On a puppet of two or three heads the body is short, and nothing may go past its end.
    shoulder = chin - min(_SHOULDER_BELOW_CHIN_HEADS * head, (chin - hip) / 4)
    arm = shoulder - (hip - _THIGH_REACHED * (hip - knee))
    hand = min(_HAND_HEADS * head, arm / 3)
    return full_shares(
        {
            "chin_height": chin,
            "shoulder_height": shoulder,
            "hip_height": hip,
            "knee_height": knee,
            "ankle_height": min(_ANKLE_HEADS * head, knee / 4),
            "upper_arm": (arm - hand) / 2,
            "fore_arm": (arm - hand) / 2,
            "hand": hand,
            "foot": min(_FOOT_HEADS * head, hip),
            "shoulder_half_width": _SHOULDER_HALF_HEADS * head,
            "hip_half_width": _HIP_HALF_HEADS * head,
        }
    )


def start_points(asked: Mapping[str, float], height_mm: float) -> tuple[StartPoint, ...]:
    """The joints of an upright figure `height_mm` tall (50 to 5000 mm), after a sheet.

    The neck joint lies at the chin. All lie on the line of balance; those of limbs aside from the
    middle, arms hanging straight. Raises ValueError outside the heights or for a faulty sheet.

    >>> points = start_points(PEOPLE_SHARES, 1000)
    >>> [(p.name, round(p.height_mm)) for p in points][:4]
    [('neck', 870), ('shoulder', 818), ('elbow', 632), ('wrist', 486)]
    """
    check_height(height_mm)
    sheet = full_shares(asked)
    elbow = sheet["shoulder_height"] - sheet["upper_arm"]
    wide, narrow = sheet["shoulder_half_width"], sheet["hip_half_width"]
    shares = (
        ("neck", 0.0, sheet["chin_height"]),
        ("shoulder", wide, sheet["shoulder_height"]),
        ("elbow", wide, elbow),
        ("wrist", wide, elbow - sheet["fore_arm"]),
        ("hip", narrow, sheet["hip_height"]),
        ("knee", narrow, sheet["knee_height"]),
        ("ankle", narrow, sheet["ankle_height"]),
    )
    return tuple(
        StartPoint(name, 0.0, aside * height_mm, up * height_mm) for name, aside, up in shares
    )


def check_height(height_mm: float) -> None:
    """Raises ValueError with a sentence where no figure is so tall.

    >>> check_height(0)
    Traceback (most recent call last):
    ValueError: A figure is from 50 mm to 5 m tall, not 0 mm.
    """
    if not (math.isfinite(height_mm) and SHORTEST_MM <= height_mm <= TALLEST_MM):
        raise ValueError(
            f"A figure is from {SHORTEST_MM:.0f} mm to {TALLEST_MM / 1000:.0f} m tall, "
            f"not {height_mm:g} mm."
        )
