"""Tests of what a pour takes off the shelf: from which lot, never below nought, and given back."""

from __future__ import annotations

from datetime import timedelta
from html import unescape
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.models import Lot, Mould, MouldAmounts, Pour, Step, Taking
from builds.queries.materials import Materials
from builds.queries.pours import read_pour, read_pour_form
from builds.queries.shopping import read_shopping
from builds.queries.stock import in_stock, shelf, taken_by
from builds.queries.takings import Asked, read_takings
from builds.services.mould_materials import choose_materials, set_amounts
from builds.services.pours import edit_pour, strike_pour
from builds.services.stock import add_lot, edit_lot, strike_lot
from builds.services.work import finish_step
from company import clock
from company.models import Change, Company
from company.services.changes import StaleEdit
from tests.builds.foundry import Foundry

pytestmark = pytest.mark.django_db
HOUR, DAY = timedelta(hours=1), timedelta(days=1)
SLIP = "neoprene slip"


@pytest.fixture
def foundry() -> Foundry:
    """A dry mould for slip of 860 ml: 946 ml go in with a tenth of waste, 215 ml stay."""
    made = Foundry()
    made.make_mould(days_ago=10)
    measured(made, SLIP)
    return made


def measured(foundry: Foundry, cast: str) -> None:
    choose_materials(
        mould=foundry.mould(), user=foundry.lead, version=None,
        sculpt="water clay", moulded="plaster", cast=cast,
    )  # fmt: skip
    has = MouldAmounts.objects.filter(mould=foundry.mould()).first()
    set_amounts(
        mould=foundry.mould(), user=foundry.lead, version=has.version if has else 0,
        values={"way": "known", "known_ml": 860, "waste_percent": 10},
    )  # fmt: skip


def put(foundry: Foundry, code: str, left: int, **more: Any) -> Lot:
    values = {"kind": "cast", "material": SLIP, "code": code, "unit": "ml", "left": left, **more}
    with clock.fixed_at(clock.now() - 3 * DAY):
        return add_lot(company=foundry.company, user=foundry.lead, values=values)


def lefts() -> dict[str, int]:
    return dict(Lot.objects.values_list("code", "left"))


def taken(pour: Pour) -> list[tuple[str, int, int]]:
    rows = Taking.objects.filter(pour=pour, struck_at=None)
    return list(rows.values_list("lot__code", "amount", "short"))


def enter(client: Client, foundry: Foundry) -> Client:
    client.force_login(foundry.lead, backend="django.contrib.auth.backends.ModelBackend")
    return client


def page_of(client: Client, name: str, pk: int, query: str = "") -> str:
    answer = client.get(reverse(f"builds:{name}", args=[pk]) + query)
    assert answer.status_code == 200
    return words_of(answer)


def words_of(answer: Any) -> str:
    return " ".join(unescape(answer.content.decode()).replace("\N{NO-BREAK SPACE}", " ").split())


# Taking


def test_what_stays_in_the_mould_comes_off_the_lot_in_one_record(foundry: Foundry) -> None:
    lot = put(foundry, "N-114", 1900)
    begun = Change.objects.count()
    pour = foundry.pour(lot="n-114", mix="stirred")

    assert lefts() == {"N-114": 1900 - 215}
    assert taken(pour) == [("N-114", 215, 0)]
    assert in_stock(foundry.company) == {("cast", SLIP): {"ml": 1685}}
    assert Lot.objects.get(pk=lot.pk).version == 2
    change = Change.objects.get(noun="pour", row=str(pour.pk), before__has_key="lots")
    assert (change.before["lots"], change.after["lots"]) == ({"N-114": 1900}, {"N-114": 1685})
    assert not Change.objects.filter(noun="lot", pk__gt=0).exclude(before=None).exists()
    assert Change.objects.count() > begun


def test_who_has_the_old_rest_on_the_screen_is_told(foundry: Foundry) -> None:
    lot = put(foundry, "N-114", 1900)
    foundry.pour(lot="N-114")
    with pytest.raises(StaleEdit):
        edit_lot(lot=lot, user=foundry.lead, version=1, values={"left": 1800})


def test_a_lot_with_too_little_is_said_and_nothing_is_saved(foundry: Foundry) -> None:
    put(foundry, "N-114", 100)
    with pytest.raises(ValidationError) as refused:
        foundry.pour(lot="N-114")
    (said,) = refused.value.message_dict["was_so"]
    assert said.replace("\N{NO-BREAK SPACE}", " ").startswith(
        "Lot N-114 has 100 ml left, and this pour takes 215 ml."
    )
    assert lefts() == {"N-114": 100}
    assert not Pour.objects.filter(poured_at__isnull=False).exists()


