"""Weekly hours, other work, days off and holidays; and the working time that comes of them."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pytest
from django.core.exceptions import ValidationError
from pytest_django.fixtures import DjangoAssertNumQueries

from company.models import Change, Company, DayOff, Hours, Maker, OtherWork
from company.public_holidays import countries, public_holidays, regions_of
from company.queries import Diary, working_time_of
from company.services.hours import (
    add_day_off,
    add_holidays,
    add_other_work,
    drop_day_off,
    drop_hours,
    drop_other_work,
    edit_other_work,
    set_hours,
)
from company.week_picture import draw_week
from tests.factories import CompanyFactory, CraftFactory, MakerFactory

pytestmark = pytest.mark.django_db
MONDAY = date(2026, 3, 2)


@pytest.fixture
def company() -> Company:
    return CompanyFactory(name="Driftmoor Figure Theatre", time_zone="Europe/London")


@pytest.fixture
def tomas(company: Company) -> Maker:
    return MakerFactory(company=company, name="Tomas")


def at(day: date, hour: float) -> int:
    """Minutes from 1970 to an hour of a day in UTC."""
    start = datetime(day.year, day.month, day.day, tzinfo=UTC)
    return int(start.timestamp()) // 60 + int(hour * 60)


# Weekly hours


def test_hours_are_replaced_only_for_the_set_that_begins_on_that_day(tomas: Maker) -> None:
    set_hours(maker=tomas, user=None, from_date=None, week={1: [(600, 960)]})
    set_hours(maker=tomas, user=None, from_date=date(2026, 6, 1), week={2: [(540, 720)]})
    set_hours(maker=tomas, user=None, from_date=date(2026, 6, 1), week={3: [(540, 720)]})
    found = [(h.from_date, h.weekday) for h in Hours.objects.filter(maker=tomas)]
    assert set(found) == {(date(2026, 6, 1), 3), (None, 1)}
    assert Change.objects.first().before == {"from": "2026-06-01", "Wednesday": "9:00-12:00"}  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("week", "field", "words"),
    [
        ({1: [(600, 780), (720, 900)]}, "day_1", "Two stretches overlap."),
        ({1: [(600, 780), (600, 780)]}, "day_1", "Two stretches overlap."),
        ({2: [(780, 600)]}, "day_2", "13:00 to 10:00 is no stretch of a day."),
        ({2: [(600, 1500)]}, "day_2", "10:00 to 25:00 is no stretch of a day."),
        ({3: [(605, 660)]}, "day_3", "10:05 to 11:00 is not on the quarter hour."),
        ({}, "__all__", "Write hours for one day at least."),
    ],
)
def test_wrong_hours_are_refused_and_the_old_ones_stay(
    tomas: Maker, week: dict[int, list[tuple[int, int]]], field: str, words: str
) -> None:
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 660)]})
    with pytest.raises(ValidationError) as wrong:
        set_hours(maker=tomas, user=None, from_date=None, week=week)
    assert wrong.value.message_dict[field][0].startswith(words)
    assert Hours.objects.get().weekday == 0


def test_all_wrong_days_are_named_at_once(tomas: Maker) -> None:
    week = {1: [(605, 660)], 2: [(780, 600)], 4: [(600, 660)]}
    with pytest.raises(ValidationError) as wrong:
        set_hours(maker=tomas, user=None, from_date=None, week=week)
    assert set(wrong.value.message_dict) == {"day_1", "day_2"}


def test_hours_taken_away_let_those_before_hold_on(company: Company, tomas: Maker) -> None:
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 660)]})
    set_hours(maker=tomas, user=None, from_date=MONDAY, week={0: [(600, 720)]})
    drop_hours(maker=tomas, user=None, from_date=MONDAY)
    assert working_time_of(company, MONDAY, MONDAY)[tomas.pk].work == (
        (at(MONDAY, 10), at(MONDAY, 11)),
    )
    with pytest.raises(ValidationError, match="no hours that begin"):
        drop_hours(maker=tomas, user=None, from_date=MONDAY)


# Other work and days off


def test_other_work_is_written_changed_and_taken_out(tomas: Maker) -> None:
    block = add_other_work(maker=tomas, user=None, word=" writing ", first=MONDAY)
    assert (block.word, block.first, block.last) == ("writing", MONDAY, MONDAY)
    edit_other_work(
        block=block, user=None, word="touring", first=MONDAY, last=date(2026, 3, 6), start_min=600,
        end_min=720,
    )  # fmt: skip
    assert OtherWork.objects.get().word == "touring"
    drop_other_work(block=block, user=None)
    assert not OtherWork.objects.exists()
    assert [change.noun for change in Change.objects.all()] == ["other work"] * 3


@pytest.mark.parametrize(
    ("given", "field", "words"),
    [
        ({"word": " "}, "word", "Say what it is"),
        ({"word": "w" * 81}, "word", "At most 80 letters, not 81."),
        ({"last": date(2026, 3, 1)}, "last", "The last day comes before the first."),
        ({"last": date(2029, 3, 1)}, "last", "That is more than two years"),
        ({"start_min": 600}, "end_min", "Write both times"),
        ({"end_min": 600}, "start_min", "Write both times"),
        ({"start_min": 600, "end_min": 600}, "end_min", "The block ends before it starts."),
        ({"start_min": 600, "end_min": 605}, "end_min", "10:00 to 10:05 is not on the quarter"),
    ],
)
def test_wrong_other_work_is_refused(
    tomas: Maker, given: dict[str, object], field: str, words: str
) -> None:
    with pytest.raises(ValidationError) as wrong:
        add_other_work(maker=tomas, user=None, **({"word": "set", "first": MONDAY} | given))  # type: ignore[arg-type]
    assert wrong.value.message_dict[field][0].startswith(words)
    assert not OtherWork.objects.exists()


def test_the_same_block_twice_is_refused(tomas: Maker) -> None:
    add_other_work(maker=tomas, user=None, word="writing", first=MONDAY)
    with pytest.raises(ValidationError, match="'writing' stands on these days already"):
        add_other_work(maker=tomas, user=None, word="writing", first=MONDAY)


def test_days_off_twice_or_backwards_are_refused(company: Company, tomas: Maker) -> None:
    add_day_off(company=company, user=None, maker=tomas, first=MONDAY)
    with pytest.raises(ValidationError, match="written down already"):
        add_day_off(company=company, user=None, maker=tomas, first=MONDAY)
    add_day_off(company=company, user=None, first=MONDAY)  # the company's is another thing
    with pytest.raises(ValidationError, match="comes before the first"):
        add_day_off(company=company, user=None, first=MONDAY, last=date(2026, 3, 1))
    drop_day_off(day_off=DayOff.objects.get(maker=tomas), user=None)
    assert DayOff.objects.get().maker is None


def test_holidays_taken_over_twice_are_there_once(company: Company) -> None:
    days = [(date(2026, 12, 25), "Christmas Day"), (date(2026, 12, 26), "Boxing Day")]
    assert len(add_holidays(company=company, user=None, days=days)) == 2
    assert add_holidays(company=company, user=None, days=[*days, days[0]]) == []
    assert DayOff.objects.count() == 2


# Public holidays


def test_public_holidays_are_those_of_the_statute() -> None:
    """Bank holidays in England 2026: Banking and Financial Dealings Act 1971, Schedule 1, with
    Good Friday and Christmas Day by common law, and the substitute for Boxing Day, a Saturday."""
    found = {h.day for h in public_holidays("GB", 2026, "ENG")}
    assert {
        date(2026, 1, 1),
        date(2026, 4, 3),
        date(2026, 4, 6),
        date(2026, 5, 4),
        date(2026, 5, 25),
        date(2026, 8, 31),
        date(2026, 12, 25),
        date(2026, 12, 28),
    } <= found


def test_public_holidays_of_a_region_differ_from_the_countrys() -> None:
    """St Andrew's Day Bank Holiday (Scotland) Act 2007: 30 November."""
    scotland = {h.day for h in public_holidays("GB", 2026, "SCT")}
    england = {h.day for h in public_holidays("GB", 2026, "ENG")}
    assert date(2026, 11, 30) in scotland - england


