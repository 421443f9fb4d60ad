"""Tests of the tracks: to scale, legible, whole, on screen and on paper."""

from __future__ import annotations

import random

import pytest
from django.template.loader import render_to_string
from hypothesis import given
from hypothesis import strategies as st

from scenes.drawings import (
    Track,
    TrackRole,
    TrackScene,
    TracksData,
    TrackStop,
    draw_tracks,
    print_tracks,
)
from scenes.drawings.score import Score
from tests.pictures import (
    overlapping_words,
    read,
    shapes,
    shown,
    size_of,
    word_boxes,
    words_outside,
)

LONG = "the uniform of the old harbour guard, wet"


def salt_almanac() -> TracksData:
    scenes = (
        TrackScene("1", "The tide table", 300, 30, act="Act one"),
        TrackScene("2", "The pier", 360, 1200, is_interval=True, act="Act one"),
        TrackScene("3", "The ferry", 420, 0, act="Act two"),
    )
    jory = TrackRole(
        "Jory Tarrow",
        (
            Track("J1", "at nine", (TrackStop(1, 0, 360, "smock", 1),)),
            Track(
                "",
                "at sixty",
                (TrackStop(0, 0, 300, "pilot coat", 4), TrackStop(2, 0, 420, "", None)),
            ),
        ),
    )
    bartle = TrackRole(
        "Bartle",
        (
            Track(
                "B1",
                "",
                (
                    TrackStop(0, 0, 300, "apron", 5),
                    TrackStop(
                        2, 60, 420, "tarpaulin", 1, change_s=240, crossing="round to the right"
                    ),
                ),
                url="/f/abc",
            ),
        ),
    )
    return TracksData(scenes, (jory, bartle, TrackRole("Gulls", ())), (2, 1, 4), (0, 0, 1), "3")


@st.composite
def plots(draw: st.DrawFn) -> TracksData:
    names = st.sampled_from(["Salt", "The tide table", LONG, "", "<b>&\"'"])
    scenes = tuple(
        TrackScene(
            str(n + 1),
            draw(names),
            draw(st.integers(1, 3000)),
            draw(st.integers(0, 1500)),
            draw(st.booleans()),
            draw(st.sampled_from(["", "One", "Two"])),
        )
        for n in range(draw(st.integers(1, 12)))
    )
    roles = tuple(
        TrackRole(
            draw(names),
            tuple(draw(tracks(scenes, names)) for _ in range(draw(st.integers(0, 3)))),
        )
        for _ in range(draw(st.integers(0, 4)))
    )
    people = draw(st.lists(st.integers(0, 30), min_size=len(scenes), max_size=len(scenes)))
    missing = tuple(draw(st.integers(0, n)) for n in people)
    return TracksData(scenes, roles, tuple(people), missing, draw(st.sampled_from(["", "3"])))


@st.composite
def tracks(draw: st.DrawFn, scenes: tuple[TrackScene, ...], names: st.SearchStrategy[str]) -> Track:
    stops = []
    for n, scene in enumerate(scenes):
        if draw(st.booleans()):
            start = draw(st.integers(-60, scene.length_s - 1)) if n and not stops else 0
            end = draw(st.integers(max(start, 0) + 1, scene.length_s + 1))
            stops.append(
                TrackStop(
                    n,
                    start,
                    min(end, scene.length_s),
                    draw(names),
                    draw(st.none() | st.integers(1, 6)),
                    draw(st.none() | st.integers(0, 600)),
                    draw(st.sampled_from(["", "round from left to right"])),
                )
            )
    return Track(draw(st.sampled_from(["", "J1", "ABC123"])), draw(names), tuple(stops))


@given(plots(), st.sampled_from([700.0, 1360.0]))
def test_words_of_any_plot_neither_overlap_nor_leave_the_picture(
    data: TracksData, width: float
) -> None:
    drawn = draw_tracks(data, ident="t", width=width)

    for picture in (drawn.corner, drawn.head, drawn.names, drawn.body):
        root = read(picture)
        assert overlapping_words(root) == []
        assert words_outside(root) == []


