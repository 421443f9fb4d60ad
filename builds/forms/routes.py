"""Forms of a route: its name, one stage with every field, equipment, words to copy."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from django import forms
from django.forms import BoundField

from builds.core.route_defaults import DEFAULT_ROUTES
from builds.models import Equipment, Route, Stage
from builds.models.parts import Part
from builds.models.routes import DoneTo, Mark, OnlyWhen, Scope, Second, Strand
from builds.services.stages import EDITABLE, stage_problems
from company.core.units import format_hours, parse_hours
from company.forms.fields import HoursField, ReadField, add_found, blank
from company.models import Company, Craft

DAY_MIN = 24 * 60
_NO_WAIT = "'{}' is not a wait: write 5 days, 1 day or 4 h"
# Fields that can only be judged where another is right.
JUDGED_BY = {
    "each_min": "hours_min",
    "second_craft": "second",
    "first_of_costume": "scope",
    "hours_by_costume": "scope",
    "holds_mould": "scope",
}
STRAND_WORDS = {
    Strand.GUISE: "guise: before there is a figure",
    Strand.HEAD: "head",
    Strand.BODY: "body",
    Strand.CONTROL: "control",
    Strand.COSTUME: "costume",
    Strand.MEET: "where the strands meet",
    Strand.FINISH: "finish: paint and hair",
    Strand.END: "end: strung, trued, ready",
}


@dataclass(frozen=True)
class Group:
    """A group of fields under one heading."""

    heading: str
    names: tuple[str, ...]
    fields: tuple[BoundField, ...]


class WaitField(ReadField):
    """A wait on the calendar: '5 days', '1 day', '4 h', '0'; whole minutes inside."""

    def read(self, text: str) -> int:
        written = text.strip().casefold()
        if written in ("0", "none"):
            return 0
        for word in ("days", "day", "d"):
            if written.endswith(word):
                return self._days(written.removesuffix(word).strip(), text)
        try:
            minutes = parse_hours(written)
        except ValueError:
            raise ValueError(_NO_WAIT.format(text.strip()[:40])) from None
        if minutes > 366 * DAY_MIN:
            raise ValueError("a wait is at most a year")
        return minutes

    def _days(self, number: str, text: str) -> int:
        try:
            days = Decimal(number.replace(",", "."))
        except ArithmeticError:
            raise ValueError(_NO_WAIT.format(text.strip()[:40])) from None
        if not days.is_finite() or not 0 <= days <= 366:
            raise ValueError("a wait is between 0 and 366 days")
        return int(days * DAY_MIN)

    def write(self, value: int) -> str:
        if value and value % DAY_MIN == 0:
            days = value // DAY_MIN
            return f"{days} {'day' if days == 1 else 'days'}"
        return format_hours(value) if value else "0"


class RouteNameForm(forms.Form):
    """The name of a route."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    name = forms.CharField(max_length=80, error_messages=blank("Give the route a name."))

    def __init__(self, data: Any = None, *, route: Route) -> None:
        super().__init__(data, initial={"version": route.version, "name": route.name})


