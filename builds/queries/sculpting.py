"""At what size to sculpt: by the shrinkage of what the pattern is cast in."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.casting.shrinkage import SculptScale
from builds.core.casting.values import Kind
from builds.models import Mould, Part, Pattern
from builds.queries.materials import Materials
from company.core.measures import format_length
from company.models import Company
from scenes.models import Show

EXAMPLE_MM = 200


@dataclass(frozen=True)
class SculptAt:
    """The scale for one pattern, and what it is cast in."""

    scale: SculptScale
    material: str
    is_trial: bool = False

    @property
    def factor(self) -> float:
        """The wanted size times this."""
        return self.scale.factor

    def words(self, company: Company, wanted_mm: int | None = None) -> str:
        """'sculpt at 111.1 %: 200 mm becomes 222 mm (neoprene slip shrinks 10 %)'."""
        wanted = wanted_mm or EXAMPLE_MM
        return (
            f"sculpt at {self.scale.percent}: {_length(company, wanted)} becomes "
            f"{_length(company, self.scale.sculpt_mm(wanted))} ({self.reason})"
        )

    def range_words(self, company: Company, wanted_mm: int | None = None) -> str:
        """'230 to 239 mm by the range of the material', or '' where one number is known."""
        if not self.scale.is_range:
            return ""
        low, high = self.scale.range_mm(wanted_mm or EXAMPLE_MM)
        if low == high:
            return ""
        return (
            f"Between {_length(company, low)} and {_length(company, high)} by the range that is "
            "told of this material: a trial bar says which."
        )

    @property
    def reason(self) -> str:
        """'neoprene slip shrinks 10 %'."""
        share = self.scale.shrinkage
        does = "shrinks" if share >= 0 else "grows"
        by = "by its trial bar" if self.is_trial else ""
        return " ".join(f"{self.material} {does} {abs(share) * 100:.3g} % {by}".split())


def sculpt_scale(pattern: Pattern, *, materials: Materials | None = None) -> SculptAt | None:
    """At what scale a pattern is sculpted; None where it is not said what it is cast in.

    It goes by the newest mould that is not retired. One query, two more for own materials.
    """
    mould = (
        Mould.objects.filter(pattern=pattern)
        .exclude(state=Mould.State.RETIRED)
        .order_by("-number")
        .first()
    )
    if mould is None:
        return None
    return sculpt_scale_of(mould, materials or Materials(pattern.show.company))


def sculpt_words(show: Show) -> dict[int, str]:
    """By pattern id: at what size it is sculpted, in a sentence; for sheets. One query.

    A head says its own height, other parts an example.
    """
    moulds = Mould.objects.filter(pattern__show=show).exclude(state=Mould.State.RETIRED)
    known = Materials(show.company)
    said: dict[int, str] = {}
    for mould in moulds.select_related("pattern__made_for").order_by("number"):
        at = sculpt_scale_of(mould, known)
        if at is not None:
            is_head = mould.pattern.part == Part.HEAD
            wanted_mm = mould.pattern.made_for.head_mm if is_head else None
            said[mould.pattern_id] = at.words(show.company, wanted_mm)
    return said


def sculpt_scale_of(mould: Mould, materials: Materials) -> SculptAt | None:
    """The same for a mould that is at hand."""
    material = materials.find(Kind.CAST, mould.casting_material)
    name = material.name if material else ""
    if mould.shrinkage_permille is not None:
        share = mould.shrinkage_permille / 1000
        return SculptAt(SculptScale(share, share, share), name or "the casting", is_trial=True)
    if material is None or material.shrinkage is None:
        return None
    span = material.shrinkage
    return SculptAt(SculptScale(span.usual, span.low, span.high), name)


def _length(company: Company, length_mm: int) -> str:
    return format_length(length_mm, is_metric=company.units == Company.Units.METRIC)
