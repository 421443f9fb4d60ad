"""Tests of the thread, the braid and a mould's castings: nothing overlaps, nothing is lost."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.drawings import (
    BraidData,
    BraidKnot,
    Milestone,
    Strand,
    ThreadData,
    draw_braid,
    draw_castings,
    draw_thread,
)
from company.drawing import Knot
from tests.pictures import (
    ids,
    overlapping_words,
    read,
    shapes,
    shown,
    size_of,
    touch,
    word_boxes,
    words_outside,
)

FIRST, OPENING, TODAY = date(2027, 1, 12), date(2027, 9, 16), date(2027, 5, 6)
WIDTHS = (1440, 880, 360)
DAYS = st.dates(date(2026, 6, 1), date(2028, 6, 1))
NAMES = st.text(st.characters(codec="latin-1", exclude_categories=("Cc",)), min_size=1, max_size=60)
STATES = st.sampled_from(Knot)


def salt_almanac(**more: object) -> ThreadData:
    milestones = (
        Milestone(date(2027, 3, 3), "Jory’s heads passed", Knot.TIED),
        Milestone(date(2027, 6, 19), "heads cast"),
        Milestone(date(2027, 7, 28), "bodies trial-hung"),
    )
    fields = {
        "today": TODAY,
        "first_day": FIRST,
        "opening": OPENING,
        "ready": date(2027, 9, 4),
        "milestones": milestones,
    }
    return ThreadData(**{**fields, **more})  # type: ignore[arg-type]


# The thread


@given(
    today=DAYS,
    first=st.none() | DAYS,
    opening=st.none() | DAYS,
    ready=st.none() | DAYS,
    milestones=st.lists(st.builds(Milestone, DAYS, NAMES, STATES, st.booleans()), max_size=25),
    width=st.sampled_from(WIDTHS),
)
def test_thread_words_never_overlap_nor_leave_the_picture(
    today: date,
    first: date | None,
    opening: date | None,
    ready: date | None,
    milestones: list[Milestone],
    width: int,
) -> None:
    data = ThreadData(today, first, opening, ready, tuple(milestones))

    root = read(draw_thread(data, ident="t", width=width))

    assert overlapping_words(root) == []
    assert words_outside(root) == []
    assert any(text.startswith("today") for text in shown(root))
    assert any("opening" in text for text in shown(root)) or not opening
    assert any("ready" in text for text in shown(root)) or not ready


def test_thread_of_milestones_on_two_neighbouring_days_stacks_their_words() -> None:
    crowded = tuple(
        Milestone(date(2027, 6, 1) + timedelta(days=n), f"milestone number {n}") for n in range(4)
    )

    root = read(draw_thread(salt_almanac(milestones=crowded), ident="t"))

    said = [text for text in shown(root) if "milestone" in text]
    assert len(said) == 4
    assert overlapping_words(root) == []


def test_thread_words_keep_off_the_thread_and_its_knots() -> None:
    root = read(draw_thread(salt_almanac(), ident="t"))
    knots = [box for css in ("knot-loose", "knot-tied") for box in shapes(root, css)]

    assert len(knots) == 5
    for text, box in word_boxes(root):
        assert not [knot for knot in knots if touch(box, knot)], text


@pytest.mark.parametrize("width", WIDTHS)
def test_thread_says_first_of_all_how_it_stands(width: int) -> None:
    kept = read(draw_thread(salt_almanac(), ident="t", width=width))
    late = read(draw_thread(salt_almanac(ready=date(2027, 9, 19)), ident="t", width=width))

    assert "12 days in hand" in "".join(kept.itertext())
    assert "3 days late" in "".join(late.itertext())


def test_thread_on_a_phone_keeps_the_knots_and_gives_up_their_words() -> None:
    root = read(draw_thread(salt_almanac(), ident="t", width=360))

    assert not [text for text in shown(root) if "heads cast" in text]
    assert len(shapes(root, "knot-loose")) == 3  # two milestones and the day all is ready
    assert "heads cast, not begun" in "".join(root.itertext())


def test_thread_before_the_first_day_is_all_ahead() -> None:
    root = read(draw_thread(salt_almanac(today=date(2026, 12, 6)), ident="t"))

    lines = [e.attrib["class"] for e in root.iter() if "thread-line" in e.get("class", "")]
    assert lines == ["thread-line thread-ahead"]


def test_thread_after_opening_is_all_worked() -> None:
    root = read(draw_thread(salt_almanac(today=date(2027, 10, 6)), ident="t"))

    lines = [e.attrib["class"] for e in root.iter() if "thread-line" in e.get("class", "")]
    assert lines == ["thread-line"]


def test_thread_without_plan_or_opening_says_so() -> None:
    root = read(draw_thread(ThreadData(TODAY), ident="t"))

    assert "No plan yet" in "".join(root.itertext())
    assert shown(root) == ["today, 6 May"]


def test_thread_of_one_single_day_still_shows_all_of_it() -> None:
    one_day = ThreadData(TODAY, TODAY, TODAY, TODAY, (Milestone(TODAY, "all at once"),))

    root = read(draw_thread(one_day, ident="t", width=360))

    assert {"today, 6 May", "6 May · opening", "6 May · ready, none in hand"} <= set(shown(root))
    assert overlapping_words(root) == []


def test_thread_gives_the_year_where_it_is_not_this_one() -> None:
    root = read(draw_thread(salt_almanac(today=date(2026, 12, 6)), ident="t"))

    assert "16 Sep 2027 · opening" in shown(root)


def test_thread_escapes_what_people_write() -> None:
    nasty = Milestone(date(2027, 6, 1), "<b>&\"' heads")

    picture = draw_thread(salt_almanac(milestones=(nasty,)), ident="t")

    assert "<b>" not in picture
    assert any("<b>&\"' heads" in text for text in shown(read(picture)))


# The braid


def knots(count: int, done: int = 0) -> tuple[BraidKnot, ...]:
    return tuple(
        BraidKnot(f"step {n}", Knot.TIED if n < done else Knot.LOOSE) for n in range(count)
    )


STRANDS = st.builds(
    Strand,
    st.sampled_from(("head", "body", "control", "costume")),
    st.lists(st.builds(BraidKnot, NAMES, STATES), max_size=9).map(tuple),
    st.integers(-1, 8),
)
TRUNKS = st.lists(st.builds(BraidKnot, NAMES, STATES), max_size=11).map(tuple)


@given(st.lists(STRANDS, max_size=5).map(tuple), TRUNKS, st.booleans())
def test_braid_of_any_kind_shows_every_knot_once_and_apart(
    strands: tuple[Strand, ...], trunk: tuple[BraidKnot, ...], with_words: bool
) -> None:
    every = [knot.state for strand in strands for knot in strand.knots]
    every += [knot.state for knot in trunk]

    root = read(draw_braid(BraidData(strands, trunk), ident="b", with_words=with_words))

    width, height = size_of(root)
    boxes = []
    for state, css in (
        (Knot.LOOSE, "knot-loose"),
        (Knot.HALF, "knot-half"),
        (Knot.TIED, "knot-tied"),
        (Knot.STRUCK, "knot-struck"),
    ):
        found = shapes(root, css)
        assert len(found) == every.count(state)
        boxes += found
    for at, box in enumerate(boxes):
        assert box[0] >= 0
        assert box[1] >= -1
        assert box[2] <= width
        assert box[3] <= height
        assert not [other for other in boxes[:at] if touch(box, other)]
    assert overlapping_words(root) == []
    assert words_outside(root) == []


@given(st.lists(STRANDS, min_size=1, max_size=5).map(tuple), TRUNKS.filter(bool))
def test_every_strand_ends_on_the_trunk(
    strands: tuple[Strand, ...], trunk: tuple[BraidKnot, ...]
) -> None:
    root = read(draw_braid(BraidData(strands, trunk), ident="b"))

    paths = [e.attrib["d"] for e in root.iter() if "strand" in e.get("class", "").split()]
    cord = next(e.attrib["d"] for e in root.iter() if "cord" in e.get("class", "").split())
    trunk_y = cord[1:].split("H")[0].split()[1]
    assert len(paths) == len(strands)
    for path in paths:
        assert path.split()[-1] == trunk_y or f" {trunk_y}H" in path


def test_braid_tells_in_words_how_far_each_strand_is() -> None:
    data = BraidData(
        strands=(
            Strand("head", (*knots(2, done=2), BraidKnot("trim", Knot.HALF))),
            Strand("costume", knots(3), joins=1),
        ),
        trunk=(BraidKnot("trial hang"), BraidKnot("dress")),
    )

    said = "".join(read(draw_braid(data, ident="b")).itertext())

    assert "2 of 8 steps done" in said
    assert "Head: 2 of 3 done, trim under way." in said
    assert "Costume: 0 of 3 done." in said
    assert "trial hang not begun, dress not begun" in said


def test_braid_of_nothing_says_so() -> None:
    root = read(draw_braid(BraidData(), ident="b"))

    assert shown(root) == ["no steps yet"]


def test_braid_without_a_strand_leaves_no_row_for_it() -> None:
    hand = BraidData((Strand("head", knots(3)), Strand("costume", knots(2))), knots(2))
    string = BraidData(
        (*hand.strands, Strand("body", knots(4)), Strand("control", knots(1))), knots(2)
    )

    assert (
        size_of(read(draw_braid(hand, ident="b")))[1]
        < (size_of(read(draw_braid(string, ident="b")))[1])
    )


def test_braids_of_two_figures_share_no_id() -> None:
    data = BraidData((Strand("head", knots(3)),), knots(1))

    one, other = (read(draw_braid(data, ident=name)) for name in ("j1", "j2"))

    assert not set(ids(one)) & set(ids(other))


def test_braid_for_a_register_is_small() -> None:
    string = BraidData(
        (
            Strand("head", knots(4, 2)),
            Strand("body", knots(4, 1)),
            Strand("control", knots(1), 7),
            Strand("costume", knots(4), 6),
        ),
        knots(11),
    )

    assert len(draw_braid(string, ident="b")) < 6000


# Castings


def test_castings_stand_in_rows_of_sixteen_in_their_order() -> None:
    castings = [(f"JORY60-{n:02d}", Knot.TIED) for n in range(1, 19)]

    root = read(draw_castings(castings, ident="c"))

    boxes = shapes(root, "knot-tied")
    assert len(boxes) == 18
    assert boxes[16][1] > boxes[15][1]
    assert boxes[16][0] == pytest.approx(boxes[0][0])


def test_castings_are_counted_in_words() -> None:
    castings = [("JORY60-01", Knot.TIED), ("JORY60-02", Knot.STRUCK), ("", Knot.LOOSE)]

    said = "".join(read(draw_castings(castings, ident="c")).itertext())

    assert "Castings: 1 good, 1 thrown out, 1 to come" in said
    assert "JORY60-02: thrown out" in said


def test_no_castings_are_a_bare_thread() -> None:
    assert "Castings: none yet" in draw_castings([], ident="c")


@pytest.mark.parametrize("state", list(Knot))
def test_paper_pictures_need_no_colour(state: Knot) -> None:
    picture = draw_castings([("JORY60-01", state)], ident="c", printed=True)

    style = picture.split("<style>")[1].split("</style>")[0]
    colours = {part.split(";")[0].split("}")[0] for part in style.split("fill:")[1:]}
    assert colours <= {"#000", "#fff", "#bbb", "#eee", "none"} | {
        f"url(#c-cloth-{n})" for n in range(1, 7)
    }
