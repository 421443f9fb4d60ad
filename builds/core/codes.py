"""The code of a pattern, written inside each of its castings: JORY60."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Container

_ONES = ["one", "two", "three", "four", "five", "six", "seven", "eight", "nine"]
_TEENS = ["ten", "eleven", "twelve", "thirteen", "fourteen", "fifteen"]
_TEENS += ["sixteen", "seventeen", "eighteen", "nineteen"]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_NUMBERS = {
    **{word: n for n, word in enumerate(_ONES, 1)},
    **{word: n for n, word in enumerate(_TEENS, 10)},
    **{word: n * 10 for n, word in enumerate(_TENS, 2)},
}
_ARTICLES = {"the", "a", "an"}
_LETTERS = {"head": "", "hands": "H", "feet": "F", "body": "B"}
LONGEST = 16


def make_code(character: str, guise: str, part: str, taken: Container[str]) -> str:
    """Capitals and digits, at most 16, that no other pattern of the show has.

    The role's first word, then the guise's age where its name says one, else its first letters;
    hands, feet and body carry a letter more. Raises ValueError for an unknown part.

    >>> make_code("Jory Tarrow", "at sixty", "head", set())
    'JORY60'
    >>> make_code("The Heron", "standing", "body", set())
    'HERON-STA-B'
    >>> make_code("Jory Tarrow", "at sixty", "head", {"JORY60"})
    'JORY60X2'
    """
    if part not in _LETTERS:
        raise ValueError(f"part must be one of {sorted(_LETTERS)}, got {part!r}")
    words = [w for w in _plain(character).split() if w.lower() not in _ARTICLES]
    role = words[0][:8] if words else "ROLE"
    age = _age(_plain(guise))
    state = "" if age is not None else "".join(_plain(guise).split())[:3]
    stem = f"{role}{age}" if age is not None else "-".join(filter(None, [role, state]))
    if _LETTERS[part]:
        stem += ("" if stem[-1].isdigit() else "-") + _LETTERS[part]
    code, number = stem, 1
    while code in taken:
        number += 1
        code = f"{stem[: LONGEST - len(str(number)) - 1]}X{number}"
    return code


def _plain(text: str) -> str:
    """Capitals A to Z, digits and blanks; accents dropped."""
    bare = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    return re.sub(r"[^A-Z0-9]+", " ", bare.upper()).strip()


def _age(name: str) -> int | None:
    """The number in a name, in digits or in words up to ninety-nine; None where it has none."""
    digits = re.search(r"\d{1,3}", name)
    if digits:
        return int(digits.group())
    said = [_NUMBERS[word] for word in name.lower().split() if word in _NUMBERS]
    return sum(said) if said else None
