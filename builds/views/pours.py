"""A pour: recorded at the bench, drained, opened with its castings, written on, struck."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import pour_for
from builds.forms.castings import OutForm
from builds.forms.moulds import WordsForm
from builds.forms.pours import PourEditForm, PourForm
from builds.forms.refusals import add_refusal
from builds.models import Casting, Pour
from builds.queries.casting_advice import advice_for
from builds.queries.pours import read_pour, read_pour_form
from builds.queries.takings import read_takings
from builds.services.casting_costs import judge_with_cost
from builds.services.pours import MouldNotReady, drain_pour, edit_pour, record_pour, strike_pour
from builds.services.results import open_pour
from builds.views.sent import send_form, send_or_show
from company.access import membership_of
from company.htmx import render
from company.models import Maker, Role, User
from company.services.changes import StaleEdit
from company.templatetags.words import and_list
from scenes.access import show_for
from scenes.models import Show

QUICKER = "Somebody was quicker: this is the pour as it stands now. Nothing of yours was saved."


@require_http_methods(["GET", "HEAD", "POST"])
def pour_new(request: HttpRequest, pk: int) -> HttpResponse:
    """A pour recorded beside the mould, in under half a minute."""
    user: User = request.user  # type: ignore[assignment]
    show = show_for(user, pk, Role.MAKER)
    is_lead = membership_of(user, show.company).allows(Role.LEAD)
    asked = request.POST.get("mould") or request.GET.get("mould", "")
    offer = read_pour_form(show, user, asked)
    if request.method != "POST":
        form = PourForm(show=show, is_lead=is_lead, offer=offer, initial=offer.initial)
        return _render_new(request, show, form, offer, 200)
    form = PourForm(request.POST, show=show, is_lead=is_lead, offer=offer)
    if form.is_valid():
        given = form.cleaned_data
        try:
            pour = record_pour(
                mould=given["mould"],
                user=user,
                maker=given.get("maker") or _own_maker(user, show),
                lot=given["lot"],
                mix=given["mix"],
                poured_at=given["poured_at"],
                reason=given["reason"],
                takes=given["takes"],
                was_so=given["was_so"],
            )
        except MouldNotReady as wait:
            form.add_error("reason", wait.sentence)
        except ValidationError as refusal:
            add_refusal(form, refusal)
        else:
            taken = and_list(line.sentence for line in read_takings(pour))
            said = f" Taken: {taken}." if taken else ""
            messages.success(request, f"{_codes(pour)}: poured. The clock runs.{said}")
            return redirect(pour.get_absolute_url())
    return _render_new(request, show, form, offer, 422)


def _render_new(
    request: HttpRequest, show: Show, form: PourForm, offer: Any, status: int
) -> HttpResponse:
    form.fields["reason"].required = bool(offer.ready.warnings)  # so that it does not say 'blank'
    context = {
        "show": show,
        "place": "moulds",
        "form": form,
        "offer": offer,
        "advice": advice_for(offer.mould) if offer.mould else None,
        "zone": show.company.time_zone,
    }
    return render(request, "builds/pour_new.html", None, context, status=status)


@require_safe
def pour_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One pour: its clock, and its castings as they come out."""
    return render_pour(request, pour_for(request.user, pk, Role.READER))


@require_POST
def pour_drain(request: HttpRequest, pk: int) -> HttpResponse:
    """What was left is poured out."""
    pour = pour_for(request.user, pk, Role.MAKER)
    try:
        drain_pour(pour=pour, user=request.user, version=_version(request))  # type: ignore[arg-type]
    except ValidationError as refusal:
        return render_pour(request, pour, status=422, refusal=refusal.messages)
    except StaleEdit:
        return render_pour(request, _anew(request, pk), status=409, refusal=[QUICKER])
    messages.success(request, "Poured out. The mould is left alone now.")
    return redirect(pour.get_absolute_url())