def test_it_was_so_empties_the_lot_and_keeps_what_was_missing(foundry: Foundry) -> None:
    put(foundry, "N-114", 100)
    pour = foundry.pour(lot="N-114", was_so=True)  # type: ignore[arg-type]
    assert lefts() == {"N-114": 0}
    assert taken(pour) == [("N-114", 100, 115)]
    strike_pour(pour=pour, user=foundry.lead, words="never happened")
    assert lefts() == {"N-114": 100}


def test_a_second_lot_gives_what_the_first_lacks(foundry: Foundry) -> None:
    put(foundry, "N-114", 100)
    put(foundry, "N-120", 3800)
    pour = foundry.pour(lot="N-114, N-120")
    assert lefts() == {"N-114": 0, "N-120": 3685}
    assert taken(pour) == [("N-114", 100, 0), ("N-120", 115, 0)]


def test_a_lot_whose_number_has_a_comma_is_one_lot(foundry: Foundry) -> None:
    put(foundry, "7, blue lid", 500)
    foundry.pour(lot="7, blue lid")
    assert lefts() == {"7, blue lid": 285}


def test_another_amount_goes_before_what_was_worked_out(foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    pour = foundry.pour(lot="N-114", takes=Asked(300, "ml"))  # type: ignore[arg-type]
    assert taken(pour) == [("N-114", 300, 0)]


@pytest.mark.parametrize(
    ("lot", "why"),
    [
        ("X-9", "lot X-9 is not on the shelf"),
        ("N-1", "lot N-1 is not on the shelf"),  # taken off it
        ("N-3", "what is left of lot N-3 was written down afterwards"),
        ("N-4", "lot N-4 is not on the shelf"),  # of another material
        ("", ""),
    ],
)
def test_nothing_is_taken_and_it_says_why(foundry: Foundry, lot: str, why: str) -> None:
    strike_lot(lot=put(foundry, "N-1", 900), user=foundry.lead)
    edit_lot(lot=put(foundry, "N-3", 900), user=foundry.lead, version=1, values={"left": 700})
    put(foundry, "N-4", 900, material="latex slip")
    pour = foundry.pour(lot=lot, at=clock.now() - HOUR)
    assert taken(pour) == []
    assert read_pour(pour).nothing_taken == why


def test_what_nobody_measured_is_not_taken(foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    MouldAmounts.objects.all().delete()
    Mould.objects.update(fill_ml=None, stays_ml=None)
    type(foundry.guise).objects.update(head_mm=None)
    pour = foundry.pour(lot="N-114")
    card = read_pour(pour)
    assert (lefts(), card.is_unmeasured) == ({"N-114": 1900}, True)


def test_plaster_comes_out_of_the_one_bag_and_water_from_the_tap(foundry: Foundry) -> None:
    measured(foundry, "plaster")
    put(foundry, "P-7", 20_000, kind="mould", material="plaster", unit="g")
    offer = read_pour_form(foundry.show, foundry.lead, str(foundry.mould().pk))
    assert offer.lots == ("P-7",)
    pour = foundry.pour(lot="P-7")
    ((_, amount, _),) = taken(pour)
    # 860 ml and a tenth of waste; at 70 of water to 100 the maker's table has a wet density of
    # 99 lb a cubic foot, 1.586 g per ml (plaster.com/mixing): 946 x 1.586 / 1.7 = 883 g.
    assert amount == pytest.approx(883, abs=5)
    assert lefts() == {"P-7": 20_000 - amount}


def test_a_lot_by_weight_gives_slip_by_its_density(foundry: Foundry) -> None:
    put(foundry, "N-114", 5000, unit="g")
    density = Materials(foundry.company).find("cast", SLIP)
    assert density is not None
    pour = foundry.pour(lot="N-114")
    ((_, amount, _),) = taken(pour)
    if density.density is not None:
        assert amount == round(215 * density.density.usual)


def test_what_its_step_alone_says_takes_nothing(foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    finish_step(step=Step.objects.get(pour__castings__number=1), user=foundry.lead, reason="paper")
    assert lefts() == {"N-114": 1900}


def test_what_is_to_buy_follows(foundry: Foundry) -> None:
    from builds.services.plans import make_plan

    put(foundry, "N-114", 1200)
    make_plan(show=foundry.show, user=foundry.lead)
    before = read_shopping(foundry.show, 8).lines
    foundry.pour(lot="N-114")
    make_plan(show=foundry.show, user=foundry.lead)
    after = read_shopping(foundry.show, 8).lines
    there = [next(x.there for x in rows if x.name == SLIP) for rows in (before, after)]
    assert [text.replace("\N{NO-BREAK SPACE}", " ") for text in there] == ["1.2 L", "985 ml"]


# Correcting and striking


def test_striking_gives_it_back_in_the_same_record(foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    pour = foundry.pour(lot="N-114")
    strike_pour(pour=pour, user=foundry.lead, words="the other mould")
    assert lefts() == {"N-114": 1900}
    assert taken(pour) == []
    assert Taking.objects.get().struck_at is not None  # kept, struck through
    change = Change.objects.filter(noun="pour", row=str(pour.pk)).latest("pk")
    assert (change.before["lots"], change.after["lots"]) == ({"N-114": 1685}, {"N-114": 1900})


def test_another_lot_moves_what_was_taken(foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    put(foundry, "N-120", 800)
    pour = foundry.pour(lot="N-114")
    edit_pour(pour=pour, user=foundry.lead, version=None, lot="N-120")
    assert lefts() == {"N-114": 1900, "N-120": 585}
    change = Change.objects.filter(noun="pour", row=str(pour.pk)).latest("pk")
    assert change.before["lots"] == {"N-114": 1685, "N-120": 800}
    edit_pour(pour=pour, user=foundry.lead, version=None, lot="")
    assert lefts() == {"N-114": 1900, "N-120": 800}


def test_another_amount_of_the_same_lot(foundry: Foundry) -> None:
    put(foundry, "N-114", 300)
    pour = foundry.pour(lot="N-114")
    edit_pour(pour=pour, user=foundry.lead, version=None, takes=Asked(250, "ml"))
    assert (lefts(), taken(pour)) == ({"N-114": 50}, [("N-114", 250, 0)])
    with pytest.raises(ValidationError, match="Lot N-114 has 300"):
        edit_pour(pour=pour, user=foundry.lead, version=None, takes=Asked(400, "ml"))
    pour.refresh_from_db()
    assert (lefts(), taken(pour)) == ({"N-114": 50}, [("N-114", 250, 0)])


def test_other_words_on_a_pour_take_nothing_again(foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    pour = foundry.pour(lot="N-114")
    edit_pour(pour=pour, user=foundry.lead, version=None, lot="N-114", mix="stirred", note="thick")
    assert lefts() == {"N-114": 1685}


def test_a_rest_that_was_counted_since_stands(foundry: Foundry) -> None:
    lot = put(foundry, "N-114", 1900)
    pour = foundry.pour(lot="N-114")
    lot.refresh_from_db()
    with clock.fixed_at(clock.now() + HOUR):
        edit_lot(lot=lot, user=foundry.lead, version=None, values={"left": 1500})
        strike_pour(pour=pour, user=foundry.lead, words="by mistake")
    assert lefts() == {"N-114": 1500}


# Pages


def test_the_form_says_what_it_takes_and_what_stands_there(
    client: Client, foundry: Foundry
) -> None:
    put(foundry, "N-114", 1900)
    put(foundry, "N-120", 3800)
    said = page_of(enter(client, foundry), "pour_new", foundry.show.pk)
    assert "On the shelf: N-114 with 1.9 L and N-120 with 3.8 L." in said
    assert "This pour takes 215 ml of the 950 ml filled in." in said
    assert 'name="was_so"' in said
    assert 'type="checkbox" name="was_so"' not in said


def test_the_lot_used_last_is_offered_unless_it_is_empty(foundry: Foundry) -> None:
    def offered(used: str) -> tuple[str, ...]:
        Pour.objects.filter(poured_at__isnull=False).update(lot=used)
        return read_pour_form(foundry.show, foundry.lead, str(foundry.mould().pk)).lots

    foundry.cast(at=clock.now() - 5 * DAY)
    assert offered("N-9") == ("N-9",)  # who keeps no stock is offered what was used last
    put(foundry, "N-114", 1)
    put(foundry, "N-120", 800)
    assert offered("N-120") == ("N-120", "N-114")
    Lot.objects.filter(code="N-114").update(left=0)
    assert offered("n-114") == ("N-120", "n-114")
    assert offered("N-114, N-120") == ("N-120", "N-114, N-120")
    strike_lot(lot=Lot.objects.get(code="N-120"), user=foundry.lead)
    assert offered("N-120") == ("N-120",)


def test_nothing_is_taken_where_nought_is_typed(client: Client, foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    pour = foundry.pour(lot="N-114")
    url = reverse("builds:pour_edit", args=[pour.pk])
    typed = {"version": pour.version, "lot": "N-114", "takes": "0"}
    assert enter(client, foundry).post(url, typed).status_code == 302
    assert lefts() == {"N-114": 1900}


def test_too_little_is_said_before_and_after_the_press(client: Client, foundry: Foundry) -> None:
    put(foundry, "N-114", 100)
    enter(client, foundry)
    asked = page_of(client, "pour_new", foundry.show.pk)
    assert "Lot N-114 has 100 ml left, and this pour takes 215 ml." in asked
    url = reverse("builds:pour_new", args=[foundry.show.pk])
    typed = {"mould": foundry.mould().pk, "lot": "N-114", "mix": "stirred"}
    answer = client.post(url, typed | {"was_so": ""})
    said = words_of(answer)
    assert answer.status_code == 422
    assert "and this pour takes 215 ml. Name another lot beside it" in said
    assert 'type="checkbox" name="was_so"' in said
    assert 'value="stirred"' in said
    assert client.post(url, typed | {"was_so": "on"}).status_code == 302
    assert lefts() == {"N-114": 0}


def test_all_that_is_wrong_with_a_pour_is_said_at_once(client: Client, foundry: Foundry) -> None:
    put(foundry, "N-114", 100)
    mould = foundry.mould()
    Mould.objects.filter(pk=mould.pk).update(first_use=clock.now() + DAY)
    url = reverse("builds:pour_new", args=[foundry.show.pk])
    answer = enter(client, foundry).post(url, {"mould": mould.pk, "lot": "N-114"})
    said = words_of(answer)
    assert "it is still drying. Say why it is poured all the same." in said
    assert "Lot N-114 has 100 ml left" in said
    wrong = client.post(url, {"mould": mould.pk, "lot": "N-114", "takes": "a cup"})
    assert "'a cup' is not a weight" in words_of(wrong)


def test_what_was_taken_stands_on_the_pour_and_on_the_shelf(
    client: Client, foundry: Foundry
) -> None:
    lot = put(foundry, "N-114", 1900)
    enter(client, foundry)
    url = reverse("builds:pour_new", args=[foundry.show.pk])
    typed = {"mould": foundry.mould().pk, "lot": "N-114", "takes": "0.3 l"}
    said = words_of(client.post(url, typed, follow=True))
    assert "Taken: 300 ml from lot N-114, 1.6 L left." in said
    assert '300 ml from lot N-114, <span class="note">1.6 L left</span>' in said
    (line,) = shelf(foundry.company, Materials(foundry.company))
    assert line.taken.replace("\N{NO-BREAK SPACE}", " ") == "300 ml taken by 1 pour"
    assert "300 ml taken by 1 pour" in page_of(client, "material_list", foundry.company.pk)
    assert "JORY60-01</a>, 300 ml" in page_of(client, "lot_edit", lot.pk)


def test_a_pour_is_corrected_on_its_own_page(client: Client, foundry: Foundry) -> None:
    put(foundry, "N-114", 1900)
    put(foundry, "N-120", 100)
    pour = foundry.pour(lot="N-114")
    enter(client, foundry)
    url = reverse("builds:pour_edit", args=[pour.pk])
    assert 'name="takes" value="215 ml"' in page_of(client, "pour_edit", pour.pk)
    typed = {"version": pour.version, "lot": "N-114", "takes": "215 ml", "mix": "thin"}
    assert client.post(url, typed).status_code == 302
    assert lefts()["N-114"] == 1685
    pour.refresh_from_db()
    typed |= {"version": pour.version, "lot": "N-120"}
    answer = client.post(url, typed)
    assert answer.status_code == 422
    assert 'type="checkbox" name="was_so"' in words_of(answer)
    assert client.post(url, typed | {"was_so": "on"}).status_code == 302
    assert lefts() == {"N-114": 1900, "N-120": 0}


def test_ounces_are_taken_as_they_are_typed(client: Client, foundry: Foundry) -> None:
    Company.objects.update(units=Company.Units.US)
    put(foundry, "N-114", 1900)
    url = reverse("builds:pour_new", args=[foundry.show.pk])
    typed = {"mould": foundry.mould().pk, "lot": "N-114", "takes": "10"}
    assert enter(client, foundry).post(url, typed).status_code == 302
    assert lefts() == {"N-114": 1900 - 296}  # ten US fluid ounces of 29.57 ml


def test_queries_do_not_grow(
    client: Client, foundry: Foundry, django_assert_num_queries: Any
) -> None:
    lot = put(foundry, "N-114", 9000)
    enter(client, foundry)
    foundry.cast(at=clock.now() - 5 * DAY)
    pour = foundry.pour(lot="N-114")

    def measure() -> None:
        for name, pk, number in (
            ("pour_detail", pour.pk, 8),
            ("lot_edit", lot.pk, 7),
            ("material_list", foundry.company.pk, 7),
        ):
            with django_assert_num_queries(number):
                assert client.get(reverse(f"builds:{name}", args=[pk])).status_code == 200

    measure()
    for n in range(9):
        put(foundry, f"N-2{n}", 1000)
        Taking.objects.create(
            pour=Pour.objects.create(mould=foundry.mould(), number=50 + n, poured_at=clock.now()),
            lot=lot, amount=5, at=clock.now(),
        )  # fmt: skip
    assert len(taken_by(lot)) == 10
    assert len(read_takings(pour)) == 1
    measure()
