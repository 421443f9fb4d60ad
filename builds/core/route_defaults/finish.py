"""The stages that every jointed figure ends with: seal, paint, hair, costume, bag."""

from __future__ import annotations

from builds.core.route_defaults.cautions import (
    HAIR_GLUE,
    LIFTING,
    PAINT,
    SEALING,
    SEWING,
)
from builds.core.route_defaults.recipe import DAY, HOUR, PlainStage

SEAL = PlainStage(
    "seal",
    "Take apart and seal",
    "finish",
    HOUR + HOUR // 2,
    ("trial-hang", "toile"),
    craft="paint",
    wait_min=DAY,
    done_to="body",
    tools="Tray with a place for each part, labels, sealer, soft brush, fine paper.",
    looks_right="Every part lies labelled left or right with its pins and ballast. Wood and "
    "casting are closed all over, end grain twice, and smooth after a light rub; joint faces and "
    "string holes are free of runs.",
    leave_alone="Joint faces, axles and stops stay bare. Nothing is bent, filed or moved: the "
    "figure hung true with these parts.",
    ask_if="A part needed force to come off, a joint was loose, or the sealer raises the skin of "
    "the casting: try it inside the neck first.",
    cautions=SEALING,
)
PRIME = PlainStage(
    "prime",
    "Prime and put together",
    "finish",
    HOUR + HOUR // 2,
    ("seal",),
    craft="paint",
    wait_min=DAY,
    done_to="body",
    tools="Primer that flexes with the casting, brush, pins, the labelled tray.",
    looks_right="One thin even coat, no drips at lids and nostrils. All parts are back on their "
    "own side, every joint swings as it did at the trial, ballast is where it was.",
    leave_alone="The insides of joints. Weights are not changed to make up for paint.",
    ask_if="A joint has grown tight, or there is a part left in the tray.",
    cautions=SEALING,
)
PAINT_SKIN = PlainStage(
    "paint",
    "Paint head and hands",
    "finish",
    7 * HOUR,
    ("prime",),
    craft="paint",
    done_to="head",
    tools="The colour card of the guise, acrylic or rubber-based paint that flexes, matt "
    "varnish, the twin or its photo, stage light.",
    looks_right="Under stage light the face reads from ten paces: shadows sit where the planes "
    "turn, and hands and neck are of the same person. Twins stand side by side and look like one "
    "man. The finish is matt all over.",
    leave_alone="The eyes: they come last and from the lead. Wood under the costume stays "
    "sealed and unpainted.",
    ask_if="The mix is used up before the twin is done, the paint cracks when you press the "
    "cheek, or the colours under the stage light are not those on the card.",
    cautions=PAINT,
)
EYES = PlainStage(
    "eyes",
    "Eyes",
    "finish",
    3 * HOUR // 4,
    ("paint",),
    craft="paint",
    wait_min=DAY,
    lead_only=True,
    done_to="head",
    tools="Finest brush, gloss for the ball alone, a mirror, the figure held at playing height.",
    looks_right="Held at playing height the figure looks at the place the drawing says, a little "
    "below the eye line of the first row. Both eyes have one spark, on the side of the light. "
    "The skin around them was dry to the touch before they were begun.",
    leave_alone="Everything but the eyes: no second thoughts about the skin now.",
    ask_if="The gaze crosses or slides off. Wipe it while it is wet and come back tomorrow.",
    cautions=PAINT,
)
WIG = PlainStage(
    "wig",
    "Wig, hair and beard",
    "finish",
    6 * HOUR,
    ("eyes",),
    craft="hair",
    done_to="head",
    tools="Cap or net, hair or yarn of the guise, curved needle, flexible glue, scissors, combs.",
    looks_right="Hair line sits where the sculptor drew the skull, nothing hangs into the string "
    "holes or the eyes when the head nods. It weighs no more than the slip says. Twins are cut "
    "by the same hands on neighbouring days.",
    leave_alone="The face. String holes in the head are kept open with a pin.",
    ask_if="A hat or hood goes over it, the head tips back with the weight, or the beard touches "
    "the mouth that moves.",
    cautions=HAIR_GLUE,
)
PATTERN = PlainStage(
    "pattern",
    "Pattern and calico",
    "costume",
    2 * HOUR,
    ("drawing",),
    scope="costume",
    craft="sew",
    first_of_costume=True,
    tools="Calico of the weight of the cloth, pattern paper, the full-size drawing, tape.",
    looks_right="Cut from the drawing with room at elbow, knee and seat for the greatest bend, "
    "openings where strings and hands pass, and a label with costume, guise and date on every "
    "piece. The calico can be put on without taking a hand off.",
    leave_alone="Good cloth: not a cut before the toile was fitted.",
    ask_if="The costume covers a joint or a string hole, or it is to come off in the play.",
    cautions=SEWING,
)
TOILE = PlainStage(
    "toile",
    "Fit the toile",
    "costume",
    HOUR,
    ("pattern", "joint"),
    craft="sew",
    second="lead",
    tools="The calico, pins with large heads, chalk, the dry-jointed figure on a stand.",
    looks_right="Every joint goes to its stop with the calico on, seated and kneeling too. "
    "String places are marked through the cloth. Changes are written on the calico and on the "
    "paper pattern.",
    leave_alone="The figure: no joint is eased to suit the cloth without the lead.",
    ask_if="A limb is held back at its full bend, or the weight of the cloth moves the lean.",
    cautions=SEWING,
)
SEW = PlainStage(
    "sew",
    "Cut and sew",
    "costume",
    12 * HOUR,
    ("pattern", "toile"),
    scope="costume",
    craft="sew",
    hours_by_costume=True,
    tools="The pattern, the cloth with its certificate, thread, machine, iron. Hours by costume: "
    "a smock about 8, a coat 25, a gown 40.",
    looks_right="The corrections of the toile are in. Seams are flat and felled where a hand or "
    "a string passes, hems hang level on the stand, fastenings can be worked with one hand. "
    "Weighed, and the weight written down.",
    leave_alone="The wig, the paint and the strings. Breaking down and dirtying come after the "
    "lead has seen it clean.",
    ask_if="The cloth is heavier or stiffer than the calico, there is not enough for the twin, or "
    "the certificate against fire is missing.",
    cautions=SEWING,
)
OTHERS = PlainStage(
    "others",
    "The others on its control",
    "body",
    6 * HOUR,
    ("drawing",),
    only_when="crowd",
    craft="woodwork",
    done_to="body",
    tools="The finished first one, templates cut from it, one box for the parts of all.",
    looks_right="All of them hang from one control, each clear of its neighbour by a hand's "
    "breadth, and move together without being alike. From ten paces they are one crowd.",
    leave_alone="The first one: it is the pattern and stays as it was passed.",
    ask_if="Two of them touch or cross when the control tips, or the whole is heavier than one "
    "hand holds for the length of its scene.",
    cautions=LIFTING,
)
DRESS = PlainStage(
    "dress",
    "Dress",
    "meet",
    HOUR + HOUR // 2,
    ("sew", "eyes", "wig", "others"),
    craft="sew",
    mark="dressed",
    done_to="costume",
    tools="The costume, needle and thread, tissue for the face, stand.",
    looks_right="Costume sits as on the drawing, is caught down where it would ride up, and "
    "every joint still reaches its stop. String holes are open and marked with a bright thread.",
    leave_alone="Paint and hair: face wrapped while you work.",
    ask_if="Something has to be cut to get it on, or the figure leans otherwise than at the trial.",
    cautions=SEWING,
)
BAG = PlainStage(
    "bag",
    "Bag, tag, number, photo",
    "end",
    2 * HOUR,
    ("restring",),
    mark="ready",
    tools="Bag, tag, ink that stays, camera, scales, a set of spare strings cut and labelled.",
    looks_right="The number stands inside the figure and on tag and bag. It is weighed, and "
    "photographed from the front, in profile and inside the neck. Spare strings lie in the bag, "
    "each with its place and length; it hangs on its own hook.",
    leave_alone="Knots and control: a figure that is bagged is ready to play.",
    ask_if="Something rattles, a knot slipped on the way to its hook, or the weight is more than "
    "a tenth off what was planned.",
    cautions=LIFTING,
)
