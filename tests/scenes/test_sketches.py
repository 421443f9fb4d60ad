"""Sketches: kept for their owner, chosen by the lead, and never seen by anybody else before."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from PIL import Image

from company.models import Change, Membership, Role
from scenes.models import Sketch
from scenes.queries.sketches import chosen_sketch, sketches_seen_by
from scenes.services.sketches import (
    add_sketch,
    choose_sketch,
    give_sketch,
    put_back_sketch,
    remove_sketch,
)
from tests.factories import CharacterFactory, CompanyFactory, GuiseFactory, ShowFactory, person

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
GPS = 0x8825


@pytest.fixture
def company():
    return CompanyFactory(name="Driftmoor Figure Theatre")


@pytest.fixture
def guise(company):
    show = ShowFactory(company=company)
    return GuiseFactory(character=CharacterFactory(show=show))


@pytest.fixture
def people(company):
    """Everybody who might look: two leads, two makers, a reader, another company's lead."""
    return {
        "ines": person(company, Role.LEAD, "Ines"),
        "odile": person(company, Role.LEAD, "Odile"),
        "tomas": person(company, Role.MAKER, "Tomas"),
        "priya": person(company, Role.MAKER, "Priya"),
        "reader": person(company, Role.READER, "Reader"),
        "stranger": person(CompanyFactory(name="The Other Bench"), Role.LEAD, "Stranger"),
    }


def png(colour=(200, 30, 60), **more):
    out = io.BytesIO()
    Image.new("RGB", (30, 40), colour).save(out, "PNG", **more)
    return out.getvalue()


def jpeg_with_position():
    exif = Image.Exif()
    exif.get_ifd(GPS)[2] = (54.0, 1.0, 2.0)
    out = io.BytesIO()
    Image.new("RGB", (30, 40)).save(out, "JPEG", exif=exif.tobytes())
    return out.getvalue()


def draw(guise, user, words="sketch of a stoop"):
    data = png()
    return add_sketch(guise=guise, user=user, upload=io.BytesIO(data), size=len(data), words=words)


def show_of(guise):
    return guise.character.show


def address(name, sketch):
    return reverse(f"scenes:{name}", args=[show_of(sketch.guise).pk, sketch.pk])


def send(client, guise, data, name="Jory.png", words="", **more):
    return client.post(
        reverse("scenes:sketch_add", args=[show_of(guise).pk, guise.pk]),
        {"file": SimpleUploadedFile(name, data, content_type="image/png"), "words": words},
        **more,
    )


def fetch(client, sketch, **headers):
    """The answer to a request for the picture, read to its end."""
    response = client.get(address("sketch_file", sketch), headers=headers)
    response.body = response.getvalue()
    return response


def kept_files(settings):
    return [file for file in Path(settings.MEDIA_ROOT).rglob("*") if file.is_file()]


# Keeping


def test_sketch_is_kept_under_a_name_that_tells_nothing(guise, people, settings):
    sketch = draw(guise, people["tomas"])

    assert (sketch.width_px, sketch.height_px, sketch.is_chosen) == (30, 40, False)
    (file,) = kept_files(settings)
    assert file.parent.name == "sketches"
    assert len(file.stem) == 32
    assert "tomas" not in sketch.file.name.casefold()


def test_record_of_a_private_sketch_says_whose_it_is(guise, people):
    sketch = draw(guise, people["tomas"])

    change = Change.objects.get(noun="sketch")
    assert change.after == {"guise_id": guise.pk, "private_to": people["tomas"].pk}
    assert change.row == str(sketch.pk)


def test_nothing_is_left_of_what_is_no_picture(guise, people, settings):
    with pytest.raises(ValidationError) as refused:
        add_sketch(
            guise=guise, user=people["tomas"], upload=io.BytesIO(b"<html>"), size=6, words="x" * 201
        )

    assert set(refused.value.message_dict) == {"file", "words"}
    assert not Sketch.objects.exists()
    assert not kept_files(settings)


