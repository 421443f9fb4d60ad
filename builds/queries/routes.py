"""Routes as a page shows them: stages with what they wait for, totals, the longest chain."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

from django.db.models import Count, Prefetch, Q

from builds.core.route_chain import ChainDrawing, draw_chain
from builds.core.route_defaults import PlainStage
from builds.core.routes import (
    RouteProblem,
    RouteTotal,
    elapsed_min,
    find_circle,
    longest_chain,
    route_problems,
    total_hours,
)
from builds.core.stepping import hours_of
from builds.models import Equipment, Route, Stage, StageAfter
from builds.models.routes import Scope
from company.models import Company

SMOCK_MIN, COAT_MIN = 8 * 60, 25 * 60  # two costumes everybody can picture
WEEK_MIN = 7 * 24 * 60


@dataclass(frozen=True)
class StageView:
    """A stage with its number in the route and what it waits for and what waits for it."""

    row: Stage
    plain: PlainStage
    number: int
    afters: tuple[Stage, ...]
    befores: tuple[Stage, ...]
    is_on_chain: bool

    @property
    def next_min(self) -> int | None:
        """Minutes of the second of its sort; None where nothing is learnt that a quarter shows."""
        second = hours_of(self.plain.hours_min, self.plain.rate, 2)
        return second if second < self.plain.hours_min else None

    @property
    def once_words(self) -> str:
        """What it is done once for, as a sentence."""
        part = "pair of hands" if self.row.part == "hands" else self.row.part
        if self.row.scope == Scope.GUISE and part:
            return f"Once for each {part}, however many guises share it."
        if self.row.scope == Scope.POUR:
            return f"Once for each pour of the {self.row.part or 'head'}."
        said = {
            Scope.GUISE: "Once for each guise.",
            Scope.FIGURE: "For each figure.",
            Scope.COSTUME: "For each costume of a figure.",
        }
        return said[Scope(self.row.scope)]


@dataclass(frozen=True)
class RouteView:
    """A whole route, read in four queries however many stages it has."""

    route: Route
    stages: tuple[StageView, ...]
    struck: tuple[Stage, ...]

    @cached_property
    def plain(self) -> tuple[PlainStage, ...]:
        """The stages not struck, as plain values."""
        return tuple(stage.plain for stage in self.stages)

    @cached_property
    def problems(self) -> tuple[RouteProblem, ...]:
        """What is wrong with it."""
        return route_problems(self.plain, {row.key: row.name for row in self.struck})

    @cached_property
    def is_circle(self) -> bool:
        """Whether it waits in a circle, so that nothing can be added up."""
        return bool(find_circle({stage.key: stage.after for stage in self.plain}))

    @cached_property
    def usual(self) -> RouteTotal | None:
        """Hours with a costume of the route's usual sewing time; None where none can be told."""
        return None if self.is_circle or not self.stages else total_hours(self.plain)

    @cached_property
    def in_smock(self) -> RouteTotal | None:
        """Hours in a smock, which is 8 h of sewing."""
        return None if self.usual is None else total_hours(self.plain, SMOCK_MIN)

    @cached_property
    def in_coat(self) -> RouteTotal | None:
        """Hours in a coat, which is 25 h of sewing."""
        return None if self.usual is None else total_hours(self.plain, COAT_MIN)

    @cached_property
    def sews_by_costume(self) -> bool:
        """Whether the costume makes a difference to the hours."""
        return any(stage.hours_by_costume for stage in self.plain)

    @cached_property
    def waiting_min(self) -> int:
        """Minutes of drying and wearing in on the longest chain."""
        return sum(s.plain.wait_min for s in self.stages if s.is_on_chain)

    @cached_property
    def chain_weeks(self) -> int:
        """Weeks, rounded up, that the longest chain takes if nobody is ever kept waiting."""
        minutes = sum(elapsed_min(s.plain) for s in self.stages if s.is_on_chain)
        return -(-minutes // WEEK_MIN)

    @cached_property
    def drawing(self) -> ChainDrawing:
        """Where each knot and thread of its picture lies."""
        return draw_chain(self.plain)


def plain_stage(row: Stage, after: tuple[str, ...]) -> PlainStage:
    """A stage row, with its crafts and equipment at hand, as plain values."""
    same = {
        name: getattr(row, name)
        for name in PlainStage.__dataclass_fields__
        if name not in ("after", "craft", "second_craft", "equipment", "rate")
    }
    return PlainStage(
        after=after,
        craft=row.craft.name if row.craft else None,
        second_craft=row.second_craft.name if row.second_craft else None,
        equipment=row.equipment.name if row.equipment else None,
        rate=float(row.rate),
        **same,
    )


def stages_of(route: Route) -> list[Stage]:
    """Every stage of the route, struck ones too, with crafts, equipment and what it waits for."""
    afters = StageAfter.objects.select_related("after").order_by("after__position", "after__pk")
    return list(
        Stage.objects.filter(route=route)
        .select_related("craft", "second_craft", "equipment")
        .prefetch_related(Prefetch("afters", queryset=afters))
    )


def view_route(route: Route) -> RouteView:
    """The route as its page shows it. Two queries."""
    return _view(route, stages_of(route))


def view_routes(company: Company) -> list[RouteView]:
    """All routes of the company. Three queries, however many routes and stages."""
    afters = StageAfter.objects.select_related("after").order_by("after__position", "after__pk")
    stages = Stage.objects.select_related("craft", "second_craft", "equipment").prefetch_related(
        Prefetch("afters", queryset=afters)
    )
    routes = Route.objects.for_company(company).prefetch_related(
        Prefetch("stages", queryset=stages)
    )
    return [_view(route, list(route.stages.all())) for route in routes]


def _view(route: Route, rows: list[Stage]) -> RouteView:
    live = [row for row in rows if row.struck_at is None]
    waits = {row.pk: tuple(link.after for link in row.afters.all()) for row in rows}
    plain = {row.pk: plain_stage(row, tuple(a.key for a in waits[row.pk])) for row in live}
    befores: dict[int, list[Stage]] = {row.pk: [] for row in rows}
    for row in live:
        for after in waits[row.pk]:
            befores[after.pk].append(row)
    chain = set(longest_chain(list(plain.values())))
    return RouteView(
        route=route,
        stages=tuple(
            StageView(
                row,
                plain[row.pk],
                number,
                waits[row.pk],
                tuple(befores[row.pk]),
                row.key in chain,
            )
            for number, row in enumerate(live, start=1)
        ),
        struck=tuple(row for row in rows if row.struck_at is not None),
    )


def equipment_of(company: Company) -> list[Equipment]:
    """The equipment not struck, with the number of stages that ask for it as `stage_count`."""
    live = Q(stages__struck_at=None)
    return list(
        Equipment.objects.for_company(company)
        .filter(struck_at=None)
        .annotate(stage_count=Count("stages", filter=live))
        .order_by("name_key")
    )
