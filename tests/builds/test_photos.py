"""Photos: kept for the company alone, written anew, struck and not deleted."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from PIL import Image

from builds.models import Photo
from builds.services.photos import add_photo, strike_photo
from company.models import Change, Role
from tests.builds.desk import Desk
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db

GPS_IFD = 0x8825


@pytest.fixture
def desk() -> Desk:
    made = Desk()
    made.wear(made.role("Captain Pell", "", "uniform"), "1", "uniform")
    made.accept()
    return made


def picture(form: str = "JPEG", **more: Any) -> bytes:
    out = BytesIO()
    Image.new("RGB", (40, 30), "tan").save(out, form, **more)
    return out.getvalue()


def put_up(desk: Desk, **more: Any) -> Photo:
    data = picture()
    return add_photo(
        subject=desk.figure("P1"), user=desk.lead, upload=BytesIO(data), size=len(data), **more
    )


def sign_in(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


def test_a_photo_is_kept_with_its_size_under_a_name_of_its_own(desk: Desk) -> None:
    photo = put_up(desk, words="  hung   up ")
    assert (photo.width_px, photo.height_px, photo.words) == (40, 30, "hung up")
    assert Path(photo.file.path).stat().st_size > 0
    assert photo.file.name.startswith("photos/")
    assert Change.objects.filter(noun="photo", row=str(photo.pk)).exists()


def test_position_in_an_upload_does_not_travel_on(desk: Desk) -> None:
    exif = Image.Exif()
    exif[GPS_IFD] = {1: "N", 2: (54.0, 0.0, 0.0)}
    data = picture(exif=exif)
    assert Image.open(BytesIO(data)).getexif().get_ifd(GPS_IFD)
    photo = add_photo(
        subject=desk.step("P1", "carve"), user=desk.lead, upload=BytesIO(data), size=len(data)
    )
    with Image.open(photo.file.path) as kept:
        assert not kept.getexif().get_ifd(GPS_IFD)


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "The file is empty"),
        (b"<svg/>", "not a whole PNG, JPEG or WebP"),
        (b"x" * 99, "not a"),
    ],
)
def test_what_is_no_picture_is_refused_and_nothing_is_kept(
    desk: Desk, data: bytes, words: str
) -> None:
    with pytest.raises(ValidationError) as refusal:
        add_photo(
            subject=desk.figure("P1"), user=desk.lead, upload=BytesIO(data), size=len(data),
            words="y" * 201,
        )  # fmt: skip
    assert words in refusal.value.message_dict["file"][0]
    assert "At most 200 letters" in refusal.value.message_dict["words"][0]
    assert not Photo.objects.exists()


def test_its_taker_and_the_lead_put_a_photo_away_and_the_file_stays(desk: Desk) -> None:
    photo = put_up(desk)
    other = person(desk.company, Role.MAKER, "Tomas")
    with pytest.raises(ValidationError, match="your own photos"):
        strike_photo(photo=photo, user=other)
    strike_photo(photo=photo, user=desk.lead)
    assert photo.struck_at is not None
    assert Path(photo.file.path).exists()


def test_only_people_of_the_company_see_the_picture(desk: Desk) -> None:
    photo = put_up(desk)
    address = reverse("builds:photo_file", args=[photo.pk])
    for role in Role:
        answer = sign_in(person(desk.company, role, "Odile")).get(address)
        assert (answer.status_code, answer["Content-Type"]) == (200, "image/jpeg")
        assert b"".join(answer.streaming_content)[:2] == b"\xff\xd8"
    stranger = person(CompanyFactory(), Role.LEAD, "Somebody")
    assert sign_in(stranger).get(address).status_code == 404
    assert Client().get(address).status_code == 302


def test_a_picture_missing_from_the_shelf_is_not_found(desk: Desk) -> None:
    photo = put_up(desk)
    Path(photo.file.path).unlink()
    answer = sign_in(desk.lead).get(reverse("builds:photo_file", args=[photo.pk]))
    assert answer.status_code == 404


def test_photos_go_up_from_the_pages_of_figure_and_step(desk: Desk) -> None:
    client, figure, step = sign_in(desk.lead), desk.figure("P1"), desk.step("P1", "carve")
    for name, pk in (("figure_photo_add", figure.pk), ("step_photo_add", step.pk)):
        file = SimpleUploadedFile("a.jpg", picture(), "image/jpeg")
        answer = client.post(reverse(f"builds:{name}", args=[pk]), {"file": file, "words": "bare"})
        assert answer.status_code == 302
    page = client.get(figure.get_absolute_url()).content.decode()
    assert page.count('class="photo" src="/photos/') == 2
    file = SimpleUploadedFile("a.jpg", b"nothing", "image/jpeg")
    answer = client.post(
        reverse("builds:figure_photo_add", args=[figure.pk]), {"file": file, "words": "kept words"}
    )
    assert answer.status_code == 422
    assert "kept words" in answer.content.decode()
    photo = Photo.objects.first()
    assert photo is not None
    answer = client.post(reverse("builds:photo_strike", args=[photo.pk]), follow=True)
    assert "The photo is put away." in answer.content.decode()


def test_readers_put_up_and_put_away_nothing(desk: Desk) -> None:
    photo = put_up(desk)
    client = sign_in(person(desk.company, Role.READER, "Odile"))
    figure = desk.figure("P1")
    for name, pk in (("figure_photo_add", figure.pk), ("photo_strike", photo.pk)):
        assert client.post(reverse(f"builds:{name}", args=[pk])).status_code == 403
    assert "Put up a photo" not in client.get(figure.get_absolute_url()).content.decode()
