"""What the shelf of moulds says in words: the sentence on top, and the one of each mould."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from builds.core.casting.life import Wear
from builds.models import Casting
from builds.queries.in_moulds import InMould
from builds.queries.mould_cards import MouldCard, ToPour
from company.templatetags.words import and_list, count_word, day, short_day

MOST_NAMED = 4


def lede_of(
    cards: Sequence[MouldCard],
    filled: Sequence[InMould],
    to_pour: Sequence[ToPour],
    now: datetime,
    zone: ZoneInfo,
) -> str:
    """The sentence that answers: what is to be poured, and what is in the moulds."""
    if not cards:
        return "No mould is wanted yet: they come with the figures that are taken to the bench."
    said = [f"{_count(len(cards), 'mould')}, {_made(cards)}."]
    due = [one for one in filled if one.is_due]
    if due:
        like = [one for one in due if one.moment is due[0].moment]
        names = and_list(_whose(one.castings) for one in like[:MOST_NAMED])
        said.append(f"Due now: {due[0].moment.value}, {names}.")
    elif filled:
        said.append(f"{_count(len(filled), 'casting')} in the mould.".capitalize())
    free = [one for one in to_pour if one.is_free_by_then]
    if free:
        said.append(_next_words(free[0], now, zone))
    elif to_pour:
        said.append(_waits_words(to_pour[0], zone))
    else:
        said.append("Nothing is owed.")
    return " ".join(said)


def _made(cards: Sequence[MouldCard]) -> str:
    made = sum(card.mould.is_made for card in cards)
    if made == len(cards):
        return "all made" if made > 1 else "made"
    return f"{count_word(made)} made" if made else "none made yet"


def _next_words(one: ToPour, now: datetime, zone: ZoneInfo) -> str:
    name = _name(one)
    for_whom = f" for {and_list(f.tag for f in one.figures)}" if one.figures else ", in case"
    when = "Today"
    if one.slip is not None:
        start = one.slip.start.astimezone(zone)
        today = now.astimezone(zone).date()
        if start.date() > today:
            when = f"On {day(start)}"
    return f"{when}, pour {name}{for_whom}."


def _waits_words(one: ToPour, zone: ZoneInfo) -> str:
    if one.ready.ready_at is not None:
        when = one.ready.ready_at.astimezone(zone)
        return f"Next is {_name(one)}, from {day(when)} on."
    return f"Next is {_name(one)}, once its mould is made."


def _name(one: ToPour) -> str:
    pattern = one.castings[0].pattern if one.castings else one.pour.mould.pattern
    return pattern.whose if pattern.part == "head" else pattern.name


def _whose(castings: Sequence[Casting]) -> str:
    return and_list(casting.code for casting in castings)


def say_mould(card: MouldCard, now: datetime, zone: ZoneInfo) -> str:
    """What one says of a mould in two or three short sentences."""
    mould = card.mould
    said: list[str] = []
    if mould.is_retired:
        said.append(f"Retired: {mould.retired_words}." if mould.retired_words else "Retired.")
    elif not mould.is_made:
        said.append(_making_words(card, zone))
    elif card.is_drying and mould.first_use is not None:
        when = mould.first_use.astimezone(zone)
        said.append(f"Drying: leave it until {when:%H:%M} on {day(when)}.")
    if card.drawn:
        said.append(_drawn_words(card))
    if not mould.is_retired:
        said.append(_owed_words(card))
        if card.wear is Wear.WORN:
            said.append("Worn: look at the seam and the fine parts after each pour.")
        elif card.wear is Wear.SPENT:
            said.append("It has given what it was good for.")
    return " ".join(filter(None, said))


def _making_words(card: MouldCard, zone: ZoneInfo) -> str:
    if card.making is None:
        return "Not made yet."
    slip = card.making
    when = short_day(slip.finish.astimezone(zone))
    return f"Not made yet: {slip.maker} has it done by {when}, if the hours hold."


def _drawn_words(card: MouldCard) -> str:
    words = {
        Casting.Result.GOOD: "good",
        Casting.Result.FLAWED: "flawed",
        Casting.Result.THROWN: "thrown out",
    }
    parts = []
    for result, word in words.items():
        found = [c for c in card.castings if c.result == result]
        if found:
            parts.append(f"{count_word(len(found))} {word}{_where(found)}")
    inside = sum(c.result is None for c in card.castings)
    if inside:
        parts.append(f"{count_word(inside)} not judged yet")
    number = _count(card.drawn, "casting")
    return f"{number} drawn of about {card.mould.life}: {and_list(parts)}."


def _where(found: Sequence[Casting]) -> str:
    figures = [c.figure.tag for c in found if c.figure is not None]
    if not figures or len(figures) > MOST_NAMED or len(figures) < len(found):
        return ""
    return f" (in {and_list(figures)})"


def _owed_words(card: MouldCard) -> str:
    if card.owed == 0:
        return "Nothing is owed." if not card.planned else ""
    owes = f"Owes {_count(card.owed, 'casting').lower()}"
    if card.planned == card.owed:
        return f"{owes}."
    sure = card.mould.sure_percent
    likely = "9 in 10 sure" if sure == 90 else f"{sure} in 100 sure"
    return f"{owes}: {count_word(card.planned)} are planned, to be {likely}."


def _count(number: int, noun: str) -> str:
    word = count_word(number).capitalize()
    return f"{word} {noun}{'' if number == 1 else 's'}"
