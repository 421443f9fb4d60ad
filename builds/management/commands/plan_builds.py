"""`plan_builds "Show"`: plan the show as it stands and keep the plan as a draft."""

from __future__ import annotations

import json
import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from builds.queries.plan_document import plan_document
from builds.services.plan_runs import MOST_WORK
from builds.services.plans import FIRST_WORK, make_plan
from company import clock
from company.services.companies import CompanyUnclear
from company.serving import make_tables
from scenes.services.lookup import ShowUnclear, find_show


class Command(BaseCommand):
    help = "Plan who builds what on which day. Keeps the plan as a draft; pins nothing up."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("show")
        parser.add_argument(
            "--seconds", type=float, default=None, help="look for a better plan for so long"
        )
        parser.add_argument("--json", action="store_true", help="one JSON document and no more")
        parser.add_argument("--company", default=None)

    def handle(self, *args: Any, **options: Any) -> None:
        seconds: float | None = options["seconds"]
        if seconds is not None and not 0 <= seconds <= 3600:
            raise CommandError("--seconds runs from 0 to 3600.")
        make_tables()
        try:
            show = find_show(options["show"], options["company"])
        except (ShowUnclear, CompanyUnclear) as unclear:
            raise CommandError(str(unclear)) from unclear
        if seconds is None:
            plan = make_plan(show=show, user=None, work=FIRST_WORK)
        else:
            until = clock.elapsed_s() + seconds
            plan = make_plan(
                show=show, user=None, work=MOST_WORK, stop=lambda: clock.elapsed_s() >= until
            )
        document = plan_document(show, plan)
        if options["json"]:
            self.stdout.write(json.dumps(document, ensure_ascii=False, indent=2))
        elif plan.status != "none":
            self._say(document)
        if plan.status == "none":
            for reason in plan.reasons:
                self.stderr.write(reason)
            sys.exit(1)

    def _say(self, document: dict[str, Any]) -> None:
        hand = document["days_in_hand"]
        said = f"All ready to play on {document['ready']}"
        if hand is not None:
            said += f", {hand} days in hand" if hand >= 0 else f", {-hand} days late"
        self.stdout.write(f"{said}. No plan with these people is ready before {document['bound']}.")
        for step in document["steps"]:
            if not step["done"]:
                who = step["person"] + (f" with {step['second']}" if step["second"] else "")
                what = " ".join(filter(None, (step["step"], step["figure"] or step["guise"])))
                self.stdout.write(f"{step['start'][:16].replace('T', ' ')}  {who}: {what}")
