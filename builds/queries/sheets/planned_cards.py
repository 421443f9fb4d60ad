"""Which moulds and pours a plan still holds, each with all that its card asks for."""

from __future__ import annotations

from dataclasses import dataclass

from builds.models import Mould, Plan, PlannedStep, Pour, StageAfter
from builds.models.routes import Scope
from builds.queries.sheets.casting_cards import CardDesk, CastingCard, mould_card, pour_card
from scenes.models import Show

MOULD_ROWS = (
    "pattern__show__company",
    "pattern__made_for__character",
    "amounts",
)


def read_mould(pk: int) -> Mould:
    """A mould with all that its card asks for."""
    found: Mould = Mould.objects.select_related(*MOULD_ROWS).get(pk=pk)
    return found


def read_pours(pks: list[int]) -> list[Pour]:
    """Pours with all that their cards ask for, in order."""
    rows = Pour.objects.filter(pk__in=pks).select_related(
        *(f"mould__{name}" for name in MOULD_ROWS)
    )
    return list(rows.prefetch_related("castings__figure", "castings__pattern"))


def planned_row(plan: Plan | None, **step: object) -> PlannedStep | None:
    """The first part of a step in the plan, by what the step is of."""
    if plan is None:
        return None
    rows = PlannedStep.objects.filter(
        plan=plan, step__struck_at=None, **{f"step__{name}": value for name, value in step.items()}
    )
    return rows.select_related("maker", "second", "step__stage").order_by("start").first()


@dataclass(frozen=True, slots=True)
class PlannedCard:
    """A pour or a mould that the plan still holds: what its paper is called, whose, when."""

    pour: Pour | None
    mould: Mould
    row: PlannedStep

    @property
    def words(self) -> str:
        """'Pour 3 of Jory Tarrow at nine, head'."""
        if self.pour is not None:
            return f"Pour {self.pour.number} of {self.mould.pattern.name}"
        return f"Mould {self.mould.number} of {self.mould.pattern.name}"

    @property
    def file_name(self) -> str:
        """What its PDF is called."""
        return mould_file(self.mould) if self.pour is None else pour_file(self.pour)


def mould_file(mould: Mould) -> str:
    """'mould-JORY60-1.pdf'."""
    return f"mould-{_plain(mould.pattern.code)}-{mould.number}.pdf"


def pour_file(pour: Pour) -> str:
    """'pour-JORY60-1-3.pdf': the mould's number, then the pour's."""
    code = _plain(pour.mould.pattern.code)
    return f"pour-{code}-{pour.mould.number}-{pour.number}.pdf"


def _plain(code: str) -> str:
    return "".join(c if c.isalnum() else "-" for c in code)


def planned_cards(show: Show, rows: list[PlannedStep]) -> list[PlannedCard]:
    """A card for each pour and each mould in the rows of a plan, in their order.

    Six queries, whatever the rows.
    """
    making = moulding_stages(show)
    first = {row.step_id: row for row in reversed(rows)}
    pours = {
        pour.pk: pour
        for pour in read_pours([r.step.pour_id for r in first.values() if r.step.pour_id])
        if pour.struck_at is None
    }
    moulds = list(
        Mould.objects.filter(pattern__show=show)
        .exclude(state=Mould.State.RETIRED)
        .select_related(*MOULD_ROWS)
        .order_by("number")
    )
    by_pk = {mould.pk: mould for mould in moulds}
    newest = {mould.pattern_id: mould for mould in moulds}
    cards = []
    for row in sorted(first.values(), key=lambda row: (row.start, row.pk)):
        step = row.step
        pour = pours.get(step.pour_id or 0)
        if pour is not None:
            cards.append(PlannedCard(pour, pour.mould, row))
            continue
        is_making = step.pattern_id is not None and step.stage_id in making
        mould = by_pk.get(step.mould_id or 0) or (
            newest.get(step.pattern_id or 0) if is_making else None
        )
        if mould is not None:
            cards.append(PlannedCard(None, mould, row))
    return cards


def draw_card(card: PlannedCard, desk: CardDesk) -> CastingCard:
    """The card of a planned pour or mould."""
    if card.pour is not None:
        return pour_card(card.pour, desk, card.row)
    return mould_card(card.mould, desk, card.row)


def moulding_stages(show: Show) -> set[int]:
    """Ids of the stages that make a mould: done for a part, and waited for by its pour."""
    rows = StageAfter.objects.filter(
        stage__scope=Scope.POUR,
        after__scope=Scope.GUISE,
        stage__route__company=show.company_id,
    )
    return set(rows.values_list("after_id", flat=True))
