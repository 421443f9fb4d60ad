"""What the audience sees: shows, scenes, characters, guises, costumes, the plot and its counts."""

from scenes.models.counts import Count, Track, TrackStop
from scenes.models.plot import Appearance, ChangeRule, Draft, Scene
from scenes.models.roles import Character, Costume, Guise, Kind, Sketch
from scenes.models.shows import Show

__all__ = [
    "Appearance",
    "ChangeRule",
    "Character",
    "Costume",
    "Count",
    "Draft",
    "Guise",
    "Kind",
    "Scene",
    "Show",
    "Sketch",
    "Track",
    "TrackStop",
]
