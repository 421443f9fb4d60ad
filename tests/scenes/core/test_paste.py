"""Blocks from a spreadsheet: what they will do, what they leave, what cannot be read in them."""

from __future__ import annotations

import csv
import io
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company.core.units import format_minutes
from scenes.core.paste import (
    GuiseName,
    NewCostume,
    PastePlan,
    Targets,
    apply_paste,
    frame_block,
    plan_paste,
)
from scenes.core.plot import Appearance, Plot
from scenes.core.plot_problems import problems
from tests.scenes.core.stories import make_scenes
from tests.scenes.core.strategies import COSTUMES, plots

SCENES = tuple(
    replace(scene, title=title)
    for scene, title in zip(make_scenes(4, 5, 6, gap_min=1), ("The quay", "Salt", ""), strict=True)
)
GUISES = (
    GuiseName("nine", "Jory Tarrow", "at nine"),
    GuiseName("sixty", "Jory Tarrow", "at sixty"),
    GuiseName("heron", "the Heron"),
)
WORN = {
    "smock": ("nine", "smock"),
    "coat": ("sixty", "coat"),
    "gown": ("sixty", "night gown"),
    "grey": ("heron", "grey"),
}


def paste(*rows: str, there: tuple[Appearance, ...] = ()) -> PastePlan:
    """Rows with '|' between the cells."""
    text = "\n".join(row.replace("|", "\t") for row in rows)
    return plan_paste(text, Targets(Plot(SCENES, there), GUISES, WORN))


def did(plan: PastePlan) -> list[tuple[str, object, object, object]]:
    return [
        (line.fate, (line.after or line.before).guise, (line.after or line.before).scene,  # type: ignore[union-attr]
         None if line.after is None else line.after.costume)
        for line in plan.lines
    ]  # fmt: skip


def bad(plan: PastePlan) -> list[tuple[int, int, str]]:
    return [(gone.row, gone.column, gone.why) for gone in plan.not_understood]


# -- grids ----------------------------------------------------------------------------------------


def test_a_grid_adds_changes_takes_out_and_leaves_alone() -> None:
    there = (
        Appearance("a", "heron", "grey", 1, hold="one hand"),
        Appearance("b", "sixty", "coat", 2, 60, 120, from_place="left"),
        Appearance("c", "sixty", "gown", 3),
        Appearance("d", "sixty", "coat", 3),
        Appearance("e", "nine", "smock", 1),
    )
    plan = paste(
        "role|1|scene 2|3",
        "The  HERON|grey||grey x3",
        "Jory Tarrow at sixty||Night Gown|coat",
        there=there,
    )
    assert plan.form == "grid"
    assert did(plan) == [
        ("left alone", "heron", 1, "grey"),
        ("added", "heron", 3, "grey"),
        ("changed", "sixty", 2, "gown"),
        ("left alone", "sixty", 3, "coat"),
        ("taken out", "sixty", 3, None),
    ]
    assert plan.words() == "1 added, 1 changed, 1 taken out, 2 left alone"
    (changed,) = plan.of("changed")
    assert changed.after == replace(there[1], costume="gown")  # minutes and place stay
    after = apply_paste(Plot(SCENES, there), plan)
    assert [a.key for a in after.appearances] == ["a", "b", "d", "e", ("pasted", 2, 4, 0)]
    assert after.appearances[-1].copies == 3


def test_cells_say_minutes_copies_and_several() -> None:
    plan = paste("|1", "Jory Tarrow at sixty|coat 0:30-2; 2 x night gown 3-4;?")
    wanted = [line.after for line in plan.of("added")]
    assert [(a.costume, a.enters_s, a.leaves_s, a.copies) for a in wanted if a] == [
        ("coat", 30, 120, 1),
        ("gown", 180, 240, 2),
        (None, None, None, 1),
    ]


def test_two_leading_columns_carry_the_character_down() -> None:
    plan = paste("character|guise|1", "Jory Tarrow|at nine|smock", "|at sixty|coat")
    assert did(plan) == [("added", "nine", 1, "smock"), ("added", "sixty", 1, "coat")]
    assert bad(plan) == []


def test_scenes_are_known_by_label_word_and_title() -> None:
    plan = paste("|Scene 1|2 Salt", "the Heron|grey|grey")
    assert [line.after.scene for line in plan.lines if line.after] == [1, 2]
    assert bad(paste("|the quay|1", "the Heron|grey|grey")) == [
        (1, 3, "the same scene as in column 2")
    ]


def test_a_new_costume_is_made_once_however_it_is_spelled() -> None:
    plan = paste("|1|2", "the Heron|white|WHITE")
    assert plan.new_costumes == (NewCostume("heron", "white"),)
    after = apply_paste(Plot(SCENES), plan)
    assert {a.costume for a in after.appearances} == {NewCostume("heron", "white")}
    assert after.costume_guises == {NewCostume("heron", "white"): "heron"}


