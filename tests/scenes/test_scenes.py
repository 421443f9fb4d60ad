"""Scenes: added, renamed, moved, cut short, taken out; by the service and on the page."""

from __future__ import annotations

from datetime import date
from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from company import clock
from company.models import Change, Role
from company.services.changes import StaleEdit
from scenes.models import Appearance, Draft, Scene
from scenes.services.scenes import (
    add_scene,
    edit_scene,
    move_scene,
    next_label,
    remove_scene,
)
from tests.factories import CompanyFactory, CostumeFactory, GuiseFactory, ShowFactory, person
from tests.scenes.plots import lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
MINUTE = 60


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def lead(show, client):
    user = person(show.company, Role.LEAD)
    client.force_login(user)
    return user


@pytest.fixture
def pier(show):
    """Scene 2, six minutes and half a minute of gap, with a guise of its own in it."""
    return scene(show, "2")


@pytest.fixture
def walker(show):
    guise = GuiseFactory(
        character__show=show, character__letters="W", character__name="The Wader", name=""
    )
    return CostumeFactory(guise=guise, name="shawl")


def scene(show, label):
    show.refresh_from_db()
    return Scene.objects.get(draft=show.current_draft, label=label)


def labels(show):
    show.refresh_from_db()
    return [row.label for row in Scene.objects.filter(draft=show.current_draft)]


def address(name, show, *more):
    return reverse(f"scenes:{name}", args=[show.pk, *more])


def typed(**fields):
    """What the open line of scene 2 sends."""
    said = {"label": "2", "title": "The pier", "act": "Act one", "length_s": "6", "gap_s": "0:30"}
    return {**said, "needed_by": "", "version": "1", **fields}


def enter(show, walker, label, enters_s, leaves_s):
    return put_on(
        show.current_draft, walker.guise, walker, label, enters_s=enters_s, leaves_s=leaves_s
    )


# Adding


def test_scene_is_put_at_the_end(show, lead):
    made = add_scene(
        show=show, user=lead, label=" 11 ", title="Tide  again", act="Act two", length_s=250
    )

    assert (made.label, made.title, made.position) == ("11", "Tide again", 10)
    assert labels(show)[-1] == "11"
    change = Change.objects.get(noun="scene")
    assert (change.row, change.after["label"], change.user) == (str(made.key), "11", lead)


def test_every_edit_takes_a_revision_of_the_draft(show, lead):
    before = Draft.objects.get(pk=show.current_draft_id).revision

    add_scene(show=show, user=lead, label="11", length_s=60)

    assert Draft.objects.get(pk=show.current_draft_id).revision == before + 1


def test_edit_of_a_frozen_draft_opens_the_next_and_leaves_the_old_one(show, lead):
    old = show.current_draft
    Draft.objects.filter(pk=old.pk).update(frozen_at=clock.now())
    key = scene(show, "3").key

    edit_scene(show=show, user=lead, key=key, version=1, title="The long ferry")

    show.refresh_from_db()
    assert show.current_draft.number == 2
    assert Scene.objects.get(draft=old, key=key).title == "The ferry"
    assert Scene.objects.get(draft=show.current_draft, key=key).title == "The long ferry"
    assert Appearance.objects.filter(draft=old).count() == 23
    assert Appearance.objects.filter(draft=show.current_draft).count() == 23


def test_everything_wrong_with_a_scene_is_said_at_once(show, lead):
    with pytest.raises(ValidationError) as refused:
        add_scene(
            show=show, user=lead, label="３a", length_s=0, is_interval=True,
            needed_by=date(2026, 3, 3),
        )  # fmt: skip

    assert set(refused.value.message_dict) == {"length_s", "gap_s", "needed_by"}
    assert labels(show) == [str(n) for n in range(1, 11)]


