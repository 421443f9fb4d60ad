"""Matching figures to tracks: against every possible pairing on small cases, and as laws."""

from __future__ import annotations

from itertools import permutations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.matching import FigureThere, TrackWanted, match_tracks

COSTUMES = ("coat", "gown", "smock")
STOPS = tuple((scene, 1) for scene in range(4))


@st.composite
def bench(draw: st.DrawFn) -> tuple[list[TrackWanted], list[FigureThere]]:
    """Up to four tracks and four figures of two guises."""
    some = st.frozensets(st.sampled_from(COSTUMES), max_size=3)
    stops = st.frozensets(st.sampled_from(STOPS), max_size=3)
    guises = st.sampled_from(["young", "old"])
    tracks = [
        TrackWanted(f"t{n}", draw(guises), draw(some), draw(stops))
        for n in range(draw(st.integers(0, 4)))
    ]
    figures = [
        FigureThere(f"J{n}", draw(guises), n, draw(some), draw(stops), draw(st.booleans()))
        for n in range(1, draw(st.integers(0, 4)) + 1)
    ]
    return tracks, figures


def score(pairs: list[tuple[TrackWanted, FigureThere]], figures: list[FigureThere]) -> tuple:
    """Higher is better: pairs, costumes shared, stops shared, wanted figures, low numbers."""
    places = {}
    for guise in {f.guise for f in figures}:
        own = sorted((f for f in figures if f.guise == guise), key=lambda f: f.number)
        places.update({f.id: place for place, f in enumerate(own)})
    return (
        len(pairs),
        sum(len(t.costumes & f.costumes) for t, f in pairs),
        sum(len(t.stops & f.stops) for t, f in pairs),
        sum(f.is_wanted for _, f in pairs),
        -sum(places[f.id] for _, f in pairs),
    )


def best_score(tracks: list[TrackWanted], figures: list[FigureThere]) -> tuple:
    """The best score over every way to give figures (or nobody) to tracks."""
    holes: list[FigureThere | None] = [*figures, *([None] * len(tracks))]
    best = None
    for order in permutations(holes, len(tracks)):
        pairs = [(t, f) for t, f in zip(tracks, order, strict=True) if f is not None]
        if all(t.guise == f.guise for t, f in pairs):
            found = score(pairs, figures)
            best = found if best is None else max(best, found)
    return best or score([], figures)


@given(bench())
def test_match_is_the_best_of_all_pairings(
    case: tuple[list[TrackWanted], list[FigureThere]],
) -> None:
    tracks, figures = case
    by_track, by_figure = {t.id: t for t in tracks}, {f.id: f for f in figures}
    # Aims are kept guise by guise, which sums to the same as over all of them.
    for guise in ("young", "old"):
        own_tracks = [t for t in tracks if t.guise == guise]
        own_figures = [f for f in figures if f.guise == guise]
        matched = match_tracks(own_tracks, own_figures)
        pairs = [(by_track[t], by_figure[f]) for t, f in matched.items()]
        assert score(pairs, own_figures) == best_score(own_tracks, own_figures)


@given(bench())
def test_match_uses_each_figure_once_and_within_its_guise(
    case: tuple[list[TrackWanted], list[FigureThere]],
) -> None:
    tracks, figures = case
    matched = match_tracks(tracks, figures)
    assert len(set(matched.values())) == len(matched)
    guise_of = {x.id: x.guise for x in [*tracks, *figures]}
    assert all(guise_of[t] == guise_of[f] for t, f in matched.items())
    for guise in ("young", "old"):
        here = sum(t.guise == guise for t in tracks), sum(f.guise == guise for f in figures)
        assert sum(guise_of[t] == guise for t in matched) == min(here)


@given(bench(), st.randoms(use_true_random=False))
def test_order_of_figures_means_nothing(
    case: tuple[list[TrackWanted], list[FigureThere]], random: object
) -> None:
    tracks, figures = case
    mixed = list(figures)
    random.shuffle(mixed)  # type: ignore[attr-defined]
    assert match_tracks(tracks, mixed) == match_tracks(tracks, figures)


def test_the_same_costume_counts_more_than_the_same_scenes() -> None:
    tracks = [TrackWanted("t", "old", frozenset({"coat"}), frozenset(STOPS))]
    figures = [
        FigureThere("J1", "old", 1, frozenset({"gown"}), frozenset(STOPS)),
        FigureThere("J2", "old", 2, frozenset({"coat"})),
    ]
    assert match_tracks(tracks, figures) == {"t": "J2"}


def test_a_wanted_figure_comes_before_a_spare_of_a_lower_number() -> None:
    tracks = [TrackWanted("t", "old", frozenset({"coat"}))]
    figures = [
        FigureThere("J1", "old", 1, frozenset({"coat"}), is_wanted=False),
        FigureThere("J2", "old", 2, frozenset({"coat"})),
    ]
    assert match_tracks(tracks, figures) == {"t": "J2"}


def test_a_hundred_gulls_keep_their_numbers() -> None:
    stops = [frozenset({(n, 1), (n + 1, 1), (n + 2, 1)}) for n in range(100)]
    tracks = [TrackWanted(n, "gull", frozenset({"grey"}), stops[n]) for n in range(100)]
    figures = [
        FigureThere(f"G{n + 1}", "gull", n + 1, frozenset({"grey"}), stops[n]) for n in range(100)
    ]
    assert match_tracks(tracks, figures) == {n: f"G{n + 1}" for n in range(100)}


def test_two_tracks_of_one_id_are_refused() -> None:
    with pytest.raises(ValueError, match="two tracks have one id"):
        match_tracks([TrackWanted("t", "old"), TrackWanted("t", "old")], [])
