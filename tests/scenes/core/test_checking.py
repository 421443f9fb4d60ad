"""The checker finds whatever is wrong with a count, on counts spoiled on purpose."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scenes.core.counting import Count, Stop, check_count, count_figures
from scenes.core.counting.reasons import Reason
from scenes.core.plot import Plot
from tests.scenes.core.stories import JORY, change, make_scenes, wear

PLOT = Plot(
    make_scenes(4, 4, 4, gap_min=1),
    (
        wear("1", "coat", 1, places=("", "left")),
        wear("2", "gown", 2, places=("right", "")),
        wear("2b", "cape", 2),
        wear("3", "gown", 3),
    ),
    (change("coat", "gown", 0.5),),
    crossing_s=30,
)
SOUND = count_figures(PLOT)
(JORYS,) = SOUND.guises
LONG, SHORT = JORYS.tracks


def spoil(**changes: object) -> Count:
    return replace(SOUND, guises=(replace(JORYS, **changes),))  # type: ignore[arg-type]


def test_a_sound_count_passes() -> None:
    assert [stop.key for stop in LONG.stops] == ["1", "2", "3"]
    assert check_count(PLOT, SOUND) == []


@pytest.mark.parametrize(
    ("count", "says"),
    [
        (replace(SOUND, figures=3), "not the sum over the guises"),
        (replace(SOUND, guises=()), "on no track"),
        (replace(SOUND, guises=()), "not those of the plot"),
        (spoil(figures=3), "3 figures but 2 tracks"),
        (spoil(changes=0), "the changes do not add up"),
        (spoil(crossings=0), "the crossings do not add up"),
        (spoil(reason=Reason("one", 1)), "the reason does not give the number"),
        (spoil(guise="the Heron"), "a track plays another guise"),
        (spoil(tracks=(LONG,), figures=1), "copy 1 of appearance '2b' is on no track"),
        (spoil(tracks=(LONG, SHORT, SHORT), figures=3), "is played 2 times"),
        (spoil(tracks=(SHORT, LONG)), "not in order of first entrance"),
        (spoil(tracks=(LONG, replace(SHORT, stops=()))), "an empty track"),
        (
            spoil(tracks=(LONG, replace(SHORT, stops=(Stop("2b", 1), Stop("9", 1))))),
            "'9' is not in the plot",
        ),
        (
            spoil(tracks=(LONG, replace(SHORT, stops=(Stop("2b", 2),)))),
            "copy 2 of appearance '2b' is not in the plot",
        ),
        (
            spoil(tracks=(replace(LONG, stops=LONG.stops[:2]),
                          replace(SHORT, stops=(*SHORT.stops, Stop("3", 1))))),
            "no change is possible",
        ),
        (spoil(tracks=(replace(LONG, changes=()), SHORT)), "changes named are not those made"),
        (spoil(tracks=(replace(LONG, crossings=0), SHORT)), "crossings named are not those made"),
    ],
)  # fmt: skip
def test_each_fault_is_named(count: Count, says: str) -> None:
    assert any(says in line for line in check_count(PLOT, count))


def test_a_step_without_the_time_is_named() -> None:
    lines = check_count(replace(PLOT, reset_s=1), SOUND)
    assert lines == [f"guise '{JORY}': from '1' to '2': 60 s for what takes 61 s"]


def test_a_step_between_rigs_is_named() -> None:
    flying = tuple(replace(a, rig="flying") if a.key == "3" else a for a in PLOT.appearances)
    lines = check_count(replace(PLOT, appearances=flying), SOUND)
    assert lines == [f"guise '{JORY}': from '2' to '3': no figure plays both rigs"]
