"""A small workshop for tests of plans: few short stages, two helpers, hours on every weekday."""

from __future__ import annotations

from datetime import UTC, date, datetime

from builds.models import Route, Stage, StageAfter, Step
from builds.models.routes import Mark, Scope, Strand
from builds.services.steps import make_steps
from company.models import Craft, Hours, Maker
from scenes.models import Show
from tests.builds.desk import Desk
from tests.factories import MakerFactory

MONDAY = date(2027, 5, 3)
MORNING = datetime(2027, 5, 3, 6, 0, tzinfo=UTC)  # 7 in London, before anybody is in


class Workshop(Desk):
    """Ines leads, Tomas paints; a string route of four stages; one figure of Jory's at the bench.

    carve (lead, 10 h) -> trial hang (lead, two, gate, 1 h) -> paint (2 h, dries a day) ->
    true (lead, 1 h); then bag (1 h), which may follow the first rehearsal.
    """

    def __init__(self, figures: int = 1) -> None:
        super().__init__()
        self.crafts = {
            name: Craft.objects.create(company=self.company, name=name)
            for name in ("carve", "paint")
        }
        self.ines.crafts.set(self.crafts.values())
        self.tomas: Maker = MakerFactory(company=self.company, name="Tomas")
        self.tomas.crafts.set([self.crafts["paint"]])
        self.company.time_zone = "Europe/London"
        self.company.save()
        for maker in (self.ines, self.tomas):
            self.comes(maker, range(5), 9, 17)
        self.stages = self._route()
        self.guise = self.role("Jory Tarrow", "at nine", "smock")
        self.guise.refresh_from_db()
        costumes = [f"smock {n + 1}" for n in range(figures)]
        for n, costume in enumerate(costumes):
            self.wear(self.guise, str(n % 4 + 1), costume)
        show = self.show
        Show.objects.filter(pk=show.pk).update(
            first_day=MONDAY, opening=date(2027, 6, 30), needed_by=date(2027, 6, 1)
        )
        self.accept()
        make_steps(show=self.show, user=self.lead)

    def comes(self, maker: Maker, weekdays: object, start: int, end: int) -> None:
        """The maker's hours on these weekdays."""
        Hours.objects.filter(maker=maker).delete()
        Hours.objects.bulk_create(
            Hours(maker=maker, weekday=day, start_min=start * 60, end_min=end * 60)
            for day in weekdays  # type: ignore[attr-defined]
        )

    def step(self, key: str, tag: str = "J1") -> Step:
        """The step of a figure by its stage's key, read anew."""
        return Step.objects.select_related("stage", "show__company", "figure").get(
            stage__key=key, figure__letters=tag[0], figure__number=int(tag[1:]), struck_at=None
        )

    def _route(self) -> dict[str, Stage]:
        Route.objects.filter(company=self.company).delete()
        route = Route.objects.create(company=self.company, kind="string", name="Short")
        rows = (
            ("carve", Strand.BODY, 600, "carve", {"lead_only": True}),
            ("hang", Strand.MEET, 60, "carve", {"lead_only": True, "second": "anybody",
                                               "gate": True, "mark": Mark.HUNG}),
            ("paint", Strand.FINISH, 120, "paint", {"wait_min": 1440}),
            ("true", Strand.END, 60, "carve", {"lead_only": True, "mark": Mark.TRUED}),
            ("bag", Strand.END, 60, "paint", {"mark": Mark.READY}),
        )  # fmt: skip
        made: dict[str, Stage] = {}
        before: Stage | None = None
        for position, (key, strand, minutes, craft, more) in enumerate(rows):
            stage = Stage.objects.create(
                route=route,
                key=key,
                name=key.capitalize(),
                position=position,
                strand=strand,
                scope=Scope.FIGURE,
                hours_min=minutes,
                craft=self.crafts[craft],
                **more,
            )
            if before is not None:
                StageAfter.objects.create(stage=stage, after=before)
            made[key] = before = stage
        return made
