"""Photos of a figure, a step or a pour: written anew when they come in, struck, never deleted."""

from __future__ import annotations

from typing import IO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from builds.models import Figure, Photo, Pour, Step
from company import clock
from company.access import company_of, membership_of
from company.models import Role, User
from company.pictures import PictureRefused, read_picture
from company.services.changes import record_change

LONGEST_WORDS = 200


def add_photo(
    *, subject: Figure | Step | Pour, user: User, upload: IO[bytes], size: int, words: str = ""
) -> Photo:
    """Keep a photo. Raises ValidationError naming `file` or `words`; nothing is kept then."""
    words = " ".join(words.split())
    wrong: dict[str, str] = {}
    picture = None
    if len(words) > LONGEST_WORDS:
        wrong["words"] = f"At most {LONGEST_WORDS} letters, not {len(words)}."
    try:
        picture = read_picture(upload, size)
    except PictureRefused as refusal:
        wrong["file"] = str(refusal)
    if wrong or picture is None:
        raise ValidationError(wrong)
    company = company_of(subject)
    column = {Figure: "figure", Step: "step", Pour: "pour"}[type(subject)]
    name = picture.new_name()
    photo = Photo(company=company, by=user, at=clock.now(), words=words, **{column: subject})
    try:
        with transaction.atomic():
            # A name of its own, or Django does not look at the size of the picture.
            photo.file.save(name, ContentFile(picture.data, name=name), save=True)
            record_change(
                company=company,
                user=user,
                noun="photo",
                row=photo.pk,
                after={column: subject.pk, "words": words},
            )
    except BaseException:
        if photo.file.name:
            photo.file.storage.delete(photo.file.name)
        raise
    return photo


@transaction.atomic
def strike_photo(*, photo: Photo, user: User) -> Photo:
    """Put a photo away. Whoever took it may, and the lead; the file stays on the shelf."""
    role = Role(membership_of(user, photo.company).role)
    if role is not Role.LEAD and photo.by_id != user.pk:
        raise ValidationError("Put away your own photos; the lead puts away those of others.")
    if photo.struck_at is None:
        photo.struck_at = clock.now()
        photo.save(update_fields=["struck_at"])
        record_change(
            company=photo.company,
            user=user,
            noun="photo",
            row=photo.pk,
            before={"struck_at": None},
            after={"struck_at": str(photo.struck_at)},
        )
    return photo
