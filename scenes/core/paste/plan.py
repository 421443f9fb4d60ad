"""What a pasted block will do to the plot: add, change, take out, leave alone, not understand."""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Literal, TypeAlias

from scenes.core.paste.blocks import Asked, Bad, Form, read_block, split_block
from scenes.core.paste.cells import NewCostume, Wish
from scenes.core.paste.targets import Targets
from scenes.core.plot import Appearance, AppearanceKey, GuiseId, Plot, SceneKey
from scenes.core.plot_problems import time_problem

Fate: TypeAlias = Literal["added", "changed", "taken out", "left alone"]
NotUnderstood: TypeAlias = Bad


@dataclass(frozen=True, slots=True)
class PasteLine:
    """One appearance and what becomes of it; row and column of the block count from 1.

    `after` of an added one has a key of its own, ('pasted', row, column, n), until it is saved.
    """

    fate: Fate
    row: int
    column: int
    before: Appearance | None
    after: Appearance | None


@dataclass(frozen=True, slots=True)
class PastePlan:
    """Everything a block will do. `new_costumes` are made for it. Nothing is done yet."""

    form: Form
    lines: tuple[PasteLine, ...] = ()
    not_understood: tuple[NotUnderstood, ...] = ()
    new_costumes: tuple[NewCostume, ...] = field(default=())

    def of(self, fate: Fate) -> tuple[PasteLine, ...]:
        """The lines of one fate."""
        return tuple(line for line in self.lines if line.fate == fate)

    @property
    def does_something(self) -> bool:
        """Whether the plot would be other than it is."""
        return any(line.fate != "left alone" for line in self.lines)

    def words(self) -> str:
        """'2 added, 1 changed, 3 left alone, 1 not understood'.

        >>> PastePlan("grid").words()
        'nothing to do'
        """
        fates: tuple[Fate, ...] = ("added", "changed", "taken out", "left alone")
        said = [f"{len(self.of(fate))} {fate}" for fate in fates if self.of(fate)]
        if self.not_understood:
            said.append(f"{len(self.not_understood)} not understood")
        return ", ".join(said) or "nothing to do"


def plan_paste(text: str, targets: Targets) -> PastePlan:
    """What pasting this block into the plot will do.

    A grid has scenes across and roles down; its cells say what the role wears in the scene, and
    the scene then holds exactly that: minutes, places and holds that a cell does not say stay. An
    empty cell changes nothing. A list has one appearance a row under the columns of our plot
    file; it adds and changes, and takes nothing out. Rows are known by `key` where one is given,
    else by being alike, else by wearing the same.

    Pure, and the same for the same block; pasting what is there already leaves all alone.

    >>> from scenes.core.paste.targets import GuiseName
    >>> from scenes.core.plot import Scene
    >>> plot = Plot((Scene("a", "1", 240), Scene("b", "2", 300)))
    >>> targets = Targets(plot, [GuiseName("h", "the Heron")], {"g": ("h", "grey")})
    >>> plan = plan_paste("\\t1\\t9\\nthe heron\\tgrey 1-3\\tgrey\\nPell\\tcoat\\n", targets)
    >>> plan.words()
    '1 added, 2 not understood'
    >>> [(bad.row, bad.column, bad.why) for bad in plan.not_understood]
    [(1, 3, "there is no scene '9'"), (3, 1, "there is no role 'Pell'")]
    """
    form, asked, bad = read_block(split_block(text), targets)
    lines: list[PasteLine] = []
    pasting = _Pasting(targets, bad)
    if form == "grid":
        for cell in asked:
            lines.extend(pasting.paste_cell(cell))
    else:
        lines.extend(pasting.paste_list(asked))
    costumes = dict.fromkeys(
        line.after.costume
        for line in lines
        if line.after is not None and isinstance(line.after.costume, NewCostume)
    )
    return PastePlan(
        form,
        tuple(sorted(lines, key=lambda line: (line.row, line.column))),
        tuple(sorted(bad)),
        tuple(costume for costume in costumes if isinstance(costume, NewCostume)),
    )


def apply_paste(plot: Plot, plan: PastePlan) -> Plot:
    """The plot as it would be; added appearances last."""
    after: dict[AppearanceKey, Appearance | None] = {
        line.before.key: line.after for line in plan.lines if line.before is not None
    }
    kept = [after.get(a.key, a) for a in plot.appearances]
    added = [line.after for line in plan.of("added")]
    owners = dict(plot.costume_guises)
    owners.update((costume, costume.guise) for costume in plan.new_costumes)
    appearances = tuple(a for a in (*kept, *added) if a is not None)
    return replace(plot, appearances=appearances, costume_guises=owners)


