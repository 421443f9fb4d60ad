"""From names in files to a plot that can be counted, with names to say it by."""

from __future__ import annotations

from collections.abc import Hashable

from scenes.core.naming import Names
from scenes.core.plot import Appearance, ChangeRule, Plot, Scene
from scenes.core.plot_files.rows import PlotFile

GuiseName = tuple[str, str]  # character, guise
CostumeName = tuple[str, str, str]  # character, guise, costume


def make_plot(
    files: PlotFile,
    *,
    crossing_s: int = 0,
    reset_s: int = 0,
    plain_rigs: frozenset[tuple[Hashable, str]] = frozenset(),
) -> Plot:
    """The plot of the files. Guises are known by (character, guise), costumes by
    (character, guise, costume), scenes by label, appearances by key or, without one, by line.

    >>> from scenes.core.plot_files.rows import AppearanceRow, SceneRow
    >>> files = PlotFile((SceneRow("1", 60),), (AppearanceRow("1", "Heron", "", "grey"),))
    >>> make_plot(files).all_guises()
    (('Heron', ''),)
    """
    guises: list[GuiseName] = []
    owners: dict[Hashable, Hashable] = {}
    for character in files.characters():
        for guise in character.guises:
            name = (character.name, guise.name)
            guises.append(name)
            owners.update({(*name, costume): name for costume in guise.costumes})
    return Plot(
        scenes=tuple(
            Scene(s.label, s.label, s.length_s, s.gap_s, s.title, s.act, s.is_interval)
            for s in files.scenes
        ),
        appearances=tuple(
            Appearance(
                key=a.key or f"line {n}",
                guise=(a.character, a.guise),
                costume=(a.character, a.guise, a.costume) if a.costume else None,
                scene=a.scene,
                enters_s=a.enters_s,
                leaves_s=a.leaves_s,
                rig=a.rig,
                from_place=a.from_place,
                to_place=a.to_place,
                hold=a.hold,
                copies=a.copies,
            )
            for n, a in enumerate(files.appearances, start=1)
        ),
        rules=tuple(
            ChangeRule(
                (c.character, c.guise),
                (c.character, c.guise, c.from_costume),
                (c.character, c.guise, c.to_costume),
                c.change_s,
                c.people,
            )
            for c in files.changes
        ),
        crossing_s=crossing_s,
        reset_s=reset_s,
        guises=tuple(guises),
        costume_guises=owners,
        plain_rigs=plain_rigs,
    )


def make_names(files: PlotFile) -> Names:
    """How the ids that `make_plot` gives are said: a guise as 'Jory Tarrow at nine'."""
    guises: dict[Hashable, str] = {}
    costumes: dict[Hashable, str] = {}
    for character in files.characters():
        for guise in character.guises:
            guises[character.name, guise.name] = f"{character.name} {guise.name}".strip()
            for costume in guise.costumes:
                costumes[character.name, guise.name, costume] = costume
    return Names(guises, costumes, {scene.label: scene.label for scene in files.scenes})
