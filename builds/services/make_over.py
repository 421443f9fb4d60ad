"""Making a figure over: it takes another guise or costume and goes through some stages again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection

from builds.models import Figure, FigureCostume, MakeOver
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
    figure.guise = guise
    rows = list(MakeOver.objects.filter(figure=figure))
    figure.again = dict(Counter(key for row in rows for key in row.again))
    figure.kept = list(rows[-1].kept) if rows else []
    after = {"guise": figure.guise_id, "again": figure.again}
    if made is not None or after != before:
        figure.save(update_fields=["guise", "again", "kept"])
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
