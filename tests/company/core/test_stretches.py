"""Hours of a day as they are written: read back exactly, and every fault named at once."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from company.core.stretches import WrongStretches, format_stretches, parse_stretches


@given(st.lists(st.integers(0, 96), max_size=12, unique=True).map(sorted))
def test_what_is_written_is_read_back(edges: list[int]) -> None:
    pairs = zip(edges[::2], edges[1::2], strict=False)
    spans = tuple((a * 15, b * 15) for a, b in pairs)
    assert parse_stretches(format_stretches(spans)) == spans


@pytest.mark.parametrize(
    ("text", "spans"),
    [
        ("", ()),
        ("off", ()),
        ("–", ()),
        ("10-13", ((600, 780),)),
        ("9.30 – 17h15", ((570, 1035),)),
        ("10 to 13; 14 until 24", ((600, 780), (840, 1440))),
        ("14-17 and 10-13", ((600, 780), (840, 1020))),
        ("10-12, 12-14", ((600, 720), (720, 840))),
    ],
)
def test_stretches_are_read(text: str, spans: tuple[tuple[int, int], ...]) -> None:
    assert parse_stretches(text) == spans


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("13-10", "13:00 to 10:00 ends before it starts"),
        ("10-10", "10:00 to 10:00 is no time at all"),
        ("10-25:00", "'25:00' is not on the clock"),
        ("24-10", "write 0:00 for its start"),
        ("10:10-12", "write 10:00 or 10:15"),
        ("10-13, 12-14", "10:00 to 13:00 and 12:00 to 14:00 overlap"),
        ("10-13, 10-13", "10:00 to 13:00 stands there twice"),
        ("10", "'10' is not a stretch"),
        ("10-12-14", "is not a stretch"),
        ("mornings", "'mornings' is not a stretch"),
        ("9-9:15, 10-10:15, 11-11:15, 12-12:15, 13-13:15, 14-14:15, 15-15:15, 16-17, 18-19", "at"),
        ("x" * 5000, "is not a stretch"),
    ],
)
def test_wrong_stretches_are_named(text: str, words: str) -> None:
    with pytest.raises(WrongStretches, match=words):
        parse_stretches(text)


def test_all_faults_come_at_once() -> None:
    with pytest.raises(WrongStretches) as wrong:
        parse_stretches("10:05-12, 14-13, 26-27")
    assert len(wrong.value.faults) == 4
