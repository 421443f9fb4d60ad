"""`print_sheets "Show" --out DIR`: every bench and week sheet, their pack, and every drawing."""

from __future__ import annotations

from argparse import ArgumentParser
from contextlib import suppress
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from builds.drawing_sheets import drawing_paper
from builds.queries.drawings import drawings_of_show
from builds.sheets import NothingToPrint, desk_for, print_all
from builds.string_sheets import strings_paper
from company.models import Company
from company.services.companies import CompanyUnclear
from company.serving import make_tables
from company.sheets import CannotPrint
from scenes.services.lookup import ShowUnclear, find_show


class Command(BaseCommand):
    help = "Print every bench sheet, week sheet and full-size drawing of a show as PDFs."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("show")
        parser.add_argument("--out", required=True, type=Path, help="folder for the PDFs")
        parser.add_argument("--paper", choices=Company.Paper.values)
        parser.add_argument("--company", default=None)

    def handle(self, *args: Any, **options: Any) -> None:
        make_tables()
        try:
            show = find_show(options["show"], options["company"])
        except (ShowUnclear, CompanyUnclear) as unclear:
            raise CommandError(str(unclear)) from unclear
        out: Path = options["out"]
        try:
            desk = desk_for(show)
            # Everything is made before anything is written: no half a pack is left behind.
            paper = options["paper"] or show.company.paper
            files = list(print_all(desk, paper))
            for drawing in drawings_of_show(show):
                # One drawing that goes on no paper is said, and keeps back no other sheet.
                try:
                    full_size = drawing_paper(drawing, paper)
                except NothingToPrint as trouble:
                    self.stderr.write(f"{drawing.guise}: {trouble}")
                else:
                    files.append((full_size.name, full_size.pdf()))
            with suppress(NothingToPrint):
                chart = strings_paper(show, paper)
                files.append((chart.name, chart.pdf()))
            out.mkdir(parents=True, exist_ok=True)
            for name, pdf in files:
                (out / name).write_bytes(pdf)
                self.stdout.write(str(out / name))
        except (NothingToPrint, CannotPrint) as trouble:
            raise CommandError(str(trouble)) from trouble
        except OSError as trouble:
            words = trouble.strerror or str(trouble)
            raise CommandError(f"{out} cannot be written: {words}.") from trouble
