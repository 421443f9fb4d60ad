"""Forms of a drawing's parts: sizes and material, stops of the joints, ballast."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, ClassVar

from django import forms

from builds.core.statics.woods import MATERIALS, WOOD
from builds.forms.tenths import TenthsField
from builds.models import Ballast, Drawing, DrawingPart
from builds.models.drawings import PartKind
from builds.services.parts import hanging_problems, part_problems
from scenes.forms.fields import WholeNumberField, add_problems, blank_words

_SIZES = ("top_x_mm", "top_y_mm", "bottom_x_mm", "bottom_y_mm", "width_mm", "depth_mm")
_MORE = ("width_low_mm", "depth_low_mm", "wall_mm", "hardware_g")


def material_choices() -> list[tuple[str, list[tuple[str, str]]]]:
    """Woods and casting materials with their densities, by sort."""
    sorts: dict[str, list[tuple[str, str]]] = {"Woods": [], "Casting materials": []}
    for row in MATERIALS.values():
        word = "Woods" if row.sort == WOOD else "Casting materials"
        sorts[word].append((row.key, f"{row.name}, {row.density_kg_m3} kg/m³"))
    return list(sorts.items())


class PartForm(forms.Form):
    """Where a part's axis runs, how wide and deep it is, and what it is made of."""

    field_order: ClassVar[list[str]] = ["version", "shape", "grain", *_SIZES]

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    shape = forms.ChoiceField(choices=DrawingPart.Shape, label="Shape")
    top_x_mm = TenthsField(required=True, label="Upper end, mm forward of the line of balance")
    top_y_mm = TenthsField(required=True, label="Upper end, mm above the floor")
    bottom_x_mm = TenthsField(required=True, label="Lower end, mm forward of the line of balance")
    bottom_y_mm = TenthsField(required=True, label="Lower end, mm above the floor")
    width_mm = TenthsField(required=True, label="Width across the figure, upper end or widest, mm")
    depth_mm = TenthsField(required=True, label="Depth in profile, upper end or deepest, mm")
    width_low_mm = TenthsField(label="Width at the lower end, mm")
    depth_low_mm = TenthsField(label="Depth at the lower end, mm")
    outline = forms.CharField(
        required=False,
        label="Outline in profile",
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="For the shape 'outline': points forward and up, as 0 480; 42 470; 30 300",
    )
    fullness_pct = WholeNumberField(
        least=1, most=100, noun="per cent", label="Of the block is left after rounding, per cent"
    )
    made_of = forms.ChoiceField(choices=DrawingPart.MadeOf, label="Made as")
    material = forms.ChoiceField(choices=material_choices, label="Of")
    density_kg_m3 = WholeNumberField(
        least=20,
        most=20000,
        noun="kilograms per cubic metre",
        required=False,
        label="Own density, kg/m³",
        help_text="Blank goes by the table. Boards differ by ten per cent: weigh the blank.",
    )
    wall_mm = TenthsField(
        label="Wall, mm", help_text="Of a casting, or of wood that is hollowed. Blank is solid."
    )
    hardware_g = TenthsField(label="Hooks, pins and eyes in it, g")
    grain = forms.ChoiceField(choices=DrawingPart.Grain, label="Grain runs")

    def __init__(self, *args: Any, drawing: Drawing, kind: str, **more: Any) -> None:
        self.drawing, self.kind = drawing, kind
        self.row = next((p for p in drawing.parts.all() if p.kind == kind), None)
        more.setdefault("initial", self._initial())
        more.setdefault("auto_id", "part-%s")
        super().__init__(*args, **more)
        if kind == PartKind.FOOT:
            for name, old, new in (("top", "Upper end", "Heel"), ("bottom", "Lower end", "Toe")):
                for axis in ("x", "y"):
                    field = self.fields[f"{name}_{axis}_mm"]
                    field.label = str(field.label).replace(old, new)

    def _initial(self) -> dict[str, Any]:
        row = self.row or DrawingPart()
        names = ("shape", "fullness_pct", "made_of", "material", "density_kg_m3", "grain")
        values = {name: getattr(row, name) for name in (*names, *_SIZES, *_MORE)}
        values["outline"] = "; ".join(f"{x:g} {y:g}" for x, y in row.outline or [])
        return {**values, "version": self.drawing.version}

    def clean_outline(self) -> list[list[float]] | None:
        """'0 480; 42 470' as pairs of numbers."""
        points = []
        for piece in self.cleaned_data["outline"].replace("\n", ";").split(";"):
            if not piece.strip():
                continue
            numbers = piece.replace(",", " ").split()
            try:
                x, y = (float(number) for number in numbers)
            except ValueError as wrong:
                said = f"'{piece.strip()[:20]}' is not a point: write two numbers, as 42 470"
                raise forms.ValidationError(f"{said}.") from wrong
            if not (abs(x) < 5000 and abs(y) < 5000):
                raise forms.ValidationError(f"'{piece.strip()[:20]}' is further off than 5 metres.")
            points.append([x, y])
        if len(points) > 200:
            raise forms.ValidationError(f"At most 200 points, not {len(points)}.")
        return points or None

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        if not set(_SIZES) & set(self.errors):
            row = DrawingPart(drawing=self.drawing, kind=self.kind, **self._values(data))
            add_problems(self, part_problems(row))
        return self.cleaned_data

    def _values(self, data: dict[str, Any]) -> dict[str, Any]:
        values = {
            name: value for name, value in data.items() if name in self.fields and name != "version"
        }
        values["hardware_g"] = values.get("hardware_g") or Decimal(0)
        values["fullness_pct"] = values.get("fullness_pct") or 80
        return values

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        return self._values(self.cleaned_data)


