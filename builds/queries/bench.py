"""The current draft against the bench: who plays each track, what is new, what is not needed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import replace

from django.db.models import Sum

from builds.core.workshop import BODY, HEAD
from builds.models import Figure, WorkLog
from builds.queries.bench_hours import with_hours
from builds.queries.bench_lines import AGAIN, GONE, KEPT, NEW, OVER, Bench, BenchLine
from builds.queries.matched import DraftTrack, read_matched
from builds.queries.offers import read_offers
from builds.queries.states import Use
from scenes.loading import PlotRows
from scenes.models import Costume, Show

__all__ = ["AGAIN", "GONE", "KEPT", "NEW", "OVER", "Bench", "BenchLine", "read_bench"]


def read_bench(show: Show) -> Bench:
    """The draft as it stands now, matched to the figures that exist. Nothing is written."""
    matched = read_matched(show)
    rows, count, tracks, figures = matched.rows, matched.count, matched.tracks, matched.figures
    wears, last, taken, pairs = matched.wears, matched.last, matched.taken, matched.pairs
    lines = [
        _track_line(track, pairs.get(track.key), wears, taken, matched.uses.get(track.key))
        for track in tracks
    ]
    busy = {figure.pk for figure in pairs.values()}
    idle = [figure for figure in figures if figure.pk not in busy]
    spent = read_spent(idle)
    for figure in idle:
        if figure.state == Figure.State.WANTED and figure.pk in last:
            lines.append(_gone_line(figure, wears[figure.pk], spent.get(figure.pk, 0)))
    lines, shared_min = with_hours(show, lines)
    offers = read_offers(show, lines)
    lines = [replace(line, offers=offers.get(line.key, ())) for line in lines]
    counts: dict[int, int] = defaultdict(int)
    for track in tracks:
        counts[track.guise.pk] += 1
    return Bench(
        show=show,
        rows=rows,
        count=count,
        lines=tuple(sorted(lines, key=_order_of(rows))),
        extras=tuple(f for f in idle if f.state == Figure.State.WANTED and f.pk not in last),
        spares=tuple(f for f in idle if f.state == Figure.State.SPARE),
        asked=tuple(
            f for f in (*idle, *matched.parts) if f.state == Figure.State.SPARE and f.pk not in last
        ),
        shared_min=shared_min,
        needed=len(tracks),
        minimum=matched.minimum,
        by_guise=dict(counts),
    )


def _track_line(
    track: DraftTrack,
    figure: Figure | None,
    wears: dict[int, list[Costume]],
    taken: dict[int, int],
    use: Use | None,
) -> BenchLine:
    is_taken = track.pk is not None and track.pk in taken
    if figure is None:
        return BenchLine(track.key, NEW, track.guise, None, track, track.costumes, track.costumes)
    has = {costume.pk for costume in wears[figure.pk]}
    to_sew = tuple(costume for costume in track.costumes if costume.pk not in has)
    return BenchLine(
        track.key,
        _kind_of(figure, use, to_sew),
        track.guise,
        figure,
        track,
        track.costumes,
        to_sew,
        is_taken=is_taken,
        use=use,
    )


def _kind_of(figure: Figure, use: Use | None, to_sew: tuple[Costume, ...]) -> str:
    if figure.state != Figure.State.WANTED:
        return AGAIN
    if use is not None and (use.over.again or (use.over.what and to_sew)):
        return OVER
    is_of_other_guise = use is not None and use.over.what & {HEAD, BODY}
    return OVER if is_of_other_guise else KEPT


def _gone_line(figure: Figure, costumes: list[Costume], spent_min: int) -> BenchLine:
    return BenchLine(
        f"figure:{figure.pk}",
        GONE,
        figure.guise,
        figure,
        costumes=tuple(costumes),
        hours_min=spent_min,
    )


def read_spent(figures: list[Figure]) -> dict[int, int]:
    """Minutes on record for each figure's own steps."""
    rows = WorkLog.objects.filter(step__figure__in=figures, struck_at=None)
    return dict(rows.values_list("step__figure").annotate(Sum("minutes")))


def _order_of(rows: PlotRows) -> Callable[[BenchLine], tuple[int, bool, int]]:
    """Lines by role and guise as the show has them; figures there first, then new, then gone."""
    place = {guise.pk: number for number, guise in enumerate(rows.guises)}

    def order(line: BenchLine) -> tuple[int, bool, int]:
        number = line.figure.number if line.figure else 10**6
        return place[line.guise.pk], line.kind == GONE, number

    return order
