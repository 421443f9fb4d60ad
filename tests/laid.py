"""One small show laid whole through the services: a row of everything that a page can show.

`lay_show()` lays it in a second or two. The fixture `laid` lays two companies for the tests that
walk over all pages, so that each thing of one has its twin in the other.
"""

from __future__ import annotations

import io
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.apps import apps
from PIL import Image

from builds.core.full_size.proportions import heads_shares
from builds.models import (
    Casting,
    CostumeFit,
    Equipment,
    Figure,
    GuisePart,
    Mould,
    Photo,
    Plan,
    PlanRun,
    Pour,
    Route,
    Stage,
    Step,
    WorkLog,
)
from builds.queries.takings import Asked
from builds.services.bench import accept_count, add_figure
from builds.services.bridges import add_venue, change_bridge
from builds.services.controls import lay_string_set, set_reach
from builds.services.equipment import add_equipment
from builds.services.figures import edit_figure
from builds.services.hangs import record_trial, save_fit, weigh_part
from builds.services.hours import log_work
from builds.services.materials import add_own_material, add_own_pair, strike_own_material
from builds.services.mould_materials import choose_materials, set_amounts
from builds.services.moulds import retire_mould
from builds.services.parts import lay_usual_parts, put_ballast
from builds.services.patterns import borrow_part
from builds.services.photos import add_photo
from builds.services.plan_runs import ask_for_better
from builds.services.plans import make_plan, pin_up
from builds.services.pours import record_pour
from builds.services.proportions import write_proportions
from builds.services.results import Verdict, open_pour
from builds.services.stages import add_stage, strike_stage
from builds.services.stock import add_lot
from builds.services.work import begin_step, call_lead, finish_step
from company import clock
from company.models import Company, Craft, Maker, Membership, Role, User
from company.services.companies import start_company
from company.services.crafts import add_craft
from company.services.hours import add_day_off, add_other_work, set_hours
from company.services.members import invite
from company.services.people import add_maker, edit_maker, strike_maker
from company.services.sign_in import make_link
from scenes.models import Appearance, ChangeRule, Costume, Guise, Pin, Scene, Show
from scenes.services.cells import Wanted, set_cell
from scenes.services.guises import add_guise
from scenes.services.people_counts import count_people
from scenes.services.pins import set_pin
from scenes.services.places import add_walk
from scenes.services.plot import add_rule
from scenes.services.rigs import set_rig
from scenes.services.roles import add_role
from scenes.services.scenes import add_scene
from scenes.services.shows import start_show
from scenes.services.sketches import add_sketch, choose_sketch
from tests.builds.drawings import lay_whole

SCENES = ((3, "The ferry"), (5, "Storm"), (6, "Thirty years on"), (7, "The heron"))
WEEK = {day: [(9 * 60, 13 * 60), (14 * 60, 17 * 60)] for day in range(5)}


def picture(colour: str = "tan") -> io.BytesIO:
    """A small PNG as somebody would upload it."""
    out = io.BytesIO()
    Image.new("RGB", (24, 32), colour).save(out, "PNG")
    out.seek(0)
    out.name = "drawing.png"
    return out


