"""Forms that suppose one thing more: each gives a code that goes into the address."""

from __future__ import annotations

from calendar import day_name
from datetime import date, timedelta
from typing import Any, ClassVar

from django import forms
from django.core.exceptions import ValidationError
from django.db.models import Count, Q, QuerySet

from builds.loading.steps import mould_name
from builds.loading.suppose_codes import write_week
from builds.models import Equipment, Figure, FigureCostume, Mould, Stage, Step
from company import clock
from company.forms.fields import StretchesField
from company.models import Craft, Maker
from scenes.forms.fields import DayField, blank_words
from scenes.models import Show

USUAL_HOURS = "10-13, 13:30-17"


class _Supposed(forms.Form):
    """One thing that could be otherwise. `kind` stands in the address, `words` on the page."""

    kind: ClassVar[str]
    words: ClassVar[str]

    def __init__(self, data: Any = None, *, show: Show) -> None:
        self.show = show
        self.today = clock.today(show.company)
        super().__init__(data, auto_id=f"{self.kind}-%s")
        self.offer()

    def offer(self) -> None:
        """Fill in what can be chosen in this show."""

    @property
    def can_be(self) -> bool:
        """Whether there is anything to choose from."""
        return True

    def code(self) -> str:
        """The code of what was chosen."""
        raise NotImplementedError

    def _makers(self, name: str) -> None:
        field: Any = self.fields[name]
        field.queryset = Maker.objects.filter(company=self.show.company, struck_at=None)

    def _crafts(self, name: str) -> None:
        field: Any = self.fields[name]
        field.queryset = Craft.objects.filter(company=self.show.company, struck_at=None)

    def _next_monday(self) -> date:
        return self.today + timedelta(days=7 - self.today.weekday())


def _days() -> forms.MultipleChoiceField:
    return forms.MultipleChoiceField(
        label="Comes on",
        choices=[(str(n), day_name[n]) for n in range(7)],
        widget=forms.CheckboxSelectMultiple,
        error_messages=blank_words("Say on which days they come"),
    )


def _hours() -> StretchesField:
    return StretchesField(label="At", initial=USUAL_HOURS)


class _WithWeek(_Supposed):
    """Anything with weekdays and stretches."""

    def offer(self) -> None:
        hours = self.fields["hours"]
        hours.required = True
        hours.error_messages["required"] = "Say from when to when, as in 10-13, 13:30-17."

    def week(self) -> str:
        """The code of the days and hours."""
        days = sorted(int(day) for day in self.cleaned_data["days"])
        return write_week(days, self.cleaned_data["hours"])


class MoreForm(_WithWeek):
    """One helper more."""

    kind, words = "more", "One helper more"
    crafts = forms.ModelMultipleChoiceField(
        label="Who can",
        queryset=Craft.objects.none(),
        widget=forms.CheckboxSelectMultiple,
        error_messages=blank_words("Say what they can do"),
    )
    days = _days()
    hours = _hours()
    first = DayField(label="From", error_messages=blank_words("Say from which day"))

    def offer(self) -> None:
        super().offer()
        self._crafts("crafts")
        self.fields["first"].initial = self._next_monday()

    def code(self) -> str:
        crafts = ",".join(str(craft.pk) for craft in self.cleaned_data["crafts"])
        return f"more:{crafts}:{self.week()}:{self.cleaned_data['first'].isoformat()}"


class FewerForm(_Supposed):
    """One helper fewer."""

    kind, words = "fewer", "One helper fewer"
    maker = forms.ModelChoiceField(
        label="Who",
        queryset=Maker.objects.none(),
        empty_label="choose",
        error_messages=blank_words("Say who"),
    )
    first = DayField(label="From", error_messages=blank_words("Say from which day"))

    def offer(self) -> None:
        self._makers("maker")
        self.fields["first"].initial = self._next_monday()

    def code(self) -> str:
        return f"fewer:{self.cleaned_data['maker'].pk}:{self.cleaned_data['first'].isoformat()}"


class OtherHoursForm(_WithWeek):
    """Other hours for somebody."""

    kind, words = "hours", "Other hours"
    maker = forms.ModelChoiceField(
        label="Who",
        queryset=Maker.objects.none(),
        empty_label="choose",
        error_messages=blank_words("Say who"),
    )
    days = _days()
    hours = _hours()
    first = DayField(label="From", error_messages=blank_words("Say from which day"))

    def offer(self) -> None:
        super().offer()
        self._makers("maker")
        self.fields["first"].initial = self._next_monday()

    def code(self) -> str:
        given = self.cleaned_data
        return f"hours:{given['maker'].pk}:{self.week()}:{given['first'].isoformat()}"


