"""Forms of when makers come: weekly hours, other work, days off, holidays."""

from __future__ import annotations

from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from company.core.names import tidy_name
from company.core.stretches import Span
from company.forms.fields import (
    EARLIEST,
    ClockField,
    DayField,
    StretchesField,
    add_found,
    blank,
)
from company.models import Company, Hours, Maker, OtherWork
from company.public_holidays import countries, public_holidays, regions_of
from company.services.hours import DAY_NAMES, block_problems

WORDS_OFFERED = ("writing", "rehearsal", "touring", "set building", "office")


class HoursForm(forms.Form):
    """The hours of a usual week, and the day from which they hold."""

    from_date = DayField(
        label="These hours hold from",
        required=False,
        help_text="Blank: from the start. Weeks before this day keep the hours they had.",
    )

    def __init__(
        self,
        data: Any = None,
        *,
        maker: Maker,
        company: Company,
        begins: date | None = None,
        shows: date | None = None,
        taken: tuple[date | None, ...] = (),
    ) -> None:
        """`shows`: the set (by the day it begins) that is offered for a start; `taken`: all."""
        self.taken = taken
        rows = Hours.objects.filter(maker=maker, from_date=shows)
        spans: dict[int, list[Span]] = {}
        for row in rows:
            spans.setdefault(row.weekday, []).append((row.start_min, row.end_min))
        initial = {f"day_{weekday}": tuple(found) for weekday, found in spans.items()}
        super().__init__(data, initial={"from_date": begins, **initial})
        for offset in range(7):
            weekday = (company.week_start + offset) % 7
            self.fields[f"day_{weekday}"] = StretchesField(label=DAY_NAMES[weekday])

    def clean_from_date(self) -> date | None:
        begins: date | None = self.cleaned_data["from_date"]
        if begins in self.taken:
            said = f"from {begins:%Y-%m-%d}" if begins else "from the start"
            raise ValidationError(f"Hours {said} are written already: edit those, or say a day.")
        return begins

    def week(self) -> dict[int, tuple[Span, ...]]:
        """Stretches by weekday, as the service takes them."""
        return {weekday: self.cleaned_data.get(f"day_{weekday}") or () for weekday in range(7)}


class OtherWorkForm(forms.Form):
    """A block of other work."""

    word = forms.CharField(
        label="What",
        max_length=80,
        error_messages=blank("Say what it is: writing, rehearsal, touring, set."),
        widget=forms.TextInput(attrs={"list": "other-work-words", "autocomplete": "off"}),
    )
    first = DayField(label="First day", error_messages=blank("Say the first day."))
    last = DayField(label="Last day", required=False, help_text="Blank: that one day.")
    start_min = ClockField(label="From", required=False, help_text="Blank: whole days.")
    end_min = ClockField(label="To", required=False, may_be_midnight_end=True)

    def __init__(self, data: Any = None, *, block: OtherWork | None = None) -> None:
        initial = {}
        if block is not None:
            initial = {name: getattr(block, name) for name in self.base_fields}
        super().__init__(data, initial=initial, auto_id="id_work_%s")

    def clean(self) -> None:
        given = self.cleaned_data
        day = given.get("first") or EARLIEST
        row = OtherWork(
            word=tidy_name(given.get("word", "")),
            first=day,
            last=given.get("last") or day,
            start_min=given.get("start_min"),
            end_min=given.get("end_min"),
        )
        needs = {"last": "first", "start_min": "end_min", "end_min": "start_min"}
        add_found(self, block_problems(row), needs=needs)


class DayOffForm(forms.Form):
    """Days off of one maker, or of the whole company."""

    first = DayField(label="First day", error_messages=blank("Say the first day."))
    last = DayField(label="Last day", required=False, help_text="Blank: that one day.")
    word = forms.CharField(label="Why", max_length=80, required=False)

    def __init__(self, data: Any = None) -> None:
        super().__init__(data, auto_id="id_off_%s")


class PublicHolidayForm(forms.Form):
    """Which public holidays to look up."""

    country = forms.ChoiceField(error_messages=blank("Choose a country."))
    year = forms.IntegerField(min_value=1990, max_value=2100)
    region = forms.ChoiceField(required=False)

    def __init__(self, data: Any = None, *, year: int) -> None:
        super().__init__(data, initial={"year": year}, auto_id="id_public_%s")
        country: Any = self.fields["country"]
        country.choices = [("", "choose a country"), *countries()]
        region: Any = self.fields["region"]
        chosen = str(self.data.get("country", "")) if self.is_bound else ""
        regions = regions_of(chosen) if chosen in dict(countries()) else ()
        region.choices = [("", "the whole country"), *regions]
        if not regions:
            # A region left over from another country asks for nothing.
            self.fields.pop("region")

    def proposed(self) -> list[tuple[date, str]]:
        """The days found; [] while the form is not filled in well."""
        if not self.is_bound or not self.is_valid():
            return []
        found = public_holidays(
            self.cleaned_data["country"],
            self.cleaned_data["year"],
            self.cleaned_data.get("region", ""),
        )
        return [(holiday.day, holiday.word) for holiday in found]
