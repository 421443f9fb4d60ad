"""The letters of a role: proposed from its name, tidied, refused."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scenes.core.letters import propose_letters, tidy_letters


@pytest.mark.parametrize(
    ("name", "letters"),
    [
        ("Jory Tarrow", "J"),
        ("Captain Pell", "P"),
        ("The Heron", "H"),
        ("Bartle, ferryman", "B"),
        ("Sister Quill", "Q"),
        ("The gulls", "G"),
        ("The", "T"),
        ("Édith", "E"),
        ("Żuraw", "Z"),
        ("Ёж", "Ё"),
        ("鷺", "鷺"),
        ("7 gulls", "G"),
        ("42", "A"),
        ("", "A"),
        ("!?", "A"),
        ("Jean-Luc", "J"),
    ],
)
def test_letters_are_the_first_that_recalls_the_name(name, letters):
    assert propose_letters(name, ()) == letters


def test_letters_that_are_taken_give_way_to_longer_ones():
    taken: set[str] = set()
    for expected in ("J", "JT", "JO", "JR", "JY", "JOR"):
        proposed = propose_letters("Jory Tarrow", taken)
        assert proposed == expected
        taken.add(proposed)


def test_ten_namesakes_all_get_letters_of_their_own():
    taken: list[str] = []
    for _ in range(100):
        taken.append(propose_letters("Gull", taken))

    assert len(set(taken)) == 100
    assert all(len(letters) <= 3 for letters in taken)


@given(st.text(max_size=40), st.sets(st.sampled_from(["J", "JT", "A", "B", "Q", "É"])))
def test_proposal_is_always_good_letters_and_free(name, taken):
    letters = propose_letters(name, taken)

    assert tidy_letters(letters) == letters
    assert letters not in taken


@pytest.mark.parametrize("text", ["j", " j ", "J"])
def test_letters_are_kept_in_capitals(text):
    assert tidy_letters(text) == "J"


@pytest.mark.parametrize("text", ["", "  ", "J4", "J T", "J.", "ABCD", "ßß", "-"])
def test_letters_refused_say_why(text):
    with pytest.raises(ValueError, match=r"missing|only letters|at most three"):
        tidy_letters(text)