def test_everything_that_cannot_be_read_is_told_at_once_by_row_and_column() -> None:
    plan = paste(
        "|1|9|2",
        "Jory Tarrow|smock",
        "Odile|smock",
        "the Heron|grey 3-1|grey|grey x0|grey",
        "the Heron|grey",
        "Jory Tarrow at nine|1-3|| 12",
    )
    assert bad(plan) == [
        (1, 3, "there is no scene '9'"),
        (2, 1, "'Jory Tarrow' has several guises: say which of Jory Tarrow at nine, "
               "Jory Tarrow at sixty"),
        (3, 1, "there is no role 'Odile'"),
        (4, 2, "it leaves (1) before it enters (3): it must enter first"),
        (4, 4, "from 1 to 99 copies, not 0"),
        (4, 5, "no scene stands above it"),
        (5, 1, "the same role as in row 4"),
        (6, 2, "there are minutes but no costume: write 'undecided' before them"),
        (6, 4, "'12' is no name of a costume"),
    ]  # fmt: skip
    assert plan.lines == ()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("", "there is nothing in it"),
        ("\n\t\n", "there is nothing in it"),
        ("coat", "the first row names no scene of the plot, nor the columns scene and character"),
        ("1\t2\nHeron\tgrey", "the first column holds the roles: it has no scene above"),
        ("\t1" + "\tx" * 20_000, "more than 20000 cells: paste it in parts"),
    ],
)
def test_a_block_that_is_no_plot_says_so(text: str, why: str) -> None:
    plan = plan_paste(text, Targets(Plot(SCENES), GUISES, WORN))
    assert [gone.why for gone in plan.not_understood] == [why]
    assert not plan.does_something


def test_quoted_cells_and_stray_quotation_marks() -> None:
    plan = plan_paste('\t1\nJory Tarrow at sixty\t"coat\nnight gown"\n',
                      Targets(Plot(SCENES), GUISES, WORN))  # fmt: skip
    assert [line.after.costume for line in plan.lines if line.after] == ["coat", "gown"]
    stray = plan_paste('\t1\nthe Heron\t"grey\n', Targets(Plot(SCENES), GUISES, WORN))
    assert stray.new_costumes == (NewCostume("heron", '"grey'),)


# -- lists ----------------------------------------------------------------------------------------


def test_a_list_adds_and_changes_and_takes_nothing_out() -> None:
    there = (
        Appearance("k-1", "heron", "grey", 1),
        Appearance("k-2", "sixty", "coat", 1),
        Appearance("k-3", "sixty", "gown", 1),
    )
    plan = paste(
        "Scene|Role|Costume|In|Out|Key",
        "1|the Heron|grey|1|2|",
        "1|Jory Tarrow at sixty|coat|||",
        "2|Jory Tarrow at sixty|night gown|||k-3",
        "3|the Heron||||",
        there=there,
    )
    assert plan.form == "list"
    assert did(plan) == [
        ("changed", "heron", 1, "grey"),
        ("left alone", "sixty", 1, "coat"),
        ("changed", "sixty", 2, "gown"),
        ("added", "heron", 3, None),
    ]


def test_a_list_tells_everything_that_is_wrong_with_it() -> None:
    plan = paste(
        "scene|character|guise|enters|hold|key",
        "9|Odile||x|none|",
        "1|Jory Tarrow|at nine|||k",
        "1|Jory Tarrow|at nine|||k",
        "1|the Heron||||k",
        there=(Appearance("k", "nine", "smock", 1),),
    )
    assert bad(plan) == [
        (2, 1, "there is no scene '9'"),
        (2, 2, "there is no role 'Odile'"),
        (2, 4, "'x' is not a number of minutes: write 4, 4.5 or 4:30"),
        (2, 5, "'none' is none of two hands, one hand, hung in view, set down"),
        (4, 1, "the same key as in row 3: leave it blank in a new row"),
        (5, 1, "the key belongs to another role: leave it blank in a new row"),
    ]
    assert bad(paste("scene|character|colour|scene", "1|the Heron|red|1"))[0][:2] == (1, 3)


# -- laws -----------------------------------------------------------------------------------------

LAW_GUISES = (GuiseName("Jory", "Jory"), GuiseName("Heron", "Heron"))
LAW_COSTUMES = {
    (guise, costume): (guise, costume) for guise in ("Jory", "Heron") for costume in COSTUMES
}
law_plots = plots(most_appearances=8, guises=("Jory", "Heron"), most_copies=3).map(
    lambda plot: replace(
        plot,
        scenes=tuple(replace(s, length_s=s.length_s * 60, gap_s=s.gap_s * 60) for s in plot.scenes),
        costume_guises={c: g for c, (g, _) in LAW_COSTUMES.items()},
    )
)


def targets_of(plot: Plot) -> Targets:
    return Targets(plot, LAW_GUISES, LAW_COSTUMES)


