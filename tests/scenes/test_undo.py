"""Undo and redo: every edit on record can be turned back, and made again, to the last byte."""

from __future__ import annotations

import random
from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from company import clock
from company.models import Role
from scenes.models import Appearance, Character, Costume, Draft, Guise, Scene, Show
from scenes.queries.undo import read_undo
from scenes.services.cells import Wanted, as_wanted, copy_along, read_cell, set_cell
from scenes.services.costumes import add_costume, edit_costume, remove_costume
from scenes.services.exports import export_plot
from scenes.services.guises import add_guise, edit_guise, remove_guise
from scenes.services.plot import add_rule, edit_rule, remove_rule, set_times
from scenes.services.roles import add_role, edit_role, move_role, remove_role
from scenes.services.scenes import add_scene, edit_scene, move_scene, remove_scene
from scenes.services.undo import redo_edit, undo_edit
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def lead(show):
    return person(show.company, Role.LEAD)


@pytest.fixture
def odile(show):
    return person(show.company, Role.LEAD, name="Odile")


@pytest.fixture
def heron(show):
    return Guise.objects.get(character__name="The Heron")


def fresh(show: Show) -> Show:
    return Show.objects.select_related("company", "current_draft").get(pk=show.pk)


def files(show: Show) -> dict[str, bytes]:
    return export_plot(fresh(show)) | {
        "times": f"{fresh(show).crossing_s} {fresh(show).reset_s}".encode()
    }


def scene(show: Show, label: str) -> Scene:
    row: Scene = Scene.objects.get(draft=fresh(show).current_draft, label=label)
    return row


def take_out(show, user, guise, label):
    return set_cell(show=show, user=user, guise=guise, scene_key=scene(show, label).key, wanted=[])


def freeze(show: Show) -> None:
    Draft.objects.filter(pk=fresh(show).current_draft_id).update(frozen_at=clock.now())


# What a lead may do, each with dice: whatever it does, one undo turns it back.


def any_cell(show: Show, dice: random.Random) -> tuple[Guise, Scene]:
    guises = list(Guise.objects.filter(character__show=show).order_by("pk"))
    scenes = list(Scene.objects.filter(draft=show.current_draft))
    return dice.choice(guises), dice.choice(scenes)


def do_cell(show, user, dice):
    guise, at = any_cell(show, dice)
    costumes = [None, *Costume.objects.filter(guise=guise).values_list("pk", flat=True)]
    wanted = [
        Wanted(
            costume_id=dice.choice(costumes),
            enters_s=dice.choice([None, 0, 10, -20]),
            leaves_s=dice.choice([None, 100, 150]),
            from_place=dice.choice(["", "left"]),
            copies=dice.choice([1, 3]),
        )
        for _ in range(dice.choice([0, 1, 1, 2, 3]))
    ]
    _, stands = read_cell(show, guise, at.key)
    if stands and dice.random() < 0.5:
        wanted.append(as_wanted(dice.choice(stands)))
    set_cell(show=show, user=user, guise=guise, scene_key=at.key, wanted=wanted)


def do_carry(show, user, dice):
    entry = dice.choice(list(Appearance.objects.filter(draft=show.current_draft).order_by("pk")))
    _, until = any_cell(show, dice)
    copy_along(
        show=show, user=user, guise=entry.guise, scene_key=entry.scene.key, until_key=until.key
    )


def do_rule(show, user, dice):
    guise, _ = any_cell(show, dice)
    worn = list(Costume.objects.filter(guise=guise).order_by("pk"))
    first, second = dice.sample(worn * 2, 2)
    add_rule(
        show=show, user=user, guise=guise, from_costume=first, to_costume=second,
        change_s=dice.randrange(300),
    )  # fmt: skip


def do_old_rule(show, user, dice):
    rule = dice.choice(list(fresh(show).current_draft.change_rules.order_by("pk")))
    if dice.random() < 0.5:
        remove_rule(show=show, user=user, key=rule.key)
    else:
        edit_rule(show=show, user=user, key=rule.key, change_s=dice.randrange(400), people=2)


def do_times(show, user, dice):
    set_times(show=show, user=user, crossing_s=dice.randrange(200), reset_s=dice.randrange(90))


def do_scene_new(show, user, dice):
    add_scene(show=show, user=user, label=f"{dice.randrange(90)}a", title="New", length_s=200)


def do_scene_edit(show, user, dice):
    _, at = any_cell(show, dice)
    edit_scene(
        show=show, user=user, key=at.key, title=dice.choice(["", "Salt and ice"]),
        length_s=dice.choice([60, 120, 400]), exits=dice.choice(["follow", "keep"]),
    )  # fmt: skip


