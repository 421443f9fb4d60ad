"""Recording at the bench: who may press what, what stands in the way, what is taken back."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

import pytest
from django.core.exceptions import ValidationError

from builds.models import Plan, PlannedStep, Pour, Step, WorkLog
from builds.queries.hindrances import hindrances_of
from builds.services.answers import record_answer
from builds.services.figures import edit_figure, edit_step
from builds.services.hours import log_work, strike_work
from builds.services.work import (
    NotYet,
    answer_call,
    begin_step,
    call_lead,
    finish_step,
    leave_step,
    pass_step,
    refuse_pass,
    undo_press,
)
from company import clock
from company.models import Change, Role
from company.services.changes import StaleEdit
from scenes.models import Sketch
from tests.builds.desk import Desk
from tests.factories import MakerFactory, person

pytestmark = pytest.mark.django_db


class Bench(Desk):
    """Jory at sixty in one coat; Tomas helps at the bench."""

    def __init__(self) -> None:
        super().__init__()
        self.jory = self.role("Jory Tarrow", "at sixty", "pilot coat")
        self.wear(self.jory, "1", "pilot coat")
        self.accept()
        self.tomas_user = person(self.company, Role.MAKER, "Tomas")
        self.tomas = MakerFactory(company=self.company, name="Tomas", user=self.tomas_user)

    def shared(self, key: str) -> Step:
        """The step of a stage that is done once for the guise, its head or its body."""
        found: Step = Step.objects.get(stage__key=key, figure=None, pour=None)
        return found

    def get_done(self, *keys: str) -> None:
        """Finish and pass what the guise shares, in this order."""
        for key in keys:
            step = finish_step(step=self.shared(key), user=self.lead, reason="for the test")
            if step.stage.gate:
                pass_step(step=step, user=self.lead)


@pytest.fixture
def bench() -> Bench:
    return Bench()


def last_change(step: Step) -> Change:
    found = Change.objects.filter(noun="step", row=str(step.pk)).first()
    assert found is not None
    return found


# The three answers


def test_finished_begins_what_was_not_begun_and_books_the_hours(bench: Bench) -> None:
    bench.get_done("choose-sketch")
    step = finish_step(step=bench.shared("drawing"), user=bench.lead, minutes=480, words="both")
    assert (step.begun_at, step.finished_at, step.begun_by) == (
        clock.now(),
        clock.now(),
        bench.ines,
    )
    log = WorkLog.objects.get(step=step)
    assert (log.minutes, log.maker, log.day, log.note) == (
        480,
        bench.ines,
        clock.today(bench.company),
        "both",
    )
    assert step.is_done


def test_left_here_books_hours_and_leaves_it_under_way(bench: Bench) -> None:
    bench.get_done("choose-sketch")
    step = leave_step(step=bench.shared("sculpt-head"), user=bench.tomas_user, minutes=90)
    assert (step.begun_by, step.finished_at) == (bench.tomas, None)
    leave_step(step=step, user=bench.tomas_user, minutes=60)
    assert sum(WorkLog.objects.filter(step=step).values_list("minutes", flat=True)) == 150
    with pytest.raises(ValidationError) as refusal:
        leave_step(step=step, user=bench.tomas_user)
    assert "Say how long it took" in refusal.value.message_dict["hours"][0]


def test_need_the_lead_keeps_the_words_until_the_lead_has_been(bench: Bench) -> None:
    step = bench.step("J1", "carve")
    with pytest.raises(ValidationError, match="Say in a few words"):
        call_lead(step=step, user=bench.tomas_user, words="  ")
    call_lead(step=step, user=bench.tomas_user, words="The grain  runs out at the knee")
    assert (step.needs_lead, step.needs_lead_words) == (True, "The grain runs out at the knee")
    assert (step.begun_at, step.finished_at) == (None, None)
    answer_call(step=step, user=bench.lead)
    assert (step.needs_lead, step.needs_lead_words) == (False, "")
    assert (last_change(step).before or {})["needs_lead_words"] == "The grain runs out at the knee"


def test_words_beyond_three_hundred_letters_are_refused_and_nothing_is_saved(bench: Bench) -> None:
    step = bench.step("J1", "carve")
    with pytest.raises(ValidationError, match="At most 300 letters"):
        call_lead(step=step, user=bench.lead, words="x" * 301)
    assert not bench.step("J1", "carve").needs_lead


def test_an_answer_is_recorded_whole_or_not_at_all(bench: Bench) -> None:
    bench.get_done("choose-sketch")
    from io import BytesIO

    with pytest.raises(ValidationError) as refusal:
        record_answer(
            step=bench.shared("drawing"),
            user=bench.lead,
            answer="finished",
            minutes=60,
            photo=BytesIO(b"no picture"),
            photo_size=10,
        )
    assert "not a whole PNG" in refusal.value.message_dict["photo"][0]
    assert bench.shared("drawing").begun_at is None
    assert not WorkLog.objects.exists()
    with pytest.raises(ValidationError, match="Say finished, left here"):
        record_answer(step=bench.shared("drawing"), user=bench.lead, answer="gone")


# What stands in the way


def test_what_comes_before_warns_and_a_reason_lets_through(bench: Bench) -> None:
    step = bench.step("J1", "carve")
    with pytest.raises(NotYet) as stop:
        begin_step(step=step, user=bench.lead)
    assert [h.why for h in stop.value.hindrances] == ["not begun"]
    assert bench.step("J1", "carve").begun_at is None
    begin_step(step=step, user=bench.lead, reason="The wood came early")
    assert step.begun_at == clock.now()
    assert (last_change(step).after or {})["reason"] == "The wood came early"


def test_a_gate_holds_until_it_is_passed(bench: Bench) -> None:
    bench.get_done("choose-sketch", "sculpt-head")
    finish_step(step=bench.shared("pass-head"), user=bench.lead, reason="hands later")
    (waits,) = hindrances_of(bench.shared("mould-head"))
    assert waits.why == "finished, waits for the lead's pass"
    pass_step(step=bench.shared("pass-head"), user=bench.lead)
    assert hindrances_of(bench.shared("mould-head")) == []


def test_what_dries_holds_until_it_is_dry(bench: Bench, settings: Any) -> None:
    bench.get_done("choose-sketch", "sculpt-head", "pass-head", "mould-head")
    pour = Step.objects.get(stage__key="pour-head")
    (waits,) = hindrances_of(pour)
    wait = timedelta(minutes=bench.shared("mould-head").stage.wait_min)
    assert (waits.why, waits.until) == ("still drying", clock.now() + wait)
    settings.TODAY = clock.now() + wait
    assert hindrances_of(Step.objects.get(pk=pour.pk)) == []


def test_a_chosen_sketch_is_as_good_as_the_step(bench: Bench) -> None:
    assert hindrances_of(bench.shared("drawing"))
    Sketch.objects.create(
        guise=bench.jory, file="s.png", width_px=1, height_px=1, made_by=bench.lead,
        at=clock.now(), is_chosen=True,
    )  # fmt: skip
    assert hindrances_of(bench.shared("drawing")) == []


# Who may


def test_what_is_the_leads_alone_stays_so(bench: Bench) -> None:
    with pytest.raises(ValidationError, match="'Carve the body' is the lead's alone"):
        begin_step(step=bench.step("J1", "carve"), user=bench.tomas_user, reason="keen")


@pytest.mark.parametrize(
    ("stage", "mark", "words"),
    [
        ("saw-blanks", {"is_saw_trained": False}, "not marked as trained on the saw"),
        ("trim", {"has_latex_allergy": True}, "latex allergy"),
        ("saw-blanks", {"is_saw_trained": True, "is_under_18": True}, "under 18"),
    ],
)
def test_marks_close_stages_to_a_person(
    bench: Bench, stage: str, mark: dict[str, bool], words: str
) -> None:
    step = bench.step("J1", stage)
    step.stage.closed_to_under_18 = step.stage.closed_to_latex_allergy = True
    step.stage.save()
    type(bench.tomas).objects.filter(pk=bench.tomas.pk).update(**mark)
    with pytest.raises(ValidationError, match=words):
        finish_step(step=step, user=bench.tomas_user, reason="keen")


def test_finishing_somebody_elses_step_is_recorded_with_whose_it_was(bench: Bench) -> None:
    step = bench.step("J1", "shoes")
    plan = Plan.objects.create(
        show=bench.show, made_at=clock.now(), status="found", is_pinned_up=True
    )
    PlannedStep.objects.create(
        plan=plan, step=step, minutes=180, maker=bench.ines, start=clock.now(), finish=clock.now()
    )
    finish_step(step=step, user=bench.tomas_user, reason="she was away")
    assert (last_change(step).after or {})["planned_for"] == ["Ines"]
    assert step.begun_by == bench.tomas


def test_only_a_lead_passes_only_gates_only_what_is_finished(bench: Bench) -> None:
    bench.get_done("choose-sketch", "sculpt-head")
    gate = bench.shared("pass-head")
    with pytest.raises(ValidationError, match="once it is finished"):
        pass_step(step=gate, user=bench.lead)
    with pytest.raises(ValidationError, match="does not wait for a pass"):
        pass_step(step=bench.shared("sculpt-head"), user=bench.lead)
    finish_step(step=gate, user=bench.lead, reason="hands later")
    with pytest.raises(ValidationError, match="Only the lead passes"):
        pass_step(step=gate, user=bench.tomas_user)
    pass_step(step=gate, user=bench.lead)
    assert (gate.passed_at, gate.passed_by) == (clock.now(), bench.lead)
    assert gate.is_done


def test_not_passed_goes_back_to_the_bench_with_what_is_to_do(bench: Bench) -> None:
    bench.get_done("choose-sketch", "sculpt-head")
    gate = finish_step(
        step=bench.shared("pass-head"), user=bench.lead, minutes=30, reason="hands later"
    )
    with pytest.raises(ValidationError, match="what is still to do"):
        refuse_pass(step=gate, user=bench.lead, words="")
    refuse_pass(step=gate, user=bench.lead, words="the left ear sits low")
    assert (gate.finished_at, gate.passed_at) == (None, None)
    assert gate.begun_at == clock.now()
    assert gate.note == "Still to do, 4 March: the left ear sits low"
    assert WorkLog.objects.filter(step=gate, struck_at=None).count() == 1


# Taken back


def test_a_wrong_press_is_taken_back_step_by_step(bench: Bench) -> None:
    bench.get_done("choose-sketch")
    step = finish_step(step=bench.shared("drawing"), user=bench.lead)
    undo_press(step=step, user=bench.lead)
    assert (step.finished_at, step.begun_at) == (None, clock.now())
    undo_press(step=step, user=bench.lead)
    assert (step.begun_at, step.begun_by) == (None, None)
    with pytest.raises(ValidationError, match="nothing to take back"):
        undo_press(step=step, user=bench.lead)
    assert (last_change(step).after or {})["words"] == "taken back"


def test_hours_on_record_keep_a_step_begun_and_a_pass_is_the_leads(bench: Bench) -> None:
    bench.get_done("choose-sketch", "sculpt-head", "pass-head")
    with pytest.raises(ValidationError, match="The lead has passed it"):
        undo_press(step=bench.shared("pass-head"), user=bench.lead)
    step = leave_step(step=bench.shared("sculpt-hands"), user=bench.lead, minutes=15)
    with pytest.raises(ValidationError, match="strike those first"):
        undo_press(step=step, user=bench.lead)
    strike_work(log=WorkLog.objects.get(step=step), user=bench.lead)
    undo_press(step=step, user=bench.lead)
    assert step.begun_at is None


def test_a_second_press_of_one_page_is_refused_and_books_nothing_twice(bench: Bench) -> None:
    bench.get_done("choose-sketch")
    step = bench.shared("drawing")
    read = step.version
    leave_step(step=step, user=bench.lead, minutes=60, version=read)
    with pytest.raises(StaleEdit):
        leave_step(step=bench.shared("drawing"), user=bench.lead, minutes=60, version=read)
    assert WorkLog.objects.filter(step=step).count() == 1


def test_a_step_no_longer_wanted_takes_no_record(bench: Bench) -> None:
    step = bench.step("J1", "shoes")
    Step.objects.filter(pk=step.pk).update(struck_at=clock.now())
    with pytest.raises(ValidationError, match="no longer wanted"):
        finish_step(step=step, user=bench.lead)


def test_a_pour_is_poured_with_its_step_and_not_when_it_is_taken_back(bench: Bench) -> None:
    step = Step.objects.get(stage__key="pour-head")
    finish_step(step=step, user=bench.lead, reason="for the test")
    pour = Pour.objects.get(pk=step.pour_id)
    assert (pour.poured_at, pour.maker) == (clock.now(), bench.ines)
    undo_press(step=step, user=bench.lead)
    assert Pour.objects.get(pk=step.pour_id).poured_at is None


# Hours


@pytest.mark.parametrize("minutes", [0, -15, 30 * 60, 16 * 60 + 1])
def test_hours_of_nought_or_of_more_than_a_day_are_refused(bench: Bench, minutes: int) -> None:
    with pytest.raises(ValidationError) as refusal:
        log_work(step=bench.step("J1", "shoes"), user=bench.lead, minutes=minutes)
    assert "longer than nought and at most 16 hours" in refusal.value.message_dict["hours"][0]
    assert not WorkLog.objects.exists()


def test_all_that_is_wrong_with_hours_is_said_at_once(bench: Bench) -> None:
    elsewhere = MakerFactory(name="Odile")
    with pytest.raises(ValidationError) as refusal:
        log_work(
            step=bench.step("J1", "shoes"), user=bench.lead, minutes=0, maker=elsewhere,
            day=clock.today(bench.company) + timedelta(days=1),
        )  # fmt: skip
    assert set(refusal.value.message_dict) == {"hours", "day", "maker"}


def test_a_maker_books_their_own_hours_and_a_lead_for_anybody(bench: Bench) -> None:
    step = bench.step("J1", "shoes")
    log = log_work(step=step, user=bench.lead, minutes=30, maker=bench.tomas)
    with pytest.raises(ValidationError, match="Book your own hours"):
        log_work(step=step, user=bench.tomas_user, minutes=30, maker=bench.ines)
    strike_work(log=log, user=bench.tomas_user)
    assert log.struck_at == clock.now()
    other = log_work(step=step, user=bench.lead, minutes=30)
    with pytest.raises(ValidationError, match="Strike your own hours"):
        strike_work(log=other, user=bench.tomas_user)
    stranger_hand = person(bench.company, Role.MAKER, "Priya")
    with pytest.raises(ValidationError, match="Nobody among the makers is marked as you"):
        log_work(step=step, user=stranger_hand, minutes=30)


def test_one_makers_day_holds_twenty_four_hours_struck_ones_not_counted(bench: Bench) -> None:
    step = bench.step("J1", "shoes")
    first = log_work(step=step, user=bench.lead, minutes=16 * 60)
    with pytest.raises(ValidationError, match="more than 24 hours that day"):
        log_work(step=step, user=bench.lead, minutes=9 * 60)
    strike_work(log=first, user=bench.lead)
    log_work(step=step, user=bench.lead, minutes=9 * 60)


# Writing on steps and figures


def test_pins_dates_and_own_hours_are_the_leads_and_are_checked(bench: Bench) -> None:
    step = bench.step("J1", "shoes")
    with pytest.raises(ValidationError, match="the lead's to set"):
        edit_step(step=step, user=bench.tomas_user, version=None, own_min=60)
    edit_step(step=step, user=bench.tomas_user, version=None, note=" size 3 ")
    assert bench.step("J1", "shoes").note == "size 3"
    with pytest.raises(ValidationError) as refusal:
        edit_step(
            step=step, user=bench.lead, version=None, own_min=401 * 60, pinned_maker=bench.tomas
        )
    assert set(refusal.value.message_dict) == {"own_min", "pinned_maker"}
    assert "not marked with the craft" in refusal.value.message_dict["pinned_maker"][0]
    bench.tomas.crafts.add(step.stage.craft)
    edit_step(step=step, user=bench.lead, version=None, own_min=0, pinned_maker=bench.tomas)
    assert (bench.step("J1", "shoes").work_min, bench.step("J1", "shoes").pinned_maker) == (
        0,
        bench.tomas,
    )


def test_a_stale_note_is_refused_and_what_stands_is_handed_back(bench: Bench) -> None:
    figure = bench.figure("J1")
    edit_figure(figure=figure, user=bench.lead, version=1, note="first")
    with pytest.raises(StaleEdit) as stale:
        edit_figure(figure=bench.figure("J1"), user=bench.tomas_user, version=1, note="second")
    assert stale.value.row.note == "first"  # type: ignore[attr-defined]


def test_a_figures_date_after_opening_and_a_weight_of_ten_are_refused(bench: Bench) -> None:
    show = bench.show
    show.opening = clock.today(bench.company)
    show.save()
    with pytest.raises(ValidationError) as refusal:
        edit_figure(
            figure=bench.figure("J1"), user=bench.lead, version=None, weight=10,
            needed_by=clock.today(bench.company) + timedelta(days=1),
        )  # fmt: skip
    assert set(refusal.value.message_dict) == {"weight", "needed_by"}
    assert "after the opening on 4 March 2026" in refusal.value.message_dict["needed_by"][0]
