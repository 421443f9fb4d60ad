"""Amounts in words and in the units of the company: a part, a mould's block, one pour."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.text import capfirst

from builds.core.casting.amounts import USUAL_WASTE, Amounts
from builds.core.casting.values import Material
from builds.core.casting.weighing import format_amount
from builds.models import Mould
from builds.queries.mould_amounts import amounts_of, fill_of, wanted_size
from company.core.measures import format_length
from company.models import Company
from company.templatetags.words import FIXED, and_list


@dataclass(frozen=True)
class Line:
    """A word and what is to be measured out, in the company's units."""

    word: str
    text: str
    note: str = ""


def is_metric(company: Company) -> bool:
    """Whether the company weighs in grams."""
    return company.units == Company.Units.METRIC


def say_amount(amount: float, unit: str, metric: bool) -> str:
    """An amount as weighed or poured; number and unit stay together at a line's end."""
    return format_amount(amount, unit, is_metric=metric).replace(" ", FIXED)


def part_lines(mould: Mould, amounts: Amounts, company: Company) -> tuple[Line, ...]:
    if amounts.part_ml is None:
        return ()
    note = ""
    if amounts.is_guess:
        head_mm = wanted_size(mould) or 0
        length = format_length(head_mm, is_metric=is_metric(company))
        note = f"a guess from the head's height of {length}: weigh it or displace water"
    text = say_amount(amounts.part_ml, "ml", is_metric(company))
    return (Line("The part as sculpted", text, note),)


def block_lines(mould: Mould, amounts: Amounts, company: Company) -> tuple[Line, ...]:
    """The whole mould, and one part of it where there are several of the same mix."""
    metric = is_metric(company)
    lines = [
        Line(capfirst(part.name), say_amount(part.amount, part.unit, metric))
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
        Line(capfirst(part.name), say_amount(part.amount, part.unit, metric))
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
