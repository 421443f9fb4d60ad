"""What heads, hands and feet are cast in."""

from __future__ import annotations

from builds.core.casting.moulding import DAY, HOUR, LATEX
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
    exactly,
)

# Of what is filled in about a quarter stays: a gallon makes four to five heads at 30 inches.
SLIP_STAYS = 0.25
ONE_A_DAY = DAY
# Wet casts draw slower: a day of drying after every five (hot-clay.com; tikicentral.com 378070).
DRY_EVERY = 5

_SLIP_STORE = "Must not freeze, in transit either: buy before winter (puppetmuseum.com Workshop39)."
_NEOPRENE = Care(
    "Casting slip gives off vapour, some of it ammonia: window open or extraction on. No brass, "
    "no copper and no silvered trim beside rubber for long.",
    "nitrile or vinyl",
)
_RESIN = Care(
    "Urethane resin holds isocyanates, which can give you asthma for life (hse.gov.uk RR1199): "
    "extraction or forced ventilation, goggles, no spraying, no sanding of soft castings; anyone "
    "with asthma stays out. What is left in the pot can reach boiling heat: small batches, the "
    "pot on a heat-proof tray.",
    "nitrile",
    frozenset({Mark.UNDER_18}),
)
_EPOXY = Care(
    "Epoxy can make you allergic for life, sometimes after one contact (hse.gov.uk RR79): no skin "
    "contact, no solvent on skin, no sanding for about a week.",
    "nitrile, changed often; latex and neoprene gloves do not protect",
    frozenset({Mark.UNDER_18}),
)
_PAPER = Care("Paper and paste: fungicide in wallpaper paste, so wash hands; mask for sanding.")
_FILLER = Care(
    "Solvent vapour burns: no flame, window open, rags into a lidded metal bin and out of the "
    "house each day. Mask and extraction for sanding.",
    "nitrile",
)
_PLASTER = Care(
    "Never put a hand, a finger or any part of a body into setting plaster: a thick mass can "
    "reach 60 °C (nsead.org, plaster of Paris). Powder into water; mask while it is dry; nothing "
    "down the sink.",
    "waterproof gloves while mixing",
)

