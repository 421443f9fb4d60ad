"""Forms of the mould shelf: a pour, how its castings came out, where each is, and the mould."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any
from zoneinfo import ZoneInfo

from django import forms
from django.core.exceptions import ValidationError

from builds.models import Casting, Figure, Mould, Pour
from builds.services.results import Verdict
from company.forms.fields import HoursField, ReadField
from company.models import Maker
from company.queries import makers_of
from scenes.forms.fields import WholeNumberField
from scenes.models import Show

RESULTS = Casting.Result


class InstantField(forms.DateTimeField):
    """A day and a time on the company's clock; an instant in UTC inside. Blank may mean now."""

    def __init__(self, *, zone: str, **more: Any) -> None:
        self.zone = ZoneInfo(zone)
        super().__init__(
            widget=forms.DateTimeInput(
                format="%Y-%m-%dT%H:%M", attrs={"type": "datetime-local", "step": "60"}
            ),
            input_formats=["%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:%S", "%Y-%m-%d %H:%M"],
            error_messages={"invalid": "Write day and time as 2027-05-11 09:30."},
            **more,
        )

    def to_python(self, value: Any) -> datetime | None:
        if value in self.empty_values:
            return None
        for form in self.input_formats:
            try:
                naive = datetime.strptime(str(value).strip(), form)  # noqa: DTZ007
            except ValueError:
                continue
            if not 1990 <= naive.year <= 2100:
                raise ValidationError(f"{naive.year} is out of reach: days run from 1990 to 2100.")
            return naive.replace(tzinfo=self.zone).astimezone(UTC)
        raise ValidationError(self.error_messages["invalid"], code="invalid")

    def prepare_value(self, value: Any) -> Any:
        if isinstance(value, datetime):
            return value.astimezone(self.zone).strftime("%Y-%m-%dT%H:%M")
        return value


class MouldChoice(forms.ModelChoiceField):
    """A mould, said as it stands on the shelf."""

    def label_from_instance(self, obj: Any) -> str:
        number = f", mould {obj.number}" if obj.number > 1 else ""
        return f"{obj.pattern.name}{number}"


class PourForm(forms.Form):
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

    def __init__(self, *args: Any, show: Show, is_lead: bool, **more: Any) -> None:
        more.setdefault("auto_id", "pour-%s")
        super().__init__(*args, **more)
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


class PourEditForm(forms.Form):
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

    def __init__(self, *args: Any, pour: Pour, **more: Any) -> None:
        names = ("version", "lot", "mix", "drain_min", "open_min", "cure_min", "note")
        more.setdefault("initial", {name: getattr(pour, name) for name in names})
        more.setdefault("auto_id", "write-%s")
        super().__init__(*args, **more)

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class OutForm(forms.Form):
    """How each casting of a pour came out, all of them at once."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, pour: Pour, castings: list[Casting], **more: Any) -> None:
        more.setdefault("auto_id", "out-%s")
        more.setdefault("initial", {"version": pour.version})
        super().__init__(*args, **more)
        self.castings = castings
        self.fields["opened_at"] = InstantField(
            zone=pour.mould.pattern.show.company.time_zone,
            label="Opened at",
            required=False,
            help_text="Blank: just now.",
        )
        for casting in castings:
            add_verdict(self, casting)

    @property
    def rows(self) -> list[dict[str, Any]]:
        """A casting with its bound fields."""
        return [{"casting": casting, **verdict_fields(self, casting)} for casting in self.castings]

    def verdicts(self) -> list[Verdict]:
        """What was said of each casting."""
        return [verdict_of(self.cleaned_data, casting) for casting in self.castings]


class JudgeForm(forms.Form):
    """One casting judged again."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, casting: Casting, **more: Any) -> None:
        more.setdefault("auto_id", "judge-%s")
        more.setdefault(
            "initial",
            {
                "version": casting.version,
                f"result_{casting.pk}": casting.result,
                f"reason_{casting.pk}": casting.reason,
                f"use_{casting.pk}": casting.figure_id is not None,
            },
        )
        super().__init__(*args, **more)
        self.casting = casting
        add_verdict(self, casting)

    @property
    def rows(self) -> list[dict[str, Any]]:
        """The one casting with its bound fields."""
        return [{"casting": self.casting, **verdict_fields(self, self.casting)}]

    def verdict(self) -> Verdict:
        """What is said of it now."""
        return verdict_of(self.cleaned_data, self.casting)


