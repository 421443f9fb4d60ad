"""Forms of a step: a helper's answer, the lead's pass, hours booked, and what the lead sets."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django import forms

from builds.models import Step
from company import clock
from company.models import Maker
from company.pictures import ACCEPT
from company.queries import makers_of
from scenes.forms.fields import DayField, HoursField, blank_words


def _words_field(label: str, *, most: int = 300, rows: int = 2, **more: Any) -> forms.CharField:
    return forms.CharField(
        label=label,
        max_length=most,
        widget=forms.Textarea(attrs={"rows": rows}),
        error_messages={"max_length": f"At most {most} letters here."},
        **more,
    )


class _OfStep(forms.Form):
    """A form that knows the step's version as it was read, and its makers."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)

    def __init__(self, *args: Any, step: Step, is_lead: bool = False, **more: Any) -> None:
        self.step, self.is_lead = step, is_lead
        more.setdefault("auto_id", f"step-{step.pk}-%s")
        more["initial"] = {"version": step.version, **(more.get("initial") or {})}
        super().__init__(*args, **more)
        if "maker" in self.fields:
            if is_lead:
                self._offer_makers("maker")
            else:
                del self.fields["maker"]

    def _offer_makers(self, name: str) -> None:
        field: Any = self.fields[name]
        pks = [maker.pk for maker in makers_of(self.step.show.company)]
        field.queryset = Maker.objects.filter(pk__in=pks)


class RecordForm(_OfStep):
    """Finished, left here, need the lead: with what it took, a word, and a photo."""

    hours = HoursField(label="Took", required=False)
    words = _words_field("A word about it", required=False)
    photo = forms.FileField(
        label="Photo",
        required=False,
        widget=forms.FileInput(attrs={"accept": ACCEPT, "data-preview": "photo-preview"}),
    )
    maker = forms.ModelChoiceField(
        label="Who did it", queryset=Maker.objects.none(), required=False, empty_label="I did"
    )
    reason = _words_field("Why all the same", required=False, rows=1)

    def __init__(self, *args: Any, asks_reason: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if not asks_reason and not self.is_bound:
            del self.fields["reason"]


class PassForm(_OfStep):
    """The lead's yes or not yet."""

    words = _words_field("What is still to do", required=False)


class HoursForm(_OfStep):
    """Hours of a day, booked by themselves."""

    hours = HoursField(
        label="Hours",
        error_messages=blank_words("Say how long it took: 2, 1½ or 45 min"),
    )
    day = DayField(label="Day")
    maker = forms.ModelChoiceField(
        label="Who", queryset=Maker.objects.none(), required=False, empty_label="I did"
    )
    note = _words_field("A word about it", required=False, rows=1)

    def __init__(self, *args: Any, **more: Any) -> None:
        more.setdefault("auto_id", "hours-%s")
        super().__init__(*args, **more)
        self.fields["day"].initial = clock.today(self.step.show.company)


class StepForm(_OfStep):
    """The note, and for the lead: hours of its own, who must do it, not before when."""

    note = forms.CharField(
        label="Note",
        required=False,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Stays with this step, whatever becomes of the route.",
    )
    own_min = HoursField(
        label="Hours of its own",
        required=False,
        help_text="Instead of the route's. Blank follows the route.",
    )
    pinned_maker = forms.ModelChoiceField(
        label="This person",
        queryset=Maker.objects.none(),
        required=False,
        empty_label="whoever the plan finds",
    )
    not_before = DayField(label="Not before", required=False)

    def __init__(self, *args: Any, **more: Any) -> None:
        step: Step = more["step"]
        names = ("note", "own_min", "pinned_maker", "not_before")
        stands = {name: getattr(step, name) for name in names}
        more["initial"] = {**stands, **(more.get("initial") or {})}
        more.setdefault("auto_id", "edit-%s")
        super().__init__(*args, **more)
        if self.is_lead:
            self._offer_makers("pinned_maker")
        else:
            for name in names[1:]:
                del self.fields[name]

    def values(self) -> dict[str, Any]:
        """What is written, by column."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class SlipForm(_OfStep):
    """Who must do it and not before when, as set from the slip on the wall."""

    pinned_maker = forms.ModelChoiceField(
        label="This person",
        queryset=Maker.objects.none(),
        required=False,
        empty_label="whoever the plan finds",
    )
    not_before = DayField(label="Not before", required=False)

    def __init__(self, *args: Any, able: Iterable[Maker], **more: Any) -> None:
        step: Step = more["step"]
        stands = {"pinned_maker": step.pinned_maker_id, "not_before": step.not_before}
        more["initial"] = {**stands, **(more.get("initial") or {})}
        more.setdefault("auto_id", f"slip-{step.pk}-%s")
        super().__init__(*args, is_lead=True, **more)
        field: Any = self.fields["pinned_maker"]
        field.queryset = Maker.objects.filter(
            pk__in=[maker.pk for maker in able], company=step.show.company_id, struck_at=None
        )
