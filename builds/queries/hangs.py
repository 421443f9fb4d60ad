"""How a guise's figures hang: rest pose, lean with its range, what trues it, costume by costume."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

from builds.core.statics.checks import find_doubts
from builds.core.statics.lean import (
    Beliefs,
    Effect,
    Lean,
    believed,
    find_effects,
    find_lean,
    first_beliefs,
)
from builds.core.statics.rest import RestPose, find_rest
from builds.core.statics.trials import Learnt, learn, say_learnt
from builds.core.statics.truing import Truing, find_truing
from builds.core.statics.values import Figure as HungFigure
from builds.loading.statics import (
    Weighed,
    dress_figure,
    hanging_hole,
    load_figure,
    load_parts,
)
from builds.loading.trials import load_trials
from builds.models import CostumeFit, Drawing, Figure, TrialHang, Weighing
from builds.queries.drawings import drawing_of
from builds.queries.hang_words import LEVEL_DEG, say_lean, say_seat, say_swings, say_truing
from scenes.models import Costume, Guise

# Where ballast is proposed first: this far before or behind the holes, half way down the torso.
USUAL_ARM_SHARE = 0.07  # of the figure's height


@dataclass(frozen=True)
class CostumeHang:
    """How it hangs in one costume, or bare."""

    costume: Costume | None
    lean: Lean
    said: str
    mass_g: float
    is_weighed: bool
    is_shown: bool

    @property
    def name(self) -> str:
        """'bare', or the costume's name."""
        return self.costume.name if self.costume else "bare"


@dataclass(frozen=True)
class PieceWeight:
    """One part: what it weighs, how that is known, and where its centre lies."""

    kind: str
    mass_g: float
    count: int
    known: str
    x_mm: float
    y_mm: float


@dataclass(frozen=True)
class Hang:
    """All that can be said of how a figure hangs in one costume."""

    drawn: HungFigure
    beliefs: Beliefs
    rest: RestPose
    lean: Lean
    truing: Truing
    ballast_at: tuple[float, float]

    @property
    def said(self) -> str:
        """'leans 2.5° back, between 1° and 4°.'"""
        return say_lean(self.lean)

    @property
    def seat(self) -> str:
        """Where its weight sits."""
        return say_seat(self.truing)

    @property
    def swings(self) -> list[str]:
        """What the limbs and feet do."""
        return say_swings(believed(self.drawn, self.beliefs), self.rest)

    @property
    def is_true(self) -> bool:
        """Whether nothing is needed."""
        return abs(self.lean.lean_deg) < LEVEL_DEG

    @property
    def trues(self) -> list[str]:
        """What brings it to the drawing."""
        return say_truing(self.truing, self.lean.lean_deg)


@dataclass(frozen=True)
class HangPage:
    """The page 'How it hangs' of a guise, or of one of its figures."""

    guise: Guise
    figure: Figure | None
    drawing: Drawing | None
    lacks: str
    doubts: tuple[str, ...]
    hang: Hang | None = None
    shown: Costume | None = None
    costumes: tuple[CostumeHang, ...] = ()
    effects: tuple[Effect, ...] = ()
    weights: tuple[PieceWeight, ...] = ()
    trials: tuple[TrialHang, ...] = ()
    learnt: tuple[Learnt, ...] = ()

    @property
    def is_weighed(self) -> bool:
        """Whether every part was on the scale."""
        return all(row.known.startswith("weighed") for row in self.weights)


NO_DRAWING = "There is no drawing of it yet: lay one, then give its parts their sizes."
NO_TORSO = "Its torso has no size yet: give the parts their sizes first."
NO_HOLE = "No string hole is marked as the one it hangs from: place it on the drawing first."


def find_lacks(drawing: Drawing | None) -> str:
    """What is missing before anything can be reckoned, or ''."""
    if drawing is None:
        return NO_DRAWING
    if "torso" not in {part.kind for part in drawing.parts.all()}:
        return NO_TORSO
    return "" if hanging_hole(drawing) is not None else NO_HOLE


def doubts_of(drawing: Drawing) -> tuple[str, ...]:
    """What does not fit together in the drawing."""
    hole = hanging_hole(drawing)
    joints = {joint.kind: (float(joint.x_mm), float(joint.y_mm)) for joint in drawing.joints.all()}
    at = (float(hole.x_mm), float(hole.y_mm)) if hole is not None else None
    return tuple(find_doubts(load_parts(drawing), joints, at))


def read_weighed(
    guise: Guise, figure: Figure | None, weighings: Sequence[Weighing] | None = None
) -> dict[str, Weighed]:
    """The newest weight of each part: the figure's own, else the mean of its twins'."""
    rows = weighings
    if rows is None:
        rows = list(Weighing.objects.filter(figure__guise=guise, struck_at=None))
    newest: dict[tuple[str, int], Weighing] = {}
    for row in sorted(rows, key=lambda row: (row.at, row.pk)):
        newest[row.part, row.figure_id] = row
    found: dict[str, Weighed] = {}
    for kind in {part for part, _ in newest}:
        of_kind = [row for (part, _), row in newest.items() if part == kind]
        own = next((r for r in of_kind if figure is not None and r.figure_id == figure.pk), None)
        if own is not None:
            centre = None
            if own.centre_x_mm is not None and own.centre_y_mm is not None:
                centre = (float(own.centre_x_mm), float(own.centre_y_mm))
            found[kind] = Weighed(float(own.mass_g), centre)
        else:
            mean = sum(float(row.mass_g) for row in of_kind) / len(of_kind)
            found[kind] = Weighed(mean, is_own=False)
    return found


