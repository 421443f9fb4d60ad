"""Proportion sheets to start a drawing from: a person's, a puppet's in heads, or one's own.

Each is only a start: it stands upright, and the maker bends it into its stoop. Heights are mm
above the floor, `aside_mm` is the distance of a joint from the middle in the front view.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

SHORTEST_MM = 50.0
TALLEST_MM = 5000.0
FEWEST_HEADS, MOST_HEADS = 2.0, 10.0

# Drillis and Contini (1966), lengths of body segments as fractions of stature, as printed in
# Winter, Biomechanics and Motor Control of Human Movement, figure 4.1.
CHIN, SHOULDER, HIP, KNEE, ANKLE = 0.870, 0.818, 0.530, 0.285, 0.039
UPPER_ARM, FOREARM, HAND = 0.186, 0.146, 0.108
SHOULDER_HALF, HIP_HALF = 0.129, 0.0955
FOOT_LENGTH = 0.152

# Drake, 'The Art of Making Lifelike Marionette Bodies', Popular Science Monthly, February 1936:
# six heads tall, of which head 1, body 2, hips to sole 3; thigh and lower leg about 1.5 each;
# upper arm as long as the forearm; the hand as long as the face.
HEADS = 6.0
BODY_SHARE = 2 / 5  # of what is below the head
HAND_HEADS = 0.75
# Common practice, no source.
ANKLE_HEADS = 0.25
SHOULDER_BELOW_CHIN_HEADS = 0.3
SHOULDER_HALF_HEADS, HIP_HALF_HEADS = 0.8, 0.4
THIGH_REACHED = 0.5  # the fingertips hang down to the middle of the thigh


@dataclass(frozen=True, slots=True)
class StartPoint:
    """Where a joint is to begin: across from the line of balance, aside from the middle, up."""

    name: str
    forward_mm: float
    aside_mm: float
    height_mm: float


def start_from_people(height_mm: float) -> tuple[StartPoint, ...]:
    """The joints of an upright person `height_mm` tall (above 50, at most 5000 mm).

    Segment lengths as fractions of stature after Drillis and Contini (1966). Raises ValueError
    outside the heights.

    >>> [(p.name, round(p.height_mm)) for p in start_from_people(1000)][:4]
    [('crown', 1000), ('neck', 870), ('shoulder', 818), ('elbow', 632)]
    """
    check_height(height_mm)
    elbow = SHOULDER - UPPER_ARM
    wrist = elbow - FOREARM
    fractions = (
        ("crown", 0.0, 1.0),
        ("neck", 0.0, CHIN),
        ("shoulder", SHOULDER_HALF, SHOULDER),
        ("elbow", SHOULDER_HALF, elbow),
        ("wrist", SHOULDER_HALF, wrist),
        ("fingertip", SHOULDER_HALF, wrist - HAND),
        ("hip", HIP_HALF, HIP),
        ("knee", HIP_HALF, KNEE),
        ("ankle", HIP_HALF, ANKLE),
    )
    return tuple(
        StartPoint(name, 0.0, aside * height_mm, up * height_mm) for name, aside, up in fractions
    )


def start_from_heads(height_mm: float, heads: float = HEADS) -> tuple[StartPoint, ...]:
    """The joints of an upright puppet `height_mm` tall (above 50, at most 5000 mm), in heads.

    At six heads after Drake (1936): head 1, body 2, hips to sole 3, so that the hips halve it.
    At another number what is below the head is shared two to three between body and legs.
    `heads` runs from 2 to 10. Raises ValueError outside these.

    >>> [(p.name, p.height_mm) for p in start_from_heads(600) if p.name in ("neck", "hip", "knee")]
    [('neck', 500.0), ('hip', 300.0), ('knee', 150.0)]
    """
    check_height(height_mm)
    if not FEWEST_HEADS <= heads <= MOST_HEADS:
        raise ValueError(
            f"A figure is {FEWEST_HEADS:.0f} to {MOST_HEADS:.0f} heads tall, not {heads:g}."
        )
    head = height_mm / heads
    chin = height_mm - head
    hip = chin * (1 - BODY_SHARE)
    knee = hip / 2
    # On a puppet of two or three heads the body is short: nothing goes below its hips by it.
    shoulder = chin - min(SHOULDER_BELOW_CHIN_HEADS * head, (chin - hip) / 4)
    tip = hip - THIGH_REACHED * (hip - knee)
    hand = min(HAND_HEADS * head, (shoulder - tip) / 3)
    arm = (shoulder - tip - hand) / 2
    ankle = min(ANKLE_HEADS * head, knee / 4)
    wide, narrow = SHOULDER_HALF_HEADS * head, HIP_HALF_HEADS * head
    return (
        StartPoint("crown", 0.0, 0.0, height_mm),
        StartPoint("neck", 0.0, 0.0, chin),
        StartPoint("shoulder", 0.0, wide, shoulder),
        StartPoint("elbow", 0.0, wide, shoulder - arm),
        StartPoint("wrist", 0.0, wide, shoulder - 2 * arm),
        StartPoint("fingertip", 0.0, wide, tip),
        StartPoint("hip", 0.0, narrow, hip),
        StartPoint("knee", 0.0, narrow, knee),
        StartPoint("ankle", 0.0, narrow, ankle),
    )


def start_from_own(
    points: Iterable[StartPoint], old_height_mm: float, height_mm: float
) -> tuple[StartPoint, ...]:
    """The points of a drawing of one's own, stoop and all, for a figure of another height.

    Both heights above 50, at most 5000 mm; raises ValueError outside.

    >>> start_from_own([StartPoint("knee", 12, 30, 150)], 600, 300)
    (StartPoint(name='knee', forward_mm=6.0, aside_mm=15.0, height_mm=75.0),)
    """
    check_height(old_height_mm)
    check_height(height_mm)
    scale = height_mm / old_height_mm
    return tuple(
        StartPoint(p.name, p.forward_mm * scale, p.aside_mm * scale, p.height_mm * scale)
        for p in points
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
