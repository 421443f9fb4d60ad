"""Forms of the company's settings, its makers, crafts, and the people who sign in."""

from __future__ import annotations

from copy import copy
from typing import Any
from zoneinfo import available_timezones

from django import forms

from company.core.names import tidy_name
from company.forms.fields import DayField, HoursField, add_found, blank
from company.models import Company, Craft, Maker, Membership, Role, User
from company.services.crafts import craft_problems
from company.services.members import invite_problems
from company.services.people import company_problems, maker_problems

MARKS = ("is_lead", "is_saw_trained", "has_latex_allergy", "is_under_18")


def zone_choices() -> list[tuple[str, str]]:
    """Time zones by name; the old names without a place are left out."""
    zones = sorted(z for z in available_timezones() if "/" in z and not z.startswith("Etc/"))
    return [("UTC", "UTC"), *((zone, zone.replace("_", " ")) for zone in zones)]


class CompanyForm(forms.Form):
    """Name, time zone, units, paper, currency, first day of the week."""

    version = forms.IntegerField(widget=forms.HiddenInput)
    name = forms.CharField(max_length=120, error_messages=blank("A company needs a name."))
    time_zone = forms.ChoiceField(
        choices=zone_choices, help_text="Hours are kept by the clock of this place."
    )
    units = forms.ChoiceField(choices=Company.Units)
    paper = forms.ChoiceField(choices=Company.Paper, help_text="What the bench sheets print on.")
    currency = forms.CharField(max_length=3, help_text="Three letters: EUR, GBP, USD.")
    week_start = forms.TypedChoiceField(
        label="First day of the week", choices=Company.WeekStart, coerce=int
    )

    def __init__(self, data: Any = None, *, company: Company) -> None:
        initial = {name: getattr(company, name) for name in self.base_fields}
        super().__init__(data, initial=initial)
        self.company = company
        if company.time_zone not in dict(zone_choices()):
            zone: Any = self.fields["time_zone"]
            zone.choices = [(company.time_zone, company.time_zone), *zone_choices()]

    def clean(self) -> None:
        add_found(self, company_problems(self.company, self.values()))

    def values(self) -> dict[str, Any]:
        """What the service takes."""
        return {name: value for name, value in self.cleaned_data.items() if name != "version"}


class MakerForm(forms.Form):
    """A maker: name, crafts, marks, here from and until, and who they sign in as."""

    version = forms.IntegerField(widget=forms.HiddenInput, required=False)
    name = forms.CharField(max_length=80, error_messages=blank("Who is it? Give a name."))
    crafts = forms.ModelMultipleChoiceField(
        queryset=Craft.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="What they can be given to do.",
    )
    is_lead = forms.BooleanField(
        label="Lead: does and passes what only the lead may", required=False
    )
    is_saw_trained = forms.BooleanField(label="Trained on the saw", required=False)
    has_latex_allergy = forms.BooleanField(
        label="Latex allergy: is never given latex to pour or trim", required=False
    )
    is_under_18 = forms.BooleanField(
        label="Under 18: is never given what is closed to the young", required=False
    )
    from_date = DayField(label="Here from", required=False)
    to_date = DayField(label="Here until", required=False)
    user = forms.ModelChoiceField(
        label="Signs in as",
        queryset=User.objects.none(),
        required=False,
        empty_label="nobody: works from the printed sheets",
        help_text="A maker needs no sign-in of their own.",
    )

    def __init__(self, data: Any = None, *, company: Company, maker: Maker | None = None) -> None:
        initial: dict[str, Any] = {}
        if maker is not None:
            initial = {
                name: getattr(maker, name)
                for name in (*MARKS, "version", "name", "from_date", "to_date", "user")
            }
            initial["crafts"] = [c.pk for c in maker.crafts.all() if c.struck_at is None]
        super().__init__(data, initial=initial)
        self.maker = maker or Maker(company=company)
        crafts = Craft.objects.for_company(company).filter(struck_at=None)
        self.fields["crafts"].queryset = crafts  # type: ignore[attr-defined]
        self.fields["user"].queryset = User.objects.filter(  # type: ignore[attr-defined]
            memberships__company=company
        ).order_by("name")

    def clean(self) -> None:
        add_found(self, maker_problems(self.maker, self.values()), needs={"to_date": "from_date"})

    def values(self) -> dict[str, Any]:
        """What the service takes as columns."""
        return {n: v for n, v in self.cleaned_data.items() if n not in ("version", "crafts")}


class CraftForm(forms.Form):
    """A craft: its name, how much of it a day, and who has it."""

    name = forms.CharField(max_length=60, error_messages=blank("Give the craft a name."))
    daily_cap_min = HoursField(
        label="At most a day",
        required=False,
        help_text="Hours of it one person does in a day: 5 for carving. Blank: no limit.",
    )
    makers = forms.ModelMultipleChoiceField(
        label="Who has it",
        queryset=Maker.objects.none(),
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, data: Any = None, *, company: Company, craft: Craft | None = None) -> None:
        initial: dict[str, Any] = {}
        if craft is not None:
            initial = {"name": craft.name, "daily_cap_min": craft.daily_cap_min}
            initial["makers"] = [m.pk for m in craft.makers.all()]
        super().__init__(data, initial=initial)
        self.craft = craft or Craft(company=company)
        makers = Maker.objects.for_company(company).filter(struck_at=None)
        self.fields["makers"].queryset = makers  # type: ignore[attr-defined]

    def clean(self) -> None:
        row = copy(self.craft)
        row.name = tidy_name(self.cleaned_data.get("name", row.name))
        row.daily_cap_min = self.cleaned_data.get("daily_cap_min")
        add_found(self, craft_problems(row))


class InviteForm(forms.Form):
    """Somebody new who signs in."""

    name = forms.CharField(max_length=120, error_messages=blank("Who is it? Give a name."))
    role = forms.ChoiceField(
        label="May",
        choices=[
            (Role.READER, "reader: looks"),
            (Role.MAKER, "maker: writes down own work"),
            (Role.LEAD, "lead: does everything"),
        ],
        initial=Role.MAKER,
    )
    maker = forms.ModelChoiceField(
        label="Who they are at the bench",
        queryset=Maker.objects.none(),
        required=False,
        empty_label="not a maker here",
    )
    login = forms.CharField(
        label="Sign-in name",
        max_length=120,
        required=False,
        help_text="Their name, if left blank.",
    )

    def __init__(self, data: Any = None, *, company: Company) -> None:
        super().__init__(data)
        self.company = company
        makers = Maker.objects.for_company(company).filter(struck_at=None, user=None)
        self.fields["maker"].queryset = makers  # type: ignore[attr-defined]

    def clean(self) -> None:
        given = self.cleaned_data
        name = tidy_name(given.get("name", ""))
        login = tidy_name(given.get("login", "")) or name
        found = invite_problems(
            self.company,
            name=name,
            login=login,
            role=given.get("role", ""),
            maker=given.get("maker"),
        )
        add_found(self, found)


class RoleForm(forms.Form):
    """What somebody may do."""

    role = forms.ChoiceField(label="May", choices=Role.choices)

    def __init__(self, data: Any = None, *, place: Membership) -> None:
        super().__init__(data, initial={"role": place.role}, auto_id=f"id_%s_{place.pk}")