@pytest.mark.parametrize("label", ["3A", " 3a ", "３a".replace("３", "3")])
def test_label_is_text_and_there_once(show, lead, label):
    add_scene(show=show, user=lead, label="3a", title="Fog", length_s=60)

    with pytest.raises(ValidationError) as refused:
        add_scene(show=show, user=lead, label=label, length_s=60)

    assert refused.value.message_dict == {"label": ["There is a scene 3a already, 'Fog'."]}


@pytest.mark.parametrize(
    ("last", "proposed"),
    [("10", "11"), ("3a", "3b"), ("3z", ""), ("P9", "P10"), ("Prologue", "Prologuf"), ("Ω", "")],
)
def test_next_label_is_what_one_would_write(last, proposed):
    assert next_label([Scene(label=last, label_key=last.casefold())]) == proposed


def test_next_label_begins_with_one_and_never_repeats():
    assert next_label([]) == "1"
    assert next_label([Scene(label="2", label_key="2"), Scene(label="1", label_key="1")]) == ""


# Cut short


def test_scene_made_shorter_than_an_exit_asks(show, lead, pier, walker):
    enter(show, walker, "2", 60, 350)

    with pytest.raises(ValidationError) as refused:
        edit_scene(show=show, user=lead, key=pier.key, version=1, length_s=5 * MINUTE)

    assert "choose what becomes of that" in refused.value.message_dict["exits"][0]
    assert scene(show, "2").length_s == 6 * MINUTE


@pytest.mark.parametrize(
    ("times", "length_s", "exits", "after"),
    [
        ((60, 350), 340, "follow", (60, None)),
        ((60, 350), 340, "keep", (60, 350)),
        ((60, 350), 300, "keep", (60, 330)),
        ((None, 350), 300, "keep", (None, 330)),
        ((320, 350), 300, "follow", (None, None)),
        ((320, 350), 300, "keep", (320, 330)),
        ((340, 350), 300, "keep", (None, None)),
        ((320, None), 300, "follow", (None, None)),
        ((320, None), 300, "keep", (None, None)),
        ((-30, 370), 300, "follow", (-30, None)),
    ],
)
def test_exits_follow_or_keep(show, lead, pier, walker, times, length_s, exits, after):
    row = enter(show, walker, "2", *times)

    edit_scene(show=show, user=lead, key=pier.key, version=1, length_s=length_s, exits=exits)

    row.refresh_from_db()
    assert (row.enters_s, row.leaves_s) == after
    change = Change.objects.get(noun="scene")
    assert change.before["appearances"][0]["leaves_s"] == times[1]


def test_exit_that_lay_in_the_gap_before_is_left_alone(show, lead, pier, walker):
    row = enter(show, walker, "2", 60, 6 * MINUTE + 20)

    edit_scene(show=show, user=lead, key=pier.key, version=1, length_s=6 * MINUTE - 5)

    row.refresh_from_db()
    assert row.leaves_s == 380


def test_shorter_gap_asks_for_the_exit_in_it(show, lead, pier, walker):
    enter(show, walker, "2", 60, 380)

    with pytest.raises(ValidationError) as refused:
        edit_scene(show=show, user=lead, key=pier.key, version=1, gap_s=10)

    assert set(refused.value.message_dict) == {"exits"}


def test_blank_exits_follow_by_themselves(show, lead, pier):
    edit_scene(show=show, user=lead, key=pier.key, version=1, length_s=30)

    assert set(Appearance.objects.filter(scene=pier).values_list("leaves_s", flat=True)) == {None}


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            st.none() | st.integers(-60, 389),
            st.none() | st.integers(1, 390),
        ).filter(lambda t: (t[0] or 0) < (360 if t[1] is None else t[1])),
        max_size=5,
    ),
    st.integers(1, 400),
    st.integers(0, 60),
    st.sampled_from(["follow", "keep"]),
)
def test_after_any_answer_every_entry_fits_its_scene(show, walker, times, length_s, gap_s, exits):
    Appearance.objects.filter(guise=walker.guise).delete()
    Scene.objects.filter(draft=show.current_draft, label="2").update(length_s=360, gap_s=30)
    for enters_s, leaves_s in times:
        enter(show, walker, "2", enters_s, leaves_s)
    key = scene(show, "2").key

    edit_scene(show=show, user=None, key=key, length_s=length_s, gap_s=gap_s, exits=exits)

    rows = Appearance.objects.filter(guise=walker.guise)
    assert rows.count() == len(times)
    for row in rows:
        leaves_s = length_s if row.leaves_s is None else row.leaves_s
        assert (row.enters_s or 0) < leaves_s <= length_s + gap_s


