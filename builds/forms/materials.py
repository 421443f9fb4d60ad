"""Forms of materials: own materials, own pairs, and which three are chosen."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django import forms

from builds.core.casting.materials import materials_of
from builds.core.casting.pairs import Verdict
from builds.core.casting.values import Kind
from builds.forms.routes import WaitField
from builds.models import Mould, OwnMaterial, OwnPair
from builds.models.materials import MaterialKind, MeasuredBy
from builds.queries.materials import Materials
from builds.services.materials import (
    MATERIAL_COLUMNS,
    TABLE_KINDS,
    material_problems,
    pair_problems,
)
from company.forms.fields import ReadField, add_found, blank
from company.models import Company
from scenes.forms.fields import WholeNumberField

NOT_CHOSEN = "not chosen yet"
PLAIN = {"autocomplete": "off"}


class ShrinkageField(ReadField):
    """A shrinkage as '10', '0.5 %' or '-0.2'; thousandths of a length inside."""

    def read(self, text: str) -> int:
        plain = text.strip().removesuffix("%").strip().replace(",", ".").replace("\u2212", "-")
        try:
            permille = Decimal(plain) * 10
        except InvalidOperation:
            raise ValueError(f"'{text.strip()[:20]}' is not a shrinkage: write 10 or 0.5") from None
        if not permille.is_finite() or not -500 < permille < 500:
            raise ValueError("a shrinkage lies between -49.9 and 49.9 %")
        if permille != permille.to_integral_value():
            raise ValueError("a shrinkage has one place behind the point at most")
        return int(permille)

    def write(self, value: int) -> str:
        return f"{Decimal(value) / 10:f}"


class OwnMaterialForm(forms.Form):
    """A material by its data sheet. What is blank is as the one it is like."""

    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    kind = forms.ChoiceField(label="It is for", choices=[(k.value, k.label) for k in MaterialKind])
    name = forms.CharField(
        label="Name on the bucket",
        max_length=60,
        error_messages=blank("Give it the name that stands on the bucket."),
        widget=forms.TextInput(attrs=PLAIN),
    )
    like = forms.ChoiceField(
        label="It is like",
        required=False,
        help_text="What is left blank below, and what sets on it, is taken from there.",
    )
    density_kg_m3 = WholeNumberField(
        least=10, most=25_000, noun="grams a litre", label="Density, g per litre", required=False
    )
    shrinkage_permille = ShrinkageField(label="Shrinks, %", required=False)
    second_per_100 = forms.DecimalField(
        label="Second part to 100 of the first",
        required=False,
        max_digits=6,
        decimal_places=2,
        error_messages=dict.fromkeys(
            ("invalid", "max_digits", "max_decimal_places", "max_whole_digits"),
            "A number, such as 70 of water to 100 of plaster.",
        ),
    )
    mix_by = forms.ChoiceField(
        label="Parts by", required=False, choices=[("", "as the one it is like"),
                                                   *MeasuredBy.choices]
    )  # fmt: skip
    measured_by = forms.ChoiceField(
        label="Measured out by", required=False, choices=[("", "as the one it is like"),
                                                          *MeasuredBy.choices]
    )  # fmt: skip
    pot_min = WaitField(label="Pot life", required=False, help_text="3 min, 20 min, 1 h.")
    drain_min = WaitField(label="Poured out after", required=False, help_text="Slip: 4 h.")
    open_min = WaitField(label="Mould opened after", required=False)
    ready_min = WaitField(label="Hard, cured or dry after a further", required=False)
    stays_percent = WholeNumberField(
        least=1, most=100, noun="hundredths", label="Stays in the mould, %", required=False
    )
    life = WholeNumberField(
        least=1, most=10_000, noun="castings", label="A mould of it lasts, castings", required=False
    )
    care = forms.CharField(
        label="Cautions from its sheet",
        required=False,
        max_length=400,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
    gloves = forms.CharField(label="Which gloves", required=False, max_length=80)
    has_latex = forms.BooleanField(label="closed to people with a latex allergy", required=False)
    is_adults_only = forms.BooleanField(label="closed to people under 18", required=False)
    source = forms.CharField(label="From which data sheet", required=False, max_length=120)

    def __init__(
        self, data: Any = None, *, company: Company, material: OwnMaterial | None = None
    ) -> None:
        self.company, self.material = company, material
        initial: dict[str, Any] = {"kind": MaterialKind.CAST}
        if material is not None:
            initial = {name: getattr(material, name) for name in MATERIAL_COLUMNS}
            initial["version"] = material.version
        super().__init__(data, initial=initial, auto_id="own-%s")
        likes = {kind: [(m.key, m.name) for m in materials_of(kind)] for kind in MaterialKind}
        if material is not None:
            del self.fields["kind"]
            self.fields["like"].choices = [("", "none"), *likes[MaterialKind(material.kind)]]
        else:
            groups = [(f"{kind.label}", likes[kind]) for kind in MaterialKind]
            self.fields["like"].choices = [("", "none"), *groups]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        row = OwnMaterial(company=self.company, pk=self.material.pk if self.material else None)
        row.kind = self.material.kind if self.material else data.get("kind", "")
        for name in MATERIAL_COLUMNS:
            if name in data and name != "kind":
                setattr(row, name, data[name])
        add_found(self, material_problems(row))
        return self.cleaned_data

    def values(self) -> dict[str, Any]:
        """The columns."""
        data = self.cleaned_data
        return {name: data[name] for name in MATERIAL_COLUMNS if name in data}


class PairForm(forms.Form):
    """What the company found out about two materials."""

    table = forms.CharField(widget=forms.HiddenInput)
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)
    first = forms.ChoiceField()
    second = forms.ChoiceField()
    verdict = forms.ChoiceField(
        label="Does it set?",
        choices=[(v.value, v.value) for v in Verdict if v is not Verdict.UNKNOWN],
    )
    reason = forms.CharField(
        label="How you know",
        max_length=200,
        error_messages=blank("Say how you know: what was tried, when, with which lot."),
        widget=forms.TextInput(attrs=PLAIN),
    )
    way = forms.CharField(
        label="How to do it right, or the way round",
        max_length=200,
        required=False,
        widget=forms.TextInput(attrs=PLAIN),
    )

    def __init__(
        self,
        data: Any = None,
        *,
        company: Company,
        table: str,
        pair: OwnPair | None = None,
        known: Materials | None = None,
    ) -> None:
        self.company, self.pair = company, pair
        self.table = OwnPair.Table(table)
        initial: dict[str, Any] = {"table": table}
        if pair is not None:
            initial |= {name: getattr(pair, name) for name in ("verdict", "reason", "way")}
            initial["version"] = pair.version
        super().__init__(data, initial=initial, auto_id=f"pair-{table}-%s")
        if pair is not None:
            del self.fields["first"], self.fields["second"]
            return
        known = known or Materials(company)
        first, second = TABLE_KINDS[self.table]
        words = {"sculpt": "The sculpt is of", "mould": "The mould is of", "cast": "It is cast in"}
        for name, kind in (("first", first), ("second", second)):
            self.fields[name].choices = [("", NOT_CHOSEN), *known.choices(kind.value)]
            self.fields[name].label = words[kind.value]
            self.fields[name].error_messages["required"] = "Choose one of the materials."

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        row = self.pair or OwnPair(company=self.company, table=self.table)
        tried = OwnPair(company=self.company, table=self.table, pk=row.pk)
        for name in ("first", "second", "verdict", "reason", "way"):
            setattr(tried, name, data.get(name, getattr(row, name)))
        add_found(self, pair_problems(tried))
        return self.cleaned_data

    def values(self) -> dict[str, Any]:
        """The columns."""
        data = {name: self.cleaned_data[name] for name in ("verdict", "reason", "way")}
        if self.pair is None:
            data |= {name: self.cleaned_data[name] for name in ("first", "second")}
            data["table"] = self.table.value
        return data


class ChoiceOfThreeForm(forms.Form):
    """Sculpt, mould and casting material, to be told at once whether they set."""

    sculpt = forms.ChoiceField(label="Sculpted in", required=False)
    mould = forms.ChoiceField(label="Moulded in", required=False)
    cast = forms.ChoiceField(label="Cast in", required=False)

    def __init__(self, data: Any = None, *, known: Materials) -> None:
        super().__init__(data, auto_id="three-%s")
        for kind in Kind:
            self.fields[kind.value].choices = [("", NOT_CHOSEN), *known.choices(kind)]


class MouldMaterialsForm(forms.Form):
    """What one mould is sculpted, moulded and cast in."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    sculpt = forms.ChoiceField(label="Sculpted in", required=False)
    mould = forms.ChoiceField(label="Moulded in")
    cast = forms.ChoiceField(label="Cast in", required=False)
    shrinkage_permille = ShrinkageField(
        label="Your trial bar shrank, %",
        required=False,
        help_text="Blank: by the material. Pour a bar of 100 mm and measure what comes out.",
    )

    def __init__(self, data: Any = None, *, mould: Mould, known: Materials) -> None:
        initial = {
            "version": mould.version,
            "sculpt": mould.sculpt_material,
            "mould": mould.material,
            "cast": mould.casting_material,
            "shrinkage_permille": mould.shrinkage_permille,
        }
        super().__init__(data, initial=initial, auto_id="three-%s")
        for kind in Kind:
            stands = initial[kind.value]
            choices = known.choices(kind, keep=stands)
            if stands and stands not in dict(choices):
                choices.append((stands, f"{stands} (not known)"))
            first = [] if kind is Kind.MOULD else [("", NOT_CHOSEN)]
            self.fields[kind.value].choices = [*first, *choices]

    def values(self) -> dict[str, Any]:
        """For the service."""
        data = self.cleaned_data
        return {
            "sculpt": data["sculpt"],
            "moulded": data["mould"],
            "cast": data["cast"],
            "shrinkage_permille": data["shrinkage_permille"],
        }
