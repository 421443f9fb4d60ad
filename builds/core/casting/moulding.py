"""What moulds are made of."""

from __future__ import annotations

from builds.core.casting.values import (
    COMMON,
    MEMORY,
    Care,
    Kind,
    Mark,
    Material,
    Mix,
    Span,
    Times,
)

HOUR, DAY = 60, 24 * 60

_PLASTER = Care(
    "Never put a hand, a finger or any part of a body into setting plaster: a thick mass can "
    "reach 60 °C, and skin is harmed from about 45 °C if contact lasts (nsead.org, plaster of "
    "Paris). Powder into water, never the other way. Mask on while it is dry: dust, and some "
    "plasters hold silica. Nothing down the sink.",
    "waterproof gloves while mixing",
)
_TIN = Care(
    "Window open. The catalyst is harmful: no skin contact, goggles for pouring it.",
    "nitrile or vinyl",
)
_PLATINUM = Care(
    "Latex gloves and natural-rubber brushes keep it from curing; nitrile is on one maker's list "
    "too, so patch-test the gloves (docslib.org/doc/2916404; techsil.co.uk).",
    "vinyl or polythene, never latex",
)
_URETHANE = Care(
    "Urethane holds isocyanates, which can give you asthma for life (hse.gov.uk RR1199): "
    "extraction or forced ventilation, goggles, no spraying; anyone with asthma stays out.",
    "nitrile",
    frozenset({Mark.UNDER_18}),
)
LATEX = Care(
    "Liquid latex gives off ammonia: window open or extraction on. It can set off a violent "
    "allergy: ask everyone who will touch it, performers too.",
    "gloves without latex: nitrile or vinyl",
    frozenset({Mark.LATEX_ALLERGY}),
)

_PLASTER_TIMES = Times(
    pot_min=10,
    open_min=45,
    ready_min=5 * DAY,
    words="Soak 2 to 3 minutes, mix about 3; it sets in 14 to 24 min machine-mixed, longer by "
    "hand, and the standard allows 10 to 50. Open while it is warm. Dry for 5 days at 20 °C with "
    "moving air, never less than 3; held to the cheek it must not feel cool.",
    source="set: ASTM C59/C59M-00 5.1.1, sculpt.com catalog_98; opening: seniorcare2share.com; "
    "drying: ourpastimes.com, 5 days common practice",
)
# The maker's mix for moulds that must drink: 70 parts of water to 100 of plaster.
_PLASTER_MIX = Mix(
    ("plaster", "water"), (100, 70), "weight", "plaster.com/mixing; sheffield-pottery.com"
)
_PLASTER_DENSITY = Span(1.586, 1.563, 1.602, "wet 99 lb/ft3 at consistency 70: plaster.com/mixing")
_PLASTER_TEMPERATURE = (
    "Water at 21 to 38 °C; warmer sets faster. Dry below about 49 °C: hotter and it turns powdery."
)

MOULDING: tuple[Material, ...] = (
    Material(
        "plaster",
        "bare plaster",
        Kind.MOULD,
        _PLASTER,
        density=_PLASTER_DENSITY,
        shrinkage=Span(
            -0.0021, -0.0021, 0.0, "setting expansion at most 0.21 %: sheffield-pottery.com"
        ),
        mix=_PLASTER_MIX,
        times=_PLASTER_TIMES,
        life=Span(30, 20, 120, "30 for latex and neoprene " + COMMON + "; 60 to 120 " + MEMORY),
        wall="25 to 40 mm",
        temperature=_PLASTER_TEMPERATURE,
    ),
    Material(
        "sealed plaster",
        "sealed plaster",
        Kind.MOULD,
        _PLASTER,
        density=_PLASTER_DENSITY,
        mix=_PLASTER_MIX,
        times=_PLASTER_TIMES,
        life=Span(30, 20, 120, COMMON),
        wall="25 to 40 mm",
        temperature=_PLASTER_TEMPERATURE,
    ),
    Material(
        "tin silicone",
        "tin silicone",
        Kind.MOULD,
        _TIN,
        density=Span(1.08, 1.07, 1.09, "kb.hairquip.nz StmproX50"),
        shrinkage=Span(
            0.0003,
            0.0,
            0.01,
            "below 0.03 % as claimed: kb.hairquip.nz; rises in store: reynoldsam.com",
        ),
        mix=Mix(("rubber", "catalyst"), (100, 5), "weight", "davidneat.wordpress.com, 5 to 10 %"),
        times=Times(
            pot_min=20,
            open_min=DAY,
            words="20 to 25 min to work with; 12 to 24 h to cure at about 23 °C.",
            source="kb.hairquip.nz StmproX50; kangdesilicone.com",
        ),
        life=Span(30, 20, 50, "rigid urethane resin, " + COMMON),
        temperature="About 23 °C; colder cures slower.",
    ),
    Material(
        "platinum silicone",
        "platinum silicone",
        Kind.MOULD,
        _PLATINUM,
        density=Span(1.1, 1.05, 1.2, MEMORY),
        shrinkage=Span(0.001, 0.0, 0.001, "much lower than tin: reynoldsam.com; figure " + MEMORY),
        mix=Mix(("part A", "part B"), (1, 1), "weight", "typical, " + MEMORY),
        times=Times(
            pot_min=6,
            open_min=6 * HOUR,
            words="Fast grades leave 6 min to pour and cure in 30; ordinary ones take 4 to 6 h "
            "at about 23 °C.",
            source="2storyprops.blogspot.com, 25 Jul 2011; kangdesilicone.com",
        ),
        life=Span(50, 30, 100, "rigid urethane resin, " + COMMON),
        temperature="About 23 °C; warmth speeds it.",
    ),
    Material(
        "urethane rubber",
        "urethane rubber",
        Kind.MOULD,
        _URETHANE,
        density=Span(1.05, 1.0, 1.1, MEMORY),
        times=Times(
            words="Pot life and cure by the data sheet of the very product.", source=MEMORY
        ),
        temperature="Keep it dry: urethane takes up moisture and foams.",
    ),
    Material(
        "latex skin",
        "brushed latex in a plaster case",
        Kind.MOULD,
        LATEX,
        density=Span(0.95, 0.92, 1.0, "cameo.mfa.org"),
        times=Times(
            ready_min=DAY,
            words="8 to 20 thin coats about an hour apart; it will not cure thick.",
            source="liquidlatexdirect.com; last drying " + COMMON,
        ),
        measured_by="volume",
        wall="1 to 3 mm",
    ),
)
