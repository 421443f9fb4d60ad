"""The default route of a string figure of about 60 cm; hours are common practice, no source."""

from __future__ import annotations

from builds.core.route_defaults.cautions import (
    BALLAST,
    CARVING,
    DRILLING,
    HANGING,
    SAW,
    STRINGING,
)
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
from builds.core.route_defaults.recipe import (
    DAY,
    HOUR,
    STRINGING_FRAME,
    PlainStage,
    RouteDefault,
)

NECK = PlainStage(
    "neck-block",
    "Neck block and anchors",
    "head",
    HOUR,
    ("trim",),
    craft="joint",
    lead_only=True,
    done_to="head",
    tools="Hardwood block, screw eyes or wire staples, epoxy, drill, plumb bob; stainless or "
    "plated metal only against latex.",
    looks_right="Hung from its two head strings the head looks where the drawing looks. Anchors "
    "hold a pull of five times the head's weight, the neck nods and turns and stops before the "
    "chin marks the chest.",
    leave_alone="The outside of the casting. No bare brass or copper against latex: it rots.",
    ask_if="The head hangs to one side by more than a finger's width, or the wall is too thin for "
    "the anchor.",
    cautions=DRILLING,
)
BLANKS = PlainStage(
    "saw-blanks",
    "Saw the blanks",
    "body",
    3 * HOUR,
    ("drawing",),
    craft="woodwork",
    second="someone in",
    needs_saw_training=True,
    closed_to_under_18=True,
    done_to="body",
    tools="Band saw, push stick, V-block, dry lime or the like that has lain in the shop for two "
    "weeks, templates from the drawing, scales.",
    looks_right="Legs and arms are sawn whole in the drawn bend, grain along the limb, front and "
    "profile both cut, 2 mm of wood left outside the line. Joint centres are pricked through from "
    "the template. Left and right of a pair come from one board.",
    leave_alone="The joints: they are cut after carving. No rounding on the saw.",
    ask_if="There is a knot or a shake in a limb, the board is much heavier than the last, or "
    "nobody else is in the workshop.",
    cautions=SAW,
)
CARVE = PlainStage(
    "carve",
    "Carve the body",
    "body",
    28 * HOUR,
    ("saw-blanks",),
    craft="carve",
    rate=0.9,
    lead_only=True,
    done_to="body",
    tools="Gouges, knife, rasps, vice and holdfast, calipers, the drawing on the wall; the twin.",
    looks_right="Each part meets the templates in front and profile to 1 mm, each limb is carved "
    "whole in its bend with the joint drawn on, and the posture stands in the wood: laid on the "
    "drawing it covers the line. Torso hollowed as drawn. Twins weigh alike to a tenth.",
    leave_alone="Pricked joint centres and the flat of the joint faces. No sanding where a joint "
    "will be sawn.",
    ask_if="Wood breaks out across a joint line, or the part is a tenth heavier or lighter than "
    "the drawing counts on. A sore wrist is a reason to stop: five hours are enough for a day.",
    cautions=CARVING,
)
SHOES = PlainStage(
    "shoes",
    "Shoes or feet",
    "body",
    3 * HOUR,
    ("drawing",),
    craft="woodwork",
    done_to="body",
    tools="Wood or leather over a wooden last, the drawing, a strip of felt or rubber for soles.",
    looks_right="Sole is flat from heel to ball and turned up a little at the toe, so that a foot "
    "that swings does not trip. Left and right weigh alike to 2 g. The ankle slot is at the drawn "
    "height, soles sound as the show wants them.",
    leave_alone="The ankle hole: it is drilled with the leg in hand.",
    ask_if="The foot is wider than half the stride on the drawing, or the costume hides it.",
    cautions=CARVING,
)
JOINT = PlainStage(
    "joint",
    "Dry-joint, stops, ballast",
    "body",
    12 * HOUR,
    ("carve",),
    craft="joint",
    rate=0.9,
    lead_only=True,
    done_to="body",
    tools="Fine saw, drill, pins or wire, leather and webbing, steel or brass weights, scales, a "
    "nail to hang it on.",
    looks_right="Limbs are sawn at the joint through the drawn bend. Knees and elbows stop when "
    "their front faces close, never over. Each joint swings by its own weight and without "
    "a sound; nothing is glued. Ballast lies low in shin and forearm, in pelvis and feet, none in "
    "thigh or upper arm, every weight written down.",
    leave_alone="Outer shape. Pins stay loose enough to be drawn with pliers: it comes apart "
    "again for paint.",
    ask_if="A joint binds at one side, the bend is short of the drawing by more than 5 degrees, "
    "or the figure goes over its planned weight.",
    cautions=BALLAST,
)
CONTROL = PlainStage(
    "control",
    "Control",
    "control",
    4 * HOUR,
    ("drawing",),
    craft="woodwork",
    tools="Hardwood bar about 20 cm, dowel of 9 mm, drill, fine paper, oil or wax, hook.",
    looks_right="Bars for head and shoulders are a little wider than what they lift. Strings run "
    "through smooth holes and not screw eyes, edges rounded where a string bends. It hangs level "
    "from its hook, lies in the hand without a wrist bent, and bears the figure's number.",
    leave_alone="Length of strings. No varnish where the hand holds.",
    ask_if="The part needs a hand free for a prop, or the performer has another grip than last "
    "time.",
    cautions=DRILLING,
)
TRIAL_HANG = PlainStage(
    "trial-hang",
    "Trial hang, bare",
    "meet",
    3 * HOUR,
    ("neck-block", "joint", "shoes"),
    craft="string",
    lead_only=True,
    second="anybody",
    gate=True,
    mark="hung",
    done_to="body",
    tools="The shop's test control, test strings with toggles, plumb bob, drawing, scales, "
    "spare weights and wax.",
    looks_right="From the shoulder strings it leans as the drawing leans, not as the plumb line: "
    "a stoop is meant. Feet just meet the floor, toes forward; it walks, kneels, sits and turns "
    "without a limb hanging back. All weights and hole positions are written on the drawing.",
    leave_alone="Finish: there is none yet, so cut and move what has to be moved now. Nothing is "
    "sealed before the pass.",
    ask_if="It needs more than two rounds of ballast, or a limb wants another length.",
    cautions=HANGING,
)
UNSTRING = PlainStage(
    "unstring",
    "Unstring and change costume",
    "end",
    HOUR,
    ("sew",),
    craft="string",
    only_when="made over",
    done_to="costume",
    tools="String chart, scissors, labels, tissue for the face, stand, box for the old costume.",
    looks_right="Each length is written in the chart before it is cut. The old costume lies "
    "whole and labelled in its box; the new one is on, caught down, and every joint reaches its "
    "stop. Control and string holes are as they were.",
    leave_alone="Ballast, holes and paint: face wrapped while you work.",
    ask_if="The new costume covers a string hole, is heavier than the old one, or cannot be put "
    "on without opening a seam of the body.",
    cautions=STRINGING,
)
STRING = PlainStage(
    "string",
    "String at the frame",
    "end",
    4 * HOUR,
    ("dress", "control", "unstring"),
    craft="string",
    rate=0.85,
    second="anybody",
    equipment=STRINGING_FRAME,
    mark="strung",
    done_to="costume",
    tools="Frame set to the height of the bridge, black braided line, string chart, toggles, "
    "wax, scissors; one person at the control, one at the figure.",
    looks_right="Shoulders first with the control level and the feet just on the floor, then "
    "head, back, hands, knees. Head and shoulders taut, hands and knees with just enough slack "
    "not to lift. Every string straight and clear of the costume; knots that hold, with a hand's "
    "length left at the control to trim after wear.",
    leave_alone="Ballast and control holes. No glue on a knot before the figure is worn in.",
    ask_if="A string rubs cloth or brim, the chart and the bridge do not agree, or the line "
    "comes from another reel than the twin's.",
    cautions=STRINGING,
)
TRUE = PlainStage(
    "true",
    "Hang and true",
    "end",
    2 * HOUR,
    ("string",),
    craft="string",
    lead_only=True,
    wait_min=5 * DAY,
    mark="trued",
    done_to="costume",
    tools="The bridge or its height, drawing, mirror, its performer where one is named.",
    looks_right="At playing height it stands, walks, turns and bows as drawn, and looks where it "
    "is meant to. Its performer has walked it and agrees with the height of the control. Final "
    "lengths stand in the string chart.",
    leave_alone="Wood and paint. Lengths are trued by knots, not by bending the control.",
    ask_if="It leans with its costume on though it hung true when bare: weigh the costume first.",
    cautions=STRINGING,
)
RESTRING = PlainStage(
    "restring",
    "Restring after wear",
    "end",
    HOUR + HOUR // 2,
    ("true",),
    craft="string",
    tools="New line of the same reel, the chart with its trued lengths, scissors, knot glue.",
    looks_right="After five days of play the stretch is out: every support string is new or "
    "re-knotted to the chart, ends trimmed and sealed. Left and right of a pair are equal with "
    "the control level. The twin beside it stands at the same height.",
    leave_alone="The chart's lengths, unless the lead trues it again.",
    ask_if="A knot slipped, a line is frayed where it leaves the control, or it hangs otherwise "
    "than when it was trued.",
    cautions=STRINGING,
)

STRING_ROUTE = RouteDefault(
    "string",
    "String figure",
    (
        CHOOSE_SKETCH,
        ACT_OUT,
        DRAWING,
        SCULPT_HEAD,
        SCULPT_HANDS,
        WORKING,
        PASS_HEAD,
        MOULD_HEAD,
        MOULD_HANDS,
        POUR_HEAD,
        POUR_HANDS,
        TRIM,
        NECK,
        BLANKS,
        CARVE,
        SHOES,
        JOINT,
        CONTROL,
        PATTERN,
        TOILE,
        TRIAL_HANG,
        SEAL,
        PRIME,
        PAINT_SKIN,
        EYES,
        WIG,
        SEW,
        OTHERS,
        DRESS,
        UNSTRING,
        STRING,
        TRUE,
        RESTRING,
        BAG,
    ),
)