@given(plots())
def test_the_four_pictures_fit_together(data: TracksData) -> None:
    drawn = draw_tracks(data, ident="t")
    corner, head, names, body = (
        size_of(read(picture)) for picture in (drawn.corner, drawn.head, drawn.names, drawn.body)
    )

    assert corner == (names[0], head[1])
    assert body == (head[0], names[1])


@given(plots())
def test_every_appearance_is_one_swatch(data: TracksData) -> None:
    stops = [stop for role in data.roles for track in role.tracks for stop in track.stops]

    body = read(draw_tracks(data, ident="t").body)

    swatches = [e.attrib["class"] for e in body.iter() if "cloth-piece" in e.get("class", "")]
    assert len(swatches) == len(stops)
    assert sum("undecided" in css for css in swatches) == sum(s.tint is None for s in stops)


@given(plots())
def test_time_runs_from_left_to_right(data: TracksData) -> None:
    score = Score(data, 1360)

    for n, scene in enumerate(data.scenes):
        moments = [score.x(n, at) for at in range(-120, scene.length_s + 120, 30)]
        assert moments == sorted(moments)
        if n:
            assert score.x(n, 0) >= score.x(n - 1, data.scenes[n - 1].length_s)


def test_long_scenes_are_drawn_to_one_scale() -> None:
    scenes = tuple(
        TrackScene(str(n), "Salt", minutes * 60) for n, minutes in enumerate((10, 20, 40))
    )

    score = Score(TracksData(scenes, ()), 1360)

    assert score.widths[1] / score.widths[0] == pytest.approx(2)
    assert score.widths[2] / score.widths[0] == pytest.approx(4)


def test_score_fills_the_room_it_is_given() -> None:
    score = Score(salt_almanac(), 1360)

    assert score.names_width + score.width == pytest.approx(1360, abs=1)


def test_sixty_scenes_stay_wide_enough_to_read() -> None:
    scenes = tuple(TrackScene(str(n), "Night crossing", 60) for n in range(60))

    score = Score(TracksData(scenes, ()), 1360)

    assert min(score.widths) >= 50
    assert score.width > 1360  # it scrolls in its frame


def test_interval_is_named_with_its_minutes() -> None:
    head = read(draw_tracks(salt_almanac(), ident="t").head)

    assert {"interval", "20 min", "Act one", "Act two", "The tide table"} <= set(shown(head))


def test_change_stands_on_the_thread_in_words() -> None:
    body = read(draw_tracks(salt_almanac(), ident="t").body)

    assert "change 4 min, round to the right" in shown(body)


def test_names_carry_number_guise_count_and_link() -> None:
    names = draw_tracks(salt_almanac(), ident="t").names

    assert {"Jory Tarrow", "2 figures", "J1", "at nine", "new", "none needed"} <= set(
        shown(read(names))
    )
    assert 'href="/f/abc"' in names
    assert 'role="group"' in names


def test_too_few_people_are_said_in_words() -> None:
    body = read(draw_tracks(salt_almanac(), ident="t").body)

    assert "one too few" in shown(body)
    assert sum("person-short" in e.get("class", "") for e in body.iter()) == 1


def test_swatch_words_stay_on_their_cloth_or_beside_it() -> None:
    short = TrackStop(0, 0, 20, LONG, 2)
    data = TracksData(
        (TrackScene("1", "Salt", 600), TrackScene("2", "Salt", 600)),
        (TrackRole("Bartle", (Track("B1", "", (short, TrackStop(1, 0, 600, LONG, 3))),)),),
    )

    body = read(draw_tracks(data, ident="t", width=700).body)

    (_, beside), (_, inside) = word_boxes(body)
    narrow, wide = shapes_of_cloth(body)
    assert beside[0] >= narrow[1]
    assert beside[2] <= wide[0]
    assert inside[0] >= wide[0]
    assert inside[2] <= wide[1]
    assert LONG in "".join(body.itertext())  # whole, when pointed at


def shapes_of_cloth(root: object) -> list[tuple[float, float]]:
    """Left and right of every swatch: 'M left top l width ...'."""
    found = []
    for element in root.iter():  # type: ignore[attr-defined]
        if "cloth-piece" in element.get("class", ""):
            move, line = element.attrib["d"].split("l")[:2]
            left = float(move[1:].split()[0])
            found.append((left, left + float(line.split()[0])))
    return found


