"""Tags of the plot's page: its picture, and what a figure is called there.

`figure_tags` is a mapping of (appearance key, copy) to a FigureTag, put into the context by
whoever knows the bench; without it figures are called by their place in the role.
"""

from __future__ import annotations

from django import template

from scenes.core.counting import Stop
from scenes.drawings import DrawnTracks, draw_duties, draw_tracks
from scenes.queries.duties import to_duties
from scenes.queries.people import PeoplePage, said_by_stop, with_tracks
from scenes.queries.plot import FigureTag, FigureTags, PlotPage, StopView, TrackView, make_page
from scenes.queries.tracks import to_tracks

register = template.Library()


@register.simple_tag
def draw_plot(page: PlotPage, figure_tags: FigureTags | None = None) -> DrawnTracks:
    """The tracks as a score."""
    return draw_tracks(to_tracks(page, figure_tags or None), ident="tracks")


@register.simple_tag
def draw_people(page: PeoplePage, figure_tags: FigureTags | None = None) -> DrawnTracks | None:
    """Who works what; None where there is nobody to draw."""
    duties = to_duties(page, figure_tags or None)
    return draw_duties(duties, ident="duties") if duties and duties.rows else None


@register.simple_tag
def draw_people_tracks(
    page: PeoplePage, figure_tags: FigureTags | None = None
) -> DrawnTracks | None:
    """The tracks as these people can play them, each change with who makes it."""
    if page.joint is None:
        return None
    played = make_page(with_tracks(page.counted, page.joint))
    data = to_tracks(played, figure_tags or None, said_by_stop(page))
    return draw_tracks(data, ident="played")


@register.simple_tag
def stop_value(stop: StopView) -> str:
    """A copy of an appearance as a form sends it."""
    return f"{stop.appearance.key}:{stop.copy}"


@register.simple_tag
def figure_called(stop: Stop, figure_tags: FigureTags | None = None) -> str:
    """'J4' where the bench has the figure of a stop, else ''."""
    tag = (figure_tags or {}).get((stop.key, stop.copy))  # type: ignore[call-overload]
    return tag.tag if tag else ""


@register.simple_tag
def figure_name(track: TrackView, figure_tags: FigureTags | None = None) -> str:
    """'J4' where the bench has the figure, 'new' where it has others, else '2nd figure'."""
    label = track.label(figure_tags or None) or "new"
    return label if figure_tags else f"{label} figure"


@register.simple_tag
def figure_tag(track: TrackView, figure_tags: FigureTags | None = None) -> FigureTag | None:
    """The bench's tag of the figure, if it has one."""
    return track.tag(figure_tags or None)
