"""Figures that other shows of the company left over, offered where a new one would be made."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from builds.core.workshop import BODY, HANDS, HEAD
from builds.models import Figure
from builds.queries.bench_lines import NEW, BenchLine
from builds.queries.states import Use, read_pricing
from scenes.models import Guise, Show

MOST_OFFERS = 3  # for one line: the least work first


@dataclass(frozen=True)
class Offer:
    """A figure of another show that could play a track: which parts of it stay, what it takes."""

    figure: Figure
    use: Use
    kept: frozenset[str]

    @property
    def hours_min(self) -> int:
        """About how much work it asks for."""
        return self.use.over.to_come_min

    @property
    def words(self) -> str:
        """What of it stays as it is."""
        return "its head and body stay" if HEAD in self.kept else "its body stays"


def read_offers(show: Show, lines: Iterable[BenchLine]) -> dict[str, tuple[Offer, ...]]:
    """Offers by the key of the line, for lines that ask for a new figure. Two reads where none.

    A figure of the same role and guise by name keeps head, hands and body. One of the same kind
    keeps its body where both drawings say the same height; whether the posture fits is the
    lead's to see.
    """
    fresh = [line for line in lines if line.kind == NEW]
    if not fresh:
        return {}
    rows = Figure.objects.filter(
        show__company=show.company, state=Figure.State.SPARE, extent=Figure.Extent.WHOLE
    ).exclude(show=show)
    figures = list(rows.select_related("guise__character", "show__company").order_by("pk"))
    if not figures:
        return {}
    pricing = read_pricing(show.company, figures)
    offers: dict[str, tuple[Offer, ...]] = {}
    for line in fresh:
        wanted = pricing.wanted(line.guise, line.costumes)
        found = []
        for figure in figures:
            kept = parts_that_fit(figure.guise, line.guise)
            use = pricing.use(figure, line.guise, wanted, kept) if kept else None
            if use is not None and use.over.to_come_min < line.hours_min:
                found.append(Offer(figure, use, kept))
        found.sort(key=lambda offer: (offer.use.over.price_min, offer.figure.pk))
        offers[line.key] = tuple(found[:MOST_OFFERS])
    return offers


def parts_that_fit(theirs: Guise, ours: Guise) -> frozenset[str]:
    """What a figure of one show's guise brings along for another show's guise."""
    if theirs.kind != ours.kind:
        return frozenset()
    if (theirs.character.name_key, theirs.name_key) == (ours.character.name_key, ours.name_key):
        return frozenset({HEAD, HANDS, BODY})
    is_of_size = theirs.height_mm is not None and theirs.height_mm == ours.height_mm
    return frozenset({BODY}) if is_of_size else frozenset()
