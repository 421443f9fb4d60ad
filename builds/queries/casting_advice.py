"""What to say of one mould: will it set, sculpt at what size, what to weigh out and to mind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from builds.core.casting.amounts import (
    PLASTERS,
    USUAL_WASTE,
    Amounts,
    Setting,
    Typed,
    work_out,
)
from builds.core.casting.values import Kind, Material
from builds.core.casting.weighing import format_amount, round_as_weighed
from builds.core.casting.will_it_set import Answer
from builds.models import Mould, MouldAmounts, Part
from builds.queries.materials import Materials, closed_words
from builds.queries.sculpting import SculptAt, sculpt_scale_of
from company.core.measures import format_length
from company.models import Company
from company.templatetags.words import FIXED, and_list, hours

LAST_WORD = "The maker's own data sheet and your local rules come first."
DAY_MIN = 24 * 60


@dataclass(frozen=True)
class Line:
    """A word and what is to be measured out, in the company's units."""

    word: str
    text: str
    note: str = ""


@dataclass(frozen=True)
class Caution:
    """What to mind with one material."""

    name: str
    words: str
    gloves: str
    closed_to: str


@dataclass(frozen=True)
class Moment:
    """A moment of a pour: minutes after the one before it, None for a sentence alone."""

    word: str
    text: str
    minutes: int | None = None


@dataclass(frozen=True)
class Advice:
    """All of it for one mould."""

    mould: Mould
    company: Company
    sculpt: str
    moulded: str
    cast: str
    answer: Answer
    sculpt_at: SculptAt | None
    sculpt_words: str
    range_words: str
    amounts: Amounts
    part: tuple[Line, ...]
    block: tuple[Line, ...]
    pour: tuple[Line, ...]
    mould_moments: tuple[Moment, ...]
    pour_moments: tuple[Moment, ...]
    mould_cautions: tuple[Caution, ...]
    pour_cautions: tuple[Caution, ...]
    mould_sources: tuple[str, ...]
    pour_sources: tuple[str, ...]
    typed_at: Any = None

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Those of mould and casting, each once."""
        return tuple(dict.fromkeys((*self.pour_cautions, *self.mould_cautions)))

    @property
    def last_word(self) -> str:
        """Whose word comes before ours."""
        return LAST_WORD

    @property
    def has_guess(self) -> bool:
        """Whether the amounts rest on the height of the head alone."""
        return self.amounts.is_guess


def advice_for(mould: Mould, *, materials: Materials | None = None) -> Advice:
    """What to say of a mould; its pattern, guise, show and company should be selected.

    Four queries at most, whatever the number of moulds and materials.
    """
    company = mould.pattern.show.company
    known = materials or Materials(company)
    moulded = known.find(Kind.MOULD, mould.material)
    cast = known.find(Kind.CAST, mould.casting_material)
    at = sculpt_scale_of(mould, known)
    wanted_mm = wanted_size(mould)
    row = amounts_of(mould)
    amounts = work_out(typed_of(row, mould), setting_of(mould, known))
    return Advice(
        mould=mould,
        company=company,
        sculpt=known.label(Kind.SCULPT, mould.sculpt_material),
        moulded=known.label(Kind.MOULD, mould.material),
        cast=known.label(Kind.CAST, mould.casting_material),
        answer=known.judge(mould.sculpt_material, mould.material, mould.casting_material),
        sculpt_at=at,
        sculpt_words=_capital(at.words(company, wanted_mm)) + "." if at else "",
        range_words=at.range_words(company, wanted_mm) if at else "",
        amounts=amounts,
        part=_part_lines(mould, amounts, company),
        block=_block_lines(mould, amounts, company),
        pour=pour_lines(mould, amounts, company, cast),
        mould_moments=_mould_moments(mould, moulded),
        pour_moments=_pour_moments(mould, cast),
        mould_cautions=_cautions(moulded),
        pour_cautions=_cautions(cast),
        mould_sources=moulded.sources if moulded else (),
        pour_sources=cast.sources if cast else (),
        typed_at=row.at if row else None,
    )


def amounts_of(mould: Mould) -> MouldAmounts | None:
    """What was typed for a mould, if anything."""
    found: MouldAmounts | None = getattr(mould, "amounts", None)
    return found


def wanted_size(mould: Mould) -> int | None:
    """The finished height of the part in mm, where the guise tells it: only a head's is told."""
    return mould.pattern.made_for.head_mm if mould.pattern.part == Part.HEAD else None


