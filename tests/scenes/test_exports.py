"""Taking the plot out: every column of it, in files that spreadsheets read and an import knows."""

from __future__ import annotations

import csv
import io

import pytest
from django.urls import reverse

from company.models import Role
from scenes.models import Appearance, ChangeRule, Guise, Scene
from scenes.services.exports import export_plot
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import lay_salt_almanac

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    return lay_salt_almanac()


def table(data):
    """Read back by the standard library's own reader (RFC 4180)."""
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"), newline="")))


def download(show, name):
    return reverse("scenes:file_download", args=[show.pk, name])


def test_scenes_come_in_playing_order_with_their_interval(show):
    rows = table(export_plot(show)["scenes.csv"])

    assert [row["scene"] for row in rows] == [str(n) for n in range(1, 11)]
    assert rows[4]["interval"] == "yes"
    assert (rows[4]["minutes"], rows[4]["gap_after"]) == ("6", "20")
    assert rows[0]["title"] == "The tide table"


def test_entries_come_scene_by_scene_with_their_keys(show):
    rows = table(export_plot(show)["plot.csv"])

    assert len(rows) == 23
    labels = [int(row["scene"]) for row in rows]
    assert labels == sorted(labels)
    assert {row["key"] for row in rows} == {str(a.key) for a in Appearance.objects.all()}


def test_changes_are_all_there(show):
    rows = table(export_plot(show)["changes.csv"])

    assert len(rows) == ChangeRule.objects.count() == 1


def test_guises_come_with_all_that_is_said_of_them(show):
    Guise.objects.filter(name="at nine").update(height_mm=480, words="quick, cold", position=0)

    rows = table(export_plot(show)["guises.csv"])

    assert len(rows) == 13
    assert (rows[0]["character"], rows[0]["letters"], rows[0]["height_mm"]) == (
        "Jory Tarrow", "J", "480",
    )  # fmt: skip
    assert [row["costume"] for row in rows[:2]] == ["smock", "oilskin"]


def test_undecided_costume_and_blank_times_stay_blank(show):
    heron = Guise.objects.get(character__name="The Heron")
    Appearance.objects.create(
        draft=show.current_draft,
        scene=Scene.objects.get(draft=show.current_draft, label="1"),
        guise=heron,
    )

    row = next(row for row in table(export_plot(show)["plot.csv"]) if not row["costume"])

    assert (row["character"], row["guise"], row["enters"], row["leaves"]) == (
        "The Heron", "", "", "",
    )  # fmt: skip


def test_names_with_commas_quotes_and_accents_are_read_back(show):
    name = 'Bartle, "the" ferryman; Ærø'
    Guise.objects.filter(name="at nine").update(name=name)

    rows = table(export_plot(show)["plot.csv"])

    assert name in {row["guise"] for row in rows}


def test_empty_show_gives_headers_alone():
    files = export_plot(ShowFactory())

    assert [len(data.decode("utf-8-sig").splitlines()) for data in files.values()] == [1] * 5


def test_download_is_a_file_with_a_name_of_its_own(show, client):
    client.force_login(person(show.company, Role.READER))

    response = client.get(download(show, "plot.csv"))

    assert response["Content-Type"] == "text/csv; charset=utf-8"
    assert response["Content-Disposition"].startswith('attachment; filename="the-salt-almanac')
    assert response["Content-Disposition"].endswith('-draft-1-plot.csv"')
    assert response.content == export_plot(show)["plot.csv"]


@pytest.mark.parametrize("name", ["sketches.csv", "passwd", "plot.csv.bak"])
def test_other_names_are_not_found(show, client, name):
    client.force_login(person(show.company, Role.LEAD))

    assert client.get(download(show, name)).status_code == 404


def test_page_offers_the_files_to_all_and_the_form_to_leads(show, client):
    where = reverse("scenes:file_list", args=[show.pk])
    for role, may_bring in ((Role.LEAD, True), (Role.MAKER, False), (Role.READER, False)):
        client.force_login(person(show.company, role))
        html = client.get(where).content.decode()
        assert all(download(show, name) in html for name in export_plot(show))
        assert (reverse("scenes:plot_import", args=[show.pk]) in html) == may_bring


def test_strangers_and_nobody_take_nothing_out(show, client):
    pages = [reverse("scenes:file_list", args=[show.pk]), download(show, "plot.csv")]
    for page in pages:
        assert client.get(page).url.startswith(reverse("company:sign_in"))
    client.force_login(person(CompanyFactory(name="The Other Bench"), Role.LEAD))
    assert [client.get(page).status_code for page in pages] == [404, 404]


@pytest.mark.parametrize("rows", [1, 10])
def test_download_asks_the_same_of_the_database_however_many_rows(
    show, client, django_assert_num_queries, rows
):
    client.force_login(person(show.company, Role.READER))
    first = Appearance.objects.first()
    for _ in range(rows):
        Appearance.objects.create(draft=first.draft, scene=first.scene, guise=first.guise)

    with django_assert_num_queries(13):
        client.get(download(show, "plot.csv"))
