"""Starting a show and editing its dates, people and stage."""

from __future__ import annotations

from datetime import date
from typing import TypedDict, Unpack

from django.db import transaction

from company import clock
from company.core.names import name_key, tidy_name
from company.models import Company, User
from company.services.changes import claim_version, record_change, snapshot
from scenes.models import Scene, Show
from scenes.services.drafts import open_draft
from scenes.services.problems import Problems

FURTHEST_YEARS = 30
NEW_RESET_S = 30  # string figures are gathered, looked over and set again


class ShowValues(TypedDict, total=False):
    """What a person may say of a show. Dates and numbers may be blank until something asks."""

    title: str
    opening: date | None
    first_day: date | None
    needed_by: date | None
    performers: int | None
    dressers: int | None
    dressers_who_work: int
    performances: int | None
    rail_hooks: int | None
    bridge_mm: int | None
    crossing_s: int
    reset_s: int


@transaction.atomic
def start_show(
    *,
    company: Company,
    user: User | None,
    has_opened: bool = False,
    **values: Unpack[ShowValues],
) -> Show:
    """Make a show with its first draft. Raises ValidationError with all that is wrong."""
    Company.objects.select_for_update().get(pk=company.pk)
    show = Show(company=company, reset_s=NEW_RESET_S)
    _take(show, values)
    show_problems(show=show, has_opened=has_opened).refuse()
    show.save()
    record_change(company=company, user=user, noun="show", row=show.pk, after=snapshot(show))
    open_draft(show=show, user=user)
    return show


@transaction.atomic
def edit_show(
    *,
    show: Show,
    user: User | None,
    version: int | None = None,
    has_opened: bool = False,
    **values: Unpack[ShowValues],
) -> Show:
    """Change what is said of a show. Counts and plans follow; nothing of the bench is touched."""
    claim_version(show, version)
    stands = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
    before = snapshot(stands)
    _take(stands, values)
    show_problems(show=stands, has_opened=has_opened).refuse()
    stands.save(update_fields=[*values, "title_key"])
    record_change(
        company=stands.company,
        user=user,
        noun="show",
        row=stands.pk,
        before=before,
        after=snapshot(stands),
    )
    return stands


def show_problems(*, show: Show, has_opened: bool = False) -> Problems:
    """All that is wrong with a show as it would stand; `has_opened` is said of a past opening."""
    problems = Problems()
    if not show.title:
        problems.add("title", "A show needs a title.")
    twin = (
        Show.objects.for_company(show.company)
        .filter(title_key=name_key(show.title))
        .exclude(pk=show.pk)
        .first()
    )
    if show.title and twin is not None:
        problems.add("title", f"There is a show called '{twin.title}' already.")
    if show.dressers_who_work > (show.dressers or 0):
        there = show.dressers or "no"
        are = "is" if show.dressers == 1 else "are"
        noun = "dresser" if show.dressers == 1 else "dressers"
        problems.add(
            "dressers_who_work",
            f"There {are} {there} {noun}: {show.dressers_who_work} of them cannot work figures.",
        )
    _check_order(show, problems)
    _check_past(show, has_opened, problems)
    return problems


def scenes_after_opening(show: Show) -> list[Scene]:
    """Scenes of the current draft that are wanted later than the show opens: to be looked at."""
    if show.opening is None or show.current_draft_id is None:
        return []
    late = Scene.objects.for_company(show.company).filter(
        draft=show.current_draft_id, needed_by__gt=show.opening
    )
    return list(late)


def say_day(day: date) -> str:
    """'3 March 2027', in words that no locale changes."""
    return f"{day.day} {day:%B %Y}"


def _check_order(show: Show, problems: Problems) -> None:
    opening, first_day, needed_by = show.opening, show.first_day, show.needed_by
    if opening and first_day and first_day >= opening:
        problems.add(
            "first_day",
            f"The first day, {say_day(first_day)}, must come before the opening on "
            f"{say_day(opening)}.",
        )
    if opening and needed_by and needed_by > opening:
        problems.add(
            "needed_by",
            f"{say_day(needed_by)} is after the opening on {say_day(opening)}: give an earlier "
            "day, or leave it blank.",
        )
    elif first_day and needed_by and needed_by < first_day:
        problems.add(
            "needed_by",
            f"{say_day(needed_by)} is before the first day, {say_day(first_day)}: nothing could "
            "be built by then.",
        )


def _check_past(show: Show, has_opened: bool, problems: Problems) -> None:
    """A date newly put into the past is asked about; one that time has passed is left alone."""
    today = clock.today(show.company)
    stands = Show.objects.filter(pk=show.pk).first() if show.pk else None
    for name in ("opening", "first_day", "needed_by"):
        day: date | None = getattr(show, name)
        if day and abs(day.year - today.year) > FURTHEST_YEARS:
            problems.add(name, f"{say_day(day)} is more than {FURTHEST_YEARS} years away.")
        elif day and name in _PAST and name not in problems and day < today and not has_opened:
            is_new = stands is None or getattr(stands, name) != day
            if is_new:
                problems.add(name, _PAST[name].format(day=say_day(day)))


_PAST = {
    "opening": "{day} is past. Give the coming opening, or say below that the show has opened.",
    "needed_by": "{day} is past. Give a day from today on, or leave it blank.",
}


def _take(show: Show, values: ShowValues) -> None:
    for name, value in values.items():
        setattr(show, name, value)
    show.title = tidy_name(show.title)
    show.title_key = name_key(show.title)
