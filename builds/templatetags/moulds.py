"""The shelf of moulds on a page: wear as knots, instants, and what a failure cost in words."""

from __future__ import annotations

from datetime import UTC, datetime
from zoneinfo import ZoneInfo

from django import template
from django.utils.safestring import SafeString

from builds.drawings.castings import draw_castings
from builds.models import Casting, Pour
from builds.queries.mould_cards import MouldCard
from builds.queries.moulds import RESULT_KNOTS
from builds.templatetags.knots import knot
from company import clock
from company.drawing import Knot
from company.models import Company
from company.templatetags.words import day, hours

register = template.Library()


@register.simple_tag
def wear(card: MouldCard) -> SafeString:
    """The mould's castings, drawn and to come, as knots on its thread."""
    flawed = {c.code: "flawed" for c in card.castings if c.result == Casting.Result.FLAWED}
    return draw_castings(card.knots, ident=f"mould-{card.mould.pk}", words=flawed)


@register.simple_tag
def casting_knot(casting: Casting) -> SafeString:
    """The knot of one casting; the word stands beside it."""
    if casting.result:
        return knot(RESULT_KNOTS[Casting.Result(casting.result)].value)
    return knot((Knot.HALF if casting.pour.poured_at else Knot.LOOSE).value)


@register.simple_tag
def now_mark() -> str:
    """The server's instant, by which the clocks on the page count."""
    return clock.now().astimezone(UTC).isoformat()


@register.filter
def iso(value: datetime | None) -> str:
    """An instant as scripts read it."""
    return value.astimezone(UTC).isoformat() if value is not None else ""


@register.filter
def percent(share: float) -> str:
    """A share as a whole number of a hundred."""
    return str(round(share * 100))


@register.simple_tag
def cost_words(pour: Pour, company: Company) -> str:
    """What the failures of a pour cost: hours of work, and the day on which all is ready."""
    cost = pour.cost or {}
    zone = ZoneInfo(company.time_zone)
    said = f"{cost.get('words', '')}: "
    minutes = int(cost.get("work_min") or 0)
    said += f"{hours(minutes)} of work more" if minutes else "no work more"
    before, after = (_instant(cost.get(name)) for name in ("ready_before", "ready_after"))
    if before is None or after is None:
        return f"{said}."
    was, now = before.astimezone(zone), after.astimezone(zone)
    days = (now.date() - was.date()).days
    if days > 0:
        number = f"{days} day{'' if days == 1 else 's'}"
        return f"{said}; all ready {day(now)} instead of {day(was)}, {number} later."
    later_min = round((now - was).total_seconds() / 60)
    if days == 0 and later_min >= 15:
        return f"{said}; all ready {hours(later_min)} later, still on {day(was)}."
    return f"{said}; all is ready on {day(was)} as before."


def _instant(text: str | None) -> datetime | None:
    return datetime.fromisoformat(text) if text else None
