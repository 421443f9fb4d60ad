"""The default routes: their check values, what each stage says, and the rows they are meant for."""

from __future__ import annotations

import pytest

from builds.core.route_defaults import (
    CRAFTS,
    DEFAULT_ROUTES,
    FIRST_KINDS,
    STRINGING_FRAME,
    PlainStage,
    RouteDefault,
)
from builds.core.routes import in_order, route_problems, total_hours
from builds.models import Stage
from builds.models.parts import Part
from builds.models.routes import Mark, Scope, Second, Strand
from scenes.models import Kind

HOUR = 60
ROUTES = list(DEFAULT_ROUTES.values())
STAGES = [(route, stage) for route in ROUTES for stage in route]
STAGE_IDS = [f"{route.kind}-{stage.key}" for route, stage in STAGES]
every_route = pytest.mark.parametrize("route", ROUTES, ids=[r.kind for r in ROUTES])
every_stage = pytest.mark.parametrize(("route", "stage"), STAGES, ids=STAGE_IDS)


# Check values: common practice, no source ('about' is taken as within 3 %)


@pytest.mark.parametrize(
    ("kind", "sewing_h", "first_h", "twin_h"),
    [("string", 8, 135, 90), ("string", 25, 150, 110)],
)
def test_string_figure_takes_the_usual_hours(
    kind: str, sewing_h: int, first_h: int, twin_h: int
) -> None:
    total = total_hours(DEFAULT_ROUTES[kind].stages, sewing_h * HOUR)
    assert total.first_min == pytest.approx(first_h * HOUR, rel=0.03)
    assert total.twin_min == pytest.approx(twin_h * HOUR, rel=0.03)


def test_rod_figure_takes_about_seventy_hours_in_a_smock() -> None:
    total = total_hours(DEFAULT_ROUTES["rod"].stages, 8 * HOUR)
    assert total.first_min == pytest.approx(70 * HOUR, rel=0.03)


def test_hand_figure_takes_about_forty_hours() -> None:
    total = total_hours(DEFAULT_ROUTES["hand"].stages)
    assert total.first_min == pytest.approx(40 * HOUR, rel=0.03)


# The table of the string figure, stage by stage (common practice, no source)

STRING_TABLE = {
    # key: (hours, lead only, second, days of wait, waits for)
    "act-out": (1, True, "craft", 0, {"choose-sketch"}),
    "drawing": (8, True, "nobody", 0, {"choose-sketch"}),
    "sculpt-head": (16, False, "nobody", 0, {"act-out"}),
    "sculpt-hands": (5, False, "nobody", 0, {"act-out"}),
    "working": (10, True, "nobody", 0, {"sculpt-head"}),
    "pass-head": (0.5, True, "nobody", 0, {"sculpt-head", "sculpt-hands", "working"}),
    "mould-head": (6, False, "nobody", 5, {"pass-head"}),
    "mould-hands": (3, False, "nobody", 5, {"pass-head", "sculpt-hands"}),
    "pour-head": (1, False, "nobody", 1, {"mould-head"}),
    "trim": (2, False, "nobody", 0, {"pour-head", "pour-hands"}),
    "neck-block": (1, True, "nobody", 0, {"trim"}),
    "saw-blanks": (3, False, "someone in", 0, {"drawing"}),
    "carve": (28, True, "nobody", 0, {"saw-blanks"}),
    "shoes": (3, False, "nobody", 0, {"drawing"}),
    "joint": (12, True, "nobody", 0, {"carve"}),
    "control": (4, False, "nobody", 0, {"drawing"}),
    "trial-hang": (3, True, "anybody", 0, {"neck-block", "joint", "shoes"}),
    "seal": (1.5, False, "nobody", 1, {"trial-hang", "toile"}),
    "prime": (1.5, False, "nobody", 1, {"seal"}),
    "paint": (7, False, "nobody", 0, {"prime"}),
    "eyes": (0.75, True, "nobody", 1, {"paint"}),
    "wig": (6, False, "nobody", 0, {"eyes"}),
    "pattern": (2, False, "nobody", 0, {"drawing"}),
    "toile": (1, False, "lead", 0, {"pattern", "joint"}),
    "sew": (12, False, "nobody", 0, {"pattern", "toile"}),
    "others": (6, False, "nobody", 0, {"drawing"}),
    "dress": (1.5, False, "nobody", 0, {"sew", "eyes", "wig", "others"}),
    "unstring": (1, False, "nobody", 0, {"sew"}),
    "string": (4, False, "anybody", 0, {"dress", "control", "unstring"}),
    "true": (2, True, "nobody", 5, {"string"}),
    "restring": (1.5, False, "nobody", 0, {"true"}),
    "bag": (2, False, "nobody", 0, {"restring"}),
}


