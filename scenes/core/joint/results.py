"""What the count with people is given and gives back: hours, tracks, changes at their times."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from scenes.core.counting import Track
from scenes.core.hands import PlannedChange
from scenes.core.plot import ChangeRule, CostumeId, GuiseId
from scenes.core.roster import Person, Roster

REMOVABLE_PERCENT = 40  # more sewing for a costume that comes off; common practice, no source


@dataclass(frozen=True, slots=True)
class BuildHours:
    """Minutes to build, as plain numbers: a figure of a guise without cloth, and each costume.

    A costume not listed takes 0, a guise not listed (or of 0) one minute, so that fewer figures are
    always better. A costume on a figure that changes takes `removable_percent` more
    to sew, rounded up to the minute. Raises ValueError for less than 0.
    """

    figure_min: Mapping[GuiseId, int] = field(default_factory=lambda: MappingProxyType({}))
    sewing_min: Mapping[CostumeId, int] = field(default_factory=lambda: MappingProxyType({}))
    removable_percent: int = REMOVABLE_PERCENT

    def __post_init__(self) -> None:
        for name, listed in (("figure_min", self.figure_min), ("sewing_min", self.sewing_min)):
            for what, minutes in listed.items():
                if minutes < 0:
                    raise ValueError(f"{name} of {what!r} is {minutes}, less than 0 minutes")
        if self.removable_percent < 0:
            raise ValueError(f"removable_percent is {self.removable_percent}, less than 0")

    def figure(self, guise: GuiseId) -> int:
        """Minutes for a figure of the guise, without cloth."""
        return max(1, self.figure_min.get(guise, 0))

    def sewing(self, costume: CostumeId | None) -> int:
        """Minutes to sew a costume that stays on."""
        return 0 if costume is None else self.sewing_min.get(costume, 0)

    def extra(self, costume: CostumeId | None) -> int:
        """Minutes more where it comes off."""
        return -(-self.sewing(costume) * self.removable_percent // 100)

    def of_track(self, guise: GuiseId, worn: Iterable[CostumeId | None]) -> int:
        """Minutes for the figure of a track that wears these.

        >>> hours = BuildHours({"Quill": 6000}, {"coat": 1000, "gown": 2000})
        >>> hours.of_track("Quill", ["coat", "coat"]), hours.of_track("Quill", ["coat", "gown"])
        (7000, 10200)
        """
        costumes = set(worn)
        minutes = self.figure(guise) + sum(self.sewing(costume) for costume in costumes)
        if len(costumes) > 1:
            minutes += sum(self.extra(costume) for costume in costumes)
        return minutes


@dataclass(frozen=True, slots=True)
class JointChange:
    """A change that was chosen: at its time, by whom. `workers` of its people work figures."""

    guise: GuiseId
    rule: ChangeRule
    planned: PlannedChange
    workers: int
    people: tuple[Person, ...] = ()


@dataclass(frozen=True, slots=True)
class JointGuise:
    """The tracks of one guise."""

    guise: GuiseId
    tracks: tuple[Track, ...]

    @property
    def figures(self) -> int:
        """Figures of the guise."""
        return len(self.tracks)


@dataclass(frozen=True, slots=True)
class JointCount:
    """The count with people; guises in the plot's order, changes in order of time.

    `build_min` are the minutes to build all of it, `bound_min` a number that no choice of changes
    can go below. `proved`: neither minutes nor changes can be fewer.
    """

    guises: tuple[JointGuise, ...]
    changes: tuple[JointChange, ...]
    build_min: int
    bound_min: int
    proved: bool
    roster: Roster

    @property
    def figures(self) -> int:
        """Figures of all guises."""
        return sum(guise.figures for guise in self.guises)

    @property
    def gap(self) -> float:
        """The part of the build minutes that better changes might still save: 0 where proved."""
        if self.proved or not self.build_min:
            return 0.0
        return (self.build_min - self.bound_min) / self.build_min

    def words(self) -> str:
        """'proved', or what is not ruled out.

        >>> JointCount((), (), 1000, 980, False, Roster((), (), ())).words()
        'not proved: at most 2 % of the hours could still be saved'
        """
        if self.proved:
            return "proved"
        if self.build_min == self.bound_min:
            return "not proved: the hours are the fewest, changes might be fewer"
        percent = -(-(self.build_min - self.bound_min) * 100 // self.build_min)
        return f"not proved: at most {percent} % of the hours could still be saved"