def setting_of(mould: Mould, materials: Materials) -> Setting:
    """What is poured into what, for the core."""
    at = sculpt_scale_of(mould, materials)
    like = materials.likes.get(mould.material, mould.material)
    return Setting(
        mould=materials.find(Kind.MOULD, mould.material),
        cast=materials.find(Kind.CAST, mould.casting_material),
        sculpt=materials.find(Kind.SCULPT, mould.sculpt_material),
        parts=mould.parts,
        cavities=mould.cavities,
        is_plaster=like in PLASTERS,
        shrinkage=at.scale.shrinkage if at else None,
    )


def typed_of(row: MouldAmounts | None, mould: Mould) -> Typed:
    """What was typed, as the core takes it."""
    head_mm = wanted_size(mould)
    if row is None:
        return Typed(head_mm=head_mm)
    return Typed(
        way=row.way,
        known_ml=row.known_ml,
        before_ml=row.before_ml,
        after_ml=row.after_ml,
        mass_g=row.mass_g,
        density=row.density_kg_m3 / 1000 if row.density_kg_m3 else None,
        length_mm=row.length_mm,
        width_mm=row.width_mm,
        height_mm=row.height_mm,
        box_length_mm=row.box_length_mm,
        box_width_mm=row.box_width_mm,
        box_height_mm=row.box_height_mm,
        second_per_100=float(row.second_per_100) if row.second_per_100 is not None else None,
        waste=row.waste_percent / 100,
        stays=row.stays_percent / 100 if row.stays_percent else None,
        head_mm=head_mm,
    )


def is_metric(company: Company) -> bool:
    """Whether the company weighs in grams."""
    return company.units == Company.Units.METRIC


def say_amount(amount: float, unit: str, metric: bool) -> str:
    """An amount as weighed or poured; number and unit stay together at a line's end."""
    return format_amount(amount, unit, is_metric=metric).replace(" ", FIXED)


def _part_lines(mould: Mould, amounts: Amounts, company: Company) -> tuple[Line, ...]:
    if amounts.part_ml is None:
        return ()
    note = ""
    if amounts.is_guess:
        head_mm = wanted_size(mould) or 0
        length = format_length(head_mm, is_metric=is_metric(company))
        note = f"a guess from the head's height of {length}: weigh it or displace water"
    text = say_amount(amounts.part_ml, "ml", is_metric(company))
    return (Line("The part as sculpted", text, note),)


def _block_lines(mould: Mould, amounts: Amounts, company: Company) -> tuple[Line, ...]:
    """The whole mould, and one part of it where there are several of the same mix."""
    metric = is_metric(company)
    lines = [
        Line(_capital(part.name), say_amount(part.amount, part.unit, metric))
        for part in amounts.block
    ]
    if mould.parts > 1 and amounts.block:
        each = and_list(
            f"{say_amount(part.amount / mould.parts, part.unit, metric)} {part.name}"
            for part in amounts.block
        )
        note = "the same mix in each, or the wall comes out uneven"
        lines.append(Line(f"In each of {mould.parts} parts", f"about {each}", note))
    return tuple(lines)


def pour_lines(
    mould: Mould, amounts: Amounts, company: Company, cast: Material | None
) -> tuple[Line, ...]:
    """What one pour takes. What is written on the mould itself goes before what was worked out."""
    metric = is_metric(company)
    if cast is not None and (cast.is_slip or cast.measured_by == "volume"):
        return _slip_lines(mould, amounts, cast, metric)
    lines = [
        Line(_capital(part.name), say_amount(part.amount, part.unit, metric))
        for part in amounts.pour
    ]
    if amounts.is_small_batch:
        lines.append(Line("", "", "the smallest batch that mixes and cures well"))
    return tuple(lines)


