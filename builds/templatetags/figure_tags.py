"""The numbers of the bench on the costume plot: which figure plays what."""

from __future__ import annotations

from django import template

from builds.queries.bench_words import say_asked
from builds.queries.matched import read_asked_spares, read_figures_of_stops
from scenes.models import Show
from scenes.queries.plot import FigureTag, FigureTags

register = template.Library()


@register.simple_tag
def figure_tags_of(show: Show) -> FigureTags:
    """The figure of each copy of each appearance; empty where nothing is at the bench yet."""
    return {
        stop: FigureTag(figure.tag, figure.get_absolute_url())
        for stop, figure in read_figures_of_stops(show).items()
    }


@register.simple_tag
def spares_of(show: Show) -> str:
    """'1 spare figure and 1 spare head': those that were asked for as spares, '' where none."""
    return say_asked(read_asked_spares(show))