class AwayForm(_Supposed):
    """A day off."""

    kind, words = "away", "A day off"
    maker = forms.ModelChoiceField(
        label="Who", queryset=Maker.objects.none(), required=False, empty_label="everybody"
    )
    first = DayField(label="First day", error_messages=blank_words("Say which day"))
    last = DayField(label="Last day", required=False)

    def offer(self) -> None:
        self._makers("maker")

    def clean(self) -> dict[str, Any]:
        given = super().clean() or {}
        first, last = given.get("first"), given.get("last")
        if first and last and last < first:
            raise ValidationError({"last": "The last day comes before the first."})
        return given

    def code(self) -> str:
        given = self.cleaned_data
        last = given["last"] or given["first"]
        who = given["maker"].pk if given["maker"] else 0
        return f"away:{who}:{given['first'].isoformat()}:{last.isoformat()}"


class CutForm(_Supposed):
    """A costume or a figure cut."""

    kind, words = "cut", "A costume or figure cut"
    what = forms.ChoiceField(label="Without", error_messages=blank_words("Say what is cut"))

    def offer(self) -> None:
        figures = Figure.objects.filter(show=self.show, state=Figure.State.WANTED)
        worn: dict[int, list[FigureCostume]] = {}
        for row in FigureCostume.objects.filter(figure__in=figures, struck_at=None).select_related(
            "costume"
        ):
            worn.setdefault(row.figure_id, []).append(row)
        choices: list[tuple[str, str]] = [("", "choose")]
        for figure in figures.select_related("guise__character"):
            choices.append((f"{figure.pk}", f"{figure.tag}, {figure.guise}"))
            choices += [
                (f"{figure.pk}:{row.costume_id}", f"{figure.tag}: the {row.costume}")
                for row in worn.get(figure.pk, [])
            ]
        self.fields["what"].choices = choices  # type: ignore[attr-defined]

    @property
    def can_be(self) -> bool:
        return len(self.fields["what"].choices) > 1  # type: ignore[attr-defined]

    def code(self) -> str:
        return f"cut:{self.cleaned_data['what']}"


class OpeningForm(_Supposed):
    """Opening moved."""

    kind, words = "opening", "Opening moved"
    opening = DayField(label="Opens on", error_messages=blank_words("Say on which day it opens"))

    def offer(self) -> None:
        self.fields["opening"].initial = self.show.opening

    def clean_opening(self) -> date:
        day: date = self.cleaned_data["opening"]
        if day <= self.today:
            raise ValidationError("An opening that is supposed lies ahead.")
        return day

    def code(self) -> str:
        return f"opening:{self.cleaned_data['opening'].isoformat()}"


class OtherCraftForm(_Supposed):
    """A stage given to another craft."""

    kind, words = "craft", "A stage given to another craft"
    stage = forms.ChoiceField(label="Stage", error_messages=blank_words("Say which stage"))
    craft = forms.ModelChoiceField(
        label="Done by those who can",
        queryset=Craft.objects.none(),
        empty_label="choose",
        error_messages=blank_words("Say who does it"),
    )

    def offer(self) -> None:
        self._crafts("craft")
        open_steps = Step.objects.filter(show=self.show, struck_at=None, finished_at=None)
        rows = Stage.objects.filter(pk__in=open_steps.values("stage"), craft__isnull=False)
        names: dict[str, str] = {}
        for stage in rows.order_by("position", "pk"):
            names.setdefault(stage.key, stage.name)
        self.fields["stage"].choices = [("", "choose"), *names.items()]  # type: ignore[attr-defined]

    @property
    def can_be(self) -> bool:
        return len(self.fields["stage"].choices) > 1  # type: ignore[attr-defined]

    def code(self) -> str:
        return f"craft:{self.cleaned_data['stage']}:{self.cleaned_data['craft'].pk}"


class GearForm(_Supposed):
    """A second mould, or one more of what several wait for."""

    kind, words = "gear", "A second mould, one more frame"
    what = forms.ChoiceField(label="One more of", error_messages=blank_words("Say of what"))

    def offer(self) -> None:
        gear: QuerySet[Equipment] = Equipment.objects.filter(
            company=self.show.company, struck_at=None
        )
        left = Q(pours__steps__finished_at=None, pours__steps__struck_at=None)
        moulds = (
            Mould.objects.filter(pattern__show=self.show)
            .annotate(left=Count("pours__steps", filter=left))
            .filter(left__gte=2)
            .select_related("pattern")
        )
        self.fields["what"].choices = [  # type: ignore[attr-defined]
            ("", "choose"),
            *((f"gear:{row.pk}", row.name) for row in gear.order_by("name")),
            *((f"mould:{row.pk}", mould_name(row)) for row in moulds.order_by("pattern", "number")),
        ]

    @property
    def can_be(self) -> bool:
        return len(self.fields["what"].choices) > 1  # type: ignore[attr-defined]

    def code(self) -> str:
        what: str = self.cleaned_data["what"]
        return what


FORMS: tuple[type[_Supposed], ...] = (
    MoreForm,
    FewerForm,
    OtherHoursForm,
    AwayForm,
    CutForm,
    OpeningForm,
    OtherCraftForm,
    GearForm,
)
