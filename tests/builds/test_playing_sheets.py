"""The papers of a performance: the running list in its order, the turn-round list with its ways."""

from __future__ import annotations

import pytest
from django.urls import reverse

from builds.playing_sheets import running_paper, turn_round_paper
from builds.queries.sheets.playing import read_running, read_turn_round
from builds.services.routes import add_default_routes
from builds.sheets import NothingToPrint
from company.models import Role
from scenes.models import Appearance, Guise, Show
from tests.factories import CompanyFactory, ShowFactory, person
from tests.papers import read_words, unembedded_fonts
from tests.scenes.plots import lay_large_plot, lay_salt_almanac

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    show = lay_salt_almanac()
    add_default_routes(company=show.company, user=None)
    return staffed(show, performers=3)


def staffed(show, **people):
    Show.objects.filter(pk=show.pk).update(**people)
    return Show.objects.select_related("company", "current_draft").get(pk=show.pk)


def test_running_list_has_every_entrance_and_exit_in_order(show):
    """Twenty-three entries, each on and off, and Bartle's one change."""
    sheet = read_running(show)

    lines = [line for scene in sheet.scenes for line in scene.lines]
    assert len([line for line in lines if line.what.startswith("on")]) == 23
    assert len([line for line in lines if line.what.startswith("off")]) == 23
    (change,) = [line for line in lines if line.what.startswith("change")]
    assert (change.figure, change.what) == ("Bartle, ferryman", "change apron to tarpaulin, 4 min")
    assert change.who.startswith("performer")
    for scene in sheet.scenes:
        minutes = [_minutes(line.at) for line in scene.lines]
        assert minutes == sorted(minutes)


def _minutes(written):
    whole, _, seconds = written.partition(":")
    return int(whole) * 60 + int(seconds or 0)


def test_one_person_is_never_named_for_two_figures_held_in_two_hands(show):
    sheet = read_running(show)
    third = next(scene for scene in sheet.scenes if scene.title.startswith("Scene 3"))
    on = [line.who for line in third.lines if line.what.startswith("on")]

    assert len(on) == len(set(on)) == 3


def test_too_few_people_are_named_on_the_list(show):
    sheet = read_running(staffed(show, performers=2))

    third = next(scene for scene in sheet.scenes if scene.title.startswith("Scene 3"))
    assert third.short == "Scene 3 wants three people; you are two."
    assert "nobody free" in {line.who for line in third.lines}


def test_what_is_not_plain_stands_with_the_entrance(show):
    heron = Guise.objects.get(character__show=show, character__letters="H")
    Appearance.objects.filter(guise=heron, scene__label="10").update(
        rig="flying", hold="one hand", from_place="bridge"
    )

    sheet = read_running(show)

    said = [line.what for scene in sheet.scenes for line in scene.lines]
    assert any(
        what.startswith("on from bridge, ") and what.endswith(", flying, one hand") for what in said
    )


def test_without_people_the_list_leaves_their_column_out(show):
    sheet = read_running(staffed(show, performers=None))

    assert not sheet.has_people
    words = read_words(running_paper(staffed(show, performers=None), "A4").pdf())
    assert "Who" not in words
    assert "Scene 10" in words


def test_running_list_prints_whole(show):
    pdf = running_paper(show, "Letter").pdf()

    words = read_words(pdf)
    assert "Running list" in words
    assert "change apron to tarpaulin, 4 min" in words
    assert "page 1 of" in words.lower()
    assert unembedded_fonts(pdf) == []


def test_turn_round_list_says_what_nobody_has_said(show):
    sheet = read_turn_round(show)

    line = next(line for line in sheet.lines if line.change)
    assert (line.figure, line.change, line.time) == (
        "Bartle, ferryman", "tarpaulin to apron", "not said",
    )  # fmt: skip
    assert "How 1\xa0figure gets back into its first costume nobody has said." in sheet.lede
    assert "tarpaulin to apron" in read_words(turn_round_paper(show, "A4").pdf())


def test_nothing_to_print_is_said(show):
    with pytest.raises(NothingToPrint):
        running_paper(ShowFactory(), "A4")
    with pytest.raises(NothingToPrint, match="ends as it began"):
        turn_round_paper(ShowFactory(), "A4")


@pytest.mark.parametrize("name", ["sheet_running", "sheet_turn_round"])
def test_who_may_print(show, client, name):
    url = reverse(f"builds:{name}", args=[show.pk])
    assert client.get(url).status_code == 302
    client.force_login(person(show.company, Role.READER))
    answer = client.get(url)
    assert (answer.status_code, answer["Content-Type"]) == (200, "application/pdf")
    client.force_login(person(CompanyFactory(), Role.LEAD))
    assert client.get(url).status_code == 404


@pytest.mark.parametrize("name", ["sheet_running", "sheet_turn_round"])
@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 3, 3), (8, 10, 40)])
def test_reads_are_flat(name, roles, scenes, appearances, client, django_assert_num_queries):
    show = staffed(lay_large_plot(roles, scenes, appearances), performers=4)
    client.force_login(person(show.company, Role.READER))
    url = reverse(f"builds:{name}", args=[show.pk])
    assert client.get(url).status_code == 200

    with django_assert_num_queries(PLAYING_QUERIES):
        client.get(url)


PLAYING_QUERIES = 30
