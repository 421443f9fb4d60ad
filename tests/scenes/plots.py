"""Whole plots for tests: the invented show, and one of the size that the grid is built for."""

from __future__ import annotations

import random
from collections.abc import Iterable
from typing import Any

from scenes.models import Appearance, ChangeRule, Character, Costume, Draft, Guise, Scene, Show
from tests.factories import ShowFactory

SALT_SCENES = (
    ("1", "The tide table", "Act one", 4),
    ("2", "The pier", "Act one", 6),
    ("3", "The ferry", "Act one", 5),
    ("4", "Kitchen", "Act one", 8),
    ("5", "Storm", "Act one", 6),
    ("6", "Thirty years on", "Act two", 7),
    ("7", "The heron", "Act two", 5),
    ("8", "Customs shed", "Act two", 6),
    ("9", "Night crossing", "Act two", 8),
    ("10", "Salt", "Act two", 6),
)
SALT_ROLES: dict[str, tuple[str, dict[str, dict[str, str]]]] = {
    "Jory Tarrow": (
        "J",
        {
            "at nine": {"smock": "2 4", "oilskin": "3 5"},
            "at thirty": {"grey coat": "6 8"},
            "at sixty": {"pilot coat": "1 10", "nightshirt": "9"},
        },
    ),
    "Captain Pell": ("P", {"": {"uniform": "3 5 8", "drowned": "9"}}),
    "The Heron": ("H", {"": {"flying": "7", "standing": "7 10"}}),
    "Bartle, ferryman": ("B", {"": {"apron": "3", "tarpaulin": "6 9"}}),
    "Sister Quill": ("Q", {"": {"habit": "4 6"}}),
    "Gulls": ("G", {"three on one control": {"plain": "5 7"}}),
}


def lay_draft(show: Show, scenes: Iterable[tuple[str, str, str, int]], **more: Any) -> Draft:
    """A current draft with these scenes: label, title, act, minutes. Half a minute between them."""
    draft = Draft.objects.create(show=show, number=1, **more)
    for position, (label, title, act, minutes) in enumerate(scenes):
        Scene.objects.create(
            draft=draft,
            label=label,
            title=title,
            act=act,
            position=position,
            length_s=minutes * 60,
            gap_s=30,
        )
    show.current_draft = draft
    show.save(update_fields=["current_draft"])
    return draft


def put_on(
    draft: Draft, guise: Guise, costume: Costume | None, label: str, **more: Any
) -> Appearance:
    """One appearance in the scene of this label."""
    scene = Scene.objects.get(draft=draft, label=label)
    row: Appearance = Appearance.objects.create(
        draft=draft, scene=scene, guise=guise, costume=costume, **more
    )
    return row


def lay_salt_almanac(**more: Any) -> Show:
    """The invented show with its ten scenes, an interval and one change: twelve figures."""
    show: Show = ShowFactory(reset_s=30, crossing_s=60, **more)
    draft = lay_draft(show, SALT_SCENES)
    Scene.objects.filter(draft=draft, label="5").update(gap_s=20 * 60, is_interval=True)
    for position, (name, (letters, guises)) in enumerate(SALT_ROLES.items()):
        character = Character.objects.create(
            show=show, name=name, letters=letters, position=position
        )
        for place, (guise_name, wears) in enumerate(guises.items()):
            guise = Guise.objects.create(character=character, name=guise_name, position=place)
            for order, (costume_name, labels) in enumerate(wears.items()):
                costume = Costume.objects.create(
                    guise=guise,
                    name=costume_name,
                    tint=(position * 2 + place + order) % 6 + 1,
                    position=order,
                )
                for label in labels.split():
                    put_on(draft, guise, costume, label)
    bartle = Guise.objects.get(character__show=show, character__letters="B")
    apron, tarpaulin = bartle.costumes.all()
    ChangeRule.objects.create(
        draft=draft, guise=bartle, from_costume=apron, to_costume=tarpaulin, change_s=240
    )
    return show


def lay_large_plot(
    roles: int = 40, scenes: int = 60, appearances: int = 400, seed: int = 2, **more: Any
) -> Show:
    """A plot of any size, the same for the same seed; three costumes a guise."""
    dice = random.Random(seed)
    show: Show = ShowFactory(reset_s=30, crossing_s=60, **more)
    draft = lay_draft(show, [(str(n + 1), f"Scene {n + 1}", "", 4) for n in range(scenes)])
    characters = Character.objects.bulk_create(
        Character(show=show, name=f"Role {n + 1}", letters=_letters(n), position=n)
        for n in range(roles)
    )
    guises = Guise.objects.bulk_create(Guise(character=character) for character in characters)
    costumes = Costume.objects.bulk_create(
        Costume(guise=guise, name=name, tint=tint, position=tint)
        for guise in guises
        for tint, name in enumerate(("smock", "oilskin", "grey coat"), 1)
    )
    rows = list(Scene.objects.filter(draft=draft))
    cells = [(guise, scene) for guise in range(roles) for scene in range(scenes)]
    Appearance.objects.bulk_create(
        Appearance(
            draft=draft,
            scene=rows[scene],
            guise=guises[guise],
            costume=costumes[guise * 3 + dice.randrange(3)],
            from_place=dice.choice(("", "left", "right")),
            to_place=dice.choice(("", "left", "right")),
        )
        for guise, scene in sorted(dice.sample(cells, min(appearances, len(cells))))
    )
    ChangeRule.objects.bulk_create(
        ChangeRule(
            draft=draft,
            guise=guise,
            from_costume=costumes[n * 3],
            to_costume=costumes[n * 3 + 1],
            change_s=120,
        )
        for n, guise in enumerate(guises)
    )
    return show


def _letters(number: int) -> str:
    return "".join(chr(65 + number // 26**place % 26) for place in (1, 0))