class StageForm(forms.Form):
    """One stage, every field of it, in groups that answer one question each."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    name = forms.CharField(
        label="Name", max_length=80, error_messages=blank("Give the stage a name.")
    )
    strand = forms.ChoiceField(
        label="Lies on the strand", choices=[(s.value, STRAND_WORDS[s]) for s in Strand]
    )
    scope = forms.ChoiceField(label="Is done once for", choices=Scope.choices)
    part = forms.ChoiceField(
        label="Shared when borrowed",
        required=False,
        choices=[("", "nothing"), *Part.choices],
        help_text="A guise that borrows this part of another does not have the stage again.",
    )
    craft = forms.ModelChoiceField(
        label="Craft", queryset=Craft.objects.none(), required=False, empty_label="any"
    )
    hours_min = HoursField(
        label="Usual hours",
        error_messages=blank("Say how long it takes: 3, 1½ h or 45 min."),
        help_text="For the first figure of a guise.",
    )
    each_min = HoursField(
        label="In sittings of",
        required=False,
        help_text="Two halves of 3 h are 6 h in sittings of 3. Blank: planned by the day.",
    )
    rate = forms.DecimalField(
        label="Learning",
        max_digits=4,
        decimal_places=3,
        error_messages={
            "required": "Say what doubling the number leaves: 1 for nothing learnt, 0.9.",
            "invalid": "A number above 0 and at most 1, as in 0.9.",
        },
        help_text="What is left of the hours each time the number doubles: 0.9 saves a tenth, "
        "1 nothing.",
    )
    wait_min = WaitField(
        label="Then wait",
        required=False,
        help_text="Drying or wearing in, on the calendar: 5 days, 1 day, 4 h.",
    )
    in_one_go = forms.BooleanField(label="In one go: not over two days", required=False)
    hours_by_costume = forms.BooleanField(
        label="The costume says how long (these hours where it does not)", required=False
    )
    lead_only = forms.BooleanField(label="Only the lead does it", required=False)
    gate = forms.BooleanField(label="What follows waits for the lead’s pass", required=False)
    second = forms.ChoiceField(label="Beside them", choices=Second.choices)
    second_craft = forms.ModelChoiceField(
        label="Craft of the second person",
        queryset=Craft.objects.none(),
        required=False,
        empty_label="none",
    )
    skip_if_alone = forms.BooleanField(
        label="Left out where the lead does that craft alone", required=False
    )
    needs_saw_training = forms.BooleanField(label="Only people trained on the saw", required=False)
    closed_to_latex_allergy = forms.BooleanField(
        label="Closed to people with a latex allergy", required=False
    )
    closed_to_under_18 = forms.BooleanField(label="Closed to people under 18", required=False)
    equipment = forms.ModelChoiceField(
        label="Needs", queryset=Equipment.objects.none(), required=False, empty_label="nothing"
    )
    holds_mould = forms.BooleanField(
        label="Holds the mould until the casting is out", required=False
    )
    only_with_working = forms.BooleanField(label="Only where eyes or mouth move", required=False)
    first_of_costume = forms.BooleanField(
        label="Only for the first figure of a costume", required=False
    )
    done_to = forms.ChoiceField(label="Done to", required=False, choices=DoneTo.choices)
    only_when = forms.ChoiceField(label="Only for", required=False, choices=OnlyWhen.choices)
    mark = forms.ChoiceField(
        label="When it is done, the figure is",
        required=False,
        choices=[("", "no milestone"), *((m.value, m.label) for m in Mark if m.value)],
        help_text="Milestones show on the thread; needed-by dates ask for 'trued', the opening "
        "for 'ready to play'.",
    )
    after = forms.ModelMultipleChoiceField(
        label="Waits for",
        queryset=Stage.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )
    tools = forms.CharField(label="Tools and material", max_length=300, required=False)
    looks_right = forms.CharField(label="What right looks like", required=False)
    leave_alone = forms.CharField(label="What to leave alone", required=False)
    ask_if = forms.CharField(label="When to stop and ask", required=False)
    cautions = forms.CharField(label="Cautions", required=False)

    GROUPS = (
        ("What it is", ("name", "strand", "scope", "part")),
        (
            "How long",
            ("hours_min", "each_min", "rate", "wait_min", "in_one_go", "hours_by_costume"),
        ),
        (
            "Who",
            (
                *("craft", "lead_only", "gate", "second", "second_craft", "skip_if_alone"),
                *("needs_saw_training", "closed_to_latex_allergy", "closed_to_under_18"),
            ),
        ),
        ("Waits for", ("after",)),
        (
            "With what, and when at all",
            (
                *("equipment", "holds_mould", "only_with_working", "first_of_costume"),
                *("done_to", "only_when", "mark"),
            ),
        ),
        (
            "Words on the bench sheet",
            ("tools", "looks_right", "leave_alone", "ask_if", "cautions"),
        ),
    )

    def __init__(self, data: Any = None, *, route: Route, stage: Stage | None = None) -> None:
        initial: dict[str, Any] = {"rate": Decimal(1), "second": Second.NOBODY, "scope": "figure"}
        initial |= {"strand": Strand.BODY, "wait_min": 0}
        if stage is not None:
            initial = {name: getattr(stage, name) for name in (*EDITABLE, "version")}
            initial["rate"] = stage.rate.normalize()
            initial["after"] = [link.after_id for link in stage.afters.all()]
        super().__init__(data, initial=initial)
        self.stage = stage or Stage(route=route)
        self._choose_from(route, stage)
        for name in ("tools", "looks_right", "leave_alone", "ask_if", "cautions"):
            self.fields[name].widget = forms.Textarea(attrs={"rows": 6})

    def _choose_from(self, route: Route, stage: Stage | None) -> None:
        crafts = Craft.objects.for_company(route.company).filter(struck_at=None)
        gear = Equipment.objects.for_company(route.company).filter(struck_at=None)
        others = Stage.objects.filter(route=route, struck_at=None)
        if stage is not None:
            others = others.exclude(pk=stage.pk)
        for name, rows in (
            ("craft", crafts),
            ("second_craft", crafts),
            ("equipment", gear),
            ("after", others),
        ):
            self.fields[name].queryset = rows  # type: ignore[attr-defined]

    @property
    def groups(self) -> Iterator[Group]:
        """The fields under their headings."""
        for heading, names in self.GROUPS:
            yield Group(heading, names, tuple(self[name] for name in names))

    def clean_wait_min(self) -> int:
        return self.cleaned_data["wait_min"] or 0

    def clean(self) -> None:
        waits = list(self.cleaned_data["after"]) if "after" in self.cleaned_data else None
        add_found(self, stage_problems(self.stage, self.values(), waits), needs=JUDGED_BY)

    def values(self) -> dict[str, Any]:
        """What the service takes as columns."""
        return {name: self.cleaned_data[name] for name in EDITABLE if name in self.cleaned_data}


class EquipmentForm(forms.Form):
    """Equipment and how many steps it serves at once."""

    name = forms.CharField(max_length=80, error_messages=blank("Give it a name."))
    capacity = forms.IntegerField(
        label="Steps at once",
        initial=1,
        error_messages={
            "required": "Say how many steps it serves at once.",
            "invalid": "A whole number, as in 1.",
        },
    )

    def __init__(self, data: Any = None, *, equipment: Equipment | None = None) -> None:
        initial = {}
        if equipment is not None:
            initial = {"name": equipment.name, "capacity": equipment.capacity}
        super().__init__(data, initial=initial, auto_id="id_gear_%s")


class CopyWordsForm(forms.Form):
    """Whose words a stage takes over."""

    source = forms.ChoiceField(label="Take the words of")

    def __init__(self, data: Any = None, *, stage: Stage, company: Company) -> None:
        super().__init__(data, auto_id="id_copy_%s")
        rows = Stage.objects.for_company(company).filter(struck_at=None).exclude(pk=stage.pk)
        groups: dict[str, list[tuple[str, str]]] = {}
        for row in rows.select_related("route").order_by("route__pk", "position", "pk"):
            groups.setdefault(row.route.name, []).append((str(row.pk), row.name))
        first = []
        if any(default.key == stage.key for default in DEFAULT_ROUTES[stage.route.kind]):
            first = [("", "this stage, as it began")]
        field: Any = self.fields["source"]
        field.required = not first
        field.choices = [*first, *groups.items()]

    def chosen(self) -> Stage | None:
        """The stage chosen; None for the words it began with."""
        pk = self.cleaned_data["source"]
        return Stage.objects.select_related("route").get(pk=pk) if pk else None
