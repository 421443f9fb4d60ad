"""A block pasted from a spreadsheet into the plot: what it will do, before it does it."""

from scenes.core.paste.blocks import split_block
from scenes.core.paste.cells import NewCostume, Wish
from scenes.core.paste.framing import FramedBlock, frame_block
from scenes.core.paste.plan import NotUnderstood, PasteLine, PastePlan, apply_paste, plan_paste
from scenes.core.paste.targets import GuiseName, Targets

__all__ = [
    "FramedBlock",
    "GuiseName",
    "NewCostume",
    "NotUnderstood",
    "PasteLine",
    "PastePlan",
    "Targets",
    "Wish",
    "apply_paste",
    "frame_block",
    "plan_paste",
    "split_block",
]
