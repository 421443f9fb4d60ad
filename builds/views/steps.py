"""The page of a step, and the presses on it: answers, the lead's pass, hours, notes, undo."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import step_for
from builds.core.progress import Progress
from builds.forms.photos import PhotoForm
from builds.forms.refusals import add_refusal
from builds.forms.steps import HoursForm, PassForm, RecordForm, StepForm
from builds.models import Step, WorkLog
from builds.queries.step_card import StepCard, read_step, second_words
from builds.services.answers import record_answer
from builds.services.figures import edit_step
from builds.services.hours import log_work, strike_work
from builds.services.work import NotYet, answer_call, pass_step, refuse_pass, undo_press
from builds.views.sent import send_or_show
from company.access import membership_of
from company.htmx import render
from company.models import Role
from company.services.changes import StaleEdit

SAID = {
    "begin": "is begun",
    "finished": "is finished",
    "left": "is left here; the hours are booked",
    "need": "waits for the lead",
}


@require_safe
def step_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One step: what right looks like, who has it, and how it went."""
    return render_step(request, step_for(request.user, pk, Role.READER))


@require_POST
def step_record(request: HttpRequest, pk: int) -> HttpResponse:
    """Finished, left here, need the lead, or begun."""
    step = step_for(request.user, pk, Role.MAKER)
    form = RecordForm(request.POST, request.FILES, step=step, is_lead=_is_lead(request, step))
    if not form.is_valid():
        return render_step(request, step, status=422, record_form=form)
    answer, given = request.POST.get("answer", ""), form.cleaned_data
    photo = given["photo"]
    try:
        record_answer(
            step=step,
            user=request.user,
            answer=answer,
            minutes=given["hours"],
            words=given["words"],
            maker=given.get("maker"),
            reason=given["reason"],
            photo=photo,
            photo_size=photo.size if photo else 0,
            version=given["version"],
        )
    except NotYet:
        form.add_error("reason", "Say why it is begun all the same, or leave it for now.")
        return render_step(request, _anew(request, pk), status=422, record_form=form)
    except ValidationError as refusal:
        add_refusal(form, refusal)
        return render_step(request, _anew(request, pk), status=422, record_form=form)
    except StaleEdit:
        return _stale(request, pk, record_form=form)
    return _done(request, pk, f"{step.stage} {SAID[answer]}.")


@require_POST
def step_pass(request: HttpRequest, pk: int) -> HttpResponse:
    """The lead passes it, or says what is still to do."""
    step = step_for(request.user, pk, Role.LEAD)
    form = PassForm(request.POST, step=step, is_lead=True)
    if not form.is_valid():
        return render_step(request, step, status=422, pass_form=form)
    words, version = form.cleaned_data["words"], form.cleaned_data["version"]
    is_yes = request.POST.get("verdict") == "pass"
    press = pass_step if is_yes else refuse_pass
    try:
        press(step=step, user=request.user, words=words, version=version)
    except ValidationError as refusal:
        add_refusal(form, refusal)
        return render_step(request, _anew(request, pk), status=422, pass_form=form)
    except StaleEdit:
        return _stale(request, pk, pass_form=form)
    return _done(request, pk, f"{step.stage} is {'passed' if is_yes else 'handed back'}.")


