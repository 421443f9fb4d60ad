"""What one cell of a pasted block says: costumes, with copies and minutes where they are given."""

from __future__ import annotations

import re
from collections.abc import Hashable, Mapping
from dataclasses import dataclass, field
from typing import NamedTuple

from company.core.names import name_key, tidy_name
from company.core.units import parse_minutes
from scenes.core.plot import CostumeId, GuiseId

MOST_COPIES = 99
LONGEST_NAME = 80
UNDECIDED = frozenset({"undecided", "?"})

_MINUTES = r"[-\u2212]?\d+(?:[:.,]\d+)?"
_TIMES = re.compile(
    rf"(?P<rest>.*?)\s*\b(?P<enters>{_MINUTES})\s*[-\u2013]\s*(?P<leaves>{_MINUTES})"
)
_COPIES_AFTER = re.compile(r"(?P<rest>.*\S)\s*[x\u00d7]\s*(?P<copies>\d+)")
_COPIES_BEFORE = re.compile(r"(?P<copies>\d+)\s*[x\u00d7]\s+(?P<rest>\S.*)")
_SPLIT = re.compile(r"[;\n]")


class NewCostume(NamedTuple):
    """A costume that the guise does not have yet: pasting makes it."""

    guise: GuiseId
    name: str


@dataclass(frozen=True, slots=True)
class Wish:
    """One appearance as a block asks for it; only the fields in `said` are wanted so."""

    said: Mapping[str, Hashable] = field(default_factory=dict)
    key: str = ""


def read_cell(text: str, guise: GuiseId, costumes: Mapping[str, CostumeId]) -> list[Wish]:
    """The appearances that a cell asks for; [] for an empty cell, which asks for nothing.

    'coat', 'coat x3' or '3 x coat', 'coat 1:30-4' (minutes of the scene), several parted by ';'
    or in lines; 'undecided' or '?' for a costume not decided. `costumes` are the guise's by
    `name_key`; another name is a `NewCostume`. Raises ValueError with a sentence.

    >>> read_cell("coat 1:30-4", "Pell", {"coat": 7})[0].said
    {'costume': 7, 'enters_s': 90, 'leaves_s': 240}
    """
    if name_key(text) in costumes:
        return [Wish({"costume": costumes[name_key(text)]})]
    return [
        _read_piece(piece.strip(), guise, costumes) for piece in _SPLIT.split(text) if piece.strip()
    ]


def _read_piece(text: str, guise: GuiseId, costumes: Mapping[str, CostumeId]) -> Wish:
    said: dict[str, Hashable] = {}
    rest = text
    if name_key(rest) not in costumes and (match := _TIMES.fullmatch(rest)):
        rest = match["rest"]
        said["enters_s"] = parse_minutes(match["enters"], may_be_negative=True)
        said["leaves_s"] = parse_minutes(match["leaves"])
    if name_key(rest) not in costumes and (
        match := _COPIES_AFTER.fullmatch(rest) or _COPIES_BEFORE.fullmatch(rest)
    ):
        rest = match["rest"]
        said["copies"] = read_copies(match["copies"])
    if not rest.strip():
        raise ValueError("there are minutes but no costume: write 'undecided' before them")
    return Wish({"costume": find_costume(rest, guise, costumes), **said})


def read_copies(text: str) -> int:
    """How many copies; ValueError with a sentence where it is no such number.

    >>> read_copies("3")
    3
    """
    if not (text.isascii() and text.isdigit() and len(text) < 6):
        raise ValueError(f"'{text}' is not a number of copies")
    if not 1 <= int(text) <= MOST_COPIES:
        raise ValueError(f"from 1 to {MOST_COPIES} copies, not {text}")
    return int(text)


def find_costume(text: str, guise: GuiseId, costumes: Mapping[str, CostumeId]) -> CostumeId | None:
    """The costume of this name, a new one, or None for an undecided one."""
    key = name_key(text)
    if key in costumes:
        return costumes[key]
    if key in UNDECIDED:
        return None
    name = tidy_name(text)
    if len(name) > LONGEST_NAME:
        raise ValueError(f"a costume's name has at most {LONGEST_NAME} letters, not {len(name)}")
    if not any(sign.isalpha() for sign in name):
        raise ValueError(f"'{name}' is no name of a costume")
    return NewCostume(guise, name)
