"""Sending, showing, choosing and removing sketches; nobody sees another's unless it is chosen."""

from __future__ import annotations

from django.core.exceptions import ValidationError
from django.http import FileResponse, Http404, HttpRequest, HttpResponse, HttpResponseBase
from django.utils.cache import get_conditional_response
from django.utils.http import quote_etag
from django.views.decorators.http import require_POST, require_safe

from company.models import Role
from company.pictures import CONTENT_TYPES
from scenes.access import show_for
from scenes.forms.fields import add_problems
from scenes.forms.sketches import SketchForm
from scenes.models import Show, Sketch
from scenes.queries.sketches import leads_of, sketches_seen_by
from scenes.services.sketches import (
    add_sketch,
    choose_sketch,
    give_sketch,
    put_back_sketch,
    remove_sketch,
)
from scenes.views.guises import guise_done, guise_for, guise_of, render_guise


@require_POST
def sketch_add(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """A sketch of the guise, its owner's alone until it is chosen."""
    show, guise = guise_for(request, show_pk, pk, Role.MAKER)
    form = SketchForm(request.POST, request.FILES)
    if form.is_valid():
        file = form.cleaned_data["file"]
        try:
            add_sketch(
                guise=guise,
                user=request.user,
                upload=file.file,
                size=file.size,
                words=form.cleaned_data["words"],
            )
        except ValidationError as refusal:
            add_problems(form, refusal.message_dict)
        else:
            words = "The sketch is kept. Only you see it."
            return guise_done(request, show, guise, words, part="sketches", focus="sketch-file")
    return render_guise(request, show, guise, part="sketches", status=422, sketch_form=form)


@require_safe
def sketch_file(request: HttpRequest, show_pk: int, pk: int) -> HttpResponseBase:
    """The picture itself, as it was written by this program: nothing of the upload is served."""
    show = show_for(request.user, show_pk, Role.READER)
    sketch = _sketch(request, show, pk)
    name = sketch.file.name or ""
    # The name is random and its picture never changes; 'no-cache' makes browsers ask each time,
    # so that a sketch that is put back is at once its owner's alone again.
    etag = quote_etag(name)
    fresh = get_conditional_response(request, etag=etag)
    if fresh is None:
        try:
            file = sketch.file.open("rb")
        except FileNotFoundError as gone:
            raise Http404("The picture is not there.") from gone
        ending = name.rpartition(".")[2]
        fresh = FileResponse(file, content_type=CONTENT_TYPES[ending], filename=f"sketch.{ending}")
    fresh["ETag"] = etag
    fresh["Cache-Control"] = "private, no-cache"
    fresh["X-Content-Type-Options"] = "nosniff"
    fresh["Cross-Origin-Resource-Policy"] = "same-origin"
    return fresh


@require_POST
def sketch_choose(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """The lead makes it the one that everybody works from."""
    show = show_for(request.user, show_pk, Role.LEAD)
    sketch = choose_sketch(sketch=_sketch(request, show, pk), user=request.user)
    words = "This is now the sketch that everybody works from."
    return guise_done(request, show, sketch.guise, words, part="sketches")


@require_POST
def sketch_put_back(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """The lead takes the choice back."""
    show = show_for(request.user, show_pk, Role.LEAD)
    sketch = put_back_sketch(sketch=_sketch(request, show, pk), user=request.user)
    words = "No sketch is chosen now. It is its owner's alone again."
    return guise_done(request, show, sketch.guise, words, part="sketches")


@require_POST
def sketch_give(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """A maker gives a sketch of theirs to a lead, who alone may choose it."""
    show = show_for(request.user, show_pk, Role.MAKER)
    sketch = _sketch(request, show, pk)
    to = leads_of(show.company).filter(pk=_number(request.POST.get("to"))).first()
    if to is None:
        raise Http404("There is no such lead.")
    try:
        give_sketch(sketch=sketch, user=request.user, to=to)
    except Sketch.DoesNotExist as not_theirs:
        raise Http404("Nothing here.") from not_theirs
    words = f"The sketch is with {to.name} now."
    return guise_done(request, show, sketch.guise, words, part="sketches")


@require_POST
def sketch_remove(request: HttpRequest, show_pk: int, pk: int) -> HttpResponse:
    """Its owner takes a sketch away."""
    show = show_for(request.user, show_pk, Role.MAKER)
    sketch = _sketch(request, show, pk)
    guise = sketch.guise
    try:
        remove_sketch(sketch=sketch, user=request.user)
    except Sketch.DoesNotExist as not_theirs:
        raise Http404("Nothing here.") from not_theirs
    except ValidationError as refusal:
        form = SketchForm()
        guise = guise_of(show, guise.pk)
        return render_guise(
            request, show, guise, part="sketches", status=422, refused=refusal.messages,
            sketch_form=form,
        )  # fmt: skip
    return guise_done(request, show, guise, "The sketch is gone.", part="sketches")


def _number(text: str | None) -> int | None:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 19 else None


def _sketch(request: HttpRequest, show: Show, pk: int) -> Sketch:
    """The sketch, if it is of this show and the person may see it; else it does not exist."""
    seen = sketches_seen_by(request.user).filter(guise__character__show=show, pk=pk)
    sketch: Sketch | None = seen.select_related("guise__character__show__company").first()
    if sketch is None:
        raise Http404("Nothing here.")
    return sketch
