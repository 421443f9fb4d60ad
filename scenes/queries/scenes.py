"""What the page 'Scenes and roles' shows: the running order with its clock, and the roles."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from django.db.models import Exists, OuterRef, Prefetch, QuerySet

from company.core.units import format_minutes
from scenes.core.naming import say_list, say_number
from scenes.models import Appearance, Character, Costume, Guise, Scene, Show, Sketch


@dataclass(frozen=True)
class SceneLine:
    """A scene as it stands in the list: when it starts, and what stands around it."""

    scene: Scene
    starts_s: int
    opens_act: bool
    act_s: int  # running time of its act, told where the act opens
    is_first: bool
    is_last: bool


@dataclass(frozen=True)
class RunningOrder:
    """All scenes of a draft, with what is said of them together."""

    lines: tuple[SceneLine, ...] = ()
    length_s: int = 0  # from the first entrance to the last exit, intervals included
    played_s: int = 0
    acts: int = 0
    intervals_s: tuple[int, ...] = ()

    @property
    def act_names(self) -> tuple[str, ...]:
        """Every act once, for the list that a field proposes."""
        return tuple(dict.fromkeys(line.scene.act for line in self.lines if line.scene.act))


def running_order(show: Show) -> RunningOrder:
    """The scenes of the show's current draft; one query."""
    if show.current_draft_id is None:
        return RunningOrder()
    scenes = list(Scene.objects.for_company(show.company).filter(draft=show.current_draft_id))
    lines, at_s = [], 0
    for n, scene in enumerate(scenes):
        opens = bool(scene.act) and (n == 0 or scenes[n - 1].act != scene.act)
        lines.append(
            SceneLine(
                scene=scene,
                starts_s=at_s,
                opens_act=opens,
                act_s=_act_length_s(scenes, n) if opens else 0,
                is_first=n == 0,
                is_last=n == len(scenes) - 1,
            )
        )
        at_s += scene.length_s + scene.gap_s
    last_gap_s = scenes[-1].gap_s if scenes else 0
    changes = sum(before.act != after.act for before, after in pairwise(scenes))
    return RunningOrder(
        lines=tuple(lines),
        length_s=at_s - last_gap_s,
        played_s=sum(scene.length_s for scene in scenes),
        acts=changes + 1 if any(scene.act for scene in scenes) else 0,
        intervals_s=tuple(scene.gap_s for scene in scenes[:-1] if scene.is_interval),
    )


def roles_of(show: Show) -> QuerySet[Character]:
    """Roles with guises, costumes and whether a sketch is chosen; three queries."""
    chosen = Sketch.objects.filter(guise=OuterRef("pk"), is_chosen=True)
    played = Appearance.objects.filter(guise=OuterRef("pk"), draft=show.current_draft_id)
    guises = Guise.objects.annotate(has_sketch=Exists(chosen), is_played=Exists(played))
    return (
        Character.objects.for_company(show.company)
        .filter(show=show)
        .prefetch_related(
            Prefetch("guises", guises.prefetch_related(Prefetch("costumes", Costume.objects.all())))
        )
    )


def scenes_of_guise(guise: Guise, show: Show) -> list[Scene]:
    """Scenes of the current draft that the guise is on in, in playing order, each once."""
    return list(
        Scene.objects.for_company(show.company)
        .filter(draft=show.current_draft_id, appearances__guise=guise)
        .distinct()
    )


def say_show(order: RunningOrder, roles: list[Character]) -> str:
    """The sentence that stands first on the page."""
    if not order.lines and not roles:
        return "Nothing is written yet: begin with the scenes, in the order they play."
    return " ".join(part for part in (_say_scenes(order), _say_roles(roles)) if part)


def _say_scenes(order: RunningOrder) -> str:
    if not order.lines:
        return "No scene is written yet."
    said = _counted(len(order.lines), "scene").capitalize()
    said += f" in {_counted(order.acts, 'act')}" if order.acts > 1 else ""
    one = len(order.lines) == 1
    said += f" run{'s' if one else ''} {_minutes(order.length_s)}"
    if len(order.intervals_s) == 1:
        said += f", an interval of {_minutes(order.intervals_s[0])} included"
    elif order.intervals_s:
        said += f", {_counted(len(order.intervals_s), 'interval')} included"
    return f"{said}."


def _say_roles(roles: list[Character]) -> str:
    if not roles:
        return "No role is written yet."
    guises = [guise for role in roles for guise in role.guises.all()]
    costumes = sum(len(guise.costumes.all()) for guise in guises)
    said = [_counted(len(roles), "role")]
    if len(guises) != len(roles):
        said.append(_counted(len(guises), "guise"))
    said.append(_counted(costumes, "costume"))
    sentence = say_list(said)
    return f"{sentence[0].upper()}{sentence[1:]}."


def _counted(number: int, noun: str) -> str:
    return f"{say_number(number) if number else 'no'} {noun}{'' if number == 1 else 's'}"


def _minutes(seconds: int) -> str:
    return f"{format_minutes(seconds)} minute{'' if seconds == 60 else 's'}"


def _act_length_s(scenes: list[Scene], start: int) -> int:
    """First entrance to last exit of the act that opens at `start`."""
    act_s = 0
    for n, scene in enumerate(scenes[start:], start):
        if scene.act != scenes[start].act:
            break
        ends_here = n + 1 == len(scenes) or scenes[n + 1].act != scene.act
        act_s += scene.length_s + (0 if ends_here else scene.gap_s)
    return act_s
