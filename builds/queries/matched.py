"""The tracks of the current draft, each with the figure that plays it."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass
from uuid import UUID

from builds.core.make_over import Wanted
from builds.core.matching import FigureThere, Prices, TrackWanted, match_tracks
from builds.core.workshop import Worn
from builds.models import Figure, FigureCostume, TrackFigure
from builds.queries.states import Pricing, Use, read_pricing
from scenes.loading import PlotRows, read_rows, read_stops
from scenes.models import Costume, Count, Guise, Show, TrackStop
from scenes.queries.counts import count_show

Stop = tuple[UUID, int]


@dataclass(frozen=True)
class DraftTrack:
    """A track of the current draft. `key` names it as long as the draft's revision stands."""

    key: str
    guise: Guise
    stops: tuple[Stop, ...]
    costumes: tuple[Costume, ...] = ()
    scenes: tuple[str, ...] = ()
    pk: int | None = None


@dataclass(frozen=True)
class Matched:
    """The draft's tracks with the figures that play them, by track key.

    `parts` are spare heads and hands, which play nothing. `uses` says what playing a track takes
    of its figure, where that is not taken to the bench.
    """

    rows: PlotRows
    count: Count | None
    tracks: list[DraftTrack]
    figures: list[Figure]
    wears: dict[int, list[Costume]]
    last: dict[int, frozenset[Stop]]
    taken: dict[int, int]
    pairs: dict[str, Figure]
    pricing: Pricing
    uses: dict[str, Use]
    parts: list[Figure]
    minimum: int


def read_matched(show: Show) -> Matched:
    rows, count, minimum, tracks = _read_tracks(show)
    figures = list(
        Figure.objects.filter(show=show)
        .exclude(state=Figure.State.STRUCK)
        .select_related("guise__character")
        .order_by("letters", "number")
    )
    wears: dict[int, list[Costume]] = defaultdict(list)
    for row in FigureCostume.objects.filter(figure__show=show).select_related("costume"):
        wears[row.figure_id].append(row.costume)
    parts = [figure for figure in figures if figure.extent != Figure.Extent.WHOLE]
    figures = [figure for figure in figures if figure.extent == Figure.Extent.WHOLE]
    by_pk = {figure.pk: figure for figure in figures}
    taken = {track: pk for track, pk in _taken(count).items() if pk in by_pk}
    last = _last_stops(show)
    pricing = read_pricing(show.company, figures)
    matching = Matching(tracks, figures, wears, last, taken, pricing)
    pairs = {key: by_pk[pk] for key, pk in matching.match().items()}
    uses = {key: matching.uses[key, f.pk] for key, f in pairs.items() if key in matching.free_keys}
    return Matched(
        rows, count, tracks, figures, wears, last, taken, pairs, pricing, uses, parts, minimum
    )


def read_asked_spares(show: Show) -> list[Figure]:
    """Spares that were asked for as such, whole ones and heads: none of them has ever played."""
    rows = Figure.objects.filter(show=show, state=Figure.State.SPARE, tracks=None)
    return list(rows.order_by("letters", "number"))


def read_figures_of_stops(show: Show) -> dict[Stop, Figure]:
    """Which figure plays each copy of each appearance, as 'To the bench' would have it.

    Copies that ask for a new figure are left out. Empty, for one read, where nothing was made.
    """
    if not Figure.objects.filter(show=show).exists():
        return {}
    matched = read_matched(show)
    return {
        stop: matched.pairs[track.key]
        for track in matched.tracks
        if track.key in matched.pairs
        for stop in track.stops
    }


def _read_tracks(show: Show) -> tuple[PlotRows, Count | None, int, list[DraftTrack]]:
    """Tracks of the accepted count where this revision has one, else counted as it stands; and
    how many are needed, which the lead's pins may go beyond."""
    draft = show.current_draft
    count = None
    if draft is not None:
        count = Count.objects.filter(
            draft=draft, revision=draft.revision, accepted_at__isnull=False
        ).first()
    if count is not None:
        rows = read_rows(show)
        pks = list(count.tracks.order_by("position").values_list("pk", flat=True))
        runs = [
            (guise, tuple(stops), pk)
            for (guise, stops), pk in zip(read_stops(count), pks, strict=True)
        ]
        return rows, count, count.figures, _dress_tracks(rows, runs)
    counted = count_show(show)
    runs = [
        (of_guise.guise, tuple((s.key, s.copy) for s in track.stops), None)
        for of_guise in counted.built.guises
        for track in of_guise.tracks
    ]
    return counted.rows, None, counted.count.figures, _dress_tracks(counted.rows, runs)


