"""What a sculpt does in a mould material: the table of pairs that are known."""

from __future__ import annotations

from builds.core.casting.pairs import (
    ARCHITECTURE,
    BARE_METAL,
    BOND,
    CERAMIC_ARTS,
    LATEX_DIRECT,
    NO,
    REYNOLDS,
    SAGECRAFT,
    SEAL,
    SILICONES,
    SMOOTH_ON,
    SOAP,
    TECHSIL,
    TEST,
    YES,
    Pair,
    Table,
)
from builds.core.casting.values import COMMON, MEMORY

SEAL_WELL = "A full coat of acrylic or shellac, let it dry, then a release agent."
WAX_WOOD = "Paste wax, lacquer or shellac until no fibre stands up, then a release agent."
PLASTER_INSTEAD = "Mould it in plaster, or seal it well and take tin silicone."
_SULPHUR = "Sulphur keeps rubber and silicone from curing at the surface."
_WET = "The water in the clay disturbs the cure."
_FIBRES = "The fibres of the wood grip."
_NO_FACT = "Both are at home in this use and no trouble is on record."

SCULPT_IN_MOULD: Table = {
    # Oil clay with sulphur
    ("oil clay with sulphur", "plaster"): Pair(
        YES,
        "Plaster does not mind sulphur or oil.",
        "Wash the grease out before slip goes in.",
        SMOOTH_ON,
    ),
    ("oil clay with sulphur", "tin silicone"): Pair(SEAL, _SULPHUR, SEAL_WELL, REYNOLDS),
    ("oil clay with sulphur", "platinum silicone"): Pair(
        NO,
        "Sulphur keeps platinum silicone from ever curing.",
        PLASTER_INSTEAD,
        f"{SMOOTH_ON}; {REYNOLDS}",
    ),
    ("oil clay with sulphur", "urethane rubber"): Pair(SEAL, _SULPHUR, SEAL_WELL, SMOOTH_ON),
    ("oil clay with sulphur", "latex skin"): Pair(SEAL, _SULPHUR, SEAL_WELL, SMOOTH_ON),
    # Oil clay without
    ("oil clay", "plaster"): Pair(
        YES, "Plaster does not mind the oil.", "Wash the grease out before slip goes in.", SMOOTH_ON
    ),
    ("oil clay", "tin silicone"): Pair(YES, "Nothing in it stops tin silicone.", "", SMOOTH_ON),
    ("oil clay", "platinum silicone"): Pair(
        TEST,
        "The oils can still bloom and leave a sticky skin.",
        "A patch from the same batch for its full time; else seal it, or take tin silicone.",
        MEMORY,
    ),
    ("oil clay", "urethane rubber"): Pair(
        YES, "Free of sulphur it cures.", "Use a release agent.", SMOOTH_ON
    ),
    ("oil clay", "latex skin"): Pair(
        SEAL, "Latex wants a face free of grease.", "Shellac it, and let it dry.", ARCHITECTURE
    ),
    # Water clay, wet
    ("water clay", "plaster"): Pair(
        YES, "The usual pair for slip: no grease at all.", "", SAGECRAFT
    ),
    ("water clay", "tin silicone"): Pair(SEAL, _WET, SEAL_WELL, f"{BARE_METAL}; {SMOOTH_ON}"),
    ("water clay", "platinum silicone"): Pair(SEAL, _WET, SEAL_WELL, f"{BARE_METAL}; {SMOOTH_ON}"),
    ("water clay", "urethane rubber"): Pair(
        SEAL, "Urethane foams where it meets water.", SEAL_WELL, f"{BARE_METAL}; {SMOOTH_ON}"
    ),
    ("water clay", "latex skin"): Pair(
        SEAL, _WET, "Two or three coats of shellac, dry.", ARCHITECTURE
    ),
    # Plaster
    ("plaster", "plaster"): Pair(SEAL, "Plaster sticks to plaster.", SOAP, CERAMIC_ARTS),
    ("plaster", "tin silicone"): Pair(YES, _NO_FACT, "", COMMON),
    ("plaster", "platinum silicone"): Pair(YES, _NO_FACT, "", COMMON),
    ("plaster", "urethane rubber"): Pair(
        SEAL,
        "Urethane grips bare plaster and takes up its water.",
        "Paste wax, petrolatum, lacquer, shellac or PVA, and then a release agent.",
        BARE_METAL,
    ),
    ("plaster", "latex skin"): Pair(
        YES,
        "One maker says that bare plaster needs no sealer.",
        "Another asks for two or three coats of shellac: that is the safer way.",
        f"{LATEX_DIRECT}; {ARCHITECTURE}",
    ),
    # Wood
    **{
        ("wood", mould): Pair(SEAL, _FIBRES, WAX_WOOD, f"{BARE_METAL}; {LATEX_DIRECT}")
        for mould in (
            "plaster",
            "tin silicone",
            "platinum silicone",
            "urethane rubber",
            "latex skin",
        )
    },
    # Wax
    **{
        ("wax", mould): Pair(
            YES,
            "Wax parts from it.",
            "What is poured over it stays cooler than the wax softens.",
            MEMORY,
        )
        for mould in (
            "plaster",
            "tin silicone",
            "platinum silicone",
            "urethane rubber",
            "latex skin",
        )
    },
    # Epoxy, fresh paint, print resin
    ("fresh resin", "plaster"): Pair(
        YES, "Plaster does not mind it.", "Use a release agent.", COMMON
    ),
    ("fresh resin", "tin silicone"): Pair(
        YES, "Tin silicone is not poisoned by it.", "", SILICONES
    ),
    ("fresh resin", "platinum silicone"): Pair(
        NO,
        "Amines and resin or paint that is not fully cured poison platinum silicone.",
        "Let it cure fully, then test a patch; or take tin silicone.",
        f"{SILICONES}; {TECHSIL}",
    ),
    ("fresh resin", "urethane rubber"): Pair(
        TEST, "What is not cured can stop the rubber.", "A patch for its full time.", COMMON
    ),
    ("fresh resin", "latex skin"): Pair(
        YES, "Latex dries on it.", "Only when it is fully cured.", COMMON
    ),
    # Rubber
    ("rubber", "plaster"): Pair(YES, "Plaster does not mind it.", "", COMMON),
    ("rubber", "tin silicone"): Pair(YES, "Tin silicone is not poisoned by it.", "", TECHSIL),
    ("rubber", "platinum silicone"): Pair(
        NO,
        "Natural rubber and neoprene poison platinum silicone.",
        "Take tin silicone or plaster.",
        TECHSIL,
    ),
    ("rubber", "urethane rubber"): Pair(
        TEST, "Rubber parts vary.", "A patch for its full time.", COMMON
    ),
    ("rubber", "latex skin"): Pair(NO, BOND, "Mould it in plaster or tin silicone.", COMMON),
    # Cured silicones
    ("tin silicone", "plaster"): Pair(YES, "Silicone parts from plaster.", "", COMMON),
    ("tin silicone", "tin silicone"): Pair(
        NO, BOND, "Mould it in plaster, urethane rubber or latex.", SILICONES
    ),
    ("tin silicone", "platinum silicone"): Pair(
        NO,
        "Tin salts poison platinum silicone.",
        "Mould it in plaster or urethane rubber.",
        f"{SILICONES}; {SMOOTH_ON}",
    ),
    ("tin silicone", "urethane rubber"): Pair(YES, "Silicone parts from urethane.", "", COMMON),
    ("tin silicone", "latex skin"): Pair(YES, "Silicone parts from latex.", "", COMMON),
    ("platinum silicone", "plaster"): Pair(YES, "Silicone parts from plaster.", "", COMMON),
    ("platinum silicone", "tin silicone"): Pair(
        NO,
        "The two families of silicone stop each other in either order.",
        "Mould it in plaster or urethane rubber.",
        f"{SILICONES}; {SMOOTH_ON}",
    ),
    ("platinum silicone", "platinum silicone"): Pair(
        NO, BOND, "Mould it in plaster, urethane rubber or latex.", SILICONES
    ),
    ("platinum silicone", "urethane rubber"): Pair(
        YES, "Silicone parts from urethane.", "", COMMON
    ),
    ("platinum silicone", "latex skin"): Pair(YES, "Silicone parts from latex.", "", COMMON),
}
