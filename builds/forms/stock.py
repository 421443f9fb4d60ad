"""Forms of lots on the shelf, and of the amounts typed for a mould."""

from __future__ import annotations

from typing import Any

from django import forms

from builds.core.casting.values import Kind
from builds.forms.amounts_typed import read_amount, unit_typed, write_amount
from builds.models import Lot, MouldAmounts
from builds.queries.materials import Materials
from builds.services.mould_materials import TYPED
from builds.services.stock import COLUMNS, lot_problems
from company.core.measures import format_volume, parse_volume
from company.forms.fields import DayField, add_found, as_sentence, blank
from company.models import Company
from scenes.forms.fields import LengthField, MassField, MeasureField, WholeNumberField

# As the groups of fields stand below the question.
WAYS = (
    MouldAmounts.Way.SIZE,
    MouldAmounts.Way.WATER,
    MouldAmounts.Way.WEIGHT,
    MouldAmounts.Way.KNOWN,
)


class VolumeField(MeasureField):
    """A volume as '860', '1.2 l' or '29 fl oz'; whole millilitres inside."""

    def read(self, text: str) -> int:
        return parse_volume(text, is_metric=self.is_metric)

    def write(self, value: int) -> str:
        return format_volume(value, is_metric=self.is_metric)


class LotForm(forms.Form):
    """One bucket, bag or bottle."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    material = forms.ChoiceField(
        label="What is in it", error_messages=blank("Choose one of the materials.")
    )
    code = forms.CharField(
        label="Lot",
        max_length=40,
        error_messages=blank("Write the lot from the label, or a number of your own."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    left = forms.CharField(
        label="How much is left",
        max_length=40,
        error_messages=blank("Say how much is left: 3.8 l, 5 kg."),
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        help_text="With its unit: 3.8 l, 5 kg, 2 qt.",
    )
    opened_on = DayField(label="Opened on", required=False)
    best_before = DayField(label="Best before", required=False)
    place = forms.CharField(label="Where it stands", max_length=80, required=False)
    note = forms.CharField(label="Note", max_length=200, required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        company: Company,
        lot: Lot | None = None,
        known: Materials | None = None,
    ) -> None:
        self.company, self.lot = company, lot
        self.is_metric = company.units == Company.Units.METRIC
        self.known = known or Materials(company)
        initial: dict[str, Any] = {}
        if lot is not None:
            plain = ("code", "opened_on", "best_before", "place", "note", "version")
            initial = {name: getattr(lot, name) for name in plain}
            initial["left"] = write_amount(lot.left, lot.unit, is_metric=self.is_metric)
        super().__init__(data, initial=initial, auto_id="lot-%s")
        if lot is not None:
            del self.fields["material"]
        else:
            words = {Kind.CAST: "to cast in", Kind.MOULD: "to mould in", Kind.SCULPT: "to sculpt"}
            self.fields["material"].choices = [
                ("", "choose"),
                *(
                    (word, [(f"{k}/{key}", name) for key, name in self.known.choices(k)])
                    for k, word in words.items()
                ),
            ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        values = self._columns(data)
        tried = Lot(
            company=self.company,
            pk=self.lot.pk if self.lot else None,
            **{"left": 0, "unit": Lot.Unit.G, **values},
        )
        add_found(self, lot_problems(tried))
        return self.cleaned_data

    def _columns(self, data: dict[str, Any]) -> dict[str, Any]:
        """The columns, with the amount read by the unit that was typed or is usual."""
        values = {name: data[name] for name in COLUMNS if name in data and name != "left"}
        if self.lot is not None:
            values["kind"], values["material"] = self.lot.kind, self.lot.material
        else:
            kind, _, key = data.get("material", "").partition("/")
            values["kind"], values["material"] = kind, key
        if data.get("left"):
            try:
                values["unit"], values["left"] = self._read_left(data["left"], values)
            except ValueError as wrong:
                self.add_error("left", as_sentence(str(wrong)))
        return values

    def _read_left(self, text: str, values: dict[str, Any]) -> tuple[str, int]:
        unit = self.lot.unit if self.lot else unit_typed(text) or self._usual_unit(values)
        return unit, read_amount(text, unit, is_metric=self.is_metric)

    def _usual_unit(self, values: dict[str, Any]) -> str:
        if not values.get("kind"):
            return Lot.Unit.G
        material = self.known.find(values["kind"], values["material"])
        is_volume = material is not None and material.measured_by == "volume"
        return Lot.Unit.ML if is_volume else Lot.Unit.G

    def values(self) -> dict[str, Any]:
        """The columns."""
        return self._columns(self.cleaned_data)


class AmountsForm(forms.Form):
    """What was measured of a part and of its mould box, in the units of the company."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    way = forms.ChoiceField(
        label="How do you know the volume of the part?",
        choices=[(way.value, way.label) for way in WAYS],
        widget=forms.RadioSelect,
    )
    length_mm = LengthField(label="Depth", required=False)
    width_mm = LengthField(label="Width", required=False)
    height_mm = LengthField(label="Height", required=False)
    before_ml = VolumeField(label="Water before", required=False)
    after_ml = VolumeField(label="With the part under", required=False)
    mass_g = MassField(label="The sculpt weighs", required=False)
    density_kg_m3 = WholeNumberField(
        least=10, most=25_000, noun="grams a litre", label="Density, g per litre", required=False
    )
    known_ml = VolumeField(label="Volume", required=False)
    box_length_mm = LengthField(label="Length", required=False)
    box_width_mm = LengthField(label="Width", required=False)
    box_height_mm = LengthField(label="Height", required=False)
    second_per_100 = forms.DecimalField(
        required=False,
        max_digits=6,
        decimal_places=2,
        error_messages=dict.fromkeys(
            ("invalid", "max_digits", "max_decimal_places", "max_whole_digits"),
            "A number, such as 70.",
        ),
    )
    waste_percent = WholeNumberField(
        least=0, most=100, noun="hundredths", label="Waste, %", required=False
    )
    stays_percent = WholeNumberField(
        least=1, most=100, noun="hundredths", label="Stays in the mould, %", required=False
    )

    def __init__(
        self,
        data: Any = None,
        *,
        company: Company,
        amounts: MouldAmounts | None,
        is_plaster: bool,
        is_slip: bool,
    ) -> None:
        initial: dict[str, Any] = {"version": 0, "way": "size", "waste_percent": 10}
        if amounts is not None:
            initial = {name: getattr(amounts, name) for name in TYPED}
            initial["version"] = amounts.version
        super().__init__(data, initial=initial, auto_id="amount-%s")
        for field in self.fields.values():
            if isinstance(field, MeasureField):
                field.use_units(company)
        self.fields["second_per_100"].label = (
            "Water to 100 of plaster" if is_plaster else "Second part to 100 of the first"
        )
        if not is_slip:
            self.fields["stays_percent"].label = "Hollow: filled to, %"

    def values(self) -> dict[str, Any]:
        """For the service."""
        return {name: self.cleaned_data[name] for name in TYPED if name in self.cleaned_data}
