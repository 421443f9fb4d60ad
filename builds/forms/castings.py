"""Forms of castings: how they came out of the mould, and where each goes."""

from __future__ import annotations

from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from builds.forms.instants import InstantField
from builds.models import Casting, Figure, Pour
from builds.services.results import Verdict

RESULTS = Casting.Result


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
        label="Where it lies, if in no figure",
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
