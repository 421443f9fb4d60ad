"""Roles, guises and costumes: added in one line, edited, ordered, guarded, taken away."""

from __future__ import annotations

from datetime import date
from decimal import Decimal

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from builds.models import Figure, FigureCostume
from company import clock
from company.models import Change, Company, Role
from company.services.changes import StaleEdit
from scenes.models import Appearance, Character, Costume, Draft, Guise, Sketch
from scenes.services.costumes import add_costume, edit_costume, remove_costume
from scenes.services.drafts import open_draft
from scenes.services.guises import add_guise, edit_guise, remove_guise
from scenes.services.roles import add_role, edit_role, move_role, remove_role
from tests.factories import (
    CharacterFactory,
    CompanyFactory,
    CostumeFactory,
    GuiseFactory,
    ShowFactory,
    person,
)
from tests.scenes.plots import lay_salt_almanac

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def lead(show, client):
    user = person(show.company, Role.LEAD)
    client.force_login(user)
    return user


@pytest.fixture
def jory(show):
    return Character.objects.get(show=show, name="Jory Tarrow")


@pytest.fixture
def boy(jory):
    return jory.guises.get(name="at nine")


@pytest.fixture
def idle(show):
    """A role that nothing uses."""
    return add_role(show=show, user=None, name="The Wader", costumes=["shawl"])


def names(show):
    return list(Character.objects.filter(show=show).values_list("name", flat=True))


def address(name, *more):
    return reverse(f"scenes:{name}", args=more)


def number(guise, **more):
    letters = guise.character.letters
    return Figure.objects.create(
        show=guise.character.show, guise=guise, letters=letters, number=1, made_at=clock.now(),
        **more,
    )  # fmt: skip


# Adding


def test_role_comes_with_guise_letters_and_costumes_in_one_go(show, lead):
    guise = add_role(
        show=show,
        user=lead,
        name=" The  Pilot ",
        guise="at sea",
        kind="rod",
        costumes=["oilskin", "Sou'wester", "OILSKIN ", ""],
    )

    role = guise.character
    assert (role.name, role.letters, role.position) == ("The Pilot", "PI", 6)
    assert (guise.name, guise.kind) == ("at sea", "rod")
    assert [c.name for c in guise.costumes.all()] == ["oilskin", "Sou'wester"]
    assert [c.tint for c in guise.costumes.all()] == [2, 3]
    assert Change.objects.filter(noun="character").count() == 1


def test_role_typed_again_with_another_guise_gets_that_guise(show, lead, jory):
    guise = add_role(show=show, user=lead, name="jory TARROW", guise="at ninety")

    assert guise.character == jory
    assert jory.guises.count() == 4


@pytest.mark.parametrize(
    ("said", "field", "words"),
    [
        ({"name": ""}, "name", "A role needs a name."),
        ({"name": "Jory Tarrow"}, "guise", "is there already"),
        ({"name": "Jory Tarrow", "guise": "AT NINE"}, "guise", "has this guise already"),
        ({"name": "Jory Tarrow", "guise": "x", "letters": "X"}, "letters", "has the letters J"),
        ({"name": "New", "letters": "J"}, "letters", "Jory Tarrow has the letters J"),
        ({"name": "New", "letters": "j"}, "letters", "choose others"),
        ({"name": "New", "letters": "J4"}, "letters", "Only letters"),
        ({"name": "New", "letters": "ABCD"}, "letters", "At most three letters"),
    ],
)
def test_role_that_cannot_be_names_its_field_and_makes_nothing(show, lead, said, field, words):
    with pytest.raises(ValidationError) as refused:
        add_role(show=show, user=lead, **said)

    assert words in refused.value.message_dict[field][0]
    assert len(names(show)) == 6
    assert Guise.objects.count() == 8


def test_two_shows_may_have_the_same_role(show):
    other = ShowFactory(company=show.company)

    assert add_role(show=other, user=None, name="Jory Tarrow").character.letters == "J"


def test_guise_without_a_name_is_good_once(show, lead):
    heron = Character.objects.get(name="The Heron")

    with pytest.raises(ValidationError) as refused:
        add_guise(show=show, user=lead, character=heron, name="  ")

    assert "give this one a name" in refused.value.message_dict["name"][0]
    assert add_guise(show=show, user=lead, character=heron, name="diving").name == "diving"


# Editing