@pytest.mark.parametrize("key", STRING_TABLE)
def test_string_stage_is_as_in_the_table(key: str) -> None:
    stage = DEFAULT_ROUTES["string"].stage(key)
    said = (
        stage.hours_min / HOUR,
        stage.lead_only,
        stage.second,
        stage.wait_min / (24 * HOUR),
        set(stage.after),
    )
    assert said == STRING_TABLE[key]


def test_string_stages_marked_apart() -> None:
    route = DEFAULT_ROUTES["string"]
    assert {s.key for s in route if s.gate} == {"pass-head", "trial-hang"}
    assert {s.key for s in route if s.rate == 0.9} == {"carve", "joint"}
    assert {s.key for s in route if s.rate == 0.85} == {
        *("mould-head", "mould-hands", "pour-head", "pour-hands", "string")
    }
    assert {s.key for s in route if s.in_one_go} == {
        *("mould-head", "mould-hands", "pour-head", "pour-hands")
    }
    assert [s.each_min for s in route if s.key == "mould-head"] == [3 * HOUR]
    assert {s.key for s in route if s.holds_mould} == {"pour-head", "pour-hands"}
    assert [s.key for s in route if s.equipment] == ["string"]
    assert [s.key for s in route if s.needs_saw_training] == ["saw-blanks"]
    assert [s.key for s in route if s.only_with_working] == ["working"]
    assert [s.key for s in route if s.first_of_costume] == ["pattern"]
    assert [s.key for s in route if s.hours_by_costume] == ["sew"]
    assert {s.mark for s in route} == {"", *(m.value for m in Mark if m != Mark.NONE)}


def test_shared_parts_drop_their_stages_when_borrowed() -> None:
    """A borrowed head drops sculpt and mould of the head; a borrowed body drops the drawing."""
    route = DEFAULT_ROUTES["string"]
    assert {s.key for s in route if s.part == "head"} == {
        *("act-out", "sculpt-head", "working", "pass-head", "mould-head", "pour-head")
    }
    assert {s.key for s in route if s.part == "hands"} == {
        *("sculpt-hands", "mould-hands", "pour-hands")
    }
    assert {s.key for s in route if s.part == "body"} == {"drawing"}


# What holds for every route


@every_route
def test_route_has_nothing_wrong(route: RouteDefault) -> None:
    assert route_problems(route.stages) == ()


@every_route
def test_route_stands_in_an_order_that_can_be_worked(route: RouteDefault) -> None:
    seen: set[str] = set()
    for stage in route:
        assert set(stage.after) <= seen, stage.key
        seen.add(stage.key)
    assert len(in_order(route.stages)) == len(route.stages) == len(seen)


def test_a_company_starts_with_string_rod_and_hand_and_may_have_every_kind() -> None:
    assert FIRST_KINDS == ("string", "rod", "hand")
    assert set(DEFAULT_ROUTES) == set(Kind.values)


@every_stage
def test_stage_says_what_a_helper_needs(route: RouteDefault, stage: PlainStage) -> None:
    for text in (stage.tools, stage.looks_right, stage.leave_alone, stage.ask_if, stage.cautions):
        assert text.endswith("."), text
        assert "  " not in text
    assert len(stage.looks_right) >= 50
    assert "come first" in stage.cautions, "a caution leaves the last word to rules and data sheet"
    assert len(stage.tools) <= Stage._meta.get_field("tools").max_length
    assert len(stage.name) <= 40


@every_stage
def test_stage_fits_its_row(route: RouteDefault, stage: PlainStage) -> None:
    assert stage.strand in Strand.values
    assert stage.scope in Scope.values
    assert stage.part in ("", *Part.values)
    assert stage.second in Second.values
    assert stage.mark in Mark.values
    assert {stage.craft, stage.second_craft} <= {None, *CRAFTS}
    assert stage.equipment in (None, STRINGING_FRAME)
    assert stage.hours_min % 15 == 0
    assert 0 < stage.rate <= 1
    assert stage.each_min is None or stage.hours_min % stage.each_min == 0


@pytest.mark.parametrize(
    ("craft", "words"),
    [
        ("mould", "setting plaster"),
        ("carve", "lime counts as a hardwood"),
        ("sew", "Pins counted"),
        ("string", "1.2 m"),
    ],
)
def test_cautions_meet_the_dangers_of_their_craft(craft: str, words: str) -> None:
    """HSE on wood dust and work at height, NSEAD on plaster; pins: common practice, no source."""
    said = " ".join(s.cautions for s in DEFAULT_ROUTES["string"] if s.craft == craft)
    assert words in said


def test_carving_is_capped_at_five_hours_a_day() -> None:
    """Common practice, no source."""
    assert {craft: cap for craft, cap in CRAFTS.items() if cap} == {"carve": 300}
