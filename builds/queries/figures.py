"""The register of figures: how far each is, what comes next, whether it will be in time."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from builds.core.progress import Hindrance, Progress
from builds.models import Figure, FigureCostume, Step
from builds.models.routes import Strand
from builds.queries.needed import NeededBy
from builds.queries.workshop import Slip, Work, read_work
from company.models import Craft, Maker, User
from company.templatetags.words import and_list, count_word
from scenes.models import Character, Show

STRANDS = (Strand.HEAD, Strand.BODY, Strand.CONTROL, Strand.COSTUME)
TRUNK = (Strand.MEET, Strand.FINISH, Strand.END)


@dataclass(frozen=True)
class StepLine:
    """A step as the page of a figure shows it."""

    step: Step
    progress: Progress
    slip: Slip | None
    spent_min: int
    hindrances: tuple[Hindrance, ...] = ()

    @property
    def words(self) -> str:
        """What is done, and in which costume."""
        return (
            f"{self.step.stage}, {self.step.costume}" if self.step.costume else str(self.step.stage)
        )

    @property
    def said(self) -> str:
        """The words as they stand within a sentence."""
        return self.words[:1].lower() + self.words[1:]


@dataclass(frozen=True)
class StrandLines:
    """The steps of one strand, in order. `joins` is the place in the trunk where it comes in."""

    word: str
    lines: tuple[StepLine, ...]
    joins: int = 0


@dataclass(frozen=True)
class Braid:
    """The strands of a figure and the trunk they meet in."""

    strands: tuple[StrandLines, ...] = ()
    trunk: tuple[StepLine, ...] = ()


@dataclass(frozen=True)
class FigureRow:
    """A line of the register."""

    figure: Figure
    wears: tuple[FigureCostume, ...]
    braid: Braid
    next: StepLine | None
    fit: date | None
    needed: NeededBy | None
    days: int | None
    is_begun: bool
    is_ready: bool

    @property
    def title(self) -> str:
        """'Jory Tarrow at sixty, pilot coat'."""
        return title_of(self.figure, self.wears)

    @property
    def is_late(self) -> bool:
        """Whether it will be late for its first rehearsal, or for opening."""
        return self.days is not None and self.days < 0 and not self.is_ready


@dataclass(frozen=True)
class Register:
    """The page 'Figures'."""

    rows: tuple[FigureRow, ...]
    at_rest: tuple[FigureRow, ...]
    roles: tuple[Character, ...]
    crafts: tuple[Craft, ...]
    makers: tuple[Maker, ...]
    total: int
    lede: tuple[tuple[str, bool], ...]
    has_plan: bool


@dataclass(frozen=True)
class Filters:
    """What the register is narrowed to; None and False are everything."""

    role: int | None = None
    craft: int | None = None
    maker: int | None = None
    late: bool = False

    @property
    def is_any(self) -> bool:
        """Whether something is narrowed at all."""
        return any((self.role, self.craft, self.maker, self.late))

    def allow(self, row: FigureRow) -> bool:
        """Whether a figure is shown."""
        craft = row.next.step.stage.craft_id if row.next else None
        slip = row.next.slip if row.next else None
        makers = {maker.pk for maker in slip.makers} if slip else set()
        return (
            self.role in (None, row.figure.guise.character_id)
            and self.craft in (None, craft)
            and (self.maker is None or self.maker in makers)
            and (not self.late or row.is_late)
        )


def title_of(figure: Figure, wears: Iterable[FigureCostume]) -> str:
    """A figure's guise and what it wears now."""
    worn = [row.costume.name for row in wears if row.struck_at is None]
    part = "" if figure.extent == Figure.Extent.WHOLE else f"spare {figure.get_extent_display()}"
    return ", ".join(filter(None, [str(figure.guise), and_list(worn), part]))


def read_register(show: Show, user: User, filters: Filters) -> Register:
    """Every figure of the show, those at rest apart. A flat number of queries."""
    work = read_work(show, user)
    figures = (
        Figure.objects.filter(show=show)
        .select_related("guise__character")
        .prefetch_related("costumes__costume")
        .order_by("guise__character__position", "letters", "number")
    )
    rows = [row_of(figure, work) for figure in figures]
    wanted = [row for row in rows if row.figure.state == Figure.State.WANTED]
    nexts = [row.next for row in wanted if row.next is not None]
    crafts = {line.step.stage.craft for line in nexts if line.step.stage.craft}
    makers = {maker for line in nexts if line.slip for maker in line.slip.makers}
    return Register(
        rows=tuple(row for row in wanted if filters.allow(row)),
        at_rest=tuple(row for row in rows if row.figure.state != Figure.State.WANTED),
        roles=tuple(dict.fromkeys(row.figure.guise.character for row in wanted)),
        crafts=tuple(sorted(crafts, key=lambda craft: craft.name_key)),
        makers=tuple(sorted(makers, key=lambda maker: maker.name_key)),
        total=len(wanted),
        lede=tuple(say_register(wanted, work.plan is not None)),
        has_plan=work.plan is not None,
    )


