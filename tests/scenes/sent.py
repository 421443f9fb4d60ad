"""What tests of the plot send and look up: addresses, stamps, forms of cells, changes, times."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.urls import reverse

from scenes.loading import stamp_of
from scenes.models import Appearance, ChangeRule, Costume, Guise, Scene, Show

HTMX = {"HX-Request": "true"}


def address(show: Show, guise: Guise, label: str, name: str = "plot_cell") -> str:
    """Where the cell of a scene's label is opened or edited."""
    scene = Scene.objects.get(draft=show.current_draft, label=label)
    return reverse(f"scenes:{name}", args=[show.pk, guise.pk, scene.key])


def cell(show: Show, guise: Guise, label: str) -> list[Appearance]:
    """What stands in a cell of the draft that is current now."""
    show.refresh_from_db()
    rows = Appearance.objects.filter(
        draft=show.current_draft, guise=guise, scene__label=label
    ).order_by("pk")
    return list(rows)


def stamp(show: Show, guise: Guise, label: str) -> str:
    """The stamp of a cell as it stands now."""
    return stamp_of(cell(show, guise, label))


def sent(stands: Iterable[Appearance] = (), **fields: str) -> dict[str, Any]:
    """What the panel's form sends: a block for each appearance there, and room for one more."""
    stands = list(stands)
    data = {"stamp": stamp_of(stands), "new-hold": "two hands", "new-copies": "1"}
    for n, a in enumerate(stands):
        data |= {
            f"a{n}-key": str(a.key),
            f"a{n}-costume": "undecided" if a.costume_id is None else str(a.costume_id),
            f"a{n}-enters": "",
            f"a{n}-leaves": "",
            f"a{n}-hold": a.hold,
            f"a{n}-copies": str(a.copies),
        }
    return data | {name.replace("__", "-"): value for name, value in fields.items()}


def new_rule(
    guise: Guise, first: Costume, second: Costume, minutes: str, people: str = "1"
) -> dict[str, Any]:
    """A new change, as its form sends it."""
    p = f"g{guise.pk}"
    return {
        f"{p}-from_costume": first.pk,
        f"{p}-to_costume": second.pk,
        f"{p}-minutes": minutes,
        f"{p}-people": people,
    }


def edit_of(rule: ChangeRule, minutes: str, people: str) -> dict[str, Any]:
    """An edited change, as its form sends it."""
    p = f"r{rule.key.hex}"
    return {f"{p}-version": rule.version, f"{p}-minutes": minutes, f"{p}-people": people}


def times(show: Show, crossing: str, reset: str) -> dict[str, Any]:
    """The times behind the stage, as their form sends them."""
    return {
        "times-version": show.version,
        "times-crossing": crossing,
        "times-reset": reset,
    }
