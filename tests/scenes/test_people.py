"""The plot with the people there are: the joint count, who works what, what is missing, mends."""

from __future__ import annotations

import json
import re

import pytest
from django.core.management import call_command
from django.urls import reverse

from builds.services.routes import add_default_routes
from company.models import Role
from scenes.core.hands import Crew
from scenes.core.joint import check_joint, count_with_people
from scenes.models import (
    Appearance,
    ChangeRule,
    Costume,
    Count,
    Draft,
    Guise,
    PeopleCount,
    Scene,
    Show,
)
from scenes.queries.asked import build_hours
from scenes.queries.counts import count_show
from scenes.queries.crew import crew_of, read_needs, say_moment
from scenes.queries.duties import to_duties
from scenes.queries.people import read_people, say_people
from scenes.queries.plot import read_plot
from scenes.services.counts import store_count
from scenes.services.people_counts import LONGER_WORK, count_people
from tests.factories import CompanyFactory, ShowFactory, person
from tests.scenes.plots import SALT_SCENES, lay_draft, lay_large_plot, lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db

HTMX = {"HX-Request": "true"}


@pytest.fixture
def show():
    show = lay_salt_almanac()
    add_default_routes(company=show.company, user=None)
    return staffed(show, performers=3)


def staffed(show, **people):
    Show.objects.filter(pk=show.pk).update(**people)
    return Show.objects.select_related("company", "current_draft").get(pk=show.pk)


def page_of(show):
    found = count_people(show)
    return read_people(found.counted, found.joint, found.clock_min)


def guise_of(show, letters):
    return Guise.objects.get(character__show=show, character__letters=letters)


# The count


def test_the_clock_stays_first_and_the_people_stand_beside_it(show):
    page = page_of(show)

    assert page.clock_figures == 12
    assert (page.joint.figures, page.joint.proved, page.more_figures) == (12, True, 0)
    (change,) = page.changes
    assert (str(change.first), str(change.second), change.minutes) == ("apron", "tarpaulin", "4")
    assert say_people(page).startswith("With three performers this draft takes 12 figures, as many")


def test_nobody_free_for_a_change_takes_a_figure_more(show):
    """Bartle changes between scenes 3 and 6. With nobody there the change cannot be made."""
    page = page_of(staffed(show, performers=0))

    assert (page.clock_figures, page.joint.figures) == (12, 13)
    assert page.changes == ()
    assert page.lost == ("Bartle, ferryman from apron (scene 3) to tarpaulin (scene 6)",)
    assert "takes 13 figures, where the clock alone asks for 12." in say_people(page)


def test_a_dresser_makes_the_change_and_works_no_figure(show):
    page = page_of(staffed(show, performers=2, dressers=1))

    assert [line.people for line in page.changes] == ["dresser"]
    duties = to_duties(page)
    kinds = {bar.kind for row in duties.rows if row.name == "Dresser" for bar in row.bars}
    assert kinds == {"change"}


def test_what_was_found_is_kept_and_the_same_when_read_again(show, monkeypatch):
    first = count_people(show)
    assert PeopleCount.objects.count() == 1

    monkeypatch.setattr("scenes.services.people_counts.count_with_people", None)
    again = count_people(show)

    assert again.joint == first.joint
    crew = crew_of(again.counted.rows)
    hours = build_hours(show, {g.guise: g.figures for g in again.counted.count.guises})
    assert check_joint(again.counted.plot, crew, hours, again.joint) == []


@pytest.mark.django_db(transaction=True)
def test_a_draft_that_went_meanwhile_leaves_nothing_behind(show, monkeypatch):
    """Somebody takes the draft back while the count is looked for: the answer is still given."""

    def look_and_lose(*args, **more):
        found = count_with_people(*args, **more)
        Show.objects.filter(pk=show.pk).update(current_draft=None)
        Draft.objects.filter(show=show).delete()
        return found

    monkeypatch.setattr("scenes.services.people_counts.count_with_people", look_and_lose)

    assert count_people(show).joint.figures == 12
    assert not PeopleCount.objects.exists()


