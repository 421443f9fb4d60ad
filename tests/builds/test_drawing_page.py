"""The page of a drawing: what it says, what it takes, what it refuses, and for whom."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from builds.models import (
    Drawing,
    DrawingHole,
    DrawingJoint,
    DrawingPicture,
    ProportionSheet,
    Step,
)
from builds.queries.drawing_page import read_remarks, say_drawing
from builds.services.drawings import start_drawing
from builds.services.patterns import borrow_part
from company.models import Role, User
from scenes.models import Guise
from tests.builds.desk import Desk
from tests.builds.drawings import begin, lay_whole, photo, put_photo, read
from tests.factories import person
from tests.forms_sent import forms_on

pytestmark = pytest.mark.django_db

READS = 16


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def guise(desk: Desk) -> Guise:
    return desk.role("Jory Tarrow", "at sixty", "pilot coat")


@pytest.fixture
def drawing(desk: Desk, guise: Guise) -> Drawing:
    return lay_whole(guise, desk.lead)


def client_of(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def lead(desk: Desk) -> Client:
    return client_of(desk.lead)


def address(name: str, guise: Guise) -> str:
    return reverse(f"builds:{name}", args=[guise.pk])


def page(client: Client, guise: Guise, status: int = 200) -> str:
    answer = client.get(address("drawing", guise))
    assert answer.status_code == status
    text: str = answer.content.decode()
    return text


def words(text: str) -> str:
    """What a person reads of a page."""
    inside = re.sub(r"<(script|style)[^>]*>.*?</\1>", " ", text, flags=re.S)
    return " ".join(re.sub(r"<[^>]+>", " ", inside).split())


def sent_by(text: str, to: str) -> dict[str, Any]:
    """What the form of the page sends to an address."""
    (form,) = [form for form in forms_on(text, "/here/") if form.action == to]
    return dict(form.values)


class TestLede:
    def test_before_there_is_one(self, lead: Client, guise: Guise) -> None:
        text = words(page(lead, guise))
        assert "There is no full-size drawing yet." in text
        assert "Begin the drawing" in text

    def test_what_is_placed(self, lead: Client, guise: Guise, drawing: Drawing) -> None:
        text = words(page(lead, guise))
        assert "Drawn 600 mm tall: 3 string holes and 7 joints are placed." in text

    def test_what_is_missing(self, desk: Desk, guise: Guise) -> None:
        drawing = lay_whole(guise, desk.lead)
        DrawingJoint.objects.filter(kind__in=("knee", "wrist")).delete()
        DrawingHole.objects.filter(hangs=True).delete()
        drawing = read(guise)
        remarks = read_remarks(drawing)
        assert say_drawing(drawing, remarks).endswith(
            "are placed, knee and the hole it hangs from are still to place."
        )

    def test_nothing_placed(self, desk: Desk, guise: Guise) -> None:
        begin(guise, desk.lead)
        drawing = read(guise)
        assert say_drawing(drawing, read_remarks(drawing)) == (
            "Drawn 600 mm tall; nothing is placed yet."
        )


class TestRemarks:
    def test_a_figure_on_its_line_has_none(self, drawing: Drawing) -> None:
        assert not read_remarks(drawing)

    def test_what_lies_off_the_line(self, guise: Guise, drawing: Drawing) -> None:
        DrawingJoint.objects.filter(kind="hip").update(x_mm=14)
        DrawingHole.objects.filter(hangs=True).update(x_mm=-3)
        assert read_remarks(read(guise)).off_line == (
            "The shoulder hole lies 3 mm behind the line of balance.",
            "The hip lies 14 mm in front of the line of balance.",
        )

    def test_a_joint_outside_its_parts(self, guise: Guise, drawing: Drawing) -> None:
        DrawingJoint.objects.filter(kind="knee").update(x_mm=90)
        loose = read_remarks(read(guise)).loose
        assert len(loose) == 2
        assert loose[0].startswith("The knee lies ")
        assert "outside the thigh" in loose[0]
        assert "outside the lower leg" in loose[1]

    def test_a_picture_without_a_scale(self, desk: Desk, guise: Guise) -> None:
        put_photo(lay_whole(guise, desk.lead), desk.lead, "profile")
        (sentence,) = read_remarks(read(guise)).pictures
        assert "has no scale yet" in sentence

    def test_a_picture_that_cannot_hold_the_figure(self, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        DrawingPicture.objects.update(marks_mm=300)
        (sentence,) = read_remarks(read(guise)).pictures
        assert "ends 325 mm above the floor, below the crown of a figure 600 mm" in sentence


class TestPlacing:
    def test_the_page_sent_back_as_it_is_changes_nothing(
        self, lead: Client, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        before = (
            [(j.kind, j.x_mm, j.y_mm, j.z_mm) for j in read(guise).joints.all()],
            [(h.name, h.part, h.side, h.hangs, h.x_mm, h.y_mm) for h in read(guise).holes.all()],
        )
        to = address("drawing_place", guise)
        answer = lead.post(to, sent_by(page(lead, guise), to))
        assert answer.status_code == 302
        after = (
            [(j.kind, j.x_mm, j.y_mm, j.z_mm) for j in read(guise).joints.all()],
            [(h.name, h.part, h.side, h.hangs, h.x_mm, h.y_mm) for h in read(guise).holes.all()],
        )
        assert after == before
        assert read(guise).pictures.get().marks_mm == 600

    def test_numbers_as_people_write_them(
        self, lead: Client, guise: Guise, drawing: Drawing
    ) -> None:
        to = address("drawing_place", guise)
        sent = sent_by(page(lead, guise), to)
        sent |= {"joint-knee-x": " 27,5 mm", "joint-knee-y": "16 cm", "joint-hip-x": "\u22123"}
        assert lead.post(to, sent).status_code == 302
        knee = DrawingJoint.objects.get(kind="knee")
        assert (float(knee.x_mm), float(knee.y_mm)) == (27.5, 160)
        assert DrawingJoint.objects.get(kind="hip").x_mm == -3

    def test_a_new_hole_and_one_taken_away(
        self, lead: Client, guise: Guise, drawing: Drawing
    ) -> None:
        to = address("drawing_place", guise)
        sent = sent_by(page(lead, guise), to)
        back = DrawingHole.objects.get(name="back").pk
        sent |= {
            "hole-usual-knee-x": "44",
            "hole-usual-knee-y": "165",
            "hole-usual-knee-z": "42",
            f"hole-{back}-x": "",
            f"hole-{back}-y": "",
            f"hole-{back}-z": "",
        }
        assert lead.post(to, sent).status_code == 302
        holes = {h.name: h for h in read(guise).holes.all()}
        assert set(holes) == {"shoulder", "head", "knee"}
        assert (holes["knee"].part, holes["knee"].side) == ("thigh", "pair")

    def test_a_script_is_told_in_one_word(
        self, lead: Client, guise: Guise, drawing: Drawing
    ) -> None:
        to = address("drawing_place", guise)
        answer = lead.post(to, sent_by(page(lead, guise), to), headers={"X-Placing": "1"})
        assert (answer.status_code, answer.content) == (204, b"")
        assert "What you placed is kept." in page(lead, guise)

    def test_all_that_is_wrong_at_once_and_nothing_lost(
        self, lead: Client, guise: Guise, drawing: Drawing
    ) -> None:
        to = address("drawing_place", guise)
        sent = sent_by(page(lead, guise), to)
        sent |= {
            "joint-knee-x": "wide",
            "joint-hip-y": "9e9",
            "joint-ankle-y": "999999999",
            "joint-elbow-y": "1900",
            "height_mm": "",
            "hole-new-1-y": "300",
        }
        answer = lead.post(to, sent)
        assert answer.status_code == 422
        text = words(answer.content.decode())
        for sentence in (
            "&#x27;wide&#x27; is not a number: write 42 or 42.5.",
            "&#x27;9e9&#x27; is not a number: write 42 or 42.5.",
            "&#x27;999999999&#x27; is not a number",
            "Say how tall the figure is.",
            "knee, forward",
            "The elbow lies 1300 mm above the crown of a figure 600 mm tall.",
        ):
            assert sentence in text, sentence
        assert 'value="wide"' in answer.content.decode()
        assert 'value="1900"' in answer.content.decode()
        assert DrawingJoint.objects.get(kind="knee").x_mm == 28

    def test_geometry_is_judged_as_soon_as_the_height_is_known(
        self, lead: Client, guise: Guise, drawing: Drawing
    ) -> None:
        to = address("drawing_place", guise)
        sent = sent_by(page(lead, guise), to)
        sent |= {"joint-knee-x": "wide", "joint-elbow-y": "1900", "hole-new-1-y": "300"}
        text = words(lead.post(to, sent).content.decode())
        assert "is not a number" in text
        assert "The elbow lies 1300 mm above the crown of a figure 600 mm tall." in text
        assert "Say how far forward of the line it lies too" in text
        assert "A hole has a name" in text

    def test_somebody_was_quicker(self, lead: Client, guise: Guise, drawing: Drawing) -> None:
        to = address("drawing_place", guise)
        sent = sent_by(page(lead, guise), to)
        assert lead.post(to, {**sent, "joint-knee-x": "30"}).status_code == 302
        answer = lead.post(to, {**sent, "joint-knee-x": "99"})
        assert answer.status_code == 409
        assert DrawingJoint.objects.get(kind="knee").x_mm == 30

    def test_a_scale_set_twice_asks(self, lead: Client, desk: Desk, guise: Guise) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        to = address("drawing_place", guise)
        sent = sent_by(page(lead, guise), to) | {"profile-marks_mm": "300"}
        answer = lead.post(to, sent)
        assert answer.status_code == 422
        text = answer.content.decode()
        assert "This picture had a scale already" in text
        assert 'name="rescaled"' in text
        assert lead.post(to, {**sent, "rescaled": "places"}).status_code == 302
        assert DrawingJoint.objects.get(kind="knee").y_mm == 80


class TestPictures:
    def send(self, client: Client, guise: Guise, file: Any, views: str = "profile") -> Any:
        upload = SimpleUploadedFile("drawing.png", file)
        return client.post(address("drawing_picture_add", guise), {"file": upload, "views": views})

    def test_laid_under_both_views(self, lead: Client, guise: Guise, drawing: Drawing) -> None:
        assert self.send(lead, guise, photo().read(), "front profile").status_code == 302
        text = page(lead, guise)
        for picture in DrawingPicture.objects.all():
            assert f'href="/drawing-pictures/{picture.pk}/"' in text

    @pytest.mark.parametrize(
        ("file", "sentence"),
        [
            (b"%PDF-1.7 not a picture", "This is not a whole PNG, JPEG or WebP picture."),
            (b"", "The file is empty."),
            (photo((1, 1)).read(), "The picture has 1 x 1 points"),
        ],
    )
    def test_a_wrong_file(
        self, lead: Client, guise: Guise, drawing: Drawing, file: bytes, sentence: str
    ) -> None:
        answer = self.send(lead, guise, file)
        assert answer.status_code == 422
        assert sentence in answer.content.decode()
        assert not DrawingPicture.objects.exists()

    def test_served_to_the_company_alone(
        self, lead: Client, desk: Desk, guise: Guise, drawing: Drawing
    ) -> None:
        put_photo(drawing, desk.lead, "profile")
        where = reverse("builds:drawing_picture", args=[DrawingPicture.objects.get().pk])
        answer = lead.get(where)
        assert answer["Content-Type"] == "image/png"
        assert answer["Content-Security-Policy"] == "default-src 'none'"
        assert "private" in answer["Cache-Control"]
        b"".join(answer.streaming_content)
        seen = client_of(person(desk.company, Role.READER, "Odile")).get(where)
        b"".join(seen.streaming_content)
        assert seen.status_code == 200

    def test_a_file_lost_from_the_shelf(
        self, lead: Client, desk: Desk, guise: Guise, drawing: Drawing
    ) -> None:
        put_photo(drawing, desk.lead, "profile")
        picture = DrawingPicture.objects.get()
        picture.file.storage.delete(picture.file.name)
        assert lead.get(reverse("builds:drawing_picture", args=[picture.pk])).status_code == 404

    def test_an_old_drawing_keeps_its_picture(
        self, lead: Client, desk: Desk, guise: Guise, drawing: Drawing
    ) -> None:
        put_photo(drawing, desk.lead, "profile")
        old = DrawingPicture.objects.get()
        start_drawing(guise=guise, user=desk.lead, height_mm=drawing.height_mm, copy_of=read(guise))
        where = reverse("builds:drawing_picture_take_away", args=[old.pk])
        assert lead.post(where).status_code == 404


class TestBeginning:
    def begin(self, client: Client, guise: Guise, **sent: str) -> Any:
        return client.post(
            address("drawing_start", guise), {"height_mm": "600", "sheet": "none", **sent}
        )

    def test_with_nothing(self, lead: Client, guise: Guise) -> None:
        assert self.begin(lead, guise).status_code == 302
        assert not read(guise).joints.exists()

    def test_in_heads(self, lead: Client, guise: Guise) -> None:
        assert self.begin(lead, guise, sheet="heads", heads="6").status_code == 302
        assert read(guise).joints.get(kind="hip").y_mm == 300

    def test_after_ones_own_sheet(self, lead: Client, guise: Guise) -> None:
        where = reverse("builds:proportions_list", args=[guise.character.show.company_id])
        sent = sent_by(lead.get(where).content.decode(), where)
        assert lead.post(where, {**sent, "name": "our way", "hip_height": "45"}).status_code == 302
        sheet = ProportionSheet.objects.get()
        assert self.begin(lead, guise, sheet=f"own-{sheet.pk}").status_code == 302
        assert read(guise).joints.get(kind="hip").y_mm == 270

    def test_as_another_guise(self, lead: Client, desk: Desk, guise: Guise) -> None:
        drawing = lay_whole(guise, desk.lead)
        young = desk.role("Bartle the ferryman", "", "oilskin")
        assert (
            self.begin(lead, young, height_mm="300", sheet=f"like-{drawing.pk}").status_code == 302
        )
        assert read(young).joints.get(kind="knee").x_mm == 14

    @pytest.mark.parametrize(
        ("sent", "sentence"),
        [
            ({"height_mm": "0"}, "A figure is from 50 mm to 5 m tall, not 0 mm."),
            ({"height_mm": "99999"}, "A figure is from 50 mm to 5 m tall"),
            ({"height_mm": ""}, "Say how tall the figure is."),
            ({"sheet": "heads", "heads": "1"}, "A figure is 2 to 10 heads tall: say how many."),
            ({"sheet": "heads", "heads": ""}, "A figure is 2 to 10 heads tall: say how many."),
            ({"sheet": "own-999"}, "Select a valid choice."),
        ],
    )
    def test_refused(self, lead: Client, guise: Guise, sent: dict[str, str], sentence: str) -> None:
        answer = self.begin(lead, guise, **sent)
        assert answer.status_code == 422
        assert sentence in answer.content.decode()
        assert not Drawing.objects.exists()

    def test_the_next_version(self, lead: Client, guise: Guise, drawing: Drawing) -> None:
        assert lead.post(address("drawing_anew", guise)).status_code == 302
        text = words(page(lead, guise))
        assert "Drawing 2" in text
        assert "Drawing 1, 600 mm tall" in text

    def test_a_borrowed_body_goes_by_its_owner(
        self, lead: Client, desk: Desk, guise: Guise
    ) -> None:
        lay_whole(guise, desk.lead)
        twin = desk.role("Jory's twin", "", "coat")
        borrow_part(guise=twin, part="body", lender=guise, user=desk.lead)
        text = words(page(lead, twin))
        assert "It goes by the body of Jory Tarrow at sixty." in text
        assert "Begin a drawing of its own" in text
        assert lead.post(address("drawing_place", twin), {}).status_code == 404
        assert lead.get(address("drawing_sheet", twin))["Content-Type"] == "application/pdf"


class TestProportionsPage:
    def test_written_over_and_struck(self, lead: Client, desk: Desk) -> None:
        where = reverse("builds:proportions_list", args=[desk.company.pk])
        sent = sent_by(lead.get(where).content.decode(), where)
        lead.post(where, {**sent, "name": "our way"})
        sheet = ProportionSheet.objects.get()
        edit = reverse("builds:proportions_edit", args=[sheet.pk])
        sent = sent_by(lead.get(edit).content.decode(), edit)
        assert lead.post(edit, {**sent, "hand": "11"}).status_code == 302
        sheet.refresh_from_db()
        assert sheet.shares["hand"] == 0.11
        assert lead.post(reverse("builds:proportions_strike", args=[sheet.pk])).status_code == 302
        assert "You have no proportions of your own yet" in lead.get(where).content.decode()

    def test_all_that_is_wrong(self, lead: Client, desk: Desk) -> None:
        where = reverse("builds:proportions_list", args=[desk.company.pk])
        sent = sent_by(lead.get(where).content.decode(), where)
        lead.post(where, {**sent, "name": "our way"})
        answer = lead.post(
            where, {**sent, "name": "Our  way", "knee_height": "60", "hand": "0", "foot": ""}
        )
        text = words(answer.content.decode())
        assert answer.status_code == 422
        assert "There are proportions of this name already." in text
        assert "Say the foot." in text
        answer = lead.post(where, {**sent, "name": "x", "knee_height": "60", "hand": "0"})
        text = words(answer.content.decode())
        assert "The knee lies below the hip." in text
        assert "The hand has a length." in text


class TestWhoSees:
    def test_makers_and_readers_look_and_print(
        self, desk: Desk, guise: Guise, drawing: Drawing
    ) -> None:
        for role in (Role.MAKER, Role.READER):
            client = client_of(person(desk.company, role, f"Odile {role}"))
            text = page(client, guise)
            assert "data-placing-desk" in text
            assert "Keep it" not in text
            assert '<th scope="row">knee</th>' in text
            assert client.get(address("drawing_sheet", guise)).status_code == 200
            assert client.post(address("drawing_place", guise), {}).status_code == 403

    def test_another_company_finds_nothing(self, guise: Guise, drawing: Drawing) -> None:
        from tests.factories import CompanyFactory

        stranger = person(CompanyFactory(name="Ferry Songs"), Role.LEAD, "Priya")
        for name in ("drawing", "drawing_sheet"):
            assert client_of(stranger).get(address(name, guise)).status_code == 404


class TestReads:
    def test_as_many_for_one_as_for_ten(
        self, lead: Client, desk: Desk, guise: Guise, django_assert_num_queries: Any
    ) -> None:
        lay_whole(guise, desk.lead, with_photo=True)
        lay_whole(desk.role("Captain Pell", "", "uniform"), desk.lead)
        with django_assert_num_queries(READS):
            lead.get(address("drawing", guise))
        drawing = read(guise)
        DrawingHole.objects.bulk_create(
            DrawingHole(drawing=drawing, name=f"more {n}", name_key=f"more {n}", part="torso",
                        x_mm=0, y_mm=300 + n)
            for n in range(10)
        )  # fmt: skip
        for n in range(3):
            lay_whole(desk.role(f"Gull {n}", "", "plain"), desk.lead)
        with django_assert_num_queries(READS):
            lead.get(address("drawing", guise))

    def test_every_drawing_is_offered_on_the_list_of_papers(
        self, lead: Client, desk: Desk, guise: Guise, drawing: Drawing
    ) -> None:
        text = lead.get(reverse("builds:sheet_list", args=[desk.show.pk])).content.decode()
        assert f'href="/guises/{guise.pk}/drawing.pdf?paper=A4"' in text
        assert f'href="/guises/{guise.pk}/drawing.pdf?paper=long"' in text


def test_the_pictures_show_what_is_placed(lead: Client, desk: Desk, guise: Guise) -> None:
    lay_whole(guise, desk.lead, with_photo=True)
    text = page(lead, guise)
    # The knee, 28 mm forward and 160 up, is at (500 - 56, 1300 - 320) of the photo.
    (knee,) = re.findall(
        r'data-pin="joint-knee"[^>]*transform="translate\(([\d.]+) ([\d.]+)\)', text
    )[:1]
    assert (float(knee[0]), float(knee[1])) == (444, 980)


def test_the_page_of_a_figure_has_the_drawing(lead: Client, desk: Desk, guise: Guise) -> None:
    lay_whole(guise, desk.lead)
    text = lead.get(reverse("scenes:guise_detail", args=[desk.show.pk, guise.pk])).content.decode()
    assert "Jory Tarrow at sixty as it is drawn" in text
    assert f'href="/guises/{guise.pk}/drawing/"' in text


def test_the_step_that_draws_it_leads_there(lead: Client, desk: Desk, guise: Guise) -> None:
    desk.wear(guise, "1", "pilot coat")
    desk.accept()
    step = Step.objects.filter(show=desk.show, stage__key="drawing").first()
    assert step is not None
    text = lead.get(reverse("builds:step_detail", args=[step.pk])).content.decode()
    assert f'href="/guises/{guise.pk}/drawing/"' in text


class TestOutline:
    def where(self, guise: Guise, kind: str = "thigh") -> str:
        return reverse("builds:drawing_outline", args=[guise.pk, kind])

    def test_kept_and_drawn(self, lead: Client, guise: Guise, drawing: Drawing) -> None:
        sent = sent_by_here(lead.get(self.where(guise)).content.decode())
        outline = "-20 300\r\n20 300\r\n30,5 160\r\n\r\n0; 160"
        answer = lead.post(self.where(guise), {**sent, "outline": outline})
        assert answer.status_code == 302
        part = read(guise).parts.get(kind="thigh")
        assert part.outline == [[-20, 300], [20, 300], [30.5, 160], [0, 160]]
        assert part.shape == "outline"
        # Over blank paper a place is mm to the right as it is seen: he faces left.
        assert "M20 -300L-20 -300L-30.5 -160L0 -160Z" in page(lead, guise)

    @pytest.mark.parametrize(
        ("outline", "sentence"),
        [
            ("", "at least three points"),
            ("1 2\n3 4", "At least 3 points, not 2."),
            ("1 2\nx 4\n5 6 7", "Line 2: &#x27;x&#x27; is not a number"),
            ("1 2\n3 4\n5 6 7", "Line 3: write two numbers, as 12 340."),
            ("\n".join(f"{n} {n * n}" for n in range(201)), "At most 200 points, not 201."),
            ("0 0\n10 10\n20 20", "outline"),
            ("0 0\n10 10\n10 0\n0 10", "outline"),
        ],
    )
    def test_refused(
        self, lead: Client, guise: Guise, drawing: Drawing, outline: str, sentence: str
    ) -> None:
        sent = sent_by_here(lead.get(self.where(guise)).content.decode())
        answer = lead.post(self.where(guise), {**sent, "outline": outline})
        assert answer.status_code == 422
        assert sentence in answer.content.decode()
        assert read(guise).parts.get(kind="thigh").outline is None

    def test_a_part_that_is_not_there(self, lead: Client, guise: Guise, drawing: Drawing) -> None:
        assert lead.get(self.where(guise, "hand")).status_code == 404
        assert lead.get(self.where(guise, "wing")).status_code == 404


def sent_by_here(text: str) -> dict[str, Any]:
    """What the form sends that goes back to its own page."""
    (form,) = [
        form
        for form in forms_on(text, "/here/")
        if form.action == "/here/" and form.method == "post"
    ]
    return dict(form.values)
