"""The decoders as one bundle, so that compiled ones can stand in for them."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, NamedTuple

from builds.core.planning.dispatch import dispatch_all
from builds.core.planning.justify import order_by, push_late, set_latest
from builds.core.planning.place import score
from builds.core.planning.serial import feasible_order, insert_all


class Kernels(NamedTuple):
    """The loops that take nearly all the time of a search."""

    feasible_order: Callable[..., None]
    insert_all: Callable[..., int]
    dispatch_all: Callable[..., int]
    set_latest: Callable[..., None]
    order_by: Callable[..., None]
    push_late: Callable[..., int]
    score: Callable[..., Any]


PLAIN = Kernels(feasible_order, insert_all, dispatch_all, set_latest, order_by, push_late, score)
