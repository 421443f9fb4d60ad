"""Who works what as the picture wants it: a line of bars for each person."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from company.core.units import format_minutes
from scenes.core.counting import Stop
from scenes.core.plot import place_appearances
from scenes.core.roster import Duty, Person
from scenes.drawings.duties import DutiesData, DutyBar, DutyRow, Level
from scenes.drawings.tracks_data import TrackScene
from scenes.queries.crew import Needs, say_moment, say_person
from scenes.queries.people import PeoplePage
from scenes.queries.people_words import Sayings
from scenes.queries.plot import FigureTags


def to_duties(page: PeoplePage, tags: FigureTags | None = None) -> DutiesData | None:
    """Who works what as the picture wants it; figures are called as the bench calls them."""
    if page.joint is None or page.needs is None:
        return None
    picture = _Picture(page, tags or {})
    crew = page.needs.crew
    performers = [Person("performer", n) for n in range(1, crew.performers + 1)]
    dressers = [Person("dresser", n) for n in range(1, crew.dressers + 1)]
    most = max((stretch.hooks for stretch in page.needs.stretches), default=0)
    levels = [Level("people at work", _levels(page.needs, "people"), crew.all)]
    if most:
        levels.append(Level("hooks on the rail", _levels(page.needs, "hooks"), crew.hooks))
    return DutiesData(
        scenes=tuple(
            TrackScene(s.label, s.title, s.length_s, s.gap_s, s.is_interval, s.act)
            for s in page.counted.rows.scenes
        ),
        rows=tuple(picture.row(person) for person in (*performers, *dressers)),
        levels=tuple(levels),
        nobody=picture.nobody(),
        short=tuple((s.starts_s, s.ends_s) for s in page.needs.stretches if s.short(crew) > 0),
    )


def _levels(needs: Needs, name: str) -> tuple[tuple[int, int, int], ...]:
    return tuple((s.starts_s, s.ends_s, getattr(s, name)) for s in needs.stretches)


class _Picture:
    """Duties as bars."""

    def __init__(self, page: PeoplePage, tags: FigureTags) -> None:
        assert page.joint is not None
        assert page.needs is not None
        self.page, self.tags, self.roster = page, tags, page.joint.roster
        self.crew = page.needs.crew
        self.say = Sayings(page.counted, self.crew)
        self.leaves_s = {p.appearance.key: p.leaves_s for p in place_appearances(page.counted.plot)}
        self.ends = {c.planned.to_stop: c.planned.ends_s for c in page.joint.changes}

    def row(self, person: Person) -> DutyRow:
        duties = [duty for duty in self.roster.duties if duty.person == person]
        name = say_person(person, self.crew)
        return DutyRow(
            name[0].upper() + name[1:],
            tuple(self._bar(duty, name) for duty in duties),
            tuple(self._said(duties)),
        )

    def nobody(self) -> DutyRow | None:
        if not self.roster.unmanned:
            return None
        bars = []
        for gone in self.roster.unmanned:
            row = self.say.row(gone.stop)
            ends_s = self.leaves_s[row.key] if gone.kind != "change" else self.ends[gone.stop]
            title = f"nobody is free for {self.say.who(gone.stop)}"
            bars.append(
                DutyBar(gone.at_s, max(ends_s, gone.at_s + 1), self._word(gone.stop), "figure",
                        title, row.costume.tint if row.costume else None)
            )  # fmt: skip
        return DutyRow("Nobody free", tuple(bars), self.page.nobody)

    def _word(self, stop: Stop) -> str:
        tag = self.tags.get((stop.key, stop.copy))  # type: ignore[arg-type]
        if tag is not None:
            return tag.tag
        guise = self.say.guises[self.say.row(stop).guise_id]
        return f"{guise.character.letters} new" if self.tags else str(guise)

    def _bar(self, duty: Duty, name: str) -> DutyBar:
        row = self.say.row(duty.stop)
        until = f"{say_moment(self.page.counted.plot, duty.starts_s)}"
        what = {
            "figure": self.say.who(duty.stop) + (", one hand" if duty.half else ""),
            "handling": f"hangs up or takes up {self.say.who(duty.stop)}",
            "change": f"changes {self.say.who(duty.stop)}",
        }[duty.kind]
        word = self._word(duty.stop)
        return DutyBar(
            starts_s=duty.starts_s,
            ends_s=duty.ends_s,
            word=f"{word}, change" if duty.kind == "change" else word,
            kind=duty.kind,
            title=f"{name}, {until}: {what}",
            tint=row.costume.tint if row.costume else None,
            is_half=duty.half,
            short=word,
        )

    def _said(self, duties: Iterable[Duty]) -> Iterator[str]:
        for duty in duties:
            moment = say_moment(self.page.counted.plot, duty.starts_s)
            lasts = format_minutes(duty.ends_s - duty.starts_s)
            tag = self.tags.get((duty.stop.key, duty.stop.copy))  # type: ignore[arg-type]
            who = f"{tag.tag}, {self.say.who(duty.stop)}" if tag else self.say.who(duty.stop)
            verb = {"figure": "", "handling": "hangs up or takes up ", "change": "changes "}
            hand = ", one hand" if duty.half else ""
            yield f"{moment}, for {lasts} min: {verb[duty.kind]}{who}{hand}."