def _dress_tracks(
    rows: PlotRows, runs: list[tuple[int, tuple[Stop, ...], int | None]]
) -> list[DraftTrack]:
    by_key = {appearance.key: appearance for appearance in rows.appearances}
    guises = {guise.pk: guise for guise in rows.guises}
    tracks = []
    for guise, stops, pk in runs:
        played = [by_key[key] for key, _ in stops]
        costumes = dict.fromkeys(a.costume for a in played if a.costume is not None)
        scenes = dict.fromkeys(a.scene.label for a in played)
        # One more than is needed, by the lead's pin, has nothing to play and goes by its number.
        key = "{}:{}".format(*stops[0]) if stops else f"more:{guise}:{len(tracks)}"
        tracks.append(DraftTrack(key, guises[guise], stops, tuple(costumes), tuple(scenes), pk))
    return tracks


def _taken(count: Count | None) -> dict[int, int]:
    """Figure by track, of the lines of this count that were taken to the bench already."""
    if count is None:
        return {}
    return dict(TrackFigure.objects.filter(count=count).values_list("track_id", "figure_id"))


def _last_stops(show: Show) -> dict[int, frozenset[Stop]]:
    """What each figure played in the last accepted count it was in. Missing: never played."""
    latest: dict[int, int] = {}
    rows = TrackFigure.objects.filter(figure__show=show)
    for figure, track in rows.order_by("count__accepted_at", "count_id").values_list(
        "figure_id", "track_id"
    ):
        latest[figure] = track
    stops: dict[int, set[Stop]] = defaultdict(set)
    for track, key, copy in TrackStop.objects.filter(track__in=latest.values()).values_list(
        "track_id", "appearance_key", "copy"
    ):
        stops[track].add((key, copy))
    return {figure: frozenset(stops[track]) for figure, track in latest.items()}


class Matching:
    """The tracks that are free to be matched, the figures, and what each pair would take."""

    def __init__(
        self,
        tracks: list[DraftTrack],
        figures: list[Figure],
        wears: dict[int, list[Costume]],
        last: dict[int, frozenset[Stop]],
        taken: dict[int, int],
        pricing: Pricing,
    ) -> None:
        self.fixed = {t.key: taken[t.pk] for t in tracks if t.pk is not None and t.pk in taken}
        self.tracks = [track for track in tracks if track.key not in self.fixed]
        self.figures = [figure for figure in figures if figure.pk not in self.fixed.values()]
        self.free_keys = {track.key for track in self.tracks}
        self.wears, self.last, self.pricing = wears, last, pricing
        self.uses: dict[tuple[str, int], Use] = {}

    def match(self) -> dict[str, int]:
        """Figure id by track key: what was taken stays, the rest is matched by its work."""
        prices = self._prices()
        free = [
            TrackWanted(t.key, t.guise.pk, frozenset(c.pk for c in t.costumes), frozenset(t.stops))
            for t in self.tracks
        ]
        there = [
            FigureThere(
                figure.pk,
                figure.guise_id,
                figure.number,
                frozenset(costume.pk for costume in self.wears[figure.pk]),
                self.last.get(figure.pk, frozenset()),
                figure.state == Figure.State.WANTED,
            )
            for figure in self.figures
        ]
        return self.fixed | match_tracks(free, there, prices)  # type: ignore[operator]

    def _prices(self) -> Prices:
        pairs, build = {}, {}
        for track in self.tracks:
            wanted = self.pricing.wanted(track.guise, track.costumes)
            priced = self._with_some_costume(track, wanted)
            build[track.key] = self.pricing.build_min(track.guise, priced)
            for figure in self.figures:
                if not self._may_play(figure, track):
                    continue
                use = self.pricing.use(figure, track.guise, wanted)
                if use is not None:
                    self.uses[track.key, figure.pk] = use
                    dear = use if priced is wanted else None
                    dear = dear or self.pricing.use(figure, track.guise, priced)
                    pairs[track.key, figure.pk] = (dear or use).over.price_min
        return Prices(
            pairs, build, {figure.pk: self._stranded_min(figure) for figure in self.figures}
        )

    def _with_some_costume(self, track: DraftTrack, wanted: Wanted) -> Wanted:
        """What is priced: a costume that nobody has decided yet is one that is still to be sewn."""
        if track.costumes or not track.stops:
            return wanted
        return Wanted(wanted.guise, (Worn(("undecided", track.guise.pk)),))

    def _may_play(self, figure: Figure, track: DraftTrack) -> bool:
        """Any figure of the guise; of another guise only one that its own track has left."""
        is_left = figure.pk in self.last or figure.state == Figure.State.SPARE
        return figure.guise_id == track.guise.pk or is_left

    def _stranded_min(self, figure: Figure) -> int:
        """What lies in it for nothing without a track; one more by choice has its use."""
        is_choice = figure.state == Figure.State.WANTED and figure.pk not in self.last
        return 0 if is_choice else self.pricing.standings[figure.pk].now.spent_min
