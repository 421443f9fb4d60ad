"""The facts and pictures of a figure on its bench sheet: sizes, castings, twins, colours."""

from __future__ import annotations

from builds.models import Casting, Figure, Photo
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.papers import Fact, Picture
from builds.queries.sheets.rows import each_once, short_day
from company.core.measures import format_length, format_mass
from company.models import Company
from company.sheet_files import has_media, media_address
from company.templatetags.words import and_list, long_day

# The head's height is held to a millimetre and the body's to three: common practice, no source.
HEAD_TOLERANCE_MM = 1
BODY_TOLERANCE_MM = 3


def facts_of(desk: Desk, figure: Figure) -> tuple[Fact, ...]:
    """The fact list, in the order in which a maker wants to know."""
    guise = figure.guise
    sizes = _sizes(desk.company, guise.height_mm, guise.head_mm)
    lots = each_once(casting.pour.lot for casting in figure.castings.all())
    found = [
        Fact("Character", guise.words, is_strong=True),
        Fact("Stands", sizes or "not written down:", has_line=not sizes),
        Fact("Wears", _costumes(desk.company, figure)),
        *_castings(desk, figure),
        Fact("Twin of", _twins(desk, figure)),
        Fact("Lies", figure.place or "not said:", has_line=not figure.place),
        Fact("Colour", guise.colours or "not said:", has_line=not guise.colours),
        Fact("Lots", f"{and_list(lots)}, now" if lots else "opened:", has_line=True),
        Fact("Needed by", _needed(desk, figure), is_strong=True),
        Fact("Waits", _for_the_pass(desk, figure)),
        Fact("Note", figure.note),
    ]
    return tuple(fact for fact in found if fact.text)


def _sizes(company: Company, height_mm: int | None, head_mm: int | None) -> str:
    parts = []
    if height_mm:
        parts.append(f"{length_words(company, height_mm, BODY_TOLERANCE_MM)} to the crown")
    if head_mm:
        parts.append(f"head {length_words(company, head_mm, HEAD_TOLERANCE_MM)}")
    return "; ".join(parts)


def length_words(company: Company, length_mm: int, tolerance_mm: int) -> str:
    """A length with its tolerance in the company's units: '560 mm ±3'."""
    is_metric = company.units == Company.Units.METRIC
    length = format_length(length_mm, is_metric=is_metric)
    within = format_length(tolerance_mm, is_metric=is_metric).split()[0]
    return f"{length} ±{within}"


def mass_unit(company: Company) -> str:
    """The unit that weights are written in."""
    return "g" if company.units == Company.Units.METRIC else "oz"


def _costumes(company: Company, figure: Figure) -> str:
    is_metric = company.units == Company.Units.METRIC
    worn = []
    for row in figure.costumes.all():
        if row.struck_at is None:
            weight_g = row.costume.weight_g
            weight = f" ({format_mass(weight_g, is_metric=is_metric)})" if weight_g else ""
            worn.append(f"{row.costume.name}{weight}")
    return and_list(worn) if worn else ""


def _castings(desk: Desk, figure: Figure) -> list[Fact]:
    poured = {step.pour_id for step in desk.steps.values() if step.pour_id and step.finished_at}
    return [
        Fact(
            casting.pattern.get_part_display().capitalize(),
            _casting_words(casting, is_cast=casting.pour_id in poured),
        )
        for casting in figure.castings.all()
    ]


def _casting_words(casting: Casting, *, is_cast: bool) -> str:
    state = "" if is_cast or casting.pour.poured_at else ", not cast yet"
    if casting.result == Casting.Result.FLAWED:
        state = ", flawed: ask before you use it"
    if casting.result == Casting.Result.THROWN:
        state = ", thrown out: do not use it"
    return f"casting {casting.code}{state}"


def _twins(desk: Desk, figure: Figure) -> str:
    twins = [
        f"{other.tag} ({other.place})" if other.place else other.tag
        for other in desk.figures_of_guise[figure.guise_id]
        if other.pk != figure.pk
    ]
    return f"{and_list(twins)}: keep them the same" if twins else ""


def _needed(desk: Desk, figure: Figure) -> str:
    needed = desk.needed.get(figure.pk)
    return f"{long_day(needed.day)}, {needed.words}" if needed else ""


def _for_the_pass(desk: Desk, figure: Figure) -> str:
    """Steps that are finished and may not be gone on from before the lead has passed them."""
    names = [
        step.stage.name
        for step in desk.steps.values()
        if desk.owner.get(step.pk) == figure.pk
        and step.stage.gate
        and step.finished_at
        and not step.passed_at
    ]
    return f"for {desk.lead_name}'s pass: {and_list(names)}" if names else ""


# Pictures


def sketch_of(desk: Desk, figure: Figure) -> Picture | None:
    """The chosen sketch of the guise; no other is ever printed."""
    sketch = desk.sketches.get(figure.guise_id)
    if sketch is None or not has_media(sketch.file.name):
        return None
    return Picture(media_address(sketch.file.name), f"the chosen sketch of {figure.guise}")


def photos_of(desk: Desk, figure: Figure) -> tuple[Picture, ...]:
    """The last photo of the piece, and the last of its twins."""
    found = []
    own = _photo(desk, figure)
    if own is not None:
        found.append(_picture(desk, own, figure.tag))
    twins = [
        (photo.at, photo.pk, photo, other.tag)
        for other in desk.figures_of_guise[figure.guise_id]
        if other.pk != figure.pk and (photo := _photo(desk, other)) is not None
    ]
    if twins:
        *_, photo, tag = max(twins)
        found.append(_picture(desk, photo, f"its twin {tag}"))
    return tuple(found)


def _photo(desk: Desk, figure: Figure) -> Photo | None:
    photo = desk.photos.get(figure.pk)
    return photo if photo is not None and has_media(photo.file.name) else None


def _picture(desk: Desk, photo: Photo, whose: str) -> Picture:
    words = f"{whose} on {short_day(desk.local(photo.at).date())}"
    if photo.words:
        words += f": {photo.words}"
    return Picture(media_address(photo.file.name), words)
