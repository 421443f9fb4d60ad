"""Who is there in the show, what each scene needs of them, and how moments of the show are said."""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

from company.core.units import format_minutes
from scenes.core.hands import Crew, PlannedChange, SceneNeed, Stretch, find_needs, find_stretches
from scenes.core.naming import say_number
from scenes.core.plot import Plot, scene_starts
from scenes.core.roster import Person
from scenes.loading import PlotRows
from scenes.models import Kind
from scenes.queries.counts import CountedPlot

# People that a figure of a kind takes unless its guise says another number: two or three for a
# table-top figure, one for all others; common practice, no source.
PEOPLE_OF_KIND = {Kind.TABLE_TOP: 2}


@dataclass(frozen=True)
class Needs:
    """Scene by scene what is needed of the people and the rail that are there."""

    crew: Crew
    stretches: tuple[Stretch, ...]
    scenes: tuple[SceneNeed, ...]

    @property
    def short(self) -> tuple[SceneNeed, ...]:
        """The scenes in which somebody or some hook is missing."""
        return tuple(need for need in self.scenes if need.short or need.hooks_short)


def crew_of(rows: PlotRows) -> Crew | None:
    """The show's people and rail; None as long as nobody has said how many perform."""
    show = rows.show
    if show.performers is None:
        return None
    dressers = show.dressers or 0
    people_for = {
        guise.pk: people
        for guise in rows.guises
        if (people := guise.people or PEOPLE_OF_KIND.get(Kind(guise.kind), 1)) != 1
    }
    return Crew(
        performers=show.performers,
        dressers=dressers,
        dressers_who_work=min(show.dressers_who_work, dressers),
        hooks=show.rail_hooks,
        people_for=people_for,
    )


def read_needs(counted: CountedPlot, changes: tuple[PlannedChange, ...] = ()) -> Needs | None:
    """What each scene needs; None as long as nobody has said how many perform."""
    crew = crew_of(counted.rows)
    if crew is None or not counted.plot.appearances:
        return None
    stretches = find_stretches(counted.plot, crew.people_for, counted.all_tracks, changes)
    return Needs(crew, stretches, find_needs(counted.plot, crew, stretches))


def say_crew(crew: Crew) -> str:
    """'two performers and a dresser'.

    >>> say_crew(Crew(2, dressers=1)), say_crew(Crew(1, dressers=2, dressers_who_work=2))
    ('two performers and a dresser', 'one performer and two dressers who work figures too')
    """
    number = say_number(crew.performers) if crew.performers else "no"
    said = f"{number} performer{'' if crew.performers == 1 else 's'}"
    if not crew.dressers:
        return said
    many = f"{say_number(crew.dressers)} dressers"
    said += " and a dresser" if crew.dressers == 1 else f" and {many}"
    if not crew.dressers_who_work:
        return said
    if crew.dressers_who_work == crew.dressers:
        return f"{said} who work{'s' if crew.dressers == 1 else ''} figures too"
    verb = "works" if crew.dressers_who_work == 1 else "work"
    return f"{said} ({say_number(crew.dressers_who_work)} of them {verb} figures too)"


def say_person(person: Person, crew: Crew) -> str:
    """'performer 2'; without a number where there is only one of the sort."""
    most = crew.performers if person.part == "performer" else crew.dressers
    return person.part if most == 1 else f"{person.part} {person.number}"


def say_moment(plot: Plot, at_s: int) -> str:
    """'scene 5 at 2:30', or 'the interval after scene 5, 3 min into it' for a second of the show.

    >>> from scenes.core.plot import Scene
    >>> plot = Plot((Scene("a", "1", 240, gap_s=900, is_interval=True), Scene("b", "2", 300)))
    >>> say_moment(plot, 90), say_moment(plot, 300), say_moment(plot, -10)
    ('scene 1 at 1:30', 'the interval after scene 1, 1 min into it', 'before scene 1, 0:10 min')
    """
    starts = scene_starts(plot.scenes)
    if at_s < 0:
        return f"before scene {plot.scenes[0].label}, {format_minutes(-at_s)} min"
    at = bisect_right(starts, at_s) - 1
    scene = plot.scenes[at]
    inside_s = at_s - starts[at]
    if inside_s < scene.length_s or at + 1 == len(starts):
        return f"scene {scene.label} at {format_minutes(inside_s)}"
    gap = "the interval" if scene.is_interval else "the gap"
    into_s = inside_s - scene.length_s
    into = f", {format_minutes(into_s)} min into it" if into_s else ""
    return f"{gap} after scene {scene.label}{into}"
