"""Forms of roles, guises and costumes."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from django import forms

from company.core.names import tidy_name
from company.models import Company
from scenes.forms.fields import (
    DayField,
    HoursField,
    LengthField,
    MassField,
    MeasureField,
    WholeNumberField,
    add_problems,
    blank_words,
)
from scenes.models import Character, Costume, Guise, Kind, Show
from scenes.services.costumes import TINTS, CostumeValues, costume_problems, next_tint
from scenes.services.guards import are_letters_fixed
from scenes.services.guises import GuiseValues, guise_problems
from scenes.services.roles import role_problems

PLAIN = {"autocomplete": "off"}
MOST_COSTUMES = 30
TINT_NAMES = {1: "slate", 2: "straw", 3: "sea", 4: "heather", 5: "brick", 6: "moss"}
GUISE_COLUMNS = (
    "name",
    "kind",
    "height_mm",
    "head_mm",
    "scale",
    "words",
    "colours",
    "has_working",
    "on_one",
    "further_min",
    "people",
    "chosen_by",
    "note",
)
COSTUME_COLUMNS = ("name", "tint", "sewing_min", "weight_g", "matters")


class CostumeNamesField(forms.CharField):
    """Names of costumes, one after the other, with commas between."""

    def __init__(self, **more: Any) -> None:
        super().__init__(max_length=400, widget=forms.TextInput(attrs=PLAIN), **more)

    def clean(self, value: Any) -> list[str]:  # type: ignore[override]
        text = super().clean(value)
        names = [tidy_name(name) for name in text.replace(";", ",").split(",")]
        names = [name for name in names if name]
        if len(names) > MOST_COSTUMES:
            raise forms.ValidationError(f"At most {MOST_COSTUMES} at a time, not {len(names)}.")
        for name in names:
            if len(name) > 80:
                raise forms.ValidationError(f"'{name[:20]}…' is longer than 80 letters.")
        return names


class RoleForm(forms.Form):
    """A role with its first guise and costumes, typed in one line."""

    name = forms.CharField(
        label="Role",
        max_length=80,
        error_messages=blank_words("A role needs a name"),
        widget=forms.TextInput(attrs=PLAIN),
    )
    letters = forms.CharField(max_length=12, required=False, widget=forms.TextInput(attrs=PLAIN))
    guise = forms.CharField(max_length=80, required=False, widget=forms.TextInput(attrs=PLAIN))
    kind = forms.ChoiceField(choices=Kind.choices, initial=Kind.STRING)
    costumes = CostumeNamesField(label="Costumes, with commas", required=False)

    def __init__(self, *args: Any, show: Show, **more: Any) -> None:
        self.show = show
        more.setdefault("auto_id", "role-new-%s")
        super().__init__(*args, **more)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        problems = role_problems(
            show=self.show,
            name=data.get("name", ""),
            letters=data.get("letters", ""),
            guise=data.get("guise", ""),
        )
        add_problems(self, problems)
        return self.cleaned_data


class RoleEditForm(forms.Form):
    """Name and letters of a role."""

    name = forms.CharField(
        label="Role", max_length=80, error_messages=blank_words("A role needs a name"),
        widget=forms.TextInput(attrs=PLAIN),
    )  # fmt: skip
    letters = forms.CharField(
        max_length=12,
        error_messages=blank_words("Letters are missing: write one to three, such as J or JT"),
        widget=forms.TextInput(attrs=PLAIN),
        help_text="They stand before the numbers of its figures.",
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, show: Show, character: Character, **more: Any) -> None:
        self.show, self.character = show, character
        more.setdefault("auto_id", f"role-{character.pk}-%s")
        names = ("name", "letters", "version")
        more.setdefault("initial", {name: getattr(character, name) for name in names})
        super().__init__(*args, **more)
        if are_letters_fixed(character):
            self.fields["letters"].disabled = True
            self.fields["letters"].help_text = "They stand inside figures, and are fixed for life."

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        problems = role_problems(
            show=self.show,
            name=data.get("name", ""),
            letters=data.get("letters", ""),
            character=self.character,
        )
        add_problems(self, problems)
        return self.cleaned_data


class NewGuiseForm(forms.Form):
    """One more guise of a role, typed in one line."""

    name = forms.CharField(
        label="Guise", max_length=80, required=False, widget=forms.TextInput(attrs=PLAIN)
    )
    kind = forms.ChoiceField(choices=Kind.choices, initial=Kind.STRING)
    costumes = CostumeNamesField(label="Costumes, with commas", required=False)

    def __init__(self, *args: Any, show: Show, character: Character, **more: Any) -> None:
        self.show, self.character = show, character
        more.setdefault("auto_id", f"role-{character.pk}-guise-%s")
        super().__init__(*args, **more)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        guise = Guise(character=self.character, name=tidy_name(data.get("name", "")))
        add_problems(self, guise_problems(show=self.show, guise=guise))
        return self.cleaned_data


class GuiseForm(forms.Form):
    """Everything that is said of a guise."""

    name = forms.CharField(
        max_length=80,
        required=False,
        help_text="An age, a posture, a state: at sixty. Blank where the role has only one.",
        widget=forms.TextInput(attrs=PLAIN),
    )
    kind = forms.ChoiceField(
        choices=Kind.choices, help_text="Sets the route at the bench, and the hands it needs."
    )
    height_mm = LengthField(label="Height", required=False)
    head_mm = LengthField(label="Height of the head", required=False)
    scale = forms.DecimalField(
        max_digits=5, decimal_places=3, min_value=Decimal("0.01"), max_value=Decimal(50),
        required=False, help_text="1 where it is to the measure of the others; 0.5 is half of it.",
        error_messages={"invalid": "The scale is a number, such as 1 or 0.5."},
    )  # fmt: skip
    words = forms.CharField(
        label="Three words of character", max_length=120, required=False,
        help_text="They stand on every bench sheet.",
    )  # fmt: skip
    colours = forms.CharField(
        max_length=200, required=False, help_text="Of skin, hair and eyes, as you name your paints."
    )
    has_working = forms.BooleanField(label="Its eyes or mouth move", required=False)
    people = WholeNumberField(
        label="People who work it", least=1, most=9, noun="people", required=False,
        help_text="Blank: two for a table-top figure, one for any other.",
    )  # fmt: skip
    on_one = WholeNumberField(
        label="How many on one control", least=1, most=50, noun="figures", required=False,
        help_text="A crowd on one control is built, counted and played as one figure.",
    )  # fmt: skip
    further_min = HoursField(
        label="Hours per further one", required=False,
        help_text="What each one beyond the first takes; blank: as the route says.",
    )  # fmt: skip
    chosen_by = DayField(label="Sketch chosen by", required=False)
    note = forms.CharField(max_length=4000, required=False, widget=forms.Textarea({"rows": 4}))
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, show: Show, guise: Guise, **more: Any) -> None:
        self.show, self.guise = show, guise
        values = {name: getattr(guise, name) for name in (*GUISE_COLUMNS, "version")}
        more.setdefault("initial", values | {"scale": f"{guise.scale.normalize():f}"})
        more.setdefault("auto_id", "guise-%s")
        super().__init__(*args, **more)
        use_units(self, show.company)

    def clean(self) -> dict[str, Any]:
        super().clean()
        would_be = Guise(pk=self.guise.pk, character=self.guise.character)
        for name, value in self.values().items():
            if name not in self.errors:
                setattr(would_be, name, value)
        day = self.guise.chosen_by
        before: dict[str, object] = {"chosen_by": day.isoformat() if day else None}
        add_problems(self, guise_problems(show=self.show, guise=would_be, before=before))
        return self.cleaned_data

    def values(self) -> GuiseValues:
        """What the service takes; a blank scale is 1."""
        values = {name: self.cleaned_data.get(name) for name in GUISE_COLUMNS}
        if values["scale"] is None:
            values["scale"] = Decimal(1)
        values["on_one"] = values["on_one"] or 1
        values["further_min"] = values["further_min"] or 0
        values["name"] = tidy_name(values["name"] or "")
        return values  # type: ignore[return-value]


class CostumeForm(forms.Form):
    """One costume; without `costume` a new one of the guise."""

    name = forms.CharField(
        label="Costume",
        max_length=80,
        error_messages=blank_words("A costume needs a name, such as smock"),
        widget=forms.TextInput(attrs=PLAIN),
    )
    tint = forms.TypedChoiceField(
        label="Colour in the plot", choices=list(TINT_NAMES.items()), coerce=int,
        widget=forms.RadioSelect,
    )  # fmt: skip
    sewing_min = HoursField(label="Hours to sew", required=False, help_text="12 h unless said.")
    weight_g = MassField(label="Weight", required=False)
    matters = forms.BooleanField(
        label="This one matters: never proposed to be left out", required=False
    )
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(
        self, *args: Any, show: Show, guise: Guise, costume: Costume | None = None, **more: Any
    ) -> None:
        self.guise, self.costume = guise, costume
        more.setdefault("auto_id", f"costume-{costume.pk if costume else 'new'}-%s")
        if costume is None:
            more.setdefault("initial", {"tint": next_tint(show)})
        else:
            names = (*COSTUME_COLUMNS, "version")
            more.setdefault("initial", {name: getattr(costume, name) for name in names})
        super().__init__(*args, **more)
        use_units(self, show.company)

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        name = tidy_name(data.get("name", ""))
        pk = self.costume.pk if self.costume else None
        costume = Costume(pk=pk, guise=self.guise, name=name, tint=data.get("tint") or 1)
        assert 1 <= costume.tint <= TINTS
        add_problems(self, costume_problems(costume=costume))
        return self.cleaned_data

    def values(self) -> CostumeValues:
        """What the service takes; the form must be valid."""
        return {name: self.cleaned_data[name] for name in COSTUME_COLUMNS}  # type: ignore[return-value]


def use_units(form: forms.Form, company: Company) -> None:
    """Lengths and weights of the form are read and written as the company measures."""
    for field in form.fields.values():
        if isinstance(field, MeasureField):
            field.use_units(company)
