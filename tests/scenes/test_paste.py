"""Pasting a block: looked at, put in and turned back as one edit, all that is wrong at once."""

from __future__ import annotations

import re

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from company.models import Change, Role
from scenes.models import Appearance, Costume, Guise, Scene, Show
from scenes.queries.paste import MOST_LETTERS, look_at_block
from scenes.services.cells import Wanted, set_cell
from scenes.services.exports import export_plot
from scenes.services.paste import PlotMoved, paste_block
from scenes.services.undo import redo_edit, undo_edit
from tests.factories import person
from tests.scenes.plots import lay_large_plot, lay_salt_almanac
from tests.scenes.sent import HTMX

pytestmark = pytest.mark.django_db

PAGE_QUERIES, LOOK_QUERIES, PUT_QUERIES = 6, 15, 25
BLOCK = (
    "\t1\t7\t99\n"
    "The Heron\tgrey x3\tflying 0:30-2; standing\tgrey\n"
    "Captain Pell\tuniform\t\t\n"
    "The Wader\tgrey\t\t\n"
)


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


def fresh(show: Show) -> Show:
    return Show.objects.select_related("company", "current_draft").get(pk=show.pk)


def worn(show: Show, guise: Guise, label: str) -> list[tuple[str, int]]:
    rows = Appearance.objects.filter(
        draft=fresh(show).current_draft, guise=guise, scene__label=label
    )
    return sorted((str(row.costume or "undecided"), row.copies) for row in rows)


def key_of(show: Show, label: str):
    return Scene.objects.get(draft=fresh(show).current_draft, label=label).key


def send(client, show, headers=None, **values):
    return client.post(reverse("scenes:plot_paste", args=[show.pk]), values, headers=headers or {})


def shown(answer) -> str:
    return " ".join(re.sub(r"<[^>]+>", " ", answer.content.decode()).split())


# The service


def test_looking_writes_nothing_and_says_everything(show, lead):
    before = export_plot(show)

    looked = look_at_block(show, BLOCK)

    assert looked.plan.words() == "2 added, 1 changed, 1 left alone, 2 not understood"
    assert [bad.why for bad in looked.not_understood] == [
        "there is no scene '99'",
        "there is no role 'The Wader'",
    ]
    assert [new.name for new in looked.plan.new_costumes] == ["grey"]
    assert export_plot(fresh(show)) == before
    assert Change.objects.count() == 0


def test_block_is_put_in_as_one_edit_and_turned_back_as_one(show, lead, heron):
    before = export_plot(show)

    paste_block(show=fresh(show), user=lead, text=BLOCK)

    after = export_plot(fresh(show))
    assert worn(show, heron, "1") == [("grey", 3)]
    assert worn(show, heron, "7") == [("flying", 1), ("standing", 1)]
    assert Costume.objects.get(guise=heron, name="grey").tint
    assert Change.objects.filter(said__gt="").count() == 1
    assert undo_edit(show=fresh(show), user=lead).said == ("a block pasted: 2 added, 1 changed")
    assert export_plot(fresh(show)) == before
    redo_edit(show=fresh(show), user=lead)
    assert export_plot(fresh(show)) == after
    undo_edit(show=fresh(show), user=lead)
    assert export_plot(fresh(show)) == before


def test_what_a_cell_does_not_say_stays(show, lead, heron):
    entry = Appearance.objects.get(guise=heron, scene__label="10")
    Appearance.objects.filter(pk=entry.pk).update(from_place="left", hold="one hand", enters_s=30)

    paste_block(show=fresh(show), user=lead, text="\t10\nThe Heron\tflying x2")

    now = Appearance.objects.get(draft=fresh(show).current_draft, key=entry.key)
    assert (str(now.costume), now.copies) == ("flying", 2)
    assert (now.from_place, now.hold, now.enters_s) == ("left", "one hand", 30)
    assert now.version == entry.version + 1