def test_letters_can_change_until_a_figure_exists(show, lead, jory, boy):
    edited = edit_role(show=show, user=lead, character=jory, version=1, name="Jory", letters="jt")
    assert (edited.name, edited.letters) == ("Jory", "JT")

    number(boy)
    with pytest.raises(ValidationError) as refused:
        edit_role(show=show, user=lead, character=jory, version=2, name="Jory", letters="J")

    assert "fixed for life" in refused.value.message_dict["letters"][0]
    again = edit_role(
        show=show, user=lead, character=jory, version=2, name="Jory Tarrow", letters="JT"
    )
    assert again.name == "Jory Tarrow"


def test_letters_are_fixed_by_a_figure_of_any_guise_and_state(show, lead, jory):
    number(jory.guises.get(name="at sixty"), state="struck")

    with pytest.raises(ValidationError):
        edit_role(show=show, user=lead, character=jory, version=1, name="Jory", letters="Z")


def test_moving_a_role_moves_one_place_and_stops_at_the_ends(show, lead, jory):
    before = names(show)

    move_role(show=show, user=lead, character=jory, is_up=True)
    assert names(show) == before

    move_role(show=show, user=lead, character=jory, is_up=False)
    assert names(show)[:2] == [before[1], before[0]]


def test_guise_takes_what_is_said_of_it(show, lead, boy):
    edited = edit_guise(
        show=show,
        user=lead,
        guise=boy,
        version=1,
        height_mm=480,
        head_mm=80,
        scale=Decimal("0.8"),
        words="quick, cold, hungry",
        has_working=True,
        chosen_by=date(2026, 4, 1),
    )

    assert (edited.height_mm, edited.version) == (480, 2)
    change = Change.objects.get(noun="guise")
    assert change.before["height_mm"] is None
    assert change.after["height_mm"] == 480


@pytest.mark.parametrize(
    ("said", "field"),
    [
        ({"name": "AT THIRTY"}, "name"),
        ({"height_mm": 80, "head_mm": 80}, "head_mm"),
        ({"scale": Decimal(0)}, "scale"),
        ({"chosen_by": date(2026, 3, 3)}, "chosen_by"),
    ],
)
def test_guise_that_cannot_be_names_its_field(show, lead, boy, said, field):
    with pytest.raises(ValidationError) as refused:
        edit_guise(show=show, user=lead, guise=boy, version=1, **said)

    assert set(refused.value.message_dict) == {field}


def test_costume_is_renamed_and_the_plot_follows(show, lead, boy):
    smock = boy.costumes.get(name="smock")

    edit_costume(show=show, user=lead, costume=smock, version=1, name="Patched smock", matters=True)

    worn = Appearance.objects.filter(guise=boy, costume__name="Patched smock")
    assert worn.count() == 2


def test_costume_name_is_there_once_in_a_guise_and_free_in_another(show, lead, boy, jory):
    with pytest.raises(ValidationError) as refused:
        add_costume(show=show, user=lead, guise=boy, name=" SMOCK")
    assert "has a costume called" in refused.value.message_dict["name"][0]

    assert add_costume(show=show, user=lead, guise=jory.guises.get(name="at thirty"), name="smock")


def test_stale_edits_change_nothing(show, lead, jory, boy):
    smock = boy.costumes.get(name="smock")
    for row in (jory, boy, smock):
        type(row).objects.filter(pk=row.pk).update(version=5)

    with pytest.raises(StaleEdit):
        edit_role(show=show, user=lead, character=jory, version=4, name="X", letters="X")
    with pytest.raises(StaleEdit):
        edit_guise(show=show, user=lead, guise=boy, version=4, name="X")
    with pytest.raises(StaleEdit):
        edit_costume(show=show, user=lead, costume=smock, version=4, name="X")

    assert not Change.objects.exists()


# Taking away


def test_what_nothing_uses_goes(show, lead, idle):
    second = add_guise(
        show=show, user=lead, character=idle.character, name="flying", costumes=["a"]
    )

    remove_costume(show=show, user=lead, costume=second.costumes.get())
    remove_guise(show=show, user=lead, guise=second)
    remove_role(show=show, user=lead, character=idle.character)

    assert "The Wader" not in names(show)
    assert Change.objects.filter(after__isnull=True).count() == 3


def test_the_last_guise_goes_only_with_its_role(show, lead, idle):
    with pytest.raises(ValidationError, match="remove the role instead"):
        remove_guise(show=show, user=lead, guise=idle)