def do_scene_move(show, user, dice):
    _, at = any_cell(show, dice)
    _, other = any_cell(show, dice)
    if dice.random() < 0.5:
        move_scene(show=show, user=user, key=at.key, is_up=dice.random() < 0.5)
    else:
        move_scene(show=show, user=user, key=at.key, after=other.key)


def do_scene_out(show, user, dice):
    _, at = any_cell(show, dice)
    remove_scene(show=show, user=user, key=at.key)


def do_role_new(show, user, dice):
    add_role(
        show=show, user=user, name=f"Keeper {dice.randrange(50)}", guise=dice.choice(["", "old"]),
        costumes=["cloak", "shirt"],
    )  # fmt: skip


def do_role(show, user, dice):
    role = dice.choice(list(Character.objects.filter(show=show).order_by("pk")))
    choice = dice.randrange(4)
    if choice == 0:
        move_role(show=show, user=user, character=role, is_up=dice.random() < 0.5)
    elif choice == 1:
        remove_role(show=show, user=user, character=role)
    elif choice == 2:
        add_guise(show=show, user=user, character=role, name=f"at {dice.randrange(99)}",
                  costumes=["shawl"])  # fmt: skip
    else:
        edit_role(show=show, user=user, character=role, version=None, letters=role.letters,
                  name=f"{role.name} the younger"[:80])  # fmt: skip


def do_guise(show, user, dice):
    guise, _ = any_cell(show, dice)
    if dice.random() < 0.4:
        remove_guise(show=show, user=user, guise=guise)
    else:
        edit_guise(show=show, user=user, guise=guise, height_mm=dice.randrange(200, 900))


def do_costume(show, user, dice):
    guise, _ = any_cell(show, dice)
    worn = list(Costume.objects.filter(guise=guise).order_by("pk"))
    choice = dice.randrange(3)
    if choice == 0 or not worn:
        add_costume(show=show, user=user, guise=guise, name=f"scarf {dice.randrange(40)}")
    elif choice == 1:
        edit_costume(show=show, user=user, costume=dice.choice(worn), sewing_min=60, tint=2)
    else:
        remove_costume(show=show, user=user, costume=dice.choice(worn))


EDITS: dict[str, Callable[..., None]] = {
    name.removeprefix("do_"): edit for name, edit in list(globals().items()) if name[:3] == "do_"
}


def try_edit(show: Show, user, name: str, dice: random.Random) -> bool:
    """Whether the edit did anything that can be undone; many are refused, as they should be."""
    before = read_undo(show, user).undo
    try:
        with transaction.atomic():
            EDITS[name](fresh(show), user, dice)
    except (ValidationError, IndexError):
        return False
    return read_undo(show, user).undo != before


@given(seed=st.integers(0, 10**6), names=st.lists(st.sampled_from(sorted(EDITS)), max_size=12))
@settings(deadline=None, max_examples=8, phases=[Phase.explicit, Phase.generate])
def test_undo_turns_everything_back_and_redo_makes_it_again(seed, names):
    with transaction.atomic():
        show = lay_salt_almanac(title=f"Show {seed}")
        lead = person(show.company, Role.LEAD)
        dice = random.Random(seed)
        states = [files(show)]
        for name in names:
            if dice.random() < 0.15:
                freeze(show)
            if try_edit(show, lead, name, dice):
                assert files(show) != states[-1], name
                states.append(files(show))

        for state in reversed(states[:-1]):
            assert undo_edit(show=fresh(show), user=lead)
            assert files(show) == state
        assert undo_edit(show=fresh(show), user=lead) is None
        for state in states[1:]:
            assert redo_edit(show=fresh(show), user=lead)
            assert files(show) == state
        assert redo_edit(show=fresh(show), user=lead) is None
        for state in reversed(states[:-1]):
            assert undo_edit(show=fresh(show), user=lead)
            assert files(show) == state
        transaction.set_rollback(True)


@pytest.mark.parametrize("name", sorted(EDITS))
@pytest.mark.parametrize("frozen", [False, True], ids=["", "frozen"])
def test_each_edit_is_turned_back_to_the_last_byte(show, lead, name, frozen):
    dice = random.Random(name)
    for _ in range(3):
        try_edit(show, lead, "cell", dice)
    if frozen:
        freeze(show)
    before, drafts = files(show), Draft.objects.count()
    assert any(try_edit(show, lead, name, dice) for _ in range(60)), "it is never allowed"
    after = files(show)

    assert undo_edit(show=fresh(show), user=lead)
    assert files(show) == before
    assert Draft.objects.count() == drafts, "a draft that it had opened goes with it"
    assert redo_edit(show=fresh(show), user=lead)
    assert files(show) == after
