"""What a mould does with a casting material: the table of pairs that are known."""

from __future__ import annotations

from builds.core.casting.pairs import (
    BOND,
    CERAMIC_ARTS,
    DAVID_NEAT,
    LATEX_DIRECT,
    MARIO,
    MILLLANE,
    NO,
    POLYTEK,
    PUPPETWIZ,
    SAGECRAFT,
    SEAL,
    SMOOTH_CAST,
    SOAP,
    TEST,
    YES,
    Pair,
    Table,
)
from builds.core.casting.values import COMMON

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
    ("latex skin", "latex slip"): Pair(NO, BOND, "Make a mould of bare plaster.", COMMON),
    ("latex skin", "brushed latex"): Pair(NO, BOND, "Make a mould of plaster or silicone.", COMMON),
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