def add_verdict(form: forms.Form, casting: Casting) -> None:
    """The fields that say how a casting came out."""
    form.fields[f"result_{casting.pk}"] = forms.ChoiceField(
        label=f"How {casting} came out",
        choices=RESULTS.choices,
        widget=forms.RadioSelect,
        error_messages={
            "required": f"Say how {casting} came out: good, flawed or thrown out.",
            "invalid_choice": "Good, flawed or thrown out.",
        },
    )
    form.fields[f"reason_{casting.pk}"] = forms.CharField(
        label="What is wrong with it",
        required=False,
        max_length=200,
        widget=forms.TextInput(attrs={"autocomplete": "off", "list": "flaws", "maxlength": "200"}),
    )
    form.fields[f"place_{casting.pk}"] = forms.CharField(
        label="Where it lies",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": "80"}),
    )
    form.fields[f"use_{casting.pk}"] = forms.BooleanField(
        label="flawed, and used all the same", required=False
    )


def verdict_fields(form: forms.Form, casting: Casting) -> dict[str, Any]:
    """The bound fields of one casting, by name."""
    return {name: form[f"{name}_{casting.pk}"] for name in ("result", "reason", "place", "use")}


def verdict_of(given: dict[str, Any], casting: Casting) -> Verdict:
    """The fields of one casting as a verdict."""
    return Verdict(
        casting,
        given[f"result_{casting.pk}"],
        given[f"reason_{casting.pk}"],
        given[f"place_{casting.pk}"],
        given[f"use_{casting.pk}"],
    )


class PutForm(forms.Form):
    """Where a casting goes: into a figure, to a place, or in exchange for another casting."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    figure = forms.ModelChoiceField(
        label="Into the figure",
        queryset=Figure.objects.none(),
        required=False,
        empty_label="no figure",
        error_messages={"invalid_choice": "Choose a figure of this head's guises."},
    )
    place = forms.CharField(
        label="Or to a place",
        required=False,
        max_length=80,
        widget=forms.TextInput(attrs={"autocomplete": "off", "maxlength": "80"}),
    )
    other = forms.ModelChoiceField(
        label="Or change places with",
        queryset=Casting.objects.none(),
        required=False,
        empty_label="no other casting",
        error_messages={"invalid_choice": "Choose a casting of the same mould."},
    )

    def __init__(self, *args: Any, casting: Casting, **more: Any) -> None:
        more.setdefault("auto_id", "put-%s")
        more.setdefault("initial", {"version": casting.version})
        super().__init__(*args, **more)
        figures: Any = self.fields["figure"]
        figures.queryset = (
            Figure.objects.filter(guise__parts__pattern=casting.pattern_id)
            .exclude(pk=casting.figure_id)
            .exclude(state=Figure.State.STRUCK)
            .distinct()
        )
        others: Any = self.fields["other"]
        others.queryset = (
            Casting.objects.filter(pattern=casting.pattern_id, struck_at=None)
            .exclude(result=None)
            .exclude(result=RESULTS.THROWN)
            .exclude(pk=casting.pk)
            .select_related("pattern", "figure")
        )

    def clean(self) -> dict[str, Any]:
        given: dict[str, Any] = super().clean() or {}
        named = [name for name in ("figure", "place", "other") if given.get(name)]
        if len(named) > 1:
            raise ValidationError("One of the three: a figure, a place, or another casting.")
        if not named and not self.errors:
            raise ValidationError("Say where it goes: a figure, a place, or another casting.")
        return given


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
