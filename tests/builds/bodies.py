"""A figure with a body for tests: drawn, with parts, holes, strings, and one at the bench."""

from __future__ import annotations

from decimal import Decimal

from django.test import Client

from builds.models import Drawing, Figure
from builds.services.bench import add_figure
from builds.services.controls import lay_string_set
from builds.services.parts import lay_usual_parts
from company.models import User
from scenes.models import Guise
from scenes.services.costumes import edit_costume
from scenes.services.shows import edit_show
from tests.builds.desk import Desk
from tests.builds.drawings import lay_whole, read


class Body(Desk):
    """Jory at sixty in a pilot coat, drawn with all parts; J1 and its twin J2 at the bench."""

    def __init__(self) -> None:
        super().__init__()
        self.guise: Guise = self.role("Jory Tarrow", "at sixty", "pilot coat", "nightshirt")
        lay_whole(self.guise, self.lead)
        lay_usual_parts(drawing=self.drawing, user=self.lead, version=None)
        self.coat = self.costume(self.guise, "pilot coat")
        edit_costume(show=self.show, user=self.lead, costume=self.coat, weight_g=240)
        self.coat.refresh_from_db()
        self.figure: Figure = self._figure()
        self.twin: Figure = self._figure()

    @property
    def drawing(self) -> Drawing:
        """The drawing, read anew."""
        return read(self.guise)

    def _figure(self) -> Figure:
        return add_figure(
            show=self.show, user=self.lead, guise=self.guise, costume=self.coat, is_spare=True
        )

    def string(self, bridge_mm: int | None = 1500, strings: int = 9) -> None:
        """A usual set on the control, and a bridge."""
        lay_string_set(guise=self.guise, user=self.lead, strings=strings, version=None)
        if bridge_mm is not None:
            edit_show(show=self.show, user=self.lead, bridge_mm=bridge_mm)
            self.guise.character.show.refresh_from_db()


def client_of(user: User) -> Client:
    """A browser in which they are signed in."""
    client = Client()
    client.force_login(user)
    return client


def dec(value: float) -> Decimal:
    """A number as the rows keep it."""
    return Decimal(str(value))
