"""The default route of a rod figure: about 70 hours; common practice, no source."""

from __future__ import annotations

from builds.core.route_defaults.cautions import CARVING, DRILLING, LIFTING, RODS
from builds.core.route_defaults.finish import (
    BAG,
    DRESS,
    EYES,
    OTHERS,
    PAINT_SKIN,
    PATTERN,
    PRIME,
    SEAL,
    SEW,
    TOILE,
    WIG,
)
from builds.core.route_defaults.heads import (
    ACT_OUT,
    CHOOSE_SKETCH,
    DRAWING,
    MOULD_HANDS,
    MOULD_HEAD,
    PASS_HEAD,
    POUR_HANDS,
    POUR_HEAD,
    SCULPT_HANDS,
    SCULPT_HEAD,
    TRIM,
    WORKING,
)
from builds.core.route_defaults.recipe import HOUR, PlainStage, RouteDefault

HALF = HOUR // 2

ROD_DRAWING = DRAWING.but(
    hours_min=5 * HOUR,
    looks_right="Front and profile at full size on the height of the performer's raised hand. "
    "Central rod, turning axis and grip are drawn, arm rods in their highest and lowest place, "
    "and the costume's hem covers the performer's hand. Head and hands carry two sizes: finished, "
    "and as sculpted (finished divided by 1 less the shrinkage).",
    ask_if="The figure must sit, lie or pass through a low door, or two performers share it.",
)
CENTRAL_ROD = PlainStage(
    "central-rod",
    "Central rod and turning head",
    "control",
    5 * HOUR,
    ("trim",),
    craft="joint",
    lead_only=True,
    done_to="body",
    tools="Wooden or aluminium tube, inner rod, grip, cord for the nod, drill, washers, wax.",
    looks_right="Head turns a quarter to each side with the thumb of the hand that carries, comes "
    "back to the front by itself and nods on one finger. Nothing rattles. The grip lies in the "
    "performer's hand with a straight wrist, the rod ends at the elbow.",
    leave_alone="The outside of the casting; the neck is fitted from within.",
    ask_if="The head turns with the rod when the figure walks, or the whole weighs more than the "
    "performer can hold up for the longest scene.",
    cautions=RODS,
)
SHOULDERS = PlainStage(
    "shoulders",
    "Shoulders and body frame",
    "body",
    4 * HOUR,
    ("drawing",),
    craft="woodwork",
    done_to="body",
    tools="Light wood or cane, foam, hot glue, drill, the drawing; scales.",
    looks_right="Shoulder piece turns freely on the rod and stops under the neck. The frame keeps "
    "the drawn posture when it is shaken, hips hang free, and it weighs no more than the slip "
    "says. Every edge that touches cloth is rounded.",
    leave_alone="The hole for the rod: it is bored with the rod in hand.",
    ask_if="The stoop or hump of the drawing pulls the frame off the rod.",
    cautions=CARVING,
)
ARMS = PlainStage(
    "arms",
    "Arms with their joints",
    "body",
    2 * HOUR + HALF,
    ("shoulders",),
    craft="joint",
    rate=0.9,
    done_to="body",
    tools="Wood or stuffed cloth, webbing or cord for the joints, stops, scales.",
    looks_right="Shoulder and elbow fall by their own weight and stop before they bend the wrong "
    "way. Left and right are alike in length and weight. Cast hands sit firm at the wrist and "
    "can be taken off.",
    leave_alone="Paint and glove of the hand.",
    ask_if="An elbow turns outward when the hand is lifted, or the sleeve will not go over it.",
    cautions=DRILLING,
)
ARM_RODS = PlainStage(
    "arm-rods",
    "Arm rods and grips",
    "control",
    2 * HOUR,
    ("arms", "pour-hands"),
    craft="joint",
    done_to="body",
    tools="Spring steel wire of 2.5 to 3 mm, wooden grips, pliers, file, heat-shrink, black paint.",
    looks_right="Rod meets the hand where the gesture begins, swivels there and cannot pull out. "
    "Both rods can be held in one hand. They are dull black, straight, and every end is bent "
    "over or capped.",
    leave_alone="Length of the arms.",
    ask_if="The rod shows against the costume, or it bends when the arm is lifted fast.",
    cautions=RODS,
)
ROD_TRIAL = PlainStage(
    "trial-hang",
    "Trial with its performer",
    "meet",
    HOUR + HALF,
    ("central-rod", "arm-rods", "shoulders"),
    craft="string",
    lead_only=True,
    second="anybody",
    gate=True,
    mark="hung",
    done_to="body",
    tools="The playing board or its height, mirror or camera, scales, clock, the drawing.",
    looks_right="Held at playing height for as long as its longest scene it does not sink. It "
    "walks, looks, points and embraces as the part asks; head and hands answer without force. "
    "Height of the board and length of the rods are written down.",
    leave_alone="Finish: there is none yet. Nothing is sealed before the pass.",
    ask_if="The performer's arm tires before the scene ends, or a second hand is wanted.",
    cautions=LIFTING,
)
ROD_TRUE = PlainStage(
    "true",
    "Balance with its performer",
    "end",
    HOUR,
    ("dress",),
    craft="string",
    lead_only=True,
    mark="trued",
    done_to="costume",
    tools="Playing board, mirror, small weights, thread.",
    looks_right="Dressed, it looks to the drawn eye line with the wrist straight, turns without "
    "the costume turning after it, and the hem hides the hand. Its performer agrees.",
    leave_alone="Head and paint.",
    ask_if="The costume holds an arm down or winds round the rod.",
    cautions=LIFTING,
)

