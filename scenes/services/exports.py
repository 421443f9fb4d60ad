"""Writing the current draft out as spreadsheets that an import reads back unchanged."""

from __future__ import annotations

from scenes.core.plot_files import (
    AppearanceRow,
    ChangeRow,
    PlotFile,
    SceneRow,
    write_plot_files,
)
from scenes.loading import PlotRows, read_rows
from scenes.models import Show

NAMES = ("scenes.csv", "plot.csv", "changes.csv")


def export_plot(show: Show) -> dict[str, bytes]:
    """The three files by name, with every column, so that nothing of the draft is left behind."""
    return write_plot_files(to_plot_file(read_rows(show)))


def to_plot_file(rows: PlotRows) -> PlotFile:
    """Rows of a draft as the lines of its files, all in playing order."""
    positions = {scene.pk: scene.position for scene in rows.scenes}
    places = {guise.pk: n for n, guise in enumerate(rows.guises)}
    appearances = sorted(
        rows.appearances,
        key=lambda a: (positions[a.scene_id], places[a.guise_id], a.enters_s or 0, a.pk),
    )
    return PlotFile(
        scenes=tuple(
            SceneRow(
                label=scene.label,
                length_s=scene.length_s,
                title=scene.title,
                act=scene.act,
                gap_s=scene.gap_s,
                is_interval=scene.is_interval,
                needed_by=scene.needed_by,
            )
            for scene in rows.scenes
        ),
        appearances=tuple(
            AppearanceRow(
                scene=a.scene.label,
                character=a.guise.character.name,
                guise=a.guise.name,
                costume=a.costume.name if a.costume else "",
                enters_s=a.enters_s,
                leaves_s=a.leaves_s,
                from_place=a.from_place,
                to_place=a.to_place,
                copies=a.copies,
                hold=a.hold,
                rig=a.rig,
                key=str(a.key),
            )
            for a in appearances
        ),
        changes=tuple(
            ChangeRow(
                character=rule.guise.character.name,
                guise=rule.guise.name,
                from_costume=rule.from_costume.name,
                to_costume=rule.to_costume.name,
                change_s=rule.change_s,
                people=rule.people,
            )
            for rule in rows.rules
        ),
    )