class Laid:
    """A company with everybody in it and one show in the middle of its build."""

    def __init__(self, name: str, logins: str) -> None:
        self.company: Company
        self.lead: User
        self.company, self.lead = start_company(
            name=name, lead_name="Ines", login=f"Ines{logins}", time_zone="Europe/London"
        )
        self._people(logins)
        self._calendar()
        self._scenes_and_roles()
        self._plot()
        self._sketches()
        self._bench()
        self._work()
        self._materials()
        self._moulds()
        self._drawing()
        self._body()
        self._plans()
        self._since()

    @property
    def show(self) -> Show:
        """The show as it is now, read anew."""
        return Show.objects.select_related("company", "current_draft").get(pk=self._show.pk)

    def day(self, days: int) -> date:
        """A day from today."""
        return clock.today(self.company) + timedelta(days=days)

    # The company

    def _people(self, logins: str) -> None:
        crafts = list(Craft.objects.for_company(self.company))
        self.ines: Maker = Maker.objects.get(company=self.company)
        values = {"name": "Ines", "is_lead": True, "user": self.lead, "is_saw_trained": True}
        edit_maker(maker=self.ines, user=self.lead, version=None, values=values, crafts=crafts)
        self.tomas = self._add_maker("Tomas", crafts[:6])
        self.left = self._add_maker("Priya", crafts[:1])
        self.free = self._add_maker("Odile", [])
        strike_maker(maker=self.left, user=self.lead)
        self.maker = self._invite("Tomas", Role.MAKER, logins, self.tomas)
        self.reader = self._invite("Odile", Role.READER, logins)
        self.membership = Membership.objects.get(user=self.reader)
        self.link = make_link(user=self.reader, company=self.company, by=self.lead)
        self.spare_craft = add_craft(
            company=self.company, user=self.lead, name="gilding", daily_cap_min=None, makers=[]
        )

    def _add_maker(self, name: str, crafts: list[Craft]) -> Maker:
        return add_maker(company=self.company, user=self.lead, values={"name": name}, crafts=crafts)

    def _invite(self, name: str, role: Role, logins: str, maker: Maker | None = None) -> User:
        place = invite(
            company=self.company,
            user=self.lead,
            name=name,
            login=f"{name}{logins}",
            role=role,
            maker=maker,
        )
        return place.user

    def _calendar(self) -> None:
        for maker in (self.ines, self.tomas):
            set_hours(maker=maker, user=self.lead, from_date=None, week=WEEK)
        self.other_work = add_other_work(
            maker=self.tomas, user=self.lead, word="rehearsal", first=self.day(9), last=self.day(9)
        )
        days = {"company": self.company, "user": self.lead}
        self.day_off = add_day_off(
            **days, maker=self.tomas, first=self.day(16), last=self.day(17), word="away"
        )
        self.holiday = add_day_off(**days, first=self.day(30), last=self.day(30), word="closed")

    # What the audience sees

    def _scenes_and_roles(self) -> None:
        self._show = start_show(
            company=self.company,
            user=self.lead,
            title="The Salt Almanac",
            first_day=self.day(-20),
            opening=self.day(200),
            performers=2,
            dressers=1,
            rail_hooks=6,
            crossing_s=30,
            reset_s=30,
        )
        for label, title in SCENES:
            add_scene(
                show=self.show,
                user=self.lead,
                label=str(label),
                title=title,
                act="One" if label < 6 else "Two",
                length_s=300,
                gap_s=60,
            )
        self.jory = self._role("Jory Tarrow", "at nine", "smock", "oilskin")
        self.older = add_guise(
            show=self.show,
            user=self.lead,
            character=self.jory.character,
            name="at thirty",
            costumes=["grey coat"],
        )
        self.unborn = add_guise(
            show=self.show,
            user=self.lead,
            character=self.jory.character,
            name="as a gull",
            costumes=[],
        )
        self.heron = self._role("The Heron", "", "feathers", kind="rod")
        self.quill = self._role("Sister Quill", "", "habit")
        self.gulls = self._role("Gulls", "", "plain", kind="hand")

    def _role(self, name: str, guise: str, *costumes: str, kind: str = "string") -> Guise:
        return add_role(
            show=self.show, user=self.lead, name=name, guise=guise, costumes=costumes, kind=kind
        )

    def costume(self, guise: Guise, name: str) -> Costume:
        """The guise's costume of this name."""
        found: Costume = Costume.objects.get(guise=guise, name=name)
        return found

    def scene(self, label: str) -> Scene:
        """The scene of this label in the draft as it stands."""
        found: Scene = Scene.objects.get(draft=self.show.current_draft, label=label)
        return found

    def wear(self, guise: Guise, label: str, *costumes: str, **more: Any) -> None:
        """Write what the guise wears in a scene; nothing takes it out of there."""
        ids = [self.costume(guise, name).pk for name in costumes]
        set_cell(
            show=self.show,
            user=self.lead,
            guise=guise,
            scene_key=self.scene(label).key,
            wanted=[Wanted(costume_id=pk, **more) for pk in ids],
        )

    def _plot(self) -> None:
        self.wear(self.jory, "3", "smock")
        self.wear(self.jory, "5", "smock")
        self.wear(self.jory, "7", "oilskin")
        self.wear(self.older, "6", "grey coat")
        self.wear(self.heron, "7", "feathers", enters_s=60)
        smock, oilskin = self.costume(self.jory, "smock"), self.costume(self.jory, "oilskin")
        add_rule(
            show=self.show,
            user=self.lead,
            guise=self.jory,
            from_costume=smock,
            to_costume=oilskin,
            change_s=3600,
            people=1,
        )

    def _sketches(self) -> None:
        def add(guise: Guise, user: User) -> Any:
            upload = picture()
            size = len(upload.getbuffer())
            return add_sketch(guise=guise, user=user, upload=upload, size=size, words="in profile")

        self.chosen_sketch = choose_sketch(sketch=add(self.jory, self.lead), user=self.lead)
        for guise in (self.older, self.heron):
            choose_sketch(sketch=add(guise, self.lead), user=self.lead)
        self.own_sketch = add(self.jory, self.lead)
        self.makers_sketch = add(self.jory, self.maker)

    # What the workshop makes

    def _bench(self) -> None:
        borrow_part(guise=self.older, part="hands", lender=self.jory, user=self.lead)
        accept_count(show=self.show, user=self.lead)
        self.figure: Figure = Figure.objects.get(show=self._show, letters="J", number=1)
        self.spare = add_figure(
            show=self.show,
            user=self.lead,
            guise=self.jory,
            costume=self.costume(self.jory, "smock"),
            is_spare=True,
        )
        edit_figure(figure=self.figure, user=self.lead, version=None, place="shelf B")
        self.gear: Equipment = add_equipment(
            company=self.company, user=self.lead, name="spray booth", capacity=1
        )
        self.route: Route = Route.objects.get(company=self.company, kind="string")
        self.stage: Stage = Stage.objects.get(route=self.route, key="carve")
        self.struck_stage = strike_stage(stage=self._more_stage("smoke it"), user=self.lead)

    def _more_stage(self, name: str) -> Stage:
        values = {"name": name, "strand": "finish", "scope": "figure", "hours_min": 60}
        return add_stage(route=self.route, user=self.lead, values=values, after=[])

    def step(self, tag: str, key: str) -> Step:
        """The step of a stage for the figure of this number, or for what its guise has."""
        figure = Figure.objects.get(show=self._show, letters=tag[0], number=int(tag[1:]))
        patterns = GuisePart.objects.filter(guise=figure.guise).values("pattern")
        steps = Step.objects.filter(show=self._show, stage__key=key).select_related(
            "show__company", "stage"
        )
        for own in ({"figure": figure}, {"pattern__in": patterns}, {"guise": figure.guise}):
            if (found := steps.filter(**own).first()) is not None:
                return found
        raise LookupError(f"{tag} has no step {key}")

    def _finish(self, step: Step) -> None:
        begin_step(step=step, user=self.lead, maker=self.ines, reason="as it was")
        finish_step(step=step, user=self.lead, maker=self.ines, minutes=60)

    def _work(self) -> None:
        self.waits_for_pass = self.step("J1", "pass-head")
        self._finish(self.step("J1", "drawing"))
        self._finish(self.step("J1", "sculpt-head"))
        self._finish(self.waits_for_pass)
        self.calls_lead = self.step("J1", "saw-blanks")
        begin_step(step=self.calls_lead, user=self.lead, maker=self.ines, reason="as it was")
        call_lead(step=self.calls_lead, user=self.lead, words="Which grain?")
        self.under_way = self.step("J1", "shoes")
        begin_step(step=self.under_way, user=self.maker, maker=self.tomas, reason="as it was")
        self.log: WorkLog = log_work(
            step=self.under_way, user=self.maker, minutes=60, maker=self.tomas
        )
        self.photo = self._photo(self.figure, self.maker)
        self.step_photo = self._photo(self.under_way, self.maker)
        self.not_begun = self.step("J2", "saw-blanks")

    def _photo(self, subject: Figure | Step, user: User) -> Photo:
        upload = picture("grey")
        size = len(upload.getbuffer())
        return add_photo(subject=subject, user=user, upload=upload, size=size, words="as it lies")

    def _drawing(self) -> None:
        self.drawing = lay_whole(self.jory, self.lead, with_photo=True)
        self.drawing_picture = self.drawing.pictures.get()
        self.proportions = write_proportions(
            company=self.company, user=self.lead, name="our own way", shares=heads_shares(5)
        )

    def _body(self) -> None:
        """Parts, a weight, a trial hang, ballast, strings, a reach, a venue and its bridge."""
        whole = {"drawing": self.drawing, "user": self.lead, "version": None}
        lay_usual_parts(**whole)
        self.ballast = put_ballast(
            **whole, x_mm=Decimal(-30), y_mm=Decimal(380), mass_g=Decimal(25), metal="brass"
        )
        own = {"figure": self.figure, "user": self.maker}
        self.weighing = weigh_part(**own, part="torso", mass_g=Decimal(600))
        smock = self.costume(self.jory, "smock")
        self.trial = record_trial(**own, lean_deg=Decimal("1.5"), costume=smock)
        fit = CostumeFit(costume=self.costume(self.jory, "oilskin"))
        names = ("torso_pct", "head_pct", "arms_pct", "legs_pct", "forward_mm")
        values = {name: getattr(fit, name) for name in names}
        save_fit(costume=fit.costume, user=self.lead, version=None, values=values)
        lay_string_set(guise=self.jory, user=self.lead, strings=9, version=None)
        set_reach(company=self.company, user=self.lead, name="Ines", reach_mm=940)
        more = {"company": self.company, "user": self.lead}
        self.venue = add_venue(**more, name="Saltmarsh Hall")
        seen = {"rail_mm": 1000, "has_edge_board": True, "looked_at_by": "the rigger"}
        change_bridge(**more, venue=self.venue, version=None, bridge_mm=1200, **seen)
        change_bridge(**more, show=self.show, version=None, bridge_mm=1500, **seen)

    def _materials(self) -> None:
        more = {"company": self.company, "user": self.lead}
        self.own_material = add_own_material(
            **more, values={"kind": "sculpt", "name": "grey clay", "like": "water clay"}
        )
        self.struck_material = strike_own_material(
            material=add_own_material(**more, values={"kind": "cast", "name": "old slip"}),
            user=self.lead,
        )
        pair = {"table": "sculpt", "first": "wax", "second": "plaster", "verdict": "yes"}
        self.own_pair = add_own_pair(**more, values=pair | {"reason": "It parted well."})
        lot = {"kind": "mould", "material": "plaster", "code": "P-7", "unit": "g", "left": 5000}
        self.lot = add_lot(**more, values=lot | {"best_before": self.day(9)})
        latex = {"kind": "cast", "material": "latex slip", "code": "L-22", "unit": "ml"}
        add_lot(**more, values=latex | {"left": 3000})
        rows = Mould.objects.filter(pattern__show=self._show).select_related(
            "pattern__show__company", "pattern__made_for__character"
        )
        chosen = {"sculpt": "water clay", "moulded": "plaster", "cast": "latex slip"}
        for mould in rows:
            choose_materials(mould=mould, user=self.lead, version=None, **chosen)
        self.head_mould: Mould = rows.get(pattern__made_for=self.jory, pattern__part="head")
        typed = {"way": "known", "known_ml": 400, "waste_percent": 10}
        set_amounts(mould=self.head_mould, user=self.lead, version=0, values=typed)
        self.head_pour: Pour = Pour.objects.filter(mould=self.head_mould).earliest("number")

    def _moulds(self) -> None:
        """One mould dry, one with a casting in it, one retired; a casting on the shelf."""
        for key in ("mould-head", "mould-hands"):
            for step in Step.objects.filter(show=self._show, stage__key=key, struck_at=None):
                self._finish(step)
        own = Mould.objects.select_related("pattern__show__company")
        own = own.filter(pattern__made_for=self.jory, pattern__part="hands")
        more = {"user": self.lead, "maker": self.ines, "lot": "L-22", "mix": "stirred"}
        more["takes"] = Asked(90, "ml")
        with clock.fixed_at(clock.now() + timedelta(days=6)):
            out = record_pour(mould=own.get(), **more)
        with clock.fixed_at(clock.now() + timedelta(days=7)):
            castings = out.castings.all()  # type: ignore[attr-defined]
            open_pour(pour=out, user=self.lead, verdicts=[Verdict(c, "good") for c in castings])
            self.filled_pour: Pour = record_pour(mould=own.get(), **more)
        self.out_casting: Casting = castings.get()
        Pour.objects.filter(mould=own.get(), poured_at__isnull=False).update(
            poured_at=clock.now() - timedelta(days=1)
        )
        others = Mould.objects.filter(pattern__show=self._show, made_at__isnull=False)
        worn = others.exclude(pattern__made_for=self.jory).select_related("pattern__show__company")
        retire_mould(mould=worn.earliest("pk"), user=self.lead, words="keys worn off", replace=True)

    def _plans(self) -> None:
        self.pinned: Plan = make_plan(show=self.show, user=self.lead, work=0)
        pin_up(plan=self.pinned, user=self.lead)
        self.run: PlanRun = ask_for_better(show=self.show, user=self.lead)

    def _since(self) -> None:
        """What the lead has written since: the next draft, and a plan that is not pinned up."""
        self.wear(self.quill, "5", "habit")
        self._behind_the_stage()
        self.rule: ChangeRule = ChangeRule.objects.get(draft=self.show.current_draft)
        self.draft_plan: Plan = make_plan(show=self.show, user=self.lead, work=0)

    def _behind_the_stage(self) -> None:
        """A way, a trick build, a pin on what is so already, and the count with people."""
        (self.walk,) = add_walk(
            show=self.show, user=self.lead, from_place="left", to_place="bridge", walk_s=60
        )
        self.rig = set_rig(
            show=self.show, user=self.lead, guise=self.heron, name="flying", plays_plain=True
        )
        keys = Appearance.objects.filter(draft=self.show.current_draft, guise=self.jory)
        stops = tuple((key, 1) for key in keys.order_by("pk").values_list("key", flat=True)[:2])
        self.pin: Pin = set_pin(
            show=self.show, user=self.lead, guise=self.jory, kind="same", stops=stops
        )
        count_people(self.show)


