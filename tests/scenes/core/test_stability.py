"""A small edit does not reshuffle which figure plays what."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given

from scenes.core.counting import GuiseCount, Stop, check_count, count_figures, count_guise
from scenes.core.counting.cover import SMALL_UNITS
from scenes.core.plot import Plot
from tests.scenes.core.stories import JORY, change, make_scenes, wear
from tests.scenes.core.strategies import plots

SCENES = make_scenes(4, 4, 4, 4, gap_min=1)


def played_by(counted: GuiseCount) -> dict[object, set[object]]:
    """Appearances by the old track that is carried on; new tracks under None."""
    played: dict[object, set[object]] = {}
    for track in counted.tracks:
        played.setdefault(track.previous, set()).update(stop.key for stop in track.stops)
    return played


def test_a_scene_put_in_between_leaves_both_figures_their_parts() -> None:
    """Two of them before and after; in the new scene either could play either."""
    ends = (
        wear("1a", "coat", 1),
        wear("1b", "coat", 1),
        wear("3a", "coat", 3),
        wear("3b", "coat", 3),
    )
    previous = {("1a", 1): "J1", ("3a", 1): "J1", ("1b", 1): "J2", ("3b", 1): "J2"}
    crossed = {("1a", 1): "J1", ("3b", 1): "J1", ("1b", 1): "J2", ("3a", 1): "J2"}
    new = (wear("2a", "coat", 2), wear("2b", "coat", 2))
    for old in (previous, crossed):
        counted = count_guise(Plot(SCENES, (*ends, *new)), JORY, old)
        played = played_by(counted)
        for name in ("J1", "J2"):
            assert {key for (key, _), track in old.items() if track == name} < played[name]


def test_an_appearance_cut_closes_up_its_track() -> None:
    worn = (
        wear("1a", "coat", 1),
        wear("1b", "coat", 1),
        wear("3a", "coat", 3),
        wear("3b", "coat", 3),
    )
    previous = {("1a", 1): 1, ("2", 1): 1, ("3b", 1): 1, ("1b", 1): 2, ("3a", 1): 2}
    played = played_by(count_guise(Plot(SCENES, worn), JORY, previous))
    assert played == {1: {"1a", "3b"}, 2: {"1b", "3a"}}


def test_copies_keep_their_figures() -> None:
    worn = (wear("1", "grey", 1, copies=3), wear("2", "grey", 2, copies=2))
    previous = {("1", 1): "G3", ("1", 2): "G1", ("1", 3): "G2", ("2", 1): "G2", ("2", 2): "G3"}
    counted = count_guise(Plot(SCENES, worn), JORY, previous)
    assert {stop: track.previous for track in counted.tracks for stop in track.stops} == previous


def test_fewer_figures_come_before_old_tracks() -> None:
    worn = (wear("1", "coat", 1), wear("2", "coat", 2))
    counted = count_guise(Plot(SCENES, worn), JORY, {("1", 1): "J1", ("2", 1): "J2"})
    assert counted.figures == 1
    assert counted.tracks[0].previous == "J1"


def test_fewer_changes_come_before_old_tracks() -> None:
    worn = (
        wear("1a", "coat", 1),
        wear("1b", "gown", 1),
        wear("2a", "coat", 2),
        wear("2b", "gown", 2),
    )
    rules = (change("coat", "gown", 1), change("gown", "coat", 1))
    previous = {("1a", 1): "J1", ("2b", 1): "J1", ("1b", 1): "J2", ("2a", 1): "J2"}
    counted = count_guise(Plot(SCENES, worn, rules), JORY, previous)
    assert counted.changes == 0


def test_an_old_track_has_one_heir_though_its_change_is_gone() -> None:
    """Coat and gown were one figure by a change; without it the longer half carries it on."""
    worn = (wear("1", "coat", 1), wear("2", "coat", 2), wear("3", "gown", 3))
    counted = count_guise(Plot(SCENES, worn), JORY, {(str(n), 1): "J1" for n in (1, 2, 3)})
    assert [track.previous for track in counted.tracks] == ["J1", None]


def test_old_tracks_of_what_is_gone_are_forgotten() -> None:
    counted = count_guise(Plot(SCENES, (wear("1", "coat", 1),)), JORY, {("9", 1): "J1"})
    assert counted.tracks[0].previous is None
    assert counted.tracks[0].stops == (Stop("1", 1),)


@given(plot=plots(most_appearances=10, most_copies=3, guises=("Jory", "Heron")))
def test_counting_again_changes_nothing(plot: Plot) -> None:
    once = count_figures(plot)
    again = count_figures(plot, once.track_ids())
    assert [[track.stops for track in g.tracks] for g in again.guises] == [
        [track.stops for track in g.tracks] for g in once.guises
    ]
    assert again.track_ids() == once.track_ids()
    for guise, counted in ((g.guise, g) for g in again.guises):
        names = [track.previous for track in counted.tracks]
        assert names == [(guise, n) for n in range(1, counted.figures + 1)]


def test_a_new_scene_in_a_long_show_keeps_every_old_step() -> None:
    """Above the small method's limit too: two figures through thirty scenes, one scene cut in."""
    scenes = make_scenes(*[3] * 31, gap_min=1)
    worn = tuple(wear(f"{n}{side}", "coat", n) for n in range(1, 32) for side in "ab")
    assert len(worn) > SMALL_UNITS
    old = Plot(scenes, tuple(a for a in worn if a.scene != 15))
    # The old count crossed the two in every other scene.
    previous = {
        (a.key, 1): int((str(a.key)[-1] == "a") == (int(str(a.scene)) % 2 == 0))
        for a in old.appearances
    }
    new = replace(old, appearances=worn)
    count = count_figures(new, previous)
    assert check_count(new, count) == []
    assert count.figures == 2
    for track in count.guises[0].tracks:
        assert {previous.get(stop, track.previous) for stop in track.stops} == {track.previous}
