"""Everything wrong with what was placed on a drawing, by field and all at once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from builds.core.full_size.checks import PlacedPoint, find_point_faults
from builds.core.full_size.picture_scale import find_scale_faults
from builds.core.full_size.proportions import check_height
from builds.models import Drawing, DrawingPicture
from builds.models.drawings import JointKind, PartKind, Side
from builds.services.placed import HolePlace, JointPlace, PictureMarks, Placing
from builds.services.rescaling import asks_about_scale
from company.core.names import name_key
from scenes.services.problems import EVERYWHERE, Problems

LONGEST_NAME = 40
LONGEST_WORDS = 200
MOST_SHRINKAGE_PCT = 30


def placing_problems(*, drawing: Drawing, placing: Placing) -> Problems:
    """All that is wrong with what was placed, by the names of the form's fields."""
    problems = Problems()
    height = float(placing.height_mm)
    try:
        check_height(height)
    except ValueError as wrong:
        problems.add("height_mm", str(wrong))
        height = float(drawing.height_mm)
    if len(placing.words) > LONGEST_WORDS:
        problems.add("words", f"At most {LONGEST_WORDS} letters, not {len(placing.words)}.")
    shrinkage = placing.head_shrinkage_pct
    if shrinkage is not None and not 0 <= shrinkage <= MOST_SHRINKAGE_PCT:
        problems.add(
            "head_shrinkage_pct",
            f"A casting shrinks by 0 to {MOST_SHRINKAGE_PCT} per cent, not {float(shrinkage):g}.",
        )
    _problems_of_places(problems, placing)
    placed = [*_placed(placing.joints), *_placed(placing.holes)]
    for where, sentence in find_point_faults(height, placed):
        problems.add(where, sentence)
    _problems_of_holes(problems, placing.holes)
    _problems_of_marks(problems, drawing, placing)
    return problems


def _placed(places: Iterable[JointPlace | HolePlace]) -> list[PlacedPoint]:
    return [
        PlacedPoint(
            field=f"{place.prefix}-y",
            name=place.kind if isinstance(place, JointPlace) else f"{place.name or 'new'} hole",
            x_mm=float(place.x_mm),
            y_mm=float(place.y_mm),
            z_mm=float(place.z_mm or 0),
        )
        for place in places
        if place.x_mm is not None and place.y_mm is not None
    ]


def _problems_of_places(problems: Problems, placing: Placing) -> None:
    """Half a place is none: it takes a height and a distance from the line."""
    for place in (*placing.joints, *placing.holes):
        given = [place.x_mm is not None, place.y_mm is not None]
        if any(given) and not all(given):
            missing = "x" if given[1] else "y"
            words = "how far forward of the line it lies" if missing == "x" else "its height"
            problems.add(f"{place.prefix}-{missing}", f"Say {words} too, or leave both blank.")
        elif not any(given) and place.z_mm:
            problems.add(f"{place.prefix}-y", "Say its height and how far forward it lies too.")
    for joint in placing.joints:
        if joint.kind not in JointKind.values:
            problems.add(EVERYWHERE, f"There is no joint named {joint.kind}.")


def _problems_of_holes(problems: Problems, holes: Sequence[HolePlace]) -> None:
    seen: dict[str, HolePlace] = {}
    for hole in holes:
        if hole.y_mm is None and hole.x_mm is None:
            continue
        if not hole.name:
            problems.add(f"{hole.prefix}-name", "A hole has a name: shoulder, head, back, hand.")
        elif len(hole.name) > LONGEST_NAME:
            words = f"At most {LONGEST_NAME} letters, not {len(hole.name)}."
            problems.add(f"{hole.prefix}-name", words)
        elif name_key(hole.name) in seen:
            problems.add(f"{hole.prefix}-name", f"There is a hole named {hole.name} already.")
        seen[name_key(hole.name)] = hole
        if hole.part not in PartKind.values:
            problems.add(f"{hole.prefix}-part", "Say which part the hole is in.")
        if hole.side not in Side.values:
            problems.add(f"{hole.prefix}-side", "Say on which side the hole is.")
    if sum(hole.hangs for hole in holes) > 1:
        problems.add(EVERYWHERE, "The figure hangs from one hole, or one pair of them.")


