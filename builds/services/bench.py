"""Taking a count to the bench: figures appear, are kept, or are set aside; none is ever lost."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import Max, Q

from builds.models import Figure, FigureCostume, Step, TrackFigure
from builds.queries.bench import AGAIN, GONE, NEW, OVER, Bench, BenchLine, read_bench
from builds.queries.offers import Offer
from builds.queries.steps import is_touched, with_traces
from builds.services.make_over import make_figure_over
from builds.services.steps import make_steps
from company import clock
from company.models import User
from company.services.changes import claim_version, record_change, snapshot
from scenes.models import Costume, Count, Draft, Guise, Show
from scenes.services.cells import lock_plot
from scenes.services.counts import store_count


class PlotMoved(Exception):
    """The plot was changed since the page was read. `bench` is how it stands now."""

    def __init__(self, bench: Bench) -> None:
        super().__init__("The plot was changed meanwhile. Nothing was taken to the bench.")
        self.bench = bench


@dataclass
class Taken:
    """What an acceptance did."""

    count: Count
    made: list[Figure] = field(default_factory=list)
    taken_up: list[Figure] = field(default_factory=list)
    kept: list[Figure] = field(default_factory=list)
    made_over: list[Figure] = field(default_factory=list)
    set_aside: list[Figure] = field(default_factory=list)


@transaction.atomic
def accept_count(
    *,
    show: Show,
    user: User | None,
    draft_number: int | None = None,
    revision: int | None = None,
    keys: Collection[str] | None = None,
    is_all: bool = False,
    offers: Mapping[str, int] | None = None,
) -> Taken:
    """Take the current draft to the bench: all of it, or the lines with these keys.

    The count is kept as accepted and the draft frozen with the first line. Figures that are kept
    as they are come along with any line, since they ask for nothing. Accepting again what was
    accepted does nothing. `offers` says for which lines, by key, a figure of another show is
    taken up instead of making a new one. Raises PlotMoved where the draft is no longer the one
    that was read (`draft_number`, `revision`; None: nobody read it), ValidationError for a line
    or an offer that is not there and for a plot that asks for no figure.
    """
    lock_plot(show)
    if show.current_draft is not None:
        show.current_draft.refresh_from_db()
    _check_same(show, draft_number, revision)
    wanted = read_bench(show)
    if not wanted.lines:
        raise ValidationError("The plot asks for no figure yet: write an appearance first.")
    count = _accept(show, store_count(show=show, user=user), user)
    bench = read_bench(show)
    _check_keys(bench, wanted, keys)
    instead = _offered(bench, offers or {})
    taken = Taken(count)
    for line in bench.lines:
        if line.is_taken:
            continue
        if is_all or keys is None or line.key in keys or not line.asks:
            _take_line(show, line, taken, user, instead.get(line.key))
    make_steps(show=show, user=user)
    return taken


def _check_same(show: Show, draft_number: int | None, revision: int | None) -> None:
    draft = show.current_draft
    if draft is None:
        raise ValidationError("The plot asks for no figure yet: write an appearance first.")
    if draft_number is not None and (draft.number, draft.revision) != (draft_number, revision):
        raise PlotMoved(read_bench(show))


def _check_keys(bench: Bench, wanted: Bench, keys: Collection[str] | None) -> None:
    known = {line.key for line in (*bench.lines, *wanted.lines)}
    known |= {f"figure:{figure.pk}" for figure in bench.spares}
    if keys is not None and not keys:
        raise ValidationError("Tick the lines that are to be taken first.")
    if keys is not None and not known.issuperset(keys):
        raise ValidationError("That line is not in the draft. Load the page anew.")


def _accept(show: Show, count: Count, user: User | None) -> Count:
    if count.accepted_at is None:
        count.accepted_at, count.by = clock.now(), user
        count.save(update_fields=["accepted_at", "by"])
        Draft.objects.filter(pk=count.draft_id, frozen_at=None).update(frozen_at=clock.now())
        record_change(
            company=show.company,
            user=user,
            noun="accepted count",
            row=count.pk,
            after={
                "draft": count.draft.number,
                "revision": count.revision,
                "figures": count.figures,
            },
        )
    return count


def _offered(bench: Bench, offers: Mapping[str, int]) -> dict[str, Offer]:
    """The offers that were chosen, by line key. ValidationError for one that is gone or twice."""
    chosen = {}
    for line in bench.lines:
        if line.key in offers and not line.is_taken:
            offer = next((o for o in line.offers if o.figure.pk == offers[line.key]), None)
            if offer is None:
                raise ValidationError("That figure is not offered any more. Load the page anew.")
            chosen[line.key] = offer
    figures = [offer.figure.pk for offer in chosen.values()]
    if len(set(figures)) < len(figures):
        raise ValidationError("One figure cannot be taken up for two lines.")
    return chosen


def _take_line(
    show: Show, line: BenchLine, taken: Taken, user: User | None, offer: Offer | None
) -> None:
    if line.kind == GONE:
        assert line.figure is not None
        line.figure.show = show
        taken.set_aside.append(_change_state(line.figure, Figure.State.SPARE, user))
        return
    becomes_another = offer is not None or line.is_of_other_guise
    if offer is not None:
        figure = offer.figure
        make_figure_over(
            figure=figure, use=offer.use, guise=line.guise, user=user, show=show, kept=offer.kept
        )
        _change_state(figure, Figure.State.WANTED, user)
        taken.taken_up.append(figure)
    elif line.kind == NEW:
        figure = _make_figure(show, line.guise, user)
        taken.made.append(figure)
    else:
        assert line.figure is not None
        figure = line.figure
        figure.show = show
        by_kind = {AGAIN: taken.taken_up, OVER: taken.made_over}
        by_kind.get(line.kind, taken.kept).append(figure)
        if line.kind == AGAIN:
            _change_state(figure, Figure.State.WANTED, user)
        if line.use is not None:
            make_figure_over(figure=figure, use=line.use, guise=line.guise, user=user)
    assert line.track is not None
    TrackFigure.objects.create(count=taken.count, track_id=line.track.pk, figure=figure)
    # What nobody has decided yet leaves the figure dressed as it is.
    if line.costumes or becomes_another:
        dress_figure(figure, line.costumes, user)


def _make_figure(
    show: Show,
    guise: Guise,
    user: User | None,
    state: str = Figure.State.WANTED,
    extent: str = Figure.Extent.WHOLE,
) -> Figure:
    """A figure with the next number ever used of its role's letters."""
    letters = guise.character.letters
    own = Figure.objects.filter(Q(show=show, home=None) | Q(home=show), letters=letters)
    last = own.aggregate(n=Max("number"))["n"] or 0
    figure = Figure.objects.create(
        show=show,
        guise=guise,
        letters=letters,
        number=last + 1,
        state=state,
        extent=extent,
        made_at=clock.now(),
    )
    record_change(
        company=show.company, user=user, noun="figure", row=figure.pk, after=snapshot(figure)
    )
    return figure


