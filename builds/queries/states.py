"""How far figures are, as the core prices them: what is done, sewn and spent, round by round."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterator, Mapping
from dataclasses import dataclass, field

from django.db.models import Q, Sum

from builds.core.make_over import MakingOver, State, Wanted, build_min, make_over
from builds.core.workshop import COSTUME, MADE_OVER, Guise, RouteStage, Worn
from builds.models import Figure, FigureCostume, GuisePart, MakeOver, Step, WorkLog
from builds.queries.steps import is_touched, read_routes, with_traces
from company.models import Company
from scenes.models import Costume
from scenes.models import Guise as GuiseRow


@dataclass(frozen=True)
class Standing:
    """A figure as it stands, and as it was before a making over that nobody has begun.

    `cancelled` are the stages which that making over asks for.
    """

    now: State
    before: State | None = None
    cancelled: tuple[str, ...] = ()


@dataclass(frozen=True)
class Use:
    """What using a figure for a track means.

    `cancelled` are stages of its last making over, which is taken back; None: it stands.
    """

    over: MakingOver
    cancelled: tuple[str, ...] | None = None


@dataclass
class Pricing:
    """Everything that prices of figures and tracks are worked out from."""

    routes: Mapping[str, tuple[RouteStage, ...]]
    standings: dict[int, Standing]
    parts: Mapping[int, Mapping[str, int]]
    patterned: Collection[Hashable]
    ranks: Mapping[int, int]
    guises: dict[int, Guise] = field(default_factory=dict)

    def wanted(self, guise: GuiseRow, costumes: Collection[Costume]) -> Wanted:
        """A track as the core asks for it; its first costume is the one built in."""
        if guise.pk not in self.guises:
            self.guises[guise.pk] = to_guise(guise)
        wears = tuple(
            Worn(costume.pk, costume.sewing_min, number > 0)
            for number, costume in enumerate(costumes)
        )
        return Wanted(self.guises[guise.pk], wears)

    def build_min(self, guise: GuiseRow, wanted: Wanted) -> int:
        """Work in a new figure for a track."""
        return build_min(
            self.routes.get(guise.kind, ()),
            wanted,
            rank=self.ranks.get(guise.pk, 0) + 1,
            patterned=self.patterned,
        )

    def use(
        self, figure: Figure, guise: GuiseRow, wanted: Wanted, shared: Collection[str] | None = None
    ) -> Use | None:
        """What it takes to play a track with a figure; None where a new one is as well.

        `shared` where it is known otherwise than by the guises' patterns: which parts fit.
        """
        if figure.guise.kind != guise.kind:
            return None
        standing = self.standings[figure.pk]
        now = self._over(standing.now, guise, wanted, shared)
        if now is not None and not now.what:
            return Use(now)
        if standing.before is not None:
            before = self._over(standing.before, guise, wanted, shared)
            if before is not None:
                return Use(before, standing.cancelled)
        return Use(now) if now is not None else None

    def _over(
        self, state: State, guise: GuiseRow, wanted: Wanted, shared: Collection[str] | None
    ) -> MakingOver | None:
        if shared is None:
            theirs, ours = self.parts.get(state.guise, {}), self.parts.get(guise.pk, {})  # type: ignore[call-overload]
            shared = {part for part, pattern in theirs.items() if ours.get(part) == pattern}
        return make_over(
            self.routes.get(guise.kind, ()),
            state,
            wanted,
            shared=shared,
            rank=self.ranks.get(guise.pk, 0) + 1,
            patterned=self.patterned,
        )


def to_guise(guise: GuiseRow) -> Guise:
    """A guise as the core knows it, without its patterns."""
    return Guise(guise.pk, guise.kind, {}, guise.has_working, guise.on_one, guise.further_min)


def read_pricing(company: Company, figures: list[Figure]) -> Pricing:
    """How far these figures are and what work costs. A flat number of reads."""
    routes = read_routes(company) if figures else {}
    parts: dict[int, dict[str, int]] = defaultdict(dict)
    for use in GuisePart.objects.filter(guise__character__show__company=company):
        parts[use.guise_id][use.part] = use.pattern_id
    ranks: dict[int, int] = defaultdict(int)
    for figure in figures:
        ranks[figure.guise_id] += 1
    worn = FigureCostume.objects.filter(figure__in=figures)
    return Pricing(
        routes=routes,
        standings=read_standings(figures, routes, parts),
        parts=parts,
        patterned=set(worn.values_list("costume_id", flat=True)),
        ranks=ranks,
    )


@dataclass(frozen=True)
class _Row:
    is_begun: bool
    is_finished: bool
    spent_min: int


@dataclass
class _Trail:
    """The steps of one figure: by (stage key, costume) and round, pours by key and pattern.

    `touched` are the (key, round) that somebody has left a mark on.
    """

    rows: dict[tuple[str, int | None], dict[int, _Row]] = field(
        default_factory=lambda: defaultdict(dict)
    )
    pours: dict[str, dict[int, _Row]] = field(default_factory=lambda: defaultdict(dict))
    touched: set[tuple[str, int]] = field(default_factory=set)


def read_standings(
    figures: list[Figure],
    routes: Mapping[str, tuple[RouteStage, ...]],
    parts: Mapping[int, Mapping[str, int]],
) -> dict[int, Standing]:
    """How far each figure is, by its id."""
    trails = _read_trails(figures)
    built_in = dict(
        FigureCostume.objects.filter(
            figure__in=figures, is_built_in=True, struck_at=None
        ).values_list("figure_id", "costume_id")
    )
    last = {row.figure_id: row for row in MakeOver.objects.filter(figure__in=figures)}
    _read_touched(trails, list(last))
    standings = {}
    for figure in figures:
        route = routes.get(figure.guise.kind, ())
        reading = _Reading(
            figure,
            trails[figure.pk],
            parts,
            frozenset(stage.key for stage in route if stage.only_when == MADE_OVER),
            frozenset(s.key for s in route if s.scope == COSTUME and not s.first_of_costume),
        )
        now = reading.state(figure.guise_id, built_in.get(figure.pk), figure.again)
        over = last.get(figure.pk)
        standings[figure.pk] = Standing(
            now, reading.before(over), tuple(over.again) if over is not None else ()
        )
    return standings


@dataclass(frozen=True)
class _Reading:
    """From a figure's steps to its state, in the round that is asked for."""

    figure: Figure
    trail: _Trail
    parts: Mapping[int, Mapping[str, int]]
    only_over: frozenset[str]
    of_costume: frozenset[str]

    def state(self, guise: int, dressed_in: int | None, again: Mapping[str, int]) -> State:
        found = {
            (key, costume): rounds[self._round(key, again)]
            for (key, costume), rounds in self.trail.rows.items()
            if self._round(key, again) in rounds
        }
        found |= {(key, None): row for key, row in self._pours(guise)}
        sewn: dict[int, set[str]] = defaultdict(set)
        done, begun = set(), set()
        for (key, costume), row in found.items():
            if costume is not None and row.is_finished:
                sewn[costume].add(key)
            elif costume is None and row.is_finished:
                done.add(key)
            elif costume is None and row.is_begun:
                begun.add(key)
        return State(
            guise,
            dressed_in,
            done=frozenset(done),
            begun=frozenset(begun),
            sewn=frozenset(c for c, keys in sewn.items() if keys >= self.of_costume),
            asked_again=frozenset(key for key in self.only_over if again.get(key)) - done,
            spent={
                key if costume is None else (key, costume): row.spent_min
                for (key, costume), row in found.items()
                if row.spent_min
            },
        )

    def before(self, last: MakeOver | None) -> State | None:
        """The figure as if its last making over had not been; None once that was begun."""
        if last is None or last.from_show_id != self.figure.show_id:
            return None
        again = dict(self.figure.again)
        for key in last.again:
            if (key, self._round(key, again)) in self.trail.touched:
                return None
            again[key] -= 1
        return self.state(last.from_guise_id, last.from_costume_id, again)

    def _round(self, key: str, again: Mapping[str, int]) -> int:
        return again.get(key, 0) + (0 if key in self.only_over else 1)

    def _pours(self, guise: int) -> Iterator[tuple[str, _Row]]:
        """Those of the guise's own patterns; of whatever it brought along where parts are kept."""
        own = set(self.parts.get(guise, {}).values())
        for key, by_pattern in self.trail.pours.items():
            for pattern, row in by_pattern.items():
                if pattern in own or self.figure.kept:
                    yield key, row


