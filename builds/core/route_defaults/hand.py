"""The default route of a hand figure: about 40 hours; common practice, no source."""

from __future__ import annotations

from builds.core.route_defaults.cautions import LIFTING, SEWING, TRIMMING
from builds.core.route_defaults.finish import (
    BAG,
    DRESS,
    EYES,
    OTHERS,
    PAINT_SKIN,
    PATTERN,
    PRIME,
    SEW,
    WIG,
)
from builds.core.route_defaults.heads import (
    ACT_OUT,
    CHOOSE_SKETCH,
    DRAWING,
    MOULD_HEAD,
    PASS_HEAD,
    POUR_HEAD,
    SCULPT_HEAD,
    TRIM,
    WORKING,
)
from builds.core.route_defaults.recipe import DAY, HOUR, PlainStage, RouteDefault

HALF = HOUR // 2
QUARTER = HOUR // 4

HAND_DRAWING = DRAWING.but(
    name="Drawing round the performer's hand",
    hours_min=2 * HOUR,
    tools="Paper, the performer's hand and forearm with a tape round it, card for templates.",
    looks_right="Head, shoulders and hands are drawn round the outline of the hand that will play "
    "it, at full size. Which finger carries the neck and which the arms is written down, with "
    "the girth of each; the glove reaches the elbow. Head size is given finished and as sculpted.",
    leave_alone="Legs, unless the play shows them.",
    ask_if="Two performers share the figure, or it must hold something heavy.",
)
TUBES = PlainStage(
    "tubes",
    "Neck and finger tubes",
    "body",
    2 * HOUR,
    ("trim",),
    craft="joint",
    lead_only=True,
    second="anybody",
    done_to="body",
    tools="Card, leather or thin aluminium tube, flexible glue, felt lining, the performer's hand.",
    looks_right="The neck tube grips the finger to its second joint without pinching and the head "
    "stays on when it is shaken. Arm tubes end at the finger tips. After five minutes on the hand "
    "there is no mark on the skin.",
    leave_alone="The outside of the neck: the glove is tied there.",
    ask_if="The performer feels an edge or a finger goes cold, or someone else is to play it too.",
    cautions=TRIMMING,
)
HANDS = PlainStage(
    "hands",
    "Make the hands",
    "body",
    2 * HOUR,
    ("drawing",),
    craft="sew",
    done_to="body",
    tools="Felt, leather or carved wood, strong thread, stuffing, the drawing.",
    looks_right="Left and right of one size, as long as the face from chin to hair line; firm at "
    "the wrist, soft where they clap. They can grip what the part carries.",
    leave_alone="The cuff: it is sewn to the glove later.",
    ask_if="The part needs wooden hands for the sound, or holds fire, water or food.",
    cautions=SEWING,
)
GLOVE = PlainStage(
    "glove",
    "Glove body",
    "body",
    2 * HOUR,
    ("drawing", "hands"),
    craft="sew",
    done_to="body",
    tools="Dense cloth in the colour of the lining, pattern from the drawing, machine.",
    looks_right="The performer's hand goes in and out in one movement, thumb and finger reach "
    "the hands, the wrist bends freely and nothing rides up to the elbow. Seams are outside, away "
    "from the skin.",
    leave_alone="The neck edge: it is gathered and tied in the groove at the fitting.",
    ask_if="The performer's hand is wider than the shoulders on the drawing.",
    cautions=SEWING,
)
FIT = PlainStage(
    "trial-hang",
    "Fit to the performer's hand",
    "meet",
    3 * QUARTER,
    ("tubes", "glove"),
    craft="string",
    lead_only=True,
    second="anybody",
    gate=True,
    mark="hung",
    done_to="body",
    tools="The performer, the playing board or its height, mirror, clock, thread.",
    looks_right="It nods, looks round, bows, claps and picks up the part's prop. It can be put "
    "on with one hand in the dark, in the time the plot leaves. It is worn for its longest scene.",
    leave_alone="Finish: there is none yet. Nothing is primed before the pass.",
    ask_if="A finger is numb, the head wobbles, or it cannot be put on with one hand.",
    cautions=LIFTING,
)
HAND_TRUE = PlainStage(
    "true",
    "Try it on, dressed",
    "end",
    HALF,
    ("dress",),
    craft="string",
    lead_only=True,
    mark="trued",
    done_to="costume",
    tools="The playing board or its height, the performer, mirror.",
    looks_right="It still does all that it did at the fitting, goes on with one hand in the dark, "
    "and the hem hides the arm at every height it plays at. Its performer agrees.",
    leave_alone="Paint and hair.",
    ask_if="The costume closes the way in for the hand, or slows a change.",
    cautions=LIFTING,
)

HAND_ROUTE = RouteDefault(
    "hand",
    "Hand figure",
    (
        CHOOSE_SKETCH,
        ACT_OUT.but(hours_min=HALF),
        HAND_DRAWING,
        SCULPT_HEAD.but(
            hours_min=9 * HOUR,
            looks_right="Measured with calipers it is the sculpted size on the drawing, to 1 mm. "
            "Planes are bold enough to read from the last row. The neck has a groove for the "
            "glove and is wide enough for the finger, its tube and the wall of the casting; both "
            "halves lift straight off.",
        ),
        WORKING,
        PASS_HEAD.but(after=("sculpt-head", "working")),
        MOULD_HEAD.but(hours_min=4 * HOUR, each_min=2 * HOUR),
        POUR_HEAD.but(hours_min=3 * QUARTER),
        TRIM.but(name="Trim the head", hours_min=3 * QUARTER, after=("pour-head",)),
        TUBES,
        HANDS,
        GLOVE,
        PATTERN.but(
            hours_min=HALF,
            looks_right="Cut over the glove, wide enough for the hand to go in and out, with a "
            "label with costume, guise and date on every piece.",
        ),
        FIT,
        PRIME.but(
            name="Seal and prime the head",
            hours_min=HOUR,
            after=("trial-hang",),
            wait_min=DAY,
            looks_right="Closed all over, one thin even coat of primer, no drips at lids and "
            "nostrils. The neck tube is as loose or tight as it was.",
            leave_alone="The inside of the neck, where the finger goes.",
            ask_if="The primer does not hold on the casting: try it inside the neck first.",
        ),
        PAINT_SKIN.but(name="Paint the head", hours_min=3 * HOUR + HALF),
        EYES.but(hours_min=QUARTER),
        WIG.but(hours_min=2 * HOUR),
        SEW.but(
            hours_min=7 * HOUR,
            after=("pattern", "trial-hang"),
            tools="The pattern, the cloth with its certificate, thread, machine, iron.",
        ),
        OTHERS.but(hours_min=2 * HOUR),
        DRESS.but(
            hours_min=QUARTER,
            tools="The costume, needle and thread, tissue for the face.",
            looks_right="Costume is caught to the glove at neck, wrists and hem, and the way in "
            "for the hand is as wide as before.",
            ask_if="Something has to be cut to get it on.",
        ),
        HAND_TRUE,
        BAG.but(
            hours_min=3 * QUARTER,
            after=("true",),
            tools="Bag, tag, ink that stays, camera, scales.",
            looks_right="The number stands inside the glove and on tag and bag. It is weighed, "
            "photographed from the front and in profile, and lies or hangs with the glove open.",
            leave_alone="The lining: a figure that is bagged is ready to play.",
            ask_if="The glove is damp from playing: it dries open before it goes into the bag.",
        ),
    ),
)
