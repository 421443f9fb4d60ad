"""Tests of the drawing primitives: escaping, rounding, the four knots, measured words."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company import drawing as d
from company.drawing import Knot
from company.lettering import clip, measure
from tests.pictures import font_width, ids, read, shapes, size_of, word_boxes

LETTERS = st.text(
    st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), min_size=0, max_size=40
)


@given(LETTERS)
def test_words_of_any_letters_stay_text(text: str) -> None:
    picture = d.picture(99, 9, d.words(1, 2, text), ident="a", title=text or "x", desc=text)

    root = read(picture)

    assert [said for said, _ in word_boxes(root)] == [text]


def test_markup_in_words_and_attributes_is_escaped() -> None:
    nasty = '"><script>alert(1)</script>'

    drawn = d.group(d.words(1, 2, nasty, css=nasty), title=nasty, data_note=nasty)

    assert "<script" not in drawn
    assert drawn.count("&lt;script") == 4


def test_a_safe_part_is_not_escaped_twice() -> None:
    assert d.group(d.words(1, 2, "a & b")).count("&amp;") == 1


@pytest.mark.parametrize(
    ("value", "written"),
    [(3.0, "3"), (2.449, "2.4"), (-0.04, "0"), (0.05, "0.1"), (-1.26, "-1.3"), (1200, "1200")],
)
def test_numbers_are_rounded_to_a_tenth(value: float, written: str) -> None:
    assert d.num(value) == written


@given(st.floats(-5000, 5000))
def test_rounding_moves_nothing_by_more_than_half_a_tenth(value: float) -> None:
    assert abs(float(d.num(value)) - value) <= 0.0501


def test_picture_names_and_describes_itself() -> None:
    root = read(d.picture(30, 20, ident="j4", title="J4", desc="Half done."))

    assert root.attrib["role"] == "img"
    assert root.attrib["aria-labelledby"] == "j4-title j4-desc"
    assert ids(root) == ["j4-title", "j4-desc"]
    assert size_of(root) == (30, 20)


def test_picture_without_title_is_hidden_from_readers() -> None:
    root = read(d.picture(30, 20, ident="x", title=""))

    assert root.attrib["aria-hidden"] == "true"
    assert "role" not in root.attrib


def test_screen_picture_carries_no_style_and_paper_picture_does() -> None:
    screen = d.picture(9, 9, d.knot(Knot.TIED, 4, 4), ident="a", title="t")
    paper = d.picture(9, 9, d.knot(Knot.TIED, 4, 4), ident="a", title="t", printed=True)

    assert "style" not in screen
    assert "<style>" in paper
    assert "var(" not in paper  # the maker of PDFs knows no custom properties in pictures


@pytest.mark.parametrize("state", list(Knot))
@pytest.mark.parametrize("r", [4.0, 6.0, 9.0])
def test_knot_stays_in_the_room_it_says(state: Knot, r: float) -> None:
    left, top, right, foot = d.knot_box(50, 50, r)
    css = {"LOOSE": "loose", "HALF": "half", "TIED": "tied", "STRUCK": "struck"}[state.name]

    (box,) = shapes(
        read(d.group(d.knot(state, 50, 50, r), xmlns="http://www.w3.org/2000/svg")), f"knot-{css}"
    )

    # Control points reach further than the curve they pull: a fifth of r is left for them.
    assert box[0] >= left - r / 5
    assert box[1] >= top - r / 5
    assert box[2] <= right + r / 5
    assert box[3] <= foot + r / 5


def test_the_four_knots_differ_in_shape_not_only_in_colour() -> None:
    drawn = {d.knots(state, [(50, 50)]) for state in Knot}

    assert len(drawn) == 4
    assert "knot-slash" in d.knots(Knot.STRUCK, [(50, 50)])
    assert "knot-mark" in d.knots(Knot.TIED, [(50, 50)])


def test_many_knots_of_a_state_are_one_path_each_with_its_own_loop() -> None:
    root = read(
        d.group(
            d.knots(Knot.LOOSE, [(10, 10), (30, 10), (50, 10)]), xmlns="http://www.w3.org/2000/svg"
        )
    )

    assert len(shapes(root, "knot-loose")) == 3


def test_no_knots_are_no_markup() -> None:
    assert d.knots(Knot.TIED, []) == ""


@given(
    st.tuples(st.integers(0, 50), st.integers(0, 50), st.integers(1, 50), st.integers(1, 50)),
    st.tuples(st.integers(0, 50), st.integers(0, 50), st.integers(1, 50), st.integers(1, 50)),
)
def test_overlap_is_the_same_from_both_sides_and_agrees_with_counting_squares(
    a: tuple[int, int, int, int], b: tuple[int, int, int, int]
) -> None:
    one, other = (a[0], a[1], a[0] + a[2], a[1] + a[3]), (b[0], b[1], b[0] + b[2], b[1] + b[3])

    def squares(box: tuple[int, int, int, int]) -> set[tuple[int, int]]:
        return {(x, y) for x in range(box[0], box[2]) for y in range(box[1], box[3])}

    assert d.overlaps(one, other) == d.overlaps(other, one) == bool(squares(one) & squares(other))


@pytest.mark.parametrize(
    "text", ["J4", "16 Sep · opening", "Jory’s heads passed", "Žluťoučký", "½"]
)
@pytest.mark.parametrize(("bold", "weight"), [(False, 400), (True, 700)])
def test_measured_width_is_the_font_files_own(text: str, bold: bool, weight: int) -> None:
    assert measure(text, 1000, bold=bold) == pytest.approx(
        font_width(text, 1000, weight), abs=0.6 * len(text)
    )


def test_an_unknown_letter_is_taken_as_wide_rather_than_narrow() -> None:
    assert measure("人", 10) >= measure("n", 10)


@given(LETTERS, st.floats(0, 200))
def test_clipped_words_fit_their_room_and_begin_as_they_did(text: str, room: float) -> None:
    cut = clip(text, 13, room)

    assert measure(cut, 13) <= room or cut == ""
    assert text.startswith(cut.removesuffix("…"))


def test_words_that_fit_are_left_alone() -> None:
    assert clip("grey coat", 13, 60) == "grey coat"


def test_clipped_words_show_whole_when_pointed_at() -> None:
    drawn = d.clipped_words(0, 10, "as a very old man of ninety", 60, 13)

    assert "…" in drawn
    assert "<title>as a very old man of ninety</title>" in drawn
