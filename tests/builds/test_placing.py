"""Placing on a drawing: all or nothing, every fault at once, scales set once and a second time."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.core.full_size.proportions import PEOPLE_SHARES, heads_shares
from builds.loading.outlines import load_outline, scale_of
from builds.models import Drawing, DrawingHole, DrawingJoint, DrawingPicture
from builds.services.drawing_pictures import put_pictures, take_picture_away
from builds.services.drawings import start_drawing
from builds.services.placed import KEEP_MM, KEEP_PLACES, HolePlace, JointPlace, PictureMarks
from builds.services.placing import place_drawing
from builds.services.proportions import lay_proportions, strike_proportions, write_proportions
from company.models import Change
from company.services.changes import StaleEdit
from scenes.models import Guise
from tests.builds.desk import Desk
from tests.builds.drawings import (
    HEIGHT_MM,
    HOLES,
    JOINTS,
    begin,
    lay_whole,
    marks,
    photo,
    placing,
    put_photo,
    read,
    tenths,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk() -> Desk:
    return Desk()


@pytest.fixture
def guise(desk: Desk) -> Guise:
    return desk.role("Jory Tarrow", "at sixty", "pilot coat")


@pytest.fixture
def drawing(desk: Desk, guise: Guise) -> Drawing:
    return begin(guise, desk.lead)


def place(drawing: Drawing, desk: Desk, version: int | None = None, **more: Any) -> Drawing:
    return place_drawing(drawing=drawing, user=desk.lead, version=version, placing=placing(**more))


def refused(drawing: Drawing, desk: Desk, **more: Any) -> dict[str, list[str]]:
    with pytest.raises(ValidationError) as refusal:
        place(drawing, desk, **more)
    return dict(refusal.value.message_dict)


def joint(kind: str, *at: float | None) -> JointPlace:
    return JointPlace(kind, *map(tenths, at))


def test_everything_is_kept_and_told_in_one_change(drawing: Drawing, desk: Desk) -> None:
    before = Change.objects.count()
    kept = place(drawing, desk, words="  the stoop is  in the wood ")
    assert {j.kind: (j.x_mm, j.y_mm, j.z_mm) for j in kept.joints.all()} == JOINTS
    assert {h.name: (h.x_mm, h.y_mm, h.z_mm) for h in kept.holes.all()} == {
        name: at for name, (_, _, at) in HOLES.items()
    }
    assert [h.name for h in kept.holes.all() if h.hangs] == ["shoulder"]
    assert kept.words == "the stoop is in the wood"
    change = Change.objects.latest("pk")
    assert Change.objects.count() == before + 1
    assert (change.noun, change.row) == ("drawing", str(drawing.pk))
    assert len(change.after["joints"]) == 7


def test_stops_and_holds_are_left_alone(drawing: Drawing, desk: Desk) -> None:
    place(drawing, desk)
    DrawingJoint.objects.filter(kind="knee").update(stop_back_deg=-100, stop_forward_deg=0)
    place(drawing, desk, joints=(joint("knee", 30, 158, 42),))
    knee = DrawingJoint.objects.get(kind="knee")
    assert (knee.x_mm, knee.y_mm, knee.stop_back_deg, knee.stop_forward_deg) == (30, 158, -100, 0)


def test_a_joint_without_a_place_is_taken_away(drawing: Drawing, desk: Desk) -> None:
    place(drawing, desk)
    kept = place(drawing, desk, joints=(joint("elbow"), joint("wrist", 30, 262, 88)))
    kinds = {j.kind for j in kept.joints.all()}
    assert "elbow" not in kinds
    assert kinds == {*JOINTS} - {"elbow"}, "those not spoken of stay"


def test_two_holes_may_change_names(drawing: Drawing, desk: Desk) -> None:
    rows = {h.name: h for h in place(drawing, desk).holes.all()}
    swapped = tuple(
        HolePlace(str(rows[old].pk), new, "torso", "pair", new == "shoulder",
                  *map(tenths, HOLES[old][2]), pk=rows[old].pk)
        for old, new in (("shoulder", "head"), ("head", "shoulder"))
    )  # fmt: skip
    kept = place(drawing, desk, holes=swapped)
    assert {h.pk: (h.name, h.hangs) for h in kept.holes.all()} == {
        rows["shoulder"].pk: ("head", False),
        rows["head"].pk: ("shoulder", True),
    }
    assert DrawingHole.objects.filter(name="back").count() == 0, "a hole not sent is taken away"


def test_a_hole_in_the_middle_has_no_aside(drawing: Drawing, desk: Desk) -> None:
    hole = HolePlace("new-1", "back", "torso", "middle", False, *map(tenths, (-50, 380, 30)))
    kept = place(drawing, desk, holes=(hole,))
    assert kept.holes.get().z_mm == 0


def test_somebody_was_quicker(drawing: Drawing, desk: Desk) -> None:
    place(drawing, desk, version=1)
    with pytest.raises(StaleEdit):
        place(drawing, desk, version=1, joints=(joint("knee", 99, 99, 9),))
    assert DrawingJoint.objects.get(kind="knee").x_mm == 28


class TestRefused:
    def test_all_of_it_at_once_and_nothing_kept(self, drawing: Drawing, desk: Desk) -> None:
        wrong = refused(
            drawing,
            desk,
            height_mm=Decimal(0),
            head_shrinkage_pct=Decimal(80),
            words="x" * 201,
            joints=(joint("knee", 28, 950, 42), joint("hip", None, 300), joint("toe", 0, 0, 0)),
            holes=(
                HolePlace("new-1", "", "torso", "pair", True, *map(tenths, (0, 470, 60))),
                HolePlace("new-2", "a", "wing", "above", True, *map(tenths, (0, 470, -6))),
                HolePlace("new-3", "A", "torso", "pair", False, *map(tenths, (0, 470, 0))),
                HolePlace("new-4", "b" * 41, "torso", "pair", False, *map(tenths, (9, 9, 9))),
            ),
        )
        assert wrong == {
            "height_mm": ["A figure is from 50 mm to 5 m tall, not 0 mm."],
            "words": ["At most 200 letters, not 201."],
            "head_shrinkage_pct": ["A casting shrinks by 0 to 30 per cent, not 80."],
            "joint-hip-x": ["Say how far forward of the line it lies too, or leave both blank."],
            "joint-knee-y": ["The knee lies 350 mm above the crown of a figure 600 mm tall."],
            "hole-new-1-name": ["A hole has a name: shoulder, head, back, hand."],
            "hole-new-2-part": ["Say which part the hole is in."],
            "hole-new-2-side": ["Say on which side the hole is."],
            "hole-new-2-y": [
                "The a hole lies from nought to 600 mm from the middle: the same on both sides."
            ],
            "hole-new-3-name": ["There is a hole named A already."],
            "hole-new-4-name": ["At most 40 letters, not 41."],
            "__all__": [
                "There is no joint named toe.",
                "The figure hangs from one hole, or one pair of them.",
            ],
        }
        assert not DrawingJoint.objects.exists()
        assert not DrawingHole.objects.exists()
        assert Drawing.objects.get().height_mm == HEIGHT_MM

    @pytest.mark.parametrize(
        ("at", "words"),
        [
            ((0, 721, 0), "121 mm above the crown"),
            ((0, -121, 0), "121 mm below the floor"),
            ((601, 300, 0), "more than the figure is tall"),
            ((-99999.9, 300, 0), "more than the figure is tall"),
        ],
    )
    def test_places_that_no_figure_has(
        self, drawing: Drawing, desk: Desk, at: tuple[float, ...], words: str
    ) -> None:
        ((sentence,),) = refused(drawing, desk, joints=(joint("knee", *at),)).values()
        assert words in sentence


class TestScale:
    def test_marks_give_the_way_from_points_to_mm(
        self, drawing: Drawing, desk: Desk, guise: Guise
    ) -> None:
        put_photo(drawing, desk.lead, "profile")
        place(drawing, desk, marks=(marks("profile"),))
        scale = scale_of(DrawingPicture.objects.get())
        assert scale is not None
        # Two points a mm; he faces left, so 60 points to the left are 30 mm forward.
        assert scale.to_mm(440, 500) == pytest.approx((30, 400))

    def test_half_of_the_marks_may_be_kept(self, drawing: Drawing, desk: Desk) -> None:
        put_photo(drawing, desk.lead, "profile")
        some = marks("profile", mark_b_x_px=None, mark_b_y_px=None, marks_mm=None)
        place(drawing, desk, marks=(some,))
        picture = DrawingPicture.objects.get()
        assert (picture.mark_a_x_px, picture.axis_x_px) == (100, 500)
        assert scale_of(picture) is None

    @pytest.mark.parametrize(
        ("more", "field", "words"),
        [
            ({"mark_b_x_px": 100, "mark_b_y_px": 100}, "mark_b_y_px", "at the same point"),
            ({"mark_b_x_px": 103, "mark_b_y_px": 104}, "mark_b_y_px", "only 5 points"),
            ({"marks_mm": 0}, "marks_mm", "from 1 mm to 20 m"),
            ({"marks_mm": 20001}, "marks_mm", "from 1 mm to 20 m"),
            ({"mark_a_x_px": 900}, "mark_b_y_px", "outside the picture"),
            ({"axis_x_px": -4}, "axis_x_px", "outside the picture"),
            ({"mark_a_y_px": None}, "mark_b_y_px", "has two numbers"),
            ({"axis_top_x_px": 500, "axis_top_y_px": 1310}, "axis_top_y_px", "too near its foot"),
            ({"axis_top_x_px": 790, "axis_top_y_px": 1200}, "axis_top_y_px", "lies more than"),
        ],
    )
    def test_marks_that_measure_nothing(
        self,
        drawing: Drawing,
        desk: Desk,
        more: dict[str, float | None],
        field: str,
        words: str,
    ) -> None:
        put_photo(drawing, desk.lead, "profile")
        wrong = refused(drawing, desk, marks=(marks("profile", **more),))
        assert list(wrong) == [f"profile-{field}"]
        assert words in wrong[f"profile-{field}"][0]

    def test_marks_of_a_picture_that_is_gone(self, drawing: Drawing, desk: Desk) -> None:
        wrong = refused(drawing, desk, marks=(marks("front"),))
        assert wrong == {"__all__": ["There is no picture of the front any more."]}


class TestScaleSetTwice:
    @pytest.fixture
    def placed(self, drawing: Drawing, desk: Desk) -> Drawing:
        put_photo(drawing, desk.lead, "profile")
        return place(drawing, desk, marks=(marks("profile"),))

    @staticmethod
    def again(placed: Drawing, **more: Any) -> dict[str, Any]:
        """The same places sent again, as the page sends them."""
        holes = tuple(
            HolePlace(str(h.pk), h.name, h.part, h.side, h.hangs, h.x_mm, h.y_mm, h.z_mm, h.pk)
            for h in placed.holes.all()
        )
        return {"holes": holes, **more}

    def test_it_is_asked_what_is_meant(self, placed: Drawing, desk: Desk) -> None:
        twice = marks("profile", marks_mm=300)
        wrong = refused(placed, desk, **self.again(placed, marks=(twice,)))
        assert list(wrong) == ["rescaled"]
        assert "had a scale already" in wrong["rescaled"][0]
        assert DrawingPicture.objects.get().marks_mm == 600

    def test_the_same_scale_asks_nothing(self, placed: Drawing, desk: Desk) -> None:
        place(placed, desk, **self.again(placed, marks=(marks("profile"),)))

    def test_millimetres_kept(self, placed: Drawing, desk: Desk) -> None:
        twice = marks("profile", marks_mm=300)
        kept = place(placed, desk, **self.again(placed, marks=(twice,), rescaled=KEEP_MM))
        assert {j.kind: (j.x_mm, j.y_mm, j.z_mm) for j in kept.joints.all()} == JOINTS

    def test_places_on_the_picture_kept(self, placed: Drawing, desk: Desk) -> None:
        # Half as many mm between the marks, and the floor 20 points higher up: by hand the knee,
        # 28 mm forward and 160 up, was at (444, 980); 56 points across are now 14 mm, and
        # 1280 - 980 = 300 points up are 75 mm.
        twice = marks("profile", marks_mm=300, floor_y_px=1280)
        kept = place(placed, desk, **self.again(placed, marks=(twice,), rescaled=KEEP_PLACES))
        knee = kept.joints.get(kind="knee")
        assert (knee.x_mm, knee.y_mm, knee.z_mm) == (14, 75, 42)
        hole = kept.holes.get(name="back")
        assert (hole.x_mm, hole.y_mm) == (-26, 185)

    def test_a_place_typed_anew_stays_as_typed(self, placed: Drawing, desk: Desk) -> None:
        twice = marks("profile", marks_mm=300)
        kept = place(
            placed,
            desk,
            **self.again(
                placed,
                marks=(twice,),
                rescaled=KEEP_PLACES,
                joints=(joint("knee", 20, 80, 42),),
            ),
        )
        assert kept.joints.get(kind="knee").y_mm == 80

    def test_the_front_carries_what_lies_aside(self, drawing: Drawing, desk: Desk) -> None:
        put_photo(drawing, desk.lead, "front")
        placed = place(drawing, desk, marks=(marks("front"),))
        twice = PictureMarks("front", marks("front", marks_mm=300).values)
        kept = place(placed, desk, **self.again(placed, marks=(twice,), rescaled=KEEP_PLACES))
        knee = kept.joints.get(kind="knee")
        assert (knee.x_mm, knee.y_mm, knee.z_mm) == (28, 80, 21)


class TestPictures:
    def test_one_picture_under_both_views(self, drawing: Drawing, desk: Desk) -> None:
        put_photo(drawing, desk.lead, "front", "profile")
        first, second = DrawingPicture.objects.all()
        assert first.file.name == second.file.name
        assert (first.width_px, first.height_px) == (800, 1400)
        take_picture_away(picture=first, user=desk.lead, version=None)
        assert second.file.storage.exists(second.file.name)

    @pytest.mark.django_db(transaction=True)
    def test_a_file_that_nothing_names_is_removed(self, drawing: Drawing, desk: Desk) -> None:
        put_photo(drawing, desk.lead, "front", "profile")
        storage, name = (p := DrawingPicture.objects.first()).file.storage, p.file.name
        put_photo(drawing, desk.lead, "front")
        assert storage.exists(name), "the profile still has it"
        put_photo(drawing, desk.lead, "profile")
        assert not storage.exists(name)

    def test_a_new_picture_has_no_marks(self, drawing: Drawing, desk: Desk) -> None:
        put_photo(drawing, desk.lead, "profile")
        place(drawing, desk, marks=(marks("profile"),))
        put_photo(drawing, desk.lead, "profile")
        assert DrawingPicture.objects.get().mark_a_x_px is None
        assert DrawingJoint.objects.count() == 7

    @pytest.mark.parametrize(
        ("file", "size", "words"),
        [
            (photo((1, 1)), None, "1 x 1 points, too few"),
            (photo((199, 900)), None, "199 x 900 points, too few"),
            (photo(), 21 * 1024 * 1024, "at most 20 MB"),
            (photo(), 0, "The file is empty"),
        ],
    )
    def test_a_picture_that_is_none(
        self, drawing: Drawing, desk: Desk, file: Any, size: int | None, words: str
    ) -> None:
        with pytest.raises(ValidationError) as refusal:
            put_pictures(
                drawing=drawing,
                user=desk.lead,
                version=None,
                upload=file,
                size=len(file.getbuffer()) if size is None else size,
                views=(),
            )
        wrong = refusal.value.message_dict
        assert words in wrong["file"][0]
        assert wrong["views"] == ["Say whether it shows the front, the profile, or both."]
        assert not DrawingPicture.objects.exists()

    def test_two_hundred_million_points(self, drawing: Drawing, desk: Desk) -> None:
        # A PNG says its size in its header: 20 000 by 10 000, one bit each, without a byte of it.
        import struct
        import zlib

        def chunk(kind: bytes, data: bytes) -> bytes:
            body = kind + data
            return struct.pack(">I", len(data)) + body + struct.pack(">I", zlib.crc32(body))

        header = chunk(b"IHDR", struct.pack(">IIBBBBB", 20_000, 10_000, 1, 0, 0, 0, 0))
        file = photo()
        file = type(file)(b"\x89PNG\r\n\x1a\n" + header + chunk(b"IDAT", b"") + chunk(b"IEND", b""))
        with pytest.raises(ValidationError) as refusal:
            put_pictures(
                drawing=drawing, user=desk.lead, version=None, upload=file,
                size=len(file.getbuffer()), views=("profile",),
            )  # fmt: skip
        assert "too large to open" in refusal.value.message_dict["file"][0]


class TestVersions:
    def test_the_next_drawing_has_all_of_the_one_before(self, desk: Desk, guise: Guise) -> None:
        first = lay_whole(guise, desk.lead, with_photo=True)
        second = start_drawing(
            guise=guise, user=desk.lead, height_mm=first.height_mm, copy_of=first
        )
        now = read(guise)
        assert (now.pk, now.number) == (second.pk, 2)
        assert not Drawing.objects.get(number=1).is_current
        assert load_outline(now) == load_outline(Drawing.objects.get(number=1))
        assert [p.marks_mm for p in now.pictures.all()] == [600]

    def test_a_picture_lives_as_long_as_one_drawing_has_it(self, desk: Desk, guise: Guise) -> None:
        first = lay_whole(guise, desk.lead, with_photo=True)
        start_drawing(guise=guise, user=desk.lead, height_mm=first.height_mm, copy_of=first)
        picture = read(guise).pictures.get()
        storage, name = picture.file.storage, picture.file.name
        take_picture_away(picture=picture, user=desk.lead, version=None)
        assert storage.exists(name)


class TestProportions:
    def test_a_drawing_may_start_from_a_sheet(self, desk: Desk, guise: Guise) -> None:
        made = start_drawing(
            guise=guise, user=desk.lead, height_mm=Decimal(600), shares=PEOPLE_SHARES
        )
        # Drillis and Contini: hip at 0.530 of the height, knee 0.285; half the hips 0.0955.
        hip = made.joints.get(kind="hip")
        assert (hip.x_mm, hip.y_mm, hip.z_mm) == (0, 318, Decimal("57.3"))
        assert made.joints.get(kind="knee").y_mm == 171

    def test_a_sheet_over_one_that_stands_keeps_its_stops(
        self, drawing: Drawing, desk: Desk
    ) -> None:
        place(drawing, desk)
        DrawingJoint.objects.filter(kind="knee").update(stop_back_deg=-100)
        lay_proportions(drawing=drawing, user=desk.lead, version=None, shares=heads_shares(6))
        knee = DrawingJoint.objects.get(kind="knee")
        assert (knee.x_mm, knee.y_mm, knee.stop_back_deg) == (0, 150, -100)

    def test_as_another_guise_stoop_and_all(self, desk: Desk, guise: Guise) -> None:
        old = lay_whole(guise, desk.lead)
        young = desk.role("Bartle the ferryman", "", "oilskin")
        made = start_drawing(guise=young, user=desk.lead, height_mm=Decimal(300))
        lay_proportions(drawing=made, user=desk.lead, version=None, like=old)
        knee = made.joints.get(kind="knee")
        assert (knee.x_mm, knee.y_mm, knee.z_mm) == (14, 80, 21)

    def test_ones_own_sheet(self, desk: Desk) -> None:
        sheet = write_proportions(
            company=desk.company, user=desk.lead, name=" our  way ", shares=heads_shares(5)
        )
        assert sheet.name == "our way"
        assert sheet.shares["chin_height"] == 0.8
        with pytest.raises(ValidationError) as refusal:
            write_proportions(
                company=desk.company,
                user=desk.lead,
                name="our way",
                shares={**sheet.shares, "knee_height": 0.9, "hand": 0},
                sheet=sheet,
                version=sheet.version,
            )
        assert set(refusal.value.message_dict) == {"knee_height", "hand"}
        strike_proportions(sheet=sheet, user=desk.lead)
        again = write_proportions(
            company=desk.company, user=desk.lead, name="our way", shares=heads_shares(4)
        )
        assert again.pk != sheet.pk
