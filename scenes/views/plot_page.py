"""The page of the costume plot with the forms on it, as sent or fresh, for all that write it."""

from __future__ import annotations

from typing import Any, cast

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from company.access import membership_of
from company.htmx import render
from company.models import Role, User
from scenes.core.ranges import known_places
from scenes.forms.plot import RuleEditForm, RuleForm, TimesForm
from scenes.forms.stage import PinForm, WalkEditForm, WalkForm
from scenes.models import ChangeRule, Guise, Show, Walk
from scenes.queries.plot import GuiseView, PlotPage, read_plot
from scenes.queries.undo import read_undo


def render_plot(
    request: HttpRequest,
    show: Show,
    *,
    rule_form: RuleForm | None = None,
    edit_form: RuleEditForm | None = None,
    times_form: TimesForm | None = None,
    pin_form: PinForm | None = None,
    walk_form: WalkForm | None = None,
    walk_edit: WalkEditForm | None = None,
    open_guise: Guise | None = None,
    open_pins: Guise | None = None,
    status: int = 200,
) -> HttpResponse:
    """The page, or for htmx its body with the sentence; forms given are shown as they were sent."""
    page = read_plot(show)
    user = cast(User, request.user)
    can_write = membership_of(user, show.company).allows(Role.LEAD)
    opened = open_guise or (rule_form and rule_form.guise) or (edit_form and edit_form.rule.guise)
    pinning = open_pins or (pin_form and pin_form.guise)
    context = {
        "show": show,
        "place": "plot",
        "page": page,
        "can_write": can_write,
        "changing": _changes(page, rule_form, edit_form) if can_write else page.changing,
        "open_guise": opened.pk if opened else None,
        "open_pins": pinning.pk if pinning else None,
        "pin_form": pin_form,
        "undo": read_undo(show, user) if can_write else None,
        "times_form": times_form or TimesForm(show=show),
        **_ways(page, walk_form, walk_edit),
    }
    return render(request, "scenes/plot.html", "scenes/_plot_page.html", context, status=status)


def plot_done(
    request: HttpRequest, show: Show, *, at: str = "times", **opened: Guise | None
) -> HttpResponse:
    """After an edit: by htmx the page's body anew, else the page at the place `at`."""
    if request.headers.get("HX-Request") == "true":
        return render_plot(request, show, **opened)  # type: ignore[arg-type]
    return redirect(f"{reverse('scenes:plot', args=[show.pk])}#{at}")


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


def _ways(page: PlotPage, sent: WalkForm | None, edited: WalkEditForm | None) -> dict[str, Any]:
    """The ways between places, each with its form, and a new one."""

    def form_of(walk: Walk) -> WalkEditForm:
        if edited is not None and edited.walk.pk == walk.pk:
            return edited
        return WalkEditForm(walk=walk)

    return {
        "ways": [(walk, form_of(walk)) for walk in page.counted.rows.walks],
        "walk_form": sent or WalkForm(),
        "places": known_places(page.counted.plot),
    }
