"""The trick builds of a guise: those named, and those that only the plot speaks of."""

from __future__ import annotations

from dataclasses import dataclass

from company.core.names import name_key
from scenes.models import Appearance, Guise, Rig, Show


@dataclass(frozen=True)
class RigLine:
    """A trick build, the row that says what it may play (None: nobody said), where it plays."""

    name: str
    rig: Rig | None
    scenes: tuple[str, ...] = ()

    @property
    def plays_plain(self) -> bool:
        """Whether it may play plain entries too."""
        return self.rig is not None and self.rig.plays_plain

    @property
    def part_hours(self) -> str:
        """Hours per part that breaks, as a form takes them: '0:45'."""
        minutes = self.rig.part_min if self.rig else 0
        return f"{minutes // 60}:{minutes % 60:02d}"


def read_rigs(show: Show, guise: Guise) -> list[RigLine]:
    """Every trick build of the guise: two reads."""
    rows = Appearance.objects.filter(draft=show.current_draft_id, guise=guise).exclude(rig="")
    scenes: dict[str, dict[str, None]] = {}
    spelled: dict[str, str] = {}
    for name, label in rows.order_by("scene__position").values_list("rig", "scene__label"):
        spelled.setdefault(name_key(name), name)
        scenes.setdefault(name_key(name), {})[label] = None
    named = {rig.name_key: rig for rig in Rig.objects.filter(guise=guise)}
    spelled |= {key: rig.name for key, rig in named.items()}
    return [
        RigLine(name, named.get(key), tuple(scenes.get(key, ()))) for key, name in spelled.items()
    ]
