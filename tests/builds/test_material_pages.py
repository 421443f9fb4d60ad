"""The pages of materials: what they say, what wrong input gets, how many questions they ask."""

from __future__ import annotations

import re
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django.fixtures import DjangoAssertNumQueries

from builds.models import Lot, Mould, OwnMaterial, OwnPair, Step
from builds.services.materials import add_own_material, add_own_pair
from builds.services.mould_materials import choose_materials
from builds.services.stock import add_lot
from builds.templatetags.casting import step_casting
from company.models import Company, Role, User
from tests.builds.desk import Desk
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db
HTMX = {"HX-Request": "true"}


class House(Desk):
    """Jory at nine at the bench, and everybody who may look or not."""

    def __init__(self) -> None:
        super().__init__()
        jory = self.role("Jory Tarrow", "at nine", "smock")
        type(jory).objects.filter(pk=jory.pk).update(head_mm=90)
        self.wear(jory, "1", "smock")
        self.accept()
        self.guise = jory
        self.users: dict[str, User] = {
            "lead": self.lead,
            "maker": person(self.company, Role.MAKER, "Tomas"),
            "reader": person(self.company, Role.READER, "Odile"),
            "stranger": person(CompanyFactory(), Role.LEAD, "Bertha"),
        }

    def client(self, who: str = "lead") -> Client:
        client = Client()
        client.force_login(self.users[who])
        return client

    @property
    def mould(self) -> Mould:
        found: Mould = Mould.objects.select_related(
            "pattern__show__company", "pattern__made_for__character"
        ).get(pattern__part="head")
        return found

    def choose(self, **more: Any) -> None:
        chosen = {"sculpt": "water clay", "moulded": "plaster", "cast": "neoprene slip"} | more
        choose_materials(mould=self.mould, user=self.lead, version=None, **chosen)

    def list_url(self) -> str:
        return reverse("builds:material_list", args=[self.company.pk])


@pytest.fixture
def house() -> House:
    return House()


def words_of(response: Any) -> str:
    """What the page says, its mark-up taken out."""
    text = re.sub(r"<(script|style)[^>]*>.*?</\1>|<[^>]+>", " ", response.content.decode())
    return re.sub(r"\s+", " ", text.replace("\xa0", " ").replace("&#x27;", "'"))


