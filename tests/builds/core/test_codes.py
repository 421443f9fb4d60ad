"""Codes of patterns: short, readable, and never the same twice in a show."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.codes import LONGEST, make_code


@pytest.mark.parametrize(
    ("role", "guise", "part", "code"),
    [
        ("Jory Tarrow", "at nine", "head", "JORY9"),
        ("Jory Tarrow", "at thirty", "hands", "JORY30H"),
        ("Jory Tarrow", "at twenty-five", "body", "JORY25B"),
        ("Jory Tarrow", "aged 61", "head", "JORY61"),
        ("Sister Quill", "", "body", "SISTER-B"),
        ("The Heron", "standing", "head", "HERON-STA"),
        ("Zoë", "", "head", "ZOE"),
        ("鷺", "", "head", "ROLE"),
    ],
)
def test_code_by_hand(role: str, guise: str, part: str, code: str) -> None:
    assert make_code(role, guise, part, set()) == code


@given(st.lists(st.tuples(st.text(max_size=60), st.text(max_size=60)), max_size=12))
def test_codes_are_plain_short_and_apart(names: list[tuple[str, str]]) -> None:
    taken: set[str] = set()
    for role, guise in names:
        for part in ("head", "hands", "body"):
            code = make_code(role, guise, part, taken)
            assert code not in taken
            assert re.fullmatch(r"[A-Z0-9-]+", code)
            assert len(code) <= LONGEST
            taken.add(code)


def test_an_unknown_part_is_refused() -> None:
    with pytest.raises(ValueError, match="part must be one of"):
        make_code("Jory", "", "tail", set())
