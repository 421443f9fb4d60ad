"""The writing grid: scenes across, guises down, what stands in each cell."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from uuid import UUID

from company.core.units import format_minutes
from scenes.core.counting import GuiseCount
from scenes.loading import stamp_of
from scenes.models import Appearance, Draft, Guise, Scene, Show
from scenes.models.plot import Hold
from scenes.queries.counts import CountedPlot, count_show
from scenes.queries.lede import Lede, say_count, say_reason
from scenes.queries.places import USUAL_PLACES

UNDECIDED = "undecided"


@dataclass(frozen=True)
class Swatch:
    """One appearance in a cell: its word and tint, what is special about it, when it is on."""

    word: str
    tint: int | None
    marks: str = ""
    from_x: int | None = None
    to_x: int | None = None

    @property
    def has_times(self) -> bool:
        """Whether minutes are said, so that the part of the scene is drawn."""
        return self.from_x is not None


@dataclass(frozen=True)
class Cell:
    """A guise in a scene. `thread`: whether its time in the play begins, ends or goes on here."""

    ident: str
    scene_key: UUID
    stamp: str = ""
    thread: str = ""
    is_before_interval: bool = False
    swatches: tuple[Swatch, ...] = ()

    @property
    def css(self) -> str:
        """The classes of the cell."""
        names = (self.thread, "before-interval" * self.is_before_interval)
        return " ".join(filter(None, names))


@dataclass(frozen=True)
class Row:
    """A guise with its cells and its count. `wears` is for the typing: [[id, name, tint], ...]."""

    guise: Guise
    is_first: bool
    is_only: bool
    cells: tuple[Cell, ...]
    figures: int
    reason: str
    wears: str


@dataclass(frozen=True)
class Act:
    """An act with the number of scenes it spans."""

    name: str
    scenes: int


@dataclass(frozen=True)
class Grid:
    """The whole grid, ready for a page."""

    show: Show
    draft: Draft | None
    lede: Lede
    figures: int
    scenes: list[Scene] = field(default_factory=list)
    acts: list[Act] = field(default_factory=list)
    rows: list[Row] = field(default_factory=list)

    @property
    def has_cells(self) -> bool:
        """Whether there is anything to write in."""
        return bool(self.scenes and self.rows)

    @property
    def has_acts(self) -> bool:
        """Whether any scene says its act."""
        return any(act.name for act in self.acts)


def read_grid(show: Show, only: Collection[int] | None = None) -> Grid:
    """The grid of the current draft; with `only` the rows of these guises, and the whole count."""
    counted = count_show(show)
    rows = counted.rows
    placed: dict[tuple[int, int], list[Appearance]] = {}
    for appearance in rows.appearances:
        placed.setdefault((appearance.guise_id, appearance.scene_id), []).append(appearance)
    made = [
        _make_row(counted, guise, placed)
        for guise in rows.guises
        if only is None or guise.pk in only
    ]
    return Grid(
        show=show,
        draft=rows.draft,
        lede=say_count(counted),
        figures=counted.count.figures,
        scenes=rows.scenes,
        acts=_make_acts(rows.scenes),
        rows=made,
    )


def cell_ident(guise: Guise, column: int) -> str:
    """The id of a cell in the page: guise and column, counted from 1."""
    return f"c{guise.pk}-{column}"


def _make_row(
    counted: CountedPlot, guise: Guise, placed: dict[tuple[int, int], list[Appearance]]
) -> Row:
    rows = counted.rows
    of_role = [other for other in rows.guises if other.character_id == guise.character_id]
    on = [n for n, scene in enumerate(rows.scenes) if (guise.pk, scene.pk) in placed]
    cells = []
    for n, scene in enumerate(rows.scenes):
        stands = in_playing_order(placed.get((guise.pk, scene.pk), []))
        cells.append(
            Cell(
                ident=cell_ident(guise, n + 1),
                scene_key=scene.key,
                stamp=stamp_of(stands),
                thread=_thread_at(n, on),
                is_before_interval=scene.is_interval and n + 1 < len(rows.scenes),
                swatches=tuple(make_swatch(a, scene) for a in stands),
            )
        )
    count: GuiseCount = counted.count.of(guise.pk)
    wears = [[c.pk, c.name, c.tint] for c in rows.costumes_of(guise)]
    return Row(
        guise=guise,
        is_first=of_role[0] is guise,
        is_only=len(of_role) == 1,
        cells=tuple(cells),
        figures=count.figures,
        reason=say_reason(count, counted.names),
        wears=json.dumps(wears, ensure_ascii=False, separators=(",", ":")),
    )


def _thread_at(column: int, on: list[int]) -> str:
    """How the thread of a guise that is on in the columns `on` runs through this one."""
    if len(on) < 2 or not on[0] <= column <= on[-1]:
        return ""
    return "begins" if column == on[0] else "ends" if column == on[-1] else "between"


def in_playing_order(appearances: Iterable[Appearance]) -> list[Appearance]:
    """Those of one scene by their entrance."""
    return sorted(appearances, key=lambda a: (a.enters_s or 0, a.pk))


def make_swatch(appearance: Appearance, scene: Scene, *, is_one_copy: bool = False) -> Swatch:
    """An appearance, or one copy of it, as a swatch of cloth.

    `from_x` and `to_x` are in hundredths of the scene.
    """
    marks = []
    if appearance.copies > 1 and not is_one_copy:
        marks.append(f"×{appearance.copies}")
    if appearance.rig:
        marks.append(appearance.rig)
    if appearance.hold != Hold.TWO_HANDS:
        marks.append(appearance.hold)
    marks += say_places(appearance)
    from_x = to_x = None
    if appearance.enters_s is not None or appearance.leaves_s is not None:
        enters_s = appearance.enters_s or 0
        leaves_s = scene.length_s if appearance.leaves_s is None else appearance.leaves_s
        marks.append(f"{format_minutes(enters_s)}–{format_minutes(leaves_s)}")
        from_x, to_x = (round(100 * s / scene.length_s) for s in (enters_s, leaves_s))
    costume = appearance.costume
    return Swatch(
        word=costume.name if costume else UNDECIDED,
        tint=costume.tint if costume else None,
        marks=" ".join(marks),
        from_x=from_x,
        to_x=to_x,
    )


def say_places(appearance: Appearance) -> list[str]:
    """'from bridge', 'to pit': places other than the two sides, which are as usual."""
    said = (("from", appearance.from_place), ("to", appearance.to_place))
    return [f"{word} {place}" for word, place in said if place and place not in USUAL_PLACES]


def _make_acts(scenes: list[Scene]) -> list[Act]:
    acts: list[Act] = []
    for scene in scenes:
        if acts and acts[-1].name == scene.act:
            acts[-1] = Act(scene.act, acts[-1].scenes + 1)
        else:
            acts.append(Act(scene.act, 1))
    return acts
