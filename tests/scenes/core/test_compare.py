"""Two drafts compared: taking what is said to differ turns the one into the other."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.core.compare import Comparison, FieldChange, compare_plots, say_field
from scenes.core.counting import count_figures
from scenes.core.naming import Names
from scenes.core.plot import Plot, Scene
from tests.scenes.core.stories import JORY, change, make_scenes, wear
from tests.scenes.core.strategies import plots

SCENES = make_scenes(4, 4, 4, gap_min=1)
some_plots = plots(most_appearances=8, guises=("Jory", "Heron"))


def compare(before: Plot, after: Plot) -> Comparison:
    return compare_plots(before, after, (count_figures(before), count_figures(after)))


@given(plot=some_plots)
def test_a_draft_does_not_differ_from_itself(plot: Plot) -> None:
    found = compare(plot, plot)
    assert found.is_same
    assert found.figures[0] == found.figures[1]


@given(before=some_plots, after=some_plots)
def test_what_is_said_turns_the_one_into_the_other(before: Plot, after: Plot) -> None:
    found = compare(before, after)
    for name, changes in (("appearances", found.appearances), ("scenes", found.scenes)):
        rows = {row.key: row for row in getattr(before, name)}
        for change_ in changes:
            if change_.after is None:
                assert change_.before is not None
                del rows[change_.before.key]
            elif change_.fate == "came":
                assert change_.after.key not in rows
                rows[change_.after.key] = change_.after
            else:
                said = {field.name: field.after for field in change_.fields}
                rows[change_.after.key] = replace(rows[change_.after.key], **said)
        assert set(rows.values()) == set(getattr(after, name))
    assert {r.after for r in found.rules if r.after} | (
        set(before.rules) & set(after.rules)
    ) == set(after.rules)
    assert sum(g.more for g in found.guises) == found.figures[1] - found.figures[0]


@given(before=some_plots, after=some_plots)
def test_the_other_way_round_what_came_went(before: Plot, after: Plot) -> None:
    there, back = compare(before, after), compare(after, before)
    turned = {"came": "went", "went": "came", "changed": "changed"}

    def fates(found: Comparison, turn: bool) -> list[tuple[str, str]]:
        return sorted(
            (str((row.after or row.before).key), turned[row.fate] if turn else row.fate)  # type: ignore[union-attr]
            for row in found.appearances
        )

    assert fates(there, True) == fates(back, False)
    assert there.figures == back.figures[::-1]


@given(order=st.permutations(range(6)))
def test_as_few_scenes_as_can_be_are_said_to_have_moved(order: list[int]) -> None:
    scenes = [Scene(n, str(n), 60) for n in range(6)]
    found = compare(Plot(tuple(scenes)), Plot(tuple(scenes[n] for n in order)))
    moved = sum(row.moved for row in found.scenes)
    longest = max(
        size
        for size in range(1, 7)
        for kept in combinations(order, size)
        if list(kept) == sorted(kept)
    )
    assert moved == 6 - longest


def test_a_new_scene_with_a_costume_is_one_figure_more() -> None:
    before = Plot(SCENES[:2], (wear("1", "coat", 1), wear("2", "coat", 2)))
    after = replace(
        before,
        scenes=SCENES,
        appearances=(
            replace(wear("1", "coat", 1), enters_s=60, hold="one hand"),
            wear("3", "gown", 3),
        ),
        rules=(change("gown", "coat", 1),),
        reset_s=30,
        walks={("left", "bridge"): 40},
    )
    found = compare(before, after)
    assert found.words() == "one figure more: 2 after 1"
    assert [(row.fate, row.fields) for row in found.scenes] == [("came", ())]
    assert [row.fate for row in found.appearances] == ["changed", "came", "went"]
    said = [say_field(field, Names()) for field in found.appearances[0].fields]
    assert said == ["enters: 1, was with the scene", "hold: one hand, was two hands"]
    assert [row.fate for row in found.rules] == ["came"]
    assert [say_field(field, Names()) for field in found.settings] == [
        "reset: 0:30, was 0",
        "from left to bridge: 0:40, was not said",
    ]
    (guise,) = found.guises
    assert (guise.guise, guise.figures, guise.more) == (JORY, (1, 2), 1)


@pytest.mark.parametrize(
    ("field", "said"),
    [
        (FieldChange("costume", None, "coat"), "costume: coat, was undecided"),
        (FieldChange("is_interval", False, True), "interval after: yes, was no"),
        (FieldChange("rig", "", "fight"), "trick build: fight, was plain"),
        (FieldChange("to_place", "left", ""), "leaves to: not said, was left"),
        (FieldChange("scene", 1, 2), "scene: scene 2, was scene 1"),
        (FieldChange("guise", "Pell", "Quill"), "guise: Quill, was Pell"),
        (FieldChange("gap_s", 0, 90), "gap after: 1:30, was 0"),
    ],
)
def test_fields_are_said_in_words(field: FieldChange, said: str) -> None:
    assert say_field(field, Names()) == said


def test_figures_in_words() -> None:
    assert Comparison((), (), (), (), (), (3, 1)).words() == "two figures fewer: 1 after 3"
    assert Comparison((), (), (), (), (), (1, 1)).words() == "one figure as before"
    assert Comparison((), (), (), (), (), (4, 4)).words() == "4 figures as before"


def test_a_key_used_twice_is_refused() -> None:
    twice = Plot((Scene("a", "1", 60), Scene("a", "2", 60)))
    counts = (count_figures(Plot()), count_figures(Plot()))
    with pytest.raises(ValueError, match="the scene key 'a' is used twice"):
        compare_plots(Plot(), twice, counts)