# Moving and taking out


def test_move_up_and_down(show, lead):
    key = scene(show, "3").key

    move_scene(show=show, user=lead, key=key, is_up=True)
    assert labels(show)[:4] == ["1", "3", "2", "4"]

    move_scene(show=show, user=lead, key=key, is_up=False)
    assert labels(show)[:4] == ["1", "2", "3", "4"]


def test_move_behind_another_takes_its_act(show, lead):
    move_scene(show=show, user=lead, key=scene(show, "2").key, after=scene(show, "8").key)

    assert labels(show) == ["1", "3", "4", "5", "6", "7", "8", "2", "9", "10"]
    assert scene(show, "2").act == "Act two"


def test_interval_stays_between_the_acts(show, lead):
    move_scene(show=show, user=lead, key=scene(show, "5").key, is_up=True)

    assert labels(show)[3:5] == ["5", "4"]
    assert (scene(show, "4").is_interval, scene(show, "4").gap_s) == (True, 20 * MINUTE)
    assert (scene(show, "5").is_interval, scene(show, "5").gap_s) == (False, 30)


def test_exit_far_into_the_interval_keeps_its_room(show, lead, walker):
    enter(show, walker, "5", 60, 6 * MINUTE + 300)

    move_scene(show=show, user=lead, key=scene(show, "5").key, is_up=True)

    assert scene(show, "5").gap_s == 300


def test_move_of_a_scene_that_is_gone_is_refused(show, lead):
    with pytest.raises(Scene.DoesNotExist):
        move_scene(show=show, user=lead, key=uuid4(), is_up=True)
    with pytest.raises(Scene.DoesNotExist):
        move_scene(show=show, user=lead, key=scene(show, "1").key, after=uuid4())


def test_scene_goes_with_its_appearances_and_the_record_keeps_them(show, lead):
    remove_scene(show=show, user=lead, key=scene(show, "5").key)

    assert "5" not in labels(show)
    assert Appearance.objects.filter(draft=show.current_draft).count() == 20
    change = Change.objects.get(noun="scene")
    assert "label" not in change.after
    assert len(change.before["appearances"]) == 3
    assert scene(show, "4").is_interval
    positions = Scene.objects.filter(draft=show.current_draft).values_list("position", flat=True)
    assert list(positions) == list(range(9))


def test_stale_edit_and_stale_removal_change_nothing(show, lead, pier):
    edit_scene(show=show, user=lead, key=pier.key, version=1, title="The long pier")

    with pytest.raises(StaleEdit):
        edit_scene(show=show, user=lead, key=pier.key, version=1, title="The short pier")
    with pytest.raises(StaleEdit):
        remove_scene(show=show, user=lead, key=pier.key, version=1)

    assert scene(show, "2").title == "The long pier"


# The page


def test_page_says_the_show_in_a_sentence(show, lead, client):
    html = client.get(address("scene_list", show)).content.decode()

    assert "Ten scenes in two acts run 85 minutes, an interval of 20 minutes included." in html
    assert "Six roles, eight guises and 13 costumes." in html
    assert "interval, 20 minutes" in html


def test_empty_page_says_what_comes_next(client):
    show = ShowFactory()
    client.force_login(person(show.company, Role.LEAD))

    html = client.get(address("scene_list", show)).content.decode()

    assert "Nothing is written yet: begin with the scenes" in html
    assert "The first scene" in html
    assert 'value="1"' in html


