"""The sentence on top of the plot: how many figures, for how many roles, and who needs most."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scenes.core.counting import GuiseCount
from scenes.core.naming import Names, say_list, say_number
from scenes.models import Character
from scenes.queries.counts import CountedPlot
from scenes.queries.crew import Needs


@dataclass(frozen=True)
class Lede:
    """A sentence with the number in it that is set in bold; '' where there is no number yet.

    `short` is a sentence of its own about people or hooks that are missing.
    """

    before: str
    number: str = ""
    after: str = ""
    short: str = ""

    def __str__(self) -> str:
        said = f"{self.before} {self.number}{self.after}" if self.number else self.before
        return f"{said} {self.short}".rstrip()


def say_count(counted: CountedPlot) -> Lede:
    """What the current draft needs, or what comes next where nothing can be counted yet."""
    rows = counted.rows
    if not rows.scenes and not rows.guises:
        return Lede("Nothing to count yet: the plot begins with its scenes and roles.")
    if not rows.scenes:
        return Lede("Nothing to count yet: the plot has no scenes to stand in.")
    if not rows.guises:
        return Lede("Nothing to count yet: nobody is there to stand in the scenes.")
    needs = needs_of_roles(counted)
    if not needs:
        return Lede("Nobody stands in a scene yet: put somebody on, and the count begins.")
    figures, roles = counted.count.figures, len(needs)
    return Lede(
        "This draft needs",
        f"{figures} figure{'' if figures == 1 else 's'}",
        f" for {roles} role{'' if roles == 1 else 's'}{say_built(counted)}. "
        f"{_say_most(needs, counted.names)}".rstrip(),
    )


def say_built(counted: CountedPlot) -> str:
    """'; you build 12', where the lead's pins ask for more than is needed; else ''."""
    built = counted.built.figures
    return "" if built == counted.count.figures else f"; you build {built}"


def say_short(needs: Needs | None, names: Names) -> str:
    """'Scene 5 wants four people; you are three.', and of how many more scenes the same is true."""
    short = needs.short if needs else ()
    if needs is None or not short:
        return ""
    worst = max(short, key=lambda need: (need.short, need.hooks_short))
    said = worst.words(needs.crew, names)
    others = len(short) - 1
    more = f", and {say_number(others)} more scene{'' if others == 1 else 's'} as well"
    return f"{said[0].upper()}{said[1:]}{more * bool(others)}."


@dataclass(frozen=True)
class Need:
    """A role that is on somewhere, and the counts of its guises that are."""

    character: Character
    guises: tuple[GuiseCount, ...]

    @property
    def figures(self) -> int:
        """Figures of all its guises together."""
        return sum(guise.figures for guise in self.guises)


def needs_of_roles(counted: CountedPlot) -> list[Need]:
    """The roles that need a figure, in the show's order."""
    role_of = {guise.pk: guise.character_id for guise in counted.rows.guises}
    by_role: dict[int, list[GuiseCount]] = {}
    for guise in counted.count.guises:
        if guise.figures:
            by_role.setdefault(role_of[guise.guise], []).append(guise)
    return [
        Need(character, tuple(by_role[character.pk]))
        for character in counted.rows.characters
        if character.pk in by_role
    ]


def _say_most(needs: list[Need], names: Names) -> str:
    """Who needs most, and why; nothing where nobody needs more than one."""
    most = max(need.figures for need in needs)
    if most == 1:
        return ""
    who = [need for need in needs if need.figures == most]
    number = say_number(most)
    if len(who) > 3:
        return f"{say_number(len(who)).capitalize()} of them need {number} each."
    if len(who) > 1:
        return f"{say_list([need.character.name for need in who])} need {number} each."
    alone = " alone" if len(needs) > 1 else ""
    return f"{who[0].character.name}{alone} needs {number}: {_say_why(who[0], names)}."


def _say_why(need: Need, names: Names) -> str:
    """'three guises, and two costumes there is no changing into'."""
    if len(need.guises) == 1:
        return say_reason(need.guises[0], names)
    first = f"{say_number(len(need.guises))} guises"
    more = [_EXTRA[cause](number) for cause, number in _extra_figures(need.guises).items()]
    return ", and ".join(filter(None, [", ".join([first, *more[:-1]]), *more[-1:]]))


def say_reason(guise: GuiseCount, names: Names) -> str:
    """The reason in words, for a place where the number stands beside it already."""
    words = guise.reason.words(names)
    return words.removesuffix(f": {guise.figures}")


def _extra_figures(guises: Iterable[GuiseCount]) -> dict[str, int]:
    """Figures beyond one a guise, by what makes them needed; together they are all of them."""
    extra: dict[str, int] = {}
    for guise in guises:
        parts = guise.reason.parts
        if len(parts) > 1:
            is_costumes = len({part.costumes for part in parts}) == len(parts)
            cause = "costumes" if is_costumes else "rigs"
            extra[cause] = extra.get(cause, 0) + len(parts) - 1
        for part in parts:
            if part.figures > 1:
                extra[part.cause] = extra.get(part.cause, 0) + part.figures - 1
    return extra


def _more(number: int, one: str, many: str) -> str:
    return f"{say_number(number)} {one if number == 1 else many}"


_EXTRA = {
    "costumes": lambda n: _more(
        n, "costume that no change leads to", "costumes that no change leads to"
    ),
    "rigs": lambda n: _more(n, "build of its own", "builds of their own"),
    "at_once": lambda n: _more(
        n, "more that is on at the same time", "more that are on at the same time"
    ),
    "too_tight": lambda n: f"{say_number(n)} more for want of time",
    "shared": lambda n: f"{say_number(n)} more because entrances follow so closely",
}
