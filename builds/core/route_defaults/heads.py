"""The stages of a guise and of its castings, from the sketch to a head ready to be fitted."""

from __future__ import annotations

from builds.core.route_defaults.cautions import (
    CLAY,
    FIXATIVE,
    PLASTER,
    SLIP,
    SMALL_PARTS,
    SNAP_BLADE,
    TRIMMING,
)
from builds.core.route_defaults.recipe import DAY, HOUR, PlainStage

CHOOSE_SKETCH = PlainStage(
    "choose-sketch",
    "Sketches, one chosen",
    "guise",
    0,
    scope="guise",
    lead_only=True,
    mark="chosen",
    tools="Paper and soft pencil; a photo of a drawing is enough.",
    looks_right="You can read the three words of character off the sketch without being told. "
    "Front and profile agree in height and posture, and the line the eyes look along is marked.",
    leave_alone="Sketches that were not chosen belong to whoever drew them: neither copied, nor "
    "pinned up, nor printed.",
    ask_if="Two sketches say different things about age or posture, or this guise might borrow "
    "the head or the body of another.",
    cautions=FIXATIVE,
)
ACT_OUT = PlainStage(
    "act-out",
    "Act it out with the sculptor",
    "guise",
    HOUR,
    ("choose-sketch",),
    scope="guise",
    part="head",
    lead_only=True,
    second="craft",
    second_craft="sculpt",
    skip_if_alone=True,
    tools="The chosen sketch, a mirror, a camera; clear floor to walk on.",
    looks_right="The sculptor can stand, walk and turn the head as the part does, and has photos "
    "of the face from the front, both sides and above at rest: a head plays from its rest face.",
    leave_alone="Lines of the play: this is about weight, tempo and where the chin leads, not "
    "about speaking.",
    ask_if="The walk wants a body that the drawing does not have, or the face wants two moods.",
    cautions="Acting it out: shoes on, floor clear of cables and tools; fingers off the "
    "sculptor's bench. Local rules come first.",
)
DRAWING = PlainStage(
    "drawing",
    "Full-size drawing, front and profile",
    "guise",
    8 * HOUR,
    ("choose-sketch",),
    scope="guise",
    part="body",
    craft="draw",
    lead_only=True,
    tools="Paper taller than the figure, straight edge, set square, plumb line, templates of card.",
    looks_right="Front and profile stand on one floor line at full size. Joint centres, string "
    "holes and the line of balance are marked, every part that is carved alone is also drawn "
    "alone, the legs at their greatest bend, and each string runs clear of arms, hat and hump. "
    "Head and hands carry two sizes: finished, and as sculpted (finished divided by 1 less the "
    "shrinkage: 100 mm wanted at 10 % is 111 mm of clay).",
    leave_alone="The face: an outline and an eye line are enough, the sculptor does the rest.",
    ask_if="A stoop or a hump moves the weight off the line of balance, or a costume will hide "
    "or block a joint.",
    cautions=SNAP_BLADE,
)
SCULPT_HEAD = PlainStage(
    "sculpt-head",
    "Sculpt the head",
    "guise",
    16 * HOUR,
    ("act-out",),
    scope="guise",
    part="head",
    craft="sculpt",
    tools="Clay on an armature with a stem, calipers, loop tools, the drawing and the photos. "
    "For casting slip take water clay, or oil clay and wash the grease out of the mould.",
    looks_right="Measured with calipers it is the sculpted size on the drawing, to 1 mm. Planes "
    "are bold enough to read from the last row; eyes look where the drawing says; both halves "
    "lift straight off along crown, ears and sides of the neck, with no undercut behind the ears "
    "or under the chin. The neck is long enough to hold on to in the mould.",
    leave_alone="Skin texture and fine wrinkles: the slip fills them and the light eats them. "
    "Hair that will be a wig is only a clean skull.",
    ask_if="The likeness comes only from the front, the neck leaves the line of the drawing, or "
    "the clay has sulphur in it and the mould is to be silicone.",
    cautions=CLAY,
)
SCULPT_HANDS = PlainStage(
    "sculpt-hands",
    "Sculpt the hands",
    "guise",
    5 * HOUR,
    ("act-out",),
    scope="guise",
    part="hands",
    craft="sculpt",
    tools="Clay on wire, calipers, the drawing, your own hand before a mirror.",
    looks_right="From wrist to finger tip as long as the face from chin to hair line, or as the "
    "drawing says. A left and a right, in one gesture that serves for resting and for pointing; "
    "fingers together or well apart, so that the mould opens; the place of the hand string is "
    "marked.",
    leave_alone="Nails and knuckle lines finer than 1 mm. Props: they are fitted later.",
    ask_if="The part must hold something, or the gesture fights the sleeve.",
    cautions=CLAY,
)
WORKING = PlainStage(
    "working",
    "Eye or mouth working",
    "guise",
    10 * HOUR,
    ("sculpt-head",),
    scope="guise",
    part="head",
    craft="joint",
    lead_only=True,
    only_with_working=True,
    tools="Brass tube and wire, balance weight, springs, epoxy, a shell of the head to try it in.",
    looks_right="Lids or jaw close by their own weight and open on one string with less than the "
    "weight of the head. Nothing rubs after fifty goes; it comes out of the head for repair "
    "through the neck or a lid in the skull.",
    leave_alone="The outer skin of the sculpt, except the slot that the working needs.",
    ask_if="The working wants more room than the wall of the casting leaves, or it clicks loud "
    "enough to hear in the first row.",
    cautions=SMALL_PARTS,
)
PASS_HEAD = PlainStage(
    "pass-head",
    "Pass the head",
    "guise",
    HOUR // 2,
    ("sculpt-head", "sculpt-hands", "working"),
    scope="guise",
    part="head",
    craft="sculpt",
    lead_only=True,
    gate=True,
    mark="passed",
    tools="Stage light or a strong lamp from above, calipers, the drawing.",
    looks_right="Seen from ten paces in light from above it is the character, from both sides "
    "and from below the bridge. The sizes stand on a slip beside it. Passing means: no change "
    "after this without a new mould.",
    leave_alone="No last improvements at the pass: a wish goes back to the sculptor with words.",
    ask_if="You would pass it 'apart from' something. Then it is not passed.",
    cautions="Hot lamps: stand them safely and let them cool; no clay under them for long. "
    "Local rules come first.",
)
MOULD_HEAD = PlainStage(
    "mould-head",
    "Mould the head, two halves",
    "guise",
    6 * HOUR,
    ("pass-head",),
    scope="guise",
    part="head",
    craft="mould",
    each_min=3 * HOUR,
    wait_min=5 * DAY,
    rate=0.85,
    in_one_go=True,
    tools="Casting plaster and water by weight, scales, clay for the bed, walls, scrim, separator "
    "(soft soap) for plaster on plaster. For silicone: the rubber, its scales, a plaster jacket.",
    looks_right="The parting runs over crown, behind the ears and down the neck; keys are "
    "hollow-cut and round. Both halves have the same mix, walls of 25 to 40 mm, a pour hole of at "
    "least 25 mm at the neck, the guise's code and the date scratched in. They close without a "
    "gap you can see light through.",
    leave_alone="The inside face after opening: no scraping, no sealer, no grease. Slip needs "
    "bare plaster that drinks. The two halves stay strapped together while they dry.",
    ask_if="A half does not lift straight off, a bubble sits in the face, or the mould still "
    "feels cool on your cheek after five days. A silicone mould needs one day, not five.",
    cautions=PLASTER,
)
MOULD_HANDS = MOULD_HEAD.but(
    key="mould-hands",
    name="Mould the hands",
    part="hands",
    hours_min=3 * HOUR,
    each_min=None,
    looks_right="Left and right lie in one two-part mould, wrists to the pour holes. Thumbs come "
    "out without a hook; walls of 20 mm at least; code and date scratched in; both halves close "
    "tight.",
    ask_if="A finger stands under the parting, or the mould still feels cool on your cheek when "
    "its days are over.",
    after=("pass-head", "sculpt-hands"),
)
POUR_HEAD = PlainStage(
    "pour-head",
    "Pour the head",
    "head",
    HOUR,
    ("mould-head",),
    scope="pour",
    part="head",
    craft="mould",
    wait_min=DAY,
    rate=0.85,
    in_one_go=True,
    holds_mould=True,
    closed_to_latex_allergy=True,
    mark="cast",
    tools="A dry mould, straps, casting slip stirred and not shaken, jug, strainer, tray, clock, "
    "talc. Fill about four times what will stay in.",
    looks_right="Filled slowly to the brim in one stream, topped up as it sinks, poured out when "
    "the wall at the rim is 3 mm. Time in and time out, lot and mould stand on the pour card. The "
    "head comes out next day, rings when tapped and has no thin spot at nose or chin.",
    leave_alone="The closed mould until its hour: no looking in. The seam is trimmed later, not "
    "while the casting is soft.",
    ask_if="The mould is damp or greasy, the wall will not build up in twice the usual time, or "
    "it is the sixth pour since the mould was last dried.",
    cautions=SLIP,
)
POUR_HANDS = POUR_HEAD.but(
    key="pour-hands",
    name="Pour the hands",
    part="hands",
    hours_min=HOUR // 2,
    after=("mould-hands",),
    mark="",
    looks_right="Both hands filled from one jug, tapped so that no air sits in the finger tips, "
    "and left solid to the wrist. Time, lot and mould stand on the pour card. Every finger is "
    "there next day.",
)
TRIM = PlainStage(
    "trim",
    "Trim head and hands",
    "head",
    2 * HOUR,
    ("pour-head", "pour-hands"),
    craft="mould",
    closed_to_latex_allergy=True,
    done_to="head",
    tools="Scalpel, fine files, wet-and-dry paper, filler that takes the paint, scales.",
    looks_right="The seam cannot be felt with a closed eye. Casting number and figure number "
    "stand inside the neck. The wall is weighed and even: hold it against a lamp.",
    leave_alone="The planes of the face beside the seam; nostrils, lids and lips stay as cast.",
    ask_if="The nose, an ear or a lid is short of material, or the twin's casting looks older or "
    "smaller beside it. A flawed casting is marked and kept, not thrown away.",
    cautions=TRIMMING,
)
