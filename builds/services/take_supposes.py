"""Taking what was supposed: through the ordinary services, as far as they reach."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta

from django.db import transaction
from django.urls import reverse

from builds.loading.supposing import (
    Cut,
    DaysAway,
    FewerHelp,
    MoreGear,
    MoreHelp,
    OpeningMoved,
    OtherCraft,
    OtherHours,
    SecondMould,
    Suppose,
    Week,
)
from builds.models import Equipment, Plan, Stage
from builds.services.equipment import edit_equipment
from builds.services.plans import make_plan
from builds.services.stages import edit_stage
from company.core.stretches import Span
from company.models import Maker, User
from company.services.hours import add_day_off, set_hours
from company.services.people import add_maker, edit_maker
from scenes.models import Show
from scenes.services.shows import edit_show


@dataclass
class Taken:
    """What was written, and what is left to do by hand, as sentences; `plan` is the new draft."""

    done: list[str] = field(default_factory=list)
    by_hand: list[tuple[str, str]] = field(default_factory=list)  # sentence, address
    plan: Plan | None = None


@transaction.atomic
def take_supposes(*, show: Show, user: User, supposes: tuple[Suppose, ...]) -> Taken:
    """Write what is supposed into the workshop, all or nothing, and plan anew.

    ValidationError with what a service refuses: then nothing is written.
    """
    taken = Taken()
    for one in supposes:
        _take(one, show, user, taken)
    if taken.done:
        # Each service has read its own rows anew.
        fresh = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
        taken.plan = make_plan(show=fresh, user=user)
    return taken


def _take(one: Suppose, show: Show, user: User, taken: Taken) -> None:
    match one:
        case MoreHelp():
            _take_more(one, show, user, taken)
        case FewerHelp(maker=maker, first=first):
            last = first - timedelta(days=1)
            edit_maker(maker=maker, user=user, version=None, values={"to_date": last})
            taken.done.append(f"{maker}'s last day is {last.day} {last:%B %Y}.")
        case OtherHours(maker=maker, first=first, week=week):
            set_hours(maker=maker, user=user, from_date=first, week=_by_day(week))
            taken.done.append(f"{one.words}: the hours are written.")
        case DaysAway(maker=maker, first=first, last=last):
            add_day_off(company=show.company, user=user, first=first, last=last, maker=maker)
            taken.done.append(f"{one.words}: it is in the calendar.")
        case OpeningMoved(opening=opening):
            edit_show(show=show, user=user, opening=opening)
            taken.done.append(f"The opening is on {opening.day} {opening:%B %Y}.")
        case OtherCraft():
            _take_craft(one, show, user, taken)
        case MoreGear(equipment=name):
            row = Equipment.objects.get(company=show.company, name=name, struck_at=None)
            edit_equipment(equipment=row, user=user, name=row.name, capacity=row.capacity + 1)
            taken.done.append(f"{row.name}: there are {row.capacity} now.")
        case _:
            taken.by_hand.append(_by_hand(one, show))


def _take_more(one: MoreHelp, show: Show, user: User, taken: Taken) -> None:
    names = set(Maker.objects.for_company(show.company).values_list("name", flat=True))
    name = next(n for n in (f"Helper {k}" for k in range(1, 1000)) if n not in names)
    maker = add_maker(
        company=show.company,
        user=user,
        values={"name": name, "from_date": one.first},
        crafts=one.crafts,
    )
    set_hours(maker=maker, user=user, from_date=None, week=_by_day(one.week))
    taken.done.append(f"{name} is among the makers, with these hours.")
    address = reverse("company:maker_detail", args=[maker.pk])
    taken.by_hand.append((f"Give {name} their own name, and their marks.", address))


def _take_craft(one: OtherCraft, show: Show, user: User, taken: Taken) -> None:
    stages = Stage.objects.for_company(show.company).filter(key=one.key, struck_at=None)
    for stage in stages.select_related("route__company"):
        values = {"craft": one.craft, "lead_only": False}
        edit_stage(stage=stage, user=user, version=None, values=values)
        taken.done.append(f"'{stage.name}' of {stage.route} asks for {one.craft} now.")


def _by_hand(one: Suppose, show: Show) -> tuple[str, str]:
    """What cannot be written from here, and where it is done."""
    match one:
        case Cut(figure=figure, costume=costume):
            what = f"the {costume} of {figure.tag}" if costume else f"{figure.tag}, {figure.guise}"
            return (
                f"Take {what} out of the costume plot, and accept the count anew: "
                "only then is it no longer built.",
                reverse("scenes:plot", args=[show.pk]),
            )
        case SecondMould(name=name):
            return (
                f"Make a second one beside {name} on its page: nothing is poured into it before.",
                reverse("builds:figure_list", args=[show.pk]),
            )
    return (f"{one.words}: write it where it belongs.", reverse("builds:wall_plan", args=[show.pk]))


def _by_day(week: Week) -> dict[int, tuple[Span, ...]]:
    days, spans = week
    return dict.fromkeys(days, spans)
