"""What the workshop makes: routes, figures, moulds and castings, steps, plans and photos."""

from builds.models.controls import BridgeCheck, Control, ControlString, Reach, Venue
from builds.models.drawing_parts import Ballast, DrawingPart
from builds.models.drawings import (
    Drawing,
    DrawingHole,
    DrawingJoint,
    DrawingPicture,
    JointKind,
    PartKind,
    ProportionSheet,
    Side,
)
from builds.models.figures import (
    Figure,
    FigureCostume,
    GuisePart,
    MakeOver,
    Part,
    Pattern,
    TrackFigure,
)
from builds.models.hangs import CostumeFit, TrialHang, Weighing
from builds.models.materials import Lot, MouldAmounts, OwnMaterial, OwnPair, Taking
from builds.models.moulds import Casting, Mould, Pour
from builds.models.plans import Plan, PlannedStep, PlanRun
from builds.models.routes import Equipment, Route, Stage, StageAfter
from builds.models.steps import Photo, Step, WorkLog

__all__ = [
    "Ballast",
    "BridgeCheck",
    "Casting",
    "Control",
    "ControlString",
    "CostumeFit",
    "Drawing",
    "DrawingHole",
    "DrawingJoint",
    "DrawingPart",
    "DrawingPicture",
    "Equipment",
    "Figure",
    "FigureCostume",
    "GuisePart",
    "JointKind",
    "Lot",
    "MakeOver",
    "Mould",
    "MouldAmounts",
    "OwnMaterial",
    "OwnPair",
    "Part",
    "PartKind",
    "Pattern",
    "Photo",
    "Plan",
    "PlanRun",
    "PlannedStep",
    "Pour",
    "ProportionSheet",
    "Reach",
    "Route",
    "Side",
    "Stage",
    "StageAfter",
    "Step",
    "Taking",
    "TrackFigure",
    "TrialHang",
    "Venue",
    "Weighing",
    "WorkLog",
]
