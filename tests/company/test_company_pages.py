"""The pages of the company: who may see and do what, what they say, what wrong input gets."""

from __future__ import annotations

import re
from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.fixtures import DjangoAssertNumQueries

from builds.services.routes import add_default_routes
from company.models import (
    Company,
    Craft,
    DayOff,
    Hours,
    Maker,
    Membership,
    OtherWork,
    Role,
    SignInLink,
    User,
)
from company.services.hours import add_day_off, add_other_work, set_hours
from tests.factories import CompanyFactory, CraftFactory, MakerFactory, person

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 2)
HTMX = {"HX-Request": "true"}


class House:
    """A company with a lead, a maker, a reader, and a stranger who leads another."""

    def __init__(self) -> None:
        self.company: Company = CompanyFactory(
            name="Driftmoor Figure Theatre", time_zone="Europe/London"
        )
        self.users: dict[str, User] = {
            "lead": person(self.company, Role.LEAD, "Ines"),
            "maker": person(self.company, Role.MAKER, "Tomas"),
            "reader": person(self.company, Role.READER, "Odile"),
            "stranger": person(CompanyFactory(), Role.LEAD, "Bertha"),
        }
        self.ines: Maker = MakerFactory(
            company=self.company, name="Ines", is_lead=True, user=self.users["lead"]
        )
        self.tomas: Maker = MakerFactory(company=self.company, name="Tomas", is_saw_trained=True)
        self.sew: Craft = CraftFactory(company=self.company, name="sew")
        self.tomas.crafts.add(self.sew)
        set_hours(maker=self.ines, user=None, from_date=None, week={0: [(600, 960)]})
        set_hours(
            maker=self.tomas, user=None, from_date=None, week={1: [(600, 960)], 2: [(600, 780)]}
        )
        self.block = add_other_work(maker=self.ines, user=None, word="writing", first=MONDAY)
        self.off = add_day_off(
            company=self.company, user=None, first=date(2026, 12, 28), word="closing"
        )

    def client(self, who: str) -> Client:
        client = Client()
        client.force_login(self.users[who])
        return client


@pytest.fixture
def house() -> House:
    return House()


def words_of(response: Any) -> str:
    """What the page says, its mark-up taken out."""
    text = re.sub(r"<(script|style)[^>]*>.*?</\1>|<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", text.replace("\xa0", " ").replace("&#x27;", "'"))


# Who may


def get_pages(h: House) -> dict[str, list[Any]]:
    return {
        "detail": [h.company.pk],
        "maker_detail": [h.tomas.pk],
        "holiday_list": [h.company.pk],
        "craft_list": [h.company.pk],
        "person_list": [h.company.pk],
    }


def lead_pages(h: House) -> dict[str, list[Any]]:
    return {
        "company_edit": [h.company.pk],
        "maker_new": [h.company.pk],
        "maker_edit": [h.tomas.pk],
        "hours_new": [h.tomas.pk],
        "hours_edit": [h.tomas.pk, "start"],
        "other_work_edit": [h.block.pk],
        "craft_edit": [h.sew.pk],
    }


def lead_posts(h: House) -> dict[str, list[Any]]:
    membership = Membership.objects.get(user=h.users["reader"])
    return {
        "maker_strike": [h.tomas.pk],
        "maker_take_back": [h.tomas.pk],
        "hours_drop": [h.tomas.pk, "start"],
        "other_work_add": [h.tomas.pk],
        "other_work_drop": [h.block.pk],
        "day_off_add": [h.tomas.pk],
        "day_off_drop": [h.off.pk],
        "holiday_add": [h.company.pk],
        "holiday_take": [h.company.pk],
        "craft_add": [h.company.pk],
        "craft_strike": [h.sew.pk],
        "person_invite": [h.company.pk],
        "person_link": [membership.pk],
        "person_role": [membership.pk],
        "person_remove": [membership.pk],
    }


