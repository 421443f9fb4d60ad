"""The forms that begin a drawing: how tall, and after which proportions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django import forms
from django.utils.text import capfirst

from builds.core.full_size.proportions import (
    ASKED,
    FEWEST_HEADS,
    HEADS,
    MOST_HEADS,
    PEOPLE_SHARES,
    check_height,
    find_share_faults,
    heads_shares,
)
from builds.forms.tenths import TenthsField
from builds.models import Drawing, ProportionSheet
from company.core.names import name_key
from company.forms.fields import as_sentence
from scenes.forms.fields import blank_words

NONE, PEOPLE, IN_HEADS, OWN, LIKE = "none", "people", "heads", "own", "like"


class SheetForm(forms.Form):
    """Which proportions to start from; nobody has to."""

    height_mm = TenthsField(
        label="Height, floor to crown, mm",
        required=True,
        error_messages=blank_words("Say how tall the figure is"),
    )
    sheet = forms.ChoiceField(label="Joints to start from")
    heads = TenthsField(
        label="How many heads tall", help_text="For a puppet in heads; six is usual."
    )

    def __init__(
        self,
        *args: Any,
        sheets: Iterable[ProportionSheet],
        drawings: Iterable[Drawing] = (),
        with_none: bool = True,
        **more: Any,
    ) -> None:
        self.sheets = {f"{OWN}-{sheet.pk}": sheet for sheet in sheets}
        self.drawings = {f"{LIKE}-{drawing.pk}": drawing for drawing in drawings}
        more.setdefault("auto_id", "start-%s")
        more["initial"] = {"heads": HEADS, **more.get("initial", {})}
        super().__init__(*args, **more)
        choices = [
            (PEOPLE, "a person upright, after Drillis and Contini 1966"),
            (IN_HEADS, "a puppet upright, so many heads tall"),
            *((key, f"your own: {sheet.name}") for key, sheet in self.sheets.items()),
            *(
                (key, f"as {drawing.guise}, stoop and all")
                for key, drawing in self.drawings.items()
            ),
        ]
        nothing = [(NONE, "none: I place them on the picture")] if with_none else []
        self.fields["sheet"].choices = nothing + choices  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        if said.get("height_mm") is not None:
            try:
                check_height(float(said["height_mm"]))
            except ValueError as wrong:
                self.add_error("height_mm", str(wrong))
        if said.get("sheet") == IN_HEADS and "heads" not in self.errors:
            heads = said.get("heads")
            if heads is None or not FEWEST_HEADS <= heads <= MOST_HEADS:
                self.add_error(
                    "heads",
                    f"A figure is {FEWEST_HEADS:.0f} to {MOST_HEADS:.0f} heads tall: say how many.",
                )
        return said

    def shares(self) -> Mapping[str, float] | None:
        """The proportions chosen; None for none, or for those of a drawing."""
        chosen = self.cleaned_data["sheet"]
        if chosen == PEOPLE:
            return PEOPLE_SHARES
        if chosen == IN_HEADS:
            return heads_shares(float(self.cleaned_data["heads"]))
        sheet = self.sheets.get(chosen)
        return sheet.shares if sheet else None

    def like(self) -> Drawing | None:
        """The drawing whose joints are taken over, if one is chosen."""
        return self.drawings.get(self.cleaned_data["sheet"])


class ProportionsForm(forms.Form):
    """A company's own sheet: each length as a share of the height, in per cent."""

    name = forms.CharField(
        label="Name", max_length=80, error_messages=blank_words("Give the sheet a name")
    )
    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, others: Iterable[ProportionSheet] = (), **more: Any) -> None:
        self.others = {sheet.name_key for sheet in others}
        more.setdefault("auto_id", "proportions-%s")
        super().__init__(*args, **more)
        for key, words in ASKED.items():
            self.fields[key] = TenthsField(
                label=capfirst(words),
                required=True,
                error_messages=blank_words(f"Say the {words.split(',')[0]}"),
            )

    def clean_name(self) -> str:
        name = " ".join(str(self.cleaned_data["name"]).split())
        if name_key(name) in self.others:
            raise forms.ValidationError("There are proportions of this name already.")
        return name

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        if all(said.get(key) is not None for key in ASKED):
            for key, sentence in find_share_faults(self.shares()):
                self.add_error(key, as_sentence(sentence))
        return said

    def shares(self) -> dict[str, float]:
        """Shares of the height, of 1."""
        return {key: float(self.cleaned_data[key]) / 100 for key in ASKED}