POURING: tuple[Material, ...] = (
    Material(
        "latex slip",
        "latex slip",
        Kind.CAST,
        LATEX,
        density=Span(0.95, 0.92, 1.0, "natural rubber: cameo.mfa.org"),
        shrinkage=Span(0.05, 0.03, 0.10, MEMORY + ", no measured figure found: pour a trial bar"),
        times=Times(
            top_up_min=20,
            drain_min=HOUR,
            open_min=14 * HOUR,
            ready_min=8 * HOUR,
            rest_min=ONE_A_DAY,
            words="About 1 h in the mould for an average mask, 3 h for a thick one; then overnight "
            "or longer with a fan before it comes out.",
            source="hauntful.100free.com mask page 3; hardening and rest " + COMMON,
        ),
        measured_by="volume",
        stays=SLIP_STAYS,
        wall="30 min give at least 1 mm dry (dalchem.com.au, slip casting of latex)",
        temperature=_SLIP_STORE,
        dry_every=DRY_EVERY,
        is_slip=True,
    ),
    Material(
        "neoprene slip",
        "neoprene slip",
        Kind.CAST,
        _NEOPRENE,
        density=Span(1.3, 1.2, 1.4, "dry, " + MEMORY),
        shrinkage=exactly(0.10, "sagecraft.com/puppetry/building/neoprene"),
        times=Times(
            top_up_min=20,
            drain_min=4 * HOUR,
            open_min=8 * HOUR,
            ready_min=8 * HOUR,
            rest_min=ONE_A_DAY,
            words="Top up for 20 min. 4 h give about 3.2 mm, 6 h a big shell; 5 h for a head of "
            "5 in. Open about 8 h after draining or next morning; soft for the first hour, hard "
            "after several.",
            source="sagecraft.com/puppetry/building/neoprene; puppetmuseum.com Workshop10, "
            "Workshop40",
        ),
        measured_by="volume",
        stays=SLIP_STAYS,
        wall="3.2 mm after 4 h",
        temperature=_SLIP_STORE,
        dry_every=DRY_EVERY,
        is_slip=True,
    ),
    Material(
        "brushed latex",
        "latex brushed in layers",
        Kind.CAST,
        LATEX,
        density=Span(0.95, 0.92, 1.0, "natural rubber: cameo.mfa.org"),
        shrinkage=Span(0.05, 0.03, 0.10, MEMORY),
        times=Times(
            open_min=DAY,
            rest_min=ONE_A_DAY,
            words="8 to 20 thin coats about an hour apart; never thick, it will not cure.",
            source="liquidlatexdirect.com; opening " + COMMON,
        ),
        measured_by="volume",
        wall="1 to 3 mm",
        shell_mm=2,
        temperature=_SLIP_STORE,
    ),
    Material(
        "paper strips",
        "paper strips and paste",
        Kind.CAST,
        _PAPER,
        density=Span(0.65, 0.5, 0.8, MEMORY),
        shrinkage=Span(
            0.02, 0.0, 0.05, "small but real: driftline.org puptcrit.0810; figure " + MEMORY
        ),
        times=Times(
            open_min=DAY,
            rest_min=ONE_A_DAY,
            words="4 to 8 layers in a day with a fan; out of the mould only when bone dry, or it "
            "warps.",
            source="maryrobinettekowal.com; driftline.org puptcrit.0810; makingweirdstuff."
            "blogspot.co.uk, 27 Apr 2009",
        ),
        wall="1.5 to 3 mm",
        shell_mm=2,
    ),
    Material(
        "paper pulp",
        "paper pulp",
        Kind.CAST,
        _PAPER,
        density=Span(0.55, 0.4, 0.7, MEMORY),
        shrinkage=exactly(0.10, "simplybible.com/puppetwiz12, about a tenth"),
        times=Times(
            open_min=DAY,
            rest_min=ONE_A_DAY,
            words="A 3 mm wall dries within 24 h in warm air or sun.",
            source="simplybible.com/puppetwiz12",
        ),
        wall="3 mm",
        shell_mm=3,
    ),
    Material(
        "wood filler",
        "solvent wood filler",
        Kind.CAST,
        _FILLER,
        density=Span(1.0, 0.8, 1.2, COMMON),
        shrinkage=Span(0.05, 0.03, 0.10, COMMON),
        times=Times(
            open_min=DAY,
            rest_min=ONE_A_DAY,
            words="Pressed 3 to 5 mm thick, 24 h a layer. Newer fillers may crumble: try first.",
            source=COMMON + "; ventriloquistcentralblog.com on newer fillers",
        ),
        wall="3 to 5 mm",
        shell_mm=4,
    ),
    Material(
        "urethane resin",
        "urethane resin",
        Kind.CAST,
        _RESIN,
        density=exactly(1.05, "1050 kg/m3: knowde.com smooth-cast-310"),
        shrinkage=Span(
            0.01, 0.005, 0.01, MEMORY + "; large masses shrink more: issuu.com fibreglassshop"
        ),
        mix=Mix(
            ("part A", "part B"),
            (100, 90),
            "weight",
            "1:1 by volume, 100:90 by weight: smooth-on.com smooth-cast-310",
            least_g=100,
        ),
        times=Times(
            pot_min=3,
            open_min=10,
            ready_min=DAY,
            words="2 to 3 min in the pot, out after 10 min in the standard speed (others 4 min to "
            "4 h), full strength after about a day.",
            source="smooth-on.com smooth-cast-310; ehow.co.uk 6797565; maximumpc.com",
        ),
        temperature="Room below 50 % humidity; plastic cups with straight sides, no paper cups "
        "and no wooden sticks (jgreer.com casting-resin).",
    ),
    Material(
        "epoxy resin",
        "epoxy casting resin",
        Kind.CAST,
        _EPOXY,
        density=Span(1.15, 1.1, 1.2, MEMORY),
        shrinkage=Span(0.003, 0.001, 0.005, MEMORY),
        times=Times(
            pot_min=20,
            open_min=DAY,
            ready_min=7 * DAY,
            words="20 to 60 min in the pot, out after 12 to 24 h, cured after 3 to 7 days. Parts "
            "by weight as the label says.",
            source="aeroglisseur.com (cure, sanding); rest " + MEMORY,
        ),
    ),
    Material(
        "epoxy putty",
        "epoxy putty",
        Kind.CAST,
        _EPOXY,
        density=Span(1.7, 1.5, 1.9, MEMORY),
        shrinkage=exactly(0.0, "negligible, " + MEMORY),
        mix=Mix(("part A", "part B"), (1, 1), "volume", MEMORY),
        times=Times(
            pot_min=HOUR, open_min=14 * HOUR, words="Kneaded 1:1; hard overnight.", source=MEMORY
        ),
    ),
    Material(
        "plaster",
        "plaster",
        Kind.CAST,
        _PLASTER,
        density=Span(1.586, 1.563, 1.602, "wet 99 lb/ft3 at consistency 70: plaster.com/mixing"),
        shrinkage=exactly(
            -0.002, "expands about 0.2 %: sculpt.com catalog_98, sheffield-pottery.com"
        ),
        mix=Mix(
            ("plaster", "water"), (100, 70), "weight", "plaster.com/mixing; sheffield-pottery.com"
        ),
        times=Times(
            pot_min=10,
            open_min=HOUR,
            ready_min=4 * DAY,
            words="Out after about an hour, dry after 3 to 4 days in the air. Heavy and brittle "
            "for a marionette.",
            source="seniorcare2share.com; ourpastimes.com; weight " + COMMON,
        ),
        wall="10 mm at least where hollow",
    ),
)