def test_everything_is_said_in_words_too() -> None:
    drawn = draw_tracks(salt_almanac(), ident="t")

    page = render_to_string("parts/tracks.html", {"tracks": drawn})

    assert "new, at sixty: scene 1: pilot coat, minute 0 to 5; scene 3: costume, undecided" in page
    assert "before it: change 4 min, round to the right" in page
    assert "style=" not in page
    assert "None needed." in page


def test_markup_in_names_stays_text() -> None:
    nasty = "<script>alert(1)</script>"
    data = TracksData(
        (TrackScene(nasty, nasty, 600, act=nasty),),
        (TrackRole(nasty, (Track("J1", nasty, (TrackStop(0, 0, 600, nasty, 1),)),)),),
    )

    page = render_to_string("parts/tracks.html", {"tracks": draw_tracks(data, ident="t")})

    assert "<script" not in page


@pytest.mark.parametrize(
    "data",
    [
        TracksData((), ()),
        TracksData((TrackScene("1", "Salt", 60),), ()),
        TracksData((), (TrackRole("Bartle", ()),)),
    ],
)
def test_plots_with_nothing_in_them_can_be_drawn(data: TracksData) -> None:
    drawn = draw_tracks(data, ident="t")

    assert drawn.is_empty
    assert len(print_tracks(data, ident="p")) == 1
    read(drawn.body)


# The largest plot: 40 roles, 60 scenes, 400 appearances.


def largest() -> TracksData:
    choose = random.Random(7)
    scenes = tuple(
        TrackScene(str(n + 1), choose.choice(["Salt", "Night crossing"]), 60 * choose.randint(1, 9))
        for n in range(60)
    )
    roles = []
    for n in range(40):
        pair = []
        for m in range(2):
            stops = tuple(
                TrackStop(at, 0, scenes[at].length_s, choose.choice(["smock", LONG]), at % 6 + 1)
                for at in sorted(choose.sample(range(60), 5))
            )
            pair.append(Track(f"R{2 * n + m}", "at nine", stops))
        roles.append(TrackRole(f"Role {n}", tuple(pair)))
    return TracksData(scenes, tuple(roles))


def test_largest_plot_stays_under_300_kilobytes() -> None:
    drawn = draw_tracks(largest(), ident="t")

    assert sum(len(part) for part in (drawn.corner, drawn.head, drawn.names, drawn.body)) < 300_000


def test_sheets_of_paper_hold_every_role_and_scene_and_swatch() -> None:
    data = largest()

    sheets = [read(sheet) for sheet in print_tracks(data, ident="p")]

    said = [set(shown(sheet)) for sheet in sheets]
    for role in data.roles:
        assert sum(role.name in words for words in said) >= 1
    swatches = sum("cloth-piece" in e.get("class", "") for sheet in sheets for e in sheet.iter())
    assert swatches == 400
    for sheet in sheets:
        width, height = size_of(sheet)
        assert width <= 1501
        assert height <= 1001
        assert overlapping_words(sheet) == []
        assert words_outside(sheet) == []


def test_a_thread_runs_on_over_the_edge_of_a_sheet() -> None:
    scenes = tuple(TrackScene(str(n), "Night crossing", 600) for n in range(60))
    track = Track("J1", "", (TrackStop(0, 0, 600, "smock", 1), TrackStop(59, 0, 600, "smock", 1)))
    data = TracksData(scenes, (TrackRole("Jory", (track,)),))

    sheets = [read(sheet) for sheet in print_tracks(data, ident="p")]

    threads = [
        [e.attrib["d"] for e in sheet.iter() if "thread-line" in e.get("class", "").split()]
        for sheet in sheets
    ]
    assert len(sheets) > 2
    assert all(len(found) == 1 for found in threads)


def test_paper_tells_cloths_apart_without_colour() -> None:
    (sheet,) = print_tracks(salt_almanac(), ident="p")

    root = read(sheet)
    patterns = [e.attrib["id"] for e in root.iter() if e.tag.endswith("pattern")]
    assert patterns == [f"p-1-cloth-{n}" for n in range(1, 7)]
    assert len(shapes(root, "hatch")) >= 6
