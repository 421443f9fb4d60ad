"""Every edit of a cell: by a key, in the panel; drafts, two editors, the record."""

from __future__ import annotations

import re
from uuid import uuid4

import pytest

from company import clock
from company.models import Change, Role
from scenes.models import Appearance, Costume, Draft, Guise, Scene
from tests.factories import person
from tests.scenes.plots import lay_salt_almanac
from tests.scenes.sent import HTMX, address, cell, sent, stamp

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def lead(show, client):
    user = person(show.company, Role.LEAD)
    client.force_login(user)
    return user


@pytest.fixture
def heron(show):
    return Guise.objects.get(character__show=show, character__name="The Heron")


# Edits by a key


def test_letter_puts_a_costume_on_and_swaps_row_sentence_and_count_alone(show, lead, heron, client):
    flying = heron.costumes.get(name="flying")

    response = client.post(
        address(show, heron, "8", "cell_pick"),
        {"costume": str(flying.pk), "stamp": ""},
        headers=HTMX,
    )

    html = response.content.decode()
    assert response.status_code == 200
    assert re.findall(r'<tr id="(row-\d+)"', html) == [f"row-{heron.pk}"]
    assert re.findall(r'id="([^"]+)" hx-swap-oob="true"', html) == [
        "lede",
        "plot-total",
        "plot-draft",
        "undo",
    ]
    assert "plot:written" in response["HX-Trigger-After-Settle"]
    assert "<html" not in html
    (row,) = cell(show, heron, "8")
    assert (row.costume, row.hold, row.copies, row.enters_s) == (flying, "two hands", 1, None)


def test_letter_changes_the_costume_of_the_one_that_stands_there(show, lead, heron, client):
    standing, flying = heron.costumes.get(name="standing"), heron.costumes.get(name="flying")
    (before,) = cell(show, heron, "10")
    Appearance.objects.filter(pk=before.pk).update(from_place="left", copies=2)

    client.post(
        address(show, heron, "10", "cell_pick"),
        {"costume": str(flying.pk), "stamp": stamp(show, heron, "10")},
        headers=HTMX,
    )

    (after,) = cell(show, heron, "10")
    assert (after.key, after.costume, after.from_place, after.copies) == (
        before.key,
        flying,
        "left",
        2,
    )
    assert after.version == before.version + 1
    assert standing not in [a.costume for a in cell(show, heron, "10")]


def test_undecided_is_a_costume_of_its_own(show, lead, heron, client):
    response = client.post(
        address(show, heron, "1", "cell_pick"), {"costume": "undecided", "stamp": ""}, headers=HTMX
    )

    assert "<b>13 figures</b>" in response.content.decode()
    assert 'cloth-undecided">undecided' in response.content.decode()
    assert cell(show, heron, "1")[0].costume is None


def test_letter_in_a_cell_with_several_is_refused_with_the_panel(show, lead, heron, client):
    flying = heron.costumes.get(name="flying")

    response = client.post(
        address(show, heron, "7", "cell_pick"),
        {"costume": str(flying.pk), "stamp": stamp(show, heron, "7")},
        headers=HTMX,
    )

    assert response.status_code == 422
    assert response["HX-Retarget"] == "#plot-panel"
    assert "say which" in response.content.decode()
    assert len(cell(show, heron, "7")) == 2


@pytest.mark.parametrize("costume", ["another", "999999", "smock", "", "-1"])
def test_letter_for_a_costume_that_is_not_the_guises_is_refused(costume, show, lead, heron, client):
    if costume == "another":
        costume = str(Costume.objects.exclude(guise=heron).first().pk)

    response = client.post(
        address(show, heron, "1", "cell_pick"), {"costume": costume, "stamp": ""}, headers=HTMX
    )

    assert response.status_code == 422
    assert cell(show, heron, "1") == []
    assert Change.objects.count() == 0


def test_delete_takes_out_all_that_stands_in_the_cell(show, lead, heron, client):
    response = client.post(
        address(show, heron, "7", "cell_clear"),
        {"stamp": stamp(show, heron, "7")},
        headers=HTMX,
    )

    assert response.status_code == 200
    assert cell(show, heron, "7") == []
    assert "<b>11 figures</b>" in response.content.decode()


def test_carrying_along_fills_empty_cells_and_leaves_the_others(show, lead, heron, client):
    (there,) = cell(show, heron, "10")
    Appearance.objects.filter(pk=there.pk).update(
        enters_s=60, leaves_s=120, to_place="left", copies=2, hold="one hand", rig="flight"
    )
    until = Scene.objects.get(label="6").key

    response = client.post(
        address(show, heron, "10", "cell_copy"), {"copy-until": str(until)}, headers=HTMX
    )

    assert response.status_code == 200
    assert "Scene 7 left as before" in response["HX-Trigger-After-Settle"]
    assert len(cell(show, heron, "7")) == 2
    for label in ("6", "8", "9"):
        (row,) = cell(show, heron, label)
        assert (row.costume, row.to_place, row.copies) == (there.costume, "left", 2), label
        assert (row.hold, row.rig, row.enters_s, row.leaves_s) == ("one hand", "flight", None, None)
        assert row.key != there.key
    assert cell(show, heron, "5") == []