@require_POST
def step_undo(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a wrong press back."""
    step = step_for(request.user, pk, Role.MAKER)
    return _press(request, step, undo_press, "is taken back by one press")


@require_POST
def step_answer(request: HttpRequest, pk: int) -> HttpResponse:
    """The lead has been."""
    step = step_for(request.user, pk, Role.MAKER)
    return _press(request, step, answer_call, "goes on: the lead has been")


@require_http_methods(["GET", "HEAD", "POST"])
def step_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Note, hours of its own, who must do it, not before when."""
    step = step_for(request.user, pk, Role.MAKER)
    form = StepForm(request.POST or None, step=step, is_lead=_is_lead(request, step))
    sent = send_or_show(
        request,
        form,
        lambda given: edit_step(
            step=step, user=request.user, version=given["version"], **form.values()
        ),
    )
    if sent.is_done:
        return _done(request, pk, f"{step.stage} is saved.")
    context = {
        "show": step.show, "place": "figures", "step": step, "form": form, "stands": sent.stands,
    }  # fmt: skip
    return render(request, "builds/step_edit.html", None, context, status=sent.status)


@require_POST
def work_add(request: HttpRequest, pk: int) -> HttpResponse:
    """Book hours of a day by themselves."""
    step = step_for(request.user, pk, Role.MAKER)
    form = HoursForm(request.POST, step=step, is_lead=_is_lead(request, step))
    if not form.is_valid():
        return render_step(request, step, status=422, hours_form=form)
    given = form.cleaned_data
    try:
        log_work(
            step=step,
            user=request.user,
            minutes=given["hours"],
            maker=given.get("maker"),
            day=given["day"],
            words=given["note"],
            version=given["version"],
        )
    except ValidationError as refusal:
        add_refusal(form, refusal)
        return render_step(request, _anew(request, pk), status=422, hours_form=form)
    except StaleEdit:
        return _stale(request, pk, hours_form=form)
    return _done(request, pk, "The hours are booked.")


@require_POST
def work_strike(request: HttpRequest, pk: int, log_pk: int) -> HttpResponse:
    """Strike hours that were a mistake."""
    step = step_for(request.user, pk, Role.MAKER)
    log = WorkLog.objects.filter(step=step, pk=log_pk).select_related("maker").first()
    if log is None:
        raise Http404("These hours are no longer there.")
    log.step = step
    try:
        strike_work(log=log, user=request.user)
    except ValidationError as refusal:
        return render_step(request, step, status=422, refusal=refusal.messages)
    return _done(request, pk, "The hours are struck.")


def render_step(
    request: HttpRequest, step: Step, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page, or by htmx its card.

    `state`: record_form, pass_form, hours_form (with what is wrong), photo_form, refusal
    (sentences), moved (somebody was quicker).
    """
    card = read_step(step, request.user)
    context = {
        "show": step.show,
        "place": "figures",
        "step": step,
        "card": card,
        "second": second_words(step, card.lead),
        "zone": step.show.company.time_zone,
        "is_fragment": bool(request.htmx),  # type: ignore[attr-defined]
        "user_pk": request.user.pk,
        **_forms(step, card),
        **state,
    }
    return render(request, "builds/step_detail.html", "builds/_step.html", context, status=status)


def _forms(step: Step, card: StepCard) -> dict[str, Any]:
    asks = bool(card.hindrances)
    # While it is open a photo goes with the answer; afterwards it is put up by itself.
    is_over = card.progress in (Progress.FINISHED, Progress.DONE)
    return {
        "photo_form": PhotoForm() if is_over and card.may_record else None,
        "record_form": RecordForm(step=step, is_lead=card.is_lead, asks_reason=asks),
        "pass_form": PassForm(step=step, is_lead=True, auto_id="pass-%s"),
        "hours_form": HoursForm(step=step, is_lead=card.is_lead),
    }


def _press(request: HttpRequest, step: Step, press: Any, words: str) -> HttpResponse:
    """A press that takes nothing but the version it was read at."""
    text = request.POST.get("version", "")
    try:
        press(step=step, user=request.user, version=int(text) if text.isdigit() else None)
    except ValidationError as refusal:
        step = _anew(request, step.pk)
        return render_step(request, step, status=422, refusal=refusal.messages)
    except StaleEdit:
        return _stale(request, step.pk)
    return _done(request, step.pk, f"{step.stage} {words}.")


def _stale(request: HttpRequest, pk: int, **state: Any) -> HttpResponse:
    """Somebody was quicker: the step as it stands, and what was typed still in its form."""
    step = _anew(request, pk)
    for form in state.values():
        form.data = {**form.data.dict(), "version": step.version}
    return render_step(request, step, status=409, moved=True, **state)


def _done(request: HttpRequest, pk: int, words: str) -> HttpResponse:
    messages.success(request, words)
    if request.htmx:  # type: ignore[attr-defined]
        return render_step(request, _anew(request, pk))
    return redirect("builds:step_detail", pk)


def _anew(request: HttpRequest, pk: int) -> Step:
    """The step as it is in the database now."""
    return step_for(request.user, pk, Role.READER)


def _is_lead(request: HttpRequest, step: Step) -> bool:
    return membership_of(request.user, step.show.company).allows(Role.LEAD)
