"""The page of materials: both tables of pairs, own pairs, what is known of each material."""

from __future__ import annotations

from dataclasses import dataclass

from builds.core.casting.pairs import Verdict
from builds.core.casting.values import Kind, Material, Mix, Span
from builds.models import OwnPair
from builds.queries.materials import Materials, closed_words
from company.templatetags.words import and_list, hours

# A letter for a narrow cell; the word itself is beside it for those who listen.
LETTERS = {
    Verdict.YES: "yes",
    Verdict.SEAL: "seal",
    Verdict.TEST: "test",
    Verdict.UNKNOWN: "?",
    Verdict.NO: "no",
}


@dataclass(frozen=True)
class Cell:
    """One pair of a table."""

    short: str
    verdict: str
    words: str
    is_own: bool


@dataclass(frozen=True)
class Table:
    """A table of pairs: names down the side and along the top."""

    caption: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...]], ...]


@dataclass(frozen=True)
class PairLine:
    """An own pair in names."""

    row: OwnPair
    first: str
    second: str


@dataclass(frozen=True)
class KnownMaterial:
    """What is known of a material, in words."""

    name: str
    facts: tuple[tuple[str, str], ...]
    sources: tuple[str, ...]
    is_own: bool


def tables(known: Materials) -> tuple[Table, Table]:
    """Sculpt by mould material, and mould by casting material, the company's own among them."""
    sculpts, moulds, casts = (known.of_kind(kind) for kind in Kind)
    return (
        Table(
            "A sculpt in a mould",
            tuple(mould.name for mould in moulds),
            tuple((s.name, tuple(_cell(known, s.key, m.key, "") for m in moulds)) for s in sculpts),
        ),
        Table(
            "A mould and what is cast in it",
            tuple(cast.name for cast in casts),
            tuple((m.name, tuple(_cell(known, "", m.key, c.key) for c in casts)) for m in moulds),
        ),
    )


def _cell(known: Materials, sculpt: str, mould: str, cast: str) -> Cell:
    part = known.judge(sculpt, mould, cast).parts[0]
    return Cell(LETTERS[part.verdict], part.verdict.value, part.words, part.is_own)


def own_pair_lines(known: Materials) -> list[PairLine]:
    """The company's own pairs in names."""
    kinds = {"sculpt": (Kind.SCULPT, Kind.MOULD), "cast": (Kind.MOULD, Kind.CAST)}
    return [
        PairLine(
            row,
            known.label(kinds[row.table][0], row.first),
            known.label(kinds[row.table][1], row.second),
        )
        for row in known.pairs
    ]


def known_materials(known: Materials) -> list[tuple[str, list[KnownMaterial]]]:
    """All materials by what they are for, with what is known of each."""
    words = {
        Kind.SCULPT: "To sculpt in",
        Kind.MOULD: "To mould in",
        Kind.CAST: "To cast in",
    }
    return [
        (word, [_known(material, known) for material in known.of_kind(kind)])
        for kind, word in words.items()
    ]


def _known(material: Material, known: Materials) -> KnownMaterial:
    closed = closed_words(material)
    times = material.times
    facts = (
        ("Density", _density(material.density)),
        ("Shrinks", _percent(material.shrinkage)),
        ("Mix", _mix(material.mix)),
        ("Pot life", hours(times.pot_min) if times.pot_min else ""),
        ("Clock", times.words or _clock(material)),
        ("Wall", material.wall),
        ("Warmth", material.temperature),
        ("Lasts", _lasts(material.life)),
        ("Gloves", material.care.gloves),
        ("Care", material.care.words),
        ("Closed to", and_list(closed) if closed else ""),
    )
    row = known.own.get(material.key)
    sources = list(material.sources)
    if row is not None and row.source:
        sources.append(row.source)
    return KnownMaterial(
        name=material.name,
        facts=tuple((word, text) for word, text in facts if text),
        sources=tuple(sources),
        is_own=row is not None,
    )


def _density(span: Span | None) -> str:
    if span is None:
        return ""
    usual = f"{span.usual * 1000:.0f} g a litre"
    return usual if span.is_exact else f"{usual} ({span.low * 1000:.0f} to {span.high * 1000:.0f})"


def _percent(span: Span | None) -> str:
    if span is None:
        return ""
    if span.usual < 0:
        return f"grows by {-span.usual * 100:.2g} % at most"
    usual = f"{span.usual * 100:.2g} %"
    return usual if span.is_exact else f"{usual} ({span.low * 100:.2g} to {span.high * 100:.2g} %)"


def _mix(mix: Mix | None) -> str:
    if mix is None:
        return ""
    parts = [f"{amount:g} {name}" for amount, name in zip(mix.amounts, mix.names, strict=True)]
    least = f", at least {mix.least_g} g at a time" if mix.least_g else ""
    return f"{' to '.join(parts)} by {mix.by}{least}"


def _clock(material: Material) -> str:
    times = material.times
    steps = (
        ("poured out after", times.drain_min),
        ("opened after", times.open_min),
        ("ready after a further", times.ready_min),
    )
    said = [f"{word} {hours(minutes)}" for word, minutes in steps if minutes]
    return ", ".join(said).capitalize()


def _lasts(span: Span | None) -> str:
    if span is None:
        return ""
    return f"about {span.usual:.0f} castings ({span.low:.0f} to {span.high:.0f})"
