"""What heads are sculpted in."""

from __future__ import annotations

from builds.core.casting.values import MEMORY, Care, Kind, Material, Span

_CLAY = Care(
    "Clay: wipe up wet, never sweep; the dust is bad for the lungs. Warm oil clay only in a "
    "water bath."
)
_RESIN = Care(
    "Fresh epoxy, paint and print resin can make you allergic for life: nitrile gloves, no skin "
    "contact until it is fully cured; mask and extraction when sanding.",
    "nitrile",
)
_RUBBER = Care("Rubber: keep it away from oils and out of the sun.", "nitrile or vinyl")
_NO_CARE = Care("")

SCULPTING: tuple[Material, ...] = (
    Material(
        "oil clay with sulphur",
        "oil clay with sulphur",
        Kind.SCULPT,
        _CLAY,
        density=Span(1.6, 1.4, 1.9, MEMORY),
        temperature="Softens warm: keep lamps away.",
    ),
    Material(
        "oil clay",
        "oil clay, free of sulphur",
        Kind.SCULPT,
        _CLAY,
        density=Span(1.6, 1.4, 1.9, MEMORY),
        temperature="Softens warm: keep lamps away.",
    ),
    Material(
        "water clay",
        "water clay, wet",
        Kind.SCULPT,
        _CLAY,
        density=Span(1.8, 1.7, 2.0, MEMORY),
        temperature="Must not dry or freeze before it is moulded.",
    ),
    Material(
        "plaster",
        "plaster model",
        Kind.SCULPT,
        Care("Plaster dust: mask when scraping and sanding."),
        density=Span(
            1.105,
            1.0,
            1.2,
            "dry set density 69 lb/ft3 at consistency 70: plaster.com/mixing, retold with "
            "the maker's table",
        ),
    ),
    Material(
        "wood",
        "bare wood",
        Kind.SCULPT,
        Care("Wood dust: extraction and mask; lime and balsa count as hardwoods."),
        density=Span(
            0.535,
            0.41,
            0.67,
            "lime 535 kg/m3: timbex.net/linden-timber; basswood 414: Wood Handbook figures",
        ),
    ),
    Material(
        "wax",
        "wax",
        Kind.SCULPT,
        Care("Melt wax only in a water bath, never over a flame; hot wax burns."),
        density=Span(0.9, 0.88, 0.98, MEMORY),
        temperature="Keep whatever is poured over it below its softening point.",
    ),
    Material(
        "fresh resin",
        "epoxy, fresh paint or print resin",
        Kind.SCULPT,
        _RESIN,
        density=Span(1.15, 1.1, 1.9, MEMORY),
    ),
    Material(
        "rubber",
        "natural rubber or neoprene",
        Kind.SCULPT,
        _RUBBER,
        density=Span(1.1, 0.92, 1.4, "natural rubber: cameo.mfa.org; neoprene from memory"),
    ),
    Material(
        "tin silicone",
        "cured tin silicone",
        Kind.SCULPT,
        _NO_CARE,
        density=Span(1.08, 1.07, 1.09, "kb.hairquip.nz StmproX50"),
    ),
    Material(
        "platinum silicone",
        "cured platinum silicone",
        Kind.SCULPT,
        _NO_CARE,
        density=Span(1.1, 1.05, 1.2, MEMORY),
    ),
)
