"""Forms of a figure: what is written on it, one more of it, whose head it borrows; and filters."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.models import Figure, Part
from scenes.forms.fields import DayField, WholeNumberField, blank_words
from scenes.models import Costume, Guise, Show


class FigureForm(forms.Form):
    """Where it lies and a note; for the lead also its own date and how much that matters."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    place = forms.CharField(
        label="Where it lies",
        max_length=80,
        required=False,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    note = forms.CharField(
        label="Note", max_length=4000, required=False, widget=forms.Textarea(attrs={"rows": 4})
    )
    needed_by = DayField(
        label="Wanted by",
        required=False,
        help_text="Blank follows its scenes, then the show, then the opening.",
    )
    weight = WholeNumberField(
        least=1,
        most=9,
        noun="weight",
        label="How much its date matters",
        help_text="1 is as usual, 9 goes before all others.",
    )

    def __init__(self, *args: Any, figure: Figure, is_lead: bool, **more: Any) -> None:
        names = ("version", "place", "note", "needed_by", "weight")
        more.setdefault("initial", {name: getattr(figure, name) for name in names})
        more.setdefault("auto_id", "figure-%s")
        super().__init__(*args, **more)
        if not is_lead:
            del self.fields["needed_by"], self.fields["weight"]

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class WearChoice(forms.ModelChoiceField):
    """A costume, said with the guise that wears it."""

    def label_from_instance(self, obj: Any) -> str:
        return f"{obj.guise}, {obj.name}"


class FigureAddForm(forms.Form):
    """One figure more than the plot needs."""

    TWIN = "twin"

    wears = WearChoice(
        label="Which",
        queryset=Costume.objects.none(),
        empty_label="Choose guise and costume",
        error_messages={
            **blank_words("Choose which guise it is, and what it wears"),
            "invalid_choice": "Choose a costume of this show.",
        },
    )
    sort = forms.ChoiceField(
        label="What for",
        choices=[(TWIN, "to play with: it counts among the figures"),
                 (Figure.Extent.WHOLE, "a spare figure: counted apart, first to go"),
                 (Figure.Extent.HEAD_HANDS, "a spare head with its hands"),
                 (Figure.Extent.HEAD, "a spare head")],
        initial=TWIN,
    )  # fmt: skip

    def __init__(self, *args: Any, show: Show, **more: Any) -> None:
        more.setdefault("auto_id", "more-%s")
        super().__init__(*args, **more)
        field: Any = self.fields["wears"]
        field.queryset = (
            Costume.objects.filter(guise__character__show=show)
            .select_related("guise__character")
            .order_by("guise__character__position", "guise__position", "position")
        )

    def asked(self) -> dict[str, Any]:
        """What `add_figure` is asked for."""
        costume, sort = self.cleaned_data["wears"], self.cleaned_data["sort"]
        is_spare = sort != self.TWIN
        extent = sort if is_spare else Figure.Extent.WHOLE
        return {"guise": costume.guise, "costume": costume, "is_spare": is_spare, "extent": extent}


class BorrowForm(forms.Form):
    """Whose head, hands or body a guise borrows."""

    part = forms.ChoiceField(label="Borrows the", choices=Part.choices)
    lender = forms.ModelChoiceField(
        label="of",
        queryset=Guise.objects.none(),
        empty_label="nobody: it has its own",
        required=False,
    )

    def __init__(self, *args: Any, guise: Guise, **more: Any) -> None:
        more.setdefault("auto_id", "borrow-%s")
        super().__init__(*args, **more)
        field: Any = self.fields["lender"]
        field.queryset = (
            Guise.objects.filter(character__show=guise.character.show_id, kind=guise.kind)
            .exclude(pk=guise.pk)
            .select_related("character")
            .order_by("character__position", "position")
        )