@pytest.mark.parametrize(
    ("who", "status"), [("lead", 200), ("maker", 200), ("reader", 200), ("stranger", 404)]
)
def test_everybody_of_the_company_sees_its_pages(house: House, who: str, status: int) -> None:
    for name, args in get_pages(house).items():
        response = house.client(who).get(reverse(f"company:{name}", args=args))
        assert response.status_code == status, name


@pytest.mark.parametrize(
    ("who", "status"), [("lead", 200), ("maker", 403), ("reader", 403), ("stranger", 404)]
)
def test_only_a_lead_gets_the_forms(house: House, who: str, status: int) -> None:
    for name, args in lead_pages(house).items():
        response = house.client(who).get(reverse(f"company:{name}", args=args))
        assert response.status_code == status, name


@pytest.mark.parametrize(("who", "status"), [("maker", 403), ("reader", 403), ("stranger", 404)])
def test_nobody_but_a_lead_changes_anything(house: House, who: str, status: int) -> None:
    for name, args in (lead_posts(house) | lead_pages(house)).items():
        response = house.client(who).post(reverse(f"company:{name}", args=args), {})
        assert response.status_code == status, name
    assert Hours.objects.count() == 3
    assert (OtherWork.objects.count(), DayOff.objects.count(), Craft.objects.count()) == (1, 1, 1)


@pytest.mark.parametrize("who", ["maker", "reader"])
def test_pages_offer_no_form_to_those_who_may_not(house: House, who: str) -> None:
    for name, args in get_pages(house).items():
        page = house.client(who).get(reverse(f"company:{name}", args=args)).content.decode()
        posts = re.findall(r'<form[^>]*method="post"[^>]*action="([^"]*)"', page)
        assert set(posts) <= {reverse("company:sign_out")}, name


def test_looking_at_a_post_address_changes_nothing(house: House) -> None:
    for name, args in lead_posts(house).items():
        response = house.client("lead").get(reverse(f"company:{name}", args=args))
        assert response.status_code == 405, name


# What the pages say


def test_company_says_how_many_people_and_hours(house: House) -> None:
    page = words_of(house.client("reader").get(house.company.get_absolute_url()))
    assert "Two people, 15 h at the bench in a usual week." in page
    assert "trained on the saw" in page
    assert "This week, 9 h at the bench" in page  # Ines writes on Monday
    assert "writing" in page
    assert "28 December, closing" in page


def test_company_without_makers_offers_the_first(house: House) -> None:
    empty = CompanyFactory(name="An Empty House")
    Membership.objects.create(user=house.users["lead"], company=empty, role=Role.LEAD)
    page = words_of(house.client("lead").get(empty.get_absolute_url()))
    assert "Nobody is at the bench yet." in page
    assert "Add the first maker" in page


def test_company_whose_makers_have_no_hours_says_so(house: House) -> None:
    Hours.objects.all().delete()
    page = words_of(house.client("lead").get(house.company.get_absolute_url()))
    assert "no hours at the bench yet: without them nothing can be planned" in page


@pytest.mark.parametrize(
    ("week", "said"),
    [
        ("2026-03-11", "Week of 9 March 2026, 15 h"),
        ("2026-02-30", "This week, 9 h"),
        ("0001-01-01", "This week, 9 h"),
        ("9999-12-31", "This week, 9 h"),
        ("<script>", "This week, 9 h"),
    ],
)
def test_another_week_is_asked_for_by_its_day(house: House, week: str, said: str) -> None:
    address = house.company.get_absolute_url()
    page = house.client("reader").get(address, {"week": week})
    assert said in words_of(page)


def test_another_week_comes_as_a_fragment(house: House) -> None:
    address = house.company.get_absolute_url()
    page = house.client("reader").get(address, {"week": "2026-03-09"}, headers=HTMX)
    assert page.content.decode().strip().startswith("<section")
    assert b"<html" not in page.content
    assert "HX-Request" in page.headers["Vary"]


