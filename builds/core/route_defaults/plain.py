"""A plain starting route for kinds that each company builds in its own way."""

from __future__ import annotations

from builds.core.route_defaults.cautions import CARVING, LIFTING, PAINT, SEWING
from builds.core.route_defaults.finish import BAG, OTHERS
from builds.core.route_defaults.heads import CHOOSE_SKETCH, DRAWING
from builds.core.route_defaults.recipe import DAY, HOUR, PlainStage, RouteDefault

MAKE = PlainStage(
    "make",
    "Make it",
    "body",
    12 * HOUR,
    ("drawing",),
    craft="woodwork",
    rate=0.9,
    done_to="body",
    tools="What the drawing asks for.",
    looks_right="It covers the drawing, moves where the drawing says and is as heavy as the slip "
    "says. Left and right are alike.",
    leave_alone="Surface and colour: they come after the trial.",
    ask_if="The drawing leaves open how a part is held or turned.",
    cautions=CARVING,
)
TRIAL = PlainStage(
    "trial-hang",
    "Trial with its performers",
    "meet",
    HOUR,
    ("make",),
    craft="string",
    lead_only=True,
    second="anybody",
    gate=True,
    mark="hung",
    done_to="body",
    tools="The playing surface, its light, a mirror or camera, all the hands that will work it.",
    looks_right="It does what the part asks with as many people as the show has for it, from "
    "where the audience sits and in the light it will have.",
    leave_alone="Finish: nothing is painted before the pass.",
    ask_if="It wants one pair of hands more than the scene has.",
    cautions=LIFTING,
)
PAINT_IT = PlainStage(
    "paint",
    "Paint and finish",
    "finish",
    3 * HOUR,
    ("trial-hang",),
    craft="paint",
    wait_min=DAY,
    done_to="head",
    tools="The colours of the guise, brush, matt varnish, the twin or its photo.",
    looks_right="It reads from ten paces in the light of the show, and twins look alike.",
    leave_alone="Joints, grips and edges that slide.",
    ask_if="A joint has grown tight, or the colour on the card is not there under the lamp.",
    cautions=PAINT,
)
CLOTHE = PlainStage(
    "sew",
    "Costume",
    "costume",
    4 * HOUR,
    ("trial-hang",),
    scope="costume",
    craft="sew",
    hours_by_costume=True,
    tools="The cloth with its certificate, thread, pins counted in and out.",
    looks_right="It hangs as drawn and leaves every joint and grip free.",
    leave_alone="Paint and grips.",
    ask_if="The cloth hides what the audience must see move.",
    cautions=SEWING,
)
TRY_IT = PlainStage(
    "true",
    "Put together and try it",
    "end",
    HOUR,
    ("paint", "sew", "others"),
    craft="string",
    lead_only=True,
    mark="trued",
    done_to="costume",
    tools="The playing surface and the people who play it.",
    looks_right="Dressed and painted it does all that it did at the trial.",
    leave_alone="Paint.",
    ask_if="Cloth or paint changed how it moves.",
    cautions=LIFTING,
)

PLAIN_STAGES = (
    CHOOSE_SKETCH,
    DRAWING.but(
        hours_min=2 * HOUR,
        name="Full-size drawing",
        looks_right="Every view that is needed to make it, at full size, with joints, grips and "
        "the height at which it plays.",
    ),
    MAKE,
    TRIAL,
    PAINT_IT,
    CLOTHE,
    OTHERS.but(hours_min=2 * HOUR),
    TRY_IT,
    BAG.but(
        hours_min=HOUR,
        after=("true",),
        tools="Bag or box, tag, ink that stays, camera, scales.",
        looks_right="The number stands on figure, tag and bag. It is weighed and photographed.",
        leave_alone="Joints and grips: a figure that is bagged is ready to play.",
        ask_if="Something rattles, or it does not fit its bag.",
    ),
)
SHADOW_ROUTE = RouteDefault("shadow", "Shadow figure", PLAIN_STAGES)
TABLE_TOP_ROUTE = RouteDefault("table-top", "Table-top figure", PLAIN_STAGES)
OBJECT_ROUTE = RouteDefault("object", "Object", PLAIN_STAGES)