@require_POST
def pour_open(request: HttpRequest, pk: int) -> HttpResponse:
    """The mould is open: each casting with its result."""
    user: User = request.user  # type: ignore[assignment]
    pour = pour_for(user, pk, Role.MAKER)
    form = OutForm(request.POST, pour=pour, castings=_castings(pour))

    def write(given: dict[str, Any]) -> None:
        verdicts = form.verdicts()
        failed = [v.casting.code for v in verdicts if v.result != Casting.Result.GOOD]
        judge_with_cost(
            pour=pour,
            failed=failed,
            judge=lambda: open_pour(
                pour=pour,
                user=user,
                verdicts=verdicts,
                opened_at=given["opened_at"],
                version=given["version"],
            ),
        )

    sent = send_form(form, write, quicker=QUICKER)
    if sent.is_done:
        messages.success(request, f"{_codes(pour)}: on record.")
        return redirect(pour.get_absolute_url())
    return render_pour(request, _anew(request, pk), status=sent.status, out_form=form)


@require_http_methods(["GET", "HEAD", "POST"])
def pour_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Lot, mix, note, and its clock by the data sheet."""
    pour = pour_for(request.user, pk, Role.MAKER)
    form = PourEditForm(request.POST or None, pour=pour)
    sent = send_or_show(
        request,
        form,
        lambda given: edit_pour(
            pour=pour,
            user=request.user,  # type: ignore[arg-type]
            version=given["version"],
            **form.values(),
        ),
    )
    if sent.is_done:
        messages.success(request, "The pour is saved.")
        return redirect(pour.get_absolute_url())
    context = {
        "show": pour.mould.pattern.show, "place": "moulds", "pour": pour, "form": form,
        "stands": sent.stands,
    }  # fmt: skip
    return render(request, "builds/pour_edit.html", None, context, status=sent.status)


@require_POST
def pour_strike(request: HttpRequest, pk: int) -> HttpResponse:
    """It was recorded by mistake: struck through and kept."""
    pour = pour_for(request.user, pk, Role.MAKER)
    form = WordsForm(request.POST, auto_id="strike-%s")
    sent = send_form(
        form,
        lambda given: strike_pour(
            pour=pour,
            user=request.user,  # type: ignore[arg-type]
            words=given["words"],
            version=given["version"],
        ),
        quicker=QUICKER,
    )
    if sent.is_done:
        messages.success(request, "The pour is struck through and kept.")
        return redirect(pour.mould.get_absolute_url())
    return render_pour(request, _anew(request, pk), status=sent.status, strike_form=form)


def render_pour(
    request: HttpRequest, pour: Pour, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page of a pour; `state`: out_form, strike_form, refusal (sentences)."""
    user: User = request.user  # type: ignore[assignment]
    show = pour.mould.pattern.show
    place = membership_of(user, show.company)
    card = read_pour(pour)
    may_record = place.allows(Role.MAKER) and pour.struck_at is None
    context = {
        "show": show,
        "place": "moulds",
        "pour": pour,
        "card": card,
        "may_record": may_record,
        "zone": show.company.time_zone,
        "out_form": OutForm(pour=pour, castings=list(card.castings)) if may_record else None,
        "strike_form": WordsForm(initial={"version": pour.version}, auto_id="strike-%s"),
        **state,
    }
    return render(request, "builds/pour_detail.html", None, context, status=status)


def _castings(pour: Pour) -> list[Casting]:
    rows = pour.castings.filter(struck_at=None)  # type: ignore[attr-defined]
    return list(rows.select_related("pattern__show", "figure", "pour__mould").order_by("number"))


def _codes(pour: Pour) -> str:
    return and_list(casting.code for casting in _castings(pour)) or str(pour)


def _own_maker(user: User, show: Show) -> Maker | None:
    return Maker.objects.filter(company=show.company, user=user, struck_at=None).first()


def _anew(request: HttpRequest, pk: int) -> Pour:
    return pour_for(request.user, pk, Role.READER)


def _version(request: HttpRequest) -> int | None:
    text = request.POST.get("version", "")
    return int(text) if text.isdigit() else None
