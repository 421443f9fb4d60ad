"""Finding a show by its title, the same way for every command."""

from __future__ import annotations

from company.core.names import name_key, tidy_name
from company.models import Company
from company.services.companies import company_for_command
from scenes.models import Show


class ShowUnclear(Exception):
    """Which show is meant cannot be told; the message says which there are."""


def find_show(title: str, company_name: str | None = None) -> Show:
    """The show of this title in the company named, else in the only company there is.

    Titles match trimmed, in one Unicode form, without regard to case. Raises ShowUnclear, or
    CompanyUnclear where the company cannot be told, each with a message that lists the choices.
    """
    if not company_name and not Company.objects.exists():
        raise ShowUnclear(f"There is no show called {tidy_name(title)!r}: there is none yet.")
    company = company_for_command(name=company_name)
    shows = Show.objects.for_company(company).select_related("company", "current_draft")
    found: Show | None = shows.filter(title_key=name_key(title)).first()
    if found is not None:
        return found
    titles = list(shows.order_by("title_key").values_list("title", flat=True))
    there_are = f"There are: {', '.join(titles)}." if titles else "There is no show yet."
    raise ShowUnclear(f"{company} has no show called {tidy_name(title)!r}. {there_are}")
