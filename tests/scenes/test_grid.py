"""The writing grid: its page, every edit of a cell, and everything that can be wrong with one."""

from __future__ import annotations

import re
import time
from statistics import median
from uuid import uuid4

import pytest
from django.urls import reverse

from company import clock
from company.models import Change, Role
from scenes.loading import stamp_of
from scenes.models import Appearance, Costume, Draft, Guise, Scene
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import SALT_SCENES, lay_draft, lay_large_plot, lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}
MOST_BYTES = 30_000


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


def address(show, guise, label, name="plot_cell"):
    scene = Scene.objects.get(draft=show.current_draft, label=label)
    return reverse(f"scenes:{name}", args=[show.pk, guise.pk, scene.key])


def cell(show, guise, label):
    show.refresh_from_db()
    rows = Appearance.objects.filter(
        draft=show.current_draft, guise=guise, scene__label=label
    ).order_by("pk")
    return list(rows)


def stamp(show, guise, label):
    return stamp_of(cell(show, guise, label))


def sent(stands=(), **fields):
    """What the panel's form sends: a block for each appearance there, and room for one more."""
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


# The page


def test_page_shows_scenes_across_and_a_row_a_guise(show, lead, client):
    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert len(re.findall(r'<tr id="row-', html)) == 8
    assert len(re.findall(r'<a id="c\d+-\d+"', html)) == 80
    assert "<b>12 figures</b> for 6 roles" in html
    assert "then 20 min interval" in html
    assert re.search(r'id="plot-total">12<', html)
    assert html.count(">nothing<") == 80 - 22
    row = html[html.index("<b>The Heron</b>") :].split("</tr>")[0]
    assert re.findall(r'<span class="cloth cloth-(\d)">(\w+)</span>', row) == [
        ("5", "flying"),
        ("6", "standing"),
        ("6", "standing"),
    ]
    assert row.count('class="between"') == 2
    assert 'row-count" title="two costumes, no change possible">2<' in row


def test_page_says_what_is_special_about_an_appearance(show, lead, heron, client):
    flying = heron.costumes.get(name="flying")
    put_on(show.current_draft, heron, flying, "2", copies=3, rig="flight", enters_s=90)

    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert "flying <small>×3 flight 1:30–6</small>" in html
    assert '<path class="thread-line" d="M25 2H100"/>' in html


def test_those_who_only_look_get_a_table_without_links(show, heron, client):
    client.force_login(person(show.company, Role.READER))

    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert "flying" in html
    assert "grid.js" not in html
    assert '<a id="c' not in html
    assert "data-plot-grid" not in html


@pytest.mark.parametrize("arrange", ["nothing", "scenes", "roles"])
def test_page_with_nothing_to_write_in_offers_the_way_on(arrange, client):
    show = ShowFactory()
    client.force_login(person(show.company, Role.LEAD))
    if arrange == "scenes":
        lay_draft(show, SALT_SCENES)
    if arrange == "roles":
        show.characters.create(name="Jory", letters="J").guises.create()

    html = client.get(reverse("scenes:plot_grid", args=[show.pk])).content.decode()

    assert "Nothing to count yet" in html
    assert "Write scenes and roles" in html
    assert 'role="grid"' not in html
    assert "<table" not in html


def test_page_keeps_to_the_strict_policy(show, lead, client):
    response = client.get(reverse("scenes:plot_grid", args=[show.pk]))

    assert "default-src 'self'" in response["Content-Security-Policy"]
    assert not re.search(r'\sstyle="|<style|\son\w+="|<script>|data:', response.content.decode())


@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 1, 1), (10, 10, 60)])
def test_reads_are_the_same_for_one_row_and_for_ten(
    roles, scenes, appearances, client, django_assert_num_queries
):
    show = lay_large_plot(roles, scenes, appearances)
    client.force_login(person(show.company, Role.LEAD))
    row = Appearance.objects.select_related("scene", "guise").first()
    page = reverse("scenes:plot_grid", args=[show.pk])
    panel = reverse("scenes:plot_cell", args=[show.pk, row.guise.pk, row.scene.key])
    pick = reverse("scenes:cell_pick", args=[show.pk, row.guise.pk, row.scene.key])
    client.get(page)

    with django_assert_num_queries(PAGE_QUERIES):
        client.get(page)
    with django_assert_num_queries(PANEL_QUERIES):
        client.get(panel, headers=HTMX)
    with django_assert_num_queries(PICK_QUERIES):
        client.post(pick, {"costume": "undecided", "stamp": stamp_of([row])}, headers=HTMX)
    row.refresh_from_db()
    assert row.costume is None


