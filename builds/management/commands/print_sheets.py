"""`print_sheets "Show" --out DIR`: every bench and week sheet, and one pack of them all."""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from builds.queries.sheets.week import mondays_of
from builds.sheets import NothingToPrint, desk_for, print_figure, print_pack, print_week
from company.models import Company
from company.services.companies import CompanyUnclear
from company.sheets import CannotPrint
from scenes.services.lookup import ShowUnclear, find_show


class Command(BaseCommand):
    help = "Print every bench sheet and week sheet of a show as PDFs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("show")
        parser.add_argument("--out", required=True, type=Path, help="folder for the PDFs")
        parser.add_argument("--paper", choices=Company.Paper.values)
        parser.add_argument("--company", default=None)

    def handle(self, *args: Any, **options: Any) -> None:
        try:
            show = find_show(options["show"], options["company"])
        except (ShowUnclear, CompanyUnclear) as unclear:
            raise CommandError(str(unclear)) from unclear
        out: Path = options["out"]
        paper = options["paper"] or show.company.paper
        try:
            desk = desk_for(show)
            out.mkdir(parents=True, exist_ok=True)
            self._write(out / "pack.pdf", print_pack(desk, paper))
            for figure in desk.figures:
                try:
                    pdf = print_figure(desk, figure, paper)
                except NothingToPrint:
                    continue  # finished figures have no sheet
                self._write(out / f"figure-{figure.tag}.pdf", pdf)
            for maker in desk.makers:
                for monday in mondays_of(desk, maker):
                    name = f"week-{_file_name(maker.name)}-{monday.isoformat()}.pdf"
                    self._write(out / name, print_week(desk, maker, monday, paper))
        except (NothingToPrint, CannotPrint) as trouble:
            raise CommandError(str(trouble)) from trouble
        except OSError as trouble:
            raise CommandError(f"{out} cannot be written: {trouble.strerror}.") from trouble

    def _write(self, path: Path, pdf: bytes) -> None:
        path.write_bytes(pdf)
        self.stdout.write(str(path))


def _file_name(name: str) -> str:
    """A name as part of a file name: letters, digits and dashes."""
    kept = "".join(c if c.isalnum() else "-" for c in name.casefold())
    return "-".join(part for part in kept.split("-") if part) or "maker"
