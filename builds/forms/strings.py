"""Forms of controls and strings, of reaches, bridges, venues and another scale."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from builds.core.statics.strings import SETS
from builds.forms.tenths import TenthsField
from builds.models import BridgeCheck, Control, Drawing, Venue
from builds.services.bridges import bridge_problems
from builds.services.controls import StringPlace, control_problems
from company.models import Company
from scenes.forms.fields import (
    LengthField,
    WholeNumberField,
    add_problems,
    blank_words,
)

_COLUMNS = (
    "form", "tilt_deg", "weight_g", "line", "strength_n", "knot_factor_pct", "safety", "knot_mm",
    "spare_mm",
)  # fmt: skip
BLANK_ROWS = 3


class SetForm(forms.Form):
    """How many strings a usual set has."""

    strings = forms.TypedChoiceField(
        coerce=int, choices=[(n, f"{n} strings") for n in SETS], initial=9, label="A usual set of"
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "set-%s")
        super().__init__(*args, **more)


class ControlForm(forms.Form):
    """The control as it is held, the line, and every hole with where its string goes."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    form = forms.ChoiceField(choices=Control.Form, label="Control")
    tilt_deg = TenthsField(
        label="Held tilted, front down by, degrees", help_text="Front up is below nought."
    )
    weight_g = WholeNumberField(least=0, most=5000, noun="grams", label="The control weighs, g")
    line = forms.CharField(
        required=False, max_length=80, label="Line", help_text="What it is strung with."
    )
    strength_n = TenthsField(
        required=True,
        label="The line breaks at, newton",
        help_text="30 lb line: 133 N; 12 lb: 53 N. What the reel says, or what you pulled.",
    )
    knot_factor_pct = WholeNumberField(
        least=1, most=100, noun="per cent", label="A knot leaves of it, per cent",
        help_text="45 for overhand and reef knots. Bowline 60, two half hitches 75.",
    )  # fmt: skip
    safety = TenthsField(required=True, label="Safety factor")
    knot_mm = WholeNumberField(
        least=0, most=2000, noun="millimetres", label="For the knot at the figure, mm"
    )
    spare_mm = WholeNumberField(
        least=0, most=3000, noun="millimetres", label="To spare at the control, mm"
    )

    def __init__(
        self, *args: Any, control: Control, drawing: Drawing | None = None, **more: Any
    ) -> None:
        self.control = control
        rows = list(control.strings.all()) if control.pk else []
        initial = {name: getattr(control, name) for name in _COLUMNS}
        initial["version"] = control.version if control.pk else None
        self.numbers = range(len(rows) + BLANK_ROWS)
        for n, row in enumerate(rows):
            for name in ("name", "to_hole", "x_mm", "y_mm", "z_mm", "is_taut"):
                initial[f"{n}-{name}"] = getattr(row, name)
        more.setdefault("initial", initial)
        more.setdefault("auto_id", "control-%s")
        super().__init__(*args, **more)
        holes = [hole.name for hole in drawing.holes.all()] if drawing is not None else []
        for n in self.numbers:
            self._add_row(n, holes, rows[n].to_hole if n < len(rows) else "")

    def _add_row(self, n: int, holes: list[str], to_hole: str) -> None:
        words = f"String {n + 1}"
        self.fields[f"{n}-name"] = forms.CharField(
            required=False, max_length=40, label=f"{words}: hole of the control"
        )
        known = [*holes, *([to_hole] if to_hole and to_hole not in holes else [])]
        self.fields[f"{n}-to_hole"] = forms.ChoiceField(
            required=False,
            label=f"{words}: goes to",
            choices=[("", "no string"), *((name, name) for name in known)],
        )
        for axis, said in (("x", "forward of the grip"), ("y", "above it"), ("z", "to the side")):
            self.fields[f"{n}-{axis}_mm"] = TenthsField(label=f"{words}: mm {said}")
        self.fields[f"{n}-is_taut"] = forms.BooleanField(
            required=False, label=f"{words}: taut at rest"
        )

    @property
    def rows(self) -> list[list[Any]]:
        """The bound fields of each string."""
        names = ("name", "to_hole", "x_mm", "y_mm", "z_mm", "is_taut")
        return [[self[f"{n}-{name}"] for name in names] for n in self.numbers]

    @property
    def plain(self) -> list[Any]:
        """The bound fields of the control itself."""
        return [self[name] for name in _COLUMNS]

    def places(self) -> list[StringPlace]:
        """The strings that are wanted: a row without both names is none."""
        said = self.cleaned_data
        return [
            StringPlace(
                said.get(f"{n}-name") or "",
                said.get(f"{n}-to_hole") or "",
                *(said.get(f"{n}-{axis}_mm") or Decimal(0) for axis in "xyz"),
                bool(said.get(f"{n}-is_taut")),
            )
            for n in self._wanted
        ]

    @property
    def _wanted(self) -> list[int]:
        said = self.cleaned_data
        return [n for n in self.numbers if said.get(f"{n}-name") or said.get(f"{n}-to_hole")]

    def values(self) -> dict[str, Any]:
        """The control's own columns."""
        said = {name: self.cleaned_data.get(name) for name in _COLUMNS}
        said["tilt_deg"] = said["tilt_deg"] or Decimal(0)
        return said

    def clean(self) -> dict[str, Any]:
        super().clean()
        if set(self.errors) & set(_COLUMNS):
            return self.cleaned_data
        would_be = Control(guise=self.control.guise, **self.values())
        wanted = self._wanted
        for field, sentences in control_problems(would_be, self.places()).items():
            row, _, name = field.partition("-")
            at = f"{wanted[int(row)]}-{name}" if name and row.isdigit() else field
            add_problems(self, {at: sentences})
        return self.cleaned_data


