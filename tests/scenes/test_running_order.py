"""Scenes that change places: acts follow the place, and the interval stays where it stood."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.models import Scene
from scenes.services.running_order import drop_scene, place_scene, step_scene

LONG_S = 1200


def make_order(*said):
    """Scenes by 'label act', with '|' after the one that an interval follows."""
    scenes = []
    for n, words in enumerate(said):
        label, act = words.rstrip("|").split()
        is_interval = words.endswith("|")
        scenes.append(
            Scene(
                pk=n + 1,
                label=label,
                act=act,
                position=n,
                length_s=60,
                gap_s=LONG_S if is_interval else n,
                is_interval=is_interval,
            )
        )
    return scenes


def say(order):
    return " ".join(f"{s.label}{s.act}{'|' if s.is_interval else ''}" for s in order)


@pytest.fixture
def scenes():
    return make_order("1 A", "2 A", "3 A|", "4 B", "5 B")


@pytest.mark.parametrize(
    ("place", "is_up", "after"),
    [
        (1, True, "2A 1A 3A| 4B 5B"),
        (0, False, "2A 1A 3A| 4B 5B"),
        (2, True, "1A 3A 2A| 4B 5B"),
        (2, False, "1A 2A| 3B 4B 5B"),
        (3, True, "1A 2A 3A 4A| 5B"),
        (3, False, "1A 2A 3A| 5B 4B"),
        (0, True, "1A 2A 3A| 4B 5B"),
        (4, False, "1A 2A 3A| 4B 5B"),
    ],
)
def test_step_crosses_the_border_before_it_passes_a_scene(scenes, place, is_up, after):
    order = step_scene(scenes, scenes[place], is_up=is_up)

    assert say(order) == after
    assert [scene.position for scene in order] == [0, 1, 2, 3, 4]


def test_interval_keeps_its_minutes_and_gives_the_short_gap_back(scenes):
    third, second = scenes[2], scenes[1]

    step_scene(scenes, third, is_up=True)

    assert (second.is_interval, second.gap_s) == (True, LONG_S)
    assert (third.is_interval, third.gap_s) == (False, 1)


@pytest.mark.parametrize(
    ("place", "after", "order"),
    [
        (4, None, "5A 1A 2A 3A| 4B"),
        (4, 2, "1A 2A 3A 5A| 4B"),
        (0, 3, "2A 3A| 4B 1B 5B"),
        (2, 4, "1A 2A| 4B 5B 3B"),
        (2, 2, "1A 2A 3A| 4B 5B"),
        (0, None, "1A 2A 3A| 4B 5B"),
    ],
)
def test_place_puts_a_scene_behind_another_in_its_act(scenes, place, after, order):
    behind = None if after is None else scenes[after]

    assert say(place_scene(scenes, scenes[place], after=behind)) == order


def test_drop_leaves_the_interval_to_the_scene_before(scenes):
    assert say(drop_scene(scenes, scenes[2])) == "1A 2A| 4B 5B"


def test_drop_of_the_only_scene_of_an_act_takes_its_interval_along():
    scenes = make_order("1 A|", "2 B")

    assert say(drop_scene(scenes, scenes[0])) == "2B"


orders = st.lists(st.tuples(st.sampled_from("ABC"), st.booleans()), min_size=1, max_size=8).map(
    lambda said: make_order(*(f"{n} {act}{'|' * mark}" for n, (act, mark) in enumerate(said)))
)


@given(orders, st.data())
def test_no_move_loses_a_scene_an_interval_or_a_minute(scenes, data):
    labels = sorted(scene.label for scene in scenes)
    intervals = sum(scene.is_interval for scene in scenes)
    minutes = sum(scene.gap_s for scene in scenes)
    scene = data.draw(st.sampled_from(scenes))
    after = data.draw(st.sampled_from([*scenes, None]))

    if data.draw(st.booleans()):
        order = step_scene(scenes, scene, is_up=data.draw(st.booleans()))
    else:
        order = place_scene(scenes, scene, after=after)

    assert sorted(s.label for s in order) == labels
    assert [s.position for s in order] == list(range(len(scenes)))
    assert sum(s.is_interval for s in order) == intervals
    assert sum(s.gap_s for s in order) == minutes


@given(orders, st.data())
def test_place_stands_right_behind(scenes, data):
    scene = data.draw(st.sampled_from(scenes))
    after = data.draw(st.sampled_from([*scenes, None]))

    order = place_scene(scenes, scene, after=after)

    if after != scene:
        place = order.index(scene)
        assert (order[place - 1] if place else None) == after
        assert after is None or scene.act == after.act


@given(orders, st.data())
def test_enough_steps_up_bring_any_scene_to_the_front(scenes, data):
    scene = data.draw(st.sampled_from(scenes))

    order = scenes
    for _ in range(3 * len(scenes)):
        order = step_scene(order, scene, is_up=True)

    assert order[0] == scene
