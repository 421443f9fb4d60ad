"""Pictures of the plot: the costume plot as a score, one thread for each figure needed.

TracksData(scenes, roles, people=..., missing=..., crew="3") -> draw_tracks(data, ident="tracks")
{% include "parts/tracks.html" with tracks=tracks %}
print_tracks(data, ident="plot") -> pictures for A3 landscape sheets
"""

from scenes.drawings.duties import DutiesData, DutyBar, DutyRow, Level, draw_duties
from scenes.drawings.tracks import DrawnTracks, draw_tracks, print_tracks
from scenes.drawings.tracks_data import Track, TrackRole, TrackScene, TracksData, TrackStop

__all__ = [
    "DrawnTracks",
    "DutiesData",
    "DutyBar",
    "DutyRow",
    "Level",
    "Track",
    "TrackRole",
    "TrackScene",
    "TrackStop",
    "TracksData",
    "draw_duties",
    "draw_tracks",
    "print_tracks",
]
