"""Will it set: sculpt, mould and casting material judged together, with reason and way round.

Never yes by default: a pair that nobody has written down is not known. A company's own pairs go
before the published ones. What is wrong warns; the maker decides.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from builds.core.casting.pairs import SAGECRAFT, Pair, Verdict
from builds.core.casting.pairs_of_casts import MOULD_WITH_CAST
from builds.core.casting.pairs_of_sculpts import SCULPT_IN_MOULD
from builds.core.casting.values import Kind, Material

# From what lets one pour to what stops one: an answer is as good as the worst of its parts.
WORSE = (Verdict.YES, Verdict.SEAL, Verdict.TEST, Verdict.UNKNOWN, Verdict.NO)
_GREASY = ("oil clay", "oil clay with sulphur", "wax")
_SLIPS = ("latex slip", "neoprene slip")
_WASH = Pair(
    Verdict.TEST,
    "Grease from the sculpt stays in the plaster, and slip will not set against it.",
    "Wash the mould with citrus cleaner and dry it, then test a patch; or sculpt in water clay.",
    f"{SAGECRAFT}; puppetmuseum.com Workshop10",
)
# A mould that is sealed afterwards is poured over the sculpt as plaster like any other.
_IN_MOULD: Mapping[tuple[str, str], Pair] = {
    **SCULPT_IN_MOULD,
    **{
        (sculpt, "sealed plaster"): pair
        for (sculpt, mould), pair in SCULPT_IN_MOULD.items()
        if mould == "plaster"
    },
}
_NOT_KNOWN = "Nobody has written this pair down here."
_TRY = "Test a patch of 20 g on the same batch for its full time, then write the pair down."


@dataclass(frozen=True, slots=True)
class Part:
    """The answer to one pair of materials, in the names that the maker sees."""

    first: str
    second: str
    pair: Pair
    is_own: bool = False
    through: str = ""

    @property
    def verdict(self) -> Verdict:
        """Whether it sets."""
        return self.pair.verdict

    @property
    def words(self) -> str:
        """Verdict, reason and way round as sentences."""
        said = [f"{self.first} and {self.second}: {self.verdict}.", self.pair.reason, self.pair.way]
        return " ".join(part for part in said if part)


@dataclass(frozen=True, slots=True)
class Answer:
    """What is to be said of the chosen materials. `missing` names what is not chosen yet."""

    verdict: Verdict
    parts: tuple[Part, ...]
    missing: tuple[Kind, ...] = ()

    @property
    def warns(self) -> bool:
        """Whether the maker is to stop and read. The maker decides."""
        return self.verdict is not Verdict.YES

    @property
    def deciding(self) -> tuple[Part, ...]:
        """The parts that make the answer what it is, worst first."""
        return tuple(part for part in self.parts if part.verdict is self.verdict)


@dataclass(frozen=True, slots=True)
class OwnPairs:
    """Pairs of the company, by (sculpt key, mould key) and (mould key, cast key)."""

    sculpt_in_mould: Mapping[tuple[str, str], Pair] = field(default_factory=dict)
    mould_with_cast: Mapping[tuple[str, str], Pair] = field(default_factory=dict)


def worst(verdicts: list[Verdict]) -> Verdict:
    """The worst of some verdicts: no, then not known, then test, then seal, then yes.

    >>> worst([Verdict.YES, Verdict.SEAL, Verdict.TEST])
    <Verdict.TEST: 'test a patch'>
    """
    return max(verdicts, key=WORSE.index, default=Verdict.UNKNOWN)


def judge(
    sculpt: Material | None,
    mould: Material | None,
    cast: Material | None,
    *,
    own: OwnPairs | None = None,
    likes: Mapping[str, str] | None = None,
) -> Answer:
    """The answer for what is chosen; None for what is not chosen yet.

    `likes` gives for the key of a company's own material the known one that it is like: where the
    company wrote no pair, that one's pair is taken and named in `through`. With less than two
    materials chosen the verdict is 'not known'.

    >>> from builds.core.casting.materials import find_material
    >>> answer = judge(
    ...     find_material("sculpt", "oil clay with sulphur"),
    ...     find_material("mould", "platinum silicone"),
    ...     find_material("cast", "urethane resin"),
    ... )
    >>> answer.verdict.value, answer.deciding[0].pair.reason
    ('no', 'Sulphur keeps platinum silicone from ever curing.')
    >>> judge(None, find_material("mould", "plaster"), find_material("cast", "epoxy putty")).verdict
    <Verdict.UNKNOWN: 'not known'>
    """
    own, likes = own or OwnPairs(), likes or {}
    parts = []
    if sculpt and mould:
        parts.append(_part(sculpt, mould, own.sculpt_in_mould, _IN_MOULD, likes))
    if mould and cast:
        parts.append(_part(mould, cast, own.mould_with_cast, MOULD_WITH_CAST, likes))
    if sculpt and mould and cast and _is_greasy(sculpt, mould, cast, likes):
        parts.append(Part(_say(sculpt), cast.name, _WASH))
    chosen = {Kind.SCULPT: sculpt, Kind.MOULD: mould, Kind.CAST: cast}
    missing = tuple(kind for kind, material in chosen.items() if material is None)
    return Answer(worst([part.verdict for part in parts]), tuple(parts), missing)


def _part(
    first: Material,
    second: Material,
    own: Mapping[tuple[str, str], Pair],
    known: Mapping[tuple[str, str], Pair],
    likes: Mapping[str, str],
) -> Part:
    """The company's own word, else the published one, else that of what they are like."""
    key = (first.key, second.key)
    names = (_say(first), second.name)
    if key in own:
        return Part(*names, own[key], is_own=True)
    like = (likes.get(first.key, first.key), likes.get(second.key, second.key))
    if like in own:
        return Part(*names, own[like], is_own=True, through=_through(key, like))
    if like in known:
        return Part(*names, known[like], through=_through(key, like))
    return Part(*names, Pair(Verdict.UNKNOWN, _NOT_KNOWN, _TRY, ""))


def _through(key: tuple[str, str], like: tuple[str, str]) -> str:
    """What an own material was taken for: 'oil clay'."""
    return " and ".join(b for a, b in zip(key, like, strict=True) if a != b)


def _is_greasy(sculpt: Material, mould: Material, cast: Material, likes: Mapping[str, str]) -> bool:
    return (
        likes.get(sculpt.key, sculpt.key) in _GREASY
        and likes.get(mould.key, mould.key) == "plaster"
        and likes.get(cast.key, cast.key) in _SLIPS
    )


def _say(material: Material) -> str:
    """The name at the head of a sentence."""
    return material.name[:1].upper() + material.name[1:]