def test_reader_sees_all_and_is_offered_nothing(show, client):
    client.force_login(person(show.company, Role.READER))

    html = client.get(address("scene_list", show)).content.decode()

    assert "The tide table" in html
    assert "<form" not in html.split("<main")[1].split("</main>")[0]
    assert "/edit/" not in html


def test_added_by_htmx_answers_the_part_with_the_next_label(show, lead, client):
    response = client.post(
        address("scene_add", show),
        {"label": "11", "title": "Ebb", "length_s": "4:30", "gap_s": "", "act": "Act two"},
        headers=HTMX,
    )

    html = response.content.decode()
    assert response.status_code == 200
    assert html.lstrip().startswith("<section")
    assert 'data-announce="Scene 11 Ebb is in."' in html
    assert 'data-focus-on="scene-new-title"' in html
    assert 'name="label" value="12"' in html
    assert 'hx-swap-oob="true">Eleven scenes in two acts run' in html
    assert "HX-Request" in response["Vary"]
    assert scene(show, "11").length_s == 270


def test_added_without_htmx_goes_back_to_the_line(show, lead, client):
    response = client.post(address("scene_add", show), {"label": "11", "length_s": "4"})

    assert response.status_code == 302
    assert response.url.endswith("/scenes/#scene-new-title")


@pytest.mark.parametrize(
    ("fields", "wrong"),
    [
        ({"label": "", "length_s": ""}, {"label", "length_s"}),
        ({"label": "3", "length_s": "x", "gap_s": "-1"}, {"label", "length_s", "gap_s"}),
        ({"label": "11", "length_s": "0"}, {"length_s"}),
        ({"label": "11", "length_s": "1500"}, {"length_s"}),
        ({"label": "11", "length_s": "4", "is_interval": "on"}, {"gap_s"}),
        ({"label": "x" * 21, "title": "y" * 121, "length_s": "4"}, {"label", "title"}),
        ({"label": "11\x00", "length_s": "4"}, {"label"}),
    ],
)
def test_wrong_line_is_422_with_all_it_lacks(show, lead, client, fields, wrong):
    for headers in ({}, HTMX):
        response = client.post(address("scene_add", show), fields, headers=headers)

        assert response.status_code == 422
        assert set(response.context["scene_form"].errors) == wrong
    assert labels(show) == [str(n) for n in range(1, 11)]


def test_line_opens_in_the_page_and_in_the_part(show, lead, client, pier):
    for headers in ({}, HTMX):
        html = client.get(address("scene_edit", show, pier.key), headers=headers).content.decode()
        assert 'class="open-row"' in html
        assert 'name="title" value="The pier"' in html


def test_line_saves(show, lead, client, pier):
    response = client.post(
        address("scene_edit", show, pier.key), typed(title="The long pier", length_s="6.5")
    )

    assert response.status_code == 302
    assert (scene(show, "2").title, scene(show, "2").length_s) == ("The long pier", 390)


def test_line_too_short_lists_who_and_offers_the_two_ways(show, lead, client, pier, walker):
    enter(show, walker, "2", 60, 350)
    where = address("scene_edit", show, pier.key)

    response = client.post(where, typed(length_s="5", needed_by="2020-01-01"))
    html = response.content.decode()
    assert response.status_code == 422
    assert set(response.context["open_form"].errors) == {"exits", "needed_by"}
    assert f"{walker.guise} in shawl leaves at 5:50, after the scene is over" in html
    assert 'value="follow"' in html

    assert client.post(where, typed(length_s="5", exits="keep")).status_code == 302
    assert Appearance.objects.get(guise=walker.guise).leaves_s == 330


def test_stale_line_is_409_with_both_texts(show, lead, client, pier):
    edit_scene(show=show, user=lead, key=pier.key, version=1, title="The long pier")

    response = client.post(
        address("scene_edit", show, pier.key), typed(title="The short pier"), headers=HTMX
    )

    assert response.status_code == 409
    assert "The short pier" in response.content.decode()
    assert "The long pier" in response.content.decode()
    assert scene(show, "2").title == "The long pier"


