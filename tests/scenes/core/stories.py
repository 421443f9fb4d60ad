"""Short plots written by hand, in the words of the invented show."""

from __future__ import annotations

import random

from scenes.core.naming import Names
from scenes.core.plot import Appearance, ChangeRule, Plot, Scene

JORY = "Jory at thirty"


def make_scenes(*lengths_min: float, gap_min: float = 0) -> tuple[Scene, ...]:
    """Scenes 1, 2, 3 ... of these minutes, with one gap between any two."""
    return tuple(
        Scene(n, str(n), round(length * 60), round(gap_min * 60))
        for n, length in enumerate(lengths_min, start=1)
    )


def wear(
    key: str,
    costume: str | None,
    scene: int,
    enters_min: float | None = None,
    leaves_min: float | None = None,
    *,
    guise: str = JORY,
    places: tuple[str, str] = ("", ""),
    copies: int = 1,
    rig: str = "",
) -> Appearance:
    """An appearance in minutes of its scene."""
    return Appearance(
        key,
        guise,
        None if costume is None else f"{guise}: {costume}",
        scene,
        None if enters_min is None else round(enters_min * 60),
        None if leaves_min is None else round(leaves_min * 60),
        rig=rig,
        from_place=places[0],
        to_place=places[1],
        copies=copies,
    )


def change(one: str, two: str, minutes: float, guise: str = JORY) -> ChangeRule:
    """A change one way."""
    return ChangeRule(guise, f"{guise}: {one}", f"{guise}: {two}", round(minutes * 60))


def name_all(plot: Plot) -> Names:
    """Names that leave out whose costume it is."""
    worn = {a.costume for a in plot.appearances if a.costume}
    return Names(
        costumes={costume: str(costume).split(": ")[1] for costume in worn},
        scenes={scene.key: scene.label for scene in plot.scenes},
    )


def crowded_plot(seed: int) -> Plot:
    """Two roles that change in most gaps, so that people run short; a third is held meanwhile."""
    chance = random.Random(seed)
    scenes = tuple(Scene(n, str(n), 4, 4) for n in range(3))
    worn = [
        Appearance((role, n), role, (role, chance.choice(("coat", "gown"))), n, hold="set down")
        for role in ("Jory", "Heron")
        for n in range(3)
    ]
    if chance.random() < 0.5:
        worn.append(Appearance("p", "Pell", None, 1, -2, 3, hold="one hand"))
    rules = tuple(
        ChangeRule(role, (role, one), (role, two), chance.choice((2, 3)), chance.choice((1, 1, 2)))
        for role in ("Jory", "Heron")
        for one, two in (("coat", "gown"), ("gown", "coat"))
    )
    return Plot(scenes, tuple(worn), rules)
