"""The page of the costume plot, and the changes and times that the count goes by."""

from __future__ import annotations

from typing import cast
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_GET, require_POST

from company.core.units import format_minutes
from company.models import Role, User
from company.services.changes import StaleEdit
from scenes.access import show_for
from scenes.forms.plot import RuleEditForm, RuleForm, TimesForm
from scenes.models import ChangeRule, Costume, Guise, Show
from scenes.services.plot import RuleGone, add_rule, edit_rule, remove_rule, set_times
from scenes.views.plot_page import plot_done, render_plot


@require_GET
def plot(request: HttpRequest, pk: int) -> HttpResponse:
    """The plot: how many figures, which plays what, and why."""
    return render_plot(request, _show(request, pk, Role.READER))


@require_POST
def change_add(request: HttpRequest, pk: int, guise_pk: int) -> HttpResponse:
    """Write a change that a figure of the guise can make."""
    show = _show(request, pk, Role.LEAD)
    guise = Guise.objects.select_related("character").filter(character__show=show, pk=guise_pk)
    if (found := guise.first()) is None:
        raise Http404("Nothing here.")
    costumes = list(Costume.objects.filter(guise=found))
    form = RuleForm(request.POST, guise=found, costumes=costumes)
    if form.is_valid():
        try:
            add_rule(
                show=show,
                user=_user(request),
                guise=found,
                from_costume=form.cleaned_data["from_costume"],
                to_costume=form.cleaned_data["to_costume"],
                change_s=form.cleaned_data["minutes"],
                people=form.cleaned_data["people"],
            )
        except ValidationError as error:
            form.take_problems(error.message_dict)
        else:
            return plot_done(request, show, at=f"changes-{found.pk}", open_guise=found)
    return render_plot(request, show, rule_form=form, status=422)


@require_POST
def change_edit(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """Change the minutes or people of a change."""
    show = _show(request, pk, Role.LEAD)
    rule = _rule(show, key)
    form = RuleEditForm(request.POST, rule=rule)
    if not form.is_valid():
        return render_plot(request, show, edit_form=form, status=422)
    try:
        edit_rule(
            show=show,
            user=_user(request),
            key=key,
            change_s=form.cleaned_data["minutes"],
            people=form.cleaned_data["people"],
            version=form.cleaned_data["version"],
        )
    except RuleGone as gone:
        raise Http404("Nothing here.") from gone
    except StaleEdit as stale:
        now = cast(ChangeRule, stale.row)
        form.say_stands("minutes", _say_rule(now), now.version)
        return render_plot(request, show, edit_form=form, status=409)
    return plot_done(request, show, at=f"changes-{rule.guise_id}", open_guise=rule.guise)


@require_POST
def change_remove(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """Take a change out of the plot."""
    show = _show(request, pk, Role.LEAD)
    rules = ChangeRule.objects.select_related("guise__character")
    rule = rules.filter(draft=show.current_draft, key=key).first()
    remove_rule(show=show, user=_user(request), key=key)
    guise = rule.guise if rule else None
    at = f"changes-{guise.pk}" if guise else "times"
    return plot_done(request, show, at=at, open_guise=guise)


@require_POST
def times_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how long a figure takes across, and to be ready again."""
    show = _show(request, pk, Role.LEAD)
    form = TimesForm(request.POST, show=show)
    if not form.is_valid():
        return render_plot(request, show, times_form=form, status=422)
    try:
        set_times(
            show=show,
            user=_user(request),
            crossing_s=form.cleaned_data["crossing"],
            reset_s=form.cleaned_data["reset"],
            version=form.cleaned_data["version"],
        )
    except StaleEdit as stale:
        now = cast(Show, stale.row)
        stands = f"{format_minutes(now.crossing_s)} across, {format_minutes(now.reset_s)} ready"
        form.say_stands("crossing", stands, now.version)
        return render_plot(request, show, times_form=form, status=409)
    return plot_done(request, show)


def _say_rule(rule: ChangeRule) -> str:
    people = "1 person" if rule.people == 1 else f"{rule.people} people"
    return f"{format_minutes(rule.change_s)} min, {people}"


def _rule(show: Show, key: UUID) -> ChangeRule:
    rules = ChangeRule.objects.select_related("guise__character", "from_costume", "to_costume")
    rule = rules.filter(draft=show.current_draft, key=key).first()
    if rule is None:
        raise Http404("Nothing here.")
    return rule


def _show(request: HttpRequest, pk: int, role: Role) -> Show:
    return show_for(_user(request), pk, role)


def _user(request: HttpRequest) -> User:
    return cast(User, request.user)