def test_carrying_nothing_along_is_refused(show, lead, heron, client):
    until = str(Scene.objects.get(label="3").key)

    response = client.post(address(show, heron, "1", "cell_copy"), {"copy-until": until})

    assert response.status_code == 422
    assert "nothing in this scene to carry along" in response.content.decode()


def test_carrying_to_a_scene_that_is_gone_is_refused(show, lead, heron, client):
    response = client.post(
        address(show, heron, "7", "cell_copy"), {"copy-until": str(uuid4())}, headers=HTMX
    )

    assert response.status_code == 422
    assert "no longer in the plot" in response.content.decode()


# Drafts, two editors, the record


def test_edit_of_a_frozen_draft_opens_the_next_and_goes_on(show, lead, heron, client):
    frozen = show.current_draft
    Draft.objects.filter(pk=frozen.pk).update(frozen_at=clock.now())
    before = stamp(show, heron, "10")
    url = address(show, heron, "10", "cell_clear")

    response = client.post(url, {"stamp": before}, headers=HTMX)

    show.refresh_from_db()
    assert response.status_code == 200
    assert ">draft 2<" in response.content.decode()
    assert (show.current_draft.number, show.current_draft.parent) == (2, frozen)
    assert Appearance.objects.filter(draft=frozen).count() == 23
    assert Appearance.objects.filter(draft=show.current_draft).count() == 22
    # The page in the browser still has the addresses and stamps of the draft before.
    seventh = stamp(show, heron, "7")
    again = client.post(address(show, heron, "7", "cell_clear"), {"stamp": seventh}, headers=HTMX)
    assert again.status_code == 200
    assert Draft.objects.filter(show=show).count() == 2


def test_refused_edit_of_a_frozen_draft_opens_nothing(show, lead, heron, client):
    Draft.objects.filter(pk=show.current_draft.pk).update(frozen_at=clock.now())

    client.post(address(show, heron, "8"), sent(new__costume="undecided", new__copies="0"))
    client.post(address(show, heron, "8", "cell_clear"), {"stamp": ""})

    assert Draft.objects.filter(show=show).count() == 1


@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_second_of_two_editors_sees_both_texts(headers, show, lead, heron, client):
    mine = cell(show, heron, "10")
    Appearance.objects.filter(pk=mine[0].pk).update(from_place="bridge", copies=4, version=2)

    response = client.post(
        address(show, heron, "10"),
        sent(mine, a0__to_place="left", a0__enters="1"),
        headers=headers,
    )

    html = response.content.decode()
    assert response.status_code == 409
    assert "standing, from 1, goes to left" in html
    assert "×4" in html
    assert ("<html" in html) == (headers == {})
    (row,) = cell(show, heron, "10")
    assert (row.from_place, row.to_place) == ("bridge", "")
    assert Change.objects.count() == 0
    if headers:
        assert f'<tr id="row-{heron.pk}"' in html


@pytest.mark.parametrize("verb", ["cell_pick", "cell_clear"])
def test_key_pressed_on_a_cell_that_was_changed_meanwhile_is_refused(
    verb, show, lead, heron, client
):
    old = stamp(show, heron, "10")
    Appearance.objects.filter(pk=cell(show, heron, "10")[0].pk).update(version=2, copies=4)

    response = client.post(
        address(show, heron, "10", verb), {"costume": "undecided", "stamp": old}, headers=HTMX
    )

    assert response.status_code == 409
    assert cell(show, heron, "10")[0].copies == 4


def test_sending_an_edit_twice_is_harmless(show, lead, heron, client):
    flying = str(heron.costumes.get(name="flying").pk)
    until = str(Scene.objects.get(label="9").key)
    edits = [
        (address(show, heron, "8", "cell_pick"), {"costume": flying, "stamp": ""}),
        (address(show, heron, "3"), sent(new__costume=flying, new__copies="2")),
        (address(show, heron, "8", "cell_copy"), {"copy-until": until}),
    ]
    for url, data in edits:
        statuses = [client.post(url, data, headers=HTMX).status_code for _ in range(2)]
        assert statuses == [200, 200], url
    old = stamp(show, heron, "9")
    for _ in range(2):
        clear = address(show, heron, "9", "cell_clear")
        assert client.post(clear, {"stamp": old}, headers=HTMX).status_code == 200

    assert [len(cell(show, heron, label)) for label in ("8", "3", "9")] == [1, 1, 0]
    assert Change.objects.filter(noun="plot").count() == 4
    assert show.current_draft.revision == 5


def test_every_edit_is_on_record_with_before_and_after(show, lead, heron, client):
    (before,) = cell(show, heron, "10")
    client.post(
        address(show, heron, "10", "cell_pick"),
        {"costume": "undecided", "stamp": stamp(show, heron, "10")},
        headers=HTMX,
    )

    (change,) = Change.objects.all()

    assert (change.noun, change.row, change.user) == ("plot", str(heron.pk), lead)
    (was,), (now,) = change.before["appearances"], change.after["appearances"]
    assert (was["costume_id"], now["costume_id"]) == (before.costume_id, None)
    assert was["key"] == now["key"] == str(before.key)
    assert was["scene_key"] == str(before.scene.key)
    assert change.before["draft"] == change.after["draft"] == 1
