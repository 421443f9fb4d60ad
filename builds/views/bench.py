"""To the bench: the draft against the figures, line by line; and whose head a guise borrows."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect
from django.views.decorators.http import require_POST, require_safe

from builds.forms.figures import BorrowForm, FigureAddForm
from builds.queries.bench import Bench, read_bench
from builds.queries.bench_words import say_bench, say_moved, say_spares
from builds.services.bench import PlotMoved, Taken, accept_count
from builds.services.patterns import borrow_part
from company.access import membership_of
from company.htmx import render
from company.models import Role
from company.templatetags.words import and_list
from scenes.access import show_for
from scenes.models import Guise, Show


@require_safe
def bench(request: HttpRequest, pk: int) -> HttpResponse:
    """The current draft against the bench."""
    show = show_for(request.user, pk, Role.READER)
    return render_bench(request, show, read_bench(show))


@require_POST
def bench_accept(request: HttpRequest, pk: int) -> HttpResponse:
    """Take the draft to the bench: all of it, or the lines that were pressed or ticked."""
    show = show_for(request.user, pk, Role.LEAD)
    is_all, keys = "all" in request.POST, request.POST.getlist("line")
    try:
        taken = accept_count(
            show=show,
            user=request.user,
            draft_number=_number(request.POST.get("draft", "")),
            revision=_number(request.POST.get("revision", "")),
            keys=keys if keys or not is_all else None,
            is_all=is_all,
            offers=_offers(request.POST),
        )
    except PlotMoved as moved:
        said = say_moved(moved.bench, request.POST.get("shown", ""))
        return render_bench(request, show, moved.bench, status=409, moved=said)
    except ValidationError as refusal:
        return render_bench(request, show, read_bench(show), status=422, refusal=refusal.messages)
    messages.success(request, _say_taken(taken))
    if request.htmx:  # type: ignore[attr-defined]
        return render_bench(request, show, read_bench(show))
    return redirect("builds:bench", show.pk)


@require_POST
def guise_borrow(request: HttpRequest, pk: int) -> HttpResponse:
    """Let a guise borrow a head, hands or a body, or have its own again."""
    queryset = Guise.objects.select_related("character__show__company")
    guise = queryset.for_user(request.user).filter(pk=pk).first()
    if guise is None:
        raise Http404("That guise is no longer there.")
    show_for(request.user, guise.character.show_id, Role.LEAD)
    form = BorrowForm(request.POST, guise=guise)
    if form.is_valid():
        lender = form.cleaned_data["lender"] or guise
        part = form.cleaned_data["part"]
        try:
            borrow_part(guise=guise, part=part, lender=lender, user=request.user)
        except ValidationError as refusal:
            messages.error(request, " ".join(refusal.messages))
        else:
            whose = "its own" if lender == guise else f"that of {lender}"
            messages.success(request, f"{guise}: the {part} is {whose} now.")
    else:
        messages.error(request, " ".join(e for errors in form.errors.values() for e in errors))
    return redirect(guise.get_absolute_url())


def render_bench(
    request: HttpRequest,
    show: Show,
    against: Bench,
    *,
    status: int = 200,
    moved: list[str] | None = None,
    refusal: list[str] | None = None,
) -> HttpResponse:
    """The page, or by htmx its lines."""
    context = {
        "show": show,
        "place": "plot",
        "bench": against,
        "lede": say_bench(against),
        "spares_said": say_spares(against),
        "shown": ",".join(f"{guise}:{n}" for guise, n in sorted(against.by_guise.items())),
        "moved": moved,
        "refusal": refusal,
        "may_accept": membership_of(request.user, show.company).allows(Role.LEAD),
        "is_fragment": bool(request.htmx),  # type: ignore[attr-defined]
        "add_form": FigureAddForm(show=show),
    }
    return render(request, "builds/bench.html", "builds/_bench.html", context, status=status)


def _offers(sent: QueryDict) -> dict[str, int]:
    """Figures of other shows chosen instead of new ones, by line."""
    return {
        name.removeprefix("instead-"): _number(str(value))
        for name, value in sent.items()
        if name.startswith("instead-") and value
    }


def _number(text: str) -> int:
    """A posted whole number; -1, which fits no draft, for anything else."""
    return int(text) if text.isdigit() and len(text) < 9 else -1


def _say_taken(taken: Taken) -> str:
    said = []
    for figures, verb in (
        (taken.made, "new"),
        (taken.taken_up, "taken up again"),
        (taken.made_over, "made over"),
        (taken.set_aside, "set aside as a spare" if len(taken.set_aside) == 1 else "set aside"),
    ):
        if figures:
            said.append(f"{and_list(figures)} {verb}")
    if not said:
        return "The draft is at the bench; every figure stays as it was."
    return f"{'; '.join(said)}."
