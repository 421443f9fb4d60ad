"""Forms of a mould: what it is, how long it lasts, and a word for what is done to it."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.forms.instants import InstantField
from builds.models import Mould
from company.forms.fields import HoursField, ReadField
from scenes.forms.fields import WholeNumberField


class DaysField(ReadField):
    """Days as '5' or '1.5'; minutes inside."""

    def read(self, text: str) -> int:
        try:
            days = float(text.replace(",", ".").removesuffix("days").removesuffix("day"))
        except ValueError as wrong:
            raise ValueError("write days as 5 or 1.5") from wrong
        if not 0 <= days <= 60:
            raise ValueError("from nought to 60 days")
        return round(days * 24 * 60)

    def write(self, value: int) -> str:
        return f"{value / (24 * 60):g}"


class MouldForm(forms.Form):
    """What a mould is, when it may be poured, and how long it lasts."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    parts = WholeNumberField(least=1, most=12, noun="parts", label="Parts")
    cavities = WholeNumberField(
        least=1, most=20, noun="castings", label="Castings in one pour",
        help_text="A pair of hands counts as one.",
    )  # fmt: skip
    dry_min = DaysField(
        label="Dries before first use, days", required=False,
        help_text="Blank follows its material, then the route.",
    )  # fmt: skip
    rest_min = HoursField(
        label="Rests between pours", required=False, help_text="Blank follows the casting material."
    )
    dry_every = WholeNumberField(
        least=1, most=200, noun="pours", label="Dry it again after so many pours", required=False,
    )  # fmt: skip
    life = WholeNumberField(
        least=1, most=2000, noun="castings", label="Good for so many castings",
        help_text="About 30 for plaster and slip: common practice, look at the mould itself.",
    )  # fmt: skip
    yield_percent = WholeNumberField(
        least=1, most=100, noun="castings", label="Good ones expected, of a hundred",
        help_text="A first guess: its own record soon outweighs it.",
    )  # fmt: skip
    sure_percent = WholeNumberField(
        least=1, most=99, noun="times", label="Be sure of enough, of a hundred times",
    )  # fmt: skip
    note = forms.CharField(
        label="Note", required=False, max_length=4000, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, mould: Mould, **more: Any) -> None:
        names = (
            *("version", "parts", "cavities", "dry_min", "rest_min", "dry_every", "life"),
            *("yield_percent", "sure_percent", "note", "first_use"),
        )
        initial = {name: getattr(mould, name) for name in names}
        more.setdefault("initial", {**initial, "rest_min": initial["rest_min"] or None})
        more.setdefault("auto_id", "mould-%s")
        super().__init__(*args, **more)
        if mould.is_made:
            self.fields["first_use"] = InstantField(
                zone=mould.pattern.show.company.time_zone,
                label="May be poured from",
                help_text="Sooner where it is dry to the cheek, later where it is still cool.",
            )
            self.order_fields([*[*self.fields][:4], "first_use"])

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        given = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        given["rest_min"] = given["rest_min"] or 0
        return given


class WordsForm(forms.Form):
    """A word for something that is struck, mended or retired."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    words = forms.CharField(
        label="In a few words",
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": "200"}),
        error_messages={"required": "Say it in a few words."},
    )
    more_castings = WholeNumberField(
        least=0, most=2000, noun="castings", label="Good for so many more", required=False,
        initial=0,
    )  # fmt: skip
    replace = forms.BooleanField(label="another is made in its stead", required=False)
