"""A pair of materials: whether one sets against the other, why, the way round, and who says so.

Two tables hold those that are known: `pairs_of_sculpts` and `pairs_of_casts`. What stands in
neither is not known. Sources are addresses of makers' pages; 'common practice' where no published
one was found.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

from builds.core.casting.values import COMMON


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
BOND = "The two bond and never part."
