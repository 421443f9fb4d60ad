"""The ways between named places behind the stage, where they differ from the show's crossing."""

from __future__ import annotations

from collections.abc import Iterable

from django.db import transaction

from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import StaleEdit, claim_version
from scenes.core.plot_files.places import WalkRow
from scenes.models import Show, Walk
from scenes.queries.places import spellings
from scenes.services.cells import lock_plot
from scenes.services.drafts import writable_draft
from scenes.services.problems import Problems
from scenes.services.record import Record, draft_number, keep_rows, record_rows

LONGEST_WALK_S = 24 * 60 * 60
LONGEST_NAME = 40
MOST_WALKS = 400


class WalkGone(Exception):
    """The way is no longer there: somebody else took it out."""


@transaction.atomic
def add_walk(
    *,
    show: Show,
    user: User | None,
    from_place: str,
    to_place: str,
    walk_s: int,
    is_both_ways: bool = False,
) -> list[Walk]:
    """Say how long the way from one place to another takes, and if wanted the same for back.

    A way that is there already takes the new time. Raises ValidationError with all that is wrong.
    """
    lock_plot(show)
    spell = spellings(show)
    ends = tuple(spell.get(name_key(name), tidy_name(name)) for name in (from_place, to_place))
    walk_problems(show, *ends, walk_s).refuse()
    there = {(w.from_key, w.to_key): w for w in Walk.objects.filter(show=show)}
    pairs = [ends, ends[::-1]] if is_both_ways else [ends]
    found = [there.get((name_key(start), name_key(end))) for start, end in pairs]
    number = draft_number(show)
    before = keep_rows(walk for walk in found if walk and walk.walk_s != walk_s)
    written = []
    for (start, end), walk in zip(pairs, found, strict=True):
        if walk is not None and walk.walk_s == walk_s:
            continue
        walk = walk or Walk(show=show, from_place=start, to_place=end, version=0)
        walk.walk_s = walk_s
        walk.version += 1
        walk.save()
        written.append(walk)
    if written:
        writable_draft(show=show, user=user)
        _record(show, user, number, f"the way {written[0]}", before, keep_rows(written))
    return written


@transaction.atomic
def edit_walk(
    *, show: Show, user: User | None, pk: int, walk_s: int, version: int | None = None
) -> Walk:
    """Change the time of a way. WalkGone, StaleEdit or ValidationError else."""
    lock_plot(show)
    walk = Walk.objects.filter(show=show, pk=pk).first()
    if walk is None:
        raise WalkGone
    if walk.walk_s == walk_s:
        return walk
    if version is not None and walk.version != version:
        raise StaleEdit(walk)
    walk_problems(show, walk.from_place, walk.to_place, walk_s).refuse()
    number = draft_number(show)
    before = keep_rows([walk])
    claim_version(walk, version)
    walk.walk_s = walk_s
    walk.save(update_fields=["walk_s"])
    writable_draft(show=show, user=user)
    _record(show, user, number, f"the way {walk}", before, keep_rows([walk]))
    return walk


@transaction.atomic
def remove_walk(*, show: Show, user: User | None, pk: int) -> None:
    """Let the show's crossing time count there again; a way that is gone already is no matter."""
    lock_plot(show)
    walk = Walk.objects.filter(show=show, pk=pk).first()
    if walk is None:
        return
    number = draft_number(show)
    before = keep_rows([walk])
    walk.delete()
    writable_draft(show=show, user=user)
    _record(show, user, number, f"the way {walk} taken out", before, [])


@transaction.atomic
def write_walks(*, show: Show, user: User | None, walks: Iterable[WalkRow]) -> None:
    """Make the ways exactly those of a file that was read; those that stand keep their row."""
    there = {(w.from_key, w.to_key): w for w in Walk.objects.filter(show=show)}
    number = draft_number(show)
    before = keep_rows(there.values())
    made, stay = [], []
    for said in walks:
        walk = there.pop((name_key(said.from_place), name_key(said.to_place)), None)
        if walk is None:
            made.append(
                Walk(
                    show=show,
                    from_place=said.from_place,
                    to_place=said.to_place,
                    walk_s=said.walk_s,
                )
            )
        elif walk.walk_s != said.walk_s:
            walk.walk_s, walk.version = said.walk_s, walk.version + 1
            stay.append(walk)
    Walk.objects.bulk_update(stay, ["walk_s", "version"])
    Walk.objects.filter(pk__in=[walk.pk for walk in there.values()]).delete()
    written = Walk.objects.bulk_create(made)
    if stay or there or made:
        gone = {walk.pk for walk in (*there.values(), *stay)}
        stood = [row for row in before if row["id"] in gone]
        stand = keep_rows([*stay, *written])
        _record(show, user, number, "the ways between places", stood, stand)


def walk_problems(show: Show, from_place: str, to_place: str, walk_s: int) -> Problems:
    """All that is wrong with a way, by field."""
    problems = Problems()
    for field, name in (("from_place", from_place), ("to_place", to_place)):
        if not name:
            problems.add(field, "Name the place: left, right, bridge.")
        elif len(name) > LONGEST_NAME:
            problems.add(field, f"At most {LONGEST_NAME} letters.")
    if from_place and name_key(from_place) == name_key(to_place):
        problems.add("to_place", "A way leads from one place to another.")
    if not 0 <= walk_s <= LONGEST_WALK_S:
        problems.add("minutes", "From 0 minutes to a day.")
    if Walk.objects.filter(show=show).count() >= MOST_WALKS:
        problems.add("from_place", f"A show has at most {MOST_WALKS} ways.")
    return problems


def _record(
    show: Show,
    user: User | None,
    number: int | None,
    said: str,
    before: list[Record],
    after: list[Record],
) -> None:
    record_rows(
        show=show,
        user=user,
        noun="way",
        row=show.pk,
        said=said,
        kind="walks",
        number=number,
        before=before,
        after=after,
    )
