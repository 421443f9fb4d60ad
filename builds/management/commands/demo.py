"""`manage.py demo`: an invented company in the middle of a real build, in a folder of its own."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

from builds.demo.lay import company_of_demo, lay_demo
from company import serving
from company.models import Membership, Role, User
from company.services.sign_in import link_address, make_link

FOLDER = "demo"
SWITCH = "STRUNG_DEMO"  # set in the process that runs inside the demo's own folder


class Command(BaseCommand):
    help = "Lays an invented show to look around in, and serves it until Ctrl-C."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--fresh", action="store_true", help="throw the old demo away first")
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on")
        parser.add_argument("--port", type=int, default=8000, help="first port to try, of ten")
        parser.add_argument("--lay-only", action="store_true", help="lay it and do not serve it")

    def handle(
        self, *args: object, fresh: bool, host: str, port: int, lay_only: bool, **options: object
    ) -> None:
        if os.environ.get(SWITCH) != "1":
            enter_demo(Path(settings.DATA_DIR) / FOLDER, fresh)
        try:
            if lay_only:
                serving.make_ready(self.say)
                self.lay()
                return
            with serving.bind_port(host, port) as bound:
                address = serving.adopt_address(host, bound.getsockname()[1])
                serving.make_ready(self.say)
                lead = self.lay()
                self.say(self.greeting(address, lead))
                serving.run_until_ended(bound, self.say)
        except serving.CannotServe as reason:
            raise CommandError(str(reason)) from reason

    def lay(self) -> User:
        """Lay the demo, unless it is there already; its lead."""
        company = company_of_demo()
        if company is None:
            self.say("Laying the demo: thirty weeks of an invented workshop ...")
            return lay_demo()[1]
        self.say("The demo from before is still there (--fresh lays it anew).")
        return Membership.objects.filter(company=company, role=Role.LEAD).earliest("pk").user

    def say(self, words: str) -> None:
        self.stdout.write(words)
        self.stdout.flush()

    def greeting(self, address: str, lead: User) -> str:
        company = lead.memberships.earliest("pk").company
        link = link_address(make_link(user=lead, company=company, by=lead))
        return (
            f"Strung is at {address} (Ctrl-C ends it).\n"
            f"Come in as {lead.name}, the lead, by this link; it works once:\n{link}"
        )


def enter_demo(folder: Path, fresh: bool) -> None:
    """Run this command again with the demo's folder as its data, and no other database."""
    if folder.is_symlink() or (folder.exists() and not folder.is_dir()):
        raise CommandError(f"{folder} is not a folder of the demo's own: move it away first.")
    if fresh and folder.exists():
        try:
            shutil.rmtree(folder)
        except OSError as trouble:
            raise CommandError(
                f"The old demo cannot be removed ({trouble.strerror}): end the one that runs."
            ) from trouble
    folder.mkdir(parents=True, exist_ok=True, mode=0o700)
    around = {
        name: value for name, value in os.environ.items() if name not in ("DATABASE_URL", "DEBUG")
    }
    around |= {"DATA_DIR": str(folder), SWITCH: "1"}
    command = [sys.executable, str(Path(settings.BASE_DIR) / "manage.py"), *sys.argv[1:]]
    command = [word for word in command if word != "--fresh"]
    sys.stdout.flush()
    if os.name == "posix":
        os.execve(sys.executable, command, around)
    sys.exit(subprocess.call(command, env=around))
