"""Starting a company: the tenant, its lead, the lead's place and bench, in one step."""

from __future__ import annotations

from typing import Any
from zoneinfo import available_timezones

from django.conf import settings
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.module_loading import import_string
from django.utils.text import slugify

from company.core.names import name_key, tidy_name
from company.models import Company, Maker, Membership, Role, User
from company.services.changes import record_change, snapshot

LONGEST_NAME = 80


@transaction.atomic
def start_company(
    *,
    name: str,
    lead_name: str,
    login: str = "",
    by: User | None = None,
    **choices: Any,
) -> tuple[Company, User]:
    """Make a company with its lead, who signs in and works at the bench from the first day.

    `login` is the lead's sign-in name, their own name where left out. `choices` are other columns
    of the company: time_zone, units, paper, currency, week_start. Raises ValidationError with all
    that is wrong, by argument, having made nothing.
    """
    name, lead_name = tidy_name(name), tidy_name(lead_name)
    login = tidy_name(login) or lead_name
    company = Company(name=name, name_key=name_key(name), slug=free_slug(name), **choices)
    problems = find_problems(company, lead_name, login)
    if problems:
        raise ValidationError(problems)
    company.save()
    lead = User.objects.create_user(login=login, name=lead_name)
    Membership.objects.create(user=lead, company=company, role=Role.LEAD)
    Maker.objects.create(company=company, user=lead, name=lead_name, is_lead=True)
    record_change(
        company=company, user=by or lead, noun="company", row=company.pk, after=snapshot(company)
    )
    for path in settings.COMPANY_STARTERS:
        import_string(path)(company=company, user=by or lead)
    return company, lead


def find_problems(company: Company, lead_name: str, login: str) -> dict[str, list[str]]:
    problems: dict[str, list[str]] = {}
    try:
        company.full_clean(exclude=["slug"])
    except ValidationError as error:
        problems.update(error.message_dict)
        if "__all__" in problems:
            problems["name"] = problems.get("name", []) + problems.pop("__all__")
    if company.time_zone not in available_timezones():
        problems["time_zone"] = [f"{company.time_zone!r} is no time zone; write Europe/London."]
    if not lead_name:
        problems["lead"] = ["A company needs a lead: give their name."]
    elif len(lead_name) > LONGEST_NAME:
        problems["lead"] = [f"At most {LONGEST_NAME} letters, not {len(lead_name)}."]
    if User.objects.filter(login_key=name_key(login)).exists():
        problems["login"] = [f"Somebody signs in as {login!r} already; choose another name."]
    return problems


def free_slug(name: str) -> str:
    """A short name for addresses that no other company has."""
    stem = slugify(name)[:50].strip("-") or "company"
    taken = set(Company.objects.filter(slug__startswith=stem).values_list("slug", flat=True))
    number = 1
    slug = stem
    while slug in taken:
        number += 1
        slug = f"{stem}-{number}"
    return slug


class CompanyUnclear(Exception):
    """Which company is meant cannot be told; the message says which there are."""


def company_for_command(*, name: str | None) -> Company:
    """The company a command works for: the one named, else the only one there is.

    Where there is none and none is named, 'My company' is made, with the defaults of every
    company and a lead called 'Lead'.
    """
    if name:
        found = Company.objects.filter(name_key=name_key(name)).first()
        if found is not None:
            return found
        raise CompanyUnclear(f"There is no company called {tidy_name(name)!r}. {list_companies()}")
    companies = list(Company.objects.order_by("name_key")[:2])
    if not companies:
        return start_company(name="My company", lead_name="Lead")[0]
    if len(companies) > 1:
        raise CompanyUnclear(f"Say which company with --company NAME. {list_companies()}")
    return companies[0]


def list_companies() -> str:
    names = list(Company.objects.order_by("name_key").values_list("name", flat=True))
    return f"There are: {', '.join(names)}." if names else "There is none yet."
