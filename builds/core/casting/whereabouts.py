"""Where every casting is: each in one figure or in one place, none twice and none nowhere."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from enum import Enum


class Stage(Enum):
    """How far a casting is: still to pour, in the mould, out of it, or struck as a mistake."""

    PLANNED = "planned"
    IN_MOULD = "in the mould"
    OUT = "out"
    STRUCK = "struck"


@dataclass(frozen=True, slots=True)
class Whereabouts:
    """One casting as the record has it. `figure` may be set before it is poured: it is for it."""

    code: str
    pattern: Hashable
    pour: Hashable
    stage: Stage
    figure: Hashable | None = None
    place: str = ""
    is_thrown: bool = False


def check_castings(castings: Iterable[Whereabouts], cavities: dict[Hashable, int]) -> list[str]:
    """Every fault in the record of castings as a sentence; empty where each is in one place.

    A casting that is out is in exactly one figure or one place; one thrown out is in no figure;
    a struck one is nowhere; a figure has at most one casting of a pattern; a pour gives no more
    castings than its mould has `cavities`; codes are unique. O(castings).

    >>> good = Whereabouts("JORY60-01", "head", 1, Stage.OUT, figure="J1")
    >>> check_castings([good], {1: 1})
    []
    >>> check_castings([Whereabouts("JORY60-02", "head", 2, Stage.OUT)], {2: 1})
    ['JORY60-02 is out of the mould and nowhere.']
    """
    faults: list[str] = []
    codes: dict[str, int] = defaultdict(int)
    by_pour: dict[Hashable, int] = defaultdict(int)
    in_figure: dict[tuple[Hashable, Hashable], list[str]] = defaultdict(list)
    for casting in castings:
        codes[casting.code] += 1
        faults += _faults_of(casting)
        if casting.stage is not Stage.STRUCK:
            by_pour[casting.pour] += 1
            if casting.figure is not None:
                in_figure[casting.figure, casting.pattern].append(casting.code)
    faults += [f"{code} is written {count} times." for code, count in codes.items() if count > 1]
    faults += [
        f"{figure} has {' and '.join(found)}: one casting of each part is enough."
        for (figure, _), found in in_figure.items()
        if len(found) > 1
    ]
    faults += [
        f"Pour {pour} has {count} castings from {cavities[pour]} cavities."
        for pour, count in by_pour.items()
        if count > cavities.get(pour, count)
    ]
    return faults


def _faults_of(casting: Whereabouts) -> list[str]:
    faults = []
    if casting.figure is not None and casting.place:
        faults.append(f"{casting.code} is in {casting.figure} and at '{casting.place}' as well.")
    if casting.stage is Stage.STRUCK and (casting.figure is not None or casting.place):
        faults.append(f"{casting.code} is struck and still somewhere.")
    if casting.stage is Stage.OUT and casting.figure is None and not casting.place:
        faults.append(f"{casting.code} is out of the mould and nowhere.")
    if casting.is_thrown and casting.figure is not None:
        faults.append(f"{casting.code} is thrown out and still in {casting.figure}.")
    if casting.stage in (Stage.PLANNED, Stage.IN_MOULD) and casting.place:
        faults.append(f"{casting.code} is not out yet and lies at '{casting.place}' already.")
    return faults