def say_register(rows: list[FigureRow], has_plan: bool) -> list[tuple[str, bool]]:
    """The sentence on top, in pieces; True marks what is late."""
    begun = sum(row.is_begun for row in rows)
    ready = sum(row.is_ready for row in rows)
    if not rows:
        return [("Nothing is at the bench yet.", False)]
    if not begun:
        said = f"{_figures(len(rows))} at the bench, none begun yet."
    else:
        waiting = len(rows) - begun
        said = f"{_figures(begun)} begun"
        said += f", {count_word(waiting)} still to begin" if waiting else ""
        said += (
            f", {count_word(ready)} ready to play."
            if ready != begun or waiting
            else ", all ready to play."
        )
    pieces = [(said[0].upper() + said[1:] + " ", False)]
    late = sorted((row for row in rows if row.is_late), key=lambda row: row.days or 0)
    if late:
        pieces += _say_late(late)
    elif not has_plan:
        pieces.append(("No plan says yet when they will be ready.", False))
    elif ready < len(rows) and all(row.days is not None for row in rows if not row.is_ready):
        pieces.append(("None will be late if the hours hold.", False))
    return pieces


def _say_late(late: list[FigureRow]) -> list[tuple[str, bool]]:
    worst, others = late[0], late[1:]
    days = -(worst.days or 0)
    needed = worst.needed.words if worst.needed else "its date"
    pieces = [
        (f"{worst.figure} will be {count_word(days)} day{'' if days == 1 else 's'} late", True),
        (f" for {_wanted_for(needed)}", False),
    ]
    if others and len(others) <= 3:
        verb = "is" if len(others) == 1 else "are"
        pieces.append((f"; {and_list(row.figure for row in others)} {verb} late too", True))
    elif others:
        pieces.append((f"; {count_word(len(others))} others are late too", True))
    return [*pieces, (".", False)]


def _wanted_for(words: str) -> str:
    if words.startswith("first rehearsal of"):
        return f"the {words}"
    return f"its {words}" if words == "first rehearsal" else words


def _figures(count: int) -> str:
    return f"{count_word(count)} figure{'' if count == 1 else 's'}"


def row_of(figure: Figure, work: Work) -> FigureRow:
    steps = work.of_figure(figure)
    own = [step for step in steps if step.figure_id == figure.pk or step.pour_id is not None]
    wears = tuple(figure.costumes.all())  # type: ignore[attr-defined]
    is_built = figure.state == Figure.State.WANTED or any(not work.is_done(s) for s in own)
    upcoming = work.next_of(steps) if is_built and figure.state != Figure.State.STRUCK else None
    dates, needed = work.dates.get(figure.pk), work.needed.get(figure.pk)
    is_ready = bool(steps) and all(work.is_done(step) for step in steps)
    days = (needed.day - dates.fit).days if needed and dates and not is_ready else None
    return FigureRow(
        figure=figure,
        wears=wears,
        braid=_braid(steps, work),
        next=line_of(upcoming, work) if upcoming else None,
        fit=dates.fit if dates else None,
        needed=needed,
        days=days,
        is_begun=any(step.begun_at is not None for step in own),
        is_ready=is_ready,
    )


def line_of(step: Step, work: Work) -> StepLine:
    return StepLine(
        step,
        work.progress(step),
        work.slips.get(step.pk),
        work.spent.get(step.pk, 0),
        tuple(work.hindrances(step)),
    )


def strand_of(step: Step) -> str:
    """The strand on which a step lies: what a guise shares goes with its head or body."""
    strand = step.stage.strand
    if strand != Strand.GUISE:
        return strand
    return Strand.BODY if step.stage.part == "body" else Strand.HEAD


def _braid(steps: list[Step], work: Work) -> Braid:
    """Strands and trunk; a strand joins where the trunk last waits for it."""
    trunk = [step for step in steps if strand_of(step) in TRUNK]
    strands = []
    for strand in STRANDS:
        mine = [step for step in steps if strand_of(step) == strand]
        if mine:
            ids = {step.pk for step in mine}
            joins = [
                place
                for place, step in enumerate(trunk)
                if any(after in ids for after, _ in work.waits.get(step.pk, ()))
            ]
            lines = tuple(line_of(step, work) for step in mine)
            strands.append(StrandLines(strand.label, lines, max(joins, default=0)))
    return Braid(tuple(strands), tuple(line_of(step, work) for step in trunk))
