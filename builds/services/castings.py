"""Which castings are planned: one for each figure that lacks one, and some in case others fail.

A casting of a figure is planned with a pour before it is poured. What a figure has is never taken
from it here; a good casting on the shelf goes to a figure that has none at all. Pours that are no
longer wanted are struck and taken up again before a new one is numbered.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field

from builds.core.casting.yields import castings_to_pour
from builds.core.workshop import RouteStage
from builds.models import Casting, Figure, GuisePart, Mould, Pour, StageAfter, Step
from builds.queries.mould_states import record_of
from builds.queries.steps import ONLY, poured_parts
from builds.services.mould_rows import next_mould, next_number
from company import clock

Routes = dict[str, tuple[RouteStage, ...]]
NOT_WANTED = "No longer wanted."


@dataclass
class Planned:
    """What a planning of castings did, by code of the casting or name of the mould."""

    from_shelf: list[Casting] = field(default_factory=list)
    made: list[Casting] = field(default_factory=list)
    struck: list[Casting] = field(default_factory=list)
    moulds: list[Mould] = field(default_factory=list)


def plan_castings(figures: list[Figure], routes: Routes, kept: Collection[int] = ()) -> Planned:
    """Plan the castings that these built figures need, pattern by pattern.

    `kept` are castings that somebody has just laid on the shelf: they stay there.
    """
    uses: dict[int, dict[str, int]] = defaultdict(dict)
    for use in GuisePart.objects.filter(guise__in={figure.guise_id for figure in figures}):
        uses[use.guise_id][use.part] = use.pattern_id
    wanting: dict[int, list[Figure]] = defaultdict(list)
    for figure in figures:
        for part in poured_parts(routes.get(figure.guise.kind, ())):
            pattern = uses[figure.guise_id].get(part)
            if pattern is not None and _lacks(figure, part):
                wanting[pattern].append(figure)
    planned = Planned()
    for pattern in sorted(set(wanting) | _left_spare(figures)):
        _PatternPlan(pattern, wanting[pattern], planned, kept).run()
    return planned


def _lacks(figure: Figure, part: str) -> bool:
    """Whether the figure takes a casting: not of what it brought along, or is no part of it."""
    only = ONLY[Figure.Extent(figure.extent)]
    return part not in figure.kept and (not only or part in only)


def _left_spare(figures: list[Figure]) -> set[int]:
    """Patterns that have spare pours planned, though perhaps no figure wants them any more."""
    shows = {figure.show_id for figure in figures}
    rows = Casting.objects.filter(
        pattern__show__in=shows, figure=None, struck_at=None, pour__poured_at=None
    )
    return set(rows.values_list("pattern_id", flat=True))


class _PatternPlan:
    """The castings of one pattern, brought to what its figures need."""

    def __init__(
        self, pattern: int, figures: list[Figure], planned: Planned, kept: Collection[int]
    ) -> None:
        self.pattern, self.figures, self.planned, self.kept = pattern, figures, planned, kept
        rows = Casting.objects.filter(pattern_id=pattern).select_related(
            "pour", "pattern", "figure"
        )
        self.castings = list(rows.order_by("number"))
        self.moulds = list(Mould.objects.filter(pattern_id=pattern).order_by("number"))

    @property
    def alive(self) -> list[Casting]:
        """Castings that are not struck."""
        return [casting for casting in self.castings if casting.struck_at is None]

    def run(self) -> None:
        self._free_the_struck()
        self._fill_cavities()
        have = {c.figure_id for c in self.alive}
        for figure in self.figures:
            if figure.pk not in have:
                self._give(figure)
        self._pour_enough()

    def _free_the_struck(self) -> None:
        """What was to be poured for a figure that is struck for good is poured for another."""
        for casting in self.alive:
            figure = casting.figure
            is_struck = figure is not None and figure.state == Figure.State.STRUCK
            if is_struck and casting.pour.poured_at is None:
                casting.figure = None
                casting.save(update_fields=["figure"])

    def _fill_cavities(self) -> None:
        """Planned pours of a mould with several cavities are full before the next is planned."""
        ahead = {c.pour_id: c.pour for c in self.alive if c.pour.poured_at is None}
        many = {mould.pk: mould.cavities for mould in self.moulds if mould.cavities > 1}
        for pour in sorted(ahead.values(), key=lambda pour: pour.pk):
            if pour.mould_id in many:
                self._fill(pour, many[pour.mould_id])
        planned = [c for c in self.alive if c.pour.mould_id in many and not c.pour.poured_at]
        planned.sort(key=lambda c: (c.pour_id, c.number))
        for late in [c for c in planned if c.figure_id is not None]:
            free = next((c for c in planned if c.figure_id is None), None)
            if free is not None and free.pour_id < late.pour_id and not self._is_begun(late.pour):
                figure, late.figure = late.figure, None
                late.save(update_fields=["figure"])
                free.figure = figure
                free.save(update_fields=["figure"])

    # A casting for a figure

    def _give(self, figure: Figure) -> None:
        casting = self._on_the_shelf() or self._spare() or self._taken_up()
        if casting is None:
            casting = self._new_pour()[0]
        elif casting.result is not None:
            self.planned.from_shelf.append(casting)
        casting.figure, casting.place = figure, ""
        casting.version += 1
        casting.save(update_fields=["figure", "place", "version"])

    def _on_the_shelf(self) -> Casting | None:
        good = Casting.Result.GOOD
        return next(
            (
                c
                for c in self.alive
                if c.result == good and c.figure_id is None and c.pk not in self.kept
            ),
            None,
        )

    def _spare(self) -> Casting | None:
        """One that is in the mould or planned, for no figure yet; what is poured comes first."""
        found = [c for c in self.alive if c.result is None and c.figure_id is None]
        return min(found, key=lambda c: (c.pour.poured_at is None, c.number), default=None)

    def _taken_up(self) -> Casting | None:
        """One whose pour was struck before anybody poured it: it is wanted again."""
        for casting in self.castings:
            pour = casting.pour
            if casting.struck_at is not None and pour.struck_at and pour.poured_at is None:
                mould = self._mould_for_one_more()
                self._move(pour, mould)
                pour.struck_at, pour.struck_words = None, ""
                pour.save(update_fields=["struck_at", "struck_words", "mould", "number"])
                for other in self.castings:
                    if other.pour_id == pour.pk:
                        other.struck_at, other.pour = None, pour
                        other.save(update_fields=["struck_at"])
                self._fill(pour, mould.cavities)
                return casting
        return None

    def _move(self, pour: Pour, mould: Mould) -> None:
        if pour.mould_id != mould.pk:
            pour.mould, pour.number = mould, next_number(mould)

    # Enough pours in case some fail

    def _pour_enough(self) -> None:
        wanted = {figure.pk for figure in self.figures}
        good_as_made = self._worked_on()
        unjudged = [c for c in self.alive if c.result is None and c.pk not in good_as_made]
        open_for = sum(c.figure_id in wanted for c in unjudged)
        # What waits for a figure that is set aside waits with it, and is counted for nobody.
        coming = sum(c.figure_id in wanted or c.figure_id is None for c in unjudged)
        goal = castings_wanted(open_for, self.moulds, self.castings)
        while coming < goal and self._has_room():
            taken = self._taken_up()
            fresh = [taken] if taken is not None else self._new_pour()
            coming += sum(c.pour_id == fresh[0].pour_id for c in self.alive)
        self._strike_spares(coming - goal)

    def _strike_spares(self, over: int) -> None:
        pours = {c.pour_id: c.pour for c in self.alive if c.result is None}
        for pour in sorted(pours.values(), key=lambda pour: -pour.pk):
            own = [c for c in self.alive if c.pour_id == pour.pk]
            is_free = pour.poured_at is None and all(c.figure_id is None for c in own)
            if not is_free or len(own) > over or self._is_begun(pour):
                continue
            over -= len(own)
            now = clock.now()
            pour.struck_at, pour.struck_words = now, NOT_WANTED
            pour.save(update_fields=["struck_at", "struck_words"])
            for casting in own:
                casting.struck_at = now
                casting.save(update_fields=["struck_at"])
                self.planned.struck.append(casting)

    def _is_begun(self, pour: Pour) -> bool:
        return Step.objects.filter(pour=pour, begun_at__isnull=False).exists()

    def _worked_on(self) -> set[int]:
        """Castings nobody judged, though the figure's work has gone on from them: good enough."""
        poured = [c for c in self.alive if c.result is None and c.pour.poured_at and c.figure_id]
        if not poured:
            return set()
        after = StageAfter.objects.filter(after__scope="pour").values("stage")
        begun = set(
            Step.objects.filter(
                stage__in=after, figure__in={c.figure_id for c in poured}, begun_at__isnull=False
            ).values_list("figure_id", flat=True)
        )
        return {c.pk for c in poured if c.figure_id in begun}

    # Pours and moulds

    def _new_pour(self) -> list[Casting]:
        mould = self._mould_for_one_more()
        pour = Pour.objects.create(mould=mould, number=next_number(mould))
        made = self._fill(pour, mould.cavities)
        self.planned.made += made
        return made

    def _fill(self, pour: Pour, cavities: int) -> list[Casting]:
        """Number a casting for each cavity that has none."""
        own = sum(c.pour_id == pour.pk for c in self.castings)
        last = max((c.number for c in self.castings), default=0)
        made = [
            Casting.objects.create(pour=pour, pattern_id=self.pattern, number=last + n)
            for n in range(1, cavities - own + 1)
        ]
        self.castings += made
        return made

    def _mould_for_one_more(self) -> Mould:
        """The mould with the fewest pours ahead of it that is not used up; else one more."""
        found = [
            (self._ahead(mould), mould.number, mould)
            for mould in self.moulds
            if not mould.is_retired and self._left(mould) >= min(mould.cavities, mould.life)
        ]
        if found:
            return min(found, key=lambda one: one[:2])[2]
        mould = next_mould(self.pattern, self.moulds)
        self.moulds.append(mould)
        self.planned.moulds.append(mould)
        return mould

    def _has_room(self) -> bool:
        """Whether a mould in use has life left: what is poured in case is worth no new mould."""
        return any(not m.is_retired and self._left(m) >= m.cavities for m in self.moulds)

    def _ahead(self, mould: Mould) -> int:
        return len(
            {c.pour_id for c in self.alive if c.pour.mould_id == mould.pk and not c.pour.poured_at}
        )

    def _left(self, mould: Mould) -> int:
        """Castings that a mould is still good for, less those planned in it."""
        return mould.life - sum(c.pour.mould_id == mould.pk for c in self.alive)


def castings_wanted(wanted: int, moulds: Iterable[Mould], castings: Iterable[Casting]) -> int:
    """How many castings to pour for `wanted` good ones, by the record of the moulds in use."""
    in_use = [mould for mould in moulds if not mould.is_retired] or list(moulds)
    if not in_use or not wanted:
        return wanted
    good, bad = record_of(in_use, castings)
    newest = in_use[-1]
    return castings_to_pour(
        wanted, newest.yield_percent / 100, newest.sure_percent / 100, good, bad
    )
