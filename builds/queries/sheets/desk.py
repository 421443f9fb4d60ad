"""Everything the sheets of a show draw on, read once in a flat number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils.safestring import SafeString

from builds.loading import instant_of
from builds.models import Figure, Photo, Plan, PlannedStep
from builds.queries.needed import NeededBy, needed_by_dates
from company.core.working_time import Intervals
from company.models import Company, Maker, OtherWork
from company.queries import working_time_of
from company.sheets import draw_code
from scenes.models import Show, Sketch


@dataclass(slots=True)
class Desk:
    """Everything the sheets of a show draw on, read once."""

    show: Show
    company: Company
    zone: ZoneInfo
    plan: Plan
    rows: list[PlannedStep]
    figures: list[Figure]
    needed: dict[int, NeededBy]
    makers: list[Maker]
    work: Mapping[int, Intervals]
    in_on: dict[int, set[date]]
    other: list[OtherWork]
    lead: Maker | None
    sketches: dict[int, Sketch]
    photos: dict[int, Photo]
    made_of: dict[int, list[Figure]] = field(default_factory=dict)
    codes: dict[str, SafeString] = field(default_factory=dict)

    def code(self, link: str) -> SafeString:
        """The code of a link, drawn once however many sheets carry it."""
        if link not in self.codes:
            self.codes[link] = draw_code(link)
        return self.codes[link]

    @property
    def lead_name(self) -> str:
        """Whom to ask."""
        return self.lead.name if self.lead else "the lead"

    def local(self, instant: datetime) -> datetime:
        """The instant on the company's clock."""
        return instant.astimezone(self.zone)


def plan_for_sheets(show: Show) -> Plan | None:
    """The plan that is pinned up; where none is yet, the newest draft that has steps."""
    plans = Plan.objects.filter(show=show).exclude(status="none")
    return plans.filter(is_pinned_up=True).first() or plans.first()


def read_desk(show: Show, plan: Plan) -> Desk:
    """Read what all sheets of the plan need. The number of queries does not grow with the show."""
    company = show.company
    zone = ZoneInfo(company.time_zone)
    rows = list(
        PlannedStep.objects.filter(plan=plan, step__finished_at=None)
        .select_related(
            "step__stage__craft",
            "step__figure__guise__character",
            "step__guise__character",
            "step__pattern",
            "step__pour__mould__pattern",
            "step__costume",
            "maker",
            "second",
        )
        .order_by("start", "pk")
    )
    figures = list(
        Figure.objects.filter(show=show)
        .exclude(state=Figure.State.STRUCK)
        .select_related("guise__character")
        .prefetch_related("costumes__costume", "castings__pattern", "guise__parts")
    )
    makers = list(Maker.objects.for_company(company).filter(struck_at=None))
    photos: dict[int, Photo] = {}
    for photo in Photo.objects.filter(figure__show=show, struck_at=None).order_by("at", "pk"):
        photos[photo.figure_id] = photo  # type: ignore[index]
    days = [at.astimezone(zone).date() for row in rows for at in (row.start, row.finish)]
    times = working_time_of(company, min(days), max(days)) if days else {}
    work = {maker: time.work for maker, time in times.items()}
    return Desk(
        show=show,
        company=company,
        zone=zone,
        plan=plan,
        rows=rows,
        figures=figures,
        needed=needed_by_dates(show, figures),
        makers=makers,
        work=work,
        in_on={
            maker: {instant_of(a).astimezone(zone).date() for a, _ in spans}
            for maker, spans in work.items()
        },
        other=list(OtherWork.objects.for_company(company)),
        lead=next((maker for maker in makers if maker.is_lead), None),
        sketches={
            sketch.guise_id: sketch
            for sketch in Sketch.objects.filter(guise__character__show=show, is_chosen=True)
        },
        photos=photos,
        made_of=_by_guise(figures),
    )


def _by_guise(figures: Iterable[Figure]) -> dict[int, list[Figure]]:
    found: dict[int, list[Figure]] = defaultdict(list)
    for figure in figures:
        found[figure.guise_id].append(figure)
    return found