def test_public_holidays_refuse_what_is_not_known() -> None:
    assert ("GB", "United Kingdom") in countries()
    assert ("ENG", "England") in regions_of("GB")
    assert regions_of("nowhere") == ()
    with pytest.raises(KeyError):
        public_holidays("XX", 2026)
    with pytest.raises(ValueError, match="BY"):
        public_holidays("GB", 2026, "BY")


# Working time


def test_working_time_leaves_out_other_work_days_off_and_holidays(
    company: Company, tomas: Maker
) -> None:
    week = {day: [(600, 780), (840, 1020)] for day in range(5)}
    set_hours(maker=tomas, user=None, from_date=None, week=week)
    tuesday, wednesday, friday = (MONDAY + timedelta(days=n) for n in (1, 2, 4))
    add_other_work(
        maker=tomas, user=None, word="set", first=MONDAY, last=tuesday, start_min=720, end_min=900
    )
    add_day_off(company=company, user=None, maker=tomas, first=wednesday)
    add_day_off(company=company, user=None, first=MONDAY + timedelta(days=3))
    assert working_time_of(company, MONDAY, friday)[tomas.pk].work == (
        *((at(MONDAY, 10), at(MONDAY, 12)), (at(MONDAY, 15), at(MONDAY, 17))),
        *((at(tuesday, 10), at(tuesday, 12)), (at(tuesday, 15), at(tuesday, 17))),
        *((at(friday, 10), at(friday, 13)), (at(friday, 14), at(friday, 17))),
    )


