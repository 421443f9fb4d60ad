"""Sketches of a guise: put up by their owner, chosen by the lead, taken away again.

A sketch is its owner's alone until it is chosen. Its row in the record of changes carries
`private_to`, so that a page that shows the record can leave it out for everybody else.
"""

from __future__ import annotations

from typing import IO

from django.core.files.base import ContentFile
from django.core.files.storage import Storage
from django.db import transaction

from company import clock
from company.access import company_of
from company.models import User
from company.pictures import PictureRefused, read_picture
from company.services.changes import record_change
from scenes.models import Guise, Sketch
from scenes.queries.sketches import leads_of, may_see_sketch
from scenes.services.problems import EVERYWHERE, Problems

LONGEST_WORDS = 200


def add_sketch(
    *, guise: Guise, user: User, upload: IO[bytes], size: int, words: str = ""
) -> Sketch:
    """Keep a sketch for its owner. Raises ValidationError for what is not a picture."""
    problems = Problems()
    words = " ".join(words.split())
    if len(words) > LONGEST_WORDS:
        problems.add("words", f"At most {LONGEST_WORDS} letters, not {len(words)}.")
    picture = None
    try:
        picture = read_picture(upload, size)
    except PictureRefused as refusal:
        problems.add("file", str(refusal))
    problems.refuse()
    assert picture is not None
    sketch = Sketch(guise=guise, made_by=user, at=clock.now(), words=words)
    name = picture.new_name()
    try:
        with transaction.atomic():
            sketch.file.save(name, ContentFile(picture.data, name=name), save=True)
            _record(sketch, user, before=None, after={"guise_id": guise.pk})
    except BaseException:
        if sketch.file.name:
            sketch.file.storage.delete(sketch.file.name)
        raise
    return sketch


@transaction.atomic
def choose_sketch(*, sketch: Sketch, user: User) -> Sketch:
    """Make it the one that everybody works from; the one before goes back to its owner alone."""
    Guise.objects.select_for_update().get(pk=sketch.guise_id)
    if not may_see_sketch(sketch, user):
        raise Sketch.DoesNotExist("A sketch that is another's alone cannot be chosen.")
    stood = Sketch.objects.filter(guise=sketch.guise_id, is_chosen=True).first()
    if stood == sketch:
        return sketch
    Sketch.objects.filter(guise=sketch.guise_id, is_chosen=True).update(is_chosen=False)
    Sketch.objects.filter(pk=sketch.pk).update(is_chosen=True)
    sketch.is_chosen = True
    _record(
        sketch,
        user,
        before={"guise_id": sketch.guise_id, "chosen": stood.pk if stood else None},
        after={"guise_id": sketch.guise_id, "chosen": sketch.pk},
    )
    return sketch


@transaction.atomic
def put_back_sketch(*, sketch: Sketch, user: User) -> Sketch:
    """No longer the chosen one: it is its owner's alone again."""
    Guise.objects.select_for_update().get(pk=sketch.guise_id)
    Sketch.objects.filter(pk=sketch.pk).update(is_chosen=False)
    was_chosen, sketch.is_chosen = sketch.is_chosen, False
    if was_chosen:
        _record(
            sketch,
            user,
            before={"guise_id": sketch.guise_id, "chosen": sketch.pk},
            after={"guise_id": sketch.guise_id, "chosen": None},
        )
    return sketch


@transaction.atomic
def give_sketch(*, sketch: Sketch, user: User, to: User) -> Sketch:
    """Its owner gives it to a lead, who may then choose it; the words keep who drew it."""
    problems = Problems()
    if sketch.made_by_id != user.pk or sketch.is_chosen:
        raise Sketch.DoesNotExist("Only its owner gives a sketch away.")
    if not leads_of(company_of(sketch)).filter(pk=to.pk).exists():
        problems.add(EVERYWHERE, "A sketch is given to a lead of the company.")
    problems.refuse()
    drawn_by = f"drawn by {user.name}"
    words = sketch.words if drawn_by in sketch.words else f"{sketch.words}, {drawn_by}"
    before: dict[str, object] = {"guise_id": sketch.guise_id, "made_by": user.pk}
    _record(sketch, user, before=before, after={"guise_id": sketch.guise_id, "made_by": to.pk})
    sketch.made_by = to
    sketch.words = words.lstrip(", ")[-LONGEST_WORDS:]
    sketch.save(update_fields=["made_by", "words"])
    return sketch


@transaction.atomic
def remove_sketch(*, sketch: Sketch, user: User) -> None:
    """Its owner takes it away, file and all. The chosen one is put back first."""
    problems = Problems()
    if sketch.made_by_id != user.pk:
        raise Sketch.DoesNotExist("Only its owner takes a sketch away.")
    if Sketch.objects.filter(pk=sketch.pk, is_chosen=True).exists():
        problems.add(
            EVERYWHERE,
            "Others work from this sketch. Once another is chosen, or none, it can go.",
        )
    problems.refuse()
    storage: Storage = sketch.file.storage
    name = sketch.file.name
    _record(sketch, user, before={"guise_id": sketch.guise_id}, after=None)
    sketch.delete()
    transaction.on_commit(lambda: storage.delete(name or ""))


def _record(
    sketch: Sketch, user: User, *, before: dict[str, object] | None, after: dict[str, object] | None
) -> None:
    is_public = "chosen" in (before or {}) or "chosen" in (after or {})
    if not is_public:
        before = before and {**before, "private_to": sketch.made_by_id}
        after = after and {**after, "private_to": sketch.made_by_id}
    record_change(
        company=company_of(sketch),
        user=user,
        noun="sketch",
        row=sketch.pk,
        before=before,
        after=after,
    )
