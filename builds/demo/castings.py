"""What came out of the demo's moulds: lots, results, what lies on the shelf, what is in a mould."""

from __future__ import annotations

from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

from django.core.exceptions import ValidationError

from builds.models import Casting, Mould, Pour, Step
from builds.services.casting_costs import judge_with_cost
from builds.services.moulds import edit_mould, mend_mould
from builds.services.pours import MouldNotReady, drain_pour, edit_pour, record_pour
from builds.services.results import Verdict, open_pour
from company import clock
from company.models import Maker, User
from scenes.models import Show

GOOD, FLAWED, THROWN = Casting.Result.GOOD, Casting.Result.FLAWED, Casting.Result.THROWN
OVERNIGHT = timedelta(hours=20)

# By casting material: the lot and the mix that is written down with a pour.
POURED_FROM = {
    "neoprene slip": ("N-114", "stirred, strained, 4 parts in and 1 stays"),
    "latex slip": ("L-22", "stirred, strained"),
    "urethane resin": ("U-3", "1 to 1 by volume"),
}
# Castings that did not come out good, by code.
FAILED = {
    "JORY9-02": (THROWN, "bubble in the cheek"),
    "SISTER-01": (FLAWED, "thin at the nose"),
}
EXTRA = "CAPTAIN"  # one head more than figures want, for the shelf
IN_THE_MOULD = "JORY60"
CRACKED = "JORY9"
CRACK_WORDS = "chin cracked coming apart: glued and clamped"
CRACK_NOTE = "A few more castings at most. Straps only hand-tight."
CRACKED_LIFE = 4


def come_out(step: Step, lead: User, maker: Maker, finish: datetime, now: datetime) -> None:
    """A pour of the past: its lot and mix, and next morning what came out of it."""
    pour = _pour(step.pour_id)
    _write_lot(pour, lead, finish)
    opened = finish + OVERNIGHT
    if opened > now:
        return
    failed = _open(pour, lead, opened)
    while failed and opened + OVERNIGHT + timedelta(hours=3) < now:
        # Poured again the same day: the figure waits for it.
        at = opened + timedelta(hours=2)
        again = _record(_mould(pour.mould_id), lead, maker, pour.lot, pour.mix, at)
        if again is None:
            return
        pour = again
        opened = at + OVERNIGHT
        failed = _open(pour, lead, opened)


def _open(pour: Pour, lead: User, at: datetime) -> bool:
    """Open a pour; whether something failed."""
    castings = list(pour.castings.filter(struck_at=None))  # type: ignore[attr-defined]
    verdicts = [_verdict(casting) for casting in castings]
    thrown = [verdict.casting.code for verdict in verdicts if verdict.result == THROWN]
    with clock.fixed_at(at):
        judge_with_cost(
            pour=pour,
            failed=thrown,
            judge=lambda: open_pour(pour=pour, user=lead, verdicts=verdicts),
        )
    return any(verdict.result != GOOD for verdict in verdicts)


def _verdict(casting: Casting) -> Verdict:
    result, reason = FAILED.get(casting.code, (GOOD, ""))
    return Verdict(casting, result, reason, "shelf C" if result == FLAWED else "")


def _write_lot(pour: Pour, lead: User, at: datetime) -> None:
    lot, mix = POURED_FROM.get(pour.material or pour.mould.casting_material, ("", ""))
    if lot and not pour.lot:
        with clock.fixed_at(at):
            edit_pour(pour=pour, user=lead, version=None, lot=lot, mix=mix)


def settle_moulds(show: Show, lead: User, maker: Maker, now: datetime, zone: ZoneInfo) -> None:
    """One head for the shelf, a cracked mould, and one casting that waits to be opened."""
    now = now.astimezone(zone)
    at = now.replace(hour=15, minute=0) - timedelta(days=1)
    extra = _by_code(show, EXTRA)
    lot, mix = POURED_FROM["neoprene slip"]
    if extra is not None and extra.is_made:
        pour = _record(extra, lead, maker, lot, mix, now - timedelta(days=3))
        if pour is not None:
            castings = pour.castings.all()  # type: ignore[attr-defined]
            verdicts = [Verdict(casting, GOOD, "", "shelf C") for casting in castings]
            with clock.fixed_at(now - timedelta(days=2)):
                open_pour(pour=pour, user=lead, verdicts=verdicts)
    cracked = _by_code(show, CRACKED)
    if cracked is not None and cracked.is_made:
        with clock.fixed_at(now - timedelta(days=4)):
            mend_mould(mould=cracked, user=lead, words=CRACK_WORDS)
            edit_mould(mould=cracked, user=lead, version=None, life=CRACKED_LIFE, note=CRACK_NOTE)
    waiting = _by_code(show, IN_THE_MOULD)
    if waiting is not None and waiting.is_made:
        inside = _record(waiting, lead, maker, lot, mix, at)
        if inside is not None and inside.drain_min:
            with clock.fixed_at(at + timedelta(minutes=inside.drain_min)):
                drain_pour(pour=inside, user=lead)


def _record(
    mould: Mould, lead: User, maker: Maker, lot: str, mix: str, at: datetime
) -> Pour | None:
    """A pour at an instant, with a reason where one is asked for; None where it cannot be."""
    with clock.fixed_at(at):
        try:
            return record_pour(mould=mould, user=lead, maker=maker, lot=lot, mix=mix)
        except MouldNotReady as wait:
            reason = f"dry to the cheek, though {wait.ready.warnings[0]}"
            return record_pour(mould=mould, user=lead, maker=maker, lot=lot, mix=mix, reason=reason)
        except ValidationError:
            return None  # a casting is still in it


def _by_code(show: Show, code: str) -> Mould | None:
    rows = Mould.objects.select_related("pattern__show__company")
    return rows.filter(pattern__show=show, pattern__code=code).order_by("number").first()


def _mould(pk: int) -> Mould:
    found: Mould = Mould.objects.select_related("pattern__show__company").get(pk=pk)
    return found


def _pour(pk: int | None) -> Pour:
    found: Pour = Pour.objects.select_related("mould__pattern__show__company").get(pk=pk)
    return found