def test_what_is_not_proved_may_be_looked_for_longer(show, client):
    client.force_login(person(show.company, Role.LEAD))
    url = reverse("scenes:plot_people", args=[show.pk])
    count_people(show)
    PeopleCount.objects.update(proved=False, gap=0.01)
    assert "Look longer" in client.get(url).content.decode()

    html = client.get(url + "?longer=1").content.decode()

    assert "proved" in html
    assert "Look longer" not in html
    (kept,) = PeopleCount.objects.all()
    assert (kept.proved, kept.found["work"]) == (True, LONGER_WORK)
    assert count_people(show).joint.proved


def test_another_crew_or_plot_is_another_question(show):
    count_people(show)
    count_people(staffed(show, performers=2))
    Appearance.objects.filter(scene__label="9").delete()
    count_people(show)

    assert PeopleCount.objects.count() == 3


def test_the_kept_count_says_what_the_people_make_of_it(show):
    plain = store_count(show=show, user=None)
    assert (plain.with_people, plain.gap) == (None, 0)

    count_people(show)

    plain.refresh_from_db()
    assert (plain.figures, plain.with_people, plain.proved) == (12, 12, True)
    Count.objects.all().delete()
    assert store_count(show=show, user=None).with_people == 12


def test_the_command_gives_both_counts(show, capsys):
    call_command("count_figures", show.title, "--json")
    document = json.loads(capsys.readouterr().out)
    assert document["figures"] == 12
    assert document["with_people"] == {"figures": 12, "proved": True, "gap": 0}

    staffed(show, performers=None)
    call_command("count_figures", show.title, "--json")
    assert json.loads(capsys.readouterr().out)["with_people"] is None


def test_hours_are_the_workshops_own(show):
    """A coat of 25 hours: pattern and fitting are in the figure's own stages of the route."""
    coat = Costume.objects.get(name="grey coat", guise__character__show=show)
    Costume.objects.filter(pk=coat.pk).update(sewing_min=25 * 60)

    hours = build_hours(show, {coat.guise_id: 1})

    assert hours.sewing(coat.pk) >= 25 * 60
    assert hours.figure(coat.guise_id) > 60 * 60


# What is missing


def test_a_scene_that_wants_more_people_says_so_and_what_mends_it(show):
    """Scene 3: oilskin and uniform and apron; with two performers one is missing."""
    page = page_of(staffed(show, performers=2))

    line = next(line for line in page.short if line.sentence.startswith("Scene 3"))
    assert line.sentence == "Scene 3 wants three people; you are two"
    assert line.mends[0].words
    assert line.mends[0].url
    assert page.nobody
    duties = to_duties(page)
    assert duties.nobody is not None
    assert duties.short


def test_every_figure_has_somebody_where_there_are_people_enough(show):
    page = page_of(staffed(show, performers=9))

    assert (page.short, page.nobody) == ((), ())
    assert to_duties(page).nobody is None


def test_hung_in_view_wants_a_hook_and_a_hand_to_hang_it(show):
    pell = guise_of(show, "P")
    Appearance.objects.filter(guise=pell, scene__label="3").update(hold="hung in view")
    counted = count_show(staffed(show, rail_hooks=0))

    needs = read_needs(counted)

    (short,) = [need for need in needs.short if need.hooks_short]
    assert short.words(needs.crew, counted.names).endswith(
        "scene 3 wants one hook; the rail has none"
    )
    assert page_of(staffed(show, rail_hooks=0)).rests == (
        "scene 3: Captain Pell in the uniform, hung in view",
    )


def test_people_by_kind_and_by_guise(show):
    heron, pell = guise_of(show, "H"), guise_of(show, "P")
    Guise.objects.filter(pk=heron.pk).update(kind="table-top")
    Guise.objects.filter(pk=pell.pk).update(people=3)

    crew = crew_of(count_show(show).rows)

    assert crew.people_for == {heron.pk: 2, pell.pk: 3}
    assert isinstance(crew, Crew)


def test_moments_are_said_by_scene(show):
    plot = count_show(show).plot
    starts = 0
    for scene in plot.scenes[:5]:
        starts += scene.length_s + scene.gap_s
    assert say_moment(plot, 0) == f"scene {plot.scenes[0].label} at 0"
    assert say_moment(plot, starts - 60).startswith("the interval after scene 5")