class TestMaterials:
    def test_the_answer_stands_on_the_page(self, house: House) -> None:
        query = "?sculpt=oil clay with sulphur&mould=platinum silicone&cast=urethane resin"

        said = words_of(house.client("reader").get(house.list_url() + query))

        assert "Will it set? No." in said
        assert "Sulphur keeps platinum silicone from ever curing." in said
        assert "Mould it in plaster, or seal it well and take tin silicone." in said

    def test_the_answer_comes_alone_by_htmx(self, house: House) -> None:
        url = reverse("builds:pair_answer", args=[house.company.pk])
        query = {"sculpt": "", "mould": "plaster", "cast": "epoxy putty"}

        answer = house.client("reader").get(url, query, headers=HTMX)

        assert "<html" not in answer.content.decode()
        assert "Will it set? Not known." in words_of(answer)
        whole = house.client("reader").get(url, query)
        assert "<html" in whole.content.decode()
        assert "Will it set? Not known." in words_of(whole)

    def test_nonsense_in_the_question_is_no_error(self, house: House) -> None:
        url = reverse("builds:pair_answer", args=[house.company.pk])

        answer = house.client().get(url, {"sculpt": "x" * 5000, "mould": "\0"}, headers=HTMX)

        assert answer.status_code == 200
        assert "Choose at least two materials" in words_of(answer)
        page = house.client().get(house.list_url(), {"sculpt": "treacle"})
        assert page.status_code == 200

    def test_both_tables_are_whole(self, house: House) -> None:
        said = house.client("reader").get(house.list_url()).content.decode()

        assert said.count('<td class="pair-') == 10 * 6 + 6 * 10

    def test_a_reader_sees_no_form_that_writes(self, house: House) -> None:
        page = house.client("reader").get(house.list_url()).content.decode()
        forms = re.findall(r'<form[^>]*method="post"[^>]*action="([^"]*)"', page)

        assert [form for form in forms if "sign-out" not in form] == []

    def test_a_maker_may_put_lots_and_not_pairs(self, house: House) -> None:
        client = house.client("maker")
        add = reverse("builds:lot_add", args=[house.company.pk])

        said = client.post(
            add,
            {"material": "cast/neoprene slip", "code": "N-114", "left": "3.8 l"},
            follow=True,
        )

        lot = Lot.objects.get()
        assert (lot.unit, lot.left) == ("ml", 3800)
        assert "Lot n-114 is on the shelf." in words_of(said) or "N-114" in words_of(said)
        pair = reverse("builds:pair_add", args=[house.company.pk])
        assert client.post(pair, {"table": "sculpt"}).status_code == 403

    @pytest.mark.parametrize(
        ("left", "unit", "amount"),
        [
            ("5 kg", "g", 5000),
            ("3.8 l", "ml", 3800),
            ("12", "ml", 12),  # slip goes by volume where no unit is typed
            ("2 qt", "ml", 1893),
            ("4 fl oz", "ml", 118),
            ("8 oz", "g", 227),
        ],
    )
    def test_amounts_are_read_by_their_unit(
        self, house: House, left: str, unit: str, amount: int
    ) -> None:
        add = reverse("builds:lot_add", args=[house.company.pk])

        house.client().post(add, {"material": "cast/neoprene slip", "code": "N", "left": left})

        lot = Lot.objects.get()
        assert (lot.unit, lot.left) == (unit, amount)

    def test_everything_wrong_with_a_lot_is_said_at_once(self, house: House) -> None:
        add = reverse("builds:lot_add", args=[house.company.pk])

        answer = house.client().post(
            add,
            {"material": "", "code": "", "left": "a bit", "best_before": "soon"},
        )

        said = words_of(answer)
        assert answer.status_code == 422
        assert "4 things to put right. Nothing was saved." in said
        assert "Choose one of the materials." in said
        assert "Write the lot from the label" in said
        assert "'a bit' is not a weight" in said
        assert "This is not a day" in said
        assert not Lot.objects.exists()

    @pytest.mark.parametrize("left", ["-3 l", "nan", "99999999 kg", "1/0 l"])
    def test_absurd_amounts_are_refused(self, house: House, left: str) -> None:
        add = reverse("builds:lot_add", args=[house.company.pk])

        answer = house.client().post(
            add, {"material": "cast/neoprene slip", "code": "N", "left": left}
        )

        assert answer.status_code == 422
        assert not Lot.objects.exists()

    def test_a_lot_is_changed_and_a_stale_one_is_told(self, house: House) -> None:
        values = {"kind": "cast", "material": "latex slip", "code": "L", "unit": "ml", "left": 750}
        lot = add_lot(company=house.company, user=house.lead, values=values)
        url = reverse("builds:lot_edit", args=[lot.pk])
        sent = {"version": 1, "code": "L", "left": "500 ml", "opened_on": "2026-03-01"}
        client = house.client("maker")

        assert "750 ml" in client.get(url).content.decode()
        assert client.post(url, sent).status_code == 302
        assert Lot.objects.get().left == 500
        assert client.post(url, sent).status_code == 409
        future = client.post(url, {**sent, "version": 2, "opened_on": "2026-03-05"})
        assert future.status_code == 422
        assert "It cannot have been opened on a day to come." in words_of(future)

    def test_a_lot_in_ounces_is_read_back(self, house: House) -> None:
        Company.objects.filter(pk=house.company.pk).update(units="us")
        values = {"kind": "mould", "material": "plaster", "code": "P", "unit": "g", "left": 5000}
        lot = add_lot(company=house.company, user=house.lead, values=values)
        url = reverse("builds:lot_edit", args=[lot.pk])

        page = house.client().get(url).content.decode()

        assert "176.37 oz" in page
        sent = {"version": 1, "code": "P", "left": "176.37 oz"}
        assert house.client().post(url, sent).status_code == 302
        assert Lot.objects.get().left == 5000

    def test_a_pair_is_written_down_and_changed(self, house: House) -> None:
        client = house.client()
        add = reverse("builds:pair_add", args=[house.company.pk])
        sent = {
            "table": "cast",
            "first": "plaster",
            "second": "epoxy putty",
            "verdict": "seal first",
            "reason": "Shellac held twice in February.",
        }

        assert client.post(add, {**sent, "second": ""}).status_code == 422
        assert client.post(add, sent).status_code == 302
        pair = OwnPair.objects.get()
        query = "?sculpt=&mould=plaster&cast=epoxy putty"
        assert "Will it set? Seal first." in words_of(client.get(house.list_url() + query))
        edit = reverse("builds:pair_edit", args=[pair.pk])
        assert (
            client.post(edit, {"table": "cast", "version": 1, "verdict": "no"}).status_code == 422
        )
        good = {"table": "cast", "version": 1, "verdict": "no", "reason": "It stuck."}
        assert client.post(edit, good).status_code == 302
        assert client.post(edit, good).status_code == 409
        assert "Your own pair" in words_of(client.get(house.list_url() + query))

    def test_a_table_that_is_none_is_not_found(self, house: House) -> None:
        add = reverse("builds:pair_add", args=[house.company.pk])

        assert house.client().post(add, {"table": "soup"}).status_code == 404

    def test_an_own_material_is_added_with_its_data_sheet(self, house: House) -> None:
        client = house.client()
        add = reverse("builds:material_add", args=[house.company.pk])
        sent = {
            "kind": "cast",
            "name": "Slip 70",
            "like": "neoprene slip",
            "shrinkage_permille": "7.5 %",
            "drain_min": "3 h",
            "source": "sheet of January",
        }

        wrong = client.post(
            add,
            {**sent, "name": "", "shrinkage_permille": "80 %", "drain_min": "soon", "life": "0"},
        )
        assert wrong.status_code == 422
        said = words_of(wrong)
        assert "4 things to put right" in said
        assert "A shrinkage lies between -49.9 and 49.9 %." in said

        assert client.post(add, sent).status_code == 302
        row = OwnMaterial.objects.get()
        assert (row.shrinkage_permille, row.drain_min) == (75, 180)
        edit = reverse("builds:material_edit", args=[row.pk])
        assert 'value="7.5"' in client.get(edit).content.decode()

    def test_queries_do_not_grow(
        self, house: House, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        more = {"company": house.company, "user": house.lead}
        client = house.client()
        client.get(house.list_url())
        with django_assert_num_queries(7):
            client.get(house.list_url())
        moulds = ("plaster", "tin silicone", "platinum silicone", "urethane rubber", "latex skin")
        for number in range(10):
            clay = {"kind": "sculpt", "name": f"clay {number}", "like": "oil clay"}
            add_own_material(**more, values=clay)
            lot = {"kind": "cast", "material": "latex slip", "unit": "ml", "left": 10}
            add_lot(**more, values=lot | {"code": f"L-{number}"})
            first = "wax" if number < 5 else "wood"
            pair = {"table": "sculpt", "first": first, "second": moulds[number % 5]}
            add_own_pair(**more, values=pair | {"verdict": "yes", "reason": "It parted."})
        with django_assert_num_queries(7):
            client.get(house.list_url())


class TestMouldPages:
    def test_choosing_keeps_and_warns(self, house: House) -> None:
        house.choose()
        url = reverse("builds:mould_choose", args=[house.mould.pk])
        sent = {
            "version": house.mould.version,
            "sculpt": "oil clay with sulphur",
            "mould": "platinum silicone",
            "cast": "urethane resin",
            "shrinkage_permille": "",
        }

        answer = house.client().post(url, sent, follow=True)

        assert "Kept as you chose. Will it set: no." in words_of(answer)
        assert house.mould.material == "platinum silicone"
        assert house.client().post(url, sent).status_code == 409

    def test_a_good_choice_says_so(self, house: House) -> None:
        url = reverse("builds:mould_choose", args=[house.mould.pk])
        sent = {
            "version": house.mould.version,
            "sculpt": "water clay",
            "mould": "plaster",
            "cast": "neoprene slip",
            "shrinkage_permille": "10",
        }

        said = words_of(house.client().post(url, sent, follow=True))

        assert "Kept. It will set." in said
        assert "Sculpt at 111.1 %: 90 mm becomes 100 mm" in said

    @pytest.mark.parametrize(
        ("field", "value"),
        [("mould", ""), ("sculpt", "treacle"), ("shrinkage_permille", "half")],
    )
    def test_wrong_choices_are_refused(self, house: House, field: str, value: str) -> None:
        url = reverse("builds:mould_choose", args=[house.mould.pk])
        good = {"version": house.mould.version, "mould": "plaster", "sculpt": "", "cast": ""}

        answer = house.client().post(url, good | {field: value})

        assert answer.status_code == 422

    def test_the_amounts_are_worked_out_and_remembered(self, house: House) -> None:
        house.choose()
        page = reverse("builds:mould_amounts", args=[house.mould.pk])
        sent = {
            "version": 0,
            "way": "water",
            "before_ml": "2 l",
            "after_ml": "2.86 l",
            "box_length_mm": "18 cm",
            "box_width_mm": "160",
            "box_height_mm": "150",
            "waste_percent": "10",
        }

        assert "a guess from the height of the head" in words_of(house.client("reader").get(page))
        answer = house.client("maker").post(
            reverse("builds:amounts_set", args=[house.mould.pk]), sent, follow=True
        )

        said = words_of(answer)
        assert "One pour takes 950 ml of neoprene slip ; the mould 3.56 kg plaster and" in said
        assert "about 735 ml goes back, strained" in said
        html = answer.content.decode()
        assert 'value="2860 ml"' in html
        assert 'value="180 mm"' in html
        again = house.client("maker").post(
            reverse("builds:amounts_set", args=[house.mould.pk]), sent
        )
        assert again.status_code == 409

    def test_ounces_and_inches_are_typed_and_said(self, house: House) -> None:
        house.choose()
        Company.objects.filter(pk=house.company.pk).update(units="us")
        sent = {
            "version": 0,
            "way": "known",
            "known_ml": "29",
            "box_length_mm": "7",
            "box_width_mm": "6 1/4",
            "box_height_mm": "6",
            "waste_percent": "10",
        }

        said = words_of(
            house.client().post(
                reverse("builds:amounts_set", args=[house.mould.pk]), sent, follow=True
            )
        )

        # 29 fl oz and a tenth are 31.9, as poured 32 fl oz: a quart.
        assert "One pour takes 1 qt of neoprene slip" in said
        assert house.mould.amounts.box_length_mm == 178

    def test_absurd_amounts_are_all_said_at_once(self, house: House) -> None:
        house.choose()

        answer = house.client().post(
            reverse("builds:amounts_set", args=[house.mould.pk]),
            {
                "version": 0,
                "way": "known",
                "known_ml": "-5",
                "box_length_mm": "90 miles",
                "waste_percent": "1000",
                "stays_percent": "0",
                "second_per_100": "lots",
            },
        )

        said = words_of(answer)
        assert answer.status_code == 422
        assert "5 things to put right. Nothing was saved." in said
        assert "'-5' is not a volume" in said
        assert house.mould.fill_ml is None

    def test_water_that_does_not_rise_is_told_at_its_field(self, house: House) -> None:
        house.choose()

        answer = house.client().post(
            reverse("builds:amounts_set", args=[house.mould.pk]),
            {"version": 0, "way": "water", "before_ml": "2 l", "after_ml": "1 l"},
        )

        assert answer.status_code == 422
        assert "The water must stand higher with the part under it." in words_of(answer)

    @pytest.mark.parametrize("name", ["mould_materials", "mould_amounts"])
    def test_queries_do_not_grow(
        self, house: House, name: str, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        house.choose()
        url = reverse(f"builds:{name}", args=[house.mould.pk])
        client = house.client("reader")
        client.get(url)
        with django_assert_num_queries(8):
            client.get(url)
        for number in range(10):
            clay = {"kind": "sculpt", "name": f"clay {number}", "like": "oil clay"}
            add_own_material(company=house.company, user=house.lead, values=clay)
        with django_assert_num_queries(8):
            client.get(url)

    def test_a_stranger_finds_nothing(self, house: House) -> None:
        client = house.client("stranger")

        for name in ("mould_materials", "mould_amounts", "sheet_mould"):
            url = reverse(f"builds:{name}", args=[house.mould.pk])
            assert client.get(url).status_code == 404


class TestOtherPages:
    def test_the_guise_says_what_its_parts_are_made_of(self, house: House) -> None:
        house.choose(cast="urethane resin")
        url = reverse("scenes:guise_detail", args=[house.show.pk, house.guise.pk])

        said = words_of(house.client("reader").get(url))

        assert "Head: water clay, wet, bare plaster, urethane resin." in said
        assert "Will it set? No." in said
        assert "On damp or bare plaster urethane foams and bonds." in said

    def test_the_sculpt_step_says_at_what_size(self, house: House) -> None:
        house.choose()
        step = house.mould.pattern.steps.get(stage__key="sculpt-head")

        said = words_of(house.client().get(reverse("builds:step_detail", args=[step.pk])))

        assert "Sculpt at 111.1 %: 90 mm becomes 100 mm (neoprene slip shrinks 10 %)." in said

    def test_the_pour_step_says_what_to_measure_out(self, house: House) -> None:
        house.choose(cast="latex slip")
        step = house.mould.pours.first().steps.get()

        said = words_of(house.client().get(reverse("builds:step_detail", args=[step.pk])))

        assert "To pour: latex slip" in said
        assert "Fill" in said
        assert "gives off ammonia" in said
        assert "Closed to anyone with a latex allergy." in said

    def test_other_steps_ask_nothing_more(
        self, house: House, django_assert_num_queries: DjangoAssertNumQueries
    ) -> None:
        step = Step.objects.select_related("stage", "pour").get(stage__key="carve")

        with django_assert_num_queries(0):
            assert step_casting(step) == {}
