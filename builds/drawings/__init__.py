"""Pictures of the workshop: the thread of a show, the braid of a figure, the wall plan.

All take plain dataclasses, so that screen, paper and tests draw the same.

    draw_thread(ThreadData(...), ident="thread", width=1440)
    draw_braid(BraidData(...), ident="j4")
    hang_plan(WallPlan(...))  # then include parts/wall_plan.html
"""

from builds.drawings.braid import BraidData, BraidKnot, Strand, draw_braid
from builds.drawings.castings import draw_castings
from builds.drawings.thread import Milestone, ThreadData, draw_thread
from builds.drawings.wall import Slip, WallDay, WallPlan, WallWeek, hang_plan

__all__ = [
    "BraidData",
    "BraidKnot",
    "Milestone",
    "Slip",
    "Strand",
    "ThreadData",
    "WallDay",
    "WallPlan",
    "WallWeek",
    "draw_braid",
    "draw_castings",
    "draw_thread",
    "hang_plan",
]
