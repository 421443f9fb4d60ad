"""Tables for a spreadsheet: what every figure plays, stop by stop, and the register of figures."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta

from builds.models import Figure, Step
from builds.queries.figures import FigureRow, Filters, read_register
from builds.queries.matched import read_figures_of_stops
from company.models import User
from company.spreadsheets import Cell, Sheet
from company.templatetags.words import and_list
from scenes.core.counting import Track
from scenes.models import Guise, Show
from scenes.queries.counts import CountedPlot, count_show

TRACKS = (
    "figure", "track", "character", "guise", "order", "scene", "title", "costume", "rig", "copy",
    "enters", "leaves", "from_place", "to_place", "hold", "change_minutes", "changed_from",
)  # fmt: skip
FIGURES = (
    "figure", "character", "guise", "kind", "costumes", "state", "next", "hours_planned",
    "hours_spent", "needed_by", "needed_for", "ready_by", "days_in_hand", "place", "note",
)  # fmt: skip


def tracks_table(show: Show) -> Sheet:
    """A line for each stop of each track, in playing order. A blank figure is still to be made."""
    counted = count_show(show)
    figures = read_figures_of_stops(show)
    guises = {guise.pk: guise for guise in counted.rows.guises}
    rows = [
        row
        for of_guise in counted.built.guises
        for number, track in enumerate(of_guise.tracks, 1)
        for row in _stops(counted, guises[of_guise.guise], number, track, figures)  # type: ignore[index]
    ]
    return Sheet("tracks", TRACKS, rows)


def _stops(
    counted: CountedPlot,
    guise: Guise,
    number: int,
    track: Track,
    figures: dict[tuple[object, int], Figure],
) -> Iterator[list[Cell]]:
    entries = {entry.key: entry for entry in counted.rows.appearances}
    changes = {change.to_stop: change for change in track.changes}
    for order, stop in enumerate(track.stops, 1):
        entry = entries[stop.key]  # type: ignore[index]
        enters_s, leaves_s = counted.times[stop.key]
        change = changes.get(stop)
        before = entries[change.from_stop.key].costume if change else None  # type: ignore[index]
        figure = figures.get((stop.key, stop.copy))
        yield [
            figure.tag if figure else None,
            number,
            guise.character.name,
            guise.name,
            order,
            entry.scene.label,
            entry.scene.title,
            entry.costume.name if entry.costume else "undecided",
            entry.rig,
            stop.copy,
            timedelta(seconds=enters_s),
            timedelta(seconds=leaves_s),
            entry.from_place,
            entry.to_place,
            entry.hold,
            timedelta(seconds=change.rule.change_s) if change else None,
            before.name if before else None,
        ]


def figures_table(show: Show, user: User) -> Sheet:
    """A line for each figure of the register, those at rest last, with its hours and its day."""
    register = read_register(show, user, Filters())
    planned: dict[int, int] = {}
    for step in Step.objects.filter(show=show, figure__isnull=False, struck_at=None):
        planned[step.figure_id] = planned.get(step.figure_id, 0) + step.work_min
    spent = _spent(register.rows + register.at_rest)
    return Sheet(
        "figures",
        FIGURES,
        [
            _figure(row, planned.get(row.figure.pk, 0), spent[row.figure.pk])
            for row in (*register.rows, *register.at_rest)
        ],
    )


def _spent(rows: tuple[FigureRow, ...]) -> dict[int, int]:
    """Minutes booked to each figure's own steps; shared steps belong to their guise."""
    return {
        row.figure.pk: sum(
            line.spent_min
            for lines in (*(strand.lines for strand in row.braid.strands), row.braid.trunk)
            for line in lines
            if line.step.figure_id == row.figure.pk
        )
        for row in rows
    }


def _figure(row: FigureRow, planned_min: int, spent_min: int) -> list[Cell]:
    figure = row.figure
    worn = [worn.costume.name for worn in row.wears if worn.struck_at is None]
    return [
        figure.tag,
        figure.guise.character.name,
        figure.guise.name,
        figure.guise.kind,
        and_list(worn),
        _state(row),
        row.next.words if row.next else None,
        planned_min / 60,
        spent_min / 60,
        row.needed.day if row.needed else None,
        row.needed.words if row.needed else None,
        row.fit,
        row.days,
        figure.place,
        figure.note,
    ]


def _state(row: FigureRow) -> str:
    if row.figure.state != Figure.State.WANTED:
        return str(row.figure.get_state_display())
    if row.is_ready:
        return "ready to play"
    return "begun" if row.is_begun else "not begun"