def lay_show(name: str = "Driftmoor Figure Theatre", logins: str = "") -> Laid:
    """A company, its people and its show. `logins` makes sign-in names of a second one differ."""
    return Laid(name, logins)


@dataclass(frozen=True)
class Twins:
    """Two companies that know nothing of each other, laid alike, and where their pictures lie."""

    ours: Laid
    theirs: Laid
    media: Path


def lay_twins(media: Path) -> Twins:
    """Both companies. A plan that follows what is recorded is made at once, as in a real house."""
    ours = lay_show()
    return Twins(ours, lay_show("Quay Street Puppets", " of the quay"), media)


Rows = dict[str, dict[Any, tuple[Any, ...]]]


def read_rows() -> Rows:
    """Every row of the project as it stands, by table and key, but for when somebody signed in."""
    found: Rows = {}
    for label in ("company", "scenes", "builds"):
        for model in apps.get_app_config(label).get_models(include_auto_created=True):
            names = [f.attname for f in model._meta.concrete_fields if f.name != "last_login"]
            rows = model._default_manager.order_by("pk").values_list("pk", *names)
            found[model._meta.label] = {row[0]: row[1:] for row in rows}
    return found


def say_changed(before: Rows, after: Rows) -> list[str]:
    """Rows that came, went or differ, one line each."""
    return [
        f"{table} {key}: {rows.get(key)} -> {after[table].get(key)}"
        for table, rows in before.items()
        for key in sorted(rows.keys() | after[table].keys(), key=str)
        if rows.get(key) != after[table].get(key)
    ]
