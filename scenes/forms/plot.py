"""Forms of the plot: the appearances of a cell, change rules, and the show's times."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.forms import BoundField

from company.core.units import format_minutes
from scenes.forms.fields import StageMinutesField, WholeNumberField
from scenes.loading import stamp_of
from scenes.models import Appearance, ChangeRule, Costume, Guise, Scene, Show
from scenes.models.plot import MOST_IN_A_CELL, Hold
from scenes.queries.grid import UNDECIDED
from scenes.services.cells import MOST_COPIES, Wanted, find_problems
from scenes.services.plot import MOST_PEOPLE

NEW = "new"


class AppearanceForm(forms.Form):
    """One appearance of a guise in a scene."""

    key = forms.UUIDField(required=False, widget=forms.HiddenInput)
    costume = forms.ChoiceField(widget=forms.RadioSelect)
    enters = StageMinutesField(label="Enters at", required=False, may_be_negative=True)
    leaves = StageMinutesField(label="Leaves at", required=False, may_be_negative=True)
    from_place = forms.CharField(label="Comes from", max_length=40, required=False)
    to_place = forms.CharField(label="Goes to", max_length=40, required=False)
    hold = forms.ChoiceField(label="Held", choices=Hold.choices, required=False)
    copies = WholeNumberField(
        least=1, most=MOST_COPIES, noun="copies", label="How many", required=False
    )
    rig = forms.CharField(label="Trick build", max_length=40, required=False)
    gone = forms.BooleanField(label="take it out of the scene", required=False)

    def __init__(
        self, *args: Any, scene: Scene, costumes: list[Costume], guise: Guise, **more: Any
    ) -> None:
        self.scene, self.costumes = scene, costumes
        super().__init__(*args, **more)
        choices = [(str(c.pk), c.name) for c in costumes] + [(UNDECIDED, UNDECIDED)]
        field = self.fields["costume"]
        field.choices = choices  # type: ignore[attr-defined]
        field.error_messages["required"] = "Pick a costume, or 'undecided'."
        field.error_messages["invalid_choice"] = f"That is not one of the costumes of {guise}."
        for name in ("from_place", "to_place"):
            self.fields[name].widget.attrs["list"] = "plot-places"
        self.fields["rig"].widget.attrs["list"] = "plot-rigs"

    @property
    def is_gone(self) -> bool:
        """Whether this appearance is to be taken out; nothing else in it matters then."""
        return self.is_bound and bool(self["gone"].value())

    @property
    def swatches(self) -> list[tuple[Any, int | None, bool]]:
        """Each costume to choose, its tint (None: undecided), and whether focus begins here."""
        choices = list(self["costume"])
        tints = [*(c.tint for c in self.costumes), None]
        first = next((n for n, choice in enumerate(choices) if choice.data["selected"]), 0)
        return [
            (choice, tint, n == first and not self.is_bound)
            for n, (choice, tint) in enumerate(zip(choices, tints, strict=True))
        ]

    def clean(self) -> dict[str, Any]:
        data = super().clean() or self.cleaned_data
        problems = find_problems(self._wanted(data), self.scene, [c.pk for c in self.costumes])
        for field, sentence in problems.items():
            needs_times = field == "leaves" and {"enters", "leaves"} & self.errors.keys()
            if field not in self.errors and not needs_times:
                self.add_error(field, sentence)
        return self.cleaned_data

    def wanted(self) -> Wanted:
        """The appearance asked for; the form must be valid."""
        return self._wanted(self.cleaned_data)

    def say_wanted(self) -> str:
        """The appearance asked for, in a line: 'oilskin, from 1:30, to left, 2 of it'."""
        wanted = self.wanted()
        names = {c.pk: c.name for c in self.costumes}
        said = [names.get(wanted.costume_id or 0, UNDECIDED)]
        if wanted.enters_s is not None:
            said.append(f"from {format_minutes(wanted.enters_s)}")
        if wanted.leaves_s is not None:
            said.append(f"until {format_minutes(wanted.leaves_s)}")
        said += [f"comes from {wanted.from_place}"] * bool(wanted.from_place)
        said += [f"goes to {wanted.to_place}"] * bool(wanted.to_place)
        said += [wanted.hold] * (wanted.hold != Hold.TWO_HANDS)
        said += [f"{wanted.copies} of it"] * (wanted.copies > 1)
        return ", ".join([*said, wanted.rig] if wanted.rig else said)

    def _wanted(self, data: Mapping[str, Any]) -> Wanted:
        chosen = data.get("costume")
        return Wanted(
            key=data.get("key"),
            costume_id=None if chosen in (None, "", UNDECIDED) else int(chosen),
            rig=data.get("rig") or "",
            enters_s=data.get("enters"),
            leaves_s=data.get("leaves"),
            from_place=data.get("from_place") or "",
            to_place=data.get("to_place") or "",
            hold=data.get("hold") or Hold.TWO_HANDS,
            copies=data.get("copies") or 1,
        )


class CellForm:
    """All appearances of a guise in a scene, and room for one more, as one form.

    The room for one more is left out of what is asked for as long as nothing is said in it.
    """

    def __init__(
        self,
        data: Mapping[str, Any] | None = None,
        *,
        scene: Scene,
        guise: Guise,
        costumes: list[Costume],
        stands: list[Appearance],
    ) -> None:
        self.scene, self.guise = scene, guise
        self.is_bound = data is not None
        self.stamp = stamp_of(stands) if data is None else str(data.get("stamp", ""))
        keys = [str(a.key) for a in stands] if data is None else _keys_sent(data)
        stored = {str(a.key): a for a in stands}

        def make(prefix: str, initial: dict[str, Any]) -> AppearanceForm:
            return AppearanceForm(
                data, prefix=prefix, initial=initial, scene=scene, guise=guise, costumes=costumes
            )

        self.blocks = [make(f"a{n}", _initial(stored.get(key))) for n, key in enumerate(keys)]
        self.new = make(NEW, _initial(None))
        self.wants_new = not self.blocks or (data is not None and _says_something(data))

    @property
    def forms(self) -> list[AppearanceForm]:
        """The appearances that are to stand in the cell."""
        stay = [block for block in self.blocks if not block.is_gone]
        return [*stay, self.new] if self.wants_new else stay

    def is_valid(self) -> bool:
        """Whether all of it is right; everything that is wrong is then with its field."""
        wrong = [form for form in self.forms if not form.is_valid()]
        return self.is_bound and not wrong

    @property
    def wrong_fields(self) -> list[tuple[BoundField, str]]:
        """Every field with something wrong, and the sentence, in the order of the page."""
        if not self.is_bound:
            return []
        return [
            (form[name], sentence)
            for form in self.forms
            for name, sentences in form.errors.items()
            for sentence in sentences
        ]

    def wanted(self) -> list[Wanted]:
        """The appearances asked for; the form must be valid."""
        return [form.wanted() for form in self.forms]

    def say_wanted(self) -> list[str]:
        """The appearances asked for, one line each, for whoever has to compare."""
        return [form.say_wanted() for form in self.forms] or ["nothing: you took it out"]


def _keys_sent(data: Mapping[str, Any]) -> list[str]:
    keys: list[str] = []
    while len(keys) < MOST_IN_A_CELL and (key := data.get(f"a{len(keys)}-key")):
        keys.append(str(key))
    return keys


def _says_something(data: Mapping[str, Any]) -> bool:
    """Whether anybody touched the room for one more."""
    usual = {"copies": ("", "1"), "hold": ("", Hold.TWO_HANDS.value)}
    return any(
        str(data.get(f"{NEW}-{name}", "")).strip() not in usual.get(name, ("",))
        for name in AppearanceForm.base_fields
    )


def _initial(appearance: Appearance | None) -> dict[str, Any]:
    if appearance is None:
        return {"hold": Hold.TWO_HANDS.value, "copies": 1}
    chosen = appearance.costume_id
    return {
        "key": appearance.key,
        "costume": UNDECIDED if chosen is None else str(chosen),
        "enters": appearance.enters_s,
        "leaves": appearance.leaves_s,
        "from_place": appearance.from_place,
        "to_place": appearance.to_place,
        "hold": appearance.hold,
        "copies": appearance.copies,
        "rig": appearance.rig,
    }


class RuleForm(forms.Form):
    """A change that a figure of the guise can make, this way only."""

    from_costume = forms.ModelChoiceField(Costume.objects.none(), label="From", empty_label="")
    to_costume = forms.ModelChoiceField(Costume.objects.none(), label="To", empty_label="")
    minutes = StageMinutesField()
    people = WholeNumberField(least=0, most=MOST_PEOPLE, noun="people", initial=1)

    def __init__(self, *args: Any, guise: Guise, costumes: list[Costume], **more: Any) -> None:
        super().__init__(*args, prefix=f"g{guise.pk}", **more)
        self.guise = guise
        self.costumes = costumes
        for name in ("from_costume", "to_costume"):
            field = self.fields[name]
            field.queryset = Costume.objects.filter(guise=guise)  # type: ignore[attr-defined]
            # The costumes are read already: the list of choices asks for no more reads.
            field.choices = [("", ""), *((c.pk, c.name) for c in costumes)]  # type: ignore[attr-defined]
            field.error_messages["required"] = "Pick a costume."
            field.error_messages["invalid_choice"] = f"That is not one of the costumes of {guise}."
        self.fields["minutes"].error_messages["required"] = "Say how many minutes it takes."
        self.fields["people"].error_messages["required"] = "Say how many people it takes."

    def take_problems(self, problems: Mapping[str, list[str]]) -> None:
        """Put what a service refused beside its fields."""
        for name, sentences in problems.items():
            self.add_error(name if name in self.fields else None, sentences)


class VersionedForm(forms.Form):
    """A form that knows which version of its row it was filled from."""

    version = forms.IntegerField(widget=forms.HiddenInput)

    def say_stands(self, field: str, stands: str, version: int) -> None:
        """Somebody else was quicker: keep what was typed, say what stands, and let it be sent."""
        self.data = {**self.data.dict(), self.add_prefix("version"): version}  # type: ignore[attr-defined]
        self.add_error(
            field,
            f"Somebody else changed this meanwhile: {stands} stands now. What you wrote is not "
            "saved; send it again to put it in its place.",
        )


class RuleEditForm(VersionedForm):
    """The minutes and people of a change that is in the plot."""

    minutes = StageMinutesField()
    people = WholeNumberField(least=0, most=MOST_PEOPLE, noun="people")

    def __init__(self, *args: Any, rule: ChangeRule, **more: Any) -> None:
        initial = {"minutes": rule.change_s, "people": rule.people, "version": rule.version}
        super().__init__(*args, prefix=f"r{rule.key.hex}", initial=initial, **more)
        self.rule = rule


class TimesForm(VersionedForm):
    """How long a figure takes across behind the stage, and to be ready again."""

    crossing = StageMinutesField(
        label="Across behind the stage", help_text="From one side to the other, in minutes."
    )
    reset = StageMinutesField(
        label="Ready again",
        help_text="To hang up, untangle and take up again, in minutes. Half a minute is usual.",
    )

    def __init__(self, *args: Any, show: Show, **more: Any) -> None:
        initial = {"crossing": show.crossing_s, "reset": show.reset_s, "version": show.version}
        super().__init__(*args, prefix="times", initial=initial, **more)


class CopyForm(forms.Form):
    """How far a cell is carried along its row."""

    until = forms.ChoiceField(label="up to")

    def __init__(self, *args: Any, scenes: list[Scene], scene: Scene, **more: Any) -> None:
        super().__init__(*args, prefix="copy", **more)
        others = [s for s in scenes if s.pk != scene.pk]
        field = self.fields["until"]
        field.choices = [(str(s.key), f"scene {s}") for s in others]  # type: ignore[attr-defined]
        field.error_messages["invalid_choice"] = "That scene is no longer in the plot."
        later = next((s for s in others if s.position > scene.position), None)
        self.initial["until"] = str(later.key) if later else None
