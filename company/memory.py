"""What a long-running process has loaded for good."""

from __future__ import annotations

import gc


def keep_loaded() -> None:
    """Leave all that is loaded by now out of every later search for garbage.

    Such a search goes through every object there is: a fifth of a second for a loaded program,
    in the middle of a page or a plan.
    """
    gc.collect()
    gc.freeze()