def test_what_the_plot_uses_stays_and_says_in_which_scenes(show, lead, jory, boy):
    smock = boy.costumes.get(name="smock")

    for remove in (
        lambda: remove_role(show=show, user=lead, character=jory),
        lambda: remove_guise(show=show, user=lead, guise=boy),
        lambda: remove_costume(show=show, user=lead, costume=smock),
    ):
        with pytest.raises(ValidationError, match="in scenes 2.* and [45]") as refused:
            remove()
        assert "Take it out of there first" in " ".join(refused.value.messages)


def test_what_only_an_older_draft_uses_stays_and_says_why(show, lead, idle):
    scene = show.current_draft.scenes.first()
    Appearance.objects.create(draft=show.current_draft, scene=scene, guise=idle)
    Draft.objects.filter(pk=show.current_draft_id).update(frozen_at=clock.now())
    open_draft(show=show, user=lead)

    with pytest.raises(ValidationError, match="Draft 1 of the plot has it and is kept"):
        remove_role(show=show, user=lead, character=idle.character)


def test_what_is_on_the_bench_stays_and_names_the_figures(show, lead, idle):
    figure = number(idle)
    shawl = idle.costumes.get()
    FigureCostume.objects.create(figure=figure, costume=shawl, is_built_in=True)

    with pytest.raises(ValidationError, match=f"{figure.tag} is numbered for life"):
        remove_role(show=show, user=lead, character=idle.character)
    with pytest.raises(ValidationError, match=f"{figure.tag} wears it"):
        remove_costume(show=show, user=lead, costume=shawl)
    assert Figure.objects.get() == figure


def test_sketches_of_others_are_not_lost_with_a_guise(show, lead, idle):
    maker = person(show.company, Role.MAKER)
    Sketch.objects.create(
        guise=idle, made_by=maker, at=clock.now(), file="x.png", width_px=1, height_px=1
    )

    with pytest.raises(ValidationError, match="Sketches are kept with it"):
        remove_role(show=show, user=lead, character=idle.character)


# The page


def test_line_for_typing_adds_and_stays_open(show, lead, client):
    data = {"name": "The Wader", "guise": "", "kind": "hand", "letters": "", "costumes": "a; b,c"}

    response = client.post(address("character_add", show.pk), data, headers=HTMX)

    html = response.content.decode()
    assert response.status_code == 200
    assert 'data-announce="The Wader is in, with the letters W."' in html
    assert 'data-focus-on="role-new-name"' in html
    assert "Seven roles, nine guises and 16 costumes." in html
    assert client.post(address("character_add", show.pk), {**data, "name": "X"}).status_code == 302


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"name": "", "kind": "tin"}, {"name", "kind"}),
        ({"name": "x" * 81, "kind": "rod", "letters": "4"}, {"name", "letters"}),
        ({"name": "X", "kind": "rod", "costumes": "y" * 81}, {"costumes"}),
        ({"name": "X", "kind": "rod", "costumes": ",".join("abcdefghij" * 4)}, {"costumes"}),
        ({"name": "X\x00", "kind": "rod"}, {"name"}),
    ],
)
def test_wrong_line_is_422_with_all_it_lacks(show, lead, client, fields, wrong):
    for headers in ({}, HTMX):
        response = client.post(address("character_add", show.pk), fields, headers=headers)
        assert response.status_code == 422
        assert set(response.context["role_form"].errors) == wrong
    assert len(names(show)) == 6


def test_role_is_edited_in_its_place(show, lead, client, jory):
    where = address("character_edit", show.pk, jory.pk)
    assert 'value="Jory Tarrow"' in client.get(where, headers=HTMX).content.decode()

    client.post(where, {"name": "Jory", "letters": "jj", "version": "1"})
    jory.refresh_from_db()
    assert (jory.name, jory.letters) == ("Jory", "JJ")

    refused = client.post(where, {"name": "The Heron", "letters": "P", "version": "2"})
    assert refused.status_code == 422
    assert set(refused.context["role_edit"].errors) == {"name", "letters"}
    assert client.post(where, {"name": "A", "letters": "A", "version": "1"}).status_code == 409


def test_letters_that_are_fixed_cannot_be_typed_or_posted(show, lead, client, jory, boy):
    number(boy)
    where = address("character_edit", show.pk, jory.pk)

    assert "fixed for life" in client.get(where).content.decode()
    client.post(where, {"name": "Jory", "letters": "ZZ", "version": "1"})

    jory.refresh_from_db()
    assert (jory.name, jory.letters) == ("Jory", "J")


