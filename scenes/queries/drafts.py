"""The drafts of a plot: which there are, what each holds, and how many figures it needs."""

from __future__ import annotations

from collections import defaultdict
from copy import copy
from dataclasses import dataclass, replace

from scenes.loading import PlotRows, read_rows, to_plot
from scenes.models import Appearance, ChangeRule, Draft, Scene, Show
from scenes.queries.counts import count_plot, fit_to_scenes

A_PAGE = 20


@dataclass(frozen=True)
class DraftLine:
    """A draft with what it holds. `came_from` is the number of the draft it was copied from."""

    draft: Draft
    scenes: int
    entries: int
    figures: int
    came_from: int | None
    is_current: bool


@dataclass(frozen=True)
class DraftList:
    """One page of drafts, newest first. `older` is where the next page begins, None at its end."""

    lines: tuple[DraftLine, ...]
    total: int
    older: int | None

    @property
    def current(self) -> DraftLine | None:
        """The draft that is being written, where it is on this page."""
        return next((line for line in self.lines if line.is_current), None)


def read_drafts(show: Show, below: int | None = None) -> DraftList:
    """Drafts with numbers under `below`, each counted: the same reads however many there are."""
    there = Draft.objects.filter(show=show).select_related("parent").order_by("-number")
    total = there.count()
    wanted = there if below is None else there.filter(number__lt=below)
    found = list(wanted[: A_PAGE + 1])
    drafts, more = found[:A_PAGE], found[A_PAGE:]
    return DraftList(
        lines=tuple(_make_line(show, rows) for rows in _rows_of(show, drafts)),
        total=total,
        older=drafts[-1].number if more else None,
    )


def with_draft(show: Show, draft: Draft | None) -> Show:
    """The show as if this draft were the current one, for reading alone."""
    other = copy(show)
    other.current_draft = draft
    return other


def find_draft(show: Show, number: int) -> Draft | None:
    """The draft of this number."""
    return Draft.objects.filter(show=show, number=number).first()


def _make_line(show: Show, rows: PlotRows) -> DraftLine:
    draft = rows.draft
    assert draft is not None
    plot, _ = fit_to_scenes(to_plot(rows))
    return DraftLine(
        draft=draft,
        scenes=len(rows.scenes),
        entries=len(rows.appearances),
        figures=count_plot(plot, {}).figures,
        came_from=draft.parent.number if draft.parent else None,
        is_current=draft.pk == show.current_draft_id,
    )


def _rows_of(show: Show, drafts: list[Draft]) -> list[PlotRows]:
    """The rows of all these drafts, joined as `read_rows` joins them."""
    of_show = read_rows(with_draft(show, None))
    guises = {guise.pk: guise for guise in of_show.guises}
    costumes = {costume.pk: costume for costume in of_show.costumes}
    scenes: dict[int, list[Scene]] = defaultdict(list)
    for scene in Scene.objects.filter(draft__in=drafts):
        scenes[scene.draft_id].append(scene)
    by_pk = {scene.pk: scene for rows in scenes.values() for scene in rows}
    entries: dict[int, list[Appearance]] = defaultdict(list)
    for entry in Appearance.objects.filter(draft__in=drafts):
        entry.scene, entry.guise = by_pk[entry.scene_id], guises[entry.guise_id]
        entry.costume = costumes.get(entry.costume_id) if entry.costume_id else None
        entries[entry.draft_id].append(entry)
    rules: dict[int, list[ChangeRule]] = defaultdict(list)
    for rule in ChangeRule.objects.filter(draft__in=drafts):
        rules[rule.draft_id].append(rule)
    return [
        replace(
            of_show,
            draft=draft,
            scenes=scenes[draft.pk],
            appearances=entries[draft.pk],
            rules=rules[draft.pk],
        )
        for draft in drafts
    ]
