"""Importing a plot from spreadsheets: a new draft of the show, or every problem and nothing saved.

A row that is known from the draft before (by its label, its key, or by what it says) keeps its
key, so that figures and tracks know it again.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from uuid import UUID, uuid4

from django.core.exceptions import ValidationError
from django.db import transaction

from company.core.names import name_key, tidy_name
from company.models import Company, User
from scenes.core.plot_files import AppearanceRow, PlotFile, Problem, Source, read_plot_files
from scenes.core.plot_files.guises import GuiseRow, names_in, read_guises
from scenes.core.plot_files.places import WalkRow, read_places
from scenes.core.plot_files.tables import LARGEST_BYTES
from scenes.loading import PlotRows, read_rows
from scenes.models import Appearance, ChangeRule, Draft, Guise, Scene, Show
from scenes.services.drafts import open_draft
from scenes.services.import_guises import (
    letters_problems,
    letters_wanted,
    write_guise_rows,
)
from scenes.services.import_known import KnownRows
from scenes.services.import_names import NameBook, too_many
from scenes.services.places import write_walks
from scenes.services.record import record_edit
from scenes.services.shows import start_show

ENOUGH_BYTES = 4 * LARGEST_BYTES  # of a larger file no more is read, only refused
BLANK_KEEPS = ("hold", "rig")  # a column left out of plot.csv keeps what stands


class ImportRefused(Exception):
    """Nothing was saved. `problems` are all that is wrong, by file and line."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__(f"{len(self.problems)} problems")


@dataclass(frozen=True)
class PlotSources:
    """The files of an import as they came. Without `changes` no change is possible; without
    `guises` nothing more is said of who is in the plot, without `places` the ways between places
    stay as they are."""

    scenes: Source
    plot: Source
    changes: Source | None = None
    guises: Source | None = None
    places: Source | None = None

    def names(self) -> list[str]:
        """What the files are called."""
        files = (self.scenes, self.plot, self.changes, self.guises, self.places)
        return [source.name for source in files if source]

    def has_column(self, name: str, source: Source) -> bool:
        """Whether the first line of a file that was read names the column."""
        first = next((line for line in source.data.splitlines() if line.strip(b" \t,;")), b"")
        cells = first.decode("utf-8-sig").replace(";", ",").split(",")
        return name in (name_key(cell.strip('" \t')).replace(" ", "_") for cell in cells)


@dataclass(frozen=True)
class Imported:
    """What came of an import."""

    show: Show
    draft: Draft
    scenes: int
    appearances: int
    changes: int
    made: dict[str, int] = field(default_factory=dict)


def read_files(sources: PlotSources) -> tuple[PlotFile, list[GuiseRow], list[WalkRow]]:
    """What the files hold. Raises ImportRefused with every problem in them."""
    reading = read_plot_files(sources.scenes, sources.plot, sources.changes)
    problems = list(reading.problems)
    guises: list[GuiseRow] = []
    if sources.guises is not None:
        guises, wrong = read_guises(*sources.guises)
        problems += wrong
    walks: list[WalkRow] = []
    if sources.places is not None:
        walks, wrong = read_places(*sources.places)
        problems += wrong
    if what := too_many(names_in(guises)):
        problems.append(Problem(sources.guises.name if sources.guises else "", 0, what))
    if reading.plot is not None and (what := too_many(reading.plot.characters())):
        problems.append(Problem(sources.plot.name, 0, what))
    if problems or reading.plot is None:
        raise ImportRefused(problems)
    return reading.plot, guises, walks


@transaction.atomic
def import_plot(
    *,
    company: Company,
    user: User | None,
    title: str,
    sources: PlotSources,
    crossing_s: int | None = None,
    reset_s: int | None = None,
) -> Imported:
    """Write the files as a new draft of the show of this title, which is made if it is missing.

    Times that are None stay as the show has them. Raises ImportRefused, having saved nothing.
    """
    files, guises, walks = read_files(sources)
    times = {"crossing_s": crossing_s, "reset_s": reset_s}
    given = {name: seconds for name, seconds in times.items() if seconds is not None}
    show, is_new = _find_or_start(company, user, title, given)
    before = read_rows(show)
    book = NameBook(show)
    if sources.guises and (wrong := letters_problems(sources.guises.name, guises, book)):
        raise ImportRefused(wrong)
    book.make([*names_in(guises), *files.characters()], letters_wanted(guises))
    write_guise_rows(guises, book)
    if sources.places is not None:
        write_walks(show=show, user=user, walks=walks)
    draft = show.current_draft if is_new else open_draft(show=show, user=user)
    assert draft is not None
    if before.draft is not None and not is_new:
        draft.parent = before.draft
        draft.save(update_fields=["parent"])
    _Writer(draft, book, before, sources).write(files)
    done = Imported(
        show=show,
        draft=draft,
        scenes=len(files.scenes),
        appearances=len(files.appearances),
        changes=len(files.changes),
        made={**book.made, "show": int(is_new)},
    )
    _record(done, user, sources, None if is_new else before.draft)
    return done