def test_file_goes_with_its_row(guise, people, settings, django_capture_on_commit_callbacks):
    sketch = draw(guise, people["tomas"])

    with django_capture_on_commit_callbacks(execute=True):
        remove_sketch(sketch=sketch, user=people["tomas"])

    assert not Sketch.objects.exists()
    assert not kept_files(settings)


def test_sent_by_the_page(guise, people, client):
    client.force_login(people["tomas"])

    response = send(client, guise, png(), words=" a  stoop ", headers=HTMX)

    sketch = Sketch.objects.get()
    assert response.status_code == 200
    assert (sketch.made_by, sketch.words) == (people["tomas"], "a stoop")
    assert address("sketch_file", sketch) in response.content.decode()
    assert send(client, guise, png()).status_code == 302


def test_position_is_gone_from_what_is_served(guise, people, client):
    client.force_login(people["tomas"])
    data = jpeg_with_position()
    assert Image.open(io.BytesIO(data)).getexif().get_ifd(GPS)

    send(client, guise, data, name="beach.jpg")

    image = Image.open(io.BytesIO(fetch(client, Sketch.objects.get()).body))
    assert not image.getexif()


def test_page_written_as_a_picture_is_refused_and_words_are_kept(guise, people, client, settings):
    client.force_login(people["tomas"])

    for data in (b"<!doctype html><script>alert(1)</script>", b"", b"GIF89a;" * 20):
        response = send(client, guise, data, words="a stoop")
        assert response.status_code == 422
        assert 'value="a stoop"' in response.content.decode()
    assert not Sketch.objects.exists()
    assert not kept_files(settings)


def test_picture_with_a_page_behind_it_is_served_without(guise, people, client):
    client.force_login(people["tomas"])
    send(client, guise, png() + b"<script>alert(1)</script>", name="x.html")

    sketch = Sketch.objects.get()
    assert sketch.file.name.endswith(".png")
    assert b"<script>" not in fetch(client, sketch).body


def test_twenty_five_megabytes_are_refused(guise, people, client):
    client.force_login(people["tomas"])

    response = send(client, guise, png() + b"\0" * (25 * 1024 * 1024))

    assert response.status_code == 422
    assert "25 MB; at most 20 MB" in response.content.decode()
    assert not Sketch.objects.exists()


def test_no_file_is_asked_for(guise, people, client):
    client.force_login(people["tomas"])
    where = reverse("scenes:sketch_add", args=[show_of(guise).pk, guise.pk])

    response = client.post(where, {"file": "not a file", "words": ""})

    assert response.status_code == 422
    assert "Choose a picture first." in response.content.decode()


# Serving


def test_served_as_what_it_is_and_kept_by_no_one_else(guise, people, client):
    client.force_login(people["tomas"])
    response = fetch(client, draw(guise, people["tomas"]))

    assert response["Content-Type"] == "image/png"
    assert response["X-Content-Type-Options"] == "nosniff"
    assert response["Cache-Control"] == "private, no-cache"
    assert "default-src 'self'" in response["Content-Security-Policy"]
    assert 'filename="sketch.png"' in response["Content-Disposition"]


def test_unchanged_picture_is_not_sent_twice(guise, people, client):
    client.force_login(people["tomas"])
    sketch = draw(guise, people["tomas"])
    etag = fetch(client, sketch)["ETag"]

    again = fetch(client, sketch, **{"If-None-Match": etag})

    assert again.status_code == 304
    assert again["Cache-Control"] == "private, no-cache"


def test_browser_that_kept_a_picture_is_refused_once_it_is_private_again(guise, people, client):
    sketch = choose_sketch(sketch=draw(guise, people["ines"]), user=people["ines"])
    client.force_login(people["tomas"])
    etag = fetch(client, sketch)["ETag"]
    put_back_sketch(sketch=sketch, user=people["ines"])

    again = fetch(client, sketch, **{"If-None-Match": etag})

    assert again.status_code == 404


def test_file_that_is_gone_is_not_found(guise, people, client):
    client.force_login(people["tomas"])
    sketch = draw(guise, people["tomas"])
    sketch.file.storage.delete(sketch.file.name)

    assert fetch(client, sketch).status_code == 404


