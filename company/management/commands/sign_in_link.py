"""`manage.py sign_in_link LOGIN`: a new one-time link for somebody who lost their way in."""

from django.core.management.base import BaseCommand, CommandError, CommandParser

from company.core.names import name_key
from company.models import Membership
from company.services.sign_in import LINK_LASTS, link_address, make_link
from company.serving import make_tables


class Command(BaseCommand):
    help = "Prints a new link by which one person comes in, once."

    def add_arguments(self, parser: CommandParser) -> None:
        parser.add_argument("login", help="the person's sign-in name")

    def handle(self, *args: object, login: str, **options: object) -> None:
        make_tables()
        places = Membership.objects.select_related("user", "company").order_by("pk")
        place = places.filter(user__login_key=name_key(login)).first()
        if place is None:
            known = sorted(set(places.values_list("user__login", flat=True)))
            raise CommandError(
                f"Nobody signs in as {login!r}. There are: {', '.join(known) or 'none yet'}."
            )
        token = make_link(user=place.user, company=place.company, by=None)
        self.stdout.write(f"{place.user} comes in by this, once, within {LINK_LASTS.days} days:")
        self.stdout.write(link_address(token))
