"""What the demo says of the stage: a trick build, a way of its own, and the lead's pins."""

from __future__ import annotations

from dataclasses import replace

from company.models import User
from scenes.models import Appearance, Guise, Show
from scenes.services.cells import as_wanted, read_cell, set_cell
from scenes.services.pins import set_pin
from scenes.services.places import add_walk
from scenes.services.rigs import set_rig
from scenes.services.shows import edit_show

# Bartle's oar snaps at every performance of the night crossing; the show plays so many times.
SNAPS = ("Bartle the ferryman", "9", "snapping oar", 45)
PERFORMANCES = 24
# The Heron flies in the last scene: set before it begins, from the bridge.
FLIES = ("The Heron", "10", "flying", "bridge")
WAY = ("bridge", "right", 45)
ONE_MORE = "Bartle the ferryman"
# Wished for, and not to be had: no wait between these two is long enough to change in.
ONE_FIGURE = ("Jory Tarrow", "at sixty", "9", "10")


def set_demo_stage(show: Show, lead: User) -> None:
    """Write it all through the services, as the lead would."""
    role, label, rig, place = FLIES
    heron = _guise(show, role)
    set_rig(show=show, user=lead, guise=heron, name=rig, plays_plain=True)
    add_walk(
        show=show, user=lead, from_place=WAY[1], to_place=WAY[0], walk_s=WAY[2], is_both_ways=True
    )
    entry = _entry(show, heron, label)
    scene_key = entry.scene.key
    _, stands = read_cell(show, heron, scene_key)
    wanted = [replace(as_wanted(row), rig=rig, from_place=place) for row in stands]
    set_cell(show=show, user=lead, guise=heron, scene_key=scene_key, wanted=wanted)
    _break_away(show, lead)
    set_pin(show=show, user=lead, guise=_guise(show, ONE_MORE), kind="more")
    role, name, *labels = ONE_FIGURE
    jory = _guise(show, role, name)
    stops = tuple((_entry(show, jory, label).key, 1) for label in labels)
    set_pin(show=show, user=lead, guise=jory, kind="same", stops=stops)


def _break_away(show: Show, lead: User) -> None:
    role, label, rig, part_min = SNAPS
    bartle = _guise(show, role)
    set_rig(
        show=show,
        user=lead,
        guise=bartle,
        name=rig,
        plays_plain=True,
        breaks_away=True,
        part_min=part_min,
    )
    scene_key = _entry(show, bartle, label).scene.key
    _, stands = read_cell(show, bartle, scene_key)
    wanted = [replace(as_wanted(row), rig=rig) for row in stands]
    set_cell(show=show, user=lead, guise=bartle, scene_key=scene_key, wanted=wanted)
    show.refresh_from_db()
    edit_show(show=show, user=lead, version=None, performances=PERFORMANCES)


def _guise(show: Show, role: str, name: str = "") -> Guise:
    guises = Guise.objects.select_related("character__show")
    return guises.get(character__show=show, character__name=role, name=name)


def _entry(show: Show, guise: Guise, label: str) -> Appearance:
    show.refresh_from_db()
    rows = Appearance.objects.select_related("scene")
    return rows.get(draft=show.current_draft, guise=guise, scene__label=label)
