"""What the workshop makes: routes, figures, moulds and castings, steps, plans and photos."""

from builds.models.figures import Figure, FigureCostume, GuisePart, Part, Pattern, TrackFigure
from builds.models.moulds import Casting, Mould, Pour
from builds.models.plans import Plan, PlannedStep, PlanRun
from builds.models.routes import Equipment, Route, Stage, StageAfter
from builds.models.steps import Photo, Step, WorkLog

__all__ = [
    "Casting",
    "Equipment",
    "Figure",
    "FigureCostume",
    "GuisePart",
    "Mould",
    "Part",
    "Pattern",
    "Photo",
    "Plan",
    "PlanRun",
    "PlannedStep",
    "Pour",
    "Route",
    "Stage",
    "StageAfter",
    "Step",
    "TrackFigure",
    "WorkLog",
]
