"""The panel of a cell: all its fields, and everything that can be wrong with them."""

from __future__ import annotations

import pytest

from company.models import Change, Role
from scenes.models import Costume, Guise
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


# Edits in the panel


def test_panel_page_works_as_a_page_and_comes_back_to_the_cell(show, lead, heron, client):
    page = client.get(address(show, heron, "8"))
    assert "<html" in page.content.decode()
    assert "The Heron" in page.content.decode()

    response = client.post(
        address(show, heron, "8"),
        sent(
            new__costume="undecided",
            new__enters="-0:30",
            new__leaves="6:30",
            new__from_place=" left ",
            new__to_place="right",
            new__hold="hung in view",
            new__copies="3",
            new__rig="flight",
        ),
    )

    assert response.status_code == 302
    assert response["Location"] == f"/shows/{show.pk}/plot/write/#c{heron.pk}-8"
    (row,) = cell(show, heron, "8")
    assert (row.enters_s, row.leaves_s) == (-30, 390)
    assert (row.from_place, row.to_place, row.hold) == ("left", "right", "hung in view")
    assert (row.copies, row.rig, row.costume) == (3, "flight", None)


def test_panel_writes_several_appearances_at_once(show, lead, heron, client):
    stands = cell(show, heron, "7")
    flying = stands[0].costume_id

    response = client.post(
        address(show, heron, "7"),
        sent(
            stands,
            a0__leaves="2",
            a1__gone="on",
            a1__copies="rubbish",
            new__costume=str(flying),
            new__enters="3",
        ),
        headers=HTMX,
    )

    assert response.status_code == 200
    first, second = cell(show, heron, "7")
    assert (first.key, first.leaves_s) == (stands[0].key, 120)
    assert (second.costume_id, second.enters_s) == (flying, 180)
    assert "<b>12 figures</b>" in response.content.decode()


def test_room_for_one_more_is_left_out_unless_something_is_said_in_it(show, lead, heron, client):
    stands = cell(show, heron, "10")

    client.post(address(show, heron, "10"), sent(stands, a0__to_place="left"))

    assert [a.to_place for a in cell(show, heron, "10")] == ["left"]


@pytest.mark.parametrize(
    ("fields", "field", "sentence"),
    [
        ({"enters": "4", "leaves": "2"}, "new-leaves", "before it enters (4)"),
        ({"enters": "2", "leaves": "2"}, "new-leaves", "before it enters"),
        ({"enters": "7"}, "new-leaves", "leaves (6) before it enters (7)"),
        ({"leaves": "6:31"}, "new-leaves", "later than the end of the scene (6) and the gap"),
        ({"enters": "soon"}, "new-enters", "is not a number of minutes"),
        ({"leaves": "4:5"}, "new-leaves", "two digits of seconds"),
        ({"leaves": "9999"}, "new-leaves", "more than a day"),
        ({"copies": "0"}, "new-copies", "from 1 to 99"),
        ({"copies": "1000"}, "new-copies", "from 1 to 99"),
        ({"copies": "two"}, "new-copies", "from 1 to 99"),
        ({"hold": "by the teeth"}, "new-hold", "not one of the available choices"),
        ({"from_place": "x" * 41}, "new-from_place", "at most 40"),
        ({"rig": "x" * 41}, "new-rig", "at most 40"),
        ({"costume": ""}, "new-costume", "Pick a costume"),
        ({"costume": "another"}, "new-costume", "not one of the costumes of The Heron"),
        ({"costume": "zebra"}, "new-costume", "not one of the costumes of The Heron"),
    ],
)
@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_wrong_input_is_told_at_its_field_and_nothing_is_saved(
    headers, fields, field, sentence, show, lead, heron, client
):
    if fields.get("costume") == "another":
        fields = {"costume": str(Costume.objects.exclude(guise=heron).first().pk)}
    data = {"costume": str(heron.costumes.first().pk), **fields}

    response = client.post(
        address(show, heron, "8"),
        sent(**{f"new__{name}": value for name, value in data.items()}),
        headers=headers,
    )

    html = response.content.decode()
    assert response.status_code == 422
    assert sentence in html
    assert f'href="#id_{field}"' in html
    assert f'id="id_{field}"' in html
    assert ("<html" in html) == (headers == {})
    assert cell(show, heron, "8") == []
    assert Change.objects.count() == 0


def test_everything_wrong_is_told_at_once_and_what_was_typed_stays(show, lead, heron, client):
    response = client.post(
        address(show, heron, "8"),
        sent(new__costume="", new__enters="soon", new__copies="0", new__from_place="the moon"),
    )

    html = response.content.decode()
    assert "3 things to put right. Nothing was saved." in html
    assert 'value="soon"' in html
    assert 'value="the moon"' in html


def test_wrong_appearance_beside_a_right_one_saves_neither(show, lead, heron, client):
    stands = cell(show, heron, "7")

    response = client.post(
        address(show, heron, "7"), sent(stands, a0__to_place="left", a1__copies="0")
    )

    assert response.status_code == 422
    assert [a.to_place for a in cell(show, heron, "7")] == ["", ""]


def test_key_of_an_appearance_that_is_not_there_is_refused(show, lead, heron, client):
    elsewhere = cell(show, heron, "10")
    data = {**sent(elsewhere), "stamp": stamp(show, heron, "7")}

    response = client.post(address(show, heron, "7"), data)

    assert response.status_code == 422
    assert len(cell(show, heron, "7")) == 2
    assert len(cell(show, heron, "10")) == 1
