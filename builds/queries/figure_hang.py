"""How one figure hangs in what it wears, and its strings: in short, for its page and its sheet."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.statics.lean import Beliefs
from builds.core.statics.trials import learn
from builds.loading.statics import dress_figure, load_figure
from builds.loading.trials import load_trials
from builds.models import Ballast, Control, Drawing, Figure, TrialHang, Weighing
from builds.queries.hangs import (
    Hang,
    find_hang,
    find_lacks,
    fit_of,
    fits,
    read_weighed,
)
from builds.queries.strings import USUAL_REACH_MM, Hung, StringSet, string_set
from scenes.models import Costume


@dataclass(frozen=True)
class FigureHang:
    """What can be said of a figure that has a drawing with parts."""

    figure: Figure
    drawing: Drawing
    hang: Hang
    worn: Costume | None
    strings: StringSet | None
    control: Control | None
    bridge_mm: int | None
    is_weighed: bool
    is_hung: bool

    reach_mm: int = USUAL_REACH_MM

    @property
    def has_lead(self) -> bool:
        """Whether lead was let into it."""
        return any(row.metal == Ballast.Metal.LEAD for row in self.drawing.ballast.all())


def read_figure_hang(figure: Figure, drawing: Drawing | None) -> FigureHang | None:
    """The figure in the costume it is dressed in; None while its drawing lacks what it needs.

    The drawing comes with its children. Five queries.
    """
    if drawing is None or find_lacks(drawing):
        return None
    guise = figure.guise
    weighings = list(Weighing.objects.filter(figure__guise=guise, struck_at=None))
    trials = list(TrialHang.objects.filter(figure=figure, struck_at=None))
    costumes = Costume.objects.filter(
        figure_costumes__figure=figure,
        figure_costumes__is_built_in=True,
        figure_costumes__struck_at=None,
    )
    worn = costumes.select_related("fit").first()
    control = Control.objects.filter(guise=guise).prefetch_related("strings").first()
    bridge_mm = figure.show.bridge_mm
    return make_figure_hang(figure, drawing, weighings, trials, worn, control, bridge_mm)


def make_figure_hang(
    figure: Figure,
    drawing: Drawing,
    weighings: list[Weighing],
    trials: list[TrialHang],
    worn: Costume | None,
    control: Control | None,
    bridge_mm: int | None,
) -> FigureHang | None:
    """The same from rows at hand: no query."""
    bare = load_figure(drawing, read_weighed(figure.guise, figure, weighings))
    if bare is None:
        return None
    fitting = [row for row in trials if fits(row, bare)]
    beliefs: Beliefs | None = learn(bare, load_trials(bare, fitting)) if fitting else None
    dressed = bare
    if worn is not None and worn.weight_g:
        dressed = dress_figure(bare, worn, fit_of(worn))
    else:
        worn = None
    strings = None
    if control is not None and bridge_mm is not None and control.strings.all():
        strings = string_set(drawing, control, Hung(dressed, worn), bridge_mm + USUAL_REACH_MM)
    return FigureHang(
        figure=figure,
        drawing=drawing,
        hang=find_hang(dressed, beliefs),
        worn=worn,
        strings=strings,
        control=control,
        bridge_mm=bridge_mm,
        is_weighed=any(row.figure_id == figure.pk for row in weighings),
        is_hung=bool(fitting),
    )
