"""What came out of the mould: each casting good, flawed or thrown out, and whose it then is."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction

from builds.models import Casting, Figure, Pour, StageAfter, Step
from builds.models.routes import Strand
from builds.services.plans import steps_changed
from builds.services.pour_rows import claim_pour, instant_of_press, record_pour_change
from builds.services.pour_steps import finish_pour_step
from company import clock
from company.models import User
from company.services.changes import changed_only, claim_version, record_change, snapshot

SHELF, SCRAP = "shelf", "scrap"
LONGEST_REASON, LONGEST_PLACE = 200, 80


@dataclass(frozen=True, slots=True)
class Verdict:
    """What somebody says of one casting: its result, why it is not good, where it is put.

    `use` keeps a flawed one in the figure it was poured for.
    """

    casting: Casting
    result: str
    reason: str = ""
    place: str = ""
    use: bool = False


@transaction.atomic
def open_pour(
    *,
    pour: Pour,
    user: User,
    verdicts: Sequence[Verdict],
    opened_at: datetime | None = None,
    version: int | None = None,
) -> Pour:
    """The mould is open: its castings are out, each with a result.

    A good one goes to the figure it was poured for, else to the first figure that still waits,
    else to its place on the shelf. One that is flawed or thrown out leaves its figure to another.
    ValidationError where it was not poured, where more come out than the mould has cavities, or a
    reason is missing; nothing is half saved.
    """
    before = claim_pour(pour, version)
    if pour.poured_at is None:
        raise ValidationError("It is not poured yet: record the pour before its castings.")
    if pour.opened_at is not None:
        raise ValidationError("It was opened already: correct a casting on its own page.")
    earliest, what = (
        (pour.drained_at, "poured out") if pour.drained_at else (pour.poured_at, "poured")
    )
    pour.opened_at = instant_of_press(opened_at, earliest, "opened_at", "opened", what)
    _check_verdicts(pour, verdicts)
    if pour.drain_min is not None and pour.drained_at is None:
        due = min(pour.opened_at, pour.poured_at + timedelta(minutes=pour.drain_min))
        pour.drained_at = due
    pour.save()
    finish_pour_step(pour, user, pour.drained_at or pour.poured_at)
    for verdict in verdicts:
        _judge(verdict, user, pour.opened_at)
    record_pour_change(pour, user, before)
    plan_anew(pour, user)
    return pour


def _check_verdicts(pour: Pour, verdicts: Sequence[Verdict]) -> None:
    own = {c.pk for c in pour.castings.filter(struck_at=None)}  # type: ignore[attr-defined]
    said = [verdict.casting.pk for verdict in verdicts]
    wrong: dict[str, Any] = {}
    if len(said) > pour.mould.cavities:
        wrong["castings"] = (
            f"The mould has {pour.mould.cavities} "
            f"{'cavity' if pour.mould.cavities == 1 else 'cavities'}: {len(said)} castings cannot "
            "have come out of one pour."
        )
    elif set(said) != own or len(said) != len(set(said)):
        wrong["castings"] = "Say of each casting of this pour how it came out, once."
    for verdict in verdicts:
        wrong |= _wrong_with(verdict)
    if wrong:
        raise ValidationError(wrong)


def _wrong_with(verdict: Verdict) -> dict[str, str]:
    """By field of the form that says it: 'reason_7' of casting 7."""
    wrong = {}
    reason, place = verdict.reason.strip(), verdict.place.strip()
    if verdict.result not in Casting.Result.values:
        wrong["result"] = f"Say how {verdict.casting} came out: good, flawed or thrown out."
    elif verdict.result != Casting.Result.GOOD and not reason:
        wrong["reason"] = f"Say in a word what is wrong with {verdict.casting}."
    if len(reason) > LONGEST_REASON:
        wrong["reason"] = f"At most {LONGEST_REASON} letters, not {len(reason)}."
    if len(place) > LONGEST_PLACE:
        wrong["place"] = f"At most {LONGEST_PLACE} letters, not {len(place)}."
    return {f"{name}_{verdict.casting.pk}": text for name, text in wrong.items()}


@transaction.atomic
def judge_casting(*, verdict: Verdict, user: User, version: int | None = None) -> Casting:
    """A casting judged again: a flaw found while trimming, or a verdict that was a mistake."""
    casting = verdict.casting
    claim_casting(casting, version)
    if casting.pour.opened_at is None:
        raise ValidationError("It is still in the mould: open that first.")
    if wrong := _wrong_with(verdict):
        raise ValidationError(wrong)
    _judge(verdict, user, clock.now())
    plan_anew(casting.pour, user)
    return casting


def _judge(verdict: Verdict, user: User, at: datetime) -> None:
    casting = verdict.casting
    before = snapshot(casting)
    casting.result, casting.reason = verdict.result, " ".join(verdict.reason.split())
    if casting.result == Casting.Result.GOOD:
        casting.reason = ""
    casting.judged_at, casting.judged_by = at, user
    place = " ".join(verdict.place.split())
    stays = verdict.use and casting.result == Casting.Result.FLAWED
    if casting.result == Casting.Result.THROWN:
        leave_figure(casting, place or SCRAP)
    elif casting.result == Casting.Result.GOOD or stays:
        _find_figure(casting, place or casting.place)
    else:
        leave_figure(casting, place or SHELF)
    casting.version += 1
    casting.save()
    record_casting(casting, user, before)


def leave_figure(casting: Casting, place: str) -> None:
    """Out of its figure; what was done on it for the figure is to be done again."""
    figure = casting.figure
    casting.figure, casting.place = None, place
    if figure is not None:
        # Written at once: the figure takes the next one before this row is saved for good.
        Casting.objects.filter(pk=casting.pk).update(figure=None, place=place)
        do_again(figure, casting)


def _find_figure(casting: Casting, place: str) -> None:
    """Good: it stays in its figure, or goes to the first that waits for a later pour."""
    if casting.figure is not None:
        casting.place = ""
        return
    waiting = (
        Casting.objects.filter(
            pattern=casting.pattern_id,
            pour__poured_at=None,
            struck_at=None,
            figure__isnull=False,
            figure__state=Figure.State.WANTED,
        )
        .select_related("figure")
        .order_by("number")
        .first()
    )
    if waiting is None or place not in ("", SHELF, SCRAP):
        casting.place = place if place not in ("", SCRAP) else SHELF
        return
    Casting.objects.filter(pk=waiting.pk).update(figure=None)
    casting.figure, casting.place = waiting.figure, ""


def do_again(figure: Figure, casting: Casting) -> list[Step]:
    """Head work that the figure had done on a casting that left it is to be done anew.

    Steps of the head strand that wait for the pour, and what of that strand waits for them. The
    hours stay on record; the step is loose again, with a line that says why.
    """
    stages = _after_pour(casting)
    steps = Step.objects.filter(
        figure=figure, stage__in=stages, stage__strand=Strand.HEAD, begun_at__isnull=False
    )
    again = list(steps.filter(struck_at=None).select_related("stage", "show"))
    for step in again:
        step.begun_at = step.begun_by = step.finished_at = None
        step.passed_at = step.passed_by = None
        step.note = "\n".join(filter(None, [step.note, f"To do again: {casting} left {figure}."]))
        step.version += 1
        step.save()
    return again


def _after_pour(casting: Casting) -> set[int]:
    """Stages that come after the pour of the casting's part, however far."""
    company = casting.pattern.show.company_id
    rows = StageAfter.objects.filter(stage__route__company=company)
    follow: dict[int, set[int]] = {}
    ahead: list[int] = []
    for stage, after, scope, part in rows.values_list(
        "stage", "after", "after__scope", "after__part"
    ):
        follow.setdefault(after, set()).add(stage)
        if scope == "pour" and (part or "head") == casting.pattern.part:
            ahead.append(after)
    found: set[int] = set()
    while ahead:
        for stage in follow.get(ahead.pop(), ()):
            if stage not in found:
                found.add(stage)
                ahead.append(stage)
    return found


def claim_casting(casting: Casting, version: int | None) -> dict[str, Any]:
    claim_version(casting, version)
    casting.refresh_from_db()
    if casting.struck_at is not None:
        raise ValidationError("This casting is struck. Nothing was recorded.")
    return snapshot(casting)


def plan_anew(pour: Pour, user: User, kept: Collection[int] = ()) -> None:
    """Castings and steps as they are wanted now; `kept` stay where they were laid."""
    from builds.services.steps import make_steps

    show = pour.mould.pattern.show
    make_steps(show=show, user=user, kept=kept)
    steps_changed(show)


def record_casting(casting: Casting, user: User, before: dict[str, Any]) -> None:
    before, after = changed_only(before, snapshot(casting))
    record_change(
        company=casting.pattern.show.company,
        user=user,
        noun="casting",
        row=casting.pk,
        before=before,
        after=after,
    )


def verdicts_all_good(castings: Iterable[Casting]) -> list[Verdict]:
    """Every casting of a pour good, in the figure it was poured for."""
    return [Verdict(casting, Casting.Result.GOOD) for casting in castings]
