"""How a figure hangs: what is reckoned, weights, trial hangs, ballast, costumes, and the pages."""

from __future__ import annotations

import math
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from builds.models import Ballast, CostumeFit, TrialHang, Weighing
from builds.queries.hangs import read_hang
from builds.services.drawings import start_drawing
from builds.services.hangs import (
    record_trial,
    save_fit,
    strike_trial,
    strike_weighing,
    weigh_part,
)
from builds.services.parts import put_ballast, save_hanging, take_ballast_out
from builds.services.patterns import borrow_part
from company.models import Change, Role
from company.services.changes import StaleEdit
from tests.builds.bodies import Body, client_of, dec
from tests.builds.drawings import begin
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db

READS = 19


@pytest.fixture
def body() -> Body:
    return Body()


def fit_values(**more: Any) -> dict[str, Any]:
    plain = {"torso_pct": 60, "head_pct": 5, "arms_pct": 15, "legs_pct": 20, "forward_mm": dec(0)}
    return {**plain, "holds_hips": False, "holds_shoulders": False, **more}


# What is reckoned


def test_what_is_missing_is_said_before_anything_is_reckoned():
    desk = Body()
    quill = desk.role("Sister Quill", "", "habit")
    assert "no drawing" in read_hang(quill).lacks
    begin(quill, desk.lead)
    page = read_hang(quill)
    assert "torso" in page.lacks
    assert page.hang is None


def test_reckoned_figure_says_lean_seat_and_what_trues_it(body: Body):
    page = read_hang(body.guise)
    assert page.hang is not None
    lean = page.hang.lean
    assert lean.low_deg < lean.lean_deg < lean.high_deg
    assert page.hang.truing.holes is not None
    # The weight sits so far off the holes that its arc tangent is the lean; feet apart.
    seat = math.degrees(math.atan2(page.hang.truing.forward_mm, page.hang.truing.drop_mm))
    assert seat == pytest.approx(lean.lean_deg, abs=0.6)
    assert [row.name for row in page.costumes] == ["bare", "pilot coat", "nightshirt"]
    assert [row.is_weighed for row in page.costumes] == [True, True, False]
    assert page.costumes[1].mass_g == pytest.approx(page.costumes[0].mass_g + 240)


def test_proposed_ballast_trues_the_figure_once_it_is_in(body: Body):
    save_hanging(
        drawing=body.drawing, user=body.lead, version=None,
        head_share_pct=50, lift_mm=dec(60), stops={},
    )  # fmt: skip
    hang = read_hang(body.guise).hang
    assert hang is not None
    assert hang.truing.ballast is not None
    x, y = hang.truing.ballast.at
    put_ballast(
        drawing=body.drawing, user=body.lead, version=None, x_mm=dec(round(x, 1)),
        y_mm=dec(round(y, 1)), mass_g=dec(round(hang.truing.ballast.mass_g, 1)), metal="brass",
    )  # fmt: skip
    after = read_hang(body.guise).hang
    assert after is not None
    assert abs(after.lean.lean_deg) < 0.1
    assert after.is_true
    assert after.trues == ["Nothing is needed: it hangs as drawn."]


def test_coat_that_lies_behind_leans_it_back_and_a_stiff_one_holds_the_hips(body: Body):
    def lean() -> float:
        page = read_hang(body.guise, costume_pk=body.coat.pk)
        assert page.hang is not None
        return page.hang.lean.lean_deg

    plain = lean()
    save_fit(
        costume=body.coat, user=body.lead, version=None, values=fit_values(forward_mm=dec(-40))
    )
    assert lean() < plain
    fit = CostumeFit.objects.get()
    save_fit(
        costume=body.coat, user=body.lead, version=fit.version, values=fit_values(holds_hips=True)
    )
    page = read_hang(body.guise, costume_pk=body.coat.pk)
    assert page.hang is not None
    assert page.hang.rest.bent_deg["thigh"] == pytest.approx(0, abs=1e-6)


def test_borrowed_body_hangs_like_the_lenders(body: Body):
    older = body.role("Bartle the ferryman", "", "oilskin")
    borrow_part(guise=older, part="body", lender=body.guise, user=body.lead)
    borrowed, own = read_hang(older).hang, read_hang(body.guise).hang
    assert borrowed is not None
    assert own is not None
    assert borrowed.lean == own.lean


