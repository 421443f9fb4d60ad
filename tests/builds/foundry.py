"""A small workshop that casts: sculpt, mould, pour, trim, true; three figures of one guise."""

from __future__ import annotations

from datetime import date, datetime, timedelta

from builds.core.casting.whereabouts import Stage as Where
from builds.core.casting.whereabouts import Whereabouts, check_castings
from builds.models import Casting, Mould, Pour, Route, Stage, StageAfter, Step
from builds.models.routes import Mark, Scope, Strand
from builds.services.pours import record_pour
from builds.services.results import Verdict, open_pour
from builds.services.steps import make_steps
from builds.services.work import finish_step
from company import clock
from company.models import Craft, Hours, Maker
from scenes.models import Show
from tests.builds.desk import Desk
from tests.factories import MakerFactory

GOOD, FLAWED, THROWN = "good", "flawed", "thrown out"
DAY_MIN = 24 * 60


class Foundry(Desk):
    """Ines and Tomas can do all of it; the mould dries two days, a casting is out the next day."""

    def __init__(self, figures: int = 3) -> None:
        super().__init__()
        self.craft = Craft.objects.create(company=self.company, name="mould")
        self.ines.crafts.set([self.craft])
        self.tomas: Maker = MakerFactory(company=self.company, name="Tomas")
        self.tomas.crafts.set([self.craft])
        self.company.time_zone = "Europe/London"
        self.company.save()
        for maker in (self.ines, self.tomas):
            Hours.objects.bulk_create(
                Hours(maker=maker, weekday=day, start_min=540, end_min=1020) for day in range(5)
            )
        self._route()
        self.guise = self.role("Jory Tarrow", "at sixty", "coat")
        for n in range(figures):
            self.wear(self.guise, str(n % 4 + 1), f"coat {n + 1}")
        Show.objects.filter(pk=self.show.pk).update(
            first_day=date(2026, 1, 5), opening=date(2026, 9, 1), needed_by=date(2026, 8, 1)
        )
        self.accept()

    def _route(self) -> None:
        Route.objects.filter(company=self.company).delete()
        route = Route.objects.create(company=self.company, kind="string", name="Short")
        head = {"part": "head"}
        rows = (
            ("sculpt", Strand.GUISE, {"scope": Scope.GUISE, **head}),
            ("mould", Strand.GUISE, {"scope": Scope.GUISE, **head, "wait_min": 2 * DAY_MIN,
                                     "in_one_go": True}),
            ("pour", Strand.HEAD, {"scope": Scope.POUR, **head, "wait_min": DAY_MIN,
                                   "holds_mould": True, "in_one_go": True, "mark": Mark.CAST}),
            ("trim", Strand.HEAD, {}),
            ("true", Strand.END, {"mark": Mark.TRUED}),
            ("bag", Strand.END, {"mark": Mark.READY}),
        )  # fmt: skip
        before: Stage | None = None
        for position, (key, strand, more) in enumerate(rows):
            stage = Stage.objects.create(
                route=route, key=key, name=key.capitalize(), position=position, strand=strand,
                craft=self.craft, **{"scope": Scope.FIGURE, "hours_min": 60, **more},
            )  # fmt: skip
            if before is not None:
                StageAfter.objects.create(stage=stage, after=before)
            before = stage

    def mould(self, number: int = 1) -> Mould:
        """The head's mould of a number, read anew."""
        rows = Mould.objects.select_related("pattern__show__company")
        found: Mould = rows.get(pattern__show=self._show, number=number)
        return found

    def make_mould(self, days_ago: float = 3) -> Mould:
        """The mould made so long ago that it is dry, unless less than two days ago."""
        with clock.fixed_at(clock.now() - timedelta(days=days_ago)):
            for key in ("sculpt", "mould"):
                step = Step.objects.get(stage__key=key, show=self._show, mould=None)
                finish_step(step=step, user=self.lead, maker=self.ines, reason="as it was")
        return self.mould()

    def pour(self, at: datetime | None = None, **more: str) -> Pour:
        """The next pour recorded; at another instant where one is given."""
        with clock.fixed_at(at or clock.now()):
            return record_pour(mould=self.mould(), user=self.lead, maker=self.ines, **more)

    def cast(self, result: str = GOOD, at: datetime | None = None, place: str = "") -> Casting:
        """One casting poured, and out the next day with this result."""
        at = at or clock.now()
        pour = self.pour(at, lot="N-1", reason="for the test")
        castings = list(pour.castings.all())  # type: ignore[attr-defined]
        reason = "" if result == GOOD else "thin at the nose"
        with clock.fixed_at(at + timedelta(days=1)):
            open_pour(
                pour=pour,
                user=self.lead,
                verdicts=[Verdict(c, result, reason, place) for c in castings],
            )
        return self.casting(castings[0].number)

    def casting(self, number: int) -> Casting:
        """The casting of a number, read anew."""
        rows = Casting.objects.select_related("pour__mould__pattern__show", "pattern__show")
        found: Casting = rows.select_related("figure").get(
            pattern__show=self._show, pattern__part="head", number=number
        )
        return found

    def figures_by_casting(self) -> dict[str, str]:
        """Code of each casting that is alive, with its figure or place."""
        rows = Casting.objects.filter(pattern__show=self._show, struck_at=None)
        return {
            c.code: str(c.figure) if c.figure else c.place
            for c in rows.select_related("figure", "pattern")
        }

    def ahead(self) -> int:
        """Pours still to come."""
        return Pour.objects.filter(
            mould__pattern__show=self._show, poured_at=None, struck_at=None
        ).count()

    def faults(self) -> list[str]:
        """Whatever the checker finds wrong with where the castings are."""
        rows = Casting.objects.filter(pattern__show=self._show)
        return check_castings(
            [_where(c) for c in rows.select_related("pour", "pattern", "figure")],
            {
                p.pk: p.mould.cavities
                for p in Pour.objects.filter(mould__pattern__show=self._show).select_related(
                    "mould"
                )
            },
        )


def _where(casting: Casting) -> Whereabouts:
    if casting.struck_at is not None:
        stage = Where.STRUCK
    elif casting.result is not None:
        stage = Where.OUT
    else:
        stage = Where.IN_MOULD if casting.pour.poured_at else Where.PLANNED
    return Whereabouts(
        casting.code,
        casting.pattern_id,
        casting.pour_id,
        stage,
        str(casting.figure) if casting.figure else None,
        casting.place,
        casting.result == Casting.Result.THROWN,
    )


def remake(foundry: Foundry) -> None:
    """Make the steps anew, as after any change."""
    make_steps(show=foundry.show, user=foundry.lead)