class ReachForm(forms.Form):
    """How high somebody's hand holds a control above the bridge's floor."""

    name = forms.CharField(
        max_length=80,
        label="Who",
        error_messages=blank_words("Say who"),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    reach_mm = LengthField(
        required=False,
        label="Holds the control above the bridge's floor at",
        help_text="Elbow at a right angle. Blank forgets it.",
    )

    def __init__(self, *args: Any, company: Company, **more: Any) -> None:
        more.setdefault("auto_id", "reach-%s")
        super().__init__(*args, **more)
        reach: Any = self.fields["reach_mm"]
        reach.use_units(company)


class BridgeForm(forms.Form):
    """A bridge's new height; and first of all its rail and edge."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    bridge_mm = LengthField(
        required=True,
        label="Height of the bridge above the stage",
        error_messages=blank_words("Say how high it is"),
    )
    rail_mm = LengthField(
        required=False,
        label="Top of the guard rail above the bridge's floor",
        help_text="A rail that is good to lean on may be lower than one that keeps you from "
        "falling. 0: there is none.",
    )
    has_edge_board = forms.BooleanField(
        required=False, label="A board along every edge keeps tools and feet from going over"
    )
    looked_at_by = forms.CharField(
        required=False,
        max_length=80,
        label="Who is competent to judge it, and has looked at rail and edge",
        help_text="Asked for from a drop of 1.2 m on. Your local rules may ask sooner.",
    )

    def __init__(
        self,
        *args: Any,
        company: Company,
        bridge_mm: int | None,
        version: int,
        last: BridgeCheck | None = None,
        **more: Any,
    ) -> None:
        initial: dict[str, Any] = {"bridge_mm": bridge_mm, "version": version}
        if last is not None:
            initial |= {"rail_mm": last.rail_mm, "has_edge_board": last.has_edge_board}
        more["initial"] = {**initial, **more.get("initial", {})}
        more.setdefault("auto_id", "bridge-%s")
        super().__init__(*args, **more)
        for name in ("bridge_mm", "rail_mm"):
            field: Any = self.fields[name]
            field.use_units(company)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if data.get("bridge_mm") is not None:
            problems = bridge_problems(
                data["bridge_mm"], data.get("rail_mm"), data.get("looked_at_by") or ""
            )
            add_problems(self, problems)
        return self.cleaned_data

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class VenueForm(forms.Form):
    """Where the company plays."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    name = forms.CharField(max_length=80, error_messages=blank_words("A venue has a name"))
    note = forms.CharField(required=False, max_length=300)

    def __init__(self, *args: Any, venue: Venue | None = None, **more: Any) -> None:
        if venue is not None:
            initial = {"name": venue.name, "note": venue.note, "version": venue.version}
            more.setdefault("initial", initial)
        more.setdefault("auto_id", "venue-%s")
        super().__init__(*args, **more)


class ScaleForm(forms.Form):
    """Another scale, in per cent of what is drawn now."""

    percent = TenthsField(
        required=True,
        label="Per cent of the present size",
        error_messages=blank_words("Say how large"),
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "scale-%s")
        super().__init__(*args, **more)

    def clean_percent(self) -> Decimal:
        """Between a tenth and threefold."""
        percent: Decimal = self.cleaned_data["percent"]
        if percent is not None and not 10 <= percent <= 300:
            raise forms.ValidationError("From 10 to 300 per cent.")
        return percent
