"""The letters of a role, which stand before the numbers of its figures: J4."""

from __future__ import annotations

import itertools
import string
import unicodedata
from collections.abc import Collection, Iterator

from company.core.names import tidy_name

LONGEST = 3

# The heron is H and Captain Pell is P: these words come last when letters are proposed.
_SMALL_WORDS = frozenset(
    {"the", "a", "an", "of", "and", "der", "die", "das", "le", "la", "les", "el"}
    | {"captain", "sister", "brother", "mother", "father", "mr", "mrs", "miss", "ms", "dr"}
    | {"old", "young", "little", "big", "saint", "st", "king", "queen"}
)


def tidy_letters(text: str) -> str:
    """Letters as they are kept: 1 to 3, upper case, in one Unicode form.

    Raises ValueError with a sentence that says what is wrong.

    >>> tidy_letters(" jt ")
    'JT'
    """
    letters = unicodedata.normalize("NFC", text.strip().upper())
    if not letters:
        raise ValueError("letters are missing: write one to three, such as J or JT")
    if not letters.isalpha():
        raise ValueError("only letters, no numbers, blanks or signs: such as J or JT")
    if len(letters) > LONGEST:
        raise ValueError(f"at most three letters, not {len(letters)}")
    return letters


def propose_letters(name: str, taken: Collection[str]) -> str:
    """The shortest letters that recall `name` and are not in `taken`.

    Small words and titles come last, accents fall away where a plain letter is left. Costs one
    pass over the candidates. Raises ValueError when all 18 278 of A to ZZZ are taken.

    >>> propose_letters("Jory Tarrow", ()), propose_letters("Sister Quill", ())
    ('J', 'Q')
    >>> propose_letters("The Jib", ("J",))
    'JI'
    >>> propose_letters("Jonas Tarn", ("J", "JT"))
    'JO'
    """
    used = {letters.upper() for letters in taken}
    for letters in itertools.chain(_from_name(name), _alphabet()):
        if letters not in used:
            return letters
    raise ValueError("every combination of three letters is taken")


def _from_name(name: str) -> Iterator[str]:
    words = [_plain_letters(word) for word in tidy_name(name).replace("-", " ").split()]
    words = [word for word in words if word]
    telling = [word for word in words if word.casefold() not in _SMALL_WORDS] or words
    if not telling:
        return
    first = telling[0]
    yield first[0]
    if len(telling) > 1:
        yield "".join(word[0] for word in telling[:LONGEST])
        yield first[0] + telling[1][0]
    yield from (first[0] + letter for letter in first[1:])
    yield from (first[0] + a + b for a, b in itertools.combinations(first[1:], 2))


def _plain_letters(word: str) -> str:
    """The word's letters in upper case, without accents where that leaves a plain letter.

    >>> _plain_letters("Édith"), _plain_letters("ß2"), _plain_letters("Ёж")
    ('EDITH', 'SS', 'ЁЖ')
    """
    letters = []
    for sign in unicodedata.normalize("NFC", word):
        base = unicodedata.normalize("NFD", sign)[0]
        kept = base if base.isascii() else sign
        letters += [upper for upper in kept.upper() if upper.isalpha()]
    return "".join(letters)


def _alphabet() -> Iterator[str]:
    for length in range(1, LONGEST + 1):
        yield from map("".join, itertools.product(string.ascii_uppercase, repeat=length))
