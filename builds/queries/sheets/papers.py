"""What stands on the papers of a show, as plain values for the templates."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.safestring import SafeString

MOST_TOGETHER = 4  # steps whose warnings fit into two boxes at the sheet's foot


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


@dataclass(frozen=True, slots=True)
class SheetStep:
    """A step as a row of a sheet: all its parts for one person together.

    `drying` says how long it is left alone afterwards and `dry_until` until when, if the hours
    hold. `then` says who has the piece next, where that is somebody else.
    """

    name: str
    subject: str
    hours: str
    when: tuple[str, ...]
    looks_right: str = ""
    tools: str = ""
    remarks: tuple[str, ...] = ()
    note: str = ""
    drying: str = ""
    dry_until: str = ""
    then: str = ""
    is_gate: bool = False
    leave_alone: str = ""
    ask_if: str = ""


@dataclass(frozen=True, slots=True)
class Told:
    """A text of a stage and the steps it is for; `steps` is blank where the sheet has one alone."""

    steps: str
    text: str


@dataclass(frozen=True, slots=True)
class Care:
    """The cautions of a sheet: for whom steps are closed, each material, who has the last word."""

    marks: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    last_words: tuple[str, ...] = ()

    def __bool__(self) -> bool:
        return bool(self.marks or self.lines)


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
    is_for_lead: bool
    code: SafeString
    link: str
    sketch: Picture | None
    photos: tuple[Picture, ...]
    facts: tuple[Fact, ...]
    steps: tuple[SheetStep, ...]
    leave_alone: tuple[Told, ...]
    ask_if: tuple[Told, ...]
    care: Care
    next_words: str
    back_words: str
    mass_unit: str
    printed_from: str
    body: str = ""

    @property
    def is_long(self) -> bool:
        """Whether each step bears its own 'leave alone' and 'ask', so that nobody must leaf."""
        return len(self.steps) > MOST_TOGETHER

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.tag} for {self.maker}: {self.figure}"


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
    still_open: tuple[SheetStep, ...]
    for_the_pass: tuple[SheetStep, ...]
    care: Care
    printed_from: str

    @property
    def title(self) -> str:
        """What the file and its bookmark are called."""
        return f"{self.maker}, week of {self.week}"