def test_more_people_than_there_are_is_a_number_and_no_error(show):
    """A change that takes nine people with three there is never made, and nothing breaks."""
    ChangeRule.objects.update(people=9)

    page = page_of(show)

    assert page.changes == ()
    assert page.joint.figures == 13
    (remark,) = [r.remark for role in read_plot(show).roles for g in role.guises for r in g.rules]
    assert remark == "It takes 9 people, and there are 3: with these people it is not made."


# The turn-round list


def test_turn_round_lists_what_ends_other_than_it_began(show):
    (line,) = [line for line in page_of(show).ways_back if line.costumes]
    assert ([str(c) for c in line.costumes], line.time, line.is_known) == (
        ["tarpaulin", "apron"], "", False,
    )  # fmt: skip

    bartle = guise_of(show, "B")
    apron, tarpaulin = bartle.costumes.all()
    ChangeRule.objects.create(
        draft=show.current_draft, guise=bartle, from_costume=tarpaulin, to_costume=apron,
        change_s=330,
    )  # fmt: skip
    (line,) = [line for line in page_of(show).ways_back if line.costumes]
    assert (line.time, line.is_known, line.people) == ("5:30", True, 1)


# The page


def test_the_plot_offers_it_by_a_plain_link_and_loads_it(show, client):
    client.force_login(person(show.company, Role.READER))
    html = client.get(reverse("scenes:plot", args=[show.pk])).content.decode()
    url = reverse("scenes:plot_people", args=[show.pk])

    assert f'hx-get="{url}"' in html
    assert f'href="{url}"' in html
    part = client.get(url, headers=HTMX).content.decode()
    assert "<html" not in part
    assert "By the clock" in part
    assert "proved" in part
    whole = client.get(url).content.decode()
    assert "The plot as they play it" in whole
    assert re.search("change 4 min, performer( \\d)?, begun in the gap after scene 3", whole)
    assert not re.search(r'\sstyle="|<style|\son\w+="|<script>|data:', whole)


def test_mends_lead_to_the_cell_only_for_those_who_may_write(show, client):
    show = staffed(show, performers=2)
    url = reverse("scenes:plot_people", args=[show.pk])
    for role, offered in ((Role.LEAD, True), (Role.READER, False)):
        client.force_login(person(show.company, role))
        assert ("Write it" in client.get(url).content.decode()) == offered


@pytest.mark.parametrize("arrange", ["nothing", "scenes", "nobody said"])
def test_empty_pages_say_what_comes_next(arrange, client):
    show = ShowFactory()
    client.force_login(person(show.company, Role.LEAD))
    if arrange != "nothing":
        lay_draft(show, SALT_SCENES)
    if arrange == "nobody said":
        guise = show.characters.create(name="Jory", letters="J").guises.create()
        put_on(show.current_draft, guise, None, "1")

    html = client.get(reverse("scenes:plot_people", args=[show.pk])).content.decode()

    words = "Say who performs" if arrange == "nobody said" else "Write who wears what"
    assert words in html


@pytest.mark.parametrize(
    ("who", "status"), [("maker", 200), ("reader", 200), ("stranger", 404), ("nobody", 302)]
)
@pytest.mark.parametrize("name", ["plot_people", "plot_range"])
def test_who_may_look(show, client, who, status, name):
    if who == "stranger":
        client.force_login(person(CompanyFactory(), Role.LEAD))
    elif who != "nobody":
        client.force_login(person(show.company, Role(who)))
    assert client.get(reverse(f"scenes:{name}", args=[show.pk])).status_code == status


@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 1, 1), (10, 10, 60)])
def test_reads_are_the_same_for_one_row_and_for_ten(
    roles, scenes, appearances, client, django_assert_num_queries
):
    show = staffed(lay_large_plot(roles, scenes, appearances), performers=4)
    client.force_login(person(show.company, Role.LEAD))
    url = reverse("scenes:plot_people", args=[show.pk])
    client.get(url)

    with django_assert_num_queries(PEOPLE_QUERIES):
        client.get(url)


PEOPLE_QUERIES = 32


def test_sixty_scenes_are_counted_with_people_and_drawn():
    show = staffed(lay_large_plot(6, 60, 120), performers=5, dressers=2)

    page = page_of(show)

    assert Scene.objects.filter(draft=show.current_draft).count() == 60
    assert page.joint.figures >= page.clock_figures
    assert len(to_duties(page).rows) == 7
