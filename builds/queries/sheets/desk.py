"""Everything the sheets of a show draw on, read once in a flat number of queries."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from django.db.models import Q, Sum
from django.utils.safestring import SafeString

from builds.models import (
    Casting,
    Figure,
    GuisePart,
    Photo,
    Plan,
    PlannedStep,
    Step,
    WorkLog,
)
from builds.queries.materials import Materials
from builds.queries.mould_times import wait_after_min
from builds.queries.needed import NeededBy, needed_by_dates
from builds.queries.sculpting import sculpt_words
from builds.queries.sheets.bodies import Bodies
from builds.queries.sheets.owners import find_owners
from builds.queries.steps import is_built, live_steps, step_waits
from company import clock
from company.core.working_time import (
    UNIX_EPOCH,
    Clock,
    Intervals,
    capped_working_time,
    working_time,
)
from company.models import Company, Craft, Maker
from company.queries import Diary, makers_of
from company.sheets import draw_code
from scenes.models import Show, Sketch

if TYPE_CHECKING:
    from builds.queries.sheets.spans import Span


@dataclass
class Desk:
    """Everything the sheets of a show draw on. `owner` says on which figure's sheet a step is."""

    show: Show
    zone: ZoneInfo
    now: datetime
    today: date
    plan: Plan
    rows: list[PlannedStep]
    steps: dict[int, Step]
    figures: list[Figure]
    owner: dict[int, int]
    waits: Mapping[int, tuple[tuple[int, int], ...]]
    spent: dict[int, int]
    needed: dict[int, NeededBy]
    diary: Diary
    sketches: dict[int, Sketch]
    photos: dict[int, Photo]
    guises_of_pattern: dict[int, list[int]]
    sculpt_words: dict[int, str] = field(default_factory=dict)
    codes: dict[str, SafeString] = field(default_factory=dict)
    spans: dict[int, tuple[Span, ...]] = field(default_factory=dict)
    _work: dict[tuple[int, int | None], Intervals] = field(default_factory=dict)

    @property
    def company(self) -> Company:
        """Whose show it is."""
        return self.show.company

    @property
    def makers(self) -> list[Maker]:
        """Everybody at the bench, lead first."""
        return self.diary.makers

    @cached_property
    def leads(self) -> list[Maker]:
        """Whom one may ask."""
        return [maker for maker in self.makers if maker.is_lead]

    @property
    def lead_name(self) -> str:
        """Whom to ask."""
        return self.leads[0].name if self.leads else "the lead"

    @cached_property
    def bodies(self) -> Bodies:
        """The bodies of its figures, read when the first sheet asks."""
        return Bodies(self.show)

    @cached_property
    def rows_by_step(self) -> dict[int, list[PlannedStep]]:
        """The planned parts of each step, in order."""
        return _group((row.step_id, row) for row in self.rows)

    @cached_property
    def rows_by_figure(self) -> dict[int, list[PlannedStep]]:
        """The rows that stand on each figure's sheets, in order of start."""
        owned = [row for row in self.rows if row.step_id in self.owner]
        return _group((self.owner[row.step_id], row) for row in owned)

    @cached_property
    def rows_by_maker(self) -> dict[int, list[PlannedStep]]:
        """The rows of each person, as first or second pair of hands."""
        return _group(
            (pk, row) for row in self.rows for pk in {row.maker_id, row.second_id} if pk is not None
        )

    @cached_property
    def figures_of_guise(self) -> dict[int, list[Figure]]:
        """Figures by guise, in the order of their numbers."""
        return _group((figure.guise_id, figure) for figure in self.figures)

    @cached_property
    def followers(self) -> dict[int, list[int]]:
        """The steps that wait for each step."""
        return _group((before, step) for step, waits in self.waits.items() for before, _ in waits)

    @cached_property
    def materials(self) -> Materials:
        """The company's materials, read when one of its own is asked for."""
        return Materials(self.company)

    def wait_after_min(self, step: Step) -> int:
        """Minutes that what a step leaves behind dries or cures, as the plan has it."""
        after = self.followers.get(step.pk, ())
        waits = [wait for pk in after for before, wait in self.waits[pk] if before == step.pk]
        return wait_after_min(step, waits, self.materials)

    @cached_property
    def figure_by_id(self) -> dict[int, Figure]:
        """Figures by id."""
        return {figure.pk: figure for figure in self.figures}

    def work(self, maker_pk: int, craft: Craft | None = None) -> Intervals:
        """A maker's hours over the days of the plan, in minutes from the epoch.

        For a craft with a daily cap the first hours of each day, up to the cap.
        """
        cap_min = craft.daily_cap_min if craft is not None else None
        key = (maker_pk, cap_min)
        if key not in self._work:
            maker = next((maker for maker in self.makers if maker.pk == maker_pk), None)
            self._work[key] = self._find_work(maker, cap_min) if maker is not None else ()
        return self._work[key]

    def _find_work(self, maker: Maker, cap_min: int | None) -> Intervals:
        calendar, first, last = self.diary.calendar(maker), self._first_day, self._last_day
        wall = Clock(self.zone, first, last, UNIX_EPOCH)
        if cap_min is None:
            return working_time(calendar, wall, first, last)
        return capped_working_time(calendar, wall, first, last, cap_min)

    @cached_property
    def _first_day(self) -> date:
        return min([self.local(row.start).date() for row in self.rows] + [self.today])

    @cached_property
    def _last_day(self) -> date:
        return max([self.local(row.finish).date() for row in self.rows] + [self.today])

    def is_in(self, maker: Maker, day: date) -> bool:
        """Whether somebody is at the bench on a day."""
        return bool(self.diary.calendar(maker).day(day))

    def code(self, link: str) -> SafeString:
        """The code of a link, drawn once however many sheets carry it."""
        if link not in self.codes:
            self.codes[link] = draw_code(link)
        return self.codes[link]

    def local(self, instant: datetime) -> datetime:
        """The instant on the company's clock."""
        return instant.astimezone(self.zone)