def test_maker_says_which_days_and_what_is_in_the_way(house: House) -> None:
    page = words_of(house.client("reader").get(f"/makers/{house.tomas.pk}/"))
    assert "Comes on Tuesday and Wednesday, 9 h at the bench in a usual week." in page
    assert page.count("Tue 10:00–16:00") == 8
    ines = words_of(house.client("reader").get(f"/makers/{house.ines.pk}/"))
    assert "writing 0 h of 6 h" in ines


def test_a_long_name_is_said_whole(house: House) -> None:
    long = "Bartholomew Quillingham-Saltmarsh-Ferry"
    Maker.objects.filter(pk=house.tomas.pk).update(name=long)
    assert long in words_of(house.client("reader").get(house.company.get_absolute_url()))


# Query counts: the same with one row and with ten


def fill(house: House, makers: int) -> None:
    Maker.objects.exclude(pk=house.ines.pk).delete()
    for number in range(makers):
        maker = MakerFactory(company=house.company, name=f"Maker {number}")
        maker.user = person(house.company, Role.MAKER, f"P {number}", login=f"p{number}")
        maker.save()
        craft = CraftFactory(company=house.company, name=f"craft {number}")
        maker.crafts.add(craft)
        set_hours(maker=maker, user=None, from_date=None, week={0: [(600, 660)]})
        add_other_work(maker=house.ines, user=None, word=f"set {number}", first=MONDAY)
        add_day_off(company=house.company, user=None, first=date(2027, 1, 1 + number))
        add_day_off(
            company=house.company, user=None, maker=house.ines, first=date(2027, 1, 1 + number)
        )


COUNTS = {
    "detail": 15,
    "maker_detail": 12,
    "holiday_list": 5,
    "craft_list": 7,
    "person_list": 7,
}


