"""The plot's count as the picture of tracks wants it."""

from __future__ import annotations

from collections.abc import Mapping
from uuid import UUID

from scenes.drawings.tracks_data import Track, TrackRole, TrackScene, TracksData, TrackStop
from scenes.queries.crew import Needs
from scenes.queries.grid import say_places
from scenes.queries.plot import FigureTags, PlotPage, StopView, TrackView

Makers = Mapping[tuple[UUID, int], tuple[str, str]]


def to_tracks(
    page: PlotPage, tags: FigureTags | None = None, makers: Makers | None = None
) -> TracksData:
    """The page's tracks, each with its figure's tag and address where `tags` has them.

    `makers` says by (appearance key, copy) who makes the change before it, and when.
    """
    needs = page.needs
    places = {scene.pk: n for n, scene in enumerate(page.scenes)}
    return TracksData(
        scenes=tuple(
            TrackScene(s.label, s.title, s.length_s, s.gap_s, s.is_interval, s.act)
            for s in page.scenes
        ),
        roles=tuple(
            TrackRole(
                role.character.name,
                tuple(_to_track(track, places, tags, makers or {}) for track in role.tracks),
            )
            for role in page.roles
        ),
        people=tuple(need.people for need in needs.scenes) if needs else (),
        missing=tuple(need.short for need in needs.scenes) if needs else (),
        crew=_say_there(needs) if needs else "",
    )


def _say_there(needs: Needs) -> str:
    """'3', or '2 and a dresser' where somebody only dresses."""
    crew = needs.crew
    idle = crew.all - crew.workers
    if not idle:
        return str(crew.workers)
    return f"{crew.workers} and {'a dresser' if idle == 1 else f'{idle} dressers'}"


def _to_track(
    track: TrackView, places: dict[int, int], tags: FigureTags | None, makers: Makers
) -> Track:
    tag = track.tag(tags)
    stops = []
    came_off = ""
    for stop in track.stops:
        place = stop.appearance.from_place
        is_crossing = bool(came_off and place and came_off != place)
        crossing = f"from {came_off} to {place}" if is_crossing else ""
        by = makers.get((stop.appearance.key, stop.copy), ("", ""))
        stops.append(_to_stop(stop, places, crossing, by))
        came_off = stop.appearance.to_place
    return Track(
        number=track.label(tags),
        guise=track.guise.name,
        stops=tuple(stops),
        url=tag.url if tag else "",
    )


def _to_stop(
    stop: StopView, places: dict[int, int], crossing: str, by: tuple[str, str]
) -> TrackStop:
    return TrackStop(
        scene=places[stop.scene.pk],
        start_s=stop.enters_s,
        end_s=stop.leaves_s,
        costume=stop.swatch.word if stop.swatch.tint else "",
        tint=stop.swatch.tint,
        change_s=stop.change_s,
        crossing=crossing,
        change_by=by[0],
        change_at=by[1],
        rig=stop.appearance.rig,
        places=", ".join(say_places(stop.appearance)),
        hold="" if stop.appearance.hold == "two hands" else stop.appearance.hold,
    )
