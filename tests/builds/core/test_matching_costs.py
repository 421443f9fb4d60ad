"""The cheapest match by its work: against every pairing, an outside MILP, and as laws."""

from __future__ import annotations

import random
from collections.abc import Hashable, Iterator, Sequence

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import Bounds, LinearConstraint, milp

from builds.core.matching import FigureThere, Prices, TrackWanted, cost_of, match_tracks

GUISES = ("young", "old")
COSTUMES = ("coat", "gown")


@st.composite
def priced(draw: st.DrawFn) -> tuple[list[TrackWanted], list[FigureThere], Prices]:
    """Up to four tracks and four figures, some pairs of them priced; prices meet often."""
    minutes = st.integers(0, 4).map(lambda hours: hours * 60)
    some = st.frozensets(st.sampled_from(COSTUMES))
    guises = st.sampled_from(GUISES)
    tracks = [
        TrackWanted(f"t{n}", draw(guises), draw(some)) for n in range(draw(st.integers(0, 4)))
    ]
    figures = [
        FigureThere(f"J{n}", draw(guises), n, draw(some), is_wanted=draw(st.booleans()))
        for n in range(1, draw(st.integers(0, 4)) + 1)
    ]
    pairs = {
        (t.id, f.id): draw(minutes) for t in tracks for f in figures if draw(st.integers(0, 3))
    }
    build = {t.id: draw(minutes) for t in tracks}
    stranded = {f.id: draw(minutes) for f in figures}
    return tracks, figures, Prices(pairs, build, stranded)


def every_match(
    tracks: Sequence[TrackWanted], prices: Prices, used: frozenset[Hashable] = frozenset()
) -> Iterator[dict[Hashable, Hashable]]:
    """Every way to give each track a figure that may play it, or none; slow and plain."""
    if not tracks:
        yield {}
        return
    first, *rest = tracks
    yield from every_match(rest, prices, used)
    for track, figure in prices.pairs:
        if track == first.id and figure not in used:
            for match in every_match(rest, prices, used | {figure}):
                yield {first.id: figure} | match


def aims(
    match: dict[Hashable, Hashable],
    tracks: list[TrackWanted],
    figures: list[FigureThere],
    prices: Prices,
) -> tuple[int, ...]:
    """Less is better: work, guises kept, costumes shared, figures still wanted."""
    by_track = {t.id: t for t in tracks}
    by_figure = {f.id: f for f in figures}
    pairs = [(by_track[t], by_figure[f]) for t, f in match.items()]
    return (
        cost_of(match, tracks, figures, prices),
        sum(-1 if t.guise == f.guise else 1 for t, f in pairs),
        -sum(len(t.costumes & f.costumes) for t, f in pairs),
        sum(not f.is_wanted for _, f in pairs),
    )


@given(priced())
def test_no_pairing_is_better_in_the_order_of_the_aims(
    case: tuple[list[TrackWanted], list[FigureThere], Prices],
) -> None:
    tracks, figures, prices = case
    found = match_tracks(tracks, figures, prices)
    assert len(set(found.values())) == len(found)
    assert all(pair in prices.pairs for pair in found.items())
    best = min(aims(match, tracks, figures, prices) for match in every_match(tracks, prices))
    assert aims(found, tracks, figures, prices) == best


@given(priced(), st.randoms(use_true_random=False))
def test_the_order_of_the_rows_does_not_matter(
    case: tuple[list[TrackWanted], list[FigureThere], Prices], rng: random.Random
) -> None:
    tracks, figures, prices = case
    mixed_tracks, mixed_figures = tracks[:], figures[:]
    rng.shuffle(mixed_tracks)
    rng.shuffle(mixed_figures)
    one = match_tracks(tracks, figures, prices)
    other = match_tracks(mixed_tracks, mixed_figures, prices)
    assert aims(one, tracks, figures, prices) == aims(other, tracks, figures, prices)


