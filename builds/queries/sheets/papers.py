"""What stands on a bench sheet and on a week sheet, as plain values for the templates."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.safestring import SafeString


@dataclass(frozen=True, slots=True)
class Fact:
    """A line of the fact list; `has_line` leaves room to write."""

    word: str
    text: str
    is_strong: bool = False
    has_line: bool = False


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing or photo on the sheet."""

    address: str
    words: str
    is_small: bool = False


@dataclass(frozen=True, slots=True)
class SheetStep:
    """A step as a row of a sheet: all its parts for one person together."""

    name: str
    subject: str
    hours: str
    when: tuple[str, ...]
    looks_right: str
    with_words: str = ""
    note: str = ""
    drying: str = ""
    is_gate: bool = False


@dataclass(frozen=True, slots=True)
class BenchSheet:
    """One figure for one person."""

    show: str
    tag: str
    figure: str
    maker: str
    days: str
    lead: str
    lead_words: str
    code: SafeString
    link: str
    pictures: tuple[Picture, ...]
    facts: tuple[Fact, ...]
    steps: tuple[SheetStep, ...]
    leave_alone: tuple[str, ...]
    ask_if: tuple[str, ...]
    cautions: tuple[str, ...]
    next_words: str
    back_words: str
    mass_unit: str
    foot_left: str
    foot_middle: str


@dataclass(frozen=True, slots=True)
class WeekDay:
    """One day of a person's week."""

    name: str
    hours: str
    lead_words: str
    other: str
    steps: tuple[SheetStep, ...]


@dataclass(frozen=True, slots=True)
class WeekSheet:
    """One person's week."""

    show: str
    maker: str
    monday: date
    week: str
    lede: str
    code: SafeString
    link: str
    days: tuple[WeekDay, ...]
    cautions: tuple[str, ...]
    foot_left: str
    foot_middle: str
