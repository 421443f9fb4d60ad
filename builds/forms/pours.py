"""Forms of a pour: recorded beside the mould, and written on afterwards."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.forms.amounts_typed import read_amount, unit_typed, write_amount
from builds.forms.instants import InstantField
from builds.models import Mould, Pour
from builds.queries.amount_words import is_metric
from builds.queries.pours import PourOffer
from builds.queries.takings import Asked, read_takings
from company.forms.fields import HoursField, as_sentence
from company.models import Company, Maker
from company.queries import makers_of
from scenes.models import Show


class MouldChoice(forms.ModelChoiceField):
    """A mould, said as it stands on the shelf."""

    def label_from_instance(self, obj: Any) -> str:
        number = f", mould {obj.number}" if obj.number > 1 else ""
        return f"{obj.pattern.name}{number}"


class TakesForm(forms.Form):
    """What a pour takes off the shelf, where it is not as it was worked out."""

    takes = forms.CharField(
        label="How much it took",
        required=False,
        max_length=40,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    was_so = forms.BooleanField(
        label="It was so: take all there was, nothing is left of it",
        required=False,
        widget=forms.HiddenInput,
    )
    company: Company
    unit = "g"

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        if self.data.get("was_so"):
            self.ask_was_so()

    def ask_was_so(self) -> None:
        """Show the box that says it was so: only where a lot has less than is asked for."""
        self.fields["was_so"].widget = forms.CheckboxInput()

    def add_error(self, field: str | None, error: Any) -> None:
        if field == "was_so":
            self.ask_was_so()
        super().add_error(field, error)

    def clean_takes(self) -> Asked | None:
        """The amount, in the unit that was typed or is usual; None where nothing was."""
        text = self.cleaned_data["takes"]
        if not text:
            return None
        unit = unit_typed(text) or self.unit
        try:
            amount = read_amount(text, unit, is_metric=is_metric(self.company))
        except ValueError as wrong:
            raise forms.ValidationError(as_sentence(str(wrong))) from wrong
        return Asked(amount, unit)


class PourForm(TakesForm):
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

    def __init__(
        self, *args: Any, show: Show, is_lead: bool, offer: PourOffer, **more: Any
    ) -> None:
        more.setdefault("auto_id", "pour-%s")
        super().__init__(*args, **more)
        self.company, self.unit = show.company, offer.unit
        self.fields["takes"].help_text = offer.takes_hint
        if not self.is_bound and offer.short:
            self.ask_was_so()
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


class PourEditForm(TakesForm):
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

    field_order = ("version", "lot", "takes", "was_so", "mix")

    def __init__(self, *args: Any, pour: Pour, **more: Any) -> None:
        self.company = pour.mould.pattern.show.company
        taken = [line.taking for line in read_takings(pour)]
        self.unit = taken[0].lot.unit if taken else self.unit
        names = ("version", "lot", "mix", "drain_min", "open_min", "cure_min", "note")
        initial = {name: getattr(pour, name) for name in names}
        if taken and all(one.lot.unit == self.unit for one in taken):
            amount = sum(one.amount for one in taken)
            initial["takes"] = write_amount(amount, self.unit, is_metric=is_metric(self.company))
        more.setdefault("initial", initial)
        more.setdefault("auto_id", "write-%s")
        super().__init__(*args, **more)
        self.fields[
            "takes"
        ].help_text = "Another amount or lot puts back what was taken first; 0 takes nothing."

    def values(self) -> dict[str, Any]:
        """What is written, by column; what it takes only where lot or amount are others."""
        values = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        if not {"lot", "takes"} & set(self.changed_data):
            values["takes"] = None
        return values
