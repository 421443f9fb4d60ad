"""Everything that the page of one figure says."""

from __future__ import annotations

from dataclasses import dataclass

from builds.models import Casting, Figure, Pattern, Photo, Step
from builds.models.routes import Strand
from builds.queries.figures import TRUNK, FigureRow, StepLine, StrandLines, line_of, row_of
from builds.queries.workshop import Work, read_work
from company.models import User
from scenes.models import Scene


@dataclass(frozen=True)
class FigureCard:
    """The page of one figure."""

    row: FigureRow
    scenes: tuple[Scene, ...]
    castings: tuple[Casting, ...]
    twins: tuple[Figure, ...]
    shared: tuple[tuple[Pattern, str], ...]
    strands: tuple[StrandLines, ...]
    struck: tuple[StepLine, ...]
    photos: tuple[Photo, ...]
    planned_min: int
    spent_min: int
    has_plan: bool


def read_figure(figure: Figure, user: User) -> FigureCard:
    """Everything on the page of one figure. A flat number of queries."""
    work = read_work(figure.show, user)
    row = row_of(figure, work)
    steps = work.of_figure(figure)
    lines = [line_of(step, work) for step in steps]
    struck = Step.objects.filter(figure=figure, struck_at__isnull=False, begun_at__isnull=False)
    struck_lines = [
        StepLine(step, work.progress(step), None, work.spent.get(step.pk, 0))
        for step in struck.select_related("stage__craft", "costume", "figure")
    ]
    own = [line for line in lines if line.step.figure_id == figure.pk or line.step.pour_id]
    photos = Photo.objects.filter(struck_at=None).select_related("by", "step__stage")
    return FigureCard(
        row=row,
        scenes=tuple(work.scenes.get(figure.pk, ())),
        castings=tuple(work.castings.get(figure.pk, ())),
        twins=tuple(
            Figure.objects.filter(guise=figure.guise)
            .exclude(pk=figure.pk)
            .exclude(state=Figure.State.STRUCK)
        ),
        shared=_shared(figure, work),
        strands=_strands(lines),
        struck=tuple(struck_lines),
        photos=tuple(photos.filter(figure=figure) | photos.filter(step__figure=figure)),
        planned_min=sum(line.step.work_min for line in own),
        spent_min=sum(line.spent_min for line in [*own, *struck_lines]),
        has_plan=work.plan is not None,
    )


def _strands(lines: list[StepLine]) -> tuple[StrandLines, ...]:
    """Steps by strand, what the guise shares first, then in the order of the work."""
    words = {
        "shared": "Once for the guise",
        Strand.HEAD: "Head",
        Strand.BODY: "Body",
        Strand.CONTROL: "Control",
        Strand.COSTUME: "Costume",
        "trunk": "Where they meet, and the finish",
    }

    def where(line: StepLine) -> str:
        if line.step.guise_id is not None or line.step.pattern_id is not None:
            return "shared"
        return "trunk" if line.step.stage.strand in TRUNK else str(line.step.stage.strand)

    found = {key: tuple(line for line in lines if where(line) == key) for key in words}
    return tuple(StrandLines(words[key], found[key]) for key in words if found[key])


def _shared(figure: Figure, work: Work) -> tuple[tuple[Pattern, str], ...]:
    """Heads, hands and bodies that the figure has in common with figures of another guise."""
    mine = work.patterns.get(figure.guise_id, {})
    others = {
        pattern
        for guise, patterns in work.patterns.items()
        if guise != figure.guise_id
        for pattern in patterns
    }
    common = Pattern.objects.filter(pk__in=mine.keys() & others)
    return tuple((pattern, mine[pattern.pk]) for pattern in common)