def test_bare_cells_go_in_from_the_cell_they_are_pasted_at(show, lead, heron):
    at = (heron.pk, key_of(show, "3"))

    paste_block(show=fresh(show), user=lead, text="flying\tstanding\nundecided", at=at)

    assert worn(show, heron, "3") == [("flying", 1)]
    assert worn(show, heron, "4") == [("standing", 1)]
    bartle = Guise.objects.get(character__name="Bartle, ferryman")
    assert worn(show, bartle, "3") == [("undecided", 1)]


def test_faults_of_bare_cells_are_said_where_they_stood(show, lead, heron):
    looked = look_at_block(show, "flying 9-12", (heron.pk, key_of(show, "3")))

    ((row, column, _, why),) = looked.not_understood
    assert (row, column) == (1, 1)
    assert why.startswith("it leaves at 12, later than the end of the scene")


def test_block_of_a_list_adds_and_changes_by_key(show, lead, heron):
    entry = Appearance.objects.get(guise=heron, scene__label="10")
    head = "scene\tcharacter\tcostume\tkey\n"

    paste_block(
        show=fresh(show), user=lead,
        text=f"{head}9\tThe Heron\tflying\t{entry.key}\n2\tThe Heron\tstanding\t\n",
    )  # fmt: skip

    assert worn(show, heron, "10") == []
    assert worn(show, heron, "9") == [("flying", 1)]
    assert worn(show, heron, "2") == [("standing", 1)]


def test_pasting_twice_changes_nothing_more(show, lead):
    paste_block(show=fresh(show), user=lead, text=BLOCK)
    before = export_plot(fresh(show))

    with pytest.raises(ValidationError, match="nothing in this block"):
        paste_block(show=fresh(show), user=lead, text=BLOCK)

    assert export_plot(fresh(show)) == before


def test_plot_that_moved_meanwhile_is_not_written(show, lead, heron):
    stamp = look_at_block(show, BLOCK).stamp
    set_cell(
        show=fresh(show), user=lead, guise=heron, scene_key=key_of(show, "2"), wanted=[Wanted()]
    )

    with pytest.raises(PlotMoved):
        paste_block(show=fresh(show), user=lead, text=BLOCK, stamp=stamp)


def test_frozen_draft_opens_the_next_and_keys_are_kept(show, lead, heron):
    show.current_draft.frozen_at = "2026-03-01T10:00Z"
    show.current_draft.save()
    entry = Appearance.objects.get(guise=heron, scene__label="10")

    paste_block(show=fresh(show), user=lead, text="\t10\nThe Heron\tflying")

    assert fresh(show).current_draft.number == 2
    assert Appearance.objects.filter(key=entry.key).count() == 2


def test_cell_that_would_hold_too_many_is_left_out_and_said(show, lead):
    many = ";".join(["flying"] * 21)

    looked = look_at_block(show, f"\t1\t2\nThe Heron\t{many}\tflying")

    assert [bad.why for bad in looked.not_understood] == [
        "The Heron in scene 1 would hold more than 20 at once"
    ]
    assert looked.plan.words() == "1 added"


def test_block_too_long_to_paste_is_sent_to_the_files(show, lead):
    looked = look_at_block(show, "x" * (MOST_LETTERS + 1))

    assert "bring it in as a file" in looked.not_understood[0].why


# The page


def test_page_has_a_field_and_works_without_scripts(show, lead, heron, client):
    assert "Cells as they come from a spreadsheet" in shown(
        client.get(reverse("scenes:plot_paste", args=[show.pk]))
    )
    look = send(client, show, block=BLOCK)
    html = look.content.decode()
    stamp = re.search(r'name="stamp" value="([^"]+)"', html)[1]

    words = shown(look)
    assert look.status_code == 200
    assert "3 cells of the plot will be other than now; 1 stands so already." in words
    assert "New costumes: grey for The Heron." in words
    assert "2 cells are not understood and will be left out" in words
    assert "Row 1, column 4, ‘99’: there is no scene &#x27;99&#x27;." in words
    put = send(client, show, block=BLOCK, stamp=stamp, put="1")
    assert put.url == reverse("scenes:plot_grid", args=[show.pk])
    assert "Pasted: 2 added, 1 changed, 2 left out." in shown(client.get(put.url))
    assert worn(show, heron, "1") == [("grey", 3)]


