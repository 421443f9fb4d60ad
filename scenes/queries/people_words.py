"""What is said of people at work: changes, hand-overs, what nobody is free for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from company.core.units import format_minutes
from scenes.core.counting import Stop
from scenes.core.hands import Crew
from scenes.core.joint import JointCount
from scenes.core.naming import say_list
from scenes.models import Appearance, Costume, Guise
from scenes.queries.counts import CountedPlot
from scenes.queries.crew import say_moment, say_person


@dataclass(frozen=True)
class ChangeLine:
    """A change that was chosen: whose, between what, when, by whom."""

    guise: Guise
    first: Costume
    second: Costume
    minutes: str
    moment: str
    people: str
    stop: Stop


class Sayings:
    """People, changes and hand-overs in the names of the show."""

    def __init__(self, counted: CountedPlot, crew: Crew) -> None:
        self.counted, self.crew = counted, crew
        self.rows = {a.key: a for a in counted.rows.appearances}
        self.costumes = {c.pk: c for c in counted.rows.costumes}
        self.guises = {g.pk: g for g in counted.rows.guises}

    def row(self, stop: Stop) -> Appearance:
        return self.rows[stop.key]  # type: ignore[index]

    def who(self, stop: Stop) -> str:
        """'Jory Tarrow at nine in the smock', with its copy where there are several."""
        row = self.row(stop)
        worn = f" in the {row.costume}" if row.costume else ""
        copy = f" ({stop.copy} of {row.copies})" if row.copies > 1 else ""
        return f"{self.guises[row.guise_id]}{worn}{copy}"

    def changes(self, joint: JointCount) -> Iterator[ChangeLine]:
        for change in joint.changes:
            people = [say_person(person, self.crew) for person in change.people]
            yield ChangeLine(
                guise=self.guises[change.guise],  # type: ignore[index]
                first=self.costumes[change.rule.from_costume],  # type: ignore[index]
                second=self.costumes[change.rule.to_costume],  # type: ignore[index]
                minutes=format_minutes(change.rule.change_s),
                moment=say_moment(self.counted.plot, change.planned.starts_s),
                people=say_list(people) if people else "nobody",
                stop=change.planned.to_stop,
            )

    def lost(self, joint: JointCount) -> Iterator[str]:
        """Changes that the count by the clock makes and this one does not."""
        made = {(c.planned.from_stop.key, c.planned.to_stop.key) for c in joint.changes}
        for guise in self.counted.count.guises:
            for track in guise.tracks:
                for change in track.changes:
                    if (change.from_stop.key, change.to_stop.key) not in made:
                        first, second = self.row(change.from_stop), self.row(change.to_stop)
                        yield (
                            f"{self.guises[first.guise_id]} from {first.costume} (scene "
                            f"{first.scene.label}) to {second.costume} (scene "
                            f"{second.scene.label})"
                        )

    def hand_overs(self, joint: JointCount) -> Iterator[str]:
        for over in joint.roster.hand_overs:
            moment = say_moment(self.counted.plot, over.at_s)
            giver, taker = (say_person(p, self.crew) for p in (over.giver, over.taker))
            yield f"{moment}: {self.who(over.stop)}, from {giver} to {taker}"

    def nobody(self, joint: JointCount) -> Iterator[str]:
        verb = {"figure": "holds", "handling": "hangs up or takes up", "change": "changes"}
        for gone in joint.roster.unmanned:
            moment = say_moment(self.counted.plot, gone.at_s)
            yield f"{moment}: nobody {verb[gone.kind]} {self.who(gone.stop)}"

    def rests(self) -> Iterator[str]:
        """Figures that hang or stand in view, which take no hands but to be put there."""
        for row in self.rows.values():
            if row.hold in ("hung in view", "set down"):
                where = f"scene {row.scene.label}"
                yield f"{where}: {self.who(Stop(row.key, 1))}, {row.hold}"