def plan_for_sheets(show: Show) -> Plan | None:
    """The plan that is pinned up; where none is yet, the newest draft that has steps."""
    plans = Plan.objects.filter(show=show).exclude(status="none")
    return plans.filter(is_pinned_up=True).first() or plans.first()


def read_desk(show: Show, plan: Plan) -> Desk:
    """Read what all sheets of the plan need. The number of queries does not grow with the show."""
    live = live_steps(show).select_related("stage__equipment", "begun_by")
    steps = {step.pk: step for step in live}
    figures = list(
        Figure.objects.filter(show=show)
        .exclude(state=Figure.State.STRUCK)
        .select_related("guise__character")
        .prefetch_related("costumes__costume", "castings__pattern", "castings__pour")
    )
    built = set(is_built(Figure.objects.filter(show=show)).values_list("pk", flat=True))
    spent = WorkLog.objects.filter(step__show=show, struck_at=None)
    return Desk(
        show=show,
        zone=ZoneInfo(show.company.time_zone),
        now=clock.now(),
        today=clock.today(show.company),
        plan=plan,
        rows=_read_rows(plan, steps),
        steps=steps,
        figures=figures,
        owner=find_owners(show, steps.values(), [f for f in figures if f.pk in built] or figures),
        waits=step_waits(show, steps.values()),
        spent=dict(spent.values_list("step_id").annotate(Sum("minutes"))),
        needed=needed_by_dates(show, figures),
        diary=Diary(show.company, makers_of(show.company)),
        sketches={
            sketch.guise_id: sketch
            for sketch in Sketch.objects.filter(guise__character__show=show, is_chosen=True)
        },
        photos=_last_photos(show),
        sculpt_words=sculpt_words(show),
        guises_of_pattern=_group(
            GuisePart.objects.filter(guise__character__show=show).values_list(
                "pattern_id", "guise_id"
            )
        ),
    )


def _read_rows(plan: Plan, steps: Mapping[int, Step]) -> list[PlannedStep]:
    """The plan's rows that are still to do: what was finished or struck since is left out."""
    found = []
    rows = PlannedStep.objects.filter(plan=plan, step__finished_at=None)
    for row in rows.select_related("maker", "second").order_by("start", "pk"):
        if row.step_id in steps:
            row.step = steps[row.step_id]
            found.append(_as_begun(row))
    return found


def _as_begun(row: PlannedStep) -> PlannedStep:
    """Begun work stays with whoever began it, whomever the plan had named, unless handed on."""
    begun_by = row.step.begun_by
    if begun_by is not None and not row.step.is_handed_on and begun_by.pk != row.maker_id:
        row.second = row.maker if begun_by.pk == row.second_id else row.second
        row.maker = begun_by
        row.is_taken_over = True  # type: ignore[attr-defined]
    return row


def _last_photos(show: Show) -> dict[int, Photo]:
    """The last photo of each figure, whether it was taken of the figure, a step, or its pour."""
    poured: dict[int, list[int]] = _group(
        Casting.objects.filter(figure__show=show).values_list("pour_id", "figure_id")
    )
    photos = Photo.objects.filter(company=show.company_id, struck_at=None).filter(
        Q(figure__show=show) | Q(step__show=show) | Q(pour__mould__pattern__show=show)
    )
    last: dict[int, Photo] = {}
    for photo in photos.select_related("step").order_by("at", "pk"):
        pour = photo.pour_id or (photo.step.pour_id if photo.step else None)
        own = photo.figure_id or (photo.step.figure_id if photo.step else None)
        for figure in [own] if own else poured.get(pour or 0, []):
            last[figure] = photo
    return last


def _group(pairs: Iterable[tuple[int, Any]]) -> dict[int, list[Any]]:
    found: dict[int, list[Any]] = defaultdict(list)
    for key, value in pairs:
        found[key].append(value)
    return dict(found)
