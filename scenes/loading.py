"""The one bridge between the plot's rows and the core: rows in, core plots out, and back."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from uuid import UUID

from django.db.models import Exists, OuterRef

from company.core.names import name_key
from scenes.core import plot as core
from scenes.core.counting.results import Count as CoreCount
from scenes.core.naming import Names
from scenes.models import (
    Appearance,
    ChangeRule,
    Character,
    Costume,
    Count,
    Draft,
    Guise,
    Pin,
    Rig,
    Scene,
    Show,
    Track,
    TrackStop,
    Walk,
)


@dataclass(frozen=True)
class PlotRows:
    """Every row that a draft's plot is made of. Guises come by role, both in the show's order."""

    show: Show
    draft: Draft | None
    scenes: list[Scene] = field(default_factory=list)
    appearances: list[Appearance] = field(default_factory=list)
    rules: list[ChangeRule] = field(default_factory=list)
    characters: list[Character] = field(default_factory=list)
    guises: list[Guise] = field(default_factory=list)
    costumes: list[Costume] = field(default_factory=list)
    walks: list[Walk] = field(default_factory=list)
    rigs: list[Rig] = field(default_factory=list)
    pins: list[Pin] = field(default_factory=list)

    def costumes_of(self, guise: Guise) -> list[Costume]:
        """What the guise can wear."""
        return [costume for costume in self.costumes if costume.guise_id == guise.pk]


def read_rows(show: Show) -> PlotRows:
    """The current draft's rows and the show's roles: nine reads, however large the plot is.

    Every row is joined to the ones read beside it, so that following a key reads nothing more.
    """
    characters = list(Character.objects.filter(show=show))
    by_character = {character.pk: n for n, character in enumerate(characters)}
    guises = list(Guise.objects.filter(character__show=show))
    guises.sort(key=lambda guise: (by_character[guise.character_id], guise.position, guise.pk))
    for guise in guises:
        guise.character = characters[by_character[guise.character_id]]
    by_guise = {guise.pk: guise for guise in guises}
    costumes = list(Costume.objects.filter(guise__character__show=show))
    by_costume = {costume.pk: costume for costume in costumes}
    for costume in costumes:
        costume.guise = by_guise[costume.guise_id]
    walks = list(Walk.objects.filter(show=show))
    rigs = list(Rig.objects.filter(guise__character__show=show))
    for rig in rigs:
        rig.guise = by_guise[rig.guise_id]
    pins = list(Pin.objects.filter(guise__character__show=show).select_related("by"))
    for pin in pins:
        pin.guise = by_guise[pin.guise_id]
    draft = show.current_draft
    if draft is None:
        return PlotRows(show, None, [], [], [], characters, guises, costumes, walks, rigs, pins)
    scenes = list(Scene.objects.filter(draft=draft))
    by_scene = {scene.pk: scene for scene in scenes}
    appearances = list(Appearance.objects.filter(draft=draft))
    for appearance in appearances:
        appearance.scene = by_scene[appearance.scene_id]
        appearance.guise = by_guise[appearance.guise_id]
        appearance.costume = (
            by_costume[appearance.costume_id] if appearance.costume_id is not None else None
        )
    rules = list(ChangeRule.objects.filter(draft=draft))
    for rule in rules:
        rule.guise = by_guise[rule.guise_id]
        rule.from_costume = by_costume[rule.from_costume_id]
        rule.to_costume = by_costume[rule.to_costume_id]
    return PlotRows(
        show, draft, scenes, appearances, rules, characters, guises, costumes, walks, rigs, pins
    )


def to_plot(rows: PlotRows) -> core.Plot:
    """The rows as the core knows them: guises and costumes by id, scenes and entries by key.

    Places and rigs are matched as names are: two spellings of one are one.
    """
    place, rig = _Spellings(), _Spellings()
    walks = {(place(w.from_place), place(w.to_place)): w.walk_s for w in rows.walks}
    plain_rigs = frozenset((r.guise_id, rig(r.name)) for r in rows.rigs if r.plays_plain)
    return core.Plot(
        scenes=tuple(to_scene(scene) for scene in rows.scenes),
        appearances=tuple(
            replace(
                to_appearance(a),
                from_place=place(a.from_place),
                to_place=place(a.to_place),
                rig=rig(a.rig),
            )
            for a in rows.appearances
        ),
        rules=tuple(
            core.ChangeRule(
                rule.guise_id,
                rule.from_costume_id,
                rule.to_costume_id,
                rule.change_s,
                rule.people,
            )
            for rule in rows.rules
        ),
        crossing_s=rows.show.crossing_s,
        reset_s=rows.show.reset_s,
        guises=tuple(guise.pk for guise in rows.guises),
        costume_guises={costume.pk: costume.guise_id for costume in rows.costumes},
        plain_rigs=plain_rigs,
        walks=walks,
    )


class _Spellings:
    """Each name in the spelling that was met first."""

    def __init__(self) -> None:
        self.known: dict[str, str] = {}
        self.first: dict[str, str] = {}

    def __call__(self, written: str) -> str:
        if written not in self.known:
            self.known[written] = self.first.setdefault(name_key(written), written)
        return self.known[written]


def to_scene(scene: Scene) -> core.Scene:
    """One scene as the core knows it."""
    return core.Scene(
        scene.key,
        scene.label,
        scene.length_s,
        gap_s=scene.gap_s,
        title=scene.title,
        act=scene.act,
        is_interval=scene.is_interval,
    )


def to_appearance(appearance: Appearance) -> core.Appearance:
    """One entry of the plot as the core knows it; its scene must have been read."""
    return core.Appearance(
        appearance.key,
        appearance.guise_id,
        appearance.costume_id,
        appearance.scene.key,
        enters_s=appearance.enters_s,
        leaves_s=appearance.leaves_s,
        rig=appearance.rig,
        from_place=appearance.from_place,
        to_place=appearance.to_place,
        hold=appearance.hold,
        copies=appearance.copies,
    )


def to_names(rows: PlotRows) -> Names:
    """What the core calls guises, costumes and scenes in its sentences."""
    return Names(
        guises={guise.pk: str(guise) for guise in rows.guises},
        costumes={costume.pk: costume.name for costume in rows.costumes},
        scenes={scene.key: scene.label for scene in rows.scenes},
    )


def stamp_of(appearances: Iterable[Appearance]) -> str:
    """The stamp of a cell: another one for every state it has ever had, '' for an empty one."""
    said = sorted(f"{a.key.hex}.{a.version}" for a in appearances)
    return hashlib.blake2s(" ".join(said).encode(), digest_size=6).hexdigest() if said else ""


def write_tracks(count: Count, counted: CoreCount) -> None:
    """Keep what the core counted as tracks and stops of `count`: three writes."""
    tracks, stops = [], []
    for of_guise in counted.guises:
        for track in of_guise.tracks:
            tracks.append(Track(count=count, guise_id=of_guise.guise, position=len(tracks) + 1))
            stops.append(track.stops)
    tracks = Track.objects.bulk_create(tracks)
    TrackStop.objects.bulk_create(
        TrackStop(count=count, track=track, appearance_key=key, copy=copy, order=order)
        for track, its_stops in zip(tracks, stops, strict=True)
        for order, (key, copy) in enumerate(its_stops, 1)
    )


def read_stops(count: Count) -> list[tuple[int, list[tuple[UUID, int]]]]:
    """A kept count as (guise, stops) of every track, in order."""
    tracks = Track.objects.filter(count=count).prefetch_related("stops")
    return [
        (track.guise_id, [(stop.appearance_key, stop.copy) for stop in track.stops.all()])
        for track in tracks
    ]


def read_previous(count: Count) -> dict[tuple[UUID, int], int]:
    """A kept count as the `previous` of the next one: the track's id of every stop.

    An appearance that an import has given to another guise since then is left out: what played it
    before was a figure of that other guise, which cannot play it now.
    """
    elsewhere = Appearance.objects.filter(
        draft=OuterRef("count__draft__show__current_draft"), key=OuterRef("appearance_key")
    ).exclude(guise=OuterRef("track__guise"))
    rows = TrackStop.objects.filter(~Exists(elsewhere), count=count)
    return {
        (key, copy): track
        for key, copy, track in rows.order_by("track__position", "order").values_list(
            "appearance_key", "copy", "track_id"
        )
    }
