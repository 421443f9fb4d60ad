"""The pairs of materials that are known: what sets against what, why, and the way round.

Two tables: a sculpt in a mould material, and a mould with a casting material. What stands in
neither is not known. Sources are addresses of makers' pages; 'common practice' where no published
one was found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from builds.core.casting.values import COMMON, MEMORY


class Verdict(StrEnum):
    """Whether one material sets against another."""

    YES = "yes"
    SEAL = "seal first"
    TEST = "test a patch"
    UNKNOWN = "not known"
    NO = "no"


@dataclass(frozen=True, slots=True)
class Pair:
    """A verdict with its reason, and what to do: the way round, or how to do it right."""

    verdict: Verdict
    reason: str
    way: str = ""
    source: str = COMMON


YES, SEAL, TEST, NO = Verdict.YES, Verdict.SEAL, Verdict.TEST, Verdict.NO
Table = Mapping[tuple[str, str], Pair]

SMOOTH_ON = "smooth-on.com/support/faq/129"
REYNOLDS = "reynoldsam.com tin and platinum FAQ"
ARCHITECTURE = "architectureanddesign.com.au brush latex"
LATEX_DIRECT = "liquidlatexdirect.com"
SILICONES = "siliconesandmore.com"
TECHSIL = "techsil.co.uk list of inhibitors"
BARE_METAL = "bare-metal.com poly 74/75"
POLYTEK = "polytek.com plaster page"
SAGECRAFT = "sagecraft.com neoprene page"
MARIO = "artbymariodonk.com paperpulp"
DAVID_NEAT = "davidneat.wordpress.com"
MILLLANE = "blog.milllanestudio.com, 19 Apr 2021"
SMOOTH_CAST = "smooth-on.com smooth-cast-310; smooth-on.com.cn Brush-On; bare-metal.com"
PUPPETWIZ = "simplybible.com/puppetwiz12"
CERAMIC_ARTS = "ceramicartsnetwork.org; bare-metal.com poly 74/75"

SOAP = "Lather soft soap on the damp face, rinse, repeat and polish, before the second pour."
SEAL_WELL = "A full coat of acrylic or shellac, let it dry, then a release agent."
WAX_WOOD = "Paste wax, lacquer or shellac until no fibre stands up, then a release agent."
PLASTER_INSTEAD = "Mould it in plaster, or seal it well and take tin silicone."

_SULPHUR = "Sulphur keeps rubber and silicone from curing at the surface."
_WET = "The water in the clay disturbs the cure."
_FIBRES = "The fibres of the wood grip."
_BOND = "The two bond and never part."
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
    ("rubber", "latex skin"): Pair(NO, _BOND, "Mould it in plaster or tin silicone.", COMMON),
    # Cured silicones
    ("tin silicone", "plaster"): Pair(YES, "Silicone parts from plaster.", "", COMMON),
    ("tin silicone", "tin silicone"): Pair(
        NO, _BOND, "Mould it in plaster, urethane rubber or latex.", SILICONES
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
        NO, _BOND, "Mould it in plaster, urethane rubber or latex.", SILICONES
    ),
    ("platinum silicone", "urethane rubber"): Pair(
        YES, "Silicone parts from urethane.", "", COMMON
    ),
    ("platinum silicone", "latex skin"): Pair(YES, "Silicone parts from latex.", "", COMMON),
}

_DRINKS = "It needs bare plaster that drinks, and a dry mould of it is that."
_CANNOT_DRINK = "Sealed plaster cannot drink, so no wall builds up."
_SLIP_IN_RUBBER = "Rubber does not drink: poured slip builds no wall."
_BRUSH = "Brush it in thin layers instead."
_SHORTENS = "Epoxy wears silicone faster than other resins: the mould lasts less long."
_SLOW = "It sets, but slowly: the water can leave on one side only."
_WARM = "Give it warmth and moving air, and wait until it is bone dry."
_SOLVENT = "The solvent goes for the rubber."
_EVERY_PULL = "Release agent at every pull."

MOULD_WITH_CAST: Table = {
    # Bare dry plaster
    ("plaster", "latex slip"): Pair(
        YES,
        _DRINKS,
        "No oil, no wax; at most a dust of talc.",
        f"{SAGECRAFT}; puppetmuseum.com Workshop10",
    ),
    ("plaster", "neoprene slip"): Pair(
        YES, _DRINKS, "No grease: it will not set against oil.", SAGECRAFT
    ),
    ("plaster", "paper strips"): Pair(
        YES, "The plaster takes the water.", "First a layer of plain wet paper or tissue.", COMMON
    ),
    ("plaster", "paper pulp"): Pair(
        YES, "The plaster must drink.", "No release agent at all.", MARIO
    ),
    ("plaster", "wood filler"): Pair(
        SEAL, "It grips bare plaster.", "Shellac, then wax, before it is pressed in.", COMMON
    ),
    ("plaster", "urethane resin"): Pair(
        NO,
        "On damp or bare plaster urethane foams and bonds.",
        "Take a silicone mould; or dry the plaster to the bone, seal it, and use a release agent.",
        SMOOTH_CAST,
    ),
    ("plaster", "epoxy resin"): Pair(
        SEAL, "Epoxy soaks in and bonds.", "Seal the plaster, then a release agent.", COMMON
    ),
    ("plaster", "plaster"): Pair(SEAL, "Plaster sticks to plaster.", SOAP, CERAMIC_ARTS),
    # Sealed plaster
    ("sealed plaster", "latex slip"): Pair(
        NO, _CANNOT_DRINK, "Make a mould of bare plaster.", f"{SAGECRAFT}; {MARIO}"
    ),
    ("sealed plaster", "neoprene slip"): Pair(
        NO, _CANNOT_DRINK, "Make a mould of bare plaster.", f"{SAGECRAFT}; {MARIO}"
    ),
    ("sealed plaster", "paper strips"): Pair(YES, "Paper comes off sealed plaster.", _WARM, COMMON),
    ("sealed plaster", "paper pulp"): Pair(YES, _SLOW, _WARM, COMMON),
    ("sealed plaster", "wood filler"): Pair(
        YES, "It parts from sealed plaster.", _EVERY_PULL, COMMON
    ),
    ("sealed plaster", "urethane resin"): Pair(
        TEST,
        "It sets well only where the plaster below the seal is bone dry.",
        "A patch first, and a release agent at every pull.",
        COMMON,
    ),
    ("sealed plaster", "epoxy resin"): Pair(
        YES, "It parts from sealed plaster.", _EVERY_PULL, COMMON
    ),
    ("sealed plaster", "plaster"): Pair(YES, "It parts with soap.", SOAP, COMMON),
    # Tin silicone
    ("tin silicone", "latex slip"): Pair(NO, _SLIP_IN_RUBBER, _BRUSH, COMMON),
    ("tin silicone", "brushed latex"): Pair(
        YES, "Latex dries in thin layers.", "8 to 20 thin coats.", COMMON
    ),
    ("tin silicone", "neoprene slip"): Pair(
        NO, _SLIP_IN_RUBBER, "Make a mould of bare plaster.", COMMON
    ),
    ("tin silicone", "paper strips"): Pair(YES, _SLOW, _WARM, COMMON),
    ("tin silicone", "paper pulp"): Pair(
        YES, "It dries in about 24 h where it is warm.", _WARM, PUPPETWIZ
    ),
    ("tin silicone", "wood filler"): Pair(YES, "It parts from silicone.", "", COMMON),
    ("tin silicone", "urethane resin"): Pair(
        YES,
        "The best pair for resin.",
        "No release agent needed, but one helps the mould last.",
        DAVID_NEAT,
    ),
    ("tin silicone", "epoxy resin"): Pair(YES, _SHORTENS, "Release agent helps.", MILLLANE),
    ("tin silicone", "plaster"): Pair(YES, "It parts from silicone.", "", COMMON),
    # Platinum silicone
    ("platinum silicone", "latex slip"): Pair(NO, _SLIP_IN_RUBBER, _BRUSH, COMMON),
    ("platinum silicone", "brushed latex"): Pair(
        YES,
        "Latex dries in thin layers.",
        "Keep that mould for latex alone: rubber left in it poisons the silicone.",
        COMMON,
    ),
    ("platinum silicone", "neoprene slip"): Pair(
        NO, _SLIP_IN_RUBBER, "Make a mould of bare plaster.", COMMON
    ),
    ("platinum silicone", "paper strips"): Pair(YES, _SLOW, _WARM, COMMON),
    ("platinum silicone", "paper pulp"): Pair(YES, "It dries where it is warm.", _WARM, COMMON),
    ("platinum silicone", "wood filler"): Pair(YES, "It parts from silicone.", "", COMMON),
    ("platinum silicone", "urethane resin"): Pair(
        YES, "It parts from silicone.", "A release agent helps the mould last.", COMMON
    ),
    ("platinum silicone", "epoxy resin"): Pair(YES, _SHORTENS, "Release agent helps.", MILLLANE),
    ("platinum silicone", "plaster"): Pair(YES, "It parts from silicone.", "", COMMON),
    # Urethane rubber
    ("urethane rubber", "latex slip"): Pair(NO, _SLIP_IN_RUBBER, _BRUSH, COMMON),
    ("urethane rubber", "brushed latex"): Pair(
        YES, "Latex dries in thin layers.", "8 to 20 thin coats.", COMMON
    ),
    ("urethane rubber", "neoprene slip"): Pair(
        NO, _SLIP_IN_RUBBER, "Make a mould of bare plaster.", COMMON
    ),
    ("urethane rubber", "paper strips"): Pair(YES, _SLOW, _WARM, COMMON),
    ("urethane rubber", "paper pulp"): Pair(YES, _SLOW, _WARM, COMMON),
    ("urethane rubber", "wood filler"): Pair(TEST, _SOLVENT, "A patch; or take silicone.", COMMON),
    ("urethane rubber", "urethane resin"): Pair(
        YES, "It parts as long as the release agent is fresh.", _EVERY_PULL, COMMON
    ),
    ("urethane rubber", "epoxy resin"): Pair(
        YES, "It parts as long as the release agent is fresh.", _EVERY_PULL, COMMON
    ),
    ("urethane rubber", "plaster"): Pair(
        YES, "It often parts without any release agent.", "", POLYTEK
    ),
    # Brushed latex in a plaster case
    ("latex skin", "latex slip"): Pair(NO, _BOND, "Make a mould of bare plaster.", COMMON),
    ("latex skin", "brushed latex"): Pair(
        NO, _BOND, "Make a mould of plaster or silicone.", COMMON
    ),
    ("latex skin", "neoprene slip"): Pair(
        NO, _SLIP_IN_RUBBER, "Make a mould of bare plaster.", COMMON
    ),
    ("latex skin", "paper strips"): Pair(YES, _SLOW, _WARM, COMMON),
    ("latex skin", "paper pulp"): Pair(YES, _SLOW, _WARM, COMMON),
    ("latex skin", "wood filler"): Pair(NO, _SOLVENT, "Take a silicone mould.", COMMON),
    ("latex skin", "urethane resin"): Pair(
        TEST,
        "It serves for a few castings only.",
        "A patch, and a release agent at every pull.",
        LATEX_DIRECT,
    ),
    ("latex skin", "epoxy resin"): Pair(
        TEST,
        "It serves for a few castings only.",
        "A patch, and a release agent at every pull.",
        LATEX_DIRECT,
    ),
    ("latex skin", "plaster"): Pair(YES, "The usual pair.", "", LATEX_DIRECT),
}
