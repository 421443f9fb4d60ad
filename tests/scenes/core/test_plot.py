"""The time line, and all that can be wrong with a plot."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given

from scenes.core.naming import Names, say_list, say_number
from scenes.core.plot import (
    Appearance,
    ChangeRule,
    Plot,
    Scene,
    iterate_stops,
    place_appearances,
    scene_starts,
    show_length_s,
)
from scenes.core.plot_problems import problems
from tests.scenes.core.stories import change, make_scenes, wear
from tests.scenes.core.strategies import plots

SCENES = make_scenes(4, 5, 3, gap_min=1)


def test_a_scene_starts_where_the_one_before_ended_plus_its_gap() -> None:
    assert scene_starts(SCENES) == (0, 300, 660)


def test_the_gap_after_the_last_scene_is_ignored() -> None:
    assert show_length_s(SCENES) == 660 + 180
    assert show_length_s(()) == 0


def test_blank_times_follow_the_scene() -> None:
    (placed,) = place_appearances(Plot(SCENES, (wear("a", "coat", 2),)))
    assert (placed.enters_s, placed.leaves_s, placed.scene_position) == (300, 600, 1)


def test_one_guise_alone_can_be_placed() -> None:
    worn = (wear("a", "coat", 2), wear("b", "grey", 1, guise="the Heron", copies=2))
    placed = place_appearances(Plot(SCENES, worn), "the Heron")
    assert [p.appearance.key for p in placed] == ["b"]
    assert list(iterate_stops(placed)) == [("b", 1), ("b", 2)]


def test_guises_come_as_listed_then_as_met() -> None:
    plot = Plot(
        SCENES,
        (wear("a", "coat", 1, guise="Bartle"),),
        (change("habit", "cloak", 1, guise="Sister Quill"),),
        guises=("Captain Pell", "Bartle"),
    )
    assert plot.all_guises() == ("Captain Pell", "Bartle", "Sister Quill")


@given(plot=plots(most_appearances=10, guises=("Jory", "Heron")))
def test_a_sound_plot_has_no_problems(plot: Plot) -> None:
    assert problems(plot) == []


COAT, GOWN = "Jory at thirty: coat", "Jory at thirty: gown"


@pytest.mark.parametrize(
    ("plot", "says"),
    [
        (Plot((Scene(1, "1", 0),)), "Scene 1 lasts 0 minutes: more than 0 is needed."),
        (Plot((Scene(1, "1", 60, gap_s=-1),)), "The gap after scene 1 is negative."),
        (Plot((Scene(1, " ", 60),)), "A scene has no label."),
        (
            Plot((Scene(1, "3A", 60), Scene(2, "3a ", 60))),
            "2 scenes are called '3a': each needs a label of its own.",
        ),
        (Plot((Scene(1, "1", 60), Scene(1, "2", 60))), "The scene key 1 is used 2 times."),
        (
            Plot(SCENES, (wear("a", "coat", 9),)),
            "Jory at thirty in scene 9: there is no such scene.",
        ),
        (
            Plot(SCENES, (wear("a", "coat", 1, 2, 1.5),)),
            "Jory at thirty in scene 1 leaves (1:30) before it enters (2): it must enter first.",
        ),
        (
            Plot(SCENES, (wear("a", "coat", 1, enters_min=4),)),
            "Jory at thirty in scene 1 leaves (4) before it enters (4): it must enter first.",
        ),
        (
            Plot(SCENES, (wear("a", "coat", 1, leaves_min=5.5),)),
            "Jory at thirty in scene 1 leaves at 5:30, later than the end of the scene (4) "
            "and the gap after it (1).",
        ),
        (
            Plot((Scene(1, "1", 60),), (wear("a", "coat", 1, leaves_min=1.5),)),
            "Jory at thirty in scene 1 leaves at 1:30, later than the end of the scene (1).",
        ),
        (
            Plot(SCENES, (wear("a", "coat", 1, copies=0),)),
            "Jory at thirty in scene 1 has 0 copies: at least 1.",
        ),
        (
            Plot(SCENES, (wear("a", "coat", 1), wear("a", "coat", 2))),
            "The appearance key 'a' is used 2 times.",
        ),
        (
            Plot(
                SCENES,
                (Appearance("b", "the Heron", COAT, 1),),
                costume_guises={COAT: "Jory at thirty"},
            ),
            f"the Heron in scene 1 wears '{COAT}', a costume of Jory at thirty.",
        ),
        (
            Plot(SCENES, rules=(change("coat", "coat", 1),)),
            f"The change of Jory at thirty from '{COAT}' to '{COAT}' is no change: "
            "the costumes are the same.",
        ),
        (
            Plot(SCENES, rules=(change("coat", "gown", 1), change("coat", "gown", 2))),
            f"The change of Jory at thirty from '{COAT}' to '{GOWN}' is there 2 times.",
        ),
        (
            Plot(
                SCENES,
                (wear("a", "coat", 1),),
                (ChangeRule("the Heron", COAT, "grey", 60),),
            ),
            f"The change of the Heron from '{COAT}' to 'grey': '{COAT}' is a costume of "
            "Jory at thirty.",
        ),
        (
            Plot(SCENES, rules=(change("coat", "gown", -1),)),
            f"The change of Jory at thirty from '{COAT}' to '{GOWN}' takes less than no time.",
        ),
        (
            Plot(SCENES, rules=(replace(change("coat", "gown", 1), people=-1),)),
            f"The change of Jory at thirty from '{COAT}' to '{GOWN}' asks for -1 people.",
        ),
        (Plot(crossing_s=-1), "The crossing time is negative."),
        (Plot(reset_s=-1), "The reset time is negative."),
        (
            Plot(walks={("left", "bridge"): -1}),
            "The way from left to bridge takes less than no time.",
        ),
    ],
)
def test_each_problem_is_said_once_and_alone(plot: Plot, says: str) -> None:
    assert problems(plot) == [says]


def test_an_exit_in_the_gap_and_an_entrance_before_the_scene_are_sound() -> None:
    assert problems(Plot(SCENES, (wear("a", "coat", 1, -2, 5),))) == []


def test_all_problems_come_at_once() -> None:
    worn = (wear("a", "coat", 9, copies=0), wear("b", "coat", 1, 3, 2))
    plot = Plot(SCENES, worn, (change("coat", "coat", -1),), crossing_s=-1)
    assert len(problems(plot)) == 6


def test_problems_use_the_names_given() -> None:
    plot = Plot(SCENES, (Appearance(7, 1, 2, 1, copies=0),))
    names = Names(guises={1: "Captain Pell"}, scenes={1: "3a"})
    assert problems(plot, names) == ["Captain Pell in scene 3a has 0 copies: at least 1."]


def test_small_numbers_and_lists_are_said_in_words() -> None:
    assert [say_number(n) for n in (0, 12, 13)] == ["none", "twelve", "13"]
    assert [say_list(words) for words in ([], ["coat"], ["coat", "gown"])] == [
        "", "coat", "coat and gown",
    ]  # fmt: skip