# Weights


def test_weighed_part_wins_and_a_twin_goes_by_it_less_surely(body: Body):
    weigh_part(figure=body.figure, user=body.lead, part="torso", mass_g=dec(700))
    own = {row.kind: row for row in read_hang(body.guise, body.figure).weights}
    twin = {row.kind: row for row in read_hang(body.guise, body.twin).weights}
    assert (own["torso"].mass_g, own["torso"].known) == (700, "weighed")
    assert (twin["torso"].mass_g, twin["torso"].known) == (
        700, "as its twins weigh, good to 5 per cent",
    )  # fmt: skip
    assert "reckoned" in own["head"].known


def test_newest_weight_counts_and_a_struck_one_gives_way(body: Body):
    weigh = {"figure": body.figure, "user": body.lead, "part": "torso"}
    weigh_part(**weigh, mass_g=dec(700))
    slip = weigh_part(**weigh, mass_g=dec(7000))
    assert read_hang(body.guise, body.figure).weights[0].mass_g == 7000
    strike_weighing(weighing=slip, user=body.lead)
    assert read_hang(body.guise, body.figure).weights[0].mass_g == 700
    with pytest.raises(ValidationError, match="struck already"):
        strike_weighing(weighing=slip, user=body.lead)
    assert Weighing.objects.count() == 2


def test_balanced_part_moves_its_centre_and_narrows_the_range(body: Body):
    before = read_hang(body.guise, body.figure).hang
    weigh_part(
        figure=body.figure, user=body.lead, part="torso", mass_g=dec(650),
        centre_x_mm=dec(4), centre_y_mm=dec(392),
    )  # fmt: skip
    page = read_hang(body.guise, body.figure)
    assert (page.weights[0].x_mm, page.weights[0].y_mm) == (4, 392)
    assert page.hang is not None
    assert before is not None
    wide, narrow = before.lean, page.hang.lean
    assert narrow.high_deg - narrow.low_deg < wide.high_deg - wide.low_deg


def test_every_fault_of_a_weight_is_said_at_once(body: Body):
    with pytest.raises(ValidationError) as refused:
        weigh_part(
            figure=body.figure, user=body.lead, part="tail", mass_g=dec(-4),
            centre_x_mm=dec(9000), note="x" * 201,
        )  # fmt: skip
    assert set(refused.value.message_dict) == {
        "part", "mass_g", "centre_y_mm", "centre_x_mm", "note",
    }  # fmt: skip
    assert not Weighing.objects.exists()


# Trial hangs


def test_trial_hang_brings_the_reckoned_lean_to_the_measured_one(body: Body):
    save_hanging(
        drawing=body.drawing, user=body.lead, version=None,
        head_share_pct=50, lift_mm=dec(60), stops={},
    )  # fmt: skip
    before = read_hang(body.guise, body.figure).hang
    assert before is not None
    measured = round(before.lean.lean_deg + 2, 1)
    record_trial(figure=body.figure, user=body.lead, lean_deg=dec(measured), within_deg=dec(0.2))
    page = read_hang(body.guise, body.figure)
    assert page.hang is not None
    assert page.hang.lean.lean_deg == pytest.approx(measured, abs=0.15)
    assert page.learnt[0].kind == "torso"
    # Another figure of the guise is another piece of wood.
    twin = read_hang(body.guise, body.twin).hang
    assert twin is not None
    assert twin.lean == before.lean


def test_ballast_let_in_after_the_trial_is_not_taken_for_part_of_it(body: Body):
    save_hanging(
        drawing=body.drawing, user=body.lead, version=None,
        head_share_pct=50, lift_mm=dec(60), stops={},
    )  # fmt: skip
    record_trial(figure=body.figure, user=body.lead, lean_deg=dec(3), within_deg=dec(0.2))
    hang = read_hang(body.guise, body.figure).hang
    assert hang is not None
    assert hang.truing.ballast is not None
    x, y = hang.truing.ballast.at
    put_ballast(
        drawing=body.drawing, user=body.lead, version=None, x_mm=dec(round(x, 1)),
        y_mm=dec(round(y, 1)), mass_g=dec(round(hang.truing.ballast.mass_g, 1)), metal="steel",
    )  # fmt: skip
    after = read_hang(body.guise, body.figure).hang
    assert after is not None
    assert abs(after.lean.lean_deg) < 0.15


