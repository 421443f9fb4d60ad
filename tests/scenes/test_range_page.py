"""What is left blank: how far it moves the count, what to decide, and by which day."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.management import call_command
from django.urls import reverse

from builds.queries.last_days import read_last_days
from builds.services.plans import make_plan
from builds.services.routes import add_default_routes
from builds.services.work import begin_step
from company import clock
from company.models import Craft, Maker, Role
from company.services.hours import set_hours
from scenes.models import Appearance, Guise, Show
from scenes.queries.counts import count_show
from scenes.queries.ranges import read_range
from tests.builds.workshop import MORNING, Workshop
from tests.factories import ShowFactory, person
from tests.scenes.plots import lay_large_plot, lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db

WEEK = {day: [(9 * 60, 13 * 60), (14 * 60, 17 * 60)] for day in range(5)}


@pytest.fixture
def show():
    return lay_salt_almanac()


@pytest.fixture
def quill(show):
    """Sister Quill, on once more in a costume that is not decided."""
    quill = Guise.objects.get(character__show=show, character__letters="Q")
    quill.costumes.create(name="cloak")
    put_on(show.current_draft, quill, None, "9")
    return quill


def dated(show, **days):
    Show.objects.filter(pk=show.pk).update(**days)
    return Show.objects.select_related("company", "current_draft").get(pk=show.pk)


def with_workshop(show):
    add_default_routes(company=show.company, user=None)
    maker = Maker.objects.create(company=show.company, name="Ines", is_lead=True)
    maker.crafts.set(Craft.objects.for_company(show.company))
    set_hours(maker=maker, user=None, from_date=None, week=WEEK)
    return maker


def text_of(client, show, **more):
    return client.get(reverse("scenes:plot_range", args=[show.pk]), **more).content.decode()


def test_undecided_it_is_one_or_two_and_says_what_makes_it_so(show, quill):
    page = read_range(count_show(show))

    assert page.words == "12, or 13 if the blanks go against you"
    (line,) = page.guises
    assert (line.guise, line.words) == (quill, "1, or 2 if the blanks go against you")
    (decision,) = line.decisions
    assert decision.words == "scene 9: the costume"
    assert decision.outcomes == "habit: 1; cloak: 2; one not named yet: 2"
    assert line.against == "It takes 2 where Sister Quill in scene 9 wears the cloak."


def test_without_blanks_nothing_is_asked(show):
    Appearance.objects.update(from_place="left", to_place="left")

    assert read_range(count_show(show)).words == ""


def test_blanks_that_do_not_matter_are_said_not_to(show, client):
    client.force_login(person(show.company, Role.LEAD))

    assert "12, however the blanks are filled" in text_of(client, show)


# By when


def test_by_the_plan_it_is_the_latest_start_of_the_last_figure():
    """Two figures of Jory that nobody has begun: a third takes as long as the one begun last."""
    shop = Workshop(figures=2)
    with clock.fixed_at(MORNING):
        plan = make_plan(show=shop.show, user=shop.lead, work=0)

        day, how = read_last_days(shop.show, [shop.guise.pk])[shop.guise.pk]

    firsts = {}
    for row in plan.steps.exclude(latest_start=None).order_by("latest_start"):
        firsts.setdefault(row.step.figure.tag, row.latest_start.date())
    assert set(firsts) == {"J1", "J2"}
    assert day == max(firsts.values())
    assert how == "J2 takes as long, and its work begins by then at the latest"


def test_figures_that_are_begun_say_nothing_of_a_further_one():
    shop = Workshop(figures=1)
    with clock.fixed_at(MORNING):
        step = shop.step("carve")
        begin_step(step=step, user=shop.lead, maker=shop.ines, reason="as it was")
        make_plan(show=shop.show, user=shop.lead, work=0)

        _, how = read_last_days(shop.show, [shop.guise.pk])[shop.guise.pk]

    assert how.startswith("needed by 1 June 2027, less ")


def test_without_a_plan_it_is_the_needed_day_less_the_hours(show, quill):
    with_workshop(show)
    show = dated(show, opening=date(2026, 12, 1), needed_by=date(2026, 10, 5))

    day, how = read_last_days(show, [quill.pk])[quill.pk]

    assert day < date(2026, 9, 25)
    assert how.startswith("needed by 5 October 2026, less ")
    assert "days of drying" in how


def test_a_scene_that_wants_it_sooner_wins(show, quill):
    with_workshop(show)
    show = dated(show, opening=date(2026, 12, 1), needed_by=date(2026, 10, 5))
    late, _ = read_last_days(show, [quill.pk])[quill.pk]
    show.current_draft.scenes.filter(label="6").update(needed_by=date(2026, 8, 3))

    soon, how = read_last_days(show, [quill.pk])[quill.pk]

    assert soon < late
    assert "3 August 2026" in how


def test_a_day_that_has_passed_is_said_to_have(show, quill, client):
    with_workshop(show)
    show = dated(show, opening=date(2026, 3, 9), needed_by=None)
    client.force_login(person(show.company, Role.LEAD))

    assert "It was to be decided by" in text_of(client, show)


def test_without_any_day_it_says_why(show, quill, client):
    client.force_login(person(show.company, Role.LEAD))

    assert "No day is known" in text_of(client, show)
    assert read_last_days(show, []) == {}


# The page


def test_the_plot_loads_it_and_links_to_the_cell(show, quill, client):
    client.force_login(person(show.company, Role.LEAD))
    html = client.get(reverse("scenes:plot", args=[show.pk])).content.decode()
    assert f'hx-get="{reverse("scenes:plot_range", args=[show.pk])}"' in html

    part = text_of(client, show, headers={"HX-Request": "true"})

    assert "<html" not in part
    key = show.current_draft.scenes.get(label="9").key
    assert reverse("scenes:plot_cell", args=[show.pk, quill.pk, key]) in part
    client.force_login(person(show.company, Role.READER))
    assert reverse("scenes:plot_cell", args=[show.pk, quill.pk, key]) not in text_of(client, show)


def test_an_empty_show_has_nothing_to_decide(client):
    show = ShowFactory()
    client.force_login(person(show.company, Role.READER))

    assert "Nothing is left blank" in text_of(client, show)


def test_the_command_says_the_range(show, quill, capsys):
    call_command("count_figures", show.title)

    assert "12, or 13 if the blanks go against you" in capsys.readouterr().out


@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 4, 4), (10, 10, 60)])
def test_reads_are_flat(roles, scenes, appearances, client, django_assert_num_queries):
    show = lay_large_plot(roles, scenes, appearances)
    with_workshop(show)
    show = dated(show, opening=date(2026, 12, 1))
    Appearance.objects.filter(pk=Appearance.objects.first().pk).update(costume=None)
    client.force_login(person(show.company, Role.LEAD))
    text_of(client, show)

    with django_assert_num_queries(RANGE_QUERIES):
        text_of(client, show)


RANGE_QUERIES = 41
