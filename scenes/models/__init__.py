"""What the audience sees: shows, scenes, characters, guises, costumes, the plot and its counts."""

from scenes.models.counts import Count, PeopleCount, Track, TrackStop
from scenes.models.pins import Pin
from scenes.models.plot import Appearance, ChangeRule, Draft, Scene
from scenes.models.roles import Character, Costume, Guise, Kind, Rig, Sketch
from scenes.models.shows import Show, Walk

__all__ = [
    "Appearance",
    "ChangeRule",
    "Character",
    "Costume",
    "Count",
    "Draft",
    "Guise",
    "Kind",
    "PeopleCount",
    "Pin",
    "Rig",
    "Scene",
    "Show",
    "Sketch",
    "Track",
    "TrackStop",
    "Walk",
]