def dress_figure(figure: Figure, costumes: Sequence[Costume], user: User | None) -> None:
    """Let the figure wear exactly these, the first worn first; what was made stays on record.

    The built-in costume stays the same one as long as the figure wears it; else the first worn
    is built in. A costume it no longer wears is struck where work was begun on it, else dropped.
    """
    rows = {row.costume_id: row for row in FigureCostume.objects.filter(figure=figure)}
    before = sorted(pk for pk, row in rows.items() if row.struck_at is None)
    wanted = list(dict.fromkeys(costume.pk for costume in costumes))
    built_in = next(
        (pk for pk in wanted if pk in rows and rows[pk].is_built_in and not rows[pk].struck_at),
        wanted[0] if wanted else None,
    )
    for pk, row in rows.items():
        if pk not in wanted:
            _take_off(row)
    for pk in sorted(wanted, key=lambda pk: pk == built_in):
        FigureCostume.objects.update_or_create(
            figure=figure,
            costume_id=pk,
            defaults={"is_built_in": pk == built_in, "struck_at": None},
        )
    if before != sorted(wanted):
        record_change(
            company=figure.show.company,
            user=user,
            noun="figure costumes",
            row=figure.pk,
            before={"costumes": before},
            after={"costumes": sorted(wanted)},
        )


def _take_off(row: FigureCostume) -> None:
    steps = with_traces(Step.objects.filter(figure=row.figure_id, costume=row.costume_id))
    if any(is_touched(step) for step in steps):
        if row.struck_at is None:
            FigureCostume.objects.filter(pk=row.pk).update(struck_at=clock.now())
    else:
        row.delete()


@transaction.atomic
def add_figure(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    costume: Costume | None = None,
    is_spare: bool = False,
    extent: str = Figure.Extent.WHOLE,
) -> Figure:
    """One figure more than the plot needs: a twin to play with, or a spare for the worst day.

    A spare may be less than a whole figure: `extent` is then its head, or head and hands, and it
    wears nothing. Raises ValidationError naming the field where guise or costume belong elsewhere.
    """
    lock_plot(show)
    if guise.character.show_id != show.pk:
        raise ValidationError({"guise": "Choose a guise of this show."})
    if costume is not None and costume.guise_id != guise.pk:
        raise ValidationError({"costume": f"{costume} belongs to another guise, not to {guise}."})
    if extent not in Figure.Extent.values:
        raise ValidationError({"extent": "A whole figure, head and hands, or a head."})
    is_part = extent != Figure.Extent.WHOLE
    if is_part and not is_spare:
        raise ValidationError({"extent": "A head alone plays nothing: ask for it as a spare."})
    state = Figure.State.SPARE if is_spare else Figure.State.WANTED
    figure = _make_figure(show, guise, user, state, extent)
    dress_figure(figure, [costume] if costume and not is_part else [], user)
    make_steps(show=show, user=user)
    return figure


@transaction.atomic
def set_figure_state(
    *, figure: Figure, state: str, user: User | None, version: int | None = None
) -> Figure:
    """Take a figure up again, set it aside as a spare, or strike it from the bench for good.

    A struck one keeps its number, its hours and its page. Raises StaleEdit where somebody else
    changed the figure meanwhile, ValidationError for an unknown state.
    """
    if state not in Figure.State.values:
        raise ValidationError({"state": "A figure is wanted, a spare, or struck."})
    if state == Figure.State.WANTED and figure.extent != Figure.Extent.WHOLE:
        raise ValidationError({"state": f"{figure} is no whole figure: it plays nothing."})
    lock_plot(figure.show)
    claim_version(figure, version)
    _change_state(figure, state, user)
    make_steps(show=figure.show, user=user)
    return figure


def _change_state(figure: Figure, state: str, user: User | None) -> Figure:
    before = figure.state
    figure.state = state
    figure.save(update_fields=["state"])
    record_change(
        company=figure.show.company,
        user=user,
        noun="figure",
        row=figure.pk,
        before={"state": before},
        after={"state": str(state)},
    )
    return figure
