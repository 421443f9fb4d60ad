"""The plot as spreadsheets: read, refused with every reason, and written back."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company.core.names import name_key, tidy_name
from scenes.core.counting import check_count, count_figures
from scenes.core.plot_files import (
    AppearanceRow,
    ChangeRow,
    CharacterNames,
    GuiseNames,
    PlotFile,
    SceneRow,
    Source,
    make_names,
    make_plot,
    read_plot_files,
    write_plot_files,
)
from scenes.core.plot_files.rows import HOLDS
from scenes.core.plot_problems import problems

SCENES = """scene,title,act,minutes,gap_after
1,The quay,one,4,0:30
2,The salt house,one,5:30,15
3a,The sea,two,3.5,
"""
PLOT = """scene,character,guise,costume,enters,leaves,from_place,to_place,copies
1,Jory Tarrow,at nine,smock,,,left,right,
2,Jory Tarrow,at sixty,coat,-0:30,4:30,left,left,1
2,the gulls,,grey,1,,,,5
3a,Jory Tarrow,at sixty,,,,,,
"""
CHANGES = """character,guise,from_costume,to_costume,minutes,people
Jory Tarrow,at sixty,coat,oilskin,1.5,2
Captain Pell,,uniform,nightshirt,3,
"""


def read(
    scenes: str | bytes = SCENES, plot: str | bytes = PLOT, changes: str | bytes | None = None
) -> tuple[PlotFile | None, list[str]]:
    def source(name: str, data: str | bytes) -> Source:
        return Source(name, data.encode() if isinstance(data, str) else data)

    reading = read_plot_files(
        source("scenes.csv", scenes),
        source("plot.csv", plot),
        None if changes is None else source("changes.csv", changes),
    )
    assert (reading.plot is None) == bool(reading.problems)
    return reading.plot, [str(problem) for problem in reading.problems]


def read_sound(*args: str | bytes) -> PlotFile:
    plot, wrong = read(*args)
    assert wrong == []
    assert plot is not None
    return plot


def test_a_plot_is_read() -> None:
    plot = read_sound(SCENES, PLOT, CHANGES)
    assert plot.scenes == (
        SceneRow("1", 240, "The quay", "one", 30),
        SceneRow("2", 330, "The salt house", "one", 900),
        SceneRow("3a", 210, "The sea", "two", 0),
    )
    assert plot.appearances == (
        AppearanceRow("1", "Jory Tarrow", "at nine", "smock", None, None, "left", "right"),
        AppearanceRow("2", "Jory Tarrow", "at sixty", "coat", -30, 270, "left", "left"),
        AppearanceRow("2", "the gulls", "", "grey", 60, None, copies=5),
        AppearanceRow("3a", "Jory Tarrow", "at sixty", ""),
    )
    assert plot.changes == (
        ChangeRow("Jory Tarrow", "at sixty", "coat", "oilskin", 90, 2),
        ChangeRow("Captain Pell", "", "uniform", "nightshirt", 180, 1),
    )


def test_the_files_make_whom_they_name() -> None:
    assert read_sound(SCENES, PLOT, CHANGES).characters() == (
        CharacterNames(
            "Jory Tarrow",
            (GuiseNames("at nine", ("smock",)), GuiseNames("at sixty", ("coat", "oilskin"))),
        ),
        CharacterNames("the gulls", (GuiseNames("", ("grey",)),)),
        CharacterNames("Captain Pell", (GuiseNames("", ("uniform", "nightshirt")),)),
    )


def semicolons(text: str) -> str:
    return text.replace(",", ";").replace("3.5", "3,5")


@pytest.mark.parametrize(
    "spell",
    [
        str.encode,
        lambda text: text.encode("utf-8-sig"),
        lambda text: semicolons(text).encode(),
        lambda text: semicolons(text).encode("utf-8-sig"),
        lambda text: text.replace("\n", "\r\n").encode(),
        lambda text: text.replace("\n", "\r").encode(),
        lambda text: text.replace("\n", "\n \n", 1).encode(),
        lambda text: (text + "," * text.split("\n")[0].count(",") + "\n").encode(),
        lambda text: text.rstrip("\n").encode(),
        lambda text: ("\n\n" + text).encode(),
        lambda text: text.replace("scene", " Scene ").encode(),
        lambda text: text.replace("\n", ",,\n").encode(),  # empty columns a spreadsheet adds
    ],
)
def test_the_same_plot_in_other_spellings_of_a_table(spell: object) -> None:
    assert callable(spell)
    assert read_sound(spell(SCENES), spell(PLOT), spell(CHANGES)) == read_sound(
        SCENES, PLOT, CHANGES
    )


def test_columns_come_in_any_order_and_some_may_be_left_out() -> None:
    plot = read_sound("minutes,scene\n4,1\n", "costume,guise,scene,character\ngrey,,1,Heron\n")
    assert plot == PlotFile((SceneRow("1", 240),), (AppearanceRow("1", "Heron", "", "grey"),))


def test_optional_columns_are_read() -> None:
    key = "0f8fad5b-d9cb-469f-a165-70867728950e"
    plot = read_sound(
        "scene,minutes,needed_by,interval\n1,4,2026-03-31,yes\n2,4,,no\n",
        f"scene,character,guise,costume,hold,rig,key\n1,Heron,,grey,One hand,flying,{key.upper()}\n"
        "1,Heron,,grey,hung,plain,\n",
    )
    assert plot.scenes[0].needed_by == date(2026, 3, 31)
    assert [scene.is_interval for scene in plot.scenes] == [True, False]
    first, second = plot.appearances
    assert (first.hold, first.rig, first.key) == ("one hand", "flying", key)
    assert (second.hold, second.rig, second.key) == ("hung in view", "", "")


def test_a_header_alone_is_a_plot_without_anything() -> None:
    lines = (SCENES.splitlines()[0], PLOT.splitlines()[0], CHANGES.splitlines()[0])
    assert read_sound(*lines) == PlotFile()


def test_names_match_whatever_their_case_and_keep_the_first_spelling() -> None:
    plot = read_sound(
        "scene,minutes\n3A,4\n",
        "scene,character,guise,costume,from_place\n"
        "3a, Odile\u0301 ,At Nine,Coat,Left\n"
        "3A,ODIL\u00c9,at  nine,COAT,LEFT\n",
        "character,guise,from_costume,to_costume,minutes\nodil\u00e9,AT NINE,coat,gown,1\n",
    )
    assert {(a.scene, a.character, a.guise, a.costume, a.from_place) for a in plot.appearances} == {
        ("3A", "Odil\u00e9", "At Nine", "Coat", "Left")
    }
    assert plot.changes[0].from_costume == "Coat"
    assert len(plot.characters()) == 1


def test_two_guises_may_each_have_a_coat_of_its_own_spelling() -> None:
    plot = read_sound(
        "scene,minutes\n1,4\n",
        "scene,character,guise,costume\n1,Jory,at nine,Coat\n1,Jory,at sixty,coat\n1,Pell,,COAT\n",
    )
    assert [a.costume for a in plot.appearances] == ["Coat", "coat", "COAT"]
    assert count_figures(make_plot(plot)).figures == 3


def test_equal_rows_are_separate_appearances() -> None:
    plot = read_sound(SCENES, PLOT + PLOT.splitlines()[1] + "\n")
    assert plot.appearances[0] == plot.appearances[-1]
    counted = count_figures(make_plot(plot)).of(("Jory Tarrow", "at nine"))
    assert counted.figures == 2


HEAD = "scene,character,guise,costume,enters,leaves,copies,hold,rig,key\n"


@pytest.mark.parametrize(
    ("scenes", "plot", "changes", "says"),
    [
        # scenes.csv
        ("scene,minutes\n1,\n", HEAD, None, "scenes.csv:2: minutes: minutes are missing"),
        ("scene,minutes\n1,0\n", HEAD, None, "scenes.csv:2: minutes: a scene lasts longer"),
        ("scene,minutes\n1,ten\n", HEAD, None, "scenes.csv:2: minutes: 'ten' is not a number"),
        ("scene,minutes\n,4\n", HEAD, None, "scenes.csv:2: scene is blank"),
        (
            "scene,minutes\n3a,4\n2,4\n3A ,4\n",
            HEAD,
            None,
            "scenes.csv:4: scene: '3a' is there already, in line 2",
        ),
        ("scene,minutes,gap_after\n1,4,-1\n", HEAD, None, "gap_after: '-1' is negative"),
        ("scene,minutes,interval\n1,4,maybe\n", HEAD, None, "interval: 'maybe' is neither yes"),
        ("scene,minutes,needed_by\n1,4,31.3.26\n", HEAD, None, "'31.3.26' is not a date"),
        (f"scene,minutes\n{'1' * 21},4\n", HEAD, None, "is longer than 20 letters"),
        (f"scene,minutes,title\n1,4,{'x' * 121}\n", HEAD, None, "is longer than 120 letters"),
        # plot.csv
        (SCENES, HEAD + "9,Heron,,grey,,,,,,\n", None, "there is no scene '9' in scenes.csv"),
        (SCENES, HEAD + ",Heron,,grey,,,,,,\n", None, "plot.csv:2: scene is blank"),
        (SCENES, HEAD + "1,,,grey,,,,,,\n", None, "plot.csv:2: character is blank"),
        (SCENES, HEAD + "1,Heron,,grey,3,2,,,,\n", None, "leaves: leaves (2) before it enters (3)"),
        (SCENES, HEAD + "1,Heron,,grey,4,,,,,\n", None, "leaves: leaves (4) before it enters (4)"),
        (
            SCENES,
            HEAD + "1,Heron,,grey,,4:31,,,,\n",
            None,
            "leaves at 4:31, later than the end of the scene (4) and the gap after it (0:30)",
        ),
        (SCENES, HEAD + "1,Heron,,grey,x,,,,,\n", None, "enters: 'x' is not a number of minutes"),
        (SCENES, HEAD + "1,Heron,,grey,,-1,,,,\n", None, "leaves: '-1' is negative"),
        (SCENES, HEAD + "1,Heron,,grey,,,0,,,\n", None, "copies: 0 is not between 1 and 999"),
        (SCENES, HEAD + "1,Heron,,grey,,,1.5,,,\n", None, "copies: '1.5' is not a whole number"),
        (SCENES, HEAD + "1,Heron,,grey,,,\u0663,,,\n", None, "is not a whole number"),
        (SCENES, HEAD + "1,Heron,,grey,,,,floating,,\n", None, "hold: 'floating' is none of"),
        (SCENES, HEAD + "1,Heron,,grey,,,,,,abc\n", None, "key: 'abc' is not a key"),
        (
            SCENES,
            HEAD + "1,Heron,,grey,,,,,,{0}\n1,Heron,,grey,,,,,,{0}\n".format("0" * 32),
            None,
            "plot.csv:3: key: the same as in line 2",
        ),
        (SCENES, HEAD + f"1,{'H' * 81},,grey,,,,,,\n", None, "longer than 80 letters"),
        (SCENES, HEAD + "1,Her\x07on,,grey,,,,,,\n", None, "a sign that cannot be printed"),
        # changes.csv
        (SCENES, HEAD, CHANGES + "Pell,,coat,coat,1,\n", "'coat' to itself is no change"),
        (SCENES, HEAD, CHANGES + "Pell,,coat,COAT,1,\n", "'coat' to itself is no change"),
        (
            SCENES,
            HEAD,
            CHANGES + "jory tarrow,At Sixty,COAT,oilskin,1,\n",
            "changes.csv:4: this change is there already, in line 2",
        ),
        (SCENES, HEAD, CHANGES + "Pell,,,coat,1,\n", "changes.csv:4: from_costume is blank"),
        (SCENES, HEAD, CHANGES + "Pell,,coat,gown,,\n", "changes.csv:4: minutes: "),
        (SCENES, HEAD, CHANGES + "Pell,,coat,gown,1,many\n", "people: 'many' is not"),
        # tables
        ("", HEAD, None, "scenes.csv:1: is empty: its first line must name the columns scene,"),
        (" ,\n,\n", HEAD, None, "scenes.csv:1: is empty"),
        ("scene,minutes,colour,sound\n", HEAD, None, "unknown column 'colour', 'sound': known are"),
        ("scene,title\n", HEAD, None, "scenes.csv:1: the column minutes is missing"),
        ("scene,minutes,Scene\n", HEAD, None, "scenes.csv:1: the column scene is there twice"),
        ("scene,minutes\n1\n", HEAD, None, "scenes.csv:2: has 1 cells where the first line has 2"),
        ("scene,minutes\n1,2,3\n", HEAD, None, "has 3 cells where the first line has 2"),
        ("scene,minutes,\n1,2,3\n", HEAD, None, "'3' stands in a column without a name"),
        ('scene,minutes\n"1,4\n2,4\n', HEAD, None, "scenes.csv:2: a quotation mark opens here"),
        ('scene,minutes\n"1"x,4\n', HEAD, None, "scenes.csv:2: cannot be read as a line"),
        (b"scene,minutes\n1\x00,4\n", HEAD, None, "scenes.csv:2: is not a text file"),
        (b"scene,minutes\nK\xe4,4\n", HEAD, None, ":2: is not UTF-8 (byte 0xe4)"),
        (SCENES.encode("utf-16"), HEAD, None, "scenes.csv:1: is not UTF-8 but UTF-16"),
        (b"\x89PNG\r\n\x1a\n\xff", HEAD, None, "is not UTF-8 (byte 0x89)"),
        (b"rubbish\n" * 1_300_000, HEAD, None, "is 10.4 MB; a plot file is at most 8 MB"),
        (b"x" * 5_000_000, HEAD, None, "scenes.csv:1: "),
        ("scene,minutes\n" + "1,1\n" * 20_001, HEAD, None, "more than 20000 lines"),
    ],
)  # fmt: skip
def test_what_is_wrong_is_said_with_file_and_line(
    scenes: str | bytes, plot: str, changes: str | None, says: str
) -> None:
    _, wrong = read(scenes, plot, changes)
    assert any(says in line for line in wrong), wrong[:5]
    assert all(len(line) < 400 for line in wrong)


def test_all_problems_of_all_files_come_at_once_in_order() -> None:
    plot, wrong = read(
        "scene,minutes\n1,x\n1,4\n",
        "scene,character,guise,costume,copies\n1,,,grey,0\n7,Heron,,grey,\n",
        "character,guise,from_costume,to_costume,minutes\nHeron,,grey,grey,\n",
    )
    assert plot is None
    assert [line.split(": ")[0] for line in wrong] == [
        "scenes.csv:2", "scenes.csv:3", "plot.csv:2", "plot.csv:2", "plot.csv:3",
        "changes.csv:2", "changes.csv:2",
    ]  # fmt: skip


def test_a_scene_with_a_problem_of_its_own_is_not_unknown_as_well() -> None:
    _, wrong = read("scene,minutes\n1,x\n", "scene,character,guise,costume\n1,Heron,,grey\n")
    assert len(wrong) == 1


def test_scenes_that_cannot_be_read_at_all_do_not_make_every_appearance_wrong() -> None:
    _, wrong = read("rubbish", PLOT)
    assert [line.split(":")[0] for line in wrong] == ["scenes.csv", "scenes.csv"]


def test_thousands_of_problems_end_in_their_number() -> None:
    _, wrong = read("scene,minutes\n" + "1,x\n" * 3_000)
    assert len([line for line in wrong if line.startswith("scenes.csv")]) == 1_001
    # Each line is wrong once, all but the first twice.
    assert "scenes.csv:1: and 4999 more problems" in wrong


def test_a_scene_label_is_a_text_and_keeps_its_order() -> None:
    plot = read_sound("scene,minutes\n10,1\n9,1\n3a,1\n03,1\n3,1\n", HEAD)
    assert [scene.label for scene in plot.scenes] == ["10", "9", "3a", "03", "3"]


def test_a_file_becomes_a_plot_that_can_be_counted() -> None:
    files = read_sound(SCENES, PLOT, CHANGES)
    plot = make_plot(files, crossing_s=20, reset_s=30)
    assert problems(plot, make_names(files)) == []
    count = count_figures(plot)
    assert check_count(plot, count) == []
    assert [(c.guise, c.figures) for c in count.guises] == [
        (("Jory Tarrow", "at nine"), 1),
        (("Jory Tarrow", "at sixty"), 2),
        (("the gulls", ""), 5),
        (("Captain Pell", ""), 0),
    ]
    assert count.guises[1].reason.words(make_names(files)) == (
        "two costumes, no change possible: 2"
    )
    assert make_names(files).guise(("Jory Tarrow", "at nine")) == "Jory Tarrow at nine"
    assert make_names(files).guise(("the gulls", "")) == "the gulls"


# Names as people write them, with signs that tables use; in the one form that is kept.
names = st.text(
    st.characters(exclude_categories=("Cs", "Cc", "Cn"), include_characters=",;\"'=- "), max_size=12
).map(tidy_name)
full_names = names.filter(lambda name: bool(name_key(name)))


def _spell_once(chosen: list[str]) -> list[str]:
    first: dict[str, str] = {}
    return [first.setdefault(name_key(name), name) for name in chosen]


@st.composite
def plot_files(draw: st.DrawFn) -> PlotFile:
    labels = draw(st.lists(full_names, unique_by=name_key, max_size=4))
    acts = _spell_once([draw(names) for _ in labels])
    scenes = tuple(
        SceneRow(
            label,
            draw(st.integers(1, 4000)),
            draw(names),
            act,
            draw(st.integers(0, 2000)),
            draw(st.booleans()),
            draw(st.one_of(st.none(), st.dates())),
        )
        for label, act in zip(labels, acts, strict=True)
    )
    places = ["", *_spell_once(draw(st.lists(full_names, unique_by=name_key, max_size=3)))]
    appearances = []
    for n in range(draw(st.integers(0, 5)) if scenes else 0):
        scene = draw(st.sampled_from(scenes))
        enters_s = draw(st.one_of(st.none(), st.integers(-300, scene.length_s - 1)))
        leaves = st.integers(max((enters_s or 0) + 1, 0), scene.length_s + scene.gap_s)
        appearances.append(
            AppearanceRow(
                scene.label,
                draw(st.sampled_from(("Jory", "the gulls"))),
                draw(st.sampled_from(("", "at nine"))),
                draw(st.sampled_from(("", "coat", "Gown, grey"))),
                enters_s,
                draw(st.one_of(st.none(), leaves)),
                draw(st.sampled_from(places)),
                draw(st.sampled_from(places)),
                draw(st.integers(1, 999)),
                draw(st.sampled_from(HOLDS)),
                draw(st.sampled_from(("", "flying"))),
                draw(st.sampled_from(("", f"00000000-0000-0000-0000-{n:012d}"))),
            )
        )
    changes = tuple(
        ChangeRow("Jory", "at nine", one, two, draw(st.integers(0, 999)), draw(st.integers(0, 9)))
        for one, two in draw(
            st.lists(st.sampled_from((("coat", "Gown, grey"), ("Gown, grey", "coat"))), unique=True)
        )
    )
    return PlotFile(scenes, tuple(appearances), changes)


@given(plot=plot_files(), delimiter=st.sampled_from(",;"))
def test_reading_what_was_written_gives_the_same_plot(plot: PlotFile, delimiter: str) -> None:
    files = write_plot_files(plot, delimiter)
    assert read_sound(files["scenes.csv"], files["plot.csv"], files["changes.csv"]) == plot


@given(data=st.tuples(st.binary(max_size=80), st.binary(max_size=80), st.binary(max_size=80)))
def test_any_bytes_at_all_are_read_or_refused(data: tuple[bytes, bytes, bytes]) -> None:
    _, wrong = read(*data)
    assert wrong


@given(
    text=st.text(st.sampled_from('1234,;:"\n\r x-.\t\ufeff'), max_size=60),
    header=st.sampled_from(("scene,minutes\n", "scene;minutes\n")),
)
def test_any_table_at_all_is_read_or_refused(text: str, header: str) -> None:
    read(header + text, HEAD)


def test_a_delimiter_that_no_reader_knows_is_refused() -> None:
    with pytest.raises(ValueError, match=r"delimiter is '\|'"):
        write_plot_files(PlotFile(), "|")


def test_an_exported_plot_counts_as_before() -> None:
    before = read_sound(SCENES, PLOT, CHANGES)
    files = write_plot_files(before)
    after = read_sound(files["scenes.csv"], files["plot.csv"], files["changes.csv"])
    assert count_figures(make_plot(after)) == count_figures(make_plot(before))
    assert replace(after, scenes=()) != before
