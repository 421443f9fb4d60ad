"""How long a step is: the learning curve, in whole quarters of an hour."""

from __future__ import annotations

import math

QUARTER_MIN = 15
REMOVABLE_PERCENT = 140  # a costume that comes off takes 40 % more; common practice, no source


def hours_of(hours_min: float, rate: float, rank: int) -> int:
    """Minutes of the rank-th piece: first x rank^log2(rate), rounded up to the quarter hour.

    The unit form of the learning curve (Crawford; see Yelle, Louis E., 1979, 'The learning curve:
    historical review and comprehensive survey', Decision Sciences 10,
    doi:10.1111/j.1540-5915.1979.tb00026.x). `rate` above 0 to 1: what doubling the number leaves.
    Raises ValueError for a rank below 1, a rate outside that range or minutes below 0.

    >>> hours_of(28 * 60, 0.9, 1), hours_of(28 * 60, 0.9, 2)
    (1680, 1515)
    >>> hours_of(60, 0.5, 4)
    15
    """
    if rank < 1:
        raise ValueError(f"rank must be 1 or more, got {rank}")
    if not 0 < rate <= 1:
        raise ValueError(f"rate must lie above 0 and at most 1, got {rate}")
    if hours_min < 0:
        raise ValueError(f"hours_min must be 0 or more minutes, got {hours_min}")
    minutes = hours_min * math.pow(rank, math.log2(rate))
    # A hair above a whole quarter is the rounding of the power, not another quarter of work.
    return math.ceil(minutes / QUARTER_MIN - 1e-9) * QUARTER_MIN
