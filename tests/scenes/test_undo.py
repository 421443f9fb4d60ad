"""Undo and redo: every edit on record can be turned back, and made again, to the last byte."""

from __future__ import annotations

import random
import re
from collections.abc import Callable

import pytest
from django.core.exceptions import ValidationError
from django.db import transaction
from django.urls import reverse
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from company import clock
from company.models import Change, Role
from scenes.loading import stamp_of
from scenes.models import (
    Appearance,
    Character,
    Costume,
    Draft,
    Guise,
    Pin,
    Rig,
    Scene,
    Show,
    Walk,
)
from scenes.queries.undo import Step, find_undo, read_undo
from scenes.services.cells import Wanted, as_wanted, copy_along, pick_costume, read_cell, set_cell
from scenes.services.costumes import add_costume, edit_costume, remove_costume
from scenes.services.exports import export_plot
from scenes.services.guises import add_guise, edit_guise, remove_guise
from scenes.services.paste import paste_block
from scenes.services.pins import lift_pin, set_pin
from scenes.services.places import add_walk, remove_walk
from scenes.services.plot import add_rule, edit_rule, remove_rule, set_times
from scenes.services.rigs import remove_rig, set_rig
from scenes.services.roles import add_role, edit_role, move_role, remove_role
from scenes.services.scenes import add_scene, edit_scene, move_scene, remove_scene
from scenes.services.undo import UndoRefused, redo_edit, undo_edit
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac
from tests.scenes.sent import HTMX

pytestmark = pytest.mark.django_db

