"""Two drafts of a plot side by side: what came, went and changed, row by row and figure by figure.

Rows are known by key: scenes and appearances keep theirs from draft to draft; a change rule is
known by its pair of costumes.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Generic, Literal, TypeAlias, TypeVar

from company.core.units import format_minutes
from scenes.core.counting import Count, GuiseCount
from scenes.core.naming import Names, say_number
from scenes.core.plot import Appearance, ChangeRule, GuiseId, Plot, Scene

Fate: TypeAlias = Literal["came", "went", "changed"]
Row = TypeVar("Row", Scene, Appearance, ChangeRule)

_SCENE_FIELDS = ("label", "title", "act", "length_s", "gap_s", "is_interval")
_APPEARANCE_FIELDS = (
    "guise", "costume", "scene", "enters_s", "leaves_s", "rig", "from_place", "to_place",
    "hold", "copies",
)  # fmt: skip
_RULE_FIELDS = ("change_s", "people")
_WORDS = {
    "length_s": "running time", "gap_s": "gap after", "is_interval": "interval after",
    "enters_s": "enters", "leaves_s": "leaves", "from_place": "enters from",
    "to_place": "leaves to", "change_s": "time",
    "crossing_s": "crossing time", "reset_s": "reset", "rig": "trick build",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class FieldChange:
    """One field of a row (or of the whole plot): as it was and as it is."""

    name: str
    before: object
    after: object


@dataclass(frozen=True, slots=True)
class RowChange(Generic[Row]):
    """One row that came, went or changed. `before` or `after` is None where it was not there.

    `moved`: a scene that was taken to another place in the running order.
    """

    fate: Fate
    before: Row | None
    after: Row | None
    fields: tuple[FieldChange, ...] = ()
    moved: bool = False


@dataclass(frozen=True, slots=True)
class GuiseChange:
    """Figures, changes and crossings of a guise in both drafts; 0 where it is not counted."""

    guise: GuiseId
    figures: tuple[int, int]
    changes: tuple[int, int]
    crossings: tuple[int, int]

    @property
    def more(self) -> int:
        """Figures more in the second draft (below 0: fewer)."""
        return self.figures[1] - self.figures[0]


@dataclass(frozen=True, slots=True)
class Comparison:
    """Everything that differs, in the order of the second draft, what went last.

    `guises` lists those whose figures, changes or crossings differ.
    """

    scenes: tuple[RowChange[Scene], ...]
    appearances: tuple[RowChange[Appearance], ...]
    rules: tuple[RowChange[ChangeRule], ...]
    settings: tuple[FieldChange, ...]
    guises: tuple[GuiseChange, ...]
    figures: tuple[int, int]

    @property
    def is_same(self) -> bool:
        """Whether nothing differs."""
        return not (self.scenes or self.appearances or self.rules or self.settings or self.guises)

    def words(self) -> str:
        """What became of the figures, as 'one figure more: 12 after 11'.

        >>> Comparison((), (), (), (), (), (11, 12)).words()
        'one figure more: 12 after 11'
        """
        before, after = self.figures
        if before == after:
            return f"{after} figures as before" if after != 1 else "one figure as before"
        number = abs(after - before)
        what = "figure" if number == 1 else "figures"
        return f"{say_number(number)} {what} {'more' if after > before else 'fewer'}: " + (
            f"{after} after {before}"
        )


def compare_plots(before: Plot, after: Plot, counts: tuple[Count, Count]) -> Comparison:
    """What is different in `after`; `counts` are the counts of the two, in that order.

    Scenes that keep their order among themselves have not moved: the fewest that must have (a
    longest increasing run; Schensted 1961, Canadian Journal of Mathematics 13) are said to.
    Raises ValueError where a plot uses a key twice.

    >>> from scenes.core.counting import count_figures
    >>> old, new = Plot((Scene("a", "1", 60),)), Plot((Scene("a", "1", 90),))
    >>> found = compare_plots(old, new, (count_figures(old), count_figures(new)))
    >>> [(c.fate, c.fields) for c in found.scenes]
    [('changed', (FieldChange(name='length_s', before=60, after=90),))]
    """
    return Comparison(
        scenes=_compare_scenes(before.scenes, after.scenes),
        appearances=tuple(
            _compare_rows(
                _by_key("appearance", [(a.key, a) for a in before.appearances]),
                _by_key("appearance", [(a.key, a) for a in after.appearances]),
                _APPEARANCE_FIELDS,
            )
        ),
        rules=tuple(
            _compare_rows(
                _by_key("change", [(_pair(r), r) for r in before.rules]),
                _by_key("change", [(_pair(r), r) for r in after.rules]),
                _RULE_FIELDS,
            )
        ),
        settings=tuple(_compare_settings(before, after)),
        guises=tuple(_compare_guises(before, after, counts)),
        figures=(counts[0].figures, counts[1].figures),
    )


def say_field(change: FieldChange, names: Names) -> str:
    """A field in words, as 'enters: 1:30, was with the scene'.

    >>> say_field(FieldChange("leaves_s", None, 90), Names())
    'leaves: 1:30, was with the scene'
    """
    name = _WORDS.get(change.name, change.name.replace("_", " "))
    return f"{name}: {_say(change.name, change.after, names)}, was " + (
        _say(change.name, change.before, names)
    )


def _say(name: str, value: object, names: Names) -> str:
    if name in ("enters_s", "leaves_s") and value is None:
        return "with the scene"
    if (name.endswith("_s") or name.startswith("from ")) and isinstance(value, int):
        return format_minutes(value)
    if isinstance(value, bool):
        return "yes" if value else "no"
    if name == "costume":
        return names.costume(value)
    if name == "scene":
        return names.scene(value)
    if name == "guise":
        return names.guise(value)
    if name == "rig":
        return str(value) or "plain"
    return str(value) if value not in ("", None) else "not said"


def _pair(rule: ChangeRule) -> Hashable:
    return rule.guise, rule.from_costume, rule.to_costume


def _by_key(what: str, rows: Sequence[tuple[Hashable, Row]]) -> dict[Hashable, Row]:
    found: dict[Hashable, Row] = {}
    for key, row in rows:
        if key in found:
            raise ValueError(f"the {what} key {key!r} is used twice")
        found[key] = row
    return found


def _compare_scenes(
    before: Sequence[Scene], after: Sequence[Scene]
) -> tuple[RowChange[Scene], ...]:
    old = _by_key("scene", [(scene.key, scene) for scene in before])
    new = _by_key("scene", [(scene.key, scene) for scene in after])
    rank = {key: n for n, key in enumerate(old)}
    shared = [key for key in new if key in old]
    moved = set(shared) - _longest_run(shared, rank)
    return tuple(_compare_rows(old, new, _SCENE_FIELDS, moved))


def _longest_run(keys: Sequence[Hashable], rank: Mapping[Hashable, int]) -> set[Hashable]:
    """As many keys as can be whose ranks rise."""
    tails: list[int] = []
    last: list[Hashable] = []
    came_from: dict[Hashable, Hashable | None] = {}
    for key in keys:
        at = bisect_left(tails, rank[key])
        came_from[key] = last[at - 1] if at else None
        tails[at:], last[at:] = [rank[key], *tails[at + 1 :]], [key, *last[at + 1 :]]
    run: set[Hashable] = set()
    key_at: Hashable | None = last[-1] if last else None
    while last and key_at not in run:
        run.add(key_at)
        if came_from[key_at] is None:
            break
        key_at = came_from[key_at]
    return run


def _compare_rows(
    old: Mapping[Hashable, Row],
    new: Mapping[Hashable, Row],
    fields: Sequence[str],
    moved: set[Hashable] | frozenset[Hashable] = frozenset(),
) -> Iterator[RowChange[Row]]:
    for key, row in new.items():
        if key not in old:
            yield RowChange("came", None, row)
            continue
        changed = tuple(_compare_fields(old[key], row, fields))
        if changed or key in moved:
            yield RowChange("changed", old[key], row, changed, key in moved)
    for key, row in old.items():
        if key not in new:
            yield RowChange("went", row, None)


def _compare_fields(old: object, new: object, fields: Sequence[str]) -> Iterator[FieldChange]:
    for name in fields:
        before, after = getattr(old, name), getattr(new, name)
        if before != after:
            yield FieldChange(name, before, after)


def _compare_settings(before: Plot, after: Plot) -> Iterator[FieldChange]:
    yield from _compare_fields(before, after, ("crossing_s", "reset_s"))
    for pair in sorted({*before.walks, *after.walks}):
        old, new = before.walks.get(pair), after.walks.get(pair)
        if old != new:
            yield FieldChange(f"from {pair[0]} to {pair[1]}", old, new)
    if before.plain_rigs != after.plain_rigs:
        rigs = (", ".join(sorted(r for _, r in plot.plain_rigs)) for plot in (before, after))
        yield FieldChange("trick builds that play plain", *rigs)


def _compare_guises(
    before: Plot, after: Plot, counts: tuple[Count, Count]
) -> Iterator[GuiseChange]:
    old, new = ({g.guise: g for g in count.guises} for count in counts)
    for guise in dict.fromkeys((*after.all_guises(), *before.all_guises())):
        one, two = old.get(guise), new.get(guise)
        found = GuiseChange(
            guise,
            (_number(one, "figures"), _number(two, "figures")),
            (_number(one, "changes"), _number(two, "changes")),
            (_number(one, "crossings"), _number(two, "crossings")),
        )
        if any(a != b for a, b in (found.figures, found.changes, found.crossings)):
            yield found


def _number(counted: GuiseCount | None, name: str) -> int:
    return 0 if counted is None else int(getattr(counted, name))
