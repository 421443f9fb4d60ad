"""Random small companies with something of everything, and where the sample folders are."""

from __future__ import annotations

import os
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import strategies as st

from builds.core.planning import (
    ANYBODY,
    Begun,
    Equipment,
    Figure,
    Fixed,
    Hold,
    Person,
    Problem,
    Step,
    cap_days,
    tidy,
)

CRAFTS = ("carve", "sew", "paint")
CHECKOUT = Path(__file__).resolve().parents[4]


def sample_folder(variable: str, name: str) -> Path:
    """A folder of samples that the project keeps no copy of; skips with a line where absent."""
    folder = Path(os.environ.get(variable) or CHECKOUT.parent / "shared" / name)
    if not folder.is_dir():
        pytest.skip(f"no {name} here: set {variable} to the folder that holds them")
    return folder


@st.composite
def hours(draw: st.DrawFn, days: int) -> tuple[tuple[int, int], ...]:
    """Working intervals: mostly a stretch or two a day, some days off, odd minutes too."""
    slots = []
    for day in range(days):
        if draw(st.integers(0, 4)):
            start = day * 1440 + draw(st.sampled_from((480, 540, 555, 600)))
            length = draw(st.sampled_from((45, 120, 240, 300)))
            slots.append((start, start + length))
            if draw(st.booleans()):
                again = start + length + draw(st.sampled_from((0, 30, 60)))
                slots.append((again, again + draw(st.sampled_from((60, 180)))))
    return tidy(slots)


@st.composite
def people(draw: st.DrawFn, days: int) -> tuple[Person, ...]:
    """One to four people, the first of whom leads and can do everything."""
    out = []
    for k in range(draw(st.integers(1, 4))):
        work = draw(hours(days))
        crafts = frozenset(CRAFTS) if k == 0 else frozenset(draw(st.sets(st.sampled_from(CRAFTS))))
        capped = {"carve": cap_days(work, 200)} if work and draw(st.booleans()) else {}
        out.append(Person(f"P{k}", work, crafts, k == 0, capped))
    return tuple(out)


@st.composite
def steps(
    draw: st.DrawFn, number: int, crew: tuple[Person, ...], gear: tuple[Equipment, ...], now: int
) -> Step:
    """One step that may wait for earlier ones, with any of the things a step can ask for."""
    after = draw(st.lists(st.integers(0, number - 1), unique=True, max_size=2)) if number else []
    step = Step(
        f"S{number}",
        draw(st.sampled_from((15, 30, 60, 100, 240))),
        craft=draw(st.sampled_from(CRAFTS)),
        lead_only=draw(st.integers(0, 5)) == 0,
        after=tuple((f"S{k}", draw(st.sampled_from((0, 0, 60, 1440)))) for k in after),
        not_before=draw(st.none() | st.integers(0, 2880)),
        one_go=draw(st.integers(0, 4)) == 0,
        holds=tuple(
            Hold(piece.id, draw(st.sampled_from((0, 90, 900))), draw(st.sampled_from((0, 30))))
            for piece in gear
            if draw(st.integers(0, 3)) == 0
        ),
        part_of=draw(st.sampled_from((None, None, None, "long"))),
        figure=draw(st.sampled_from((None, "J1", "J2"))),
        for_needed_by=draw(st.booleans()),
        twin_of=draw(st.sampled_from((None, "head"))),
    )
    kind = draw(st.integers(0, 9))
    if kind == 0:
        return replace(step, unattended=True, part_of=None, lead_only=False, one_go=False)
    if kind == 1:
        return replace(step, begun=Begun(crew[0].id, max(0, now - 100)), lead_only=False)
    if kind == 2:
        start = max(0, now + draw(st.sampled_from((-300, 0, 700))))
        return replace(step, fixed=Fixed(crew[0].id, start, start + 50))
    if kind == 3:
        return replace(step, company_needed=ANYBODY)
    if kind in (4, 5) and len(crew) > 1:
        ids = tuple(person.id for person in crew)
        return replace(step, second=draw(st.sampled_from((ANYBODY, ids, ids[1:]))))
    return step


@st.composite
def problems(draw: st.DrawFn, most: int = 10) -> Problem:
    """A company with a few days of work; it may well be impossible."""
    days = draw(st.integers(4, 25))
    now = draw(st.sampled_from((0, 0, 500, 1500)))
    crew = draw(people(days))
    gear = (Equipment("frame"), Equipment("booth", draw(st.integers(1, 2))))
    count = draw(st.integers(1, most))
    figures = (
        Figure("J1", draw(st.none() | st.integers(1, days * 1440)), draw(st.integers(1, 9))),
        Figure("J2", draw(st.integers(1, days * 1440))),
    )
    return Problem(
        tuple(draw(steps(k, crew, gear, now)) for k in range(count)),
        crew,
        gear,
        figures,
        now,
        days * 1440,
        draw(st.sampled_from((None, days * 1440))),
    )
