"""`manage.py count_figures "Show" [--json]`: how many figures the current draft needs, and why."""

from __future__ import annotations

import json

from django.core.management.base import BaseCommand, CommandError, CommandParser

from company.services.companies import CompanyUnclear
from company.serving import make_tables
from scenes.queries.counts import count_show
from scenes.queries.written_count import as_json, as_lines
from scenes.services.lookup import ShowUnclear, find_show
from scenes.services.people_counts import LONGER_WORK, count_people


class Command(BaseCommand):
    help = "Counts the figures that the current draft of a show needs."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("show", help="the show's title")
        parser.add_argument("--json", action="store_true", help="one JSON document, for scripts")
        parser.add_argument("--company", help="the company, where there are several")

    def handle(
        self, *args: object, show: str, json: bool, company: str | None, **options: object
    ) -> None:
        make_tables()
        try:
            found = find_show(show, company)
        except (ShowUnclear, CompanyUnclear) as error:
            raise CommandError(str(error)) from error
        counted = count_show(found)
        people = count_people(found, work=LONGER_WORK)
        joint = people.joint if people else None
        for sentence in counted.misfit_sentences:
            self.stderr.write(f"To look at: {sentence}")
        if json:
            self.stdout.write(dump(as_json(counted, joint)))
        else:
            self.stdout.write("\n".join(as_lines(counted, joint)))


def dump(document: dict[str, object]) -> str:
    """The document as one indented text; names keep their accents."""
    return json.dumps(document, ensure_ascii=False, indent=2)
