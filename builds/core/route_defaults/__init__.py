"""The default routes: what a new company starts from and then edits.

String, rod and hand figures are whole recipes; shadow, table-top and object are a plain start,
because each company builds those in its own way. All hours, rates and waits are common practice,
no source.
"""

from builds.core.route_defaults.hand import HAND_ROUTE
from builds.core.route_defaults.plain import OBJECT_ROUTE, SHADOW_ROUTE, TABLE_TOP_ROUTE
from builds.core.route_defaults.recipe import (
    CRAFTS,
    STRINGING_FRAME,
    PlainStage,
    RouteDefault,
)
from builds.core.route_defaults.rod import ROD_ROUTE
from builds.core.route_defaults.string import STRING_ROUTE

DEFAULT_ROUTES: dict[str, RouteDefault] = {
    route.kind: route
    for route in (
        STRING_ROUTE,
        ROD_ROUTE,
        HAND_ROUTE,
        SHADOW_ROUTE,
        TABLE_TOP_ROUTE,
        OBJECT_ROUTE,
    )
}
FIRST_KINDS = ("string", "rod", "hand")  # what a company gets on its first day

__all__ = [
    "CRAFTS",
    "DEFAULT_ROUTES",
    "FIRST_KINDS",
    "STRINGING_FRAME",
    "PlainStage",
    "RouteDefault",
]
