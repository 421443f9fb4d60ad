"""Pictures of the plan: what stands where, what they say, long and odd cases."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from xml.etree import ElementTree
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.drawings.axis import Axis, place_of
from builds.drawings.fullness import Load, WeekLoad, draw_fullness
from builds.drawings.odds import draw_odds
from builds.drawings.record import RecordData, draw_record
from builds.drawings.spans import Span, SpanRow, draw_spans
from builds.queries.fullness import Fullness

SVG = "{http://www.w3.org/2000/svg}"
LONDON = ZoneInfo("Europe/London")
MONDAY = date(2027, 5, 3)
LONG = "the mould of The Almanac Keeper of the Far Salt Pans, head and both hands"


def root(picture: str) -> ElementTree.Element:
    return ElementTree.fromstring(picture)


def rects(picture: str, css: str) -> list[dict[str, float]]:
    return [
        {key: float(value) for key, value in found.attrib.items() if key != "class"}
        for found in root(picture).iter(f"{SVG}rect")
        if found.get("class") == css
    ]


class TestAxis:
    @given(st.integers(1, 700), st.integers(100, 1400))
    def test_written_days_never_lie_on_one_another(self, days: int, width: int) -> None:
        axis = Axis(MONDAY, MONDAY + timedelta(days=days - 1), 0, width)
        places = [axis.x(day.toordinal()) for day in axis.ticks()]
        assert places == sorted(places)
        assert all(b - a >= 30 for a, b in pairwise(places))
        assert all(0 <= x <= width for x in places)

    def test_summer_time_does_not_move_noon(self) -> None:
        winter = place_of(datetime(2027, 1, 4, 12, tzinfo=UTC), LONDON)
        summer = place_of(datetime(2027, 7, 5, 11, tzinfo=UTC), LONDON)
        assert winter % 1 == summer % 1 == 0.5


class TestSpans:
    def draw(self, *rows: SpanRow) -> str:
        return draw_spans(
            rows,
            ident="drying",
            title="What dries",
            zone=LONDON,
            first=MONDAY,
            last=MONDAY + timedelta(days=27),
            today=MONDAY + timedelta(days=2),
        )

    def span(self, day: int, days: float, sort: str = "dries") -> Span:
        start = datetime(2027, 5, 3, 12, tzinfo=UTC) + timedelta(days=day)
        return Span(start, start + timedelta(days=days), sort, f"pour {day}", f"/steps/{day}/")

    def test_bars_are_as_long_as_they_last_and_lead_on(self) -> None:
        picture = self.draw(SpanRow("mould", (self.span(0, 2), self.span(7, 4))))
        short, long = rects(picture, "span-dries")
        assert long["width"] == pytest.approx(2 * short["width"], abs=0.2)
        links = [link.get("href") for link in root(picture).iter(f"{SVG}a")]
        assert links == ["/steps/0/", "/steps/7/"]

    def test_what_goes_on_at_once_stands_on_lanes_of_its_own(self) -> None:
        picture = self.draw(SpanRow("The Heron", (self.span(0, 5), self.span(1, 5))))
        one, other = rects(picture, "span-dries")
        assert other["y"] >= one["y"] + one["height"]

    def test_a_long_name_is_cut_and_said_whole(self) -> None:
        picture = self.draw(SpanRow(LONG, (self.span(0, 1),)))
        titles = [found.text for found in root(picture).iter(f"{SVG}title")]
        assert LONG[:1].upper() + LONG[1:] in titles
        assert "…" in picture

    def test_it_hangs_by_its_ends_and_is_named_where_there_is_room(self) -> None:
        """A day of drying is too narrow for words: they stand beside it."""
        picture = self.draw(SpanRow("J3", (self.span(0, 1), self.span(9, 6))))
        beside, inside = (
            float(found.get("x", 0))
            for found in root(picture).iter(f"{SVG}text")
            if (found.text or "").startswith("pour")
        )
        short, long = rects(picture, "span-dries")
        assert beside > short["x"] + short["width"]
        assert long["x"] < inside < long["x"] + long["width"]
        pegs = rects(picture, "peg")
        assert len(pegs) == 4
        assert pegs[0]["y"] < short["y"] < pegs[0]["y"] + pegs[0]["height"]

    def test_no_name_runs_into_what_hangs_next(self) -> None:
        picture = self.draw(SpanRow("J3", (self.span(0, 1), self.span(1, 1))))
        words = [found.text for found in root(picture).iter(f"{SVG}text")]
        assert "pour 0" not in words
        assert "pour 1" in words

    def test_what_began_before_is_cut_at_the_edge(self) -> None:
        picture = self.draw(SpanRow("mould", (self.span(-10, 12),)))
        (bar,) = rects(picture, "span-dries")
        assert bar["x"] == pytest.approx(270)


class TestFullness:
    def test_a_full_week_is_dark_and_said(self) -> None:
        weeks = tuple(
            WeekLoad(MONDAY + timedelta(days=7 * n), planned, 600)
            for n, planned in enumerate((600, 300, 0))
        )
        picture = draw_fullness(
            [Load("Priya", False, weeks)], ident="full", title="Who is full", desc="Priya in one."
        )
        (full,), (part,) = rects(picture, "load-full"), rects(picture, "load-part")
        assert full["height"] == pytest.approx(2 * part["height"])
        assert "Week of 3 May: 100 of 100 taken" in picture
        assert "Priya in one." in picture

    def test_a_week_away_has_no_box(self) -> None:
        picture = draw_fullness(
            [Load("Ines", False, (WeekLoad(MONDAY, 0, 0), WeekLoad(MONDAY, 0, 60)))],
            ident="full",
            title="Who is full",
            desc="",
        )
        assert len(rects(picture, "load-room")) == 1

    @given(st.integers(0, 3000), st.integers(0, 3000))
    def test_a_share_is_a_share(self, planned: int, room: int) -> None:
        week = WeekLoad(MONDAY, planned, room)
        assert 0 <= week.share <= 1
        assert week.is_full == (room > 0 and planned >= 0.95 * room)

    def test_a_person_s_week_away_is_said_and_crafts_stand_apart(self) -> None:
        weeks = (WeekLoad(MONDAY, 60, 600), WeekLoad(MONDAY + timedelta(days=7), 0, 0))
        loads = [Load("Priya", False, weeks), Load("sew", True, weeks)]
        picture = draw_fullness(loads, ident="full", title="t", desc="d")
        words = [found.text for found in root(picture).iter(f"{SVG}text")]
        assert words.count("away") == 1  # of Priya alone: a craft is nobody
        assert "crafts" in words


class TestFullnessInWords:
    def said(self, *loads: Load) -> str:
        return Fullness(loads).lede

    def weeks(self, *full: bool) -> tuple[WeekLoad, ...]:
        return tuple(
            WeekLoad(MONDAY + timedelta(days=7 * n), 600 if one else 60, 600)
            for n, one in enumerate(full)
        )

    def test_few_weeks_are_named_and_many_counted(self) -> None:
        some = Load("Priya", False, self.weeks(True, False, True))
        many = Load("Ines", False, self.weeks(True, True, True, True, False))
        assert self.said(some) == "Full to the brim: Priya in the weeks of 3 May and 17 May."
        assert self.said(many) == "Full to the brim: Ines in 4 of 5\u00a0weeks."

    def test_a_craft_without_hours_is_named_too(self) -> None:
        free = Load("Ines", False, self.weeks(False, False))
        sew = Load("sew", True, self.weeks(True, False))
        assert self.said(free, sew) == (
            "Nobody is full in any week: there is room beside the plan. "
            "No hours are left for these crafts: sew in the week of 3 May."
        )


class TestOdds:
    DAYS = ((1, 740_110.2), (50, 740_115.5), (80, 740_117.5), (95, 740_121.5), (99, 740_125.0))

    def test_it_rises_and_marks_what_is_asked_for(self) -> None:
        picture = draw_odds(self.DAYS, ident="odds", title="The chance", desc="50 by May.")
        marks = list(root(picture).iter(f"{SVG}circle"))
        heights = [float(mark.get("cy", "0")) for mark in marks]
        places = [float(mark.get("cx", "0")) for mark in marks]
        assert len(marks) == 3
        assert heights == sorted(heights, reverse=True)
        assert places == sorted(places)

    @pytest.mark.parametrize("days", [-40, 3, 400])
    def test_opening_is_on_it_however_far_off(self, days: int) -> None:
        opening = date.fromordinal(740_115) + timedelta(days=days)
        picture = draw_odds(self.DAYS, ident="odds", title="t", desc="d", opening=opening)
        assert ">opening</text>" in picture

    def test_one_day_for_all_is_a_step(self) -> None:
        sure = tuple((share, 740_115.5) for share, _ in self.DAYS)
        assert "odds-line" in draw_odds(sure, ident="odds", title="t", desc="d")


class TestRecord:
    def test_lines_end_where_their_hours_end(self) -> None:
        data = RecordData(
            planned=((MONDAY, 0), (MONDAY + timedelta(days=2), 600)),
            finished=((MONDAY, 0), (MONDAY + timedelta(days=2), 300)),
            booked=((MONDAY, 0),),
            today=MONDAY + timedelta(days=2),
            opening=MONDAY + timedelta(days=9),
        )
        picture = draw_record(data, ident="record", title="Plan against record", desc="Half.")
        ends = {
            found.get("class"): float(found.get("d", "V0").rpartition("V")[2])
            for found in root(picture).iter(f"{SVG}path")
            if (found.get("class") or "").startswith("record")
        }
        bottom = ends["record-booked"]
        assert bottom == 26 + 230
        planned, finished = bottom - ends["record-planned"], bottom - ends["record-finished"]
        assert planned == pytest.approx(2 * finished, abs=0.2)
        assert ends["record-planned"] > 26  # the highest line does not lie on the edge

    def test_nothing_at_all_is_still_a_picture(self) -> None:
        data = RecordData(((MONDAY, 0),), ((MONDAY, 0),), ((MONDAY, 0),), MONDAY)
        assert "0 h" in draw_record(data, ident="record", title="t", desc="d")
