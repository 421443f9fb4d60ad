"""One casting: where it came from, where it is, and where it goes."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.access import casting_for
from builds.forms.castings import JudgeForm, PutForm
from builds.models import Casting
from builds.queries.casting_card import read_casting
from builds.services.casting_costs import judge_with_cost
from builds.services.results import judge_casting
from builds.services.whereabouts import put_casting, swap_castings
from builds.views.sent import send_form
from company.access import membership_of
from company.htmx import render
from company.models import Role, User

QUICKER = "Somebody was quicker: this is the casting as it stands now. Nothing of yours was saved."


@require_safe
def casting_detail(request: HttpRequest, pk: int) -> HttpResponse:
    """One casting and its whole way."""
    return render_casting(request, casting_for(request.user, pk, Role.READER))


@require_POST
def casting_judge(request: HttpRequest, pk: int) -> HttpResponse:
    """Judged again: a flaw found later, or a verdict that was a mistake."""
    user: User = request.user  # type: ignore[assignment]
    casting = casting_for(user, pk, Role.MAKER)
    form = JudgeForm(request.POST, casting=casting)

    def write(given: dict[str, Any]) -> None:
        verdict = form.verdict()
        good = Casting.Result.GOOD
        fails = verdict.result != good and casting.result == good
        judge_with_cost(
            pour=casting.pour,
            failed=[casting.code] if fails else [],
            judge=lambda: judge_casting(verdict=verdict, user=user, version=given["version"]),
        )

    sent = send_form(form, write, quicker=QUICKER)
    if sent.is_done:
        messages.success(request, f"{casting} is {casting.get_result_display()}.")
        return redirect(casting.get_absolute_url())
    return render_casting(request, _anew(request, pk), status=sent.status, judge_form=form)


@require_POST
def casting_put(request: HttpRequest, pk: int) -> HttpResponse:
    """Into a figure, to a place, or in exchange for another casting."""
    user: User = request.user  # type: ignore[assignment]
    casting = casting_for(user, pk, Role.MAKER)
    form = PutForm(request.POST, casting=casting)
    sent = send_form(form, lambda given: _put(casting, user, given), quicker=QUICKER)
    if sent.is_done:
        casting.refresh_from_db()
        where = f"in {casting.figure}" if casting.figure else f"at '{casting.place}'"
        messages.success(request, f"{casting} is {where}.")
        return redirect(casting.get_absolute_url())
    return render_casting(request, _anew(request, pk), status=sent.status, put_form=form)


def _put(casting: Casting, user: User, given: dict[str, Any]) -> None:
    if given["other"]:
        swap_castings(casting=casting, other=given["other"], user=user, version=given["version"])
        return
    put_casting(
        casting=casting,
        user=user,
        figure=given["figure"],
        place=given["place"],
        version=given["version"],
    )


def render_casting(
    request: HttpRequest, casting: Casting, *, status: int = 200, **state: Any
) -> HttpResponse:
    """The page of a casting; `state`: judge_form, put_form."""
    user: User = request.user  # type: ignore[assignment]
    show = casting.pattern.show
    may_record = membership_of(user, show.company).allows(Role.MAKER) and not casting.struck_at
    is_out = casting.result is not None
    can_move = is_out and casting.result != Casting.Result.THROWN
    context = {
        "show": show,
        "place": "moulds",
        "casting": casting,
        "card": read_casting(casting),
        "may_record": may_record,
        "zone": show.company.time_zone,
        "judge_form": JudgeForm(casting=casting) if may_record and is_out else None,
        "put_form": PutForm(casting=casting) if may_record and can_move else None,
        **state,
    }
    return render(request, "builds/casting_detail.html", None, context, status=status)


def _anew(request: HttpRequest, pk: int) -> Casting:
    return casting_for(request.user, pk, Role.READER)
