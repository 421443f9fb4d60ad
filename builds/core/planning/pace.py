"""How long stages really take beside what was planned: three points, learnt from the record.

Low, usual and high are factors on the planned hours. A company begins with common practice; each
finished step with its hours moves the three points towards what is on record: first those of the
company, then those of its stage. Means and variances of three points: Malcolm, Roseboom, Clark and
Fazar, Operations Research 7 (1959) 646-669. The weight of what was thought before: common
practice, no source.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean, median

LOW, HIGH = 0.7, 1.6  # of the usual hours: common practice, no source
PRIOR_STEPS = 10  # what was thought before counts as much as so many finished steps
LEAST, MOST = 0.1, 5.0  # beyond these a record is a slip of the pen
SOUND_STEPS = 30  # finished steps on record, before which odds are said in words alone


@dataclass(frozen=True, slots=True)
class ThreePoint:
    """Factors on planned hours: seldom below `low`, mostly about `usual`, seldom above `high`."""

    low: float = LOW
    usual: float = 1.0
    high: float = HIGH

    @property
    def mean(self) -> float:
        """The mean by Malcolm et al.

        >>> ThreePoint(0.5, 1, 2.1).mean
        1.1
        """
        return round((self.low + 4 * self.usual + self.high) / 6, 9)


@dataclass(frozen=True, slots=True)
class Pace:
    """The three points of each stage on record, and those of any other stage.

    `took` is the mean of taken over planned, 1 where nothing is on record; `counts` the finished
    steps of each stage.
    """

    company: ThreePoint
    stages: Mapping[Hashable, ThreePoint]
    steps: int
    took: float
    counts: Mapping[Hashable, int]

    def of(self, stage: Hashable) -> ThreePoint:
        """The stage's three points."""
        return self.stages.get(stage, self.company)

    @property
    def is_sound(self) -> bool:
        """Whether enough is on record to say odds in figures."""
        return self.steps >= SOUND_STEPS


def learn_pace(taken: Mapping[Hashable, Sequence[float]]) -> Pace:
    """The pace of a company from hours taken over hours planned, by stage. O(n log n).

    >>> pace = learn_pace({"carve": [1.2] * 10})
    >>> round(pace.company.usual, 3), round(pace.of("carve").usual, 3), pace.steps
    (1.1, 1.15, 10)
    >>> pace.of("sew") == pace.company
    True
    """
    kept = {
        stage: [min(MOST, max(LEAST, ratio)) for ratio in ratios]
        for stage, ratios in taken.items()
        if ratios
    }
    pooled = [ratio for ratios in kept.values() for ratio in ratios]
    company = blend(ThreePoint(), pooled)
    return Pace(
        company,
        {stage: blend(company, ratios) for stage, ratios in kept.items()},
        len(pooled),
        fmean(pooled) if pooled else 1.0,
        {stage: len(ratios) for stage, ratios in kept.items()},
    )


def blend(before: ThreePoint, ratios: Sequence[float]) -> ThreePoint:
    """Three points moved towards the record: its 5th, 50th and 95th of 100.

    >>> blend(ThreePoint(), [])
    ThreePoint(low=0.7, usual=1.0, high=1.6)
    """
    if not ratios:
        return before
    share = len(ratios) / (len(ratios) + PRIOR_STEPS)
    ordered = sorted(ratios)
    low = before.low + share * (_quantile(ordered, 0.05) - before.low)
    usual = before.usual + share * (median(ordered) - before.usual)
    high = before.high + share * (_quantile(ordered, 0.95) - before.high)
    return ThreePoint(min(low, usual), usual, max(high, usual))


def _quantile(ordered: Sequence[float], part: float) -> float:
    at = part * (len(ordered) - 1)
    below = int(at)
    above = min(below + 1, len(ordered) - 1)
    return ordered[below] + (at - below) * (ordered[above] - ordered[below])