def _slip_lines(mould: Mould, amounts: Amounts, cast: Material, metric: bool) -> tuple[Line, ...]:
    fill_ml, stays_ml = fill_of(mould, amounts)
    if fill_ml is None:
        return ()
    word = "Fill" if cast.is_slip else "Have ready"
    lines = [Line(word, f"{say_amount(fill_ml, 'ml', metric)} of {cast.name}", _spare(mould))]
    if stays_ml is not None and stays_ml < fill_ml and cast.is_slip:
        stays = say_amount(stays_ml, "ml", metric)
        back = say_amount(fill_ml - stays_ml, "ml", metric)
        lines.append(Line("Stays in the mould", stays, f"about {back} goes back, strained"))
    return tuple(lines)


def _spare(mould: Mould) -> str:
    """What is in the filling beside the mould's own volume."""
    row = amounts_of(mould)
    percent = row.waste_percent if row else round(USUAL_WASTE * 100)
    return f"with {percent} % for topping up and what spills" if percent else ""


def fill_of(mould: Mould, amounts: Amounts) -> tuple[float | None, float | None]:
    """What goes in and what stays, in ml: as written on the mould, else as worked out."""
    fill = amounts.fill
    fill_ml = mould.fill_ml if mould.fill_ml is not None else fill.fill_ml if fill else None
    stays_ml = mould.stays_ml if mould.stays_ml is not None else fill.stays_ml if fill else None
    if fill_ml is not None and stays_ml is not None:
        stays_ml = min(stays_ml, fill_ml)
    return fill_ml, stays_ml


def rounded_ml(volume_ml: float | None) -> int | None:
    """A volume as poured, for a column."""
    return None if volume_ml is None else round(round_as_weighed(volume_ml))


def _mould_moments(mould: Mould, moulded: Material | None) -> tuple[Moment, ...]:
    if moulded is None:
        return ()
    times = moulded.times
    found = []
    if times.pot_min is not None:
        found.append(Moment("Use the mix within", hours(times.pot_min), times.pot_min))
    if times.open_min is not None:
        found.append(Moment("Open after", hours(times.open_min), times.open_min))
    dry = mould.dry_min if mould.dry_min is not None else times.ready_min
    if dry:
        found.append(Moment("First used after", _long(dry), dry))
    if moulded.wall:
        found.append(Moment("Wall", moulded.wall))
    if times.words:
        found.append(Moment("", times.words))
    if moulded.temperature:
        found.append(Moment("", moulded.temperature))
    return tuple(found)


def _pour_moments(mould: Mould, cast: Material | None) -> tuple[Moment, ...]:
    if cast is None:
        return ()
    times = cast.times
    steps = (
        ("Use the mix within", times.pot_min),
        ("Top up for", times.top_up_min),
        ("Pour out what is left after", times.drain_min),
        ("Open after a further" if times.drain_min else "Open after", times.open_min),
        ("Hard or cured after a further", times.ready_min),
    )
    found = [Moment(word, _long(minutes), minutes) for word, minutes in steps if minutes]
    if cast.wall:
        found.append(Moment("Wall", cast.wall))
    if times.rest_min is not None:
        found.append(Moment("", "One casting a mould a day."))
    if cast.is_slip:
        found.append(Moment("", "It may stay closed longer: open it when somebody is in."))
    if times.words:
        found.append(Moment("", times.words))
    if cast.temperature:
        found.append(Moment("", cast.temperature))
    return tuple(found)


def _cautions(material: Material | None) -> tuple[Caution, ...]:
    if material is None or not (material.care.words or material.care.closed_to):
        return ()
    closed = closed_words(material)
    return (
        Caution(
            _capital(material.name),
            material.care.words,
            material.care.gloves,
            f"Closed to {and_list(closed)}." if closed else "",
        ),
    )


def _long(minutes: int) -> str:
    if minutes >= 2 * DAY_MIN and minutes % DAY_MIN == 0:
        return f"{minutes // DAY_MIN} days"
    return "1 day" if minutes == DAY_MIN else hours(minutes)


def _capital(words: str) -> str:
    return words[:1].upper() + words[1:]