PAGE_QUERIES = 13
PANEL_QUERIES = 10
PICK_QUERIES = 33


# Who may


@pytest.mark.parametrize(
    ("who", "page", "write"),
    [
        ("lead", 200, 302),
        ("maker", 200, 403),
        ("reader", 200, 403),
        ("stranger", 404, 404),
        ("nobody", 302, 302),
    ],
)
def test_who_may_look_and_who_may_write(who, page, write, show, heron, client):
    if who == "stranger":
        client.force_login(person(CompanyFactory(), Role.LEAD))
    elif who != "nobody":
        client.force_login(person(show.company, Role(who)))
    flying = heron.costumes.get(name="flying").pk

    assert client.get(reverse("scenes:plot_grid", args=[show.pk])).status_code == page
    panel = client.get(address(show, heron, "7")).status_code
    assert panel == (200 if who == "lead" else write)
    for name, data in [
        ("plot_cell", {**sent(), "new-costume": str(flying)}),
        ("cell_pick", {"costume": str(flying), "stamp": ""}),
        ("cell_copy", {"copy-until": str(Scene.objects.get(label="2").key)}),
        ("cell_clear", {}),
    ]:
        response = client.post(address(show, heron, "1", name), data)
        assert response.status_code == write, name
    is_written = who == "lead"
    assert bool(cell(show, heron, "2")) == is_written
    if who == "nobody":
        assert response["Location"].startswith(reverse("company:sign_in"))


def test_guise_and_scene_of_another_show_are_not_found(show, lead, heron, client):
    other = lay_large_plot(1, 1, 1, company=show.company)
    stranger = Guise.objects.get(character__show=other)
    elsewhere = Scene.objects.get(draft=other.current_draft)

    for guise, key in [
        (stranger, Scene.objects.get(draft=show.current_draft, label="1").key),
        (heron, elsewhere.key),
        (heron, uuid4()),
    ]:
        url = reverse("scenes:plot_cell", args=[show.pk, guise.pk, key])
        assert client.get(url).status_code == 404
        assert client.post(url, sent()).status_code == 404


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


# Size and speed at 40 roles, 60 scenes and 400 appearances


def test_answer_to_an_edit_of_a_large_plot_is_small(client, capsys):
    """The answer's size is asserted; the time is printed for whoever looks (pytest -s)."""
    show = lay_large_plot()
    client.force_login(person(show.company, Role.LEAD))
    client.get(reverse("scenes:plot_grid", args=[show.pk]))
    guises = list(Guise.objects.filter(character__show=show).prefetch_related("costumes"))
    times_ms, sizes = [], []
    for n, guise in enumerate(guises[:20]):
        label = str(3 * n + 1)
        url = address(show, guise, label, "cell_pick")
        chosen = next(
            c for c in guise.costumes.all()
            if c.pk not in [a.costume_id for a in cell(show, guise, label)]
        )  # fmt: skip
        data = {"costume": str(chosen.pk), "stamp": stamp(show, guise, label)}
        started = time.perf_counter()
        response = client.post(url, data, headers=HTMX)
        times_ms.append((time.perf_counter() - started) * 1000)
        assert response.status_code == 200
        sizes.append(len(response.content))

    with capsys.disabled():
        print(
            f"\n  one edit at 40 x 60 x 400: median {median(times_ms):.0f} ms, "
            f"worst {max(times_ms):.0f} ms, largest answer {max(sizes)} bytes"
        )
    assert max(sizes) < MOST_BYTES


def test_answer_stays_small_in_a_row_that_is_full_of_long_names(client):
    show = lay_large_plot(3, 60, 180)
    client.force_login(person(show.company, Role.LEAD))
    Costume.objects.update(name="the uniform of the old harbour guard, wet")
    guise = Guise.objects.first()

    response = client.post(
        address(show, guise, "1", "cell_pick"),
        {"costume": "undecided", "stamp": stamp(show, guise, "1")},
        headers=HTMX,
    )

    assert response.status_code == 200
    assert len(response.content) < MOST_BYTES
