"""What a sheet says of several steps together: what to leave alone, when to ask, the cautions."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Callable, Iterable

from builds.models import Stage
from builds.queries.sheets.papers import Care, Told
from builds.queries.sheets.rows import each_once
from company.templatetags.words import and_list

LAST_WORD = "The maker's data sheets, your local rules and licensed practice come first."
_SENTENCE_END = re.compile(r"(?<=[.!?])\s+")


def told(stages: Iterable[Stage], text_of: Callable[[Stage], str]) -> tuple[Told, ...]:
    """A text of each stage, each text once, with the names of the steps that it is for."""
    stages = list(dict.fromkeys(stages))
    names: dict[str, list[str]] = defaultdict(list)
    for stage in stages:
        if text := text_of(stage).strip():
            names[text].append(stage.name)
    is_alone = len({stage.name for stage in stages}) == 1
    return tuple(
        Told("" if is_alone else and_list(dict.fromkeys(steps)), text)
        for text, steps in names.items()
    )


def care_for(stages: Iterable[Stage]) -> Care:
    """The cautions of the stages: each material once, and who has the last word said once.

    A caution that stands whole inside another is left out; a closing sentence that several share
    is taken from them and said once.
    """
    stages = list(dict.fromkeys(stages))
    texts = each_once(stage.cautions for stage in stages)
    texts = tuple(t for t in texts if not any(t != other and t in other for other in texts))
    closings = Counter(_SENTENCE_END.split(text)[-1] for text in texts)
    shared = [closing for closing, times in closings.items() if times > 1]
    lines = tuple(_without(text, shared) for text in texts)
    last_words = tuple(shared)
    if texts and not any("local rules" in text.casefold() for text in (*lines, *shared)):
        last_words = (*last_words, LAST_WORD)
    return Care(_marks(stages), lines, last_words)


def _without(text: str, closings: list[str]) -> str:
    *sentences, closing = _SENTENCE_END.split(text)
    return " ".join(sentences) if sentences and closing in closings else text


def _marks(stages: list[Stage]) -> tuple[str, ...]:
    """For whom some of the steps are closed."""
    closed = {
        "Not for anyone with a latex allergy": "closed_to_latex_allergy",
        "Only for people trained on the saw": "needs_saw_training",
        "Not for anyone under 18": "closed_to_under_18",
    }
    found = []
    for words, column in closed.items():
        names = dict.fromkeys(stage.name for stage in stages if getattr(stage, column))
        if names:
            found.append(f"{words}: {and_list(names)}.")
    return tuple(found)
