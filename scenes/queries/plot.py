"""The costume plot as a page: the sentence, the tracks, the count with its reasons, the changes."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from typing import NamedTuple, TypeAlias
from uuid import UUID

from scenes.core.break_away import BreakAway, count_break_away
from scenes.core.counting import GuiseCount, Track
from scenes.models import (
    Appearance,
    ChangeRule,
    Character,
    Costume,
    Draft,
    Guise,
    Pin,
    Scene,
    Show,
)
from scenes.queries.counts import CountedPlot, count_show
from scenes.queries.crew import Needs, read_needs
from scenes.queries.grid import Swatch, make_swatch
from scenes.queries.lede import Lede, say_count, say_reason, say_short
from scenes.queries.plot_words import say_of_rules, say_pin, say_warnings


class FigureTag(NamedTuple):
    """What the bench calls a figure, and the address of its page."""

    tag: str
    url: str = ""


FigureTags: TypeAlias = Mapping[tuple[UUID, int], FigureTag]


@dataclass(frozen=True)
class StopView:
    """One copy of an appearance on a track. `change_s` is the change made before it, if any."""

    appearance: Appearance
    copy: int
    scene: Scene
    swatch: Swatch
    enters_s: int
    leaves_s: int
    change_s: int | None = None


@dataclass(frozen=True)
class TrackView:
    """What one figure plays. `number` counts the figures of its role, from 1."""

    guise: Guise
    number: int
    stops: tuple[StopView, ...]
    changes: int = 0

    def tag(self, tags: FigureTags | None) -> FigureTag | None:
        """The bench's tag of the figure that plays this; `tags` by (appearance key, copy)."""
        for stop in self.stops:
            if found := (tags or {}).get((stop.appearance.key, stop.copy)):
                return found
        return None

    def label(self, tags: FigureTags | None = None) -> str:
        """'2nd' as long as nothing of the bench is known; then its tag, '' where it has none."""
        if not tags:
            return say_ordinal(self.number)
        found = self.tag(tags)
        return found.tag if found else ""


@dataclass(frozen=True)
class GuiseView:
    """A guise with its count, and the changes that are written for it."""

    guise: Guise
    count: GuiseCount
    reason: str
    tracks: tuple[TrackView, ...]
    costumes: list[Costume] = field(default_factory=list)
    rules: list[RuleView] = field(default_factory=list)
    pins: tuple[PinView, ...] = ()

    @property
    def built(self) -> int:
        """Figures that are built: those needed, and what the lead's pins ask for beyond."""
        return len(self.tracks)

    @property
    def can_pin(self) -> bool:
        """Whether there are two things to pin together or apart."""
        return sum(len(track.stops) for track in self.tracks) > 1


@dataclass(frozen=True)
class RuleView:
    """A change rule, and what is to be said of it: too long for any wait, for instance."""

    rule: ChangeRule
    remark: str = ""


@dataclass(frozen=True)
class PinView:
    """A pin in words, and why it is not kept ('' where it is)."""

    pin: Pin
    words: str
    why: str = ""


@dataclass(frozen=True)
class RoleView:
    """A role with its guises and all its figures."""

    character: Character
    guises: tuple[GuiseView, ...]

    @property
    def figures(self) -> int:
        """Figures of all its guises together."""
        return sum(view.count.figures for view in self.guises)

    @property
    def built(self) -> int:
        """Figures of all its guises that are built."""
        return sum(view.built for view in self.guises)

    @property
    def is_lone(self) -> bool:
        """Whether it has one guise, so that the role's number is the guise's."""
        return len(self.guises) == 1

    @property
    def tracks(self) -> Iterator[TrackView]:
        """The tracks of all its guises."""
        for view in self.guises:
            yield from view.tracks


