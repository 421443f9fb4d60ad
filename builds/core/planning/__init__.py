"""Planning who does what when: a problem goes in, a checked plan comes out."""

from builds.core.planning.calendars import cap_days, intersect, subtract, tidy
from builds.core.planning.checker import check_plan
from builds.core.planning.engine import solve
from builds.core.planning.plan import FigureReady, Plan, PlannedStep
from builds.core.planning.problem import (
    ANYBODY,
    Begun,
    Equipment,
    Figure,
    Fixed,
    Hold,
    Person,
    Problem,
    Step,
)

__all__ = [
    "ANYBODY",
    "Begun",
    "Equipment",
    "Figure",
    "FigureReady",
    "Fixed",
    "Hold",
    "Person",
    "Plan",
    "PlannedStep",
    "Problem",
    "Step",
    "cap_days",
    "check_plan",
    "intersect",
    "solve",
    "subtract",
    "tidy",
]