def _problems_of_marks(problems: Problems, drawing: Drawing, placing: Placing) -> None:
    names = {"distance_mm": "marks_mm", "marks": "mark_b_y_px", "foot": "axis_x_px",
             "top": "axis_top_y_px"}  # fmt: skip
    stood = {picture.view: picture for picture in drawing.pictures.all()}
    for marks in placing.marks:
        picture = stood.get(marks.view)
        if picture is None:
            problems.add(EVERYWHERE, f"There is no picture of the {marks.view} any more.")
            continue
        for name, sentence in _faults_of_marks(picture, marks):
            problems.add(f"{marks.view}-{names[name]}", sentence)
    if not problems and not placing.rescaled and asks_about_scale(stood, drawing, placing):
        problems.add(
            "rescaled",
            "This picture had a scale already, and places were measured by it. Say whether holes "
            "and joints stay where they are on the picture, or keep their millimetres.",
        )


def _faults_of_marks(picture: DrawingPicture, marks: PictureMarks) -> list[tuple[str, str]]:
    """What is wrong with marks as far as they are set; half a mark is one fault."""
    v = {name: None if n is None else float(n) for name, n in marks.values.items()}
    pairs = {
        "marks": ("mark_a_x_px", "mark_a_y_px"),
        "marks ": ("mark_b_x_px", "mark_b_y_px"),
        "foot": ("axis_x_px", "floor_y_px"),
        "top": ("axis_top_x_px", "axis_top_y_px"),
    }
    faults = [
        (name.strip(), "A place on the picture has two numbers: across and down.")
        for name, pair in pairs.items()
        if sum(v.get(key) is None for key in pair) == 1
    ]
    if faults:
        return faults
    needed = ("mark_a_x_px", "mark_b_x_px", "marks_mm", "axis_x_px")
    given = [v.get(key) is not None for key in needed]
    if not any(given):
        return []

    def at(x: str, y: str) -> tuple[float, float]:
        return (float(v[x] or 0), float(v[y] or 0))

    has_marks = given[0] and given[1]
    if not has_marks or not given[2] or not given[3]:
        return _faults_of_some(v, has_marks, picture)
    return find_scale_faults(
        at("mark_a_x_px", "mark_a_y_px"),
        at("mark_b_x_px", "mark_b_y_px"),
        float(v["marks_mm"] or 0),
        at("axis_x_px", "floor_y_px"),
        at("axis_top_x_px", "axis_top_y_px") if v.get("axis_top_x_px") is not None else None,
        (picture.width_px, picture.height_px),
    )


def _faults_of_some(
    v: dict[str, float | None], has_marks: bool, picture: DrawingPicture
) -> list[tuple[str, str]]:
    """Marks may be kept half done; only what is there is looked at."""
    faults = []
    if v.get("marks_mm") is not None and not 1 <= (v["marks_mm"] or 0) <= 20_000:
        faults.append(("distance_mm", "The marks are from 1 mm to 20 m apart on the real drawing."))
    if has_marks:
        same = all(v[f"mark_a_{axis}_px"] == v[f"mark_b_{axis}_px"] for axis in "xy")
        if same:
            faults.append(("marks", "The two marks are at the same point: set them far apart."))
    for name, x, y in (
        ("marks", "mark_a_x_px", "mark_a_y_px"),
        ("marks", "mark_b_x_px", "mark_b_y_px"),
        ("foot", "axis_x_px", "floor_y_px"),
        ("top", "axis_top_x_px", "axis_top_y_px"),
    ):
        across, down = v.get(x), v.get(y)
        if across is not None and down is not None:
            inside = 0 <= across <= picture.width_px and 0 <= down <= picture.height_px
            if not inside:
                faults.append((name, "This place is outside the picture."))
    return faults