def usual_ballast_place(figure: HungFigure) -> tuple[float, float]:
    """A place in the torso on the side where ballast helps, half way down from the holes."""
    torso = figure.in_order[0]
    arm = round(figure.hole_y_mm * USUAL_ARM_SHARE)
    lean = find_rest(figure).lean_deg
    return figure.hole_x_mm - arm if lean > 0 else figure.hole_x_mm + arm, torso.y_mm


def find_hang(
    figure: HungFigure, beliefs: Beliefs | None, ballast_at: tuple[float, float] | None = None
) -> Hang:
    """Rest, lean and truing of a figure as it is dressed."""
    if beliefs is None:
        return _reckoned(figure, ballast_at)
    return _find_hang(figure, beliefs, ballast_at)


@lru_cache(maxsize=128)
def _reckoned(figure: HungFigure, ballast_at: tuple[float, float] | None) -> Hang:
    """Nothing but the drawing goes in: pages and sheets then ask for the same many times."""
    return _find_hang(figure, first_beliefs(figure), ballast_at)


@lru_cache(maxsize=256)
def _reckoned_lean(figure: HungFigure) -> Lean:
    return find_lean(figure)


def _find_hang(
    figure: HungFigure, beliefs: Beliefs, ballast_at: tuple[float, float] | None
) -> Hang:
    mean = believed(figure, beliefs)
    at = ballast_at or usual_ballast_place(mean)
    return Hang(
        drawn=figure,
        beliefs=beliefs,
        rest=find_rest(mean),
        lean=find_lean(figure, beliefs),
        truing=find_truing(mean, at),
        ballast_at=at,
    )


def read_hang(
    guise: Guise,
    figure: Figure | None = None,
    *,
    costume_pk: int | None = None,
    ballast_at: tuple[float, float] | None = None,
) -> HangPage:
    """The page's content. A flat number of queries, whatever was weighed and hung."""
    drawing = drawing_of(guise)
    lacks = find_lacks(drawing)
    doubts = doubts_of(drawing) if drawing is not None else ()
    if drawing is None or lacks:
        return HangPage(guise, figure, drawing, lacks, doubts)
    weighed = read_weighed(guise, figure)
    bare = load_figure(drawing, weighed)
    assert bare is not None
    trials = _trials(figure)
    fitting = [row for row in trials if fits(row, bare)]
    beliefs = learn(bare, load_trials(bare, fitting)) if fitting else None
    costumes = list(Costume.objects.filter(guise=guise).select_related("fit"))
    shown = next((costume for costume in costumes if costume.pk == costume_pk), None)
    dressed = {costume: dress_figure(bare, costume, fit_of(costume)) for costume in costumes}
    hang = find_hang(dressed[shown] if shown else bare, beliefs, ballast_at)
    rows = [_costume_row(None, bare, beliefs, hang if shown is None else None)]
    for costume in costumes:
        known = hang if costume == shown else None
        rows.append(_costume_row(costume, dressed[costume], beliefs, known))
    mean = believed(hang.drawn, hang.beliefs)
    return HangPage(
        guise=guise,
        figure=figure,
        drawing=drawing,
        lacks="",
        doubts=doubts,
        hang=hang,
        shown=shown,
        costumes=tuple(rows),
        effects=tuple(e for e in find_effects(mean, hang.ballast_at) if abs(e.degrees) >= 0.005),
        weights=piece_weights(bare, weighed),
        trials=tuple(trials),
        learnt=tuple(say_learnt(bare, beliefs)) if beliefs is not None else (),
    )


def fit_of(costume: Costume) -> CostumeFit | None:
    """How the costume sits, where it was said; read along with the costume."""
    return getattr(costume, "fit", None)


def _costume_row(
    costume: Costume | None, dressed: HungFigure, beliefs: Beliefs | None, shown: Hang | None
) -> CostumeHang:
    lean = shown.lean if shown is not None else _lean(dressed, beliefs)
    return CostumeHang(
        costume=costume,
        lean=lean,
        said=say_lean(lean),
        mass_g=dressed.mass_g,
        is_weighed=costume is None or bool(costume.weight_g),
        is_shown=shown is not None,
    )


def _lean(figure: HungFigure, beliefs: Beliefs | None) -> Lean:
    return _reckoned_lean(figure) if beliefs is None else find_lean(figure, beliefs)


def _trials(figure: Figure | None) -> list[TrialHang]:
    if figure is None:
        return []
    rows = TrialHang.objects.filter(figure=figure, struck_at=None)
    return list(rows.select_related("drawing", "costume"))


def fits(row: TrialHang, bare: HungFigure) -> bool:
    """Whether what was hung had the joints that the figure has now."""
    return bool(row.hung) and {joint[0] for joint in row.hung["joints"]} == {
        joint.kind for joint in bare.joints
    }


def piece_weights(bare: HungFigure, weighed: dict[str, Weighed]) -> tuple[PieceWeight, ...]:
    """Each part with what it weighs and how that is known."""
    rows = []
    for piece in bare.in_order:
        known = "reckoned, good to 10 per cent"
        if piece.kind in weighed:
            found = weighed[piece.kind]
            known = "weighed" if found.is_own else "as its twins weigh, good to 5 per cent"
            if found.is_own and found.centre is not None:
                known = "weighed and balanced"
        rows.append(
            PieceWeight(piece.kind, piece.mass_g, piece.count, known, piece.x_mm, piece.y_mm)
        )
    return tuple(rows)