@dataclass(frozen=True)
class PlotPage:
    """Everything that the page of the plot says."""

    show: Show
    draft: Draft | None
    lede: Lede
    figures: int
    scenes: list[Scene]
    roles: list[RoleView]
    warnings: list[str]
    counted: CountedPlot
    is_placed: bool
    needs: Needs | None = None
    has_blanks: bool = False

    @property
    def breaking(self) -> list[tuple[Guise, BreakAway]]:
        """Trick builds of which a part breaks at each performance, with the parts they need."""
        guises = {guise.pk: guise for guise in self.counted.rows.guises}
        rigs = {
            (rig.guise_id, rig.name): rig.part_min
            for rig in self.counted.rows.rigs
            if rig.breaks_away
        }
        found = count_break_away(self.counted.plot, rigs, self.show.performances)
        return [(guises[one.guise], one) for one in found]  # type: ignore[index]

    @property
    def pins(self) -> list[PinView]:
        """Every pin, guise by guise."""
        return [pin for role in self.roles for view in role.guises for pin in view.pins]

    @property
    def changing(self) -> list[GuiseView]:
        """Guises that have something to change into."""
        return [view for role in self.roles for view in role.guises if len(view.costumes) > 1]


def read_plot(show: Show) -> PlotPage:
    """The current draft's plot, counted: as many reads for a large one as for a small one."""
    return make_page(count_show(show))


def make_page(counted: CountedPlot) -> PlotPage:
    """A counted plot as its page says it."""
    rows = counted.rows
    needs = read_needs(counted)
    return PlotPage(
        show=rows.show,
        draft=rows.draft,
        lede=replace(say_count(counted), short=say_short(needs, counted.names)),
        figures=counted.count.figures,
        scenes=rows.scenes,
        roles=_make_roles(counted),
        warnings=say_warnings(counted),
        counted=counted,
        is_placed=bool(rows.appearances),
        needs=needs,
        has_blanks=counted.has_blanks,
    )


def say_ordinal(number: int) -> str:
    """'1st', '2nd', '3rd', '11th'.

    >>> [say_ordinal(n) for n in (1, 2, 3, 4, 11, 22)]
    ['1st', '2nd', '3rd', '4th', '11th', '22nd']
    """
    tens = number % 100 // 10 == 1
    return f"{number}{'th' if tens else {1: 'st', 2: 'nd', 3: 'rd'}.get(number % 10, 'th')}"


def _make_roles(counted: CountedPlot) -> list[RoleView]:
    by_key = {a.key: a for a in counted.rows.appearances}
    times = counted.times
    remarks = say_of_rules(counted)
    roles = []
    for character in counted.rows.characters:
        number = 0
        guises = []
        for guise in counted.rows.guises:
            if guise.character_id != character.pk:
                continue
            count = counted.count.of(guise.pk)
            tracks = tuple(
                _make_track(guise, number + n, track, by_key, times)
                for n, track in enumerate(counted.tracks_of(guise.pk), 1)
            )
            number += len(tracks)
            guises.append(
                GuiseView(
                    guise=guise,
                    count=count,
                    reason=say_reason(count, counted.names),
                    tracks=tracks,
                    costumes=counted.rows.costumes_of(guise),
                    rules=[
                        RuleView(rule, remarks.get(rule.pk, ""))
                        for rule in counted.rows.rules
                        if rule.guise_id == guise.pk
                    ],
                    pins=tuple(
                        PinView(pin, say_pin(pin, by_key), counted.pinned.why.get(pin.pk, ""))
                        for pin in counted.rows.pins
                        if pin.guise_id == guise.pk
                    ),
                )
            )
        roles.append(RoleView(character, tuple(guises)))
    return roles


def _make_track(
    guise: Guise,
    number: int,
    track: Track,
    by_key: Mapping[object, Appearance],
    times: Mapping[Hashable, tuple[int, int]],
) -> TrackView:
    changes = {change.to_stop: change for change in track.changes}
    stops = []
    for stop in track.stops:
        appearance = by_key[stop.key]
        change = changes.get(stop)
        enters_s, leaves_s = times[appearance.key]
        stops.append(
            StopView(
                appearance=appearance,
                copy=stop.copy,
                scene=appearance.scene,
                swatch=make_swatch(appearance, appearance.scene, is_one_copy=True),
                enters_s=enters_s,
                leaves_s=leaves_s,
                change_s=change.rule.change_s if change else None,
            )
        )
    return TrackView(guise, number, tuple(stops), len(track.changes))