class _Writer:
    """Writes the rows of a new draft, with the keys of the draft before where they are known."""

    def __init__(
        self, draft: Draft, book: NameBook, before: PlotRows, sources: PlotSources
    ) -> None:
        self.draft, self.book, self.before, self.sources = draft, book, before, sources
        self.scenes: dict[str, Scene] = {}

    def write(self, files: PlotFile) -> None:
        self._write_scenes(files)
        self._write_appearances(files)
        self._write_changes(files)

    def _write_scenes(self, files: PlotFile) -> None:
        stood = {scene.label_key: scene for scene in self.before.scenes}
        keeps = [
            name
            for name in ("needed_by", "is_interval", "title", "act")
            if not self.sources.has_column(_COLUMNS.get(name, name), self.sources.scenes)
        ]
        rows = []
        for position, said in enumerate(files.scenes):
            scene = Scene(
                draft=self.draft,
                position=position,
                label=said.label,
                title=said.title,
                act=said.act,
                length_s=said.length_s,
                gap_s=said.gap_s,
                is_interval=said.is_interval,
                needed_by=said.needed_by,
            )
            old = stood.get(name_key(said.label))
            if old is not None:
                scene.key = old.key
                for name in keeps:
                    setattr(scene, name, getattr(old, name))
            rows.append(scene)
        for scene in Scene.objects.bulk_create(rows):
            self.scenes[name_key(scene.label)] = scene

    def _write_appearances(self, files: PlotFile) -> None:
        keeps = [
            name for name in BLANK_KEEPS if not self.sources.has_column(name, self.sources.plot)
        ]
        rows = [self._appearance(said) for said in files.appearances]
        known = KnownRows(self.before.appearances)
        olds = known.match(rows, [said.key for said in files.appearances])
        for row, said, old in zip(rows, files.appearances, olds, strict=True):
            row.key = UUID(said.key) if said.key else old.key if old is not None else uuid4()
            if old is not None:
                for name in keeps:
                    setattr(row, name, getattr(old, name))
        Appearance.objects.bulk_create(rows)

    def _appearance(self, said: AppearanceRow) -> Appearance:
        guise = self.book.guise(said.character, said.guise)
        return Appearance(
            draft=self.draft,
            scene=self.scenes[name_key(said.scene)],
            guise=guise,
            costume=self.book.costume(guise, said.costume),
            rig=said.rig,
            enters_s=said.enters_s,
            leaves_s=said.leaves_s,
            from_place=said.from_place,
            to_place=said.to_place,
            hold=said.hold,
            copies=said.copies,
        )

    def _write_changes(self, files: PlotFile) -> None:
        stood = {(rule.from_costume_id, rule.to_costume_id): rule for rule in self.before.rules}
        rows = []
        for said in files.changes:
            guise: Guise = self.book.guise(said.character, said.guise)
            first = self.book.costume(guise, said.from_costume)
            second = self.book.costume(guise, said.to_costume)
            assert first is not None
            assert second is not None
            old = stood.get((first.pk, second.pk))
            rows.append(
                ChangeRule(
                    draft=self.draft,
                    key=old.key if old else uuid4(),
                    guise=guise,
                    from_costume=first,
                    to_costume=second,
                    change_s=said.change_s,
                    people=said.people,
                )
            )
        ChangeRule.objects.bulk_create(rows)


_COLUMNS = {"is_interval": "interval"}


def _find_or_start(
    company: Company, user: User | None, title: str, given: dict[str, int]
) -> tuple[Show, bool]:
    Company.objects.select_for_update().get(pk=company.pk)
    shows = Show.objects.for_company(company).select_related("company", "current_draft")
    show: Show | None = shows.filter(title_key=name_key(title)).first()
    if show is None:
        if len(tidy_name(title)) > 120:
            raise ImportRefused([Problem("show", 0, "the title is longer than 120 letters")])
        try:
            return start_show(company=company, user=user, title=title, **given), True  # type: ignore[arg-type]
        except ValidationError as refusal:
            raise ImportRefused(
                Problem("show", 0, sentence) for sentence in refusal.messages
            ) from refusal
    if given:
        Show.objects.filter(pk=show.pk).update(**given)
        show.refresh_from_db(fields=list(given))
    return show, False


def _record(done: Imported, user: User | None, sources: PlotSources, before: Draft | None) -> None:
    """An import is undone by going back to the draft before it; what it made of roles stays."""
    record_edit(
        show=done.show,
        user=user,
        noun="import",
        row=done.draft.pk,
        said=f"draft {done.draft.number} brought in from files",
        before=None if before is None else {"draft": before.number},
        after=({} if before is None else {"switch": True})
        | {
            "show": done.show.pk,
            "draft": done.draft.number,
            "files": sources.names(),
            "scenes": done.scenes,
            "appearances": done.appearances,
            "changes": done.changes,
            "made": done.made,
        },
    )