class HangingForm(forms.Form):
    """How much of the head its strings carry, how high it hangs, and every joint's stops."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    head_share_pct = WholeNumberField(
        least=0,
        most=100,
        noun="per cent",
        label="The head's strings carry of it at rest, per cent",
        help_text="0: the head is off its strings and falls within its stops.",
    )
    lift_mm = TenthsField(
        label="Hung higher than drawn by, mm",
        help_text="Blank or 0: the soles are where they are drawn, on the floor.",
    )

    def __init__(self, *args: Any, drawing: Drawing, **more: Any) -> None:
        self.drawing = drawing
        self.joints = list(drawing.joints.all())
        initial: dict[str, Any] = {
            "version": drawing.version,
            "head_share_pct": drawing.head_share_pct,
            "lift_mm": drawing.lift_mm,
        }
        for joint in self.joints:
            initial[f"{joint.kind}-held"] = joint.is_held
            initial[f"{joint.kind}-back"] = joint.stop_back_deg
            initial[f"{joint.kind}-forward"] = joint.stop_forward_deg
        more.setdefault("initial", initial)
        more.setdefault("auto_id", "hanging-%s")
        super().__init__(*args, **more)
        for joint in self.joints:
            name = joint.get_kind_display().capitalize()
            self.fields[f"{joint.kind}-held"] = forms.BooleanField(
                required=False, label=f"{name} held at the drawn bend"
            )
            for way in ("back", "forward"):
                self.fields[f"{joint.kind}-{way}"] = forms.IntegerField(
                    required=False,
                    label=f"{name} stops {way}, degrees from the drawing",
                    min_value=-360,
                    max_value=360,
                    error_messages={"invalid": "Whole degrees, or blank for no stop."},
                    widget=forms.TextInput(attrs={"inputmode": "numeric", "class": "tenths"}),
                )

    @property
    def rows(self) -> list[tuple[str, Any, Any, Any]]:
        """(joint's name, held, back, forward) as bound fields."""
        return [
            (str(j.get_kind_display()), self[f"{j.kind}-held"], self[f"{j.kind}-back"],
             self[f"{j.kind}-forward"])
            for j in self.joints
        ]  # fmt: skip

    def stops(self) -> dict[str, tuple[bool, int | None, int | None]]:
        """Held, back and forward by joint, as far as they can be read."""
        said = self.cleaned_data
        return {
            joint.kind: (
                bool(said.get(f"{joint.kind}-held")),
                said.get(f"{joint.kind}-back"),
                said.get(f"{joint.kind}-forward"),
            )
            for joint in self.joints
        }

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        share = data.get("head_share_pct")
        lift = data.get("lift_mm") or Decimal(0)
        problems = hanging_problems(50 if share is None else share, lift, self.stops())
        add_problems(self, problems)
        return self.cleaned_data

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {
            "head_share_pct": self.cleaned_data["head_share_pct"],
            "lift_mm": self.cleaned_data.get("lift_mm") or Decimal(0),
            "stops": self.stops(),
        }


class BallastForm(forms.Form):
    """Metal let into a part: how much, where, and which."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    mass_g = TenthsField(
        required=True, label="Weighs, g", error_messages=blank_words("Say how heavy it is")
    )
    x_mm = TenthsField(required=True, label="mm forward of the line (behind: below nought)")
    y_mm = TenthsField(required=True, label="mm above the floor")
    part = forms.ChoiceField(choices=PartKind, label="Let into the", initial=PartKind.TORSO)
    metal = forms.ChoiceField(
        choices=Ballast.Metal,
        label="Of",
        help_text="Brass or steel. Lead is a poison: only where nothing else fits.",
    )
    words = forms.CharField(
        required=False,
        max_length=80,
        label="Where, in words",
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "ballast-%s")
        super().__init__(*args, **more)
