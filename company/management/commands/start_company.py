"""`manage.py start_company NAME --lead NAME`: a new company, and a link for its lead."""

from django.core.exceptions import ValidationError
from django.core.management.base import BaseCommand, CommandError, CommandParser

from company.services.companies import start_company
from company.services.sign_in import LINK_LASTS, link_address, make_link
from company.serving import make_tables


class Command(BaseCommand):
    help = "Makes a company with its lead, and prints the link by which the lead comes in."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("name", help="what the company is called")
        parser.add_argument("--lead", required=True, help="the lead's name")
        parser.add_argument("--login", default="", help="the lead's sign-in name, if another")
        parser.add_argument("--time-zone", default="UTC", help="as Europe/London")
        parser.add_argument("--units", default="metric", help="metric or us")
        parser.add_argument("--paper", default="A4", help="A4 or Letter")
        parser.add_argument("--currency", default="EUR", help="three letters, as EUR")

    def handle(self, *args: object, name: str, lead: str, login: str, **options: str) -> None:
        choices = {key: options[key] for key in ("time_zone", "units", "paper", "currency")}
        make_tables()
        try:
            company, user = start_company(name=name, lead_name=lead, login=login, **choices)
        except ValidationError as error:
            lines = [
                f"--{field.replace('_', '-')}: {sentence}" if field != "name" else sentence
                for field, sentences in error.message_dict.items()
                for sentence in sentences
            ]
            raise CommandError("\n".join(["No company was made.", *lines])) from error
        token = make_link(user=user, company=company, by=None)
        self.stdout.write(
            f"{company} is made, with {user.name} as lead (signs in as {user.login})."
        )
        self.stdout.write(
            f"{user.name} comes in by this link, once, within {LINK_LASTS.days} days:"
        )
        self.stdout.write(link_address(token))
