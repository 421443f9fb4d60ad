"""Cautions for what can hurt somebody at the bench. Reminders, never a risk assessment.

Facts: HSE, 'Wood dust: controlling the risks' (limits for dust; lime and balsa count as
hardwood); NSEAD health and safety pages on plaster of Paris (60 degrees C in the mass, never a
body part in it); HSE RR79 on epoxy; for the rest common practice, no source. Every caution
leaves the last word to the data sheet, local rules and whoever is licensed for the work.
"""

_LAST_WORD = "The maker's data sheet and your local rules come first."
_TRAINED = "Local rules, and those trained and licensed for it, come first."

FIXATIVE = (
    "Fixative and spray glue: outdoors or at an open window, nothing burning near. " + _LAST_WORD
)
SNAP_BLADE = (
    "Cutting card and templates: steel rule, fresh blade, cut away from the hand that holds. "
    + _TRAINED
)
CLAY = (
    "Sculpting: let dried clay be wiped up wet, never swept; the dust is bad for the lungs. "
    "Warm wax and oil clay only in a water bath. " + _LAST_WORD
)
SMALL_PARTS = (
    "Springs, wire and small drills: goggles on, wire ends turned in, the part in a vice and not "
    "in the hand. " + _TRAINED
)
PLASTER = (
    "Plaster: never put a hand, a finger or any part of a body into setting plaster; a thick mass "
    "goes above 60 °C and burns deep. Powder into water, never the other way; mask on while it is "
    "dry; nothing down the sink. " + _LAST_WORD
)
SLIP = (
    "Casting slip (latex or neoprene): gives off ammonia or vapour, so extraction or an open "
    "window. Latex can set off a violent allergy: ask everyone who will touch it, performers too, "
    "and wear gloves without latex. Other casting materials have their own dangers. " + _LAST_WORD
)
TRIMMING = (
    "Trimming and sanding a casting: mask and extraction, blade away from the hand, gloves "
    "without latex. Never sand a casting that is still soft. " + _LAST_WORD
)
SAW = (
    "Band saw: trained people only, never alone in the building. Guard down to just above the "
    "wood, push stick near the blade, round stock in a V-block; no gloves, loose sleeves, cords "
    "or loose hair. Extraction and mask for the dust. " + _TRAINED
)
CARVING = (
    "Knives and gouges: the wood clamped, both hands behind the edge, a cut-proof glove on a hand "
    "that must hold. Keep them sharp. Wood dust: extraction and mask, vacuum and no air line; "
    "lime counts as a hardwood. " + _TRAINED
)
DRILLING = (
    "Drilling and filing: goggles on, the part clamped, hair and sleeves tied; wood dust wants "
    "extraction and a mask. " + _TRAINED
)
BALLAST = (
    "Ballast: take steel, brass or bismuth where you can. Lead is poison: gloves, no food or "
    "drink, no filing, sawing or melting here, wash hands, seal it in, write 'contains lead' on "
    "the figure, and none in a figure that children handle. Two-part glue: nitrile gloves, no "
    "skin contact; it can make you allergic for life. " + _LAST_WORD
)
HANGING = (
    "Hanging a figure: from a fixing rated for the load and never from a guard rail; nobody's "
    "head below while it is passed over. Up on the bridge: the edge is guarded, tools are tied "
    "on, and a competent person has signed for any drop of 1.2 m or more. " + _TRAINED
)
SEALING = (
    "Sealer, primer and varnish: window open or extraction on, no flame. Oily or solvent rags go "
    "into a lidded metal bin and out of the house each day; they can light themselves. "
    "Sanding between coats: mask. " + _LAST_WORD
)
PAINT = (
    "Paint: water-based where it will do. No brush in the mouth; some pigments are poisonous. "
    "Spraying only with extraction and the mask the data sheet names. " + _LAST_WORD
)
HAIR_GLUE = (
    "Hot glue and contact glue: fingers clear, window open, no flame; heated tools on their "
    "stand. Curved needles away from the eyes. " + _LAST_WORD
)
SEWING = (
    "Pins counted in and out; none may stay where a hand will grip. Iron and steamer on their "
    "stands and off when you leave. Machine stopped before fingers go near the needle. Cloth for "
    "the stage may have to be treated against fire: keep the certificate. " + _TRAINED
)
STRINGING = (
    "Strings under load: a broken support string drops the figure on somebody. No plain overhand "
    "or reef knot in a support string, a fresh line each time, ends cut short; eyes clear of "
    "taut line and hooks. " + HANGING
)
LIFTING = (
    "Lifting and hanging up: close to the body, two hands, two people for anything heavy or "
    "high; hooks at face height wear caps, strings are bagged before a figure is carried. "
    + _TRAINED
)
RODS = (
    "Rods and wire: goggles for cutting and bending, every end rounded and capped before anyone "
    "lifts the figure to face height; cutting sparks away from rags. " + _TRAINED
)