UNDO_QUERIES = 42


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
    pins = Pin.objects.filter(guise__character__show=show).order_by("key")
    return export_plot(fresh(show)) | {
        "pins": repr([(p.key, p.guise_id, p.kind, p.first_key, p.said) for p in pins]).encode(),
        "times": f"{fresh(show).crossing_s} {fresh(show).reset_s}".encode(),
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


def do_paste(show, user, dice):
    guise, at = any_cell(show, dice)
    cells = [dice.choice(["", "smock", "night cap; coat x2", "undecided"]) for _ in range(6)]
    paste_block(
        show=show, user=user, text="\t".join(cells[:3]) + "\n" + "\t".join(cells[3:]),
        at=(guise.pk, at.key),
    )  # fmt: skip


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


def do_walk(show, user, dice):
    ends = dice.sample(["left", "right", "bridge", "trap"], 2)
    walks = list(Walk.objects.filter(show=show).order_by("pk"))
    if walks and dice.random() < 0.4:
        remove_walk(show=show, user=user, pk=dice.choice(walks).pk)
    else:
        add_walk(
            show=show, user=user, from_place=ends[0], to_place=ends[1],
            walk_s=dice.randrange(90), is_both_ways=dice.random() < 0.5,
        )  # fmt: skip


def do_rig(show, user, dice):
    guise, _ = any_cell(show, dice)
    rigs = list(Rig.objects.filter(guise=guise).order_by("pk"))
    if rigs and dice.random() < 0.4:
        remove_rig(show=show, user=user, guise=guise, pk=dice.choice(rigs).pk)
    else:
        set_rig(
            show=show, user=user, guise=guise, name=dice.choice(["fight", "flying on a wire"]),
            plays_plain=dice.random() < 0.5,
        )  # fmt: skip


def do_pin(show, user, dice):
    guise, _ = any_cell(show, dice)
    pins = list(Pin.objects.filter(guise__character__show=show).order_by("pk"))
    if pins and dice.random() < 0.4:
        lift_pin(show=show, user=user, key=dice.choice(pins).key)
    else:
        set_pin(show=show, user=user, guise=guise, kind="more")


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
        for number, name in enumerate(names):
            # A costume that was pasted stays where a draft at the bench has it.
            if dice.random() < 0.15 and "paste" not in names[:number]:
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


# Whose edits, and whose rows


def test_edit_of_an_entry_that_somebody_else_changed_since_stays(show, lead, odile, heron):
    take_out(fresh(show), lead, heron, "7")
    flying = heron.costumes.get(name="flying")
    pick_costume(
        show=fresh(show), user=odile, guise=heron, scene_key=scene(show, "7").key,
        costume_id=flying.pk,
    )  # fmt: skip
    pick_costume(
        show=fresh(show), user=lead, guise=heron, scene_key=scene(show, "10").key,
        costume_id=flying.pk,
    )  # fmt: skip
    Appearance.objects.filter(guise=heron, scene__label="10").update(copies=3)
    set_times(show=fresh(show), user=odile, crossing_s=5, reset_s=5)
    before = files(show)

    with pytest.raises(UndoRefused) as refused:
        undo_edit(show=fresh(show), user=lead)

    assert refused.value.said == "The Heron in scene 10"
    assert refused.value.sentences == [
        "The Heron in scene 10 was changed since then: it stays as it is."
    ]
    assert files(show) == before
    assert undo_edit(show=fresh(show), user=odile).said == "the times behind the stage"
    assert undo_edit(show=fresh(show), user=odile).said == "The Heron in scene 7"


def test_refusal_names_the_row_and_who_was_there(show, lead, odile, heron):
    pier = scene(show, "2")
    edit_scene(show=fresh(show), user=lead, key=pier.key, title="The old pier")
    edit_scene(show=fresh(show), user=odile, key=pier.key, length_s=400)

    with pytest.raises(UndoRefused, match="Scene 2 was changed by Odile since then"):
        undo_edit(show=fresh(show), user=lead)

    undo_edit(show=fresh(show), user=odile)
    assert undo_edit(show=fresh(show), user=lead)
    assert scene(show, "2").title == "The pier"


def test_entry_does_not_come_back_into_a_scene_that_is_gone(show, lead, odile, heron):
    take_out(fresh(show), lead, heron, "7")
    remove_scene(show=fresh(show), user=odile, key=scene(show, "7").key)

    with pytest.raises(UndoRefused, match="Scene 7 was changed by Odile since then"):
        undo_edit(show=fresh(show), user=lead)


def test_scene_with_others_in_it_does_not_go(show, lead, odile, heron):
    add_scene(show=fresh(show), user=lead, label="11", title="Ice", length_s=120)
    pick_costume(
        show=fresh(show), user=odile, guise=heron, scene_key=scene(show, "11").key, costume_id=None
    )

    with pytest.raises(UndoRefused, match="Scene 11 stays: Odile has put others on in it since"):
        undo_edit(show=fresh(show), user=lead)

    assert Appearance.objects.filter(scene__label="11").count() == 1


def test_role_that_is_in_the_plot_by_now_does_not_go(show, lead, odile):
    guise = add_role(show=fresh(show), user=lead, name="The Wader", costumes=["grey"])
    pick_costume(
        show=fresh(show), user=odile, guise=guise, scene_key=scene(show, "1").key,
        costume_id=guise.costumes.get().pk,
    )  # fmt: skip

    with pytest.raises(UndoRefused, match="The plot has it in scene 1"):
        undo_edit(show=fresh(show), user=lead)


def test_entry_that_no_longer_fits_its_scene_does_not_come_back(show, lead, odile, heron):
    key = scene(show, "7").key
    set_cell(
        show=fresh(show), user=lead, guise=heron, scene_key=key,
        wanted=[Wanted(costume_id=None, enters_s=200, leaves_s=300)],
    )  # fmt: skip
    take_out(fresh(show), lead, heron, "7")
    edit_scene(show=fresh(show), user=odile, key=key, length_s=150)

    with pytest.raises(UndoRefused, match="The Heron in scene 7 leaves at 5, later than the end"):
        undo_edit(show=fresh(show), user=lead)


def test_scene_added_by_another_keeps_its_place_in_the_order(show, lead, odile):
    move_scene(show=fresh(show), user=lead, key=scene(show, "1").key, after=scene(show, "3").key)
    add_scene(show=fresh(show), user=odile, label="11", length_s=60)

    undo_edit(show=fresh(show), user=lead)

    labels = Scene.objects.filter(draft=fresh(show).current_draft).values_list("label", flat=True)
    assert list(labels) == [*map(str, range(1, 12))]


def test_removed_scene_comes_back_with_everybody_who_was_on(show, lead):
    on = Appearance.objects.filter(scene__label="5").count()
    remove_scene(show=fresh(show), user=lead, key=scene(show, "5").key)

    undone = undo_edit(show=fresh(show), user=lead)

    assert undone.said == "scene 5 taken out"
    back = scene(show, "5")
    assert (back.is_interval, back.gap_s, back.appearances.count(), on) == (True, 1200, 3, 3)
    assert not scene(show, "4").is_interval


def test_stamp_of_an_undone_cell_is_a_new_one(show, lead, heron):
    stands = list(Appearance.objects.filter(guise=heron, scene__label="7"))
    old = stamp_of(stands)
    take_out(fresh(show), lead, heron, "7")
    undo_edit(show=fresh(show), user=lead)

    assert stamp_of(Appearance.objects.filter(guise=heron, scene__label="7")) != old


def test_undo_is_on_record_with_what_it_undoes(show, lead, heron):
    take_out(fresh(show), lead, heron, "7")
    undo_edit(show=fresh(show), user=lead)

    edit, undo = Change.objects.order_by("pk")

    assert (undo.undoes, undo.noun, undo.row, undo.user) == (edit, "plot", edit.row, lead)
    assert "appearances" not in undo.before
    assert [row["key"] for row in undo.after["appearances"]] == [
        row["key"] for row in edit.before["appearances"]
    ]


def test_edit_that_changed_nothing_is_no_step(show, lead):
    move_scene(show=fresh(show), user=lead, key=scene(show, "1").key, is_up=True)

    assert Change.objects.count() == 1
    assert read_undo(show, lead).undo is None


@given(st.lists(st.sampled_from(["edit", "undo", "redo"]), max_size=40))
def test_steps_are_those_of_two_piles(moves):
    record: list[Step] = []
    done: list[int] = []
    undone: list[int] = []
    for number, move in enumerate(moves, 1):
        if move == "edit":
            record.append(Step(number, None, ""))
            done.append(number)
            undone = []
        elif move == "undo" and done:
            record.append(Step(number, done.pop(), ""))
            undone.append(number)
        elif move == "redo" and undone:
            record.append(Step(number, undone.pop(), ""))
            done.append(number)
        state = find_undo(reversed(record))
        assert (state.undo and state.undo.id) == (done[-1] if done else None)
        assert (state.redo and state.redo.id) == (undone[-1] if undone else None)


# The pages


def turn(client, show, name="undo", headers=None, **values):
    url = reverse(f"scenes:plot_{name}", args=[show.pk])
    return client.post(url, values, headers=headers or {})


def test_buttons_say_what_they_turn_back_on_three_pages(show, lead, heron, client):
    client.force_login(lead)
    take_out(fresh(show), lead, heron, "7")

    for page in ("plot_grid", "plot", "scene_list"):
        html = client.get(reverse(f"scenes:{page}", args=[show.pk])).content.decode()
        assert "Undo <small>The Heron in scene 7</small>" in html, page
        assert re.search(r'id="redo-button"[^>]*aria-disabled="true"', html), page


@pytest.mark.parametrize("role", [Role.READER, Role.MAKER])
def test_those_who_only_look_have_no_undo(show, client, role):
    client.force_login(person(show.company, role))

    for page in ("plot_grid", "plot", "scene_list"):
        assert (
            'id="undo"'
            not in client.get(reverse(f"scenes:{page}", args=[show.pk])).content.decode()
        )
    assert turn(client, show).status_code == 403


def test_undo_answers_with_its_rows_and_the_count(show, lead, heron, client):
    client.force_login(lead)
    take_out(fresh(show), lead, heron, "7")

    answer = turn(client, show, headers=HTMX, at="grid")
    html = answer.content.decode()

    assert re.findall(r'<tr id="(row-\d+)"', html) == [f"row-{heron.pk}"]
    assert "12 figures" in html
    assert "Redo <small>The Heron in scene 7</small>" in html
    assert "Undone: The Heron in scene 7." in html
    assert len(answer.content) < 30_000
    again = turn(client, show, "redo", headers=HTMX, at="grid")
    assert "Made again: The Heron in scene 7." in again.content.decode()


def test_undo_of_more_than_cells_loads_the_page_anew(show, lead, client):
    client.force_login(lead)
    remove_scene(show=fresh(show), user=lead, key=scene(show, "5").key)

    assert turn(client, show, headers=HTMX, at="grid")["HX-Refresh"] == "true"


def test_undo_without_scripts_comes_back_to_its_page(show, lead, client):
    client.force_login(lead)
    set_times(show=fresh(show), user=lead, crossing_s=5, reset_s=5)

    answer = turn(client, show, at="plot")

    assert answer.url == reverse("scenes:plot", args=[show.pk])
    assert "Undone: the times behind the stage." in client.get(answer.url).content.decode()
    assert fresh(show).crossing_s == 60


def test_button_pressed_twice_turns_back_one_edit(show, lead, heron, client):
    client.force_login(lead)
    take_out(fresh(show), lead, heron, "7")
    take_out(fresh(show), lead, heron, "10")
    step = str(read_undo(show, lead).undo.id)

    turn(client, show, step=step)
    turn(client, show, step=step)

    assert read_undo(show, lead).undo.said == "The Heron in scene 7"


@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_refusal_is_told(show, lead, odile, client, headers):
    client.force_login(lead)
    pier = scene(show, "2")
    edit_scene(show=fresh(show), user=lead, key=pier.key, title="The old pier")
    edit_scene(show=fresh(show), user=odile, key=pier.key, length_s=400)

    answer = turn(client, show, headers=headers, at="scenes")

    if not headers:
        answer = client.get(answer.url)
    else:
        assert answer.status_code == 409
    assert "Scene 2 was changed by Odile since then: it stays as it is." in answer.content.decode()


def test_nothing_to_undo_is_said(show, lead, client):
    client.force_login(lead)

    answer = turn(client, show, headers=HTMX, at="grid")

    assert "There is nothing left to undo." in answer.content.decode()


@pytest.mark.parametrize("rows", [1, 10])
def test_undo_reads_the_same_for_one_row_and_for_ten(
    show, lead, heron, client, django_assert_num_queries, rows
):
    client.force_login(lead)
    for _ in range(rows):
        for label in ("7", "10"):
            take_out(fresh(show), lead, heron, label)
            undo_edit(show=fresh(show), user=lead)
    take_out(fresh(show), lead, heron, "10")

    with django_assert_num_queries(UNDO_QUERIES):
        turn(client, show, headers=HTMX, at="grid")
