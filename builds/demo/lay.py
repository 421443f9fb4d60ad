"""Laying the demo: the story goes through the same services as a person's clicks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from django.db import transaction

from builds.demo import story
from builds.demo.bodies import lay_demo_bodies, record_demo_hangs
from builds.demo.castings import settle_moulds
from builds.demo.drafts import name_demo_drafts
from builds.demo.materials import (
    choose_demo_materials,
    fill_demo_shelf,
    measure_demo_parts,
)
from builds.demo.past import (
    carry_out_past,
    carry_out_pinned_up,
    last_day_of,
    say_how_it_stood,
)
from builds.demo.pictures import draw_sketch
from builds.demo.stage import set_demo_stage
from builds.models import Figure
from builds.services.bench import accept_count, add_figure
from builds.services.figures import edit_figure
from builds.services.plans import make_plan, pin_up
from company import clock
from company.core.units import parse_minutes
from company.models import Company, Craft, Maker, Role, User
from company.services.companies import start_company
from company.services.hours import add_day_off, add_other_work, set_hours
from company.services.members import invite
from company.services.people import add_maker, edit_maker
from scenes.models import Character, Costume, Guise, Scene, Show
from scenes.services.cells import Wanted, as_wanted, read_cell, set_cell
from scenes.services.costumes import add_costume, edit_costume
from scenes.services.guises import edit_guise
from scenes.services.plot import add_rule
from scenes.services.roles import add_role
from scenes.services.scenes import add_scene
from scenes.services.shows import start_show
from scenes.services.sketches import add_sketch, choose_sketch


def lay_demo() -> tuple[Show, User]:
    """The company in the middle of its build, relative to today. Gives the show and its lead."""
    with transaction.atomic():
        laid = _Laying(clock.now()).lay()
    # Once the transaction holds the plan has followed; the lead has then looked a while longer.
    make_plan(show=laid[0], user=laid[1], work=story.LAST_LOOK)
    return laid


class _Laying:
    """One laying, from the first day to now."""

    def __init__(self, now: datetime) -> None:
        self.now = now
        self.zone = ZoneInfo(story.TIME_ZONE)
        today = now.astimezone(self.zone).date()
        self.monday = today - timedelta(days=today.weekday())

    def day(self, days: int) -> date:
        """A day counted from the Monday of this week."""
        return self.monday + timedelta(days=days)

    def at(self, days: int, hour: int) -> datetime:
        """An instant of such a day."""
        return datetime.combine(self.day(days), time(hour), self.zone)

    def lay(self) -> tuple[Show, User]:
        with clock.fixed_at(self.at(7 * story.FIRST_WEEK, 8)):
            self.company, self.lead = start_company(
                name=story.COMPANY, lead_name=story.LEAD, time_zone=story.TIME_ZONE, currency="GBP"
            )
            self._people()
            self._show()
            self._roles()
            self._plot()
            accept_count(show=self.show, user=self.lead)
            choose_demo_materials(self.show, self.lead)
            measure_demo_parts(self.show, self.lead)
            lay_demo_bodies(self.show, self.lead)
            self._wanted_by()
        begins = self.at(7 * story.BENCH_WEEK, 8)
        with clock.fixed_at(begins):
            first = make_plan(show=self.show, user=self.lead)
            pin_up(plan=first, user=self.lead)
        carry_out_past(self.show, self.lead, begins)
        pinned = last_day_of(self.lead_maker, self.now, self.zone)
        before = last_day_of(self.lead_maker, _morning(pinned, self.zone), self.zone)
        say_how_it_stood(self.show, self.lead, _morning(pinned, self.zone), before)
        with clock.fixed_at(_morning(pinned, self.zone)):
            plan = make_plan(show=self.show, user=self.lead, is_released=True)
            pin_up(plan=plan, user=self.lead)
        # The shelf as it was looked through on that day: the pours since have taken from it.
        with clock.fixed_at(self.now - timedelta(days=4)):
            fill_demo_shelf(self.show, self.lead, self.day)
        carry_out_pinned_up(self.show, self.lead, plan, self.now)
        settle_moulds(self.show, self.lead, self.lead_maker, self.now, self.zone)
        record_demo_hangs(self.show, self.lead, self.at(-4, 15))
        self._later_edits()
        set_demo_stage(self.show, self.lead)
        name_demo_drafts(self.show, self.lead)
        self._where_they_lie()
        return self.show, self.lead

    # People

    def _people(self) -> None:
        crafts = {craft.name: craft for craft in Craft.objects.for_company(self.company)}
        for person in story.PEOPLE:
            own = [crafts[name] for name in person.crafts]
            marks = dict.fromkeys(person.marks, True)
            if person.name == story.LEAD:
                maker = Maker.objects.get(company=self.company, is_lead=True)
                values = {"name": maker.name, "is_lead": True, "user": self.lead, **marks}
                self.lead_maker = edit_maker(
                    maker=maker, user=self.lead, version=None, values=values, crafts=own
                )
            else:
                values = {"name": person.name, **marks}
                maker = add_maker(company=self.company, user=self.lead, values=values, crafts=own)
                invite(
                    company=self.company,
                    user=self.lead,
                    name=person.name,
                    role=Role.MAKER,
                    maker=maker,
                )
            week: dict[int, list[tuple[int, int]]] = {}
            for weekday, start, end in person.hours:
                week.setdefault(weekday, []).append((int(start * 60), int(end * 60)))
            set_hours(maker=maker, user=self.lead, from_date=None, week=week)
        invite(company=self.company, user=self.lead, name=story.READER, role=Role.READER)
        self._away()

    def _away(self) -> None:
        makers = {m.name: m for m in Maker.objects.for_company(self.company)}
        for name, first, last, hours, word in story.OTHER_WORK:
            add_other_work(
                maker=makers[name],
                user=self.lead,
                word=word,
                first=self.day(first),
                last=self.day(last),
                start_min=hours[0] * 60 if hours else None,
                end_min=hours[1] * 60 if hours else None,
            )
        for who, first, last, word in story.DAYS_OFF:
            add_day_off(
                company=self.company,
                user=self.lead,
                first=self.day(first),
                last=self.day(last),
                maker=makers[who] if who else None,
                word=word,
            )

    # The show

    def _show(self) -> None:
        self.show = start_show(
            company=self.company,
            user=self.lead,
            title=story.SHOW,
            first_day=self.day(7 * story.FIRST_WEEK),
            opening=self.day(story.OPENING_DAYS),
            needed_by=self.day(story.NEEDED_BY_DAYS),
            performers=2,
            dressers=1,
            dressers_who_work=1,
            rail_hooks=14,
            crossing_s=30,
            reset_s=30,
        )
        for label, title, act, minutes, gap, is_interval, needed in story.SCENES:
            add_scene(
                show=self.show,
                user=self.lead,
                label=label,
                title=title,
                act=act,
                length_s=int(minutes * 60),
                gap_s=int(gap * 60),
                is_interval=is_interval,
                needed_by=self.day(needed) if needed is not None else None,
            )

    def _roles(self) -> None:
        for told in story.GUISES:
            guise = add_role(
                show=self.show,
                user=self.lead,
                name=told.role,
                letters="" if self._has_role(told.role) else told.letters,
                guise=told.guise,
                kind=told.kind,
                costumes=[name for name, _ in told.costumes],
            )
            guise = edit_guise(
                show=self.show,
                user=self.lead,
                guise=guise,
                height_mm=told.height_mm,
                head_mm=told.head_mm,
                words=told.words,
                colours=told.colours,
                has_working=told.has_working,
            )
            self._costumes(guise, told)
            self._sketch(guise, told)

    def _has_role(self, name: str) -> bool:
        return Character.objects.filter(show=self.show, name=name).exists()

    def _costumes(self, guise: Guise, told: story.GuiseStory) -> None:
        hours = dict(told.costumes)
        for costume in Costume.objects.filter(guise=guise):
            sewing = hours[costume.name]
            edit_costume(
                show=self.show,
                user=self.lead,
                costume=costume,
                sewing_min=int(sewing * 60) if sewing is not None else None,
            )

    def _sketch(self, guise: Guise, told: story.GuiseStory) -> None:
        picture = draw_sketch(told)
        size = len(picture.getbuffer())
        sketch = add_sketch(
            guise=guise, user=self.lead, upload=picture, size=size, words="pencil, in profile"
        )
        choose_sketch(sketch=sketch, user=self.lead)

    # The plot

    def _guise(self, role: str, guise: str) -> Guise:
        return Guise.objects.select_related("character__show").get(
            character__show=self.show, character__name=role, name=guise
        )

    def _scene(self, label: str) -> Scene:
        self.show.refresh_from_db()
        return Scene.objects.get(draft=self.show.current_draft, label=label)

    def _costume(self, guise: Guise, name: str | None) -> int | None:
        return Costume.objects.get(guise=guise, name=name).pk if name else None

    def _plot(self) -> None:
        for label, role, name, costume, enters, leaves, came, went, hold, copies in story.PLOT:
            guise = self._guise(role, name)
            wanted = Wanted(
                costume_id=self._costume(guise, costume),
                enters_s=parse_minutes(str(enters)) if enters is not None else None,
                leaves_s=parse_minutes(str(leaves)) if leaves is not None else None,
                from_place=came,
                to_place=went,
                hold=hold,
                copies=copies,
            )
            self._add(label, guise, wanted)
        for role, name, worn, then, minutes, people in story.CHANGES:
            guise = self._guise(role, name)
            add_rule(
                show=self.show,
                user=self.lead,
                guise=guise,
                from_costume=Costume.objects.get(guise=guise, name=worn),
                to_costume=Costume.objects.get(guise=guise, name=then),
                change_s=minutes * 60,
                people=people,
            )

    def _write(
        self, label: str, guise: Guise, rewrite: Callable[[list[Wanted]], list[Wanted]]
    ) -> None:
        """What the plot has of a guise in a scene, written anew."""
        scene = self._scene(label)
        _, stands = read_cell(self.show, guise, scene.key)
        set_cell(
            show=self.show,
            user=self.lead,
            guise=guise,
            scene_key=scene.key,
            wanted=rewrite([as_wanted(row) for row in stands]),
        )

    def _add(self, label: str, guise: Guise, wanted: Wanted) -> None:
        self._write(label, guise, lambda stands: [*stands, wanted])

    def _change(self, label: str, guise: Guise, **columns: int) -> None:
        self._write(label, guise, lambda stands: [replace(row, **columns) for row in stands])

    def _later_edits(self) -> None:
        """What the lead has written since the count was taken to the bench."""
        label, role, name = story.SECOND_HERON
        heron = self._guise(role, name)
        self._add(label, heron, Wanted(costume_id=self._costume(heron, "feathers"), copies=1))
        label, role, name = story.UNDECIDED
        self._add(label, self._guise(role, name), Wanted())
        self._new_costume()
        role, name, worn = story.SPARE_HEAD
        boy = self._guise(role, name)
        add_figure(
            show=self.show,
            user=self.lead,
            guise=boy,
            costume=Costume.objects.get(guise=boy, name=worn),
            is_spare=True,
            extent=Figure.Extent.HEAD,
        )
        for label, role, name in story.ONE_GULL:
            self._change(label, self._guise(role, name), copies=1)

    def _new_costume(self) -> None:
        role, name, worn, hours = story.NEW_COSTUME
        guise = self._guise(role, name)
        costume = add_costume(
            show=self.show, user=self.lead, guise=guise, name=worn, sewing_min=hours * 60
        )
        for label in story.NEW_COSTUME_IN:
            self._change(label, guise, costume_id=costume.pk)

    def _wanted_by(self) -> None:
        for figure, worn in self._figures():
            days = story.WANTED_BY.get(worn)
            if days is not None:
                edit_figure(figure=figure, user=self.lead, version=None, needed_by=self.day(days))

    def _where_they_lie(self) -> None:
        for figure, worn in self._figures():
            place = story.PLACES.get(worn)
            if place:
                edit_figure(figure=figure, user=self.lead, version=None, place=place)

    def _figures(self) -> list[tuple[Figure, tuple[str, str, str]]]:
        """Each figure with its role, guise and first costume, as the story knows it."""
        rows = Figure.objects.filter(show=self.show).select_related("guise__character", "show")
        return [
            (figure, (figure.guise.character.name, figure.guise.name, worn.costume.name))
            for figure in rows.prefetch_related("costumes__costume")
            for worn in figure.costumes.all()[:1]
        ]


def _morning(day: date, zone: ZoneInfo) -> datetime:
    return datetime.combine(day, time(7), zone)


def company_of_demo() -> Company | None:
    """The demo's company where it was laid before."""
    return Company.objects.filter(name=story.COMPANY).first()