def test_struck_trial_teaches_nothing_more(body: Body):
    before = read_hang(body.guise, body.figure).hang
    row = record_trial(figure=body.figure, user=body.lead, lean_deg=dec(5))
    strike_trial(trial=row, user=body.lead)
    after = read_hang(body.guise, body.figure)
    assert after.hang is not None
    assert before is not None
    assert after.hang.lean == before.lean
    assert after.trials == ()
    assert TrialHang.objects.count() == 1


def test_trial_of_a_guise_without_drawing_or_with_nonsense_is_refused(body: Body):
    other = body.role("Captain Pell", "", "uniform")
    with pytest.raises(ValidationError) as refused:
        record_trial(
            figure=body.figure, user=body.lead, lean_deg=dec(99), within_deg=dec(0),
            costume=body.costume(other, "uniform"), head_share_pct=120, note="x" * 301,
        )  # fmt: skip
    assert set(refused.value.message_dict) == {
        "lean_deg", "within_deg", "costume", "head_share_pct", "note",
    }  # fmt: skip


def test_next_drawing_keeps_what_was_learnt(body: Body):
    record_trial(figure=body.figure, user=body.lead, lean_deg=dec(3), within_deg=dec(0.3))
    learnt = read_hang(body.guise, body.figure).hang
    start_drawing(
        guise=body.guise, user=body.lead, height_mm=body.drawing.height_mm, copy_of=body.drawing
    )
    again = read_hang(body.guise, body.figure).hang
    assert learnt is not None
    assert again is not None
    assert again.lean.lean_deg == pytest.approx(learnt.lean.lean_deg, abs=0.05)


# Ballast and fits


def test_every_fault_of_ballast_is_said_at_once_and_nothing_is_kept(body: Body):
    with pytest.raises(ValidationError) as refused:
        put_ballast(
            drawing=body.drawing, user=body.lead, version=None, x_mm=dec(9000), y_mm=dec(-5),
            mass_g=dec(0), metal="gold", part="tail",
        )  # fmt: skip
    assert set(refused.value.message_dict) == {"mass_g", "metal", "x_mm", "y_mm", "part"}
    assert not Ballast.objects.exists()


def test_ballast_comes_out_again_and_both_are_on_record(body: Body):
    row = put_ballast(
        drawing=body.drawing, user=body.lead, version=None, x_mm=dec(-30), y_mm=dec(380),
        mass_g=dec(30), metal="brass",
    )  # fmt: skip
    row.drawing = body.drawing
    take_ballast_out(ballast=row, user=body.lead)
    assert not Ballast.objects.exists()
    said = list(Change.objects.filter(noun="drawing").values_list("said", flat=True)[:2])
    assert [text.split()[0] for text in said] == ["took", "let"]


def test_shares_that_do_not_make_100_are_refused(body: Body):
    with pytest.raises(ValidationError, match="make 110 per cent"):
        save_fit(costume=body.coat, user=body.lead, version=None, values=fit_values(torso_pct=70))


def test_fit_written_by_two_is_refused_to_the_slower(body: Body):
    row = save_fit(costume=body.coat, user=body.lead, version=None, values=fit_values())
    save_fit(costume=body.coat, user=body.lead, version=row.version, values=fit_values())
    with pytest.raises(StaleEdit):
        save_fit(costume=body.coat, user=body.lead, version=row.version, values=fit_values())


# Pages


@pytest.mark.parametrize("more", [0, 9])
def test_pages_read_the_same_however_much_was_weighed_and_hung(
    body: Body, more: int, django_assert_num_queries: Any
):
    weigh_part(figure=body.figure, user=body.lead, part="torso", mass_g=dec(600))
    record_trial(figure=body.figure, user=body.lead, lean_deg=dec(2))
    for n in range(more):
        weigh_part(figure=body.figure, user=body.lead, part="head", mass_g=dec(80 + n))
        if n < 2:
            record_trial(figure=body.figure, user=body.lead, lean_deg=dec(2))
    client = client_of(body.lead)
    address = reverse("builds:figure_hang", args=[body.figure.pk])
    client.get(address)
    with django_assert_num_queries(READS):
        client.get(address)


