"""Tracks and figures as tables: every stop once, with figure, change and minutes."""

from __future__ import annotations

import csv
import io
from datetime import date, timedelta

import openpyxl
import pytest
from django.urls import reverse

from builds.queries.tables import FIGURES, TRACKS, figures_table, tracks_table
from builds.services.hours import log_work
from builds.services.work import begin_step
from company.models import Role
from scenes.models import Appearance, Show
from scenes.services.workbooks import write_csv
from tests.builds.desk import Desk
from tests.builds.workshop import MORNING, Workshop
from tests.factories import person
from tests.scenes.plots import lay_large_plot, lay_salt_almanac

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk():
    desk = Desk()
    heron = desk.role("The Heron", "", "flying", "standing")
    desk.wear(heron, "1", "flying")
    desk.wear(heron, "3", "standing")
    desk.change(heron, "flying", "standing", 90)
    desk.accept()
    return desk


def lines(sheet):
    return [dict(zip(sheet.header, row, strict=True)) for row in sheet.rows]


def test_every_copy_of_every_entry_is_in_one_line():
    show = lay_salt_almanac()
    Appearance.objects.filter(scene__label="7").update(copies=2)

    rows = lines(tracks_table(show))

    there = [(row["character"], row["guise"], row["scene"], row["costume"]) for row in rows]
    copies = sum(Appearance.objects.values_list("copies", flat=True))
    assert len(there) == copies == 26
    assert {row["copy"] for row in rows if row["scene"] == "7"} == {1, 2}
    assert all(row["figure"] is None for row in rows)


def test_line_says_figure_order_minutes_and_the_change_before_it(desk):
    first, second = lines(tracks_table(desk.show))

    assert (first["figure"], first["track"], first["order"], first["scene"]) == ("H1", 1, 1, "1")
    assert (first["enters"], first["leaves"]) == (timedelta(), timedelta(minutes=5))
    assert first["change_minutes"] is None
    assert (second["figure"], second["order"], second["costume"]) == ("H1", 2, "standing")
    assert (second["change_minutes"], second["changed_from"]) == (timedelta(seconds=90), "flying")


def test_figures_come_with_hours_state_and_day(settings):
    settings.TODAY = MORNING
    shop = Workshop()
    step = shop.step("carve")
    begin_step(step=step, user=shop.lead, maker=shop.ines)
    log_work(step=step, user=shop.lead, maker=shop.ines, day=date(2027, 5, 3), minutes=90)

    (row,) = lines(figures_table(shop.show, shop.lead))

    assert (row["figure"], row["character"], row["guise"]) == ("J1", "Jory Tarrow", "at nine")
    assert (row["hours_planned"], row["hours_spent"], row["state"]) == (15.0, 1.5, "begun")
    assert row["needed_by"] == date(2027, 6, 1)


@pytest.mark.parametrize("what", ["tracks", "figures"])
def test_downloads_read_back_by_other_readers(desk, client, what):
    client.force_login(person(desk.company, Role.READER))
    sizes = {"tracks": (2, TRACKS), "figures": (1, FIGURES)}
    count, header = sizes[what]

    text = client.get(reverse("builds:table_download", args=[desk.show.pk, f"{what}.csv"]))
    book = client.get(reverse("builds:table_download", args=[desk.show.pk, f"{what}.xlsx"]))

    rows = list(csv.reader(io.StringIO(text.content.decode("utf-8-sig"), newline="")))
    page = openpyxl.load_workbook(io.BytesIO(book.content))[what]
    assert tuple(rows[0]) == header == tuple(cell.value for cell in page[1])
    assert len(rows) == page.max_row == count + 1
    assert page.freeze_panes == "A2"
    assert text["Content-Disposition"].endswith(f'-{what}.csv"')


def test_names_like_formulas_stay_text_in_both(desk, client):
    client.force_login(desk.lead)
    guise = desk.role("=HYPERLINK(1)", "", "+coat")
    desk.wear(guise, "2", "+coat")

    sheet = tracks_table(desk.show)
    text = write_csv(sheet).decode("utf-8-sig")

    assert "'=HYPERLINK(1)" in text
    assert ",=HYPERLINK" not in text
    assert "'+coat" in text


@pytest.mark.parametrize("name", ["tracks", "tracks.pdf", "steps.csv", "tracks.csv.bak"])
def test_other_names_are_not_found(desk, client, name):
    client.force_login(desk.lead)

    assert client.get(f"/shows/{desk.show.pk}/tables/{name}").status_code == 404


def test_empty_show_gives_the_head_alone(client):
    desk = Desk(scenes=0)

    assert lines(tracks_table(desk.show)) == []
    assert lines(figures_table(desk.show, desk.lead)) == []


@pytest.mark.parametrize("rows", [1, 10])
def test_reads_are_the_same_for_one_row_and_for_ten(client, django_assert_num_queries, rows):
    show: Show = lay_large_plot(roles=rows, scenes=rows + 1, appearances=rows)
    client.force_login(person(show.company, Role.READER))

    with django_assert_num_queries(15):
        client.get(reverse("builds:table_download", args=[show.pk, "tracks.csv"]))
    with django_assert_num_queries(27):
        client.get(reverse("builds:table_download", args=[show.pk, "figures.csv"]))