@given(priced())
def test_a_figure_more_never_makes_the_work_more_but_for_what_lies_in_it(
    case: tuple[list[TrackWanted], list[FigureThere], Prices],
) -> None:
    tracks, figures, prices = case
    if not figures:
        return
    *fewer, last = figures
    less = Prices(
        {pair: m for pair, m in prices.pairs.items() if pair[1] != last.id},
        prices.build,
        {f: m for f, m in prices.stranded.items() if f != last.id},
    )
    without = cost_of(match_tracks(tracks, fewer, less), tracks, fewer, less)
    with_it = cost_of(match_tracks(tracks, figures, prices), tracks, figures, prices)
    assert with_it <= without + prices.stranded[last.id]


# The outside judge: a mixed integer program, solved by HiGHS (Huangfu and Hall, 2018,
# 'Parallelizing the dual revised simplex method', doi:10.1007/s12532-017-0130-5) through scipy


def milp_cost(tracks: Sequence[TrackWanted], figures: Sequence[FigureThere], prices: Prices) -> int:
    """Least work by a model that shares nothing with the assignment."""
    pairs = list(prices.pairs)
    base = sum(prices.build.values()) + sum(prices.stranded.values())
    if not pairs:
        return base
    gain = [prices.pairs[t, f] - prices.build[t] - prices.stranded[f] for t, f in pairs]
    rows = [[float(t == track.id) for t, _ in pairs] for track in tracks]
    rows += [[float(f == figure.id) for _, f in pairs] for figure in figures]
    solved = milp(
        np.array(gain, dtype=float),
        constraints=LinearConstraint(np.array(rows), -np.inf, 1),
        integrality=np.ones(len(pairs)),
        bounds=Bounds(0, 1),
    )
    assert solved.success
    return base + round(solved.fun)


def large(
    seed: int, tracks: int, figures: int
) -> tuple[list[TrackWanted], list[FigureThere], Prices]:
    """A bench of that size: three guises, two of which share a body."""
    rng = random.Random(seed)
    kinds = ("young", "old", "gull")
    wanted = [TrackWanted(f"t{n}", rng.choice(kinds)) for n in range(tracks)]
    there = [FigureThere(f"J{n}", rng.choice(kinds), n) for n in range(1, figures + 1)]
    pairs = {
        (t.id, f.id): rng.randrange(0, 9000, 15)
        for t in wanted
        for f in there
        if t.guise == f.guise or "gull" not in (t.guise, f.guise)
    }
    return (
        wanted,
        there,
        Prices(
            pairs,
            {t.id: rng.randrange(4000, 9000, 15) for t in wanted},
            {f.id: rng.randrange(0, 6000, 15) for f in there},
        ),
    )


@pytest.mark.parametrize(
    ("seed", "tracks", "figures"), [(1, 12, 12), (2, 30, 18), (3, 18, 30), (4, 60, 60)]
)
def test_work_is_what_highs_says(seed: int, tracks: int, figures: int) -> None:
    wanted, there, prices = large(seed, tracks, figures)
    found = match_tracks(wanted, there, prices)
    assert cost_of(found, wanted, there, prices) == milp_cost(wanted, there, prices)


# What is refused


def test_prices_that_make_no_sense_are_refused() -> None:
    tracks, figures = [TrackWanted("t", "old")], [FigureThere("J1", "old", 1)]
    with pytest.raises(ValueError, match="0 or more minutes"):
        match_tracks(tracks, figures, Prices({("t", "J1"): -15}))
    with pytest.raises(ValueError, match="no such track or figure"):
        match_tracks(tracks, figures, Prices({("t", "J2"): 15}))


def test_a_figure_is_left_lying_where_making_it_over_is_more_work() -> None:
    tracks, figures = [TrackWanted("t", "old")], [FigureThere("J1", "young", 1)]
    dear = Prices({("t", "J1"): 600}, {"t": 500}, {"J1": 60})
    cheap = Prices({("t", "J1"): 500}, {"t": 500}, {"J1": 60})
    assert match_tracks(tracks, figures, dear) == {}
    assert match_tracks(tracks, figures, cheap) == {"t": "J1"}
