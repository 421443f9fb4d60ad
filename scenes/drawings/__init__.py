"""Pictures of the plot: the costume plot as a score, one thread for each figure needed.

TracksData(scenes, roles, people=..., performers=3) -> draw_tracks(data, ident="tracks")
{% include "parts/tracks.html" with tracks=tracks %}
print_tracks(data, ident="plot") -> pictures for A3 landscape sheets
"""

from scenes.drawings.tracks import DrawnTracks, draw_tracks, print_tracks
from scenes.drawings.tracks_data import Track, TrackRole, TrackScene, TracksData, TrackStop

__all__ = [
    "DrawnTracks",
    "Track",
    "TrackRole",
    "TrackScene",
    "TrackStop",
    "TracksData",
    "draw_tracks",
    "print_tracks",
]