def test_role_moves_by_button(show, lead, client, jory):
    client.post(address("character_move", show.pk), {"down": str(jory.pk)})

    assert names(show)[1] == "Jory Tarrow"
    assert client.post(address("character_move", show.pk), {"up": "x"}).status_code == 404
    assert client.post(address("character_move", show.pk), {}).status_code == 404


def test_role_in_the_plot_says_why_it_stays(show, lead, client, jory):
    where = address("character_remove", show.pk, jory.pk)

    html = client.get(where).content.decode()
    assert "Jory Tarrow stays" in html
    assert "Jory Tarrow at sixty: The plot has it in scenes 1, 9 and 10." in html
    assert client.post(where).status_code == 422
    assert "Jory Tarrow" in names(show)


def test_idle_role_asks_first_and_goes(show, lead, client, idle):
    where = address("character_remove", show.pk, idle.character_id)

    assert "Take The Wader away?" in client.get(where).content.decode()
    assert client.post(where).status_code == 302
    assert "The Wader" not in names(show)


def test_guise_is_added_in_the_place_of_its_role(show, lead, client, jory):
    where = address("guise_add", show.pk, jory.pk)
    data = {"name": "at ninety", "kind": "string", "costumes": "shroud"}

    assert client.post(where, data).status_code == 302
    refused = client.post(where, data, headers=HTMX)
    assert refused.status_code == 422
    assert set(refused.context["new_guise"].errors) == {"name"}


# The page of a guise


def test_guise_page_says_what_it_is(show, lead, client, boy):
    html = " ".join(client.get(boy.get_absolute_url()).content.decode().split())

    assert "A string figure, in two costumes. On in scenes 2, 3, 4 and 5." in html


def test_guise_without_a_scene_is_as_good_as_any(show, lead, client, idle):
    html = client.get(idle.get_absolute_url()).content.decode()

    assert "On in no scene yet, and as good as any for that." in html


def test_guise_form_reads_every_field(show, lead, client, boy):
    response = client.post(
        address("guise_edit", show.pk, boy.pk),
        {
            "name": "at ten", "kind": "rod", "height_mm": "48 cm", "head_mm": "80", "scale": "0.8",
            "words": "quick, cold, hungry", "colours": "ash and rust", "has_working": "on",
            "chosen_by": "2026-04-01", "note": "knees\nlike knots", "version": "1",
        },
    )  # fmt: skip

    assert response.status_code == 302
    boy.refresh_from_db()
    assert (boy.name, boy.kind, boy.height_mm, boy.head_mm) == ("at ten", "rod", 480, 80)
    assert (boy.scale, boy.has_working, boy.chosen_by) == (Decimal("0.8"), True, date(2026, 4, 1))
    html = client.get(boy.get_absolute_url()).content.decode()
    assert "knees<br>like knots" in html
    assert "0.8 of the others" in html


def test_guise_form_says_everything_at_once(show, lead, client, boy):
    response = client.post(
        address("guise_edit", show.pk, boy.pk),
        {"name": "at thirty", "kind": "tin", "height_mm": "tall", "scale": "0", "chosen_by": "x"},
        headers=HTMX,
    )

    assert response.status_code == 422
    wrong = {"name", "kind", "height_mm", "scale", "chosen_by"}
    assert set(response.context["guise_form"].errors) == wrong
    assert 'value="tall"' in response.content.decode()


def test_sizes_are_told_in_the_units_of_the_company(show, lead, client, boy):
    Company.objects.update(units="us")
    Guise.objects.filter(pk=boy.pk).update(height_mm=600)

    html = client.get(boy.get_absolute_url()).content.decode()
    assert "23.62\u00a0in" in html
    edit = client.get(address("guise_edit", show.pk, boy.pk)).content.decode()
    assert 'value="23.62 in"' in edit


def test_costume_is_added_edited_and_taken_away_on_the_page(show, lead, client, boy):
    add = address("costume_add", show.pk, boy.pk)
    client.post(add, {"name": "shawl", "tint": "4", "sewing_min": "8", "weight_g": "120"})
    shawl = Costume.objects.get(name="shawl")
    assert (shawl.tint, shawl.sewing_min, shawl.weight_g, shawl.matters) == (4, 480, 120, False)

    edit = address("costume_edit", show.pk, shawl.pk)
    said = {"name": "red shawl", "tint": "5", "sewing_min": "", "matters": "on", "version": "1"}
    client.post(edit, said)
    shawl.refresh_from_db()
    assert (shawl.name, shawl.sewing_min, shawl.matters) == ("red shawl", None, True)
    assert client.post(edit, said).status_code == 409

    remove = address("costume_remove", show.pk, shawl.pk)
    assert "Take red shawl away?" in client.get(remove).content.decode()
    assert client.post(remove).status_code == 302
    assert not Costume.objects.filter(name="red shawl").exists()


