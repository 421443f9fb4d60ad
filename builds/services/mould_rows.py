"""Rows that a mould stands among: the next mould, the next pour, and who shares what is ahead."""

from __future__ import annotations

from django.db.models import Max, Q

from builds.models import Mould, Pour, Stage, StageAfter, Step

COPIED = (
    *("sculpt_material", "material", "casting_material", "shrinkage_permille", "fill_ml"),
    *("stays_ml", "parts", "cavities", "dry_min", "rest_min", "dry_every"),
    *("yield_percent", "sure_percent"),
)


def next_number(mould: Mould) -> int:
    """The next number of a pour in the mould."""
    return (mould.pours.aggregate(n=Max("number"))["n"] or 0) + 1  # type: ignore[attr-defined]


def next_mould(pattern: int, moulds: list[Mould]) -> Mould:
    """One mould more, of the same materials as the newest."""
    like = moulds[-1] if moulds else None
    values = {name: getattr(like, name) for name in COPIED} if like is not None else {}
    number = max((mould.number for mould in moulds), default=0) + 1
    return Mould.objects.create(pattern_id=pattern, number=number, **values)


def spread_pours(pattern: int) -> None:
    """Share the pours still to begin among the moulds in use: the fewest ahead comes first.

    Those of a retired mould go to the others; where there is none, they wait for the next one.
    """
    moulds = list(Mould.objects.filter(pattern_id=pattern).order_by("number"))
    in_use = [mould for mould in moulds if not mould.is_retired]
    if not in_use:
        return
    begun = Step.objects.filter(pour__mould__pattern=pattern, begun_at__isnull=False)
    pours = Pour.objects.filter(mould__in=moulds, poured_at=None, struck_at=None)
    movable = list(pours.exclude(pk__in=begun.values("pour")).order_by("pk"))
    ahead = dict.fromkeys((mould.pk for mould in in_use), 0)
    for pour in movable:
        least = min(ahead.values())
        stays = pour.mould_id in ahead and ahead[pour.mould_id] == least
        mould = next(
            m for m in in_use if ahead[m.pk] == least and (not stays or m.pk == pour.mould_id)
        )
        if mould.pk != pour.mould_id:
            pour.mould, pour.number = mould, next_number(mould)
            pour.save(update_fields=["mould", "number"])
        ahead[mould.pk] += 1


def moulding_stages(part: str, company_pk: int) -> set[int]:
    """Stages that make the mould of a part: what its pour waits for, done for the part."""
    rows = StageAfter.objects.filter(
        stage__route__company=company_pk,
        stage__scope="pour",
        stage__struck_at=None,
        after__scope="guise",
        after__struck_at=None,
        after__part=part,
    ).filter(Q(stage__part=part) | Q(stage__part="", after__part="head"))
    return set(rows.values_list("after_id", flat=True))


def makes_mould(stage: Stage) -> bool:
    """Whether finishing the stage makes a mould."""
    return stage.pk in moulding_stages(stage.part, stage.route.company_id)