# Who sees what


EVERYBODY = ("ines", "odile", "tomas", "priya", "reader", "stranger")


@pytest.mark.parametrize("who", EVERYBODY)
@pytest.mark.parametrize("owner", ["ines", "tomas"])
@pytest.mark.parametrize("is_chosen", [False, True])
def test_owner_sees_it_and_others_only_once_chosen(guise, people, client, who, owner, is_chosen):
    sketch = draw(guise, people[owner], words="a stoop like a heron")
    Sketch.objects.filter(pk=sketch.pk).update(is_chosen=is_chosen)
    may_see = who == owner or (is_chosen and who != "stranger")
    client.force_login(people[who])

    assert fetch(client, sketch).status_code == (200 if may_see else 404)
    assert sketches_seen_by(people[who]).filter(pk=sketch.pk).exists() == may_see
    page = client.get(guise.get_absolute_url())
    if who == "stranger":
        assert page.status_code == 404
        return
    html = page.content.decode()
    assert (address("sketch_file", sketch) in html) == may_see
    assert ("a stoop like a heron" in html) == may_see
    listed = client.get(reverse("scenes:scene_list", args=[show_of(guise).pk])).content.decode()
    assert ("sketch chosen" in listed) == is_chosen


def test_pages_are_the_same_to_others_with_and_without_a_private_sketch(guise, people, client):
    client.force_login(people["ines"])
    pages = [guise.get_absolute_url(), reverse("scenes:scene_list", args=[show_of(guise).pk])]

    def look():
        texts = [client.get(page).content.decode() for page in pages]
        return [strip_token(text) for text in texts]

    before = look()
    draw(guise, people["tomas"])

    assert look() == before


def strip_token(html):
    return re.sub(r'(csrfmiddlewaretoken" value|X-CSRFToken": )[^>]*', "", html)


def test_one_who_left_the_company_sees_nothing_of_theirs(guise, people, client):
    sketch = draw(guise, people["tomas"])
    Membership.objects.filter(user=people["tomas"]).delete()
    client.force_login(people["tomas"])

    assert fetch(client, sketch).status_code == 404


@pytest.mark.parametrize("who", ["reader", "stranger"])
def test_readers_and_strangers_send_nothing(guise, people, client, who):
    client.force_login(people[who])

    assert send(client, guise, png()).status_code == (403 if who == "reader" else 404)
    assert not Sketch.objects.exists()


# Choosing


def test_lead_chooses_and_everybody_works_from_it(guise, people, client):
    sketch = draw(guise, people["ines"])
    client.force_login(people["ines"])

    assert client.post(address("sketch_choose", sketch)).status_code == 302
    assert chosen_sketch(guise) == sketch
    change = Change.objects.filter(noun="sketch").order_by("pk").last()
    assert change.after == {"guise_id": guise.pk, "chosen": sketch.pk}


def test_choosing_another_gives_the_first_back_to_its_owner(guise, people):
    first, second = draw(guise, people["ines"]), draw(guise, people["ines"])

    choose_sketch(sketch=first, user=people["ines"])
    choose_sketch(sketch=second, user=people["ines"])

    assert list(Sketch.objects.filter(is_chosen=True)) == [second]
    assert not sketches_seen_by(people["tomas"]).filter(pk=first.pk).exists()


def test_choosing_twice_is_choosing_once(guise, people):
    sketch = choose_sketch(sketch=draw(guise, people["ines"]), user=people["ines"])
    changes = Change.objects.count()

    choose_sketch(sketch=sketch, user=people["ines"])

    assert Change.objects.count() == changes


def test_put_back_leaves_none_chosen(guise, people, client):
    sketch = choose_sketch(sketch=draw(guise, people["ines"]), user=people["ines"])
    client.force_login(people["ines"])

    response = client.post(address("sketch_put_back", sketch), headers=HTMX)

    assert response.status_code == 200
    assert chosen_sketch(guise) is None