def test_costume_that_is_worn_says_why_it_stays(show, lead, client, boy):
    remove = address("costume_remove", show.pk, boy.costumes.get(name="smock").pk)

    assert "Smock stays" in client.get(remove).content.decode()
    assert client.post(remove, headers=HTMX).status_code == 422
    assert boy.costumes.count() == 2


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"name": "", "tint": "7"}, {"name", "tint"}),
        ({"name": "smock", "tint": "1", "sewing_min": "long"}, {"name", "sewing_min"}),
        ({"name": "x" * 81, "tint": "1", "weight_g": "heavy"}, {"name", "weight_g"}),
    ],
)
def test_wrong_costume_is_422_with_all_it_lacks(show, lead, client, boy, fields, wrong):
    response = client.post(address("costume_add", show.pk, boy.pk), fields, headers=HTMX)

    assert response.status_code == 422
    assert set(response.context["costume_form"].errors) == wrong


def test_idle_guise_goes_and_a_playing_one_stays(show, lead, client, jory, boy):
    idle = add_guise(show=show, user=lead, character=jory, name="at ninety")

    assert client.post(address("guise_remove", show.pk, boy.pk)).status_code == 422
    assert client.post(address("guise_remove", show.pk, idle.pk)).status_code == 302
    assert not Guise.objects.filter(name="at ninety").exists()
    assert client.get(address("guise_remove", show.pk, boy.pk)).status_code == 200


# Who may


LEADS_ONLY = (
    ("character_add", "show"),
    ("character_move", "show"),
    ("character_edit", "role"),
    ("character_remove", "role"),
    ("guise_add", "role"),
    ("guise_edit", "guise"),
    ("guise_remove", "guise"),
    ("costume_add", "guise"),
    ("costume_edit", "costume"),
    ("costume_remove", "costume"),
)


def subject(show, noun):
    jory = Character.objects.get(show=show, name="Jory Tarrow")
    boy = jory.guises.get(name="at nine")
    rows = {"role": jory, "guise": boy, "costume": boy.costumes.first()}
    return (show.pk,) if noun == "show" else (show.pk, rows[noun].pk)


@pytest.mark.parametrize(("name", "noun"), LEADS_ONLY)
def test_only_a_lead_of_the_company_writes(show, client, name, noun):
    where = address(name, *subject(show, noun))

    for role in (Role.MAKER, Role.READER):
        client.force_login(person(show.company, role))
        assert client.post(where, {"down": "1"}).status_code == 403
    client.force_login(person(CompanyFactory(name="The Other Bench"), Role.LEAD))
    assert client.post(where, {"down": "1"}).status_code == 404
    client.logout()
    assert client.post(where).url.startswith(reverse("company:sign_in"))


@pytest.mark.parametrize(("name", "noun"), LEADS_ONLY[2:])
def test_rows_of_another_company_under_ones_own_show_do_not_exist(show, lead, client, name, noun):
    other = lay_salt_almanac(company=CompanyFactory(name="The Other Bench"))

    where = address(name, show.pk, subject(other, noun)[1])

    assert client.post(where, {"name": "X", "version": "1"}).status_code == 404
    assert Character.objects.filter(show=other, name="Jory Tarrow").exists()


def test_everybody_of_the_company_sees_and_nobody_else(show, client, boy):
    for role in Role:
        client.force_login(person(show.company, role))
        assert client.get(boy.get_absolute_url()).status_code == 200
    client.force_login(person(CompanyFactory(name="The Other Bench"), Role.LEAD))
    assert client.get(boy.get_absolute_url()).status_code == 404


@pytest.mark.parametrize("rows", [1, 10])
def test_guise_page_asks_the_same_of_the_database_however_many_rows(
    client, django_assert_num_queries, rows
):
    show = ShowFactory()
    lead = person(show.company, Role.LEAD)
    client.force_login(lead)
    guise = GuiseFactory(character=CharacterFactory(show=show))
    for n in range(rows):
        CostumeFactory(guise=guise, name=f"coat {n}")
        Sketch.objects.create(
            guise=guise, made_by=lead, at=clock.now(), file=f"{n}.png", width_px=1, height_px=1
        )

    with django_assert_num_queries(18):
        client.get(guise.get_absolute_url())