def test_working_time_follows_the_clock_of_the_companys_zone(
    company: Company, tomas: Maker
) -> None:
    """IANA tz database: London keeps UTC until 29 March 2026, then an hour ahead of it."""
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 660)]})
    before, after = date(2026, 3, 23), date(2026, 3, 30)
    assert working_time_of(company, before, after)[tomas.pk].work == (
        (at(before, 10), at(before, 11)),
        (at(after, 9), at(after, 10)),
    )


def test_working_time_counts_from_the_epoch_asked_for(company: Company, tomas: Maker) -> None:
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 660)]})
    epoch = datetime(2026, 3, 2, tzinfo=UTC)
    found = working_time_of(company, MONDAY, MONDAY, epoch=epoch)[tomas.pk]
    assert list(found) == [(600, 660)]
    assert len(found) == 1


def test_capped_craft_has_the_first_minutes_of_each_day(company: Company, tomas: Maker) -> None:
    """Carving at most five hours a day: common practice, no source."""
    carve = CraftFactory(company=company, name="carve", daily_cap_min=300)
    sew = CraftFactory(company=company, name="sew")
    tomas.crafts.add(carve, sew)
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 780), (840, 1080)]})
    found = working_time_of(company, MONDAY, MONDAY)[tomas.pk]
    assert found.by_craft == {
        carve.pk: ((at(MONDAY, 10), at(MONDAY, 13)), (at(MONDAY, 14), at(MONDAY, 16)))
    }


def test_struck_makers_and_other_companies_have_no_working_time(
    company: Company, tomas: Maker
) -> None:
    gone = MakerFactory(company=company, struck_at=datetime(2026, 1, 1, tzinfo=UTC))
    stranger = MakerFactory()
    for maker in (tomas, gone, stranger):
        set_hours(maker=maker, user=None, from_date=None, week={0: [(600, 660)]})
    assert set(working_time_of(company, MONDAY, MONDAY)) == {tomas.pk}


@pytest.mark.parametrize("makers", [1, 10])
def test_working_time_asks_five_times_however_many_makers(
    company: Company, makers: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    craft = CraftFactory(company=company, daily_cap_min=300)
    for maker in MakerFactory.create_batch(makers, company=company):
        maker.crafts.add(craft)
        set_hours(maker=maker, user=None, from_date=None, week={0: [(600, 660)]})
        add_other_work(maker=maker, user=None, word="set", first=MONDAY)
    with django_assert_num_queries(5):
        working_time_of(company, MONDAY, date(2026, 6, 1))


# The diary and its picture


def test_diary_says_what_is_in_the_way_only_on_days_that_are_worked(
    company: Company, tomas: Maker
) -> None:
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 780)], 1: [(600, 780)]})
    add_other_work(maker=tomas, user=None, word="touring", first=MONDAY, last=date(2026, 3, 8))
    add_day_off(company=company, user=None, first=date(2026, 3, 3))
    week = Diary(company, [tomas]).week(tomas, MONDAY)
    assert [day.words for day in week.days] == [
        *(("touring",), ("touring", "holiday"), (), (), (), (), ()),
    ]
    assert (week.minutes, week.usual_minutes) == (0, 360)
    assert week.words == ("touring", "holiday")


def test_usual_week_is_that_of_the_hours_in_force_today(company: Company, tomas: Maker) -> None:
    assert Diary(company, [tomas]).usual_min(tomas) == 0
    set_hours(maker=tomas, user=None, from_date=date(2026, 12, 1), week={0: [(600, 660)]})
    assert Diary(company, [tomas]).usual_min(tomas) == 60  # the first to come
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(600, 720)]})
    assert Diary(company, [tomas]).usual_min(tomas) == 120


@pytest.mark.parametrize(("start", "first"), [(0, 2), (5, 28), (6, 1)])
def test_week_starts_on_the_companys_first_day(company: Company, start: int, first: int) -> None:
    company.week_start = start
    assert Diary(company, []).week_start(date(2026, 3, 4)).day == first


def test_picture_draws_all_days_to_one_scale(company: Company, tomas: Maker) -> None:
    set_hours(maker=tomas, user=None, from_date=None, week={0: [(570, 780)], 1: [(840, 1095)]})
    add_other_work(maker=tomas, user=None, word="set", first=MONDAY, start_min=600, end_min=660)
    diary = Diary(company, [tomas])
    picture = draw_week([diary.week(tomas, MONDAY)], MONDAY, diary.today)
    assert (picture.from_clock, picture.to_clock) == ("9:00", "19:00")
    monday, tuesday = picture.rows[0].cells[:2]
    assert [(b.x, b.x + b.width, b.is_taken) for b in tuesday.bars] == [(500, 925, False)]
    assert [b.is_taken for b in monday.bars] == [True, False, False]
    assert monday.times == "9:30–10:00, 11:00–13:00"
    assert picture.minutes == 30 + 120 + 255


def test_picture_of_nobody_has_no_days() -> None:
    picture = draw_week([], MONDAY, MONDAY)
    assert picture.rows == picture.days == ()
