"""Forms of a pour: recorded beside the mould, and written on afterwards."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.forms.instants import InstantField
from builds.models import Mould, Pour
from company.forms.fields import HoursField
from company.models import Maker
from company.queries import makers_of
from scenes.models import Show


class MouldChoice(forms.ModelChoiceField):
    """A mould, said as it stands on the shelf."""

    def label_from_instance(self, obj: Any) -> str:
        number = f", mould {obj.number}" if obj.number > 1 else ""
        return f"{obj.pattern.name}{number}"


class PourForm(forms.Form):
    """A pour as it is recorded beside the mould: mould, lot, mix, start."""

    mould = MouldChoice(
        label="Mould",
        queryset=Mould.objects.none(),
        empty_label="Choose the mould",
        error_messages={
            "required": "Choose the mould that is filled.",
            "invalid_choice": "Choose a mould of this show.",
        },
    )
    lot = forms.CharField(
        label="Lot",
        required=False,
        max_length=40,
        error_messages={"max_length": "At most 40 letters."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "list": "lots", "maxlength": "40"}),
    )
    mix = forms.CharField(
        label="Mix",
        required=False,
        max_length=200,
        error_messages={"max_length": "At most 200 letters."},
        widget=forms.TextInput(attrs={"autocomplete": "off", "list": "mixes", "maxlength": "200"}),
    )
    reason = forms.CharField(
        label="Why now all the same",
        required=False,
        max_length=300,
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": "300"}),
    )
    maker = forms.ModelChoiceField(
        label="Who poured it",
        queryset=Maker.objects.none(),
        required=False,
        empty_label="I did",
        error_messages={"invalid_choice": "Choose somebody of this company."},
    )

    def __init__(self, *args: Any, show: Show, is_lead: bool, **more: Any) -> None:
        more.setdefault("auto_id", "pour-%s")
        super().__init__(*args, **more)
        self.fields["poured_at"] = InstantField(
            zone=show.company.time_zone,
            label="Filled at",
            required=False,
            help_text="Blank: just now.",
        )
        field: Any = self.fields["mould"]
        field.queryset = (
            Mould.objects.filter(pattern__show=show)
            .exclude(state=Mould.State.RETIRED)
            .select_related("pattern__show__company", "pattern__made_for__character")
        )
        if is_lead:
            who: Any = self.fields["maker"]
            who.queryset = Maker.objects.filter(pk__in=[m.pk for m in makers_of(show.company)])
        else:
            del self.fields["maker"]


class PourEditForm(forms.Form):
    """What is written on a pour, and its clock where the data sheet says otherwise."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    lot = forms.CharField(label="Lot", required=False, max_length=40)
    mix = forms.CharField(label="Mix", required=False, max_length=200)
    drain_min = HoursField(
        label="Pour out after", required=False, help_text="Blank where nothing is poured out."
    )
    open_min = HoursField(
        label="Open after", required=False, help_text="Counted from pouring out, or from filling."
    )
    cure_min = HoursField(label="Hard after", required=False, help_text="Counted from opening.")
    note = forms.CharField(
        label="Note", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, pour: Pour, **more: Any) -> None:
        names = ("version", "lot", "mix", "drain_min", "open_min", "cure_min", "note")
        more.setdefault("initial", {name: getattr(pour, name) for name in names})
        more.setdefault("auto_id", "write-%s")
        super().__init__(*args, **more)

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}