def _read_trails(figures: list[Figure]) -> dict[int, _Trail]:
    ids = {figure.pk for figure in figures}
    rows = Step.objects.filter(Q(figure__in=ids) | Q(pour__castings__figure__in=ids))
    logs = WorkLog.objects.filter(step__in=rows.values("pk"), struck_at=None)
    spent = dict(logs.values_list("step_id").annotate(Sum("minutes")))
    trails: dict[int, _Trail] = defaultdict(_Trail)
    for (
        pk,
        figure,
        poured,
        pattern,
        key,
        costume,
        number,
        begun,
        finished,
        planned,
        own,
    ) in rows.values_list(
        *("pk", "figure_id", "pour__castings__figure_id", "pour__mould__pattern_id"),
        *("stage__key", "costume_id", "round"),
        *("begun_at", "finished_at", "planned_min", "own_min"),
    ):
        # What it is worth, not what it took: of two figures as far along, neither is the dearer
        # to lose because somebody was slow at it.
        usual = planned if own is None else own
        worth = usual if finished else min(spent.get(pk, 0), usual)
        row = _Row(begun is not None, finished is not None, worth)
        if figure is not None:
            trails[figure].rows[key, costume][number] = row
        elif poured in ids:
            trails[poured].pours[key][pattern] = row
    return trails


def _read_touched(trails: dict[int, _Trail], figures: list[int]) -> None:
    """Which rounds somebody has left a mark on, of figures that were made over."""
    rows = with_traces(Step.objects.filter(figure__in=figures, costume=None))
    for step in rows.select_related("stage"):
        if is_touched(step):
            trails[step.figure_id].touched.add((step.stage.key, step.round))  # type: ignore[index]
