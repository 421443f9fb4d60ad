"""The lead's pins on the count: one figure for these two, two figures for them, one more."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from company import clock
from company.models import User
from scenes.models import Appearance, Guise, Pin, Show
from scenes.queries.plot_words import say_stop
from scenes.services.cells import lock_plot
from scenes.services.drafts import writable_draft
from scenes.services.problems import EVERYWHERE, Problems
from scenes.services.record import Record, draft_number, keep_rows, record_rows

MOST_PINS = 60  # of a guise
MOST_MORE = 20

StopKey = tuple[UUID, int]


@transaction.atomic
def set_pin(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    kind: str,
    stops: tuple[StopKey, ...] = (),
) -> Pin:
    """Pin two copies of appearances of a guise together or apart, or ask for one figure more.

    A pin that goes against others or against the plot is kept all the same, and the count says
    why it cannot follow it. The same pin twice is one. Raises ValidationError.
    """
    lock_plot(show)
    entries = {
        a.key: a
        for a in Appearance.objects.filter(
            draft=show.current_draft_id, key__in=[key for key, _ in stops]
        ).select_related("scene", "costume")
    }
    stops = tuple(sorted(dict.fromkeys(stops), key=lambda stop: _place(entries, stop)))
    pin_problems(guise, kind, stops, entries).refuse()
    if kind != Pin.Kind.MORE and (twin := _twin(guise, kind, stops)) is not None:
        return twin
    number = draft_number(show)
    pin = Pin(guise=guise, kind=kind, at=clock.now(), by=user)
    if kind != Pin.Kind.MORE:
        (pin.first_key, pin.first_copy), (pin.second_key, pin.second_copy) = stops
        pin.said = " and ".join(say_stop(entries[key], copy) for key, copy in stops)[:240]
    pin.save()
    writable_draft(show=show, user=user)
    _record(show, user, number, f"the pin on {guise}", [], keep_rows([pin]), guise)
    return pin


@transaction.atomic
def lift_pin(*, show: Show, user: User | None, key: UUID) -> Guise | None:
    """Take a pin out; gives its guise. One that is gone already is no matter."""
    lock_plot(show)
    pins = Pin.objects.select_related("guise__character")
    pin = pins.filter(guise__character__show=show, key=key).first()
    if pin is None:
        return None
    number, before = draft_number(show), keep_rows([pin])
    guise: Guise = pin.guise
    pin.delete()
    writable_draft(show=show, user=user)
    _record(show, user, number, f"the pin on {guise} lifted", before, [], guise)
    return guise


def pin_problems(
    guise: Guise, kind: str, stops: tuple[StopKey, ...], entries: dict[UUID, Appearance]
) -> Problems:
    """All that is wrong with a pin as it would stand."""
    problems = Problems()
    if kind not in Pin.Kind.values:
        problems.add("kind", "One figure, two figures, or one more.")
        return problems
    if kind == Pin.Kind.MORE:
        if guise.pins.filter(kind=kind).count() >= MOST_MORE:
            problems.add(EVERYWHERE, f"{MOST_MORE} more than needed are enough.")
    elif len(stops) != 2:
        problems.add("stops", "Tick two of its appearances: the pin is about these two.")
        return problems
    for key, copy in stops:
        entry = entries.get(key)
        if entry is None:
            problems.add("stops", "One of the two is no longer in the plot. Load the page anew.")
        elif entry.guise_id != guise.pk:
            problems.add("stops", "They are two guises: no figure plays both.")
        elif not 1 <= copy <= entry.copies:
            problems.add("stops", f"There is no copy {copy} of it any more. Load the page anew.")
    if kind != Pin.Kind.MORE and guise.pins.exclude(kind=Pin.Kind.MORE).count() >= MOST_PINS:
        problems.add(EVERYWHERE, f"A guise has at most {MOST_PINS} pins.")
    return problems


def _place(entries: dict[UUID, Appearance], stop: StopKey) -> tuple[int, int, str, int]:
    """Where an appearance comes in the play, so that a pin is said in that order."""
    entry = entries.get(stop[0])
    if entry is None:
        return (0, 0, str(stop[0]), stop[1])
    return (entry.scene.position, entry.enters_s or 0, str(stop[0]), stop[1])


def _twin(guise: Guise, kind: str, stops: tuple[StopKey, ...]) -> Pin | None:
    for pin in guise.pins.filter(kind=kind):
        pair = {(pin.first_key, pin.first_copy), (pin.second_key, pin.second_copy)}
        if pair == set(stops):
            found: Pin = pin
            return found
    return None


def _record(
    show: Show,
    user: User | None,
    number: int | None,
    said: str,
    before: list[Record],
    after: list[Record],
    guise: Guise,
) -> None:
    record_rows(
        show=show,
        user=user,
        noun="pin",
        row=guise.pk,
        said=said,
        kind="pins",
        number=number,
        before=before,
        after=after,
    )
