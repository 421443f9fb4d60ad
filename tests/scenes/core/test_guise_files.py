"""guises.csv: read with every problem at once, written so that reading gives the same again."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.core.plot_files.guises import (
    KINDS,
    GuiseRow,
    names_in,
    read_guises,
    write_guises,
)

WHOLE = GuiseRow(
    character="Jory Tarrow",
    guise="at sixty",
    costume="pilot coat",
    letters="J",
    kind="string",
    scale=Decimal("0.8"),
    height_mm=560,
    head_mm=92,
    words="bent, dry, stubborn",
    colours="ash; brick dust",
    moves=True,
    chosen_by=date(2026, 4, 1),
    note="knees never straighten\nsee the drawing",
    tint=4,
    sewing_min=1500,
    weight_g=310,
    matters=False,
    line=2,
)


def read(text):
    return read_guises("guises.csv", text if isinstance(text, bytes) else text.encode())


def told(text):
    return [str(problem) for problem in read(text)[1]]


def test_whole_line_is_read_back():
    rows, problems = read(write_guises([WHOLE]))

    assert (rows, problems) == ([WHOLE], ())


def test_semicolons_and_any_order():
    rows, problems = read("costume;sewing;guise;character\nsmock;1½ h;at nine;Jory\n")

    assert problems == ()
    assert (rows[0].costume, rows[0].sewing_min, rows[0].kind) == ("smock", 90, "")


def test_everybody_is_named_once_in_the_first_spelling():
    rows, _ = read(
        "character,guise,costume\nJory,at nine,smock\nJORY,At Nine,SMOCK\nJory,,\nHeron,,grey\n"
    )

    jory, heron = names_in(rows)
    assert (jory.name, [guise.name for guise in jory.guises]) == ("Jory", ["at nine", ""])
    assert jory.guises[0].costumes == ("smock",)
    assert heron.guises[0].costumes == ("grey",)


def test_every_problem_at_once_by_line():
    found = told(
        "character,guise,letters,kind,scale,height_mm,head_mm,moves,chosen_by,"
        "costume,tint,sewing,weight_g,matters\n"
        ",x,J4,tin,0,tall,0,perhaps,soon,coat,7,long,heavy,?\n"
        "Jory,,J,,,,,,,,,,,\n"
        "Jory,,K,,,,,,,,,,,\n"
        "Heron,,J,,,,,,,,,,,\n"
        "Heron,,,,,,,,,,3,,,\n"
    )

    assert len([line for line in found if line.startswith("guises.csv:2:")]) == 12
    assert "guises.csv:4: letters: Jory has J in line 3" in found
    assert "guises.csv:5: letters: J is another role's in line 3" in found
    assert "guises.csv:6: costume is blank, but something is said of it" in found


@pytest.mark.parametrize("scale", ["0", "-1", "NaN", "Infinity", "1e400", "51", "0.0001", "x"])
def test_scale_that_cannot_be(scale):
    assert any("scale" in line for line in told(f"character,guise,scale\nJory,,{scale}\n"))


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "is empty"),
        ("character\nJory\n", "the column guise is missing"),
        ("character,guise,hat\nJory,,tall\n", "unknown column 'hat'"),
        ("character,guise\nJöry,\n".encode("latin-1"), "is not UTF-8"),
        (b"x" * 10_000_000, "MB"),
        ("character,guise,note\nJory,," + "x" * 4001 + "\n", "longer than 4000"),
    ],
)
def test_file_that_cannot_be_read_is_refused_in_words(text, words):
    assert any(words in line for line in told(text))


@given(st.binary(max_size=300))
def test_rubbish_is_told_or_read(data):
    rows, problems = read(b"character,guise,scale,sewing,chosen_by,letters\n" + data)

    assert problems or all(row.character for row in rows)


plain = st.text(st.characters(categories=["L", "N"]), min_size=1, max_size=20)


@given(
    st.builds(
        GuiseRow,
        character=plain,
        guise=plain,
        costume=plain,
        kind=st.sampled_from(["", *KINDS]),
        scale=st.none() | st.decimals("0.001", 50, places=3),
        height_mm=st.none() | st.integers(1, 20_000),
        moves=st.none() | st.booleans(),
        chosen_by=st.none() | st.dates(date(1000, 1, 1)),
        tint=st.none() | st.integers(1, 6),
        sewing_min=st.none() | st.integers(0, 120_000),
        weight_g=st.none() | st.integers(0, 100_000),
        on_one=st.none() | st.integers(1, 50),
        further_min=st.none() | st.integers(0, 6_000),
        rigs=st.just(("barrel", "a = b")),
        break_away=st.sampled_from([(), (("barrel", 45),), (("a = b", 0), ("barrel", 7))]),
        matters=st.none() | st.booleans(),
    )
)
def test_what_is_written_is_read_back(row):
    rows, problems = read(write_guises([row]))

    assert problems == ()
    names = {name: getattr(rows[0], name) for name in ("character", "guise", "costume")}
    assert rows == [replace(row, line=2, **names)]
