"""The page of the costume plot, and the changes and times that the count goes by."""

from __future__ import annotations

from typing import cast
from uuid import UUID

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.views.decorators.http import require_GET, require_POST

from company.access import membership_of
from company.core.units import format_minutes
from company.htmx import render
from company.models import Role, User
from company.services.changes import StaleEdit
from scenes.access import show_for
from scenes.forms.plot import RuleEditForm, RuleForm, TimesForm
from scenes.models import ChangeRule, Costume, Guise, Show
from scenes.queries.plot import GuiseView, PlotPage, read_plot
from scenes.queries.undo import read_undo
from scenes.services.plot import RuleGone, add_rule, edit_rule, remove_rule, set_times


@require_GET
def plot(request: HttpRequest, pk: int) -> HttpResponse:
    """The plot: how many figures, which plays what, and why."""
    return _page(request, _show(request, pk, Role.READER))


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
            return _done(request, show, found)
    return _page(request, show, rule_form=form, status=422)


@require_POST
def change_edit(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """Change the minutes or people of a change."""
    show = _show(request, pk, Role.LEAD)
    rule = _rule(show, key)
    form = RuleEditForm(request.POST, rule=rule)
    if not form.is_valid():
        return _page(request, show, edit_form=form, status=422)
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
        return _page(request, show, edit_form=form, status=409)
    return _done(request, show, rule.guise)


@require_POST
def change_remove(request: HttpRequest, pk: int, key: UUID) -> HttpResponse:
    """Take a change out of the plot."""
    show = _show(request, pk, Role.LEAD)
    rules = ChangeRule.objects.select_related("guise__character")
    rule = rules.filter(draft=show.current_draft, key=key).first()
    remove_rule(show=show, user=_user(request), key=key)
    return _done(request, show, rule.guise if rule else None)


@require_POST
def times_edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Say how long a figure takes across, and to be ready again."""
    show = _show(request, pk, Role.LEAD)
    form = TimesForm(request.POST, show=show)
    if not form.is_valid():
        return _page(request, show, times_form=form, status=422)
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
        return _page(request, show, times_form=form, status=409)
    return _done(request, show)


def _say_rule(rule: ChangeRule) -> str:
    people = "1 person" if rule.people == 1 else f"{rule.people} people"
    return f"{format_minutes(rule.change_s)} min, {people}"


def _page(
    request: HttpRequest,
    show: Show,
    *,
    rule_form: RuleForm | None = None,
    edit_form: RuleEditForm | None = None,
    times_form: TimesForm | None = None,
    open_guise: Guise | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page, or for htmx its body with the sentence; forms given are shown as they were sent."""
    page = read_plot(show)
    can_write = membership_of(_user(request), show.company).allows(Role.LEAD)
    opened = open_guise or (rule_form and rule_form.guise) or (edit_form and edit_form.rule.guise)
    context = {
        "show": show,
        "place": "plot",
        "page": page,
        "can_write": can_write,
        "changing": _changes(page, rule_form, edit_form) if can_write else page.changing,
        "open_guise": opened.pk if opened else None,
        "undo": read_undo(show, _user(request)) if can_write else None,
        "times_form": times_form or TimesForm(show=show),
    }
    return render(request, "scenes/plot.html", "scenes/_plot_page.html", context, status=status)


def _changes(
    page: PlotPage, rule_form: RuleForm | None, edit_form: RuleEditForm | None
) -> list[dict[str, object]]:
    """Each guise that has something to change into, with a form for each change and a new one."""
    return [
        {
            "view": view,
            "rules": [(shown, _edit_form(shown.rule, edit_form)) for shown in view.rules],
            "form": _rule_form(view, rule_form),
        }
        for view in page.changing
    ]


def _rule_form(view: GuiseView, sent: RuleForm | None) -> RuleForm:
    if sent is not None and sent.guise.pk == view.guise.pk:
        return sent
    return RuleForm(guise=view.guise, costumes=view.costumes)


def _edit_form(rule: ChangeRule, sent: RuleEditForm | None) -> RuleEditForm:
    return sent if sent is not None and sent.rule.key == rule.key else RuleEditForm(rule=rule)


def _done(request: HttpRequest, show: Show, guise: Guise | None = None) -> HttpResponse:
    if request.headers.get("HX-Request") == "true":
        return _page(request, show, open_guise=guise)
    url = reverse("scenes:plot", args=[show.pk])
    return redirect(f"{url}#changes-{guise.pk}" if guise else f"{url}#times")


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
