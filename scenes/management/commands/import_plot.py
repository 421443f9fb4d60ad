"""`import_plot "Show" --scenes F --plot F`, or `--from F`: a new draft from spreadsheets."""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from company.core.units import parse_minutes
from company.services.companies import CompanyUnclear, company_for_command
from company.serving import make_tables
from scenes.core.plot_files import Problem, Source
from scenes.services.imports import (
    ENOUGH_BYTES,
    Imported,
    ImportRefused,
    PlotSources,
    import_plot,
    read_files,
)
from scenes.services.workbooks import SHEETS as FILES
from scenes.services.workbooks import read_plot_workbook, suppress_refusal


class Command(BaseCommand):
    help = (
        "Reads scenes.csv, plot.csv and, where there is one, changes.csv, and writes them as a new "
        "draft of the show, which is made if it is missing. With any problem nothing is saved. "
        "What an export gave, a workbook or a folder of files, comes in again with --from."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("show", help="title of the show")
        parser.add_argument(
            "--from", dest="whole", help="a workbook (.xlsx) or folder that an export gave"
        )
        parser.add_argument("--scenes", help="scene,title,act,minutes,gap_after")
        parser.add_argument("--plot", help="scene,character,guise,costume,...")
        parser.add_argument("--changes", help="character,guise,from_costume,to_costume,minutes")
        parser.add_argument("--guises", help="character,guise,letters,kind,...,costume,...")
        parser.add_argument("--places", help="from,to,minutes")
        parser.add_argument("--crossing", help="minutes from side to side: 0; with --from as is")
        parser.add_argument("--reset", help="minutes to set a figure again: 0; with --from as is")
        parser.add_argument("--company", help="its name, where there are several")

    def handle(self, *args: Any, **options: Any) -> None:
        problems: list[Problem] = []
        times = {
            f"{name}_s": read_minutes(f"--{name}", options[name], problems, bool(options["whole"]))
            for name in ("crossing", "reset")
        }
        sources = self._sources(options, problems)
        if problems or sources is None:
            self._refuse(problems)
            return
        make_tables()
        self._import(options, sources, times)

    def _sources(self, options: dict[str, Any], problems: list[Problem]) -> PlotSources | None:
        """The files that the options name; what is wrong with them is added to the problems."""
        named = [name for name in FILES if options[name] is not None]
        whole = options["whole"]
        if whole and named:
            problems.append(Problem("--from", 0, f"holds everything: leave out --{named[0]}"))
            return None
        if whole and Path(whole).is_dir():
            options = options | files_in(Path(whole))
        elif whole:
            return _read_workbook(whole, problems)
        for name in ("scenes", "plot"):
            if options[name] is None:
                words = (
                    "is missing: give the file" if not whole else f"is not in the folder {whole}"
                )
                problems.append(Problem(f"--{name}" if not whole else f"{name}.csv", 0, words))
        scenes, plot, *others = [read_source(options[name], problems) for name in FILES]
        if scenes is None or plot is None:
            return None
        sources = PlotSources(scenes, plot, *others)
        if problems:
            with suppress_refusal(problems):
                read_files(sources)
        return sources

    def _import(
        self, options: dict[str, Any], sources: PlotSources, times: dict[str, int | None]
    ) -> None:
        try:
            with transaction.atomic():
                done = import_plot(
                    company=company_for_command(name=options["company"]),
                    user=None,
                    title=options["show"],
                    sources=sources,
                    **times,
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


def files_in(folder: Path) -> dict[str, str]:
    """The files of an export in a folder: by their own names, or with the show's before them."""
    found = {}
    for name in FILES:
        ending = f"{name}.csv"
        files = sorted(f for f in folder.iterdir() if f.name == ending) or sorted(
            f for f in folder.iterdir() if f.name.endswith(f"-{ending}")
        )
        if files:
            found[name] = str(files[-1])
    return found


def _read_workbook(name: str, problems: list[Problem]) -> PlotSources | None:
    source = read_source(name, problems)
    if source is None:
        return None
    with suppress_refusal(problems):
        return read_plot_workbook(source)
    return None


def read_minutes(
    option: str, written: str | None, problems: list[Problem], may_be_kept: bool = False
) -> int | None:
    """Minutes given on the command line, as seconds; None where they stay as they are."""
    if written is None:
        return None if may_be_kept else 0
    try:
        return parse_minutes(written)
    except ValueError as error:
        problems.append(Problem(option, 0, str(error)))
        return 0


def _listed(counts: list[tuple[int, str]]) -> str:
    plurals = {"entry": "entries"}
    return ", ".join(
        f"{number} {noun if number == 1 else plurals.get(noun, noun + 's')}"
        for number, noun in counts
    )
