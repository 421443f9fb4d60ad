"""Mould card, pour card and shopping list, opened again: amounts, clock, cautions, codes."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Mould, Pour
from builds.queries.casting_advice import advice_for
from builds.services.mould_materials import choose_materials, set_amounts
from builds.services.stock import add_lot
from builds.sheets import (
    NothingToPrint,
    desk_for,
    figure_paper,
    mould_paper,
    pack_paper,
    pour_paper,
    print_all,
    shopping_paper,
)
from company.models import Company
from tests.builds.test_shopping import Shop
from tests.papers import read_codes, read_pages, read_words, unembedded_fonts, words_outside

pytestmark = pytest.mark.django_db
MARGIN_MM = 6.35  # a quarter of an inch, which most desk printers leave white
LONG = "Wolfeschlegelsteinhausenbergerdorffshire"


@pytest.fixture
def shop() -> Shop:
    made = Shop()
    made.measure()
    return made


def head(shop: Shop) -> Mould:
    return next(mould for mould in shop.moulds() if mould.pattern.part == "head")


def choose(shop: Shop, **more: Any) -> None:
    chosen = {"sculpt": "water clay", "moulded": "plaster", "cast": "latex slip"} | more
    choose_materials(mould=head(shop), user=shop.lead, version=None, **chosen)


def pour(shop: Shop) -> Pour:
    found: Pour = Pour.objects.get(mould=head(shop))
    return found


class TestMouldCard:
    def test_it_says_what_to_weigh_out(self, shop: Shop) -> None:
        text = read_words(mould_paper(head(shop), "A4").pdf())

        # Worked by hand in test_shopping: 3460 ml and a tenth at 70 of water.
        assert "Plaster 3.56 kg" in text
        assert "Water 2.49 kg" in text
        assert "In each of 2 parts about 1.78 kg plaster and 1.25 kg water" in text
        assert "Sculpt at 111.1 %: 90 mm becomes 100 mm (neoprene slip shrinks 10 %)." in text
        assert "Will it set? Yes." in text

    def test_its_clock_and_cautions(self, shop: Shop) -> None:
        text = read_words(mould_paper(head(shop), "A4").pdf())

        assert "Open after 45 min" in text
        assert "First used after 5 days" in text
        assert "Never put a hand, a finger or any part of a body into setting plaster" in text
        assert "The maker's own data sheet and your local rules come first." in text.replace(
            "\u2019", "'"
        )
        assert "ASTM C59" in text  # the standard for casting plaster

    def test_silicone_has_its_own_amounts_and_gloves(self, shop: Shop) -> None:
        choose(shop, moulded="platinum silicone", cast="urethane resin")

        text = read_words(mould_paper(head(shop), "A4").pdf())

        # 3460 ml and a tenth at 1.1 g per ml are 4186.6 g: half of it 2093.3 g, weighed 2.1 kg.
        assert "Part A 2.1 kg" in text
        assert "Part B 2.1 kg" in text
        assert "vinyl or polythene, never latex" in text
        assert "First used after" not in text

    def test_its_day_in_the_plan(self, shop: Shop) -> None:
        shop.plan()

        text = read_words(mould_paper(head(shop), "A4").pdf())

        assert "for Ines, " in text
        assert "if the hours hold" in text

    def test_without_materials_it_has_lines_to_write_on(self, shop: Shop) -> None:
        choose_materials(
            mould=head(shop), user=shop.lead, version=None, sculpt="", moulded="plaster", cast=""
        )

        text = read_words(mould_paper(head(shop), "A4").pdf())

        assert "Materials are not chosen yet: ask before you pour." in text
        assert "not planned yet" in text


class TestPourCard:
    def test_it_says_what_goes_in_and_what_stays(self, shop: Shop) -> None:
        choose(shop, cast="neoprene slip")

        text = read_words(pour_paper(pour(shop), "A4").pdf())

        assert "Fill 950 ml of neoprene slip" in text
        assert "Stays in the mould 215 ml about 735 ml goes back, strained" in text

    def test_its_clock_by_the_plan(self, shop: Shop) -> None:
        choose(shop, cast="neoprene slip")
        shop.plan()
        row = pour(shop).steps.get().planned.earliest("start")
        start = row.start

        text = read_words(pour_paper(pour(shop), "A4").pdf())

        assert f"Poured {start:%a} {start.day} {start:%b}, {start:%H:%M}" in text
        assert f"Pour out what is left after 4 h {start:%a} {start.day} {start:%b}, " in text
        assert f", {(start.hour + 4) % 24:02d}:{start:%M}" in text

    @pytest.mark.parametrize(
        ("cast", "says"),
        [
            (
                "latex slip",
                ["gives off ammonia", "allergy", "Closed to anyone with a latex allergy"],
            ),
            ("neoprene slip", ["nitrile or vinyl", "window open"]),
            (
                "urethane resin",
                ["isocyanates", "heat-proof tray", "Gloves: nitrile", "Will it set? No."],
            ),
            ("epoxy resin", ["allergic for life", "latex and neoprene gloves do not protect"]),
            ("plaster", ["setting plaster", "Powder into water"]),
            ("paper pulp", ["mask for sanding"]),
        ],
    )
    def test_cautions_are_those_of_that_very_material(
        self, shop: Shop, cast: str, says: list[str]
    ) -> None:
        choose(shop, cast=cast)

        text = read_words(pour_paper(pour(shop), "A4").pdf())

        for words in says:
            assert words in text
        if cast != "latex slip":
            assert "ammonia" not in text or cast == "neoprene slip"
        if cast not in ("urethane resin",):
            assert "isocyanates" not in text

    def test_castings_have_their_number_and_rings(self, shop: Shop) -> None:
        text = read_words(pour_paper(pour(shop), "A4").pdf())

        assert "Casting For Good Flawed Out Weighs What is wrong with it" in text
        assert f"{head(shop).pattern.code}-01 for J1" in text

    def test_lots_on_the_shelf_with_their_age(self, shop: Shop) -> None:
        choose(shop, cast="latex slip")
        values = {"kind": "cast", "material": "latex slip", "code": "L-22", "unit": "ml"}
        add_lot(
            company=shop.company,
            user=shop.lead,
            values=values | {"left": 750, "best_before": date(2026, 3, 20)},
        )

        text = read_words(pour_paper(pour(shop), "A4").pdf())

        assert "lot L-22, 750 ml left, best before 20 Mar 2026 (nearly old: 16 days left" in text

    def test_a_guess_is_called_one(self, shop: Shop) -> None:
        set_amounts(
            mould=head(shop), user=shop.lead, version=1, values={"way": "size", "known_ml": None}
        )
        Mould.objects.update(fill_ml=None, stays_ml=None)

        text = read_words(pour_paper(pour(shop), "A4").pdf())

        assert "A guess from the height of the head" in text


@pytest.mark.parametrize("paper", ["A4", "Letter"])
def test_cards_fit_their_page_with_long_names(shop: Shop, paper: str, tmp_path: Any) -> None:
    mould = head(shop)
    type(mould.pattern).objects.filter(pk=mould.pattern_id).update(name=f"{LONG} {LONG}, head")
    choose(shop, cast="latex slip")
    for file in (mould_paper(head(shop), paper), pour_paper(pour(shop), paper)):
        pdf = file.pdf()
        assert len(read_pages(pdf)) == 1
        assert unembedded_fonts(pdf) == []
        assert list(words_outside(pdf, tmp_path, MARGIN_MM)) == []


def test_codes_lead_to_the_pages(shop: Shop, tmp_path: Any, settings: Any) -> None:
    settings.SITE_URL = "https://driftmoor.example"
    codes = read_codes(mould_paper(head(shop), "A4").pdf(), tmp_path)
    assert codes == [f"https://driftmoor.example/moulds/{head(shop).pk}/"]
    codes = read_codes(pour_paper(pour(shop), "A4").pdf(), tmp_path)
    assert codes == [f"https://driftmoor.example/pours/{pour(shop).pk}/"]


def test_ounces_on_the_cards(shop: Shop) -> None:
    Company.objects.filter(pk=shop.company.pk).update(units="us")

    text = read_words(mould_paper(head(shop), "Letter").pdf())

    # 3550.4 g are 125.24 oz: 7 lb 14 oz, as one weighs.
    assert "Plaster 7 lb 14 oz" in text


def test_the_bench_sheet_says_at_what_size_to_sculpt(shop: Shop) -> None:
    choose(shop, cast="neoprene slip")
    shop.plan()

    text = read_words(figure_paper(desk_for(shop.show), shop.figure("J1"), "A4").pdf())

    assert "sculpt at 111.1 %: 90 mm becomes 100 mm (neoprene slip shrinks 10 %)" in text


def test_the_pack_holds_a_card_for_each_mould_and_pour(shop: Shop) -> None:
    shop.plan()
    desk = desk_for(shop.show)

    pages = read_pages(pack_paper(desk, "A4").pdf())

    code = head(shop).pattern.code
    assert sum(f"{code} mould 1" in page for page in pages) == 1
    assert sum(f"{code} pour 1" in page for page in pages) == 1
    names = [name for name, _ in print_all(desk, "A4")]
    assert f"mould-{code}-1.pdf" in names
    assert f"pour-{code}-1-1.pdf" in names


def test_the_list_of_papers_offers_them(shop: Shop) -> None:
    shop.plan()
    client = Client()
    client.force_login(shop.lead)

    page = client.get(reverse("builds:sheet_list", args=[shop.show.pk])).content.decode()

    assert reverse("builds:sheet_mould", args=[head(shop).pk]) in page
    assert reverse("builds:sheet_pour", args=[pour(shop).pk]) in page
    assert reverse("builds:sheet_shopping", args=[shop.show.pk]) in page


def test_what_to_buy_on_paper(shop: Shop) -> None:
    with pytest.raises(NothingToPrint):
        shopping_paper(shop.show, "A4", 8)
    shop.plan()

    text = read_words(shopping_paper(shop.show, "A4", 8).pdf())

    assert "What to buy" in text
    assert "neoprene slip 960 ml 960 ml none" in text
    assert "To have at hand" in text
    assert "pinned-up plan, printed 4 March 2026" in text


def test_addresses_answer_with_a_pdf(shop: Shop) -> None:
    shop.plan()
    client = Client()
    client.force_login(shop.lead)
    for name, pk in (
        ("sheet_mould", head(shop).pk),
        ("sheet_pour", pour(shop).pk),
        ("sheet_shopping", shop.show.pk),
    ):
        answer = client.get(reverse(f"builds:{name}", args=[pk]))
        assert answer.status_code == 200, name
        assert answer["Content-Type"] == "application/pdf"
        assert answer.content.startswith(b"%PDF")


def test_the_advice_asks_a_flat_number_of_questions(
    shop: Shop, django_assert_num_queries: Any
) -> None:
    mould = Mould.objects.select_related(
        "pattern__show__company", "pattern__made_for__character", "amounts"
    ).get(pk=head(shop).pk)
    with django_assert_num_queries(2):
        advice_for(mould)