class _Pasting:
    """Sets wishes against the appearances that are there."""

    def __init__(self, targets: Targets, bad: list[Bad]) -> None:
        self.targets = targets
        self.bad = bad
        self.there: dict[tuple[GuiseId, SceneKey], list[Appearance]] = {}
        self.by_key: dict[str, Appearance] = {}
        self.new: dict[tuple[GuiseId, str], NewCostume] = {}
        for a in targets.plot.appearances:
            self.there.setdefault((a.guise, a.scene), []).append(a)
            self.by_key[str(a.key)] = a

    def paste_cell(self, cell: Asked) -> Iterator[PasteLine]:
        """The scene is to hold exactly what the cell says of the guise."""
        there = self.there.get((cell.guise, cell.scene), [])
        pairs = _pair_up(cell.wishes, there, is_whole=True)
        made = [self._make(cell, n, wish, before) for n, (wish, before) in enumerate(pairs)]
        if any(after is None for after in made):
            return
        for (_, before), after in zip(pairs, made, strict=True):
            assert after is not None
            yield _line(cell, before, after)
        used = {before.key for _, before in pairs if before is not None}
        for a in there:
            if a.key not in used:
                yield PasteLine("taken out", cell.row, cell.column, a, None)

    def paste_list(self, asked: Sequence[Asked]) -> Iterator[PasteLine]:
        """Rows of one guise in one scene are set against what is there together."""
        rows: dict[tuple[GuiseId, SceneKey], list[Asked]] = {}
        used: dict[Hashable, int] = {}
        for row in asked:
            key = row.wishes[0].key
            if not key:
                rows.setdefault((row.guise, row.scene), []).append(row)
                continue
            before = self.by_key.get(key)
            if before is not None and before.guise != row.guise:
                why = "the key belongs to another role: leave it blank in a new row"
                self.bad.append(Bad(row.row, row.column, key, why))
            elif before is not None and before.key in used:
                why = f"the same key as in row {used[before.key]}: leave it blank in a new row"
                self.bad.append(Bad(row.row, row.column, key, why))
            elif before is None:
                rows.setdefault((row.guise, row.scene), []).append(row)
            else:
                used[before.key] = row.row
                moved = replace(before, scene=row.scene)
                after = self._make(row, 0, row.wishes[0], moved)
                if after is not None:
                    yield _line(row, before, after)
        for place, wanted in rows.items():
            there = [a for a in self.there.get(place, []) if a.key not in used]
            pairs = _pair_up([row.wishes[0] for row in wanted], there, is_whole=False)
            for row, (wish, before) in zip(wanted, pairs, strict=True):
                after = self._make(row, 0, wish, before)
                if after is not None:
                    yield _line(row, before, after)

    def _make(
        self, cell: Asked, n: int, wish: Wish, before: Appearance | None
    ) -> Appearance | None:
        """The appearance as wished; None, and noted, where its times are impossible."""
        key = ("pasted", cell.row, cell.column, n)
        base = before or Appearance(key, cell.guise, None, cell.scene)
        said = dict(wish.said)
        if isinstance(costume := said.get("costume"), NewCostume):  # one spelling, the first met
            said["costume"] = self.new.setdefault((cell.guise, costume.name.casefold()), costume)
        after = replace(base, **said)  # type: ignore[arg-type]
        what = time_problem(self.targets.scene(after.scene), after)
        if what:
            self.bad.append(Bad(cell.row, cell.column, "", f"it {what}"))
            return None
        return after


def _line(cell: Asked, before: Appearance | None, after: Appearance) -> PasteLine:
    fate: Fate = "added" if before is None else "left alone" if before == after else "changed"
    return PasteLine(fate, cell.row, cell.column, before, after)


def _pair_up(
    wishes: Sequence[Wish], there: Sequence[Appearance], *, is_whole: bool
) -> list[tuple[Wish, Appearance | None]]:
    """Which appearance each wish speaks of: one that is so already, else one that wears the same.

    Where the wishes are the whole of the scene (or one stands against one) what is left is
    changed, in order.
    """
    free = list(there)
    found: dict[int, Appearance] = {}

    def take(n: int, a: Appearance | None) -> None:
        if a is not None:
            found[n] = a
            free.remove(a)

    for n, wish in enumerate(wishes):
        take(n, next((a for a in free if replace(a, **wish.said) == a), None))  # type: ignore[arg-type]
    for n, wish in enumerate(wishes):
        if n not in found and "costume" in wish.said:
            take(n, next((a for a in free if a.costume == wish.said["costume"]), None))
    if is_whole or (len(wishes) == 1 and len(there) == 1):
        for n in range(len(wishes)):
            if n not in found and free:
                take(n, free[0])
    return [(wish, found.get(n)) for n, wish in enumerate(wishes)]
