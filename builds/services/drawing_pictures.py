"""Photos and scans of the paper drawing: written anew when they come in, one for each view."""

from __future__ import annotations

from typing import IO

from django.core.exceptions import ValidationError
from django.core.files.base import ContentFile
from django.db import transaction

from builds.models import Drawing, DrawingPicture
from company.access import company_of
from company.models import User
from company.pictures import Picture, PictureRefused, read_picture
from company.services.changes import claim_version, record_change, snapshot

LEAST_SIDE_PX = 200
MARKS = (
    "mark_a_x_px",
    "mark_a_y_px",
    "mark_b_x_px",
    "mark_b_y_px",
    "marks_mm",
    "floor_y_px",
    "axis_x_px",
    "axis_top_x_px",
    "axis_top_y_px",
)


def put_pictures(
    *,
    drawing: Drawing,
    user: User,
    version: int | None,
    upload: IO[bytes],
    size: int,
    views: tuple[str, ...],
) -> list[DrawingPicture]:
    """Lay one picture under the views that it shows. What lay there before goes.

    A new picture has no marks yet: those of the old one would measure nothing on it. Raises
    ValidationError naming `file` or `views`; nothing is kept then.
    """
    wrong: dict[str, str] = {}
    picture = None
    if not views or set(views) - set(DrawingPicture.View.values):
        wrong["views"] = "Say whether it shows the front, the profile, or both."
    try:
        picture = _read(upload, size)
    except PictureRefused as refusal:
        wrong["file"] = str(refusal)
    if wrong or picture is None:
        raise ValidationError(wrong)
    storage = DrawingPicture._meta.get_field("file").storage
    name = storage.save(f"drawings/{picture.new_name()}", ContentFile(picture.data))
    try:
        with transaction.atomic():
            return _lay_under(drawing, user, version, picture, name, views)
    except BaseException:
        storage.delete(name)
        raise


@transaction.atomic
def take_picture_away(*, picture: DrawingPicture, user: User, version: int | None) -> None:
    """Take the picture from under its view, marks and all. Holes and joints keep their mm."""
    drawing = picture.drawing
    claim_version(drawing, version)
    before = snapshot(picture)
    _remove(picture)
    record_change(
        company=company_of(drawing),
        user=user,
        noun="drawing",
        row=drawing.pk,
        before={"picture": before},
        after={"picture": None},
        said=f"took the picture of the {picture.view} from under {drawing}",
    )


def _read(upload: IO[bytes], size: int) -> Picture:
    picture = read_picture(upload, size)
    if min(picture.width_px, picture.height_px) < LEAST_SIDE_PX:
        raise PictureRefused(
            f"The picture has {picture.width_px} x {picture.height_px} points, too few to place "
            f"anything on: at least {LEAST_SIDE_PX} each way. Send the photo as it was taken."
        )
    return picture


def _lay_under(
    drawing: Drawing,
    user: User,
    version: int | None,
    picture: Picture,
    name: str,
    views: tuple[str, ...],
) -> list[DrawingPicture]:
    claim_version(drawing, version)
    stood = list(drawing.pictures.filter(view__in=views))
    before = {old.view: snapshot(old) for old in stood}
    for old in stood:
        _remove(old)
    made = [
        DrawingPicture.objects.create(
            drawing=drawing,
            view=view,
            file=name,
            width_px=picture.width_px,
            height_px=picture.height_px,
        )
        for view in views
    ]
    record_change(
        company=company_of(drawing),
        user=user,
        noun="drawing",
        row=drawing.pk,
        before={"pictures": before},
        after={"pictures": {new.view: snapshot(new) for new in made}},
        said=f"laid a picture under {drawing}, {' and '.join(views)}",
    )
    return made


def _remove(picture: DrawingPicture) -> None:
    """The row goes at once; the file once nothing names it, for other views and drawings may."""
    storage, name = picture.file.storage, picture.file.name or ""
    picture.delete()

    def drop() -> None:
        if name and not DrawingPicture.objects.filter(file=name).exists():
            storage.delete(name)

    transaction.on_commit(drop)
