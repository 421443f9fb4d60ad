"""A show under a test's hands: write its plot, take it to the bench, look at what is there."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from builds.models import Casting, Figure, FigureCostume, Photo, Step, TrackFigure, WorkLog
from builds.queries.bench import Bench, read_bench
from builds.services.bench import Taken, accept_count
from company.models import Company, Maker, Role
from scenes.models import Costume, Guise, Scene, Show
from scenes.services.cells import Wanted, set_cell
from scenes.services.costumes import make_costumes
from scenes.services.plot import add_rule
from scenes.services.roles import add_role
from scenes.services.scenes import add_scene
from tests.factories import CompanyFactory, MakerFactory, ShowFactory, person


class Desk:
    """One company, its lead Ines who is a maker too, and one show with so many scenes."""

    def __init__(self, scenes: int = 4) -> None:
        self.company: Company = CompanyFactory(name="Driftmoor Figure Theatre", slug="driftmoor")
        self.lead = person(self.company, Role.LEAD)
        self.ines: Maker = MakerFactory(
            company=self.company, name="Ines", is_lead=True, user=self.lead
        )
        self._show: Show = ShowFactory(company=self.company, title="The Salt Almanac", reset_s=0)
        for number in range(1, scenes + 1):
            add_scene(show=self.show, user=self.lead, label=str(number), length_s=300, gap_s=0)

    @property
    def show(self) -> Show:
        """The show as it is now, read anew."""
        return Show.objects.select_related("company", "current_draft").get(pk=self._show.pk)

    def role(self, name: str, guise: str = "", *costumes: str, **more: Any) -> Guise:
        """A role with a guise and what it can wear."""
        made = add_role(
            show=self.show, user=self.lead, name=name, guise=guise, costumes=costumes, **more
        )
        return made

    def costume(self, guise: Guise, name: str) -> Costume:
        """The guise's costume of this name, made where it is not there."""
        found = Costume.objects.filter(guise=guise, name=name).first()
        if found is None:
            make_costumes(show=self.show, user=self.lead, guise=guise, names=[name])
            found = Costume.objects.get(guise=guise, name=name)
        return found

    def wear(self, guise: Guise, scene: str, *costumes: str) -> None:
        """Write what the guise wears in a scene; nothing takes it out of there."""
        show = self.show
        key = Scene.objects.get(draft=show.current_draft, label=scene).key
        wanted = [Wanted(costume_id=self.costume(guise, name).pk) for name in costumes]
        set_cell(show=show, user=self.lead, guise=guise, scene_key=key, wanted=wanted)

    def change(self, guise: Guise, one: str, other: str, change_s: int = 0) -> None:
        """Allow a change from one costume to another."""
        add_rule(
            show=self.show,
            user=self.lead,
            guise=guise,
            from_costume=self.costume(guise, one),
            to_costume=self.costume(guise, other),
            change_s=change_s,
            people=1,
        )

    def accept(self, keys: Collection[str] | None = None) -> Taken:
        """Take the draft to the bench."""
        return accept_count(show=self.show, user=self.lead, keys=keys)

    def bench(self) -> Bench:
        """The draft against the bench."""
        return read_bench(self.show)

    def figure(self, tag: str) -> Figure:
        """The figure of this number."""
        letters = tag.rstrip("0123456789")
        found: Figure = Figure.objects.get(
            show=self._show, letters=letters, number=int(tag[len(letters) :])
        )
        return found

    def step(self, tag: str, key: str, costume: str | None = None) -> Step:
        """The figure's step of a stage."""
        rows = Step.objects.filter(figure=self.figure(tag), stage__key=key)
        found: Step = rows.get(costume__name=costume) if costume else rows.get()
        return found

    def tags(self, state: str = Figure.State.WANTED) -> list[str]:
        """Numbers of the figures in a state, in order."""
        return [str(figure) for figure in Figure.objects.filter(show=self._show, state=state)]

    def played(self) -> dict[str, set[str]]:
        """Scenes by figure, of the draft as it stands."""
        return {
            str(line.figure): set(line.track.scenes)
            for line in self.bench().lines
            if line.figure is not None and line.track is not None
        }


def facts_of_bench(show: Show) -> dict[str, Any]:
    """Everything of the workshop that must never be lost or renumbered."""
    return {
        "figures": {f.pk: (str(f), f.public_key, f.note, f.place) for f in _all(Figure, show)},
        "hours": {
            w.pk: (w.step_id, w.maker_id, w.day, w.minutes, w.struck_at)
            for w in WorkLog.objects.filter(step__show=show)
        },
        "photos": {p.pk: (p.figure_id, p.step_id, p.file.name) for p in Photo.objects.all()},
        "castings": {
            c.pk: (c.code, c.figure_id, c.pour_id)
            for c in Casting.objects.filter(pattern__show=show, figure__isnull=False)
        },
        "steps": {
            s.pk: (
                s.stage_id,
                s.figure_id,
                s.costume_id,
                s.begun_at,
                s.finished_at,
                s.passed_at,
                s.own_min,
                s.note,
                s.pinned_maker_id,
            )
            for s in Step.objects.filter(show=show)
            if s.begun_at or s.own_min is not None or s.note or s.pinned_maker_id
        },
        "tracks": {
            (t.count_id, t.track_id): t.figure_id
            for t in TrackFigure.objects.filter(figure__show=show)
        },
        "worn": {
            (w.figure_id, w.costume_id)
            for w in FigureCostume.objects.filter(figure__show=show)
            if Step.objects.filter(
                figure=w.figure_id, costume=w.costume_id, begun_at__isnull=False
            ).exists()
        },
    }


def _all(model: Any, show: Show) -> Any:
    return model.objects.filter(show=show)


def nothing_lost(before: dict[str, Any], after: dict[str, Any]) -> list[str]:
    """Names of what was there before and is not, or not the same, afterwards."""
    lost = []
    for name, rows in before.items():
        if isinstance(rows, set):
            lost += [f"{name} {row}" for row in rows - after[name]]
        else:
            lost += [
                f"{name} {key}: {row} -> {after[name].get(key)}"
                for key, row in rows.items()
                if after[name].get(key) != row
            ]
    return lost
