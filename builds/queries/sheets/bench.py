"""Bench sheets: one figure for one person, with all that is left to do on it."""

from __future__ import annotations

from datetime import date

from django.conf import settings
from django.urls import reverse

from builds.models import Figure, PlannedStep, Step
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.papers import BenchSheet, Fact, Picture
from builds.queries.sheets.rows import (
    day_month,
    days_words,
    each_once,
    printed_from,
    sheet_steps,
)
from company.models import Company, Maker
from company.sheets import media_address
from company.templatetags.words import and_list, long_day

# The head's height is held to a millimetre and the body's to three: common practice, no source.
HEAD_TOLERANCE_MM = 1
BODY_TOLERANCE_MM = 3
MM_PER_INCH = 25.4


def bench_sheets(desk: Desk, figure: Figure) -> list[BenchSheet]:
    """The sheets of one figure, one for each person with work left on it, lead last."""
    rows = rows_of_figure(desk, figure)
    makers: dict[int, Maker] = {}
    for row in rows:
        makers.setdefault(row.maker_id, row.maker)
        if row.second is not None:
            makers.setdefault(row.second.pk, row.second)
    order = sorted(makers.values(), key=lambda maker: (maker.is_lead, maker.name_key))
    return [_bench_sheet(desk, figure, maker, rows) for maker in order]


def rows_of_figure(desk: Desk, figure: Figure) -> list[PlannedStep]:
    """Planned rows of a figure. Work shared by a guise stands with its lowest-numbered figure."""
    first = {guise: figures[0].pk for guise, figures in desk.made_of.items()}
    shared = first.get(figure.guise_id) == figure.pk
    patterns = {part.pattern_id for part in figure.guise.parts.all()}
    pours = {casting.pour_id for casting in figure.castings.all()}
    lent: set[int] = set()
    for other in desk.figures:
        if other.pk < figure.pk:
            lent |= {part.pattern_id for part in other.guise.parts.all()}

    def belongs(step: Step) -> bool:
        if step.figure_id is not None:
            return step.figure_id == figure.pk
        if step.pour_id is not None:
            return step.pour_id in pours
        if step.pattern_id is not None:
            return step.pattern_id in patterns - lent
        return shared and step.guise_id == figure.guise_id

    return [row for row in desk.rows if belongs(row.step)]


def figure_title(figure: Figure) -> str:
    """'Jory Tarrow at sixty, pilot coat'."""
    worn = [row.costume.name for row in figure.costumes.all()]
    return ", ".join([str(figure.guise), *worn])


def figure_link(figure: Figure) -> str:
    """The link for ever to a figure's page, behind sign-in."""
    return settings.SITE_URL + reverse("builds:figure_link", args=[figure.public_key])


def _bench_sheet(
    desk: Desk, figure: Figure, maker: Maker, all_rows: list[PlannedStep]
) -> BenchSheet:
    rows = [row for row in all_rows if maker.pk in (row.maker_id, row.second_id)]
    stages = [row.step.stage for row in rows]
    days = sorted({desk.local(row.start).date() for row in rows})
    link = figure_link(figure)
    return BenchSheet(
        show=desk.show.title,
        tag=figure.tag,
        figure=figure_title(figure),
        maker=maker.name,
        days=days_words(days),
        lead=desk.lead_name,
        lead_words=_lead_words(desk, maker, days),
        code=desk.code(link),
        link=link.removeprefix("https://").removeprefix("http://"),
        pictures=_pictures(desk, figure),
        facts=_facts(desk, figure, rows),
        steps=sheet_steps(desk, rows, maker),
        leave_alone=each_once(stage.leave_alone for stage in stages),
        ask_if=each_once(stage.ask_if for stage in stages),
        cautions=each_once(stage.cautions for stage in stages),
        next_words=_next_words(desk, rows, all_rows, maker),
        back_words=f"Put it back: {figure.place}." if figure.place else "Say where you leave it.",
        mass_unit="g" if desk.company.units == Company.Units.METRIC else "oz",
        foot_left=f"{maker.name}, {figure.tag}",
        foot_middle=printed_from(desk),
    )


