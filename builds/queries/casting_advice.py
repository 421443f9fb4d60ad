"""What to say of one mould: will it set, sculpt at what size, what to weigh out and to mind."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.utils.text import capfirst

from builds.core.casting.amounts import (
    Amounts,
)
from builds.core.casting.values import Kind, Material
from builds.core.casting.will_it_set import Answer
from builds.models import Mould
from builds.queries.amount_words import Line, block_lines, part_lines, pour_lines
from builds.queries.materials import Materials, closed_words
from builds.queries.mould_amounts import amounts_of, wanted_size, worked_out
from builds.queries.sculpting import SculptAt, sculpt_scale_of
from company.models import Company
from company.templatetags.words import and_list, hours

LAST_WORD = "The maker's own data sheet and your local rules come first."
DAY_MIN = 24 * 60


@dataclass(frozen=True)
class Caution:
    """What to mind with one material."""

    name: str
    words: str
    gloves: str
    closed_to: str


@dataclass(frozen=True)
class Moment:
    """A moment of a pour: minutes after the one before it, None for a sentence alone."""

    word: str
    text: str
    minutes: int | None = None


@dataclass(frozen=True)
class Advice:
    """All of it for one mould."""

    mould: Mould
    company: Company
    sculpt: str
    moulded: str
    cast: str
    answer: Answer
    sculpt_at: SculptAt | None
    sculpt_words: str
    range_words: str
    amounts: Amounts
    part: tuple[Line, ...]
    block: tuple[Line, ...]
    pour: tuple[Line, ...]
    mould_moments: tuple[Moment, ...]
    pour_moments: tuple[Moment, ...]
    mould_cautions: tuple[Caution, ...]
    pour_cautions: tuple[Caution, ...]
    mould_sources: tuple[str, ...]
    pour_sources: tuple[str, ...]
    typed_at: Any = None

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """Those of mould and casting, each once."""
        return tuple(dict.fromkeys((*self.pour_cautions, *self.mould_cautions)))

    @property
    def last_word(self) -> str:
        """Whose word comes before ours."""
        return LAST_WORD

    @property
    def has_guess(self) -> bool:
        """Whether the amounts rest on the height of the head alone."""
        return self.amounts.is_guess


def advice_for(mould: Mould, *, materials: Materials | None = None) -> Advice:
    """What to say of a mould; its pattern, guise, show and company should be selected.

    Four queries at most, whatever the number of moulds and materials.
    """
    company = mould.pattern.show.company
    known = materials or Materials(company)
    moulded = known.find(Kind.MOULD, mould.material)
    cast = known.find(Kind.CAST, mould.casting_material)
    at = sculpt_scale_of(mould, known)
    wanted_mm = wanted_size(mould)
    row = amounts_of(mould)
    amounts = worked_out(mould, known)
    return Advice(
        mould=mould,
        company=company,
        sculpt=known.label(Kind.SCULPT, mould.sculpt_material),
        moulded=known.label(Kind.MOULD, mould.material),
        cast=known.label(Kind.CAST, mould.casting_material),
        answer=known.judge(mould.sculpt_material, mould.material, mould.casting_material),
        sculpt_at=at,
        sculpt_words=capfirst(at.words(company, wanted_mm)) + "." if at else "",
        range_words=at.range_words(company, wanted_mm) if at else "",
        amounts=amounts,
        part=part_lines(mould, amounts, company),
        block=block_lines(mould, amounts, company),
        pour=pour_lines(mould, amounts, company, cast),
        mould_moments=_mould_moments(mould, moulded),
        pour_moments=_pour_moments(mould, cast),
        mould_cautions=_cautions(moulded),
        pour_cautions=_cautions(cast),
        mould_sources=moulded.sources if moulded else (),
        pour_sources=cast.sources if cast else (),
        typed_at=row.at if row else None,
    )


def _mould_moments(mould: Mould, moulded: Material | None) -> tuple[Moment, ...]:
    if moulded is None:
        return ()
    times = moulded.times
    found = []
    if times.pot_min is not None:
        found.append(Moment("Use the mix within", hours(times.pot_min), times.pot_min))
    if times.open_min is not None:
        found.append(Moment("Open after", hours(times.open_min), times.open_min))
    dry = mould.dry_min if mould.dry_min is not None else times.ready_min
    if dry:
        found.append(Moment("First used after", _long(dry), dry))
    if moulded.wall:
        found.append(Moment("Wall", moulded.wall))
    if times.words:
        found.append(Moment("", times.words))
    if moulded.temperature:
        found.append(Moment("", moulded.temperature))
    return tuple(found)


def _pour_moments(mould: Mould, cast: Material | None) -> tuple[Moment, ...]:
    if cast is None:
        return ()
    times = cast.times
    steps = (
        ("Use the mix within", times.pot_min),
        ("Top up for", times.top_up_min),
        ("Pour out what is left after", times.drain_min),
        ("Open after a further" if times.drain_min else "Open after", times.open_min),
        ("Hard or cured after a further", times.ready_min),
    )
    found = [Moment(word, _long(minutes), minutes) for word, minutes in steps if minutes]
    if cast.wall:
        found.append(Moment("Wall", cast.wall))
    if times.rest_min is not None:
        found.append(Moment("", "One casting a mould a day."))
    if cast.is_slip:
        found.append(Moment("", "It may stay closed longer: open it when somebody is in."))
    if times.words:
        found.append(Moment("", times.words))
    if cast.temperature:
        found.append(Moment("", cast.temperature))
    return tuple(found)


def _cautions(material: Material | None) -> tuple[Caution, ...]:
    if material is None or not (material.care.words or material.care.closed_to):
        return ()
    closed = closed_words(material)
    return (
        Caution(
            capfirst(material.name),
            material.care.words,
            material.care.gloves,
            f"Closed to {and_list(closed)}." if closed else "",
        ),
    )


def _long(minutes: int) -> str:
    if minutes >= 2 * DAY_MIN and minutes % DAY_MIN == 0:
        return f"{minutes // DAY_MIN} days"
    return "1 day" if minutes == DAY_MIN else hours(minutes)
