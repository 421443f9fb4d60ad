"""The form of a show: its dates, people and stage."""

from __future__ import annotations

from typing import Any

from django import forms

from company.models import Company
from scenes.forms.fields import (
    DayField,
    LengthField,
    StageMinutesField,
    WholeNumberField,
    add_problems,
    blank_words,
)
from scenes.models import Show
from scenes.services.shows import NEW_RESET_S, ShowValues, show_problems

COLUMNS = (
    "title",
    "opening",
    "first_day",
    "needed_by",
    "performers",
    "dressers",
    "dressers_who_work",
    "performances",
    "rail_hooks",
    "bridge_mm",
    "crossing_s",
    "reset_s",
)
LONGEST_WAIT_S = 60 * 60


class ShowForm(forms.Form):
    """What is said of a show. Only the title has to be known on the first day."""

    title = forms.CharField(max_length=120, error_messages=blank_words("A show needs a title"))
    first_day = DayField(
        label="First day", required=False, help_text="The day the work on it begins, or began."
    )
    opening = DayField(required=False, help_text="The date that does not move.")
    has_opened = forms.BooleanField(
        label="This show has opened already", required=False, widget=forms.HiddenInput
    )
    needed_by = DayField(
        label="Figures needed by",
        required=False,
        help_text="The first rehearsal that wants them all. A scene may want its own sooner.",
    )
    performers = WholeNumberField(
        least=0, most=99, noun="people", required=False, help_text="Who work figures in the show."
    )
    dressers = WholeNumberField(
        least=0, most=99, noun="people", required=False, help_text="Who only help with changes."
    )
    dressers_who_work = WholeNumberField(
        label="Dressers who work figures",
        least=0,
        most=99,
        noun="people",
        required=False,
        help_text="How many of the dressers may also hold a figure.",
    )
    performances = WholeNumberField(
        label="Performances",
        least=0,
        most=9999,
        noun="performances",
        required=False,
        help_text="How many to build for: break-away parts are counted by them.",
    )
    rail_hooks = WholeNumberField(
        label="Hooks on the rail",
        least=0,
        most=999,
        noun="hooks",
        required=False,
        help_text="Where figures hang backstage.",
    )
    bridge_mm = LengthField(
        label="Height of the bridge",
        required=False,
        help_text="Above the stage, where performers stand. Rail and edge are asked about next.",
    )
    crossing_s = StageMinutesField(
        label="Crossing, in minutes",
        required=False,
        help_text="To carry a figure from one side behind the stage to the other: 1, 0.5 or 0:30.",
    )
    reset_s = StageMinutesField(
        label="Reset, in minutes",
        required=False,
        help_text="To gather a figure and set it again in the same place.",
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, company: Company, show: Show | None = None, **more: Any) -> None:
        self.company, self.show = company, show
        more.setdefault("initial", _initial(show))
        super().__init__(*args, **more)
        bridge = self.fields["bridge_mm"]
        assert isinstance(bridge, LengthField)
        bridge.use_units(company)
        # A height is given, and given anew, where rail and edge are asked about first.
        if show is not None:
            bridge.disabled = True
            bridge.help_text = "Set where rail and edge are asked about first."

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        for name in ("crossing_s", "reset_s"):
            if (data.get(name) or 0) > LONGEST_WAIT_S:
                self.add_error(name, "More than an hour: check the minutes.")
        stands = self.show or Show(company=self.company)
        would_be = Show(pk=stands.pk, company=self.company)
        for name in COLUMNS:
            if name not in self.errors:
                setattr(would_be, name, self.cleaned_data.get(name))
        would_be.dressers_who_work = would_be.dressers_who_work or 0
        would_be.title = self.cleaned_data.get("title", "")
        problems = show_problems(show=would_be, has_opened=bool(data.get("has_opened")))
        add_problems(self, problems)
        if "opening" in problems or data.get("has_opened"):
            self.fields["has_opened"].widget = forms.CheckboxInput()
        return self.cleaned_data

    def values(self) -> ShowValues:
        """What the service takes; the form must be valid. Blank minutes are none."""
        data = self.cleaned_data
        values = {name: data[name] for name in COLUMNS}
        values["bridge_mm"] = self.show.bridge_mm if self.show is not None else None
        values["dressers_who_work"] = data["dressers_who_work"] or 0
        values["crossing_s"] = data["crossing_s"] or 0
        values["reset_s"] = data["reset_s"] or 0
        return values  # type: ignore[return-value]


def _initial(show: Show | None) -> dict[str, Any]:
    if show is None:
        return {"crossing_s": 0, "reset_s": NEW_RESET_S}
    values = {name: getattr(show, name) for name in (*COLUMNS, "version")}
    return values | {"dressers_who_work": show.dressers_who_work or None}