def _facts(desk: Desk, figure: Figure, rows: list[PlannedStep]) -> tuple[Fact, ...]:
    guise = figure.guise
    facts = []
    if guise.words:
        facts.append(Fact("Is", guise.words, is_strong=True))
    sizes = _sizes(desk.company, guise.height_mm, guise.head_mm)
    facts.append(Fact("Stands", sizes or "size not written down:", has_line=not sizes))
    casting = next((row for row in figure.castings.all()), None)
    if casting is not None:
        state = "" if casting.result else ", not cast yet"
        facts.append(Fact("Head", f"casting {casting.code}{state}", is_strong=True))
    twins = [other.tag for other in desk.made_of[figure.guise_id] if other.pk != figure.pk]
    if twins:
        facts.append(Fact("Twin of", f"{and_list(twins)}: keep them the same"))
    facts.append(Fact("Lies", figure.place or "not said:", has_line=not figure.place))
    facts.append(Fact("Colour", guise.colours, has_line=not guise.colours))
    tools = each_once(row.step.stage.tools for row in rows)
    if tools:
        facts.append(Fact("Tools, material", "; ".join(tools)))
    facts.append(Fact("Lots opened", "", has_line=True))
    needed = desk.needed.get(figure.pk)
    if needed:
        facts.append(Fact("Needed by", f"{long_day(needed.day)}, {needed.words}", is_strong=True))
    return tuple(facts)


def _sizes(company: Company, height_mm: int | None, head_mm: int | None) -> str:
    parts = []
    if height_mm:
        parts.append(f"{length_words(company, height_mm, BODY_TOLERANCE_MM)} to the crown")
    if head_mm:
        parts.append(f"head {length_words(company, head_mm, HEAD_TOLERANCE_MM)}")
    return "; ".join(parts)


def length_words(company: Company, length_mm: int, tolerance_mm: int) -> str:
    """A length with its tolerance in the company's units: '560 mm ±3'."""
    if company.units == Company.Units.METRIC:
        return f"{length_mm} mm ±{tolerance_mm}"
    return f"{length_mm / MM_PER_INCH:.2f} in ±{tolerance_mm / MM_PER_INCH:.2f}"


def _pictures(desk: Desk, figure: Figure) -> tuple[Picture, ...]:
    found = []
    sketch = desk.sketches.get(figure.guise_id)
    if sketch is not None:
        found.append(Picture(media_address(sketch.file.name), "the chosen sketch"))
    own = desk.photos.get(figure.pk)
    if own is not None:
        taken = day_month(desk.local(own.at).date())
        found.append(Picture(media_address(own.file.name), f"{figure.tag} on {taken}", True))
    for twin in desk.made_of[figure.guise_id]:
        photo = desk.photos.get(twin.pk)
        if twin.pk != figure.pk and photo is not None:
            words = f"its twin {twin.tag} on {day_month(desk.local(photo.at).date())}"
            found.append(Picture(media_address(photo.file.name), words, True))
            break
    return tuple(found)


def _next_words(
    desk: Desk, rows: list[PlannedStep], all_rows: list[PlannedStep], maker: Maker
) -> str:
    last = max(row.finish for row in rows)
    after = [row for row in all_rows if row.start >= last and row.maker_id != maker.pk]
    if not after:
        return "nobody has it next in this plan."
    row = after[0]
    when = long_day(desk.local(row.start).date())
    return f"{row.maker.name} has it next, {when}: {row.step.stage.name}."


def _lead_words(desk: Desk, maker: Maker, days: list[date]) -> str:
    lead = desk.lead
    if lead is None or lead.pk == maker.pk:
        return ""
    missing = [when for when in days if when not in desk.in_on.get(lead.pk, set())]
    if not missing:
        return f"{lead.name} is in {'that day' if len(days) == 1 else 'on all of them'}"
    if len(missing) == len(days):
        return f"{lead.name} is not in: ask beforehand"
    return f"{lead.name} is not in on {days_words(missing)}"
