"""`import_plot "Show" --scenes F --plot F`: a new draft of the show from spreadsheets."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DEFAULT_DB_ALIAS, connections, transaction
from django.db.migrations.executor import MigrationExecutor

from company.core.units import parse_minutes
from company.services.companies import CompanyUnclear, company_for_command
from scenes.core.plot_files import Problem, Source
from scenes.services.imports import (
    ENOUGH_BYTES,
    Imported,
    ImportRefused,
    PlotSources,
    import_plot,
    read_files,
)


class Command(BaseCommand):
    help = (
        "Reads scenes.csv, plot.csv and, where there is one, changes.csv, and writes them as a new "
        "draft of the show, which is made if it is missing. With any problem nothing is saved."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("show", help="title of the show")
        parser.add_argument("--scenes", required=True, help="scene,title,act,minutes,gap_after")
        parser.add_argument("--plot", required=True, help="scene,character,guise,costume,...")
        parser.add_argument("--changes", help="character,guise,from_costume,to_costume,minutes")
        parser.add_argument("--guises", help="character,guise,letters,kind,...,costume,...")
        parser.add_argument("--places", help="from,to,minutes")
        parser.add_argument("--crossing", default="0", help="minutes from side to side: 0")
        parser.add_argument("--reset", default="0", help="minutes to set a figure again: 0")
        parser.add_argument("--company", help="its name, where there are several")

    def handle(self, *args: Any, **options: Any) -> None:
        problems: list[Problem] = []
        crossing_s = read_minutes("--crossing", options["crossing"], problems)
        reset_s = read_minutes("--reset", options["reset"], problems)
        names = [options[name] for name in ("scenes", "plot", "changes", "guises", "places")]
        scenes, plot, *others = [read_source(name, problems) for name in names]
        if problems or scenes is None or plot is None:
            self._refuse([*problems, *_problems_in(scenes, plot, *others)])
        else:
            make_tables()
            sources = PlotSources(scenes, plot, *others)
            self._import(options, sources, crossing_s, reset_s)

    def _import(
        self, options: dict[str, Any], sources: PlotSources, crossing_s: int, reset_s: int
    ) -> None:
        try:
            with transaction.atomic():
                done = import_plot(
                    company=company_for_command(name=options["company"]),
                    user=None,
                    title=options["show"],
                    sources=sources,
                    crossing_s=crossing_s,
                    reset_s=reset_s,
                )
        except ImportRefused as refused:
            self._refuse(refused.problems)
        except CompanyUnclear as unclear:
            raise CommandError(str(unclear)) from unclear
        else:
            self.stdout.write(say_imported(done))

    def _refuse(self, problems: list[Problem] | tuple[Problem, ...]) -> None:
        """Everything that is wrong, a line each; nothing was saved."""
        for problem in problems:
            self.stderr.write(str(problem))
        sys.exit(1)


def say_imported(done: Imported) -> str:
    """'The Salt Almanac, draft 2: 10 scenes, 24 entries, 3 changes. New: 1 role.'"""
    counts = [(done.scenes, "scene"), (done.appearances, "entry"), (done.changes, "change")]
    made = [(number, noun) for noun, number in done.made.items() if number]
    said = f"{done.show.title}, draft {done.draft.number}: {_listed(counts)}."
    return f"{said} New: {_listed(made)}." if made else said


def read_source(name: str | None, problems: list[Problem]) -> Source | None:
    """A file as it lies on disk; where it cannot be read, that is one problem more."""
    if name is None:
        return None
    try:
        with Path(name).open("rb") as file:
            return Source(name, file.read(ENOUGH_BYTES))
    except (OSError, ValueError) as error:
        words = getattr(error, "strerror", None) or str(error)
        problems.append(Problem(name, 0, f"cannot be read: {words}"))
        return None


def read_minutes(option: str, written: str, problems: list[Problem]) -> int:
    """Minutes given on the command line, as seconds."""
    try:
        return parse_minutes(written)
    except ValueError as error:
        problems.append(Problem(option, 0, str(error)))
        return 0


def make_tables() -> None:
    """The first command on a fresh machine finds no tables yet."""
    executor = MigrationExecutor(connections[DEFAULT_DB_ALIAS])
    if executor.migration_plan(executor.loader.graph.leaf_nodes()):
        call_command("migrate", interactive=False, verbosity=0)


def _problems_in(
    scenes: Source | None, plot: Source | None, *others: Source | None
) -> tuple[Problem, ...]:
    """What is wrong in the files that could be read, although one could not."""
    if scenes is None or plot is None:
        return ()
    try:
        read_files(PlotSources(scenes, plot, *others))
    except ImportRefused as refused:
        return refused.problems
    return ()


def _listed(counts: list[tuple[int, str]]) -> str:
    plurals = {"entry": "entries"}
    return ", ".join(
        f"{number} {noun if number == 1 else plurals.get(noun, noun + 's')}"
        for number, noun in counts
    )
