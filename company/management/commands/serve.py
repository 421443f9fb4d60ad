"""`manage.py serve`: a company's own instance, server and worker in one command."""

from django.core.management.base import BaseCommand, CommandError, CommandParser

from company import serving
from company.models import Company


class Command(BaseCommand):
    help = "Brings the database up to date and serves the pages, until Ctrl-C."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("--host", default="127.0.0.1", help="address to listen on")
        parser.add_argument("--port", type=int, default=8000, help="port to listen on")

    def handle(self, *args: object, host: str, port: int, **options: object) -> None:
        try:
            with serving.bind_port(host, port, tries=1) as bound:
                address = serving.adopt_address(host, port)
                serving.make_ready(self.say)
                self.say(self.greeting(address, host))
                serving.run_until_ended(bound, self.say)
        except serving.CannotServe as reason:
            raise CommandError(str(reason)) from reason

    def say(self, words: str) -> None:
        """Told at once even into a pipe: whoever waits there waits for the address."""
        self.stdout.write(words)
        self.stdout.flush()

    def greeting(self, address: str, host: str) -> str:
        lines = [f"Strung is at {address} (Ctrl-C ends it)."]
        if host in serving.ANYWHERE and address.startswith("http://127."):
            lines.append(
                "Other machines reach it once SITE_URL says under what address, "
                "as SITE_URL=http://192.168.1.20:8000"
            )
        if not Company.objects.exists():
            lines.append(
                'No company yet; type: python3 manage.py start_company "NAME" --lead "NAME"'
            )
        return "\n".join(lines)