ROD_ROUTE = RouteDefault(
    "rod",
    "Rod figure",
    (
        CHOOSE_SKETCH,
        ACT_OUT,
        ROD_DRAWING,
        SCULPT_HEAD.but(hours_min=12 * HOUR),
        SCULPT_HANDS.but(
            hours_min=3 * HOUR,
            looks_right="From wrist to finger tip as long as the face from chin to hair line, or "
            "as the drawing says. A left and a right; the place where the arm rod meets the hand "
            "is flat and marked. Fingers together or well apart, so that the mould opens.",
        ),
        WORKING,
        PASS_HEAD,
        MOULD_HEAD,
        MOULD_HANDS.but(hours_min=2 * HOUR),
        POUR_HEAD,
        POUR_HANDS,
        TRIM.but(hours_min=HOUR + HALF),
        CENTRAL_ROD,
        SHOULDERS,
        ARMS,
        ARM_RODS,
        PATTERN.but(hours_min=HOUR),
        TOILE.but(
            hours_min=HALF,
            after=("pattern", "arms"),
            looks_right="Arms reach their highest and lowest place with the calico on, the head "
            "turns free of the collar, and the hem hides the performer's hand and sleeve. "
            "Changes are written on the calico and on the paper pattern.",
        ),
        ROD_TRIAL,
        SEAL.but(hours_min=HOUR, ask_if="A part needed force to come off, or the rod is loose."),
        PRIME.but(hours_min=HOUR),
        PAINT_SKIN.but(hours_min=4 * HOUR + HALF),
        EYES.but(hours_min=HALF),
        WIG.but(hours_min=3 * HOUR),
        SEW,
        OTHERS,
        DRESS.but(
            hours_min=HOUR,
            looks_right="Costume sits as on the drawing and hangs from the shoulders, not from "
            "the neck. Rods come out through bound slits; head and arms still reach their stops.",
            leave_alone="Paint, hair and rods: face wrapped while you work.",
        ),
        ROD_TRUE,
        BAG.but(
            hours_min=HOUR,
            after=("true",),
            tools="Bag, tag, ink that stays, camera, scales, a spare arm rod with its grip.",
            looks_right="The number stands inside the figure and on tag and bag. It is weighed, "
            "and photographed from the front, in profile and with its rods. It hangs head up on "
            "its own hook, rods tied together.",
            leave_alone="Rods and grips: a figure that is bagged is ready to play.",
        ),
    ),
)
