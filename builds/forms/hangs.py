"""Forms of what is recorded of a hanging figure: weights, trial hangs, how a costume sits."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from builds.forms.tenths import TenthsField
from builds.models import CostumeFit, Figure
from builds.models.drawings import PartKind
from builds.services.hangs import fit_problems
from scenes.forms.fields import WholeNumberField, add_problems, blank_words
from scenes.models import Costume


class PlaceForm(forms.Form):
    """Where ballast is to be tried, and in which costume."""

    x = TenthsField(label="mm forward of the line (behind: below nought)")
    y = TenthsField(label="mm above the floor")
    costume = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "try-%s")
        super().__init__(*args, **more)


class WeighForm(forms.Form):
    """One piece on the scale; and, if it was balanced, where its balance point is drawn."""

    part = forms.ChoiceField(choices=PartKind, label="Part")
    mass_g = TenthsField(
        required=True,
        label="Weighs, g",
        help_text="One piece with its hooks and pins, without ballast and without cloth.",
        error_messages=blank_words("Say what it weighs"),
    )
    centre_x_mm = TenthsField(
        label="Balances at, mm forward of the line",
        help_text="Where its balance point lies on the drawing; blank where it was not balanced.",
    )
    centre_y_mm = TenthsField(label="Balances at, mm above the floor")
    note = forms.CharField(
        required=False, max_length=200, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def __init__(self, *args: Any, parts: list[str] | None = None, **more: Any) -> None:
        more.setdefault("auto_id", "weigh-%s")
        super().__init__(*args, **more)
        if parts:
            field: Any = self.fields["part"]
            field.choices = [(kind.value, kind.label) for kind in PartKind if kind in parts]


class TrialForm(forms.Form):
    """A measured lean of a figure on the test control."""

    FORWARD, BACK = "forward", "back"

    lean_deg = TenthsField(
        required=True,
        label="Leans, degrees from the drawing",
        help_text="By plumb line against the drawing: 0 is as drawn, not upright.",
        error_messages=blank_words("Say how far it leans"),
    )
    side = forms.ChoiceField(
        choices=[(FORWARD, "forward"), (BACK, "back")], label="Which way", initial=FORWARD
    )
    within_deg = TenthsField(label="Good to, degrees", help_text="Blank is 1 degree.")
    costume = forms.ModelChoiceField(
        queryset=Costume.objects.none(), required=False, empty_label="bare", label="In"
    )
    head_share_pct = WholeNumberField(
        least=0,
        most=100,
        noun="per cent",
        required=False,
        label="The head's strings carried, per cent",
        help_text="Blank as on the drawing.",
    )
    note = forms.CharField(
        required=False, max_length=300, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )

    def __init__(self, *args: Any, figure: Figure, **more: Any) -> None:
        more.setdefault("auto_id", "trial-%s")
        super().__init__(*args, **more)
        field: Any = self.fields["costume"]
        field.queryset = Costume.objects.filter(guise=figure.guise)

    def clean_lean_deg(self) -> Decimal:
        """Degrees without a sign: the way is said beside them."""
        lean: Decimal = self.cleaned_data["lean_deg"]
        if lean is not None and lean < 0:
            raise forms.ValidationError("Nought or more: which way it leans is said beside it.")
        return lean

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        said = dict(self.cleaned_data)
        if said.pop("side") == self.BACK:
            said["lean_deg"] = -said["lean_deg"]
        said["within_deg"] = said["within_deg"] or Decimal(1)
        return said


class FitForm(forms.Form):
    """How a costume's weight sits on the body, and what stiff cloth holds."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    torso_pct = WholeNumberField(least=0, most=100, noun="per cent", label="On the torso, per cent")
    head_pct = WholeNumberField(least=0, most=100, noun="per cent", label="On the head, per cent")
    arms_pct = WholeNumberField(least=0, most=100, noun="per cent", label="On both arms, per cent")
    legs_pct = WholeNumberField(least=0, most=100, noun="per cent", label="On both legs, per cent")
    forward_mm = TenthsField(
        label="Its weight on the torso lies forward of the torso's own by, mm",
        help_text="Behind is below nought: a cape, a pack.",
    )
    holds_hips = forms.BooleanField(
        required=False, label="So stiff that it holds the hips as drawn"
    )
    holds_shoulders = forms.BooleanField(
        required=False, label="So stiff that it holds the shoulders as drawn"
    )

    def __init__(self, *args: Any, fit: CostumeFit, **more: Any) -> None:
        self.fit = fit
        names = ("torso_pct", "head_pct", "arms_pct", "legs_pct", "forward_mm", "holds_hips",
                 "holds_shoulders", "version")  # fmt: skip
        more.setdefault("initial", {name: getattr(fit, name) for name in names})
        more.setdefault("auto_id", "fit-%s")
        super().__init__(*args, **more)

    def clean(self) -> dict[str, Any]:
        super().clean()
        if not self.errors:
            add_problems(self, fit_problems(CostumeFit(costume=self.fit.costume, **self.values())))
        return self.cleaned_data

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        said = {name: value for name, value in self.cleaned_data.items() if name != "version"}
        said["forward_mm"] = said.get("forward_mm") or Decimal(0)
        return said
