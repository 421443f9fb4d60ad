"""How many castings to pour so that enough of them come out good."""

from __future__ import annotations

import math

# How many castings the first guess of the yield is worth against the mould's own: common
# practice, no source. After ten of its own castings a mould's record counts as much as the guess.
GUESS_WORTH = 10
MOST_CASTINGS = 10_000
# A chance that equals the one asked for is enough: floating point must not add a casting.
TOLERANCE = 1e-9


def castings_to_pour(
    wanted: int, yield_share: float, sure: float, good: int = 0, bad: int = 0
) -> int:
    """The smallest number m of castings of which `wanted` come out good with chance `sure`.

    Without a record m is the smallest with P(Binomial(m, yield_share) >= wanted) >= sure. With
    castings of its own, `good` and `bad`, the yield is no longer taken for known: it follows a
    beta distribution that begins at `yield_share` with the weight of ten castings and takes the
    record in, so that the number of good ones is beta-binomial (Skellam, J. G., 1948, Journal of
    the Royal Statistical Society B 10, 257-261, doi:10.1111/j.2517-6161.1948.tb00014.x).

    `yield_share` above 0 to 1, `sure` above 0 and below 1, counts 0 and up; ValueError otherwise,
    and where more than ten thousand would be needed. O(m log m).

    >>> castings_to_pour(2, 0.9, 0.9), castings_to_pour(4, 0.8, 0.95)
    (3, 7)
    >>> castings_to_pour(1, 0.9, 0.9), castings_to_pour(1, 0.9, 0.9, good=0, bad=1)
    (1, 2)
    """
    _check(wanted, yield_share, sure, good, bad)
    if wanted == 0:
        return 0
    enough = wanted
    while chance_of_enough(enough, wanted, yield_share, good, bad) < sure - TOLERANCE:
        enough *= 2
        if enough > MOST_CASTINGS:
            raise ValueError(f"more than {MOST_CASTINGS} castings for {wanted} good ones")
    too_few = max(wanted - 1, enough // 2 if enough > wanted else wanted - 1)
    while enough - too_few > 1:
        middle = (enough + too_few) // 2
        if chance_of_enough(middle, wanted, yield_share, good, bad) < sure - TOLERANCE:
            too_few = middle
        else:
            enough = middle
    return enough


def chance_of_enough(
    cast: int, wanted: int, yield_share: float, good: int = 0, bad: int = 0
) -> float:
    """The chance that at least `wanted` of `cast` castings come out good, 0 to 1.

    >>> round(chance_of_enough(3, 2, 0.9), 3)
    0.972
    >>> chance_of_enough(2, 3, 0.9)
    0.0
    """
    if cast < wanted:
        return 0.0
    if wanted <= 0:
        return 1.0
    a, b = _beta(yield_share, good, bad)
    if good + bad == 0 or b == 0:
        log_p, log_q = _logs(yield_share)
        terms = [
            _log_choose(cast, k) + k * log_p + ((cast - k) * log_q if cast > k else 0.0)
            for k in range(wanted, cast + 1)
        ]
    else:
        whole = _log_beta(a, b)
        terms = [
            _log_choose(cast, k) + _log_beta(k + a, cast - k + b) - whole
            for k in range(wanted, cast + 1)
        ]
    return min(1.0, math.fsum(math.exp(term) for term in terms))


def expected_yield(yield_share: float, good: int, bad: int) -> float:
    """The share of good castings to expect: the first guess and the mould's record together.

    >>> expected_yield(0.9, 0, 0), expected_yield(0.9, 9, 1)
    (0.9, 0.9)
    """
    a, b = _beta(yield_share, good, bad)
    return a / (a + b)


def _beta(yield_share: float, good: int, bad: int) -> tuple[float, float]:
    # A guess of 'always good' still leaves room for what the record says.
    share = min(yield_share, 0.999) if bad else yield_share
    return share * GUESS_WORTH + good, (1 - share) * GUESS_WORTH + bad


def _logs(share: float) -> tuple[float, float]:
    return math.log(share), math.log1p(-share) if share < 1 else -math.inf


def _log_choose(n: int, k: int) -> float:
    return math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)


def _log_beta(a: float, b: float) -> float:
    return math.lgamma(a) + math.lgamma(b) - math.lgamma(a + b)


def _check(wanted: int, yield_share: float, sure: float, good: int, bad: int) -> None:
    for name, value in (("wanted", wanted), ("good", good), ("bad", bad)):
        if value < 0:
            raise ValueError(f"{name} must be 0 or more castings, got {value}")
    if not 0 < yield_share <= 1:
        raise ValueError(f"yield_share must lie above 0 and at most 1, got {yield_share}")
    if not 0 < sure < 1:
        raise ValueError(f"sure must lie above 0 and below 1, got {sure}")
