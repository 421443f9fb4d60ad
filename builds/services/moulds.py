"""A mould's life: made, dried, mended, written on, retired, replaced, and one more of it."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Mould, Pour, Step
from builds.queries.materials import Materials
from builds.queries.mould_times import drying_min
from builds.services.mould_rows import makes_mould, next_mould, spread_pours
from builds.services.plans import steps_changed
from company import clock
from company.models import Company, User
from company.services.changes import changed_only, claim_version, record_change, snapshot

LONGEST_WORDS = 200
LONGEST_NOTE = 4000
MOST_LIFE = 2000
MOST_CAVITIES = 20
MOST_PARTS = 12
MOST_MIN = 60 * 24 * 60
WRITABLE = (
    *("parts", "cavities", "dry_min", "first_use", "rest_min", "dry_every", "life"),
    *("yield_percent", "sure_percent", "note"),
)


def company_of_mould(mould: Mould) -> Company:
    """The company it belongs to."""
    company: Company = mould.pattern.show.company
    return company


def follow_step(step: Step, user: User) -> None:
    """The mould follows the step that makes it: made when that is finished, not made when not.

    ValidationError where the step is taken back though the mould was poured in.
    """
    mould = step.mould or _first_mould(step)
    if mould is None or not makes_mould(step.stage):
        return
    made_at = (step.passed_at if step.stage.gate else step.finished_at) or None
    if made_at == mould.made_at or mould.is_retired:
        return
    before = snapshot(mould)
    if made_at is None:
        if Pour.objects.filter(mould=mould, poured_at__isnull=False, struck_at=None).exists():
            raise ValidationError(
                f"{mould} was poured in already, so it was made: strike the pour first."
            )
        mould.state, mould.made_at, mould.first_use = Mould.State.WANTED, None, None
    else:
        mould.state, mould.made_at = Mould.State.IN_USE, made_at
        known = Materials(step.show.company)
        dries_min = drying_min(mould, step.stage.wait_min, known)
        mould.first_use = made_at + timedelta(minutes=dries_min)
    mould.version += 1
    mould.save()
    _record(mould, user, before)


def _first_mould(step: Step) -> Mould | None:
    if step.pattern_id is None:
        return None
    rows = Mould.objects.select_related("pattern__show__company")
    return rows.filter(pattern=step.pattern_id).order_by("number").first()


@transaction.atomic
def edit_mould(*, mould: Mould, user: User, version: int | None, **values: Any) -> Mould:
    """Write what a mould is and when it may be used; only what is given.

    Raises StaleEdit, and ValidationError naming every field that is wrong.
    """
    unknown = values.keys() - set(WRITABLE)
    if unknown:
        raise TypeError(f"cannot write {sorted(unknown)!r} here")
    before = _claim(mould, version)
    for name, value in values.items():
        setattr(mould, name, value.strip() if isinstance(value, str) else value)
    wrong = _problems(mould, values)
    if wrong:
        raise ValidationError(wrong)
    dries = values.get("dry_min")
    if dries is not None and dries != before["dry_min"] and "first_use" not in values:
        mould.first_use = mould.made_at and mould.made_at + timedelta(minutes=dries)
    mould.save()
    _record(mould, user, before)
    _plan_anew(mould, user)
    return mould


def _problems(mould: Mould, values: dict[str, Any]) -> dict[str, str]:
    wrong: dict[str, str] = {}
    for name, low, high, what in (
        ("parts", 1, MOST_PARTS, "parts"),
        ("cavities", 1, MOST_CAVITIES, "castings a pour"),
        ("life", 1, MOST_LIFE, "castings"),
        ("yield_percent", 1, 100, "of a hundred"),
        ("sure_percent", 1, 99, "of a hundred"),
        ("rest_min", 0, MOST_MIN, "minutes"),
    ):
        value = getattr(mould, name)
        if value is None or not low <= value <= high:
            wrong[name] = f"From {low} to {high} {what}."
    if mould.dry_min is not None and not 0 <= mould.dry_min <= MOST_MIN:
        wrong["dry_min"] = "From nought to 60 days."
    if mould.dry_every is not None and not 1 <= mould.dry_every <= MOST_LIFE:
        wrong["dry_every"] = "After one pour or more; blank where it need not be dried again."
    if len(mould.note) > LONGEST_NOTE:
        wrong["note"] = f"At most {LONGEST_NOTE} letters, not {len(mould.note)}."
    if "first_use" in values:
        wrong |= _first_use_problem(mould)
    taken = Pour.objects.filter(mould=mould, struck_at=None)
    most = max((pour.castings.count() for pour in taken), default=0) if "cavities" in values else 0
    if most > mould.cavities >= 1:
        wrong["cavities"] = f"A pour of it has {most} castings already."
    return wrong


def _first_use_problem(mould: Mould) -> dict[str, str]:
    if mould.first_use is None and mould.made_at is not None:
        return {"first_use": "Say from when on it may be poured."}
    if mould.first_use is not None and mould.made_at is None:
        return {"first_use": "It is not made yet: finish the step that makes it first."}
    if mould.first_use is not None and mould.first_use < (mould.made_at or mould.first_use):
        return {"first_use": "That is before it was made."}
    return {}


@transaction.atomic
def dry_mould(*, mould: Mould, user: User, version: int | None = None) -> Mould:
    """It has had its drying day: the pours since then are counted from nought."""
    before = _claim(mould, version)
    if not mould.is_made or mould.is_retired:
        raise ValidationError("Only a mould in use is dried.")
    mould.dried_at = clock.now()
    mould.save()
    _record(mould, user, before)
    return mould


@transaction.atomic
def mend_mould(
    *, mould: Mould, user: User, words: str, more_castings: int = 0, version: int | None = None
) -> Mould:
    """It was mended, with what was done; `more_castings` lengthen its expected life."""
    before = _claim(mould, version)
    wrong: dict[str, str] = {}
    if not mould.is_made or mould.is_retired:
        raise ValidationError("Only a mould in use is mended.")
    if not words.strip():
        wrong["words"] = "Say in a few words what was mended."
    if len(words.strip()) > LONGEST_WORDS:
        wrong["words"] = f"At most {LONGEST_WORDS} letters, not {len(words.strip())}."
    if not 0 <= more_castings <= MOST_LIFE - mould.life:
        wrong["more_castings"] = f"Its whole life is at most {MOST_LIFE} castings."
    if wrong:
        raise ValidationError(wrong)
    mould.state, mould.mended_at = Mould.State.MENDED, clock.now()
    mould.mended_words, mould.life = words.strip(), mould.life + more_castings
    mould.save()
    _record(mould, user, before)
    _plan_anew(mould, user)
    return mould


@transaction.atomic
def retire_mould(
    *, mould: Mould, user: User, words: str, replace: bool = False, version: int | None = None
) -> Mould:
    """Nothing is poured in it any more; what came out of it stays. `replace` wants a new one.

    Its pours still to come go to the other moulds of the pattern, or to the one that replaces it.
    """
    before = _claim(mould, version)
    if mould.is_retired:
        raise ValidationError("It is retired already.")
    if not words.strip():
        raise ValidationError({"words": "Say in a few words why."})
    if len(words.strip()) > LONGEST_WORDS:
        raise ValidationError({"words": f"At most {LONGEST_WORDS} letters."})
    if mould.number == 1 and not mould.is_made:
        raise ValidationError("It is not made yet: leave its step unbegun instead.")
    if Pour.objects.filter(
        mould=mould, poured_at__isnull=False, opened_at=None, struck_at=None
    ).exists():
        raise ValidationError("A casting is still in it: open it first.")
    mould.state, mould.retired_at = Mould.State.RETIRED, clock.now()
    mould.retired_words = words.strip()
    if replace:
        others = list(Mould.objects.filter(pattern=mould.pattern_id).order_by("number"))
        mould.replaced_by = next_mould(mould.pattern_id, others)
    mould.save()
    spread_pours(mould.pattern_id)
    _record(mould, user, before)
    _plan_anew(mould, user)
    return mould


@transaction.atomic
def add_mould(*, mould: Mould, user: User) -> Mould:
    """One mould more beside this one: the pours still to come are shared between them."""
    others = list(Mould.objects.filter(pattern=mould.pattern_id).order_by("number"))
    if sum(not other.is_retired for other in others) >= MOST_CAVITIES:
        raise ValidationError("That is more moulds than anybody has shelves for.")
    made = next_mould(mould.pattern_id, others)
    spread_pours(mould.pattern_id)
    record_change(
        company=company_of_mould(mould),
        user=user,
        noun="mould",
        row=made.pk,
        after=snapshot(made),
    )
    _plan_anew(mould, user)
    return made


def set_first_use(mould: Mould, user: User, at: datetime) -> Mould:
    """It is dry now, or it needs longer: when it may be poured for the first time."""
    return edit_mould(mould=mould, user=user, version=None, first_use=at)


def _claim(mould: Mould, version: int | None) -> dict[str, Any]:
    claim_version(mould, version)
    mould.refresh_from_db()
    return snapshot(mould)


def _plan_anew(mould: Mould, user: User) -> None:
    from builds.services.steps import make_steps

    make_steps(show=mould.pattern.show, user=user)
    steps_changed(mould.pattern.show)


def _record(mould: Mould, user: User | None, before: dict[str, Any]) -> None:
    before, after = changed_only(before, snapshot(mould))
    if after:
        record_change(
            company=company_of_mould(mould),
            user=user,
            noun="mould",
            row=mould.pk,
            before=before,
            after=after,
        )