def test_moves_by_button_and_by_drag(show, lead, client, pier):
    client.post(address("scene_move", show), {"up": str(pier.key)})
    assert labels(show)[:2] == ["2", "1"]

    response = client.post(
        address("scene_move", show),
        {"key": str(pier.key), "after": str(scene(show, "3").key)},
        headers=HTMX,
    )
    assert labels(show)[:3] == ["1", "3", "2"]
    assert "Scene 2 now plays after scene 3." in response.content.decode()

    client.post(address("scene_move", show), {"key": str(pier.key), "after": ""})
    assert labels(show)[:2] == ["2", "1"]


@pytest.mark.parametrize("data", [{}, {"up": "x"}, {"up": str(uuid4())}, {"key": str(uuid4())}])
def test_move_of_nothing_is_404(show, lead, client, data):
    assert client.post(address("scene_move", show), data).status_code == 404


def test_removal_says_what_goes_and_does_it(show, lead, client):
    key = scene(show, "5").key
    where = address("scene_remove", show, key)

    html = client.get(where).content.decode()
    assert "go 3 entries of this draft" in html
    assert "Captain Pell in uniform" in html
    assert "Figures already begun stay" in html
    assert "5" in labels(show)

    assert client.post(where).status_code == 302
    assert "5" not in labels(show)
    assert client.get(where).status_code == 404


def test_scene_of_an_older_draft_is_not_found(show, lead, client, pier):
    old = Draft.objects.create(show=show, number=7)
    gone = Scene.objects.create(draft=old, label="9", length_s=60)

    assert client.get(address("scene_edit", show, gone.key)).status_code == 404


def test_rows_of_another_company_do_not_exist(show, lead, client):
    other = lay_salt_almanac(company=CompanyFactory(name="The Other Bench"))
    theirs = scene(other, "2")

    assert client.get(address("scene_list", other)).status_code == 404
    assert client.post(address("scene_add", other), typed(label="11")).status_code == 404
    assert client.get(address("scene_edit", show, theirs.key)).status_code == 404
    assert client.post(address("scene_remove", show, theirs.key)).status_code == 404
    move = {"key": str(scene(show, "1").key), "after": str(theirs.key)}
    assert client.post(address("scene_move", show), move).status_code == 404
    assert labels(other) == labels(show)


@pytest.mark.parametrize("role", [Role.MAKER, Role.READER])
def test_only_a_lead_writes(show, client, pier, role):
    client.force_login(person(show.company, role))

    assert client.post(address("scene_add", show), typed(label="11")).status_code == 403
    assert client.post(address("scene_move", show), {"up": str(pier.key)}).status_code == 403
    for name in ("scene_edit", "scene_remove"):
        assert client.get(address(name, show, pier.key)).status_code == 403
        assert client.post(address(name, show, pier.key), typed()).status_code == 403
    assert labels(show) == [str(n) for n in range(1, 11)]


def test_names_of_forty_letters_and_signs_are_kept_and_escaped(show, lead, client):
    title = '<b>Øresund & the "long" night\'s crossing'
    client.post(address("scene_add", show), {"label": "11", "title": title, "length_s": "4"})

    html = client.get(address("scene_list", show)).content.decode()
    assert scene(show, "11").title == title
    assert "&lt;b&gt;Øresund &amp; the" in html


@pytest.mark.parametrize("rows", [1, 10])
def test_page_asks_the_same_of_the_database_however_many_rows(
    client, django_assert_num_queries, rows
):
    show = ShowFactory()
    client.force_login(person(show.company, Role.LEAD))
    for n in range(rows):
        add_scene(show=show, user=None, label=str(n), length_s=60)
        CostumeFactory(guise__character__show=show)

    with django_assert_num_queries(11):
        client.get(address("scene_list", show))