def test_page_says_how_it_hangs_and_draws_both_poses(body: Body):
    answer = client_of(body.lead).get(reverse("builds:hang", args=[body.guise.pk]))
    said = answer.content.decode()
    assert answer.status_code == 200
    assert "Hung by its shoulder strings, bare," in said
    assert said.count("hang-part") == 8
    assert "Prefer brass or steel" in said
    assert "style=" not in said


def test_ballast_is_tried_where_it_is_asked_for(body: Body):
    page = client_of(body.lead).get(
        reverse("builds:hang", args=[body.guise.pk]), {"x": "-55", "y": "400"}
    )
    assert page.context["page"].hang.ballast_at == (-55.0, 400.0)
    assert "55 mm behind the line, 400 mm up" in page.content.decode() or "No ballast helps" in (
        page.content.decode()
    )


def test_what_was_typed_stays_where_it_was_wrong(body: Body):
    client = client_of(body.lead)
    answer = client.post(
        reverse("builds:weighing_add", args=[body.figure.pk]),
        {"part": "torso", "mass_g": "heavy", "centre_x_mm": "4", "note": "on the kitchen scale"},
    )
    said = answer.content.decode()
    assert answer.status_code == 422
    assert "on the kitchen scale" in said
    assert "heavy" in said
    answer = client.post(
        reverse("builds:trial_add", args=[body.figure.pk]),
        {"lean_deg": "-3", "side": "back", "note": "by the plumb line"},
    )
    assert answer.status_code == 422
    assert "by the plumb line" in answer.content.decode()
    assert "Nought or more" in answer.content.decode()


def test_lean_backward_is_kept_below_nought(body: Body):
    client_of(body.lead).post(
        reverse("builds:trial_add", args=[body.figure.pk]), {"lean_deg": "2,5", "side": "back"}
    )
    row = TrialHang.objects.get()
    assert (row.lean_deg, row.within_deg, row.costume) == (dec("-2.5"), 1, None)


def test_makers_weigh_and_hang_readers_look_and_strangers_find_nothing(body: Body):
    maker = client_of(person(body.company, Role.MAKER, "Tomas"))
    reader = client_of(person(body.company, Role.READER, "Odile"))
    stranger = client_of(person(CompanyFactory(name="Quay Street Puppets"), Role.LEAD))
    weigh = reverse("builds:weighing_add", args=[body.figure.pk])
    typed = {"part": "torso", "mass_g": "600"}
    assert [c.post(weigh, typed).status_code for c in (maker, reader, stranger)] == [302, 403, 404]
    ballast = reverse("builds:ballast_add", args=[body.guise.pk])
    assert [c.post(ballast, {}).status_code for c in (maker, reader, stranger)] == [403, 403, 404]
    page = reverse("builds:figure_hang", args=[body.figure.pk])
    assert [c.get(page).status_code for c in (maker, reader, stranger)] == [200, 200, 404]
    assert "Weigh a part" not in reader.get(page).content.decode()


def test_figures_page_says_in_short_how_it_hangs(body: Body):
    body.string()
    said = client_of(body.lead).get(body.figure.get_absolute_url()).content.decode()
    assert "Hung by its shoulder strings in the pilot coat it" in said
    assert "Strings for the bridge at" in said


def test_place_that_cannot_be_read_is_said_and_stays_in_its_field(body: Body):
    said = (
        client_of(body.lead)
        .get(reverse("builds:hang", args=[body.guise.pk]), {"x": "left a bit", "y": "400"})
        .content.decode()
    )
    assert "left a bit" in said
    assert "is not a number" in said


def test_ballast_of_a_borrowed_body_is_let_in_at_its_lender(body: Body):
    older = body.role("Bartle the ferryman", "", "oilskin")
    borrow_part(guise=older, part="body", lender=body.guise, user=body.lead)
    answer = client_of(body.lead).post(
        reverse("builds:ballast_add", args=[older.pk]),
        {"mass_g": "20", "x_mm": "-25", "y_mm": "390", "part": "torso", "metal": "brass"},
    )
    assert answer.status_code == 422
    assert not Ballast.objects.exists()


def test_lead_is_said_on_the_figure(body: Body):
    put_ballast(
        drawing=body.drawing, user=body.lead, version=None, x_mm=dec(-30), y_mm=dec(380),
        mass_g=dec(30), metal="lead",
    )  # fmt: skip
    said = client_of(body.lead).get(body.figure.get_absolute_url()).content.decode()
    assert "It contains lead" in said