@pytest.mark.parametrize(
    ("block", "words"),
    [
        ("", "Paste a block of cells first."),
        ("  \n ", "Paste a block of cells first."),
        ("nonsense", "the first row names no scene of the plot"),
        ("scene\tcharacter\tcolour\n1\tThe Heron\tred", "no such column: known are scene"),
        ("\t1\nThe Heron\tflying 3-2", "it leaves (2) before it enters (3)"),
    ],
)
@pytest.mark.parametrize("headers", [{}, HTMX], ids=["page", "fragment"])
def test_what_cannot_be_put_in_is_refused_with_the_block_kept(
    show, lead, client, block, words, headers
):
    answer = send(client, show, headers=headers, block=block)

    assert answer.status_code == 422
    assert words in shown(answer)
    assert block.strip().split("\t")[-1] in answer.content.decode()
    assert Change.objects.count() == 0


def test_block_that_stands_already_says_so(show, lead, client):
    answer = send(client, show, block="\t7\nThe Heron\tflying; standing")

    assert answer.status_code == 200
    assert "Everything in this block stands in the plot already." in shown(answer)


def test_moved_plot_answers_with_the_block_looked_at_anew(show, lead, client):
    answer = send(client, show, block=BLOCK, stamp="1.99", put="1", headers=HTMX)

    assert answer.status_code == 409
    assert "Somebody changed the plot meanwhile." in shown(answer)
    assert 'name="stamp" value="1.1"' in answer.content.decode()


def test_pasting_over_the_grid_answers_with_the_rows(show, lead, heron, client):
    at = {"guise": str(heron.pk), "scene": str(key_of(show, "3"))}
    look = send(client, show, headers=HTMX, block="flying\tstanding", **at)
    assert look["HX-Retarget"] == "#plot-panel"
    assert f'name="guise" value="{heron.pk}"' in look.content.decode()

    put = send(client, show, headers=HTMX, block="flying\tstanding", put="1", stamp="1.1", **at)

    assert re.findall(r'<tr id="(row-\d+)"', put.content.decode()) == [f"row-{heron.pk}"]
    assert "plot:written" in put["HX-Trigger-After-Settle"]
    assert "Undo <small>a block pasted: 2 added</small>" in put.content.decode()


def test_large_paste_loads_the_grid_anew(lead, client):
    show = lay_large_plot(roles=10, scenes=10, appearances=50)
    client.force_login(person(show.company, Role.LEAD))
    block = "\t1\n" + "\n".join(f"Role {n}\tsmock x2" for n in range(1, 11))

    put = send(client, show, headers=HTMX, block=block, put="1", stamp="1.1")

    assert put["HX-Refresh"] == "true"


@pytest.mark.parametrize("role", [Role.MAKER, Role.READER])
def test_only_a_lead_pastes(show, client, role):
    client.force_login(person(show.company, role))

    assert send(client, show, block=BLOCK).status_code == 403
    assert client.get(reverse("scenes:plot_paste", args=[show.pk])).status_code == 403


@pytest.mark.parametrize("rows", [1, 10])
def test_reads_are_the_same_for_one_row_and_for_ten(client, django_assert_num_queries, rows):
    show = lay_large_plot(roles=10, scenes=4, appearances=40)
    client.force_login(person(show.company, Role.LEAD))
    block = "\t1\t2\n" + "\n".join(f"Role {n}\tsmock x2\toilskin x3" for n in range(1, rows + 1))

    with django_assert_num_queries(PAGE_QUERIES):
        client.get(reverse("scenes:plot_paste", args=[show.pk]))
    with django_assert_num_queries(LOOK_QUERIES):
        send(client, show, block=block)
    with django_assert_num_queries(PUT_QUERIES):
        send(client, show, block=block, stamp="1.1", put="1")
