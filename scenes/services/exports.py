"""Writing the current draft out as spreadsheets that an import reads back unchanged."""

from __future__ import annotations

from dataclasses import replace

from scenes.core.plot_files import (
    AppearanceRow,
    ChangeRow,
    PlotFile,
    SceneRow,
    write_plot_files,
)
from scenes.core.plot_files.guises import GuiseRow, write_guises
from scenes.core.plot_files.places import WalkRow, write_places
from scenes.loading import PlotRows, read_rows
from scenes.models import Show

NAMES = ("scenes.csv", "plot.csv", "changes.csv", "guises.csv", "places.csv")


def export_plot(show: Show) -> dict[str, bytes]:
    """The five files by name, with every column, so that nothing that is said is left behind."""
    rows = read_rows(show)
    return write_plot_files(to_plot_file(rows)) | {
        "guises.csv": write_guises(to_guise_rows(rows)),
        "places.csv": write_places(to_walk_rows(rows)),
    }


def to_walk_rows(rows: PlotRows) -> list[WalkRow]:
    """A line for each way that has minutes of its own."""
    walks = sorted(rows.walks, key=lambda walk: (walk.from_key, walk.to_key))
    return [WalkRow(walk.from_place, walk.to_place, walk.walk_s) for walk in walks]


def to_guise_rows(rows: PlotRows) -> list[GuiseRow]:
    """A line for each costume, and one for a guise that has none, in the show's order."""
    lines = []
    for guise in rows.guises:
        rigs = sorted((r for r in rows.rigs if r.guise_id == guise.pk), key=lambda r: r.name_key)
        said = GuiseRow(
            character=guise.character.name,
            guise=guise.name,
            letters=guise.character.letters,
            kind=guise.kind,
            scale=guise.scale,
            height_mm=guise.height_mm,
            head_mm=guise.head_mm,
            words=guise.words,
            colours=guise.colours,
            moves=guise.has_working,
            people=guise.people,
            on_one=guise.on_one if guise.on_one > 1 else None,
            further_min=guise.further_min or None,
            rigs=tuple(rig.name for rig in rigs if not rig.plays_plain),
            plain_rigs=tuple(rig.name for rig in rigs if rig.plays_plain),
            break_away=tuple((rig.name, rig.part_min) for rig in rigs if rig.breaks_away),
            chosen_by=guise.chosen_by,
            note=guise.note,
        )
        lines += [
            replace(
                said,
                costume=costume.name,
                tint=costume.tint,
                sewing_min=costume.sewing_min,
                weight_g=costume.weight_g,
                matters=costume.matters,
            )
            for costume in rows.costumes_of(guise)
        ] or [said]
    return lines


def to_plot_file(rows: PlotRows) -> PlotFile:
    """Rows of a draft as the lines of its files, all in playing order.

    The order goes by what the lines say, never by when a row was made: what was undone, or came
    in from these files, is written out as it was.
    """
    positions = {scene.pk: scene.position for scene in rows.scenes}
    places = {guise.pk: n for n, guise in enumerate(rows.guises)}
    worn = {costume.pk: n for n, costume in enumerate(rows.costumes)}
    appearances = sorted(
        rows.appearances,
        key=lambda a: (positions[a.scene_id], places[a.guise_id], a.enters_s or 0, str(a.key)),
    )
    rules = sorted(
        rows.rules,
        key=lambda r: (places[r.guise_id], worn[r.from_costume_id], worn[r.to_costume_id]),
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
            for rule in rules
        ),
    )