@pytest.mark.parametrize("rows", [1, 10])
@pytest.mark.parametrize("name", COUNTS)
def test_pages_ask_as_often_with_one_row_as_with_ten(
    house: House, name: str, rows: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    fill(house, rows)
    args = [house.ines.pk] if name == "maker_detail" else [house.company.pk]
    client = house.client("lead")
    with django_assert_num_queries(COUNTS[name]):
        assert client.get(reverse(f"company:{name}", args=args)).status_code == 200


# Makers


def test_new_maker_goes_on_to_their_hours(house: House) -> None:
    client = house.client("lead")
    given = {"name": "Priya", "crafts": [house.sew.pk], "has_latex_allergy": "on"}
    response = client.post(reverse("company:maker_new", args=[house.company.pk]), given)
    priya = Maker.objects.get(name="Priya")
    assert response.headers["Location"] == reverse("company:hours_new", args=[priya.pk])
    assert priya.has_latex_allergy
    assert list(priya.crafts.all()) == [house.sew]


def test_new_maker_with_everything_wrong_hears_all_of_it(house: House) -> None:
    foreign = CraftFactory(name="paint")
    given = {
        "name": "",
        "crafts": [foreign.pk],
        "from_date": "2026-13-01",
        "to_date": "nonsense",
        "user": house.users["stranger"].pk,
    }
    response = house.client("lead").post(
        reverse("company:maker_new", args=[house.company.pk]), given
    )
    assert response.status_code == 422
    page = words_of(response)
    assert "5 things to put right. Nothing was saved." in page
    assert "Who is it? Give a name." in page
    assert page.count("This is not a day: write year, month and day as 2027-05-11.") == 4
    assert not Maker.objects.filter(company=house.company, name="").exists()


def test_what_only_the_company_knows_is_wrong_is_said_at_once_too(house: House) -> None:
    client = house.client("lead")
    maker = {"name": "TOMAS", "from_date": "soon"}
    response = client.post(reverse("company:maker_new", args=[house.company.pk]), maker)
    assert set(response.context["form"].errors) == {"name", "from_date"}
    craft = {"name": "SEW", "daily_cap_min": "much"}
    response = client.post(reverse("company:craft_add", args=[house.company.pk]), craft)
    assert set(response.context["form"].errors) == {"name", "daily_cap_min"}
    guest = {"name": "Priya", "role": "boss", "login": house.users["lead"].login}
    response = client.post(reverse("company:person_invite", args=[house.company.pk]), guest)
    assert set(response.context["form"].errors) == {"role", "login"}
    work = {"word": "", "first": "2026-03-10", "last": "2026-03-09", "start_min": "9"}
    response = client.post(reverse("company:other_work_add", args=[house.tomas.pk]), work)
    assert set(response.context["work_form"].errors) == {"word", "last", "end_min"}


def test_service_refusals_stand_at_their_fields(house: House) -> None:
    given = {"name": "tomas", "from_date": "2026-03-02", "to_date": "2026-03-01"}
    response = house.client("lead").post(
        reverse("company:maker_new", args=[house.company.pk]), given
    )
    assert response.status_code == 422
    assert response.context["form"].errors == {
        "name": ["There is a maker of this name already."],
        "to_date": ["'Here from' comes after 'here until'."],
    }


def test_stale_edit_of_a_maker_answers_409_with_both(house: House) -> None:
    address = reverse("company:maker_edit", args=[house.tomas.pk])
    client = house.client("lead")
    given = {"name": "Tomas B.", "version": "1"}
    assert client.post(address, given).status_code == 302
    response = client.post(address, {"name": "Tomas C.", "version": "1"})
    assert response.status_code == 409
    assert "Tomas C." in words_of(response)
    assert Maker.objects.get(pk=house.tomas.pk).name == "Tomas B."


def test_striking_a_maker_and_taking_them_back(house: House) -> None:
    client = house.client("lead")
    response = client.post(reverse("company:maker_strike", args=[house.tomas.pk]), follow=True)
    assert "Tomas is struck. What they made stays under their name." in words_of(response)
    response = client.post(reverse("company:maker_take_back", args=[house.tomas.pk]), follow=True)
    assert "Tomas is back." in words_of(response)
    refused = client.post(reverse("company:maker_strike", args=[house.ines.pk]))
    assert refused.status_code == 422
    assert "Ines cannot be struck yet. Nothing was changed." in words_of(refused)


# Hours


def week_form(**days: str) -> dict[str, str]:
    return {f"day_{n}": days.get(f"day_{n}", "") for n in range(7)}


def test_new_hours_hold_from_their_day(house: House) -> None:
    address = reverse("company:hours_new", args=[house.tomas.pk])
    form = house.client("lead").get(address).context["form"]
    assert form["day_1"].value() == "10:00-16:00"
    given = {"from_date": "2026-06-01", **week_form(day_4="9:30-13, 14 to 17")}
    assert house.client("lead").post(address, given).status_code == 302
    rows = Hours.objects.filter(maker=house.tomas, from_date=date(2026, 6, 1))
    assert [(h.weekday, h.start_min, h.end_min) for h in rows] == [(4, 570, 780), (4, 840, 1020)]
    page = words_of(house.client("reader").get(f"/makers/{house.tomas.pk}/"))
    assert "Hours to come" in page
    assert "from the start until 31 May 2026" in page


def test_wrong_hours_are_all_named_and_what_was_typed_stays(house: House) -> None:
    address = reverse("company:hours_new", args=[house.tomas.pk])
    given = {
        "from_date": "2026-06-01",
        **week_form(
            day_0="10-13, 12-15", day_1="17-9", day_2="10-25:00", day_3="10:10-12", day_4="?"
        ),
    }
    response = house.client("lead").post(address, given)
    assert response.status_code == 422
    page = words_of(response)
    for words in (
        "5 things to put right. Nothing was saved.",
        "Monday : 10:00 to 13:00 and 12:00 to 15:00 overlap.",
        "Tuesday : 17:00 to 9:00 ends before it starts.",
        "Wednesday : '25:00' is not on the clock: the day ends at 24:00.",
        "Thursday : '10:10' is not on the quarter hour: write 10:00 or 10:15.",
        "Friday : '?' is not a stretch: write from and to, as in 10-13.",
    ):
        assert words in page
    assert 'value="10-13, 12-15"' in response.content.decode()
    assert Hours.objects.filter(maker=house.tomas).count() == 2


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"from_date": "2026-06-01"}, "Write hours for one day at least."),
        ({"from_date": "", "day_1": "10-12"}, "Hours from the start are written already"),
        ({"from_date": "1066-10-14", "day_1": "10-12"}, "1066 is out of reach"),
    ],
)
def test_hours_that_cannot_begin_are_refused(
    house: House, given: dict[str, str], words: str
) -> None:
    address = reverse("company:hours_new", args=[house.tomas.pk])
    response = house.client("lead").post(address, week_form() | given)
    assert response.status_code == 422
    assert words in words_of(response)


