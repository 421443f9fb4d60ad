"""Parts of a drawing, stops of its joints: what is kept, what is refused, for whom."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from builds.models import DrawingJoint, DrawingPart
from builds.queries.parts import read_parts
from builds.services.drawings import start_drawing
from builds.services.hangs import weigh_part
from builds.services.parts import (
    lay_usual_parts,
    remove_part,
    save_hanging,
    save_part,
    save_part_outline,
)
from company.models import Role
from company.services.changes import StaleEdit
from tests.builds.bodies import Body, client_of, dec
from tests.builds.drawings import begin
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db

READS = 13


@pytest.fixture
def body() -> Body:
    return Body()


def values(**more: Any) -> dict[str, Any]:
    plain = {
        "shape": "taper", "top_x_mm": dec(0), "top_y_mm": dec(480), "bottom_x_mm": dec(0),
        "bottom_y_mm": dec(280), "width_mm": dec(120), "depth_mm": dec(70),
    }  # fmt: skip
    return {**plain, **more}


def typed(**more: str) -> dict[str, str]:
    plain = {
        "shape": "taper", "top_x_mm": "0", "top_y_mm": "480", "bottom_x_mm": "0",
        "bottom_y_mm": "280", "width_mm": "120", "depth_mm": "70", "made_of": "wood",
        "material": "lime", "grain": "along", "fullness_pct": "80",
    }  # fmt: skip
    return {**plain, **more}


def edit_address(body: Body, kind: str = "torso") -> str:
    return reverse("builds:part_edit", args=[body.guise.pk, kind])


def test_usual_parts_fill_what_is_missing_and_leave_what_is_there(body: Body):
    parts = {part.kind: part for part in body.drawing.parts.all()}
    assert len(parts) == 8
    assert parts["torso"].width_mm == 130  # as it was drawn
    assert parts["upper arm"].material == "lime"
    stops = {j.kind: (j.stop_back_deg, j.stop_forward_deg) for j in body.drawing.joints.all()}
    assert stops["knee"] == (-100, 0)
    assert stops["shoulder"] == (None, None)


def test_usual_parts_ask_for_the_joints_first(body: Body):
    quill = body.role("Sister Quill", "", "habit")
    drawing = begin(quill, body.lead)
    with pytest.raises(ValidationError, match="Place neck, shoulder and hip"):
        lay_usual_parts(drawing=drawing, user=body.lead, version=None)


def test_part_weighs_what_its_volume_says(body: Body):
    save_part(
        drawing=body.drawing, user=body.lead, version=None, kind="torso",
        values=values(shape="outline", outline=[[-30, 280], [40, 280], [40, 480], [-30, 480]],
                      width_mm=dec(100), fullness_pct=100, hardware_g=dec(20)),
    )  # fmt: skip
    row = next(r for r in read_parts(body.guise).rows if r.kind == "torso")
    # 70 x 200 x 100 mm of lime at 535 kg/m3, and 20 g of hooks.
    assert row.reckoned_g == pytest.approx(70 * 200 * 100 * 535 / 1e6 + 20)


def test_every_fault_of_a_part_is_refused_at_once(body: Body):
    with pytest.raises(ValidationError) as refused:
        save_part(
            drawing=body.drawing, user=body.lead, version=None, kind="head",
            values=values(width_mm=dec(0), depth_mm=dec(-4), wall_mm=dec(0), material="glass",
                          hardware_g=dec(-1), bottom_y_mm=dec(480), shape="ellipsoid"),
        )  # fmt: skip
    assert set(refused.value.message_dict) == {
        "bottom_y_mm", "width_mm", "depth_mm", "wall_mm", "material", "hardware_g",
    }  # fmt: skip


def test_part_written_by_two_is_refused_to_the_slower(body: Body):
    version = body.drawing.version
    save_part(drawing=body.drawing, user=body.lead, version=version, kind="head", values=values())
    with pytest.raises(StaleEdit):
        save_part(
            drawing=body.drawing, user=body.lead, version=version, kind="head", values=values()
        )


def test_kept_drawing_is_not_written_on_any_more(body: Body):
    old = body.drawing
    start_drawing(guise=body.guise, user=body.lead, height_mm=old.height_mm, copy_of=old)
    with pytest.raises(ValidationError, match="a newer one stands"):
        remove_part(drawing=old, user=body.lead, version=None, kind="hand")
    assert body.drawing.parts.count() == 8


def test_outline_from_elsewhere_needs_a_part_that_has_sizes(body: Body):
    remove_part(drawing=body.drawing, user=body.lead, version=None, kind="hand")
    outline = [[20, 200], [40, 200], [30, 240]]
    with pytest.raises(ValidationError, match="no sizes yet"):
        save_part_outline(
            drawing=body.drawing, user=body.lead, version=None, kind="hand", outline=outline
        )
    kept = save_part_outline(
        drawing=body.drawing, user=body.lead, version=None, kind="foot", outline=outline
    )
    assert (kept.shape, kept.outline) == ("outline", outline)


def test_stops_that_forbid_the_drawn_pose_are_refused_together(body: Body):
    before = list(DrawingJoint.objects.order_by("pk").values())
    with pytest.raises(ValidationError) as refused:
        save_hanging(
            drawing=body.drawing, user=body.lead, version=None, head_share_pct=140,
            lift_mm=dec(-3), stops={"knee": (False, 5, 90), "elbow": (False, None, -2)},
        )  # fmt: skip
    assert set(refused.value.message_dict) == {
        "head_share_pct", "lift_mm", "knee-back", "elbow-forward",
    }  # fmt: skip
    assert list(DrawingJoint.objects.order_by("pk").values()) == before


# Pages


@pytest.mark.parametrize("more", [0, 9])
def test_page_reads_the_same_with_many_weights(
    body: Body, more: int, django_assert_num_queries: Any
):
    for n in range(1 + more):
        weigh_part(figure=body.figure, user=body.lead, part="torso", mass_g=dec(600 + n))
    client = client_of(body.lead)
    address = reverse("builds:parts", args=[body.guise.pk])
    client.get(address)
    with django_assert_num_queries(READS):
        client.get(address)


def test_form_keeps_what_was_typed_and_says_all_that_is_wrong(body: Body):
    answer = client_of(body.lead).post(
        edit_address(body),
        typed(width_mm="0", material="lime", wall_mm="90", density_kg_m3="4", outline="0 480; x"),
    )
    said = answer.content.decode()
    assert answer.status_code == 422
    for words in ("More than nought", "from 20 to 20000", "is not a point"):
        assert words in said
    assert 'value="90"' in said


def test_outline_is_typed_as_pairs_of_numbers(body: Body):
    answer = client_of(body.lead).post(
        edit_address(body),
        typed(shape="outline", outline="-30 280; 40 280\n40 480, -30 480".replace(", -", "; -")),
    )
    assert answer.status_code == 302
    row = DrawingPart.objects.get(drawing=body.drawing, kind="torso")
    assert row.outline == [[-30, 280], [40, 280], [40, 480], [-30, 480]]


def test_stops_are_set_from_the_page(body: Body):
    client = client_of(body.lead)
    address = reverse("builds:hanging_set", args=[body.guise.pk])
    good = {"head_share_pct": "30", "lift_mm": "40", "knee-back": "-90", "knee-forward": "0"}
    assert client.post(address, good).status_code == 302
    knee = DrawingJoint.objects.get(drawing=body.drawing, kind="knee")
    assert (knee.stop_back_deg, knee.is_held) == (-90, False)
    answer = client.post(address, {**good, "knee-back": "7"})
    assert answer.status_code == 422
    assert "stopped 7° forward of the drawn pose" in answer.content.decode()


def test_lead_alone_writes_and_a_borrowed_body_is_written_at_its_lender(body: Body):
    maker = client_of(person(body.company, Role.MAKER, "Tomas"))
    reader = client_of(person(body.company, Role.READER, "Odile"))
    stranger = client_of(person(CompanyFactory(name="Quay Street Puppets"), Role.LEAD))
    clients = (maker, reader, stranger)
    page = reverse("builds:parts", args=[body.guise.pk])
    assert [c.get(page).status_code for c in clients] == [200, 200, 404]
    assert [c.get(edit_address(body)).status_code for c in clients] == [403, 403, 404]
    quill = body.role("Sister Quill", "", "habit")
    lead = client_of(body.lead)
    assert lead.get(reverse("builds:part_edit", args=[quill.pk, "torso"])).status_code == 404
    assert lead.get(edit_address(body, "wing")).status_code == 404
    assert (
        "Lay the drawing first"
        in lead.get(reverse("builds:parts", args=[quill.pk])).content.decode()
    )
