"""Adding, editing and removing costumes on the page of their guise."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.views.decorators.http import require_http_methods, require_POST

from company.models import Role
from scenes.access import show_for
from scenes.forms.roles import CostumeForm
from scenes.models import Costume, Guise, Show
from scenes.services.costumes import add_costume, edit_costume, remove_costume
from scenes.services.guards import reasons_to_keep_costume
from scenes.views.guises import guise_done, guise_for, guise_of, render_guise


@require_POST
def costume_add(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """One more costume of a guise; the line stays open for the next."""
    show, guise = guise_for(request, show_pk, pk, Role.LEAD)
    form = CostumeForm(request.POST, show=show, guise=guise)
    if not form.is_valid():
        return render_guise(request, show, guise, part="costumes", status=422, costume_form=form)
    costume = add_costume(show=show, user=request.user, guise=guise, **form.values())
    words = f"{costume} is in."
    return guise_done(request, show, guise, words, part="costumes", focus="costume-new-name")


@require_http_methods(["GET", "HEAD", "POST"])
def costume_edit(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """The costume's line open for writing."""
    show, guise, costume = _costume_for(request, show_pk, pk)
    form = CostumeForm(request.POST or None, show=show, guise=guise, costume=costume)
    if request.method == "POST" and form.is_valid():
        edited = edit_costume(
            show=show,
            user=request.user,
            costume=costume,
            version=form.cleaned_data["version"],
            **form.values(),
        )
        focus = f"costume-{costume.pk}-edit"
        words = f"{edited} is saved."
        return guise_done(request, show, guise, words, part="costumes", focus=focus)
    return render_guise(
        request,
        show,
        guise,
        part="costumes",
        status=422 if form.is_bound else 200,
        open_costume=costume.pk,
        costume_edit=form,
        focus="" if form.is_bound else form["name"].auto_id,
    )


@require_http_methods(["GET", "HEAD", "POST"])
def costume_remove(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """Asks first, or says why the costume stays; takes it away when told so."""
    show, guise, costume = _costume_for(request, show_pk, pk)
    reasons = reasons_to_keep_costume(costume, show)
    if request.method == "POST" and not reasons:
        try:
            remove_costume(show=show, user=request.user, costume=costume)
        except ValidationError as refusal:
            reasons = refusal.messages
        else:
            words = f"{costume} is gone."
            return guise_done(
                request, show, guise, words, part="costumes", focus="costume-new-name"
            )
    return render_guise(
        request,
        show,
        guise,
        part="costumes",
        status=422 if request.method == "POST" else 200,
        removing_costume=costume.pk,
        reasons=reasons,
        focus=f"costume-{costume.pk}-remove",
    )


def _costume_for(request: HttpRequest, show_pk: int, pk: int) -> tuple[Show, Guise, Costume]:
    show = show_for(request.user, show_pk, Role.LEAD)
    costume = Costume.objects.filter(pk=pk, guise__character__show=show).first()
    if costume is None:
        raise Http404("That costume is no longer there.")
    return show, guise_of(show, costume.guise_id), costume
