"""`benchmark counting|planning|pages|sheets`: medians and ratios, measured in one run."""

from __future__ import annotations

import os
import statistics
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from company.memory import keep_loaded
from company.sheets import CannotPrint

KINDS = ("counting", "planning", "pages", "sheets")


class Command(BaseCommand):
    help = "Measure this machine at counting, planning, pages or sheets; nothing is kept."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("kind", choices=KINDS)
        parser.add_argument("--runs", type=int, default=0, help="repeats behind each median")
        parser.add_argument("--seconds", type=float, default=1.0, help="planning: for each problem")
        parser.add_argument("--only", default="", help="planning and counting: names that begin so")
        parser.add_argument("--keep", action="store_true", help="planning: write better plans down")
        parser.add_argument("--alone", action="store_true", help="planning: no other solver beside")

    def handle(self, *args: Any, **options: Any) -> None:
        if not 0 <= options["runs"] <= 1000 or not 0 < options["seconds"] <= 600:
            raise CommandError("--runs lies between 1 and 1000, --seconds between 0 and 600.")
        measure = getattr(self, f"measure_{options['kind']}")
        try:
            measure(options)
        except CannotPrint as trouble:
            raise CommandError(str(trouble)) from trouble

    def table(self, heads: Sequence[str], rows: Iterable[Sequence[object]]) -> None:
        """A table in plain text: the first column to the left, the rest to the right."""
        body = [[str(cell) for cell in row] for row in rows]
        widths = [max(len(row[at]) for row in [list(heads), *body]) for at in range(len(heads))]
        for row in [list(heads), *body]:
            cells = [row[0].ljust(widths[0])]
            cells += [cell.rjust(width) for cell, width in zip(row[1:], widths[1:], strict=True)]
            self.stdout.write("  ".join(cells).rstrip())

    def measure_counting(self, options: dict[str, Any]) -> None:
        from builds.core.planning.benchmark import peak_memory_mb
        from scenes.core import benchmark as counting
        from scenes.core import benchmark_finer as finer

        runs, only = options["runs"] or 5, options["only"]
        if "figures".startswith(only):
            rows = counting.measure_counting(runs=runs)
            self.stdout.write(f"Counting: medians, and ratios to {counting.REFERENCE}.")
            self._counted(rows)
            self.stdout.write("")
        rows = finer.measure_finer(runs=runs, only=only)
        if rows:
            self.stdout.write(f"Finer: medians, and ratios to {finer.REFERENCE}.")
            self._counted(rows)
        memory = peak_memory_mb()
        if memory is not None:
            self.stdout.write(f"Peak memory {memory:.0f} MB.")

    def _counted(self, rows: Sequence[Any]) -> None:
        self.table(
            ("plot", "method", "figures", "median ms", "ratio", ""),
            (
                (
                    row.plot,
                    row.method,
                    "" if row.figures is None else row.figures,
                    "" if row.median_s is None else f"{row.median_s * 1000:.1f}",
                    "" if row.ratio is None else f"{row.ratio:.2f}",
                    row.note,
                )
                for row in rows
            ),
        )

    def measure_planning(self, options: dict[str, Any]) -> None:
        from builds.core.planning import benchmark as planning
        from builds.core.planning.warmth import warm_up

        # as in the program that is served: loops compiled, and what is loaded set aside
        warm_up()
        keep_loaded()
        self.stdout.write(f"Calibration loop: {planning.calibrate():.0f} ms.")
        shows = find_folder("SHOWS_DIR", "shows")
        if shows is None:
            self.stdout.write("No folder of shows here (SHOWS_DIR): left out.")
        else:
            self._shows(planning, shows, options)
        classical = find_folder("PSPLIB_DIR", "psplib")
        if classical is None:
            self.stdout.write("No PSPLIB sample here (PSPLIB_DIR): left out.")
        else:
            self._classical(planning, classical, options)

    def _shows(self, planning: Any, folder: Path, options: dict[str, Any]) -> None:
        names = [
            path.stem
            for path in sorted(folder.glob("show-*.json"))
            if path.stem.startswith(options["only"] or "show")
        ]
        rows = planning.measure_shows(folder, options["seconds"], names) if names else []
        if not rows:
            return
        self.stdout.write(f"Shows, {options['seconds']:g} s each: weighted minutes late / ready.")
        self.table(
            ("show", "steps", "first ms", "first plan", "plan", "best seen", "bounds", "gap", "is"),
            (
                (
                    row.name,
                    row.steps,
                    f"{row.first_ms:.0f}",
                    f"{row.first[0]} / {row.first[1]}",
                    f"{row.score[0]} / {row.score[1]}",
                    "-" if row.best_seen is None else f"{row.best_seen[0]} / {row.best_seen[1]}",
                    f"{row.lateness_bound} / {row.bound}",
                    f"{100 * row.gap:.2f} %",
                    row.verdict,
                )
                for row in rows
            ),
        )
        self.stdout.write("")
        self._shows_in_short(planning, rows)
        if options["keep"]:
            better = planning.keep_best_seen(rows)
            self.stdout.write(f"Better than ever seen: {', '.join(better) or 'none'}.")

    def _shows_in_short(self, planning: Any, rows: Sequence[Any]) -> None:
        """Medians by number of figures, and how many plans stand where against the reference."""
        sizes: dict[str, list[Any]] = {}
        for row in rows:
            sizes.setdefault(row.name.split("-")[1], []).append(row)
        self.table(
            ("figures", "shows", "first ms", "gap", "better", "fair", "worse"),
            (
                (
                    size,
                    len(these),
                    f"{statistics.median(row.first_ms for row in these):.0f}",
                    percent(planning.median_gap(these)),
                    *(
                        sum(row.verdict == word for row in these)
                        for word in ("better", "fair", "worse")
                    ),
                )
                for size, these in sizes.items()
            ),
        )
        self.stdout.write("better: than the reference's 10 s plan or as good; fair: its 1 s plan.")
        memory = planning.peak_memory_mb()
        if memory is not None:
            self.stdout.write(f"Peak memory {memory:.0f} MB.")

    def _classical(self, planning: Any, folder: Path, options: dict[str, Any]) -> None:
        prefix = options["only"] if not options["only"].startswith("show") else "-"
        rows = planning.measure_classical(
            folder, options["seconds"], rivals=not options["alone"], prefix=prefix
        )
        if not rows:
            return
        self.stdout.write(f"PSPLIB, {options['seconds']:g} s each: mean above the best known.")
        self.table(
            ("set", "problems", "Strung", "CP-SAT", "PyJobShop"),
            (
                (one.name, one.problems, *map(percent, (one.ours, one.cp_sat, one.pyjobshop)))
                for one in planning.summarise(rows)
            ),
        )

    def measure_pages(self, options: dict[str, Any]) -> None:
        from builds.benchmarks.pages import measure_pages

        rows = measure_pages(options["runs"] or 15)
        self.stdout.write("Pages: medians on the server, and ratios to the sign-in page.")
        self.table(
            ("page", "median ms", "kB", "queries", "ratio"),
            (
                (r.what, f"{r.median_ms:.1f}", f"{r.kilobytes:.1f}", r.queries, f"{r.ratio:.1f}")
                for r in rows
            ),
        )

    def measure_sheets(self, options: dict[str, Any]) -> None:
        from builds.benchmarks.sheets import measure_sheets

        rows = measure_sheets(options["runs"] or 3)
        self.stdout.write("Sheets: medians, and ratios to one week sheet.")
        self.table(
            ("sheet", "pages", "median ms", "ms a page", "ratio"),
            (
                (r.what, r.pages, f"{r.median_ms:.0f}", f"{r.page_ms:.0f}", f"{r.ratio:.2f}")
                for r in rows
            ),
        )


def percent(share: float | None) -> str:
    """A share as percent, or a dash where it was not measured."""
    return "-" if share is None else f"{100 * share:.2f} %"


def find_folder(variable: str, name: str) -> Path | None:
    """The folder that the variable names, else the one beside the checkout, if it is there."""
    named = os.environ.get(variable)
    folder = Path(named) if named else Path(settings.BASE_DIR).parent / "shared" / name
    return folder if folder.is_dir() else None
