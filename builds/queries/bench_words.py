"""The sentences of the page 'To the bench'."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from builds.models import Figure
from builds.queries.bench import AGAIN, GONE, KEPT, NEW, OVER, Bench
from company.models import Change
from company.templatetags.words import and_list, count_word
from scenes.models import Guise

PLOT_NOUNS = ("plot", "appearance", "change rule", "scene", "costume", "guise", "role", "show")


EXTENT_WORDS = {
    Figure.Extent.WHOLE: ("spare figure", "spare figures"),
    Figure.Extent.HEAD_HANDS: ("spare head with hands", "spare heads with hands"),
    Figure.Extent.HEAD: ("spare head", "spare heads"),
}


def say_bench(bench: Bench) -> str:
    """What this draft asks of the bench, in one breath."""
    if not bench.lines:
        return "The plot asks for no figure yet."
    if bench.is_settled:
        is_more = bench.built > bench.minimum or bench.asked
        said = say_built(bench) if is_more else _figures(bench.needed)
        return f"This draft is at the bench: {said}."
    said = []
    for kind, words in (
        (KEPT, "stays"),
        (OVER, "is made over"),
        (AGAIN, "is taken up again"),
        (NEW, "is new"),
        (GONE, "is stranded"),
    ):
        count = len(bench.of_kind(kind))
        if count:
            verb = words if count == 1 else _many(words)
            said.append(f"{count_word(count)} {verb}")
    more = f", you build {bench.needed}" if bench.needed > bench.minimum else ""
    return f"This draft needs {_figures(bench.minimum)}{more}: {', '.join(said)}."


def say_built(bench: Bench) -> str:
    """'it needs 11 figures, you build 12 and 1 spare head': the need a fact, the rest a choice."""
    said, spares = f"it needs {_figures(bench.minimum)}", say_spares(bench)
    if bench.built > bench.minimum or spares:
        said += f", you build {bench.built}"
    return f"{said} and {spares}" if spares else said


def say_spares(bench: Bench) -> str:
    """'2 spare figures and 1 spare head', '' where none was asked for."""
    return say_asked(bench.asked)


def say_asked(spares: Iterable[Figure]) -> str:
    """Spares by what they are, in words."""
    found = Counter(Figure.Extent(figure.extent) for figure in spares)
    return and_list(
        f"{found[extent]} {one if found[extent] == 1 else many}"
        for extent, (one, many) in EXTENT_WORDS.items()
        if found[extent]
    )


def _many(words: str) -> str:
    first, _, rest = words.partition(" ")
    return f"{'are' if first == 'is' else 'stay'} {rest}".strip()


def _figures(count: int) -> str:
    return f"{count_word(count)} figure{'' if count == 1 else 's'}"


def say_moved(bench: Bench, shown: str) -> list[str]:
    """What is other than it was on the page that was pressed; `shown` is 'guise:figures,...'."""
    was: dict[int, int] = {}
    for pair in shown[:20_000].split(","):
        guise, _, count = pair.partition(":")
        if guise.isdigit() and count.isdigit() and len(pair) < 20:
            was[int(guise)] = int(count)
    names = {guise.pk: str(guise) for guise in Guise.objects.filter(
        character__show=bench.show, pk__in={*was, *bench.by_guise}
    ).select_related("character")}  # fmt: skip
    said = [
        f"{name}: {_figures(bench.by_guise.get(pk, 0))} now, {count_word(was.get(pk, 0))} then."
        for pk, name in names.items()
        if was.get(pk, 0) != bench.by_guise.get(pk, 0)
    ]
    if not said:
        said.append("The number of figures is the same; what they play or wear is not.")
    last = (
        Change.objects.for_company(bench.show.company)
        .filter(noun__in=PLOT_NOUNS)
        .select_related("user")
        .first()
    )
    if last is not None and last.user is not None:
        said.append(f"The last to write in the plot was {last.user}.")
    return said
