"""Forms of what lies behind the count: pins on figures, and ways between places."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django import forms

from scenes.forms.fields import HoursField, StageMinutesField
from scenes.forms.plot import VersionedForm
from scenes.models import Guise, Pin, Walk
from scenes.services.places import LONGEST_NAME
from scenes.services.rigs import LONGEST_NAME as RIG_LENGTH

StopKey = tuple[UUID, int]


class StopsField(forms.MultipleChoiceField):
    """Ticked appearances, each as key and copy: '<uuid>:1'."""

    def to_python(self, value: object) -> tuple[StopKey, ...]:  # type: ignore[override]
        stops = []
        for said in value if isinstance(value, list) else []:
            key, _, copy = str(said).partition(":")
            try:
                stops.append((UUID(key), int(copy) if copy.isascii() and copy.isdigit() else 0))
            except ValueError as error:
                words = "Tick appearances of the list. Load the page anew."
                raise forms.ValidationError(words) from error
        return tuple(stops)

    def validate(self, value: object) -> None:
        """The service knows which appearances there are, and that two are wanted."""


class PinForm(forms.Form):
    """Which of a guise's appearances are ticked, and what is wanted of them."""

    kind = forms.ChoiceField(
        choices=Pin.Kind.choices,
        error_messages=dict.fromkeys(
            ("required", "invalid_choice"), "Press one of the buttons: one figure, or two."
        ),
    )
    stops = StopsField(required=False)

    def __init__(self, *args: Any, guise: Guise, **more: Any) -> None:
        super().__init__(*args, **more)
        self.guise = guise

    @property
    def ticked(self) -> list[str]:
        """What was ticked, as it was sent."""
        return [str(value) for value in self["stops"].value() or []]

    @property
    def sentences(self) -> list[str]:
        """Everything that is wrong."""
        return [sentence for errors in self.errors.values() for sentence in errors]

    def take_problems(self, problems: Mapping[str, list[str]]) -> None:
        """Put what the service refused beside its fields."""
        for name, sentences in problems.items():
            self.add_error(name if name in self.fields else None, sentences)


class WalkForm(forms.Form):
    """A new way from one place to another."""

    from_place = forms.CharField(
        label="From", max_length=LONGEST_NAME, error_messages={"required": "Name the place."}
    )
    to_place = forms.CharField(
        label="To", max_length=LONGEST_NAME, error_messages={"required": "Name the place."}
    )
    minutes = StageMinutesField(error_messages={"required": "Say how many minutes it takes."})
    back = forms.BooleanField(label="and as long back", required=False)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, prefix="way", **more)
        for name in ("from_place", "to_place"):
            self.fields[name].widget.attrs |= {"list": "stage-places", "autocomplete": "off"}

    def take_problems(self, problems: Mapping[str, list[str]]) -> None:
        """Put what the service refused beside its fields."""
        for name, sentences in problems.items():
            self.add_error(name if name in self.fields else None, sentences)


class WalkEditForm(VersionedForm):
    """The minutes of a way that is there."""

    minutes = StageMinutesField()

    def __init__(self, *args: Any, walk: Walk, **more: Any) -> None:
        initial = {"minutes": walk.walk_s, "version": walk.version}
        super().__init__(*args, prefix=f"w{walk.pk}", initial=initial, **more)
        self.walk = walk
        label = f"Minutes from {walk.from_place} to {walk.to_place}"
        self.fields["minutes"].widget.attrs["aria-label"] = label


class RigForm(forms.Form):
    """A trick build of a guise, and whether it may also play plain."""

    name = forms.CharField(
        label="Trick build",
        max_length=RIG_LENGTH,
        error_messages={"required": "Name the trick build: flying, fight."},
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
    )
    plays_plain = forms.BooleanField(label="It may play plain too", required=False)
    breaks_away = forms.BooleanField(
        label="A part of it breaks at each performance", required=False
    )
    part_min = HoursField(label="Hours per part that breaks", required=False)
    version = forms.IntegerField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, auto_id="rig-%s", **more)

    def take_problems(self, problems: Mapping[str, list[str]]) -> None:
        """Put what the service refused beside its fields."""
        for name, sentences in problems.items():
            self.add_error(name if name in self.fields else None, sentences)
