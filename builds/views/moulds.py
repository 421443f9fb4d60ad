"""The shelf of moulds, the page of one, and what is done to a mould."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from builds.access import mould_for
from builds.forms.moulds import MouldForm, WordsForm
from builds.models import Mould
from builds.queries.casting_advice import advice_for
from builds.queries.lots import read_lots
from builds.queries.moulds import read_mould, read_shelf
from builds.services.moulds import add_mould, dry_mould, edit_mould, mend_mould, retire_mould
from builds.views.sent import send_form, send_or_show
from company.access import membership_of
from company.htmx import render
from company.models import Role, User
from scenes.access import show_for


@require_safe
def mould_list(request: HttpRequest, pk: int) -> HttpResponse:
    """Every mould, what is in it, and what to pour next."""
    user: User = request.user  # type: ignore[assignment]
    show = show_for(user, pk, Role.READER)
    place = membership_of(user, show.company)
    shelf = read_shelf(show, user)
    context = {
        "show": show,
        "place": "moulds",
        "shelf": shelf,
        "advice": advice_for(shelf.next.pour.mould) if shelf.next else None,
        "is_lead": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
        "zone": show.company.time_zone,
    }
    return render(request, "builds/mould_list.html", None, context)


@require_safe
def mould_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One mould: its pours, its castings, its life."""
    return render_mould(request, mould_for(request.user, pk, Role.READER))


@require_safe
def mould_lot(request: HttpRequest, pk: int) -> HttpResponse:
    """Every pour of a lot and every figure that it is in."""
    show = show_for(request.user, pk, Role.READER)
    lot = " ".join(request.GET.get("lot", "").split())[:60]
    context = {
        "show": show,
        "place": "moulds",
        "lot": lot,
        "lots": read_lots(show, lot),
        "zone": show.company.time_zone,
    }
    return render(request, "builds/mould_lot.html", None, context)


@require_http_methods(["GET", "HEAD", "POST"])
def mould_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Parts, cavities, drying, life, and from when it may be poured."""
    mould = mould_for(request.user, pk, Role.LEAD)
    form = MouldForm(request.POST or None, mould=mould)
    sent = send_or_show(
        request,
        form,
        lambda given: edit_mould(
            mould=mould,
            user=request.user,  # type: ignore[arg-type]
            version=given["version"],
            **form.values(),
        ),
    )
    if sent.is_done:
        messages.success(request, f"{mould} is saved.")
        return redirect(mould.get_absolute_url())
    context = {
        "show": mould.pattern.show, "place": "moulds", "mould": mould, "form": form,
        "stands": sent.stands,
    }  # fmt: skip
    return render(request, "builds/mould_edit.html", None, context, status=sent.status)


@require_POST
def mould_dry(request: HttpRequest, pk: int) -> HttpResponse:
    """It has had its drying day."""
    mould = mould_for(request.user, pk, Role.MAKER)
    try:
        dry_mould(mould=mould, user=request.user)  # type: ignore[arg-type]
    except ValidationError as refusal:
        return render_mould(request, mould, status=422, refusal=refusal.messages)
    messages.success(request, f"{mould} has been dried.")
    return redirect(mould.get_absolute_url())


@require_POST
def mould_mend(request: HttpRequest, pk: int) -> HttpResponse:
    """It was mended."""
    mould = mould_for(request.user, pk, Role.MAKER)
    form = WordsForm(request.POST, auto_id="mend-%s")
    return _said(
        request,
        mould,
        form,
        "mend_form",
        lambda given: mend_mould(
            mould=mould,
            user=request.user,  # type: ignore[arg-type]
            words=given["words"],
            more_castings=given["more_castings"] or 0,
            version=given["version"],
        ),
        "is mended",
    )


@require_POST
def mould_retire(request: HttpRequest, pk: int) -> HttpResponse:
    """Nothing is poured in it any more."""
    mould = mould_for(request.user, pk, Role.LEAD)
    form = WordsForm(request.POST, auto_id="retire-%s")
    return _said(
        request,
        mould,
        form,
        "retire_form",
        lambda given: retire_mould(
            mould=mould,
            user=request.user,  # type: ignore[arg-type]
            words=given["words"],
            replace=given["replace"],
            version=given["version"],
        ),
        "is retired; what came out of it stays",
    )


@require_POST
def mould_add(request: HttpRequest, pk: int) -> HttpResponse:
    """One mould more beside this one."""
    mould = mould_for(request.user, pk, Role.LEAD)
    try:
        made = add_mould(mould=mould, user=request.user)  # type: ignore[arg-type]
    except ValidationError as refusal:
        return render_mould(request, mould, status=422, refusal=refusal.messages)
    messages.success(request, f"{made} is wanted; the pours to come are shared between them.")
    return redirect(made.get_absolute_url())


def _said(
    request: HttpRequest, mould: Mould, form: WordsForm, name: str, press: Any, words: str
) -> HttpResponse:
    """A press that asks for a word."""
    quicker = "Somebody was quicker: look at the mould as it stands now."
    sent = send_form(form, press, quicker=quicker)
    if sent.is_done:
        messages.success(request, f"{mould} {words}.")
        return redirect(mould.get_absolute_url())
    return render_mould(request, mould_for(request.user, mould.pk, Role.READER), status=sent.status,
                        **{name: form})  # fmt: skip


def render_mould(
    request: HttpRequest, mould: Mould, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page of a mould; `state`: mend_form, retire_form, refusal (sentences)."""
    user: User = request.user  # type: ignore[assignment]
    show = mould.pattern.show
    place = membership_of(user, show.company)
    version = {"version": mould.version}
    context = {
        "show": show,
        "place": "moulds",
        "mould": mould,
        "card": read_mould(mould, user),
        "advice": advice_for(mould),
        "is_lead": place.allows(Role.LEAD),
        "may_record": place.allows(Role.MAKER),
        "zone": show.company.time_zone,
        "mend_form": WordsForm(initial=version, auto_id="mend-%s"),
        "retire_form": WordsForm(initial=version, auto_id="retire-%s"),
        **state,
    }
    return render(request, "builds/mould_detail.html", None, context, status=status)
