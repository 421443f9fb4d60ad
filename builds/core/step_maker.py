"""Lists the steps of a workshop, then answers for each its minutes and what it waits for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable, Iterable
from dataclasses import dataclass, replace

from builds.core.step_hours import REMOVABLE_PERCENT, hours_of
from builds.core.workshop import (
    BODY,
    COSTUME,
    CROWD,
    FIGURE,
    GUISE,
    HEAD,
    MADE_OVER,
    POUR,
    Figure,
    Guise,
    RouteStage,
    StepKey,
    Subject,
    Wait,
    Workshop,
)


@dataclass(frozen=True, slots=True)
class View:
    """From where a stage is looked at: which guise, and which pattern, pour, figure, costume."""

    guise: Guise
    pattern: Hashable = None
    part: str = ""
    mould: Hashable = None
    pour: Hashable = None
    figure: Figure | None = None
    costume: Hashable = None


class StepMaker:
    """Lists the steps of a workshop, then answers for each its minutes and its waits."""

    def __init__(self, workshop: Workshop) -> None:
        self.shop = workshop
        self.stages = {s.id: s for route in workshop.routes.values() for s in route}
        self.positions = {
            stage.id: place
            for route in workshop.routes.values()
            for place, stage in enumerate(route)
        }
        self.moulding = self._moulding()
        self.first_of = self._first_wearers()
        # A pour that fills two cavities is met once for each of its figures.
        once: dict[StepKey, tuple[RouteStage, View, StepKey]] = {}
        for made in self._make():
            once.setdefault(made[2], made)
        self.made = sorted(once.values(), key=lambda made: self.positions[made[0].id])
        self.keys = {key for _, _, key in self.made}
        self.by_pattern: dict[Hashable, list[RouteStage]] = defaultdict(list)
        for stage, view, _ in self.made:
            if view.pattern is not None and view.mould is None:
                self.by_pattern[view.pattern].append(stage)

    # Which steps there are

    def _make(self) -> Iterable[tuple[RouteStage, View, StepKey]]:
        for guise in self.shop.wanted_guises:
            for stage in self.shop.route_of(guise):
                if stage.scope == GUISE and self._is_done_at_all(stage, guise):
                    yield from self._guise_steps(stage, guise)
        for figure in self.shop.wanted:
            guise = self.shop.guise_by_id[figure.guise]
            for stage in self.shop.route_of(guise):
                if stage.scope != GUISE and self._is_done_at_all(stage, guise):
                    yield from self._figure_steps(stage, View(guise, figure=figure))
        for pattern, pours in self.shop.spare_pours.items():
            yield from self._spare_steps(pattern, pours)

    def _moulding(self) -> set[Hashable]:
        """Stages that make a mould: done for a part, and what a pour of that part waits for."""
        pours = [stage for stage in self.stages.values() if stage.scope == POUR]
        return {
            after
            for pour in pours
            for after in pour.afters
            if self.stages[after].scope == GUISE and self.stages[after].part == (pour.part or HEAD)
        }

    def _spare_steps(
        self, pattern: Hashable, pours: tuple[Hashable, ...]
    ) -> Iterable[tuple[RouteStage, View, StepKey]]:
        guise = self.shop.hosts.get(pattern)
        if guise is None:
            return
        parts = {part for part, own in guise.patterns.items() if own == pattern}
        for stage in self.shop.route_of(guise):
            part = stage.part or HEAD
            if stage.scope == POUR and part in parts and self._is_done_at_all(stage, guise):
                for pour in pours:
                    seen = View(guise, part=part, pour=pour)
                    yield stage, seen, StepKey(stage.id, Subject("pour", pour))

    def _is_done_at_all(self, stage: RouteStage, guise: Guise) -> bool:
        return not stage.left_out and not (stage.only_with_working and not self._has_working(guise))

    def _has_working(self, guise: Guise) -> bool:
        """Whether eyes or mouth move in the guise, or in one that shares its head."""
        head = guise.patterns.get(HEAD)
        return guise.has_working or any(
            other.has_working and head is not None and other.patterns.get(HEAD) == head
            for other in self.shop.wanted_guises
        )

    def _guise_steps(
        self, stage: RouteStage, guise: Guise
    ) -> Iterable[tuple[RouteStage, View, StepKey]]:
        pattern = guise.patterns.get(stage.part) if stage.part else None
        if pattern is None:
            if self._is_asked_for(guise, None, stage.part):
                yield stage, View(guise), StepKey(stage.id, Subject("guise", guise.id))
        elif self.shop.hosts[pattern].id == guise.id:
            if not self._is_asked_for(guise, pattern, stage.part):
                return
            view = View(guise, pattern=pattern, part=stage.part)
            yield stage, view, StepKey(stage.id, Subject("pattern", pattern))
            if stage.id in self.moulding:
                for mould in self.shop.more_moulds.get(pattern, ()):
                    seen = replace(view, mould=mould)
                    yield stage, seen, StepKey(stage.id, Subject("mould", mould))

    def _is_asked_for(self, guise: Guise, pattern: Hashable, part: str) -> bool:
        """Whether any figure that goes by it did not bring the part along from elsewhere."""
        parts = (part,) if part else (HEAD, BODY)
        return any(
            any(figure.lacks(name) for name in parts)
            for figure in self.shop.wanted
            if (pattern is None and figure.guise == guise.id)
            or (
                pattern is not None
                and self.shop.guise_by_id[figure.guise].patterns.get(part) == pattern
            )
        )

    def _figure_steps(
        self, stage: RouteStage, view: View
    ) -> Iterable[tuple[RouteStage, View, StepKey]]:
        figure = view.figure
        assert figure is not None
        if not self._is_for(stage, view.guise, figure):
            return
        if stage.scope == POUR:
            for pour in figure.pours.get(stage.part or HEAD, ()):
                seen = View(view.guise, pour=pour, part=stage.part or HEAD, figure=figure)
                yield stage, seen, StepKey(stage.id, Subject("pour", pour))
        elif stage.scope == COSTUME:
            for worn in figure.wears:
                if not stage.first_of_costume or self._is_first(stage, figure, worn.costume):
                    seen = View(view.guise, figure=figure, costume=worn.costume)
                    subject = Subject("costume", figure.id, worn.costume)
                    yield stage, seen, StepKey(stage.id, subject)
        elif not stage.first_of_costume or self._firsts(stage, figure):
            yield stage, view, _figure_key(stage, figure)

    def _is_for(self, stage: RouteStage, guise: Guise, figure: Figure) -> bool:
        """Whether the figure is one that goes through the stage at all."""
        if stage.only_when == MADE_OVER:
            return figure.again.get(stage.key, 0) > 0
        if stage.scope == POUR:
            return figure.lacks(stage.part or HEAD)
        if figure.only:
            return stage.done_to == HEAD and HEAD in figure.only
        return stage.only_when != CROWD or guise.on_one > 1

    # Who is the first figure of a costume

    def _first_wearers(self) -> dict[tuple[str, Hashable], Figure]:
        """By stage key and costume: who has done it, else who is at it, else the first to wear."""
        first: dict[tuple[str, Hashable], Figure] = {}
        keys = {stage.key for stage in self.stages.values() if stage.first_of_costume}
        for key in keys:
            for costume, wearers in self._wearers().items():
                wanted = [f for f in wearers if f.is_wanted]
                done = [f for f in wearers if key in f.done]
                begun = [f for f in wanted if key in f.begun]
                for figure in [*done, *begun, *wanted][:1]:
                    first[key, costume] = figure
        return first

    def _wearers(self) -> dict[Hashable, list[Figure]]:
        wearers: dict[Hashable, list[Figure]] = defaultdict(list)
        for figure in self.shop.figures:
            for worn in figure.wears:
                wearers[worn.costume].append(figure)
        return wearers

    def _is_first(self, stage: RouteStage, figure: Figure, costume: Hashable) -> bool:
        first = self.first_of.get((stage.key, costume))
        return first is not None and first.id == figure.id

    def _firsts(self, stage: RouteStage, figure: Figure) -> int:
        """Of how many costumes the figure is the first. One that wears none yet counts as one."""
        if not figure.wears:
            return 1
        return sum(self._is_first(stage, figure, worn.costume) for worn in figure.wears)

    # How long a step is

    def minutes(self, stage: RouteStage, view: View) -> int:
        """Minutes of the step, learning and sewing by costume included."""
        rank = self._rank(stage, view)
        if stage.only_when == CROWD:
            each_min = view.guise.further_min or stage.hours_min
            return hours_of((view.guise.on_one - 1) * each_min, stage.rate, rank)
        if view.figure is None or view.pour is not None:
            return hours_of(stage.hours_min, stage.rate, rank)
        if not stage.hours_by_costume:
            times = self._firsts(stage, view.figure) if stage.first_of_costume else 1
            times = 1 if stage.scope == COSTUME else times
            return hours_of(stage.hours_min * times, stage.rate, rank)
        sewing = [
            (stage.hours_min if worn.sewing_min is None else worn.sewing_min)
            * (REMOVABLE_PERCENT if worn.is_removable else 100)
            / 100
            for worn in view.figure.wears
            if view.costume is None or worn.costume == view.costume
        ]
        return hours_of(sum(sewing), stage.rate, rank)

    def _rank(self, stage: RouteStage, view: View) -> int:
        """1 for the first of its sort: of the part where shared, of the costume, of the guise."""
        if view.mould is not None:
            return 2 + self.shop.more_moulds[view.pattern].index(view.mould)
        if view.figure is None:
            return 1 + self._poured_before(view) if view.pour is not None else 1
        rank = 1
        for other in self.shop.figures:
            if other.id == view.figure.id:
                break
            counts = other.is_wanted or stage.key in other.done
            rank += counts and self._is_like(stage, view, other)
        return rank

    def _poured_before(self, view: View) -> int:
        """For how many figures a pattern is poured before it is poured as a spare."""
        pattern = view.guise.patterns.get(view.part)
        guises = self.shop.guise_by_id
        return sum(guises[f.guise].patterns.get(view.part) == pattern for f in self.shop.wanted)

    def _is_like(self, stage: RouteStage, view: View, other: Figure) -> bool:
        if view.costume is not None:
            return any(worn.costume == view.costume for worn in other.wears)
        part = stage.part or (HEAD if stage.scope == POUR else "")
        pattern = view.guise.patterns.get(part) if part else None
        if pattern is None:
            return other.guise == view.guise.id
        return self.shop.guise_by_id[other.guise].patterns.get(part) == pattern

    # What a step waits for

    def waits(self, stage: RouteStage, view: View) -> tuple[Wait, ...]:
        """The steps that must be done first, each once."""
        found: dict[StepKey, Wait] = {}
        for after in stage.afters:
            for wait in self._seen(self.stages[after], view):
                found.setdefault(wait.step, wait)
        for key in self._poured_first(stage, view):
            found.setdefault(key, Wait(key))
        return tuple(found.values())

    def _poured_first(self, stage: RouteStage, view: View) -> Iterable[StepKey]:
        """What is poured in case another fails comes after all that a figure waits for."""
        if view.pour is None or view.figure is not None:
            return
        pattern = view.guise.patterns.get(view.part)
        for figure in self.shop.wanted:
            if self.shop.guise_by_id[figure.guise].patterns.get(view.part) == pattern:
                for pour in figure.pours.get(view.part, ()):
                    key = StepKey(stage.id, Subject("pour", pour))
                    if key in self.keys:
                        yield key

    def _seen(self, stage: RouteStage, view: View) -> list[Wait]:
        """The steps that `stage` is, for who looks from `view`; bridged where there is none."""
        keys = [key for key in self._looked_for(stage, view) if key in self.keys]
        if keys:
            return [Wait(key, self.stages[key.stage].wait_min) for key in keys]
        if stage.only_when:
            return []  # an extra for few figures: the others wait for nothing on its account
        return [wait for after in stage.afters for wait in self._seen(self.stages[after], view)]

    def _looked_for(self, stage: RouteStage, view: View) -> list[StepKey]:
        if stage.scope == GUISE:
            return self._guise_keys(stage, view)
        if view.pour is not None and view.figure is None:
            is_same = stage.scope == POUR and (stage.part or HEAD) == view.part
            return [StepKey(stage.id, Subject("pour", view.pour))] if is_same else []
        figure = view.figure or next(
            (f for f in self.shop.wanted if f.guise == view.guise.id), None
        )
        if figure is None:
            return []
        if stage.scope == POUR:
            pours = figure.pours.get(stage.part or HEAD, ())
            here = (view.pour,) if view.pour in pours else pours
            return [StepKey(stage.id, Subject("pour", pour)) for pour in here]
        costumes = [w.costume for w in figure.wears if view.costume in (None, w.costume)]
        if stage.first_of_costume:
            return self._first_keys(stage, figure, costumes)
        if stage.scope == FIGURE:
            return [_figure_key(stage, figure)]
        return [StepKey(stage.id, Subject("costume", figure.id, c)) for c in costumes]

    def _guise_keys(self, stage: RouteStage, view: View) -> list[StepKey]:
        pattern = view.guise.patterns.get(stage.part) if stage.part else None
        if pattern is None:
            return [StepKey(stage.id, Subject("guise", view.guise.id))]
        host = self.shop.hosts.get(pattern, view.guise)
        if host.route == view.guise.route:
            return [StepKey(stage.id, self._made_as(stage, pattern, view))]
        # Borrowed from a guise of another kind: its stage of the same key, else all its stages.
        made = self.by_pattern[pattern]
        same = [s for s in made if s.key == stage.key]
        return [StepKey(s.id, self._made_as(s, pattern, view)) for s in same or made]

    def _made_as(self, stage: RouteStage, pattern: Hashable, view: View) -> Subject:
        """The pattern's own step, or that of the further mould in which a pour is poured."""
        further = self.shop.mould_of.get(view.pour) if view.pour is not None else None
        if stage.id in self.moulding and further is not None:
            return Subject("mould", further)
        return Subject("pattern", pattern)

    def _first_keys(
        self, stage: RouteStage, figure: Figure, costumes: list[Hashable]
    ) -> list[StepKey]:
        keys = []
        for costume in costumes:
            first = self.first_of.get((stage.key, costume))
            if first is not None and stage.scope == COSTUME:
                keys.append(StepKey(stage.id, Subject("costume", first.id, costume)))
            elif first is not None:
                keys.append(_figure_key(stage, first))
        return keys or [_figure_key(stage, figure)]


def _figure_key(stage: RouteStage, figure: Figure) -> StepKey:
    """The figure's step of a stage, of the round that it is in."""
    first = 0 if stage.only_when == MADE_OVER else 1
    return StepKey(
        stage.id, Subject("figure", figure.id, round=first + figure.again.get(stage.key, 0))
    )