def write_list(plot: Plot, *, with_keys: bool) -> str:
    """The plot as rows, all fields said."""
    labels = {scene.key: scene.label for scene in plot.scenes}
    out = io.StringIO()
    writer = csv.writer(out, delimiter="\t")
    head = ["scene", "character", "costume", "enters", "leaves", "from_place", "to_place",
            "copies", "hold", "rig"]  # fmt: skip
    writer.writerow(head + ["key"] * with_keys)
    for a in plot.appearances:
        times = ["" if t is None else format_minutes(t) for t in (a.enters_s, a.leaves_s)]
        costume = a.costume[1] if isinstance(a.costume, tuple) else "undecided"
        row = [labels[a.scene], a.guise, costume, *times, a.from_place, a.to_place, a.copies,
               a.hold, a.rig]  # fmt: skip
        writer.writerow(row + [a.key] * with_keys)
    return out.getvalue()


@given(plot=law_plots, with_keys=st.booleans())
def test_pasting_what_is_there_changes_nothing(plot: Plot, with_keys: bool) -> None:
    plan = plan_paste(write_list(plot, with_keys=with_keys), targets_of(plot))
    assert plan.not_understood == ()
    assert not plan.does_something
    assert len(plan.lines) == len(plot.appearances)
    assert apply_paste(plot, plan).appearances == plot.appearances


@given(plot=law_plots)
def test_pasting_into_an_empty_plot_makes_all_of_it(plot: Plot) -> None:
    empty = replace(plot, appearances=())
    plan = plan_paste(write_list(plot, with_keys=False), targets_of(empty))
    made = apply_paste(empty, plan).appearances
    assert [replace(a, key="") for a in made] == [replace(a, key="") for a in plot.appearances]


@st.composite
def grids(draw: st.DrawFn) -> str:
    cells = ("", "coat", "smock x2", "gown 0:01-0:02", "?", "coat; gown", "velvet", "coat 9-1")
    heads = draw(st.lists(st.sampled_from(("1", "2", "3", "8")), min_size=1, max_size=4))
    rows = draw(st.lists(st.sampled_from(("Jory", "Heron", "Bartle")), max_size=3))
    lines = ["\t".join(["", *heads])]
    lines += ["\t".join([row, *(draw(st.sampled_from(cells)) for _ in heads)]) for row in rows]
    return "\n".join(lines)


@given(plot=law_plots, grid=grids())
def test_pasting_twice_is_pasting_once_and_leaves_a_sound_plot(plot: Plot, grid: str) -> None:
    plan = plan_paste(grid, targets_of(plot))
    assert plan_paste(grid, targets_of(plot)) == plan
    after = apply_paste(plot, plan)
    assert problems(after) == []
    made = {c: (c.guise, c.name) for c in plan.new_costumes}
    again = plan_paste(grid, Targets(after, LAW_GUISES, {**LAW_COSTUMES, **made}))
    assert not again.does_something
    assert again.not_understood == plan.not_understood
    untouched = {line.before.key for line in plan.lines if line.before}
    kept = [a for a in plot.appearances if a.key not in untouched]
    assert all(a in after.appearances for a in kept)


# Bare cells, laid out from where they are pasted


def framed(text: str, roles: list[str], scenes: list[str]) -> list[list[str]]:
    block = frame_block(text, Targets(Plot(SCENES), GUISES, WORN), roles, scenes)
    return [line.split("\t") for line in block.text.splitlines()]


def test_bare_cells_get_the_names_beside_and_above():
    assert framed("coat\tgown\ncoat\n", ["Jory Tarrow at sixty", "the Heron"], ["1", "2", "3"]) == [
        ["", "1", "2"],
        ["Jory Tarrow at sixty", "coat", "gown"],
        ["the Heron", "coat"],
    ]


@pytest.mark.parametrize(
    "text",
    [
        "\t1\t2\nthe Heron\tgrey\t",
        "role\tscene\tcostume\nthe Heron\t1\tgrey",
        "who\tSalt\nthe Heron\tgrey",
        "",
    ],
    ids=["scenes", "list", "title", "nothing"],
)
def test_block_that_names_its_columns_is_left_as_it_is(text):
    targets = Targets(Plot(SCENES), GUISES, WORN)
    assert frame_block(text, targets, ["the Heron"], ["2"]).text == text


def test_bare_cell_that_is_called_like_a_scene_is_a_cell():
    assert framed("Salt\tgrey", ["the Heron"], ["1", "2"]) == [
        ["", "1", "2"],
        ["the Heron", "Salt", "grey"],
    ]


def test_cells_beyond_the_last_scene_and_role_are_said():
    targets = Targets(Plot(SCENES), GUISES, WORN)
    block = frame_block("grey\tgrey\ngrey", targets, ["the Heron"], ["3"])

    plan = plan_paste(block.text, targets)

    assert [(b.row - block.rows, b.column - block.columns, b.why) for b in plan.not_understood] == [
        (1, 2, "no scene stands above it"),
        (2, 0, "the role is not said"),
    ]
