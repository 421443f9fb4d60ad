"""Who works what: the page that sets the people there are against the plot."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from uuid import UUID

from django.urls import reverse

from company.core.units import format_minutes
from scenes.core.counting import Stop, Track
from scenes.core.hands import PlannedChange
from scenes.core.joint import JointCount
from scenes.core.mends import Mend, find_mends
from scenes.core.plot import SceneKey
from scenes.core.turn_round import WayBack, find_ways_back
from scenes.models import Costume, Guise, Show
from scenes.queries.counts import CountedPlot
from scenes.queries.crew import Needs, read_needs, say_crew
from scenes.queries.lede import say_short
from scenes.queries.people_words import ChangeLine, Sayings
from scenes.queries.pinned import Pinned

MENDS_SHOWN = 6
LINES_SHOWN = 8


@dataclass(frozen=True)
class MendLine:
    """One thing that mends a scene, and the cell of the plot where it is written ('' nowhere)."""

    words: str
    url: str = ""


@dataclass(frozen=True)
class ShortLine:
    """A scene that wants more than there are, and what mends it, smallest first."""

    sentence: str
    mends: tuple[MendLine, ...]


@dataclass(frozen=True)
class WayBackLine:
    """What one figure needs between two performances."""

    guise: Guise
    stop: Stop
    costumes: tuple[Costume, ...]
    time: str
    people: int
    walk: str
    from_place: str
    to_place: str

    @property
    def is_known(self) -> bool:
        """Whether the plot says how to get back into the first costume."""
        return bool(self.time) or not self.costumes


@dataclass(frozen=True)
class PeoplePage:
    """The plot with the people there are. `joint` None: nobody has said who performs."""

    show: Show
    counted: CountedPlot
    needs: Needs | None = None
    joint: JointCount | None = None
    clock_min: int = 0
    changes: tuple[ChangeLine, ...] = ()
    lost: tuple[str, ...] = ()
    short: tuple[ShortLine, ...] = ()
    hand_overs: tuple[str, ...] = ()
    nobody: tuple[str, ...] = ()
    ways_back: tuple[WayBackLine, ...] = ()
    rests: tuple[str, ...] = ()

    @property
    def crew_words(self) -> str:
        """'2 performers and a dresser'."""
        return say_crew(self.needs.crew) if self.needs else ""

    @property
    def has_pins(self) -> bool:
        """Whether the lead has pins on the count: this one does not follow them."""
        return bool(self.counted.rows.pins)

    @property
    def clock_figures(self) -> int:
        """The count by the clock alone."""
        return self.counted.count.figures

    @property
    def more_figures(self) -> int:
        """Figures more than the clock alone asks for."""
        return (self.joint.figures if self.joint else self.clock_figures) - self.clock_figures

    @property
    def clock_hours(self) -> str:
        """What the count by the clock takes to build: '1166 h'."""
        return f"{round(self.clock_min / 60)} h"

    @property
    def joint_hours(self) -> str:
        """What the count with people takes to build."""
        return f"{round(self.joint.build_min / 60)} h" if self.joint else ""

    @property
    def ways_back_first(self) -> tuple[WayBackLine, ...]:
        """As much of the turn-round list as is shown at once; changes come before mere ways."""
        return self._ways_back_in_order[:LINES_SHOWN]

    @property
    def ways_back_more(self) -> tuple[WayBackLine, ...]:
        """The rest of it."""
        return self._ways_back_in_order[LINES_SHOWN:]

    @property
    def _ways_back_in_order(self) -> tuple[WayBackLine, ...]:
        return tuple(sorted(self.ways_back, key=lambda line: not line.costumes))


def read_people(counted: CountedPlot, joint: JointCount | None, clock_min: int = 0) -> PeoplePage:
    """Everything that the page says; `joint` is the count with the people there are."""
    show = counted.rows.show
    planned = tuple(change.planned for change in joint.changes) if joint else ()
    needs = read_needs(with_tracks(counted, joint) if joint else counted, planned)
    if needs is None or joint is None:
        return PeoplePage(show, counted, needs, ways_back=_ways_back(counted, None))
    say = Sayings(counted, needs.crew)
    tracks = {guise.guise: guise.tracks for guise in joint.guises}
    return PeoplePage(
        show=show,
        counted=counted,
        needs=needs,
        joint=joint,
        clock_min=clock_min,
        changes=tuple(say.changes(joint)),
        lost=tuple(say.lost(joint)),
        short=tuple(_short_lines(counted, needs, tracks, planned)),
        hand_overs=tuple(say.hand_overs(joint)),
        nobody=tuple(say.nobody(joint)),
        ways_back=_ways_back(counted, tracks),
        rests=tuple(say.rests()),
    )


def say_people(page: PeoplePage) -> str:
    """The sentence on top: whether these people can play it, and with how many figures."""
    if page.joint is None or page.needs is None:
        if not page.counted.plot.appearances:
            return "Nobody is on yet: who works what follows from the plot."
        return "Nobody has said how many people perform, so only the clock counts."
    number = page.joint.figures
    said = f"With {page.crew_words} this draft takes {number} figure{'' if number == 1 else 's'}"
    if page.more_figures:
        said += f", where the clock alone asks for {page.clock_figures}."
    else:
        said += ", as many as by the clock alone."
    return f"{said} {say_short(page.needs, page.counted.names)}".rstrip()


def _short_lines(
    counted: CountedPlot,
    needs: Needs,
    tracks: Mapping[object, tuple[Track, ...]],
    planned: tuple[PlannedChange, ...],
) -> Iterator[ShortLine]:
    every = [track for own in tracks.values() for track in own]
    for need in needs.short:
        said = need.words(needs.crew, counted.names)
        mends = find_mends(counted.plot, needs.crew, need.scene, every, planned)
        lines = [MendLine(mend.words(counted.names), _cell_of(counted, mend)) for mend in mends]
        once = {line.words: line for line in reversed(lines)}
        shown = [line for line in lines if once.pop(line.words, None)][:MENDS_SHOWN]
        yield ShortLine(said[0].upper() + said[1:], tuple(shown))


def _cell_of(counted: CountedPlot, mend: Mend) -> str:
    if mend.appearance is None:
        return reverse("scenes:show_edit", args=[counted.rows.show.pk])
    return cell_url(counted.rows.show, mend.appearance.guise, mend.appearance.scene)


def cell_url(show: Show, guise: object, scene: SceneKey) -> str:
    """The address of a cell of the plot, where it is written."""
    return reverse("scenes:plot_cell", args=[show.pk, guise, scene])


def _ways_back(
    counted: CountedPlot, tracks: Mapping[object, tuple[Track, ...]] | None
) -> tuple[WayBackLine, ...]:
    """The turn-round list of these tracks, or of those that are built."""
    guises = {guise.pk: guise for guise in counted.rows.guises}
    costumes = {costume.pk: costume for costume in counted.rows.costumes}
    played = tracks or {pk: counted.tracks_of(pk) for pk in guises}
    played = {guise: [t for t in own if t.stops] for guise, own in played.items()}  # type: ignore[misc]

    def line(way: WayBack) -> WayBackLine:
        return WayBackLine(
            guise=guises[way.guise],  # type: ignore[index]
            stop=played[way.guise][way.track - 1].stops[0],
            costumes=tuple(costumes[c] for c in way.costumes if c is not None),  # type: ignore[index]
            time="" if way.change_s is None or not way.costumes else format_minutes(way.change_s),
            people=way.people,
            walk=format_minutes(way.walk_s) if way.walk_s else "",
            from_place=way.from_place,
            to_place=way.to_place,
        )

    return tuple(line(way) for way in find_ways_back(counted.plot, played))


def with_tracks(counted: CountedPlot, joint: JointCount) -> CountedPlot:
    """The same plot with the tracks of the count with people, for the picture of them."""
    tracks = {guise.guise: guise.tracks for guise in joint.guises}
    guises = tuple(
        replace(one, tracks=tracks[one.guise], figures=len(tracks[one.guise]))
        for one in counted.count.guises
    )
    count = replace(counted.count, guises=guises, figures=joint.figures)
    return replace(counted, count=count, pinned=Pinned())


def said_by_stop(page: PeoplePage) -> dict[tuple[UUID, int], tuple[str, str]]:
    """By whom each change is made, and when, for the picture of the tracks."""
    return {(line.stop.key, line.stop.copy): (line.people, line.moment) for line in page.changes}  # type: ignore[misc]
