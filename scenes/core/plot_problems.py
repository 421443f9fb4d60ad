"""Everything that is wrong with a plot, all at once, as sentences."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterator

from company.core.names import name_key
from company.core.units import format_minutes
from scenes.core.naming import Names, names_of
from scenes.core.plot import Appearance, Plot, Scene, within_scene


def problems(plot: Plot, names: Names | None = None) -> list[str]:
    """All problems of a plot, in the order scenes, appearances, rules, times; [] when sound.

    >>> scenes = (Scene("a", "1", 240),)
    >>> problems(Plot(scenes, (Appearance("x", "Heron", "grey", "a", 60, 60),)))
    ['Heron in scene 1 leaves (1) before it enters (1): it must enter first.']
    """
    say = names or names_of(plot)
    owners = costume_owners(plot)
    return [
        *_scene_problems(plot),
        *_appearance_problems(plot, say, owners),
        *_rule_problems(plot, say, owners),
        *_time_problems(plot),
    ]


def costume_owners(plot: Plot) -> dict[Hashable, Hashable]:
    """Whose each costume is: as the plot says, else the guise it is first met with."""
    owners = dict(plot.costume_guises)
    for appearance in plot.appearances:
        if appearance.costume is not None:
            owners.setdefault(appearance.costume, appearance.guise)
    for rule in plot.rules:
        owners.setdefault(rule.from_costume, rule.guise)
        owners.setdefault(rule.to_costume, rule.guise)
    return owners


def time_problem(scene: Scene, appearance: Appearance) -> str:
    """What is wrong with the times of an appearance in its scene, or ''.

    An exit may lie in the gap after its scene, at most; an entrance may lie before the scene.
    """
    enters_s, leaves_s = within_scene(appearance, scene)
    if leaves_s <= enters_s:
        return (
            f"leaves ({format_minutes(leaves_s)}) before it enters "
            f"({format_minutes(enters_s)}): it must enter first"
        )
    if leaves_s > scene.length_s + scene.gap_s:
        gap = f" and the gap after it ({format_minutes(scene.gap_s)})" if scene.gap_s else ""
        return (
            f"leaves at {format_minutes(leaves_s)}, later than the end of the scene "
            f"({format_minutes(scene.length_s)}){gap}"
        )
    return ""


def _scene_problems(plot: Plot) -> Iterator[str]:
    keys = Counter(scene.key for scene in plot.scenes)
    labels = Counter(name_key(scene.label) for scene in plot.scenes)
    for key, times in keys.items():
        if times > 1:
            yield f"The scene key {key!r} is used {times} times."
    for label, times in labels.items():
        if not label:
            yield "A scene has no label."
        elif times > 1:
            yield f"{times} scenes are called '{label}': each needs a label of its own."
    for scene in plot.scenes:
        if scene.length_s <= 0:
            length = format_minutes(scene.length_s)
            yield f"Scene {scene.label} lasts {length} minutes: more than 0 is needed."
        if scene.gap_s < 0:
            yield f"The gap after scene {scene.label} is negative."


def _appearance_problems(plot: Plot, say: Names, owners: dict[Hashable, Hashable]) -> Iterator[str]:
    scenes = {scene.key: scene for scene in plot.scenes}
    for key, times in Counter(a.key for a in plot.appearances).items():
        if times > 1:
            yield f"The appearance key {key!r} is used {times} times."
    for a in plot.appearances:
        who = f"{say.guise(a.guise)} in {say.scene(a.scene)}"
        if a.scene not in scenes:
            yield f"{who}: there is no such scene."
        elif what := time_problem(scenes[a.scene], a):
            yield f"{who} {what}."
        if a.copies < 1:
            yield f"{who} has {a.copies} copies: at least 1."
        if a.costume is not None and owners[a.costume] != a.guise:
            yield (
                f"{who} wears '{say.costume(a.costume)}', a costume of "
                f"{say.guise(owners[a.costume])}."
            )


def _rule_problems(plot: Plot, say: Names, owners: dict[Hashable, Hashable]) -> Iterator[str]:
    pairs = Counter((rule.from_costume, rule.to_costume) for rule in plot.rules)
    for rule in plot.rules:
        first, second = say.costume(rule.from_costume), say.costume(rule.to_costume)
        what = f"The change of {say.guise(rule.guise)} from '{first}' to '{second}'"
        if rule.from_costume == rule.to_costume:
            yield f"{what} is no change: the costumes are the same."
        for costume in dict.fromkeys((rule.from_costume, rule.to_costume)):
            if owners[costume] != rule.guise:
                other = say.guise(owners[costume])
                yield f"{what}: '{say.costume(costume)}' is a costume of {other}."
        if rule.change_s < 0:
            yield f"{what} takes less than no time."
        if rule.people < 0:
            yield f"{what} asks for {rule.people} people."
        if (times := pairs.pop((rule.from_costume, rule.to_costume), 1)) > 1:
            yield f"{what} is there {times} times."


def _time_problems(plot: Plot) -> Iterator[str]:
    if plot.crossing_s < 0:
        yield "The crossing time is negative."
    if plot.reset_s < 0:
        yield "The reset time is negative."
    for (start, end), seconds in plot.walks.items():
        if seconds < 0:
            yield f"The way from {start} to {end} takes less than no time."
