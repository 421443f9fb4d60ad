"""The codes of what is supposed: written from values, read back against the show's own rows."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from zoneinfo import ZoneInfo

from builds.loading.steps import mould_name
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
    say_away,
    say_more,
    say_week,
)
from builds.models import Equipment, Figure, FigureCostume, Mould, Stage
from company.core.stretches import Span
from company.models import Craft, Maker
from company.templatetags.words import full_day
from scenes.models import Show

MOST = 8  # things supposed at once
LONGEST_CODE = 120


def write_week(days: Iterable[int], spans: Iterable[Span]) -> str:
    """Weekdays and stretches as a code.

    >>> write_week([1, 3], [(600, 780), (810, 1020)])
    '13.600-780.810-1020'
    """
    return ".".join(["".join(map(str, days)), *(f"{a}-{b}" for a, b in spans)])


def read_week(text: str) -> Week:
    """The code of a week read back. ValueError where it is none."""
    days, *hours = text.split(".")
    found = tuple(sorted({int(day) for day in days}))
    spans = []
    for piece in hours:
        a, _, b = piece.partition("-")
        spans.append((int(a), int(b)))
    if not found or not spans or max(found) > 6 or any(not 0 <= a < b <= 1440 for a, b in spans):
        raise ValueError(f"text is {text!r}: no weekdays and stretches")
    return found, tuple(sorted(spans))


def read_supposes(show: Show, codes: Iterable[str]) -> tuple[Suppose, ...]:
    """What the codes mean in this show, each once; what means nothing here is passed over."""
    found: dict[str, Suppose] = {}
    for code in list(dict.fromkeys(codes))[:MOST]:
        one = read_suppose(show, code)
        if one is not None:
            found[one.code] = one
    return tuple(found.values())


def read_suppose(show: Show, code: str) -> Suppose | None:
    """What a code means in this show; None where it means nothing."""
    kind, *values = code[:LONGEST_CODE].split(":")
    reader = _READERS.get(kind)
    if reader is None:
        return None
    try:
        return reader(show, code, *values)
    except (TypeError, ValueError, OverflowError):
        return None  # too few or too many values, no number, no day


def _more(show: Show, code: str, crafts: str, week: str, first: str) -> Suppose | None:
    own = Craft.objects.for_company(show.company).filter(struck_at=None)
    found = tuple(own.filter(pk__in=[int(pk) for pk in crafts.split(",")]).order_by("name"))
    if not found:
        return None
    asked, day = read_week(week), date.fromisoformat(first)
    return MoreHelp(code, say_more(found, asked, day), show, found, asked, day)


def _fewer(show: Show, code: str, maker: str, first: str) -> Suppose | None:
    who, day = _maker(show, maker), date.fromisoformat(first)
    if who is None:
        return None
    words = f"{who} is there no more from {full_day(day)}"
    return FewerHelp(code, words, ZoneInfo(show.company.time_zone), who, day)


def _hours(show: Show, code: str, maker: str, week: str, first: str) -> Suppose | None:
    who, asked, day = _maker(show, maker), read_week(week), date.fromisoformat(first)
    if who is None:
        return None
    words = f"{who} comes {say_week(asked)}, from {full_day(day)}"
    return OtherHours(code, words, show, who, asked, day)


def _away(show: Show, code: str, maker: str, first: str, last: str) -> Suppose | None:
    who = _maker(show, maker) if maker != "0" else None
    a, b = date.fromisoformat(first), date.fromisoformat(last)
    if (who is None and maker != "0") or b < a or (b - a).days > 730:
        return None
    zone = ZoneInfo(show.company.time_zone)
    return DaysAway(code, say_away(who, a, b), zone, who, a, b)


def _cut(show: Show, code: str, figure: str, costume: str = "") -> Suppose | None:
    rows = Figure.objects.filter(show=show, state=Figure.State.WANTED, pk=int(figure))
    row = rows.select_related("guise__character").first()
    if row is None:
        return None
    if not costume:
        return Cut(code, f"no {row.tag}, {row.guise}", row, None)
    worn = FigureCostume.objects.filter(figure=row, costume_id=int(costume), struck_at=None)
    found = worn.select_related("costume").first()
    if found is None:
        return None
    return Cut(code, f"no {found.costume} for {row.tag}, {row.guise}", row, found.costume)


def _opening(show: Show, code: str, opening: str) -> Suppose | None:
    day = date.fromisoformat(opening)
    return OpeningMoved(code, f"opening on {full_day(day)}", show, day)


def _craft(show: Show, code: str, key: str, craft: str) -> Suppose | None:
    own = Craft.objects.for_company(show.company).filter(struck_at=None, pk=int(craft))
    stages = Stage.objects.for_company(show.company).filter(struck_at=None, key=key)
    given, stage = own.first(), stages.order_by("pk").first()
    if given is None or stage is None:
        return None
    name = stage.name[:1].lower() + stage.name[1:]
    return OtherCraft(code, f"'{name}' done by those who can {given}", key, given)


def _gear(show: Show, code: str, gear: str) -> Suppose | None:
    own = Equipment.objects.filter(company=show.company, struck_at=None, pk=int(gear))
    row = own.first()
    return MoreGear(code, f"one more: {row.name}", row.name) if row else None


def _mould(show: Show, code: str, mould: str) -> Suppose | None:
    rows = Mould.objects.filter(pattern__show=show, pk=int(mould)).select_related("pattern")
    row = rows.first()
    if row is None:
        return None
    name = mould_name(row)
    return SecondMould(code, f"a second one beside {name}", row, name)


def _maker(show: Show, pk: str) -> Maker | None:
    rows = Maker.objects.filter(company=show.company, struck_at=None, pk=int(pk))
    return rows.prefetch_related("crafts").first()


_READERS: dict[str, Callable[..., Suppose | None]] = {
    "more": _more,
    "fewer": _fewer,
    "hours": _hours,
    "away": _away,
    "cut": _cut,
    "opening": _opening,
    "craft": _craft,
    "gear": _gear,
    "mould": _mould,
}