def test_lead_cannot_choose_what_only_another_sees(guise, people, client):
    sketch = draw(guise, people["tomas"])
    client.force_login(people["ines"])

    assert client.post(address("sketch_choose", sketch)).status_code == 404
    assert client.post(address("sketch_remove", sketch)).status_code == 404
    with pytest.raises(Sketch.DoesNotExist):
        choose_sketch(sketch=sketch, user=people["ines"])
    assert chosen_sketch(guise) is None


@pytest.mark.parametrize("who", ["tomas", "priya", "reader", "stranger"])
def test_others_neither_choose_nor_put_back_nor_remove(guise, people, client, who):
    sketch = choose_sketch(sketch=draw(guise, people["ines"]), user=people["ines"])
    client.force_login(people[who])
    refused = 404 if who == "stranger" else 403

    assert client.post(address("sketch_choose", sketch)).status_code == refused
    assert client.post(address("sketch_put_back", sketch)).status_code == refused
    expected = 404 if who in ("tomas", "priya") else refused
    assert client.post(address("sketch_remove", sketch)).status_code == expected
    assert chosen_sketch(guise) == sketch


def give(client, sketch, to, **more):
    return client.post(address("sketch_give", sketch), {"to": to}, **more)


def test_maker_gives_a_sketch_to_the_lead_who_may_then_choose_it(guise, people, client):
    sketch = draw(guise, people["tomas"])
    client.force_login(people["tomas"])
    assert "Give it" in client.get(guise.get_absolute_url()).content.decode()

    assert give(client, sketch, people["ines"].pk).status_code == 302

    sketch.refresh_from_db()
    assert (sketch.made_by, sketch.words) == (people["ines"], "sketch of a stoop, drawn by Tomas")
    assert fetch(client, sketch).status_code == 404
    client.force_login(people["odile"])
    assert fetch(client, sketch).status_code == 404
    client.force_login(people["ines"])
    assert client.post(address("sketch_choose", sketch)).status_code == 302
    client.force_login(people["tomas"])
    assert fetch(client, sketch).status_code == 200


@pytest.mark.parametrize("to", ["", "x", "0", "9" * 30, "٣"])
def test_sketch_is_given_to_nobody(guise, people, client, to):
    client.force_login(people["tomas"])

    assert give(client, draw(guise, people["tomas"]), to).status_code == 404


@pytest.mark.parametrize("to", ["priya", "reader", "stranger"])
def test_sketch_is_given_to_leads_alone(guise, people, client, to):
    sketch = draw(guise, people["tomas"])
    client.force_login(people["tomas"])

    assert give(client, sketch, people[to].pk).status_code == 404
    with pytest.raises(ValidationError, match="to a lead of the company"):
        give_sketch(sketch=sketch, user=people["tomas"], to=people[to])
    assert Sketch.objects.get().made_by == people["tomas"]


def test_nobody_gives_what_is_not_theirs_or_what_is_chosen(guise, people, client):
    theirs = choose_sketch(sketch=draw(guise, people["ines"]), user=people["ines"])
    for who in ("tomas", "ines"):
        client.force_login(people[who])
        assert give(client, theirs, people["odile"].pk).status_code == 404
    assert Sketch.objects.get().made_by == people["ines"]


def test_chosen_sketch_is_not_taken_away_from_under_others(guise, people, client, settings):
    sketch = choose_sketch(sketch=draw(guise, people["ines"]), user=people["ines"])
    client.force_login(people["ines"])

    response = client.post(address("sketch_remove", sketch))

    assert response.status_code == 422
    assert "Others work from this sketch." in response.content.decode()
    assert kept_files(settings)


def test_owner_takes_theirs_away(guise, people, client):
    sketch = draw(guise, people["tomas"])
    client.force_login(people["tomas"])

    assert client.post(address("sketch_remove", sketch)).status_code == 302
    assert not Sketch.objects.exists()


def test_sketch_under_another_show_is_not_found(guise, people, client):
    sketch = draw(guise, people["ines"])
    other = ShowFactory(company=show_of(guise).company)
    client.force_login(people["ines"])

    assert client.get(reverse("scenes:sketch_file", args=[other.pk, sketch.pk])).status_code == 404
