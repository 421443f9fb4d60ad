"""Making a figure over: it takes another guise or costume and goes through some stages again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from builds.models import Figure, FigureCostume, MakeOver, Step
from builds.queries.states import Use
from company import clock
from company.models import User
from company.services.changes import record_change
from scenes.models import Guise, Show


def make_figure_over(
    *,
    figure: Figure,
    use: Use,
    guise: Guise,
    user: User | None,
    show: Show | None = None,
    kept: Collection[str] = (),
) -> MakeOver | None:
    """Let the figure go through what `use` asks for, as a figure of `guise`. None: nothing of it.

    A making over that nobody has begun is taken back first, so that going back and forth in the
    plot costs nothing at the bench. `show` is the show that takes the figure up, where it is
    another one, with the parts that are `kept` as they are. The caller opens the transaction,
    dresses the figure and makes the steps again.
    """
    before = {"guise": figure.guise_id, "again": figure.again}
    dressed_in = _built_in(figure)
    if use.cancelled is not None:
        last = MakeOver.objects.filter(figure=figure).last()
        assert last is not None
        figure.guise_id, dressed_in = last.from_guise_id, last.from_costume_id
        last.delete()
    made = None
    moves = show is not None and show.pk != figure.show_id
    if use.over.again or figure.guise_id != guise.pk or moves:
        made = MakeOver.objects.create(
            figure=figure,
            number=MakeOver.objects.filter(figure=figure).count() + 1,
            at=clock.now(),
            again=list(use.over.again),
            kept=sorted(kept),
            from_guise_id=figure.guise_id,
            from_costume_id=dressed_in,
            from_show_id=figure.show_id,
        )
    if moves:
        assert show is not None
        _move(figure, show)
    figure.guise = guise
    rows = list(MakeOver.objects.filter(figure=figure))
    figure.again = dict(Counter(key for row in rows for key in row.again))
    figure.kept = list(rows[-1].kept) if rows else []
    after = {"guise": figure.guise_id, "again": figure.again}
    if made is not None or after != before:
        figure.save(update_fields=["guise", "again", "kept", "show", "home", "mark"])
        record_change(
            company=figure.show.company,
            user=user,
            noun="making over",
            row=figure.pk,
            before=before,
            after=after,
        )
    return made


def _built_in(figure: Figure) -> int | None:
    row = FigureCostume.objects.filter(figure=figure, is_built_in=True, struck_at=None).first()
    return row.costume_id if row is not None else None


def _move(figure: Figure, show: Show) -> None:
    """Let the show have the figure, with its steps; its number stays, marked with where it is from.

    Its castings, hours and photos hang on figure and steps and come along; pours, patterns and
    plans stay where they were made.
    """
    origin = figure.home or figure.show
    figure.home = origin if origin.pk != show.pk else None
    figure.show = show
    figure.mark = "" if figure.home is None else _free_mark(figure, show, origin.title)
    Step.objects.filter(figure=figure).update(show=show)


def _free_mark(figure: Figure, show: Show, title: str) -> str:
    """The first letters of the title's words; with a number where that is taken."""
    initials = "".join(word[0] for word in title.split() if word[0].isalnum()).upper()[:4] or "X"
    same = Figure.objects.filter(show=show, letters=figure.letters, number=figure.number)
    taken = set(same.exclude(pk=figure.pk).values_list("mark", flat=True))
    marks = [initials, *(f"{initials}{number}" for number in range(2, 100))]
    return next(mark for mark in marks if mark not in taken)