def test_hours_of_a_day_that_has_none_are_not_found(house: House) -> None:
    client = house.client("lead")
    for begins in ("2026-06-01", "nonsense"):
        for name in ("hours_edit", "hours_drop"):
            address = reverse(f"company:{name}", args=[house.tomas.pk, begins])
            assert client.post(address, week_form(day_1="10-12")).status_code == 404


def test_editing_and_taking_away_a_set_of_hours(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:hours_edit", args=[house.tomas.pk, "start"])
    client.post(address, week_form(day_5="8-12"))
    assert [h.weekday for h in Hours.objects.filter(maker=house.tomas)] == [5]
    client.post(reverse("company:hours_drop", args=[house.tomas.pk, "start"]))
    assert not Hours.objects.filter(maker=house.tomas).exists()


# Other work, days off, holidays


def test_other_work_is_put_in_by_htmx_and_without(house: House) -> None:
    address = reverse("company:other_work_add", args=[house.tomas.pk])
    given = {"word": "touring", "first": "2026-03-10", "last": "2026-03-12"}
    plain = house.client("lead").post(address, given)
    assert plain.status_code == 302
    given["word"] = "rehearsal"
    fragment = house.client("lead").post(address, given, headers=HTMX)
    assert fragment.status_code == 200
    assert b"<html" not in fragment.content
    assert "'rehearsal' is in the calendar." in words_of(fragment)
    assert OtherWork.objects.filter(maker=house.tomas).count() == 2


def test_wrong_other_work_comes_back_with_the_form(house: House) -> None:
    address = reverse("company:other_work_add", args=[house.tomas.pk])
    given = {"word": "", "first": "soon", "start_min": "25", "end_min": "9:05"}
    response = house.client("lead").post(address, given)
    assert response.status_code == 422
    page = words_of(response)
    assert "4 things to put right" in page
    assert "'25' is not on the clock" in page
    assert "'9:05' is not on the quarter hour" in page
    given = {"word": "set", "first": "2026-03-10", "last": "2026-03-09"}
    response = house.client("lead").post(address, given)
    assert "The last day comes before the first." in words_of(response)


def test_other_work_is_changed_and_taken_out(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:other_work_edit", args=[house.block.pk])
    given = {"word": "writing", "first": "2026-03-02", "start_min": "9", "end_min": "24:00"}
    assert client.post(address, given).status_code == 302
    assert OtherWork.objects.get().end_min == 1440
    client.post(reverse("company:other_work_drop", args=[house.block.pk]))
    assert not OtherWork.objects.exists()


def test_days_off_are_put_in_and_taken_out(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:day_off_add", args=[house.tomas.pk])
    assert client.post(address, {"first": "2026-04-01"}).status_code == 302
    again = client.post(address, {"first": "2026-04-01"})
    assert again.status_code == 422
    assert "These days are written down already." in words_of(again)
    row = DayOff.objects.get(maker=house.tomas)
    client.post(reverse("company:day_off_drop", args=[row.pk]))
    assert not DayOff.objects.filter(maker=house.tomas).exists()


def test_holiday_is_typed_and_a_wrong_one_refused(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:holiday_add", args=[house.company.pk])
    client.post(address, {"first": "2026-05-01", "word": "May Day"})
    assert DayOff.objects.filter(maker=None).count() == 2
    wrong = client.post(address, {"first": "", "last": "2026-05-01"})
    assert wrong.status_code == 422
    assert "Say the first day." in words_of(wrong)


def test_public_holidays_are_shown_before_they_are_taken(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:holiday_list", args=[house.company.pk])
    choice = {"country": "GB", "region": "ENG", "year": "2026"}
    shown = client.get(address, choice)
    assert "Good Friday" in words_of(shown)
    assert DayOff.objects.count() == 1
    take = reverse("company:holiday_take", args=[house.company.pk])
    client.post(take, choice | {"day": ["2026-04-03", "2026-12-25", "2026-07-14", "x"]})
    taken = set(DayOff.objects.filter(maker=None).values_list("first", flat=True))
    assert taken == {date(2026, 12, 28), date(2026, 4, 3), date(2026, 12, 25)}
    assert "in the calendar already" in words_of(client.get(address, choice))


def test_public_holidays_of_a_country_that_is_not_known_are_refused(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:holiday_list", args=[house.company.pk])
    wrong = client.get(address, {"country": "XX", "year": "0"})
    assert wrong.status_code == 422
    take = reverse("company:holiday_take", args=[house.company.pk])
    assert client.post(take, {"country": "XX", "year": "2026"}).status_code == 422
    none = client.post(take, {"country": "GB", "year": "2026"}, follow=True)
    assert "No day was ticked: nothing was taken over." in words_of(none)
    assert DayOff.objects.count() == 1


# Crafts


def test_craft_is_added_changed_and_struck(house: House) -> None:
    client = house.client("lead")
    add = reverse("company:craft_add", args=[house.company.pk])
    client.post(add, {"name": "carve", "daily_cap_min": "5", "makers": [house.ines.pk]})
    carve = Craft.objects.get(name="carve")
    assert (carve.daily_cap_min, list(carve.makers.all())) == (300, [house.ines])
    edit = reverse("company:craft_edit", args=[carve.pk])
    client.post(edit, {"name": "carving", "daily_cap_min": "", "makers": [house.tomas.pk]})
    carve.refresh_from_db()
    assert (carve.name, carve.daily_cap_min) == ("carving", None)
    client.post(reverse("company:craft_strike", args=[carve.pk]))
    assert Craft.objects.get(pk=carve.pk).struck_at is not None


def test_wrong_craft_hears_all_of_it(house: House) -> None:
    add = reverse("company:craft_add", args=[house.company.pk])
    foreign = MakerFactory()
    given = {"name": "", "daily_cap_min": "much", "makers": [foreign.pk]}
    response = house.client("lead").post(add, given)
    assert response.status_code == 422
    assert "3 things to put right" in words_of(response)
    twice = house.client("lead").post(add, {"name": "SEW"})
    assert "There is a craft of this name already." in words_of(twice)


def test_craft_that_a_route_asks_for_stays(house: House) -> None:
    add_default_routes(company=house.company)
    paint = Craft.objects.get(company=house.company, name="paint")
    response = house.client("lead").post(reverse("company:craft_strike", args=[paint.pk]))
    assert response.status_code == 422
    assert "That craft stays. Nothing was changed." in words_of(response)


# Settings


def test_settings_are_saved_by_the_lead(house: House) -> None:
    address = reverse("company:company_edit", args=[house.company.pk])
    given = {
        "version": "1",
        "name": "Driftmoor",
        "time_zone": "Europe/Vienna",
        "units": "us",
        "paper": "Letter",
        "currency": "usd",
        "week_start": "6",
    }
    assert house.client("lead").post(address, given).status_code == 302
    house.company.refresh_from_db()
    assert (house.company.paper, house.company.currency, house.company.week_start) == (
        *("Letter", "USD", 6),
    )
    wrong = given | {"version": "2", "time_zone": "Mars/Base", "currency": "?", "paper": "A0"}
    response = house.client("lead").post(address, wrong)
    assert response.status_code == 422
    assert "things to put right" in words_of(response)


# Who signs in


def test_link_is_shown_once_and_lets_in(house: House) -> None:
    client = house.client("lead")
    address = reverse("company:person_invite", args=[house.company.pk])
    response = client.post(address, {"name": "Priya", "role": "maker", "maker": house.tomas.pk})
    assert response.status_code == 200
    link = re.search(r'value="(http[^"]+/in/[^"]+)"', response.content.decode())
    assert link is not None
    assert "no-store" in response.headers["Cache-Control"]
    priya = User.objects.get(name="Priya")
    assert Maker.objects.get(pk=house.tomas.pk).user == priya
    seen = client.get(reverse("company:person_list", args=[house.company.pk]))
    assert "/in/" not in seen.content.decode()
    guest = Client()
    assert guest.post("/in/" + link[1].split("/in/")[1]).status_code == 302
    assert SignInLink.objects.get(user=priya).used_at is not None


def test_wrong_invitation_hears_all_of_it(house: House) -> None:
    address = reverse("company:person_invite", args=[house.company.pk])
    given = {"name": "", "role": "boss", "maker": house.ines.pk}
    response = house.client("lead").post(address, given)
    assert response.status_code == 422
    assert "3 things to put right" in words_of(response)
    login = {"name": "Priya", "role": "maker", "login": house.users["stranger"].login}
    response = house.client("lead").post(address, login)
    assert "choose another name" in words_of(response)
    assert not User.objects.filter(name="Priya").exists()


def test_roles_change_and_the_last_lead_stays(house: House) -> None:
    client = house.client("lead")
    odile = Membership.objects.get(user=house.users["reader"])
    client.post(reverse("company:person_role", args=[odile.pk]), {"role": "maker"})
    assert Membership.objects.get(pk=odile.pk).role == "maker"
    ines = Membership.objects.get(user=house.users["lead"])
    for name, given in (("person_role", {"role": "reader"}), ("person_remove", {})):
        response = client.post(reverse(f"company:{name}", args=[ines.pk]), given)
        assert response.status_code == 422
        assert "Ines is the only lead who signs in" in words_of(response)
    wrong = client.post(reverse("company:person_role", args=[odile.pk]), {"role": "boss"})
    assert wrong.status_code == 422


def test_access_is_taken_away_at_once(house: House) -> None:
    odile = house.client("reader")
    assert odile.get(house.company.get_absolute_url()).status_code == 200
    place = Membership.objects.get(user=house.users["reader"])
    house.client("lead").post(reverse("company:person_remove", args=[place.pk]))
    assert odile.get(house.company.get_absolute_url()).status_code == 404


def test_a_lead_who_gives_up_the_lead_lands_where_they_may_be(house: House) -> None:
    person(house.company, Role.LEAD, "Second")
    client = house.client("lead")
    place = Membership.objects.get(user=house.users["lead"])
    response = client.post(
        reverse("company:person_role", args=[place.pk]), {"role": "reader"}, follow=True
    )
    assert response.status_code == 200
    client = house.client("lead")
    Membership.objects.filter(pk=place.pk).update(role=Role.LEAD)
    response = client.post(reverse("company:person_remove", args=[place.pk]), follow=True)
    assert response.status_code == 200
    assert response.request["PATH_INFO"] == "/"


def test_new_link_ends_the_older_one(house: House) -> None:
    client = house.client("lead")
    place = Membership.objects.get(user=house.users["maker"])
    address = reverse("company:person_link", args=[place.pk])
    first, second = client.post(address), client.post(address)
    tokens = [re.search(r"/in/([^\"/]+)", r.content.decode())[1] for r in (first, second)]  # type: ignore[index]
    assert Client().get(f"/in/{tokens[0]}/").status_code == 410
    assert Client().get(f"/in/{tokens[1]}/").status_code == 200
