"""A company's own materials, pairs and lots: services, what they refuse, what is read of them."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection

from builds.core.casting.pairs import Verdict
from builds.core.casting.values import Kind, Mark
from builds.models import Lot, Mould, OwnMaterial, OwnPair
from builds.queries.materials import (
    Materials,
    casting_times,
    material_choices,
    material_label,
    mould_facts,
)
from builds.queries.sculpting import sculpt_scale
from builds.queries.stock import in_stock, say_shelf, shelf
from builds.queries.takings import lots_open
from builds.services.materials import (
    add_own_material,
    add_own_pair,
    edit_own_material,
    edit_own_pair,
    strike_own_material,
    strike_own_pair,
    take_back_own_material,
)
from builds.services.mould_materials import choose_materials, set_amounts
from builds.services.stock import add_lot, edit_lot, strike_lot
from company.models import Change, Company, Role, User
from company.services.changes import StaleEdit
from tests.builds.desk import Desk
from tests.factories import CompanyFactory, person

pytestmark = pytest.mark.django_db

SLIP = {"kind": "cast", "name": "Slip 70", "like": "neoprene slip", "shrinkage_permille": 80}
PAIR = {
    "table": "sculpt",
    "first": "oil clay with sulphur",
    "second": "platinum silicone",
    "verdict": "yes",
    "reason": "Three coats of acrylic in March; it cured.",
}
LOT = {"kind": "cast", "material": "neoprene slip", "code": "N-114", "unit": "ml", "left": 1900}


@pytest.fixture
def company() -> Company:
    made: Company = CompanyFactory(name="Driftmoor Figure Theatre")
    return made


@pytest.fixture
def lead(company: Company) -> User:
    return person(company, Role.LEAD)


@pytest.fixture
def desk() -> Desk:
    """Jory at nine at the bench: his head and hands each have a mould that is wanted."""
    made = Desk()
    jory = made.role("Jory Tarrow", "at nine", "smock")
    type(jory).objects.filter(pk=jory.pk).update(head_mm=90)
    made.wear(jory, "1", "smock")
    made.accept()
    return made


def head_mould(desk: Desk) -> Mould:
    found: Mould = Mould.objects.select_related(
        "pattern__show__company", "pattern__made_for__character"
    ).get(pattern__part="head")
    return found


def wrong(error: pytest.ExceptionInfo[ValidationError]) -> dict[str, list[str]]:
    return error.value.message_dict


class TestOwnMaterials:
    def test_own_numbers_lie_over_those_of_what_it_is_like(
        self, company: Company, lead: User
    ) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP | {"drain_min": 180})

        times = casting_times(company, row.key)

        assert times.label == "Slip 70"
        assert times.shrinkage_permille == 80
        assert (times.drain_min, times.open_min, times.cure_min) == (180, 480, 480)
        assert times.one_a_day
        assert times.dry_every == 5
        assert not times.has_latex

    def test_an_unknown_key_knows_nothing(self, company: Company) -> None:
        times = casting_times(company, "treacle")

        assert times.label == "treacle"
        assert times.drain_min is None
        assert times.shrinkage is None
        assert not times.one_a_day
        assert mould_facts(company, "treacle").dry_min is None

    def test_known_materials_have_their_clock(self, company: Company) -> None:
        assert casting_times(company, "latex slip").has_latex
        assert mould_facts(company, "plaster").dry_min == 5 * 24 * 60
        assert mould_facts(company, "tin silicone").dry_min == 24 * 60
        assert mould_facts(company, "platinum silicone").life == 50

    def test_it_writes_the_record(self, company: Company, lead: User) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP)
        edit_own_material(material=row, user=lead, version=1, values=SLIP | {"name": "Slip 71"})
        strike_own_material(material=row, user=lead)

        changes = Change.objects.filter(noun="own material", row=str(row.pk)).order_by("pk")

        assert [c.before is None for c in changes] == [True, False, False]
        assert changes[1].after["name"] == "Slip 71"

    def test_a_stale_edit_is_refused(self, company: Company, lead: User) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP)
        edit_own_material(material=row, user=lead, version=1, values={"name": "Slip 71"})

        with pytest.raises(StaleEdit):
            edit_own_material(material=row, user=lead, version=1, values={"name": "Slip 72"})

    def test_a_struck_one_is_not_offered_and_keeps_its_name(
        self, company: Company, lead: User
    ) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP)
        strike_own_material(material=row, user=lead)

        assert row.key not in dict(material_choices(company, "cast"))
        assert row.key in dict(material_choices(company, "cast", keep=row.key))
        assert material_label(company, "cast", row.key) == "Slip 70"

        take_back_own_material(material=row, user=lead)
        assert row.key in dict(material_choices(company, "cast"))

    def test_it_cannot_be_taken_back_beside_another_of_its_name(
        self, company: Company, lead: User
    ) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP)
        strike_own_material(material=row, user=lead)
        add_own_material(company=company, user=lead, values=SLIP)

        with pytest.raises(ValidationError) as error:
            take_back_own_material(material=row, user=lead)
        assert wrong(error) == {"name": ["There is a material of this name already."]}

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"name": ""}, "name"),
            ({"name": "x" * 61}, "name"),
            ({"kind": "glue"}, "kind"),
            ({"like": "plaster cast of a fish"}, "like"),
            ({"like": "wax"}, "like"),  # to sculpt in, not to cast in
            ({"density_kg_m3": 0}, "density_kg_m3"),
            ({"density_kg_m3": 90_000}, "density_kg_m3"),
            ({"shrinkage_permille": 500}, "shrinkage_permille"),
            ({"shrinkage_permille": -500}, "shrinkage_permille"),
            ({"second_per_100": -1, "mix_by": "weight"}, "second_per_100"),
            ({"second_per_100": 5}, "mix_by"),
            ({"stays_percent": 0}, "stays_percent"),
            ({"stays_percent": 101}, "stays_percent"),
            ({"life": 0}, "life"),
            ({"pot_min": 0}, "pot_min"),
            ({"open_min": 10**7}, "open_min"),
        ],
    )
    def test_absurd_materials_are_refused(
        self, company: Company, lead: User, values: dict[str, Any], field: str
    ) -> None:
        with pytest.raises(ValidationError) as error:
            add_own_material(company=company, user=lead, values=SLIP | values)

        assert list(wrong(error)) == [field]
        assert wrong(error)[field][0].endswith(".")
        assert not OwnMaterial.objects.exists()

    def test_all_that_is_wrong_is_said_at_once(self, company: Company, lead: User) -> None:
        with pytest.raises(ValidationError) as error:
            add_own_material(
                company=company, user=lead, values=SLIP | {"name": "", "life": 0, "pot_min": 0}
            )

        assert set(wrong(error)) == {"name", "life", "pot_min"}

    def test_a_mark_closes_it(self, company: Company, lead: User) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP | {"has_latex": True})

        material = Materials(company).find(Kind.CAST, row.key)

        assert material is not None
        assert Mark.LATEX_ALLERGY in material.care.closed_to
        assert casting_times(company, row.key).has_latex

    def test_a_mix_of_its_own_goes_before(self, company: Company, lead: User) -> None:
        values = {"kind": "mould", "name": "Blue rubber", "like": "tin silicone"}
        row = add_own_material(
            company=company, user=lead, values=values | {"second_per_100": 2, "source": "label"}
        )

        material = Materials(company).find(Kind.MOULD, row.key)

        assert material is not None
        assert material.mix is not None
        assert material.mix.names == ("rubber", "catalyst")
        assert material.mix.amounts == (100.0, 2.0)
        assert material.mix.by == "weight"
        assert Materials(company).find(Kind.CAST, row.key) is None

    def test_another_company_does_not_have_it(self, company: Company, lead: User) -> None:
        row = add_own_material(company=company, user=lead, values=SLIP)
        other = CompanyFactory()

        assert Materials(other).find(Kind.CAST, row.key) is None
        assert row.key not in dict(material_choices(other, "cast"))


class TestOwnPairs:
    def test_an_own_pair_overrides(self, company: Company, lead: User) -> None:
        before = Materials(company).judge("oil clay with sulphur", "platinum silicone", "")
        pair = add_own_pair(company=company, user=lead, values=PAIR)

        after = Materials(company).judge("oil clay with sulphur", "platinum silicone", "")

        assert before.verdict is Verdict.NO
        assert after.verdict is Verdict.YES
        assert after.parts[0].is_own

        strike_own_pair(pair=pair, user=lead)
        again = Materials(company).judge("oil clay with sulphur", "platinum silicone", "")
        assert again.verdict is Verdict.NO

    def test_another_company_is_not_overridden(self, company: Company, lead: User) -> None:
        add_own_pair(company=company, user=lead, values=PAIR)

        other = Materials(CompanyFactory())

        verdict = other.judge("oil clay with sulphur", "platinum silicone", "").verdict
        assert verdict is Verdict.NO

    def test_it_can_be_changed_and_not_written_twice(self, company: Company, lead: User) -> None:
        pair = add_own_pair(company=company, user=lead, values=PAIR)
        edit_own_pair(
            pair=pair, user=lead, version=1, values={"verdict": "no", "reason": "Not again."}
        )

        assert OwnPair.objects.get().verdict == "no"
        with pytest.raises(ValidationError) as error:
            add_own_pair(company=company, user=lead, values=PAIR)
        assert wrong(error) == {"second": ["This pair is written down already: change that line."]}
        with pytest.raises(StaleEdit):
            edit_own_pair(pair=pair, user=lead, version=1, values={"reason": "Late."})

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"table": "soup"}, "table"),
            ({"first": "treacle"}, "first"),
            ({"second": "latex slip"}, "second"),
            ({"verdict": "perhaps"}, "verdict"),
            ({"reason": " "}, "reason"),
            ({"reason": "x" * 201}, "reason"),
            ({"way": "x" * 201}, "way"),
        ],
    )
    def test_absurd_pairs_are_refused(
        self, company: Company, lead: User, values: dict[str, Any], field: str
    ) -> None:
        with pytest.raises(ValidationError) as error:
            add_own_pair(company=company, user=lead, values=PAIR | values)

        assert list(wrong(error)) == [field]
        assert not OwnPair.objects.exists()


class TestLots:
    # Today is Wednesday 4 March 2026.

    def test_nearly_old_and_past(self, company: Company, lead: User) -> None:
        for code, best in (
            ("past", date(2026, 3, 1)),
            ("today", date(2026, 3, 4)),
            ("near", date(2026, 3, 20)),
            ("far", date(2026, 9, 1)),
        ):
            add_lot(company=company, user=lead, values=LOT | {"code": code, "best_before": best})

        lines = {line.lot.code: line for line in shelf(company, Materials(company))}

        assert lines["past"].is_past
        assert "3 days over" in lines["past"].warning.replace("\xa0", " ")
        assert "its last day is today" in lines["today"].warning
        assert "16 days left" in lines["near"].warning.replace("\xa0", " ")
        assert lines["far"].warning == ""
        assert say_shelf(lines.values()) == "Past its best: neoprene slip, lot past."

    def test_plaster_opened_long_ago_is_said(self, company: Company, lead: User) -> None:
        # shop.brackers.com: dry plaster keeps 120 days on the shelf.
        values = {"kind": "mould", "material": "plaster", "code": "P-1", "unit": "g", "left": 5000}
        add_lot(company=company, user=lead, values=values | {"opened_on": date(2025, 10, 1)})

        (line,) = shelf(company, Materials(company))

        assert "120 days" in line.warning
        assert not line.is_past

    def test_lots_past_their_best_are_not_counted_or_offered(
        self, company: Company, lead: User
    ) -> None:
        add_lot(
            company=company,
            user=lead,
            values=LOT | {"code": "old", "best_before": date(2026, 3, 1)},
        )
        add_lot(company=company, user=lead, values=LOT | {"code": "new"})
        add_lot(
            company=company,
            user=lead,
            values=LOT | {"code": "opened", "left": 100, "opened_on": date(2026, 2, 1)},
        )

        assert in_stock(company) == {("cast", "neoprene slip"): {"ml": 2000}}
        assert lots_open(company, "neoprene slip") == ["opened", "new"]
        assert lots_open(CompanyFactory(), "neoprene slip") == []

    def test_a_lot_is_used_up_and_taken_off(self, company: Company, lead: User) -> None:
        lot = add_lot(company=company, user=lead, values=LOT)
        edit_lot(lot=lot, user=lead, version=1, values={"left": 0, "kind": "sculpt"})
        strike_lot(lot=lot, user=lead)
        strike_lot(lot=lot, user=lead)

        row = Lot.objects.get()

        assert (row.left, row.kind) == (0, "cast")
        assert row.struck_at is not None
        assert shelf(company, Materials(company)) == []
        assert Change.objects.filter(noun="lot").count() == 3

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"material": "treacle"}, "material"),
            ({"kind": "glue"}, "material"),
            ({"code": "  "}, "code"),
            ({"code": "x" * 41}, "code"),
            ({"left": -1}, "left"),
            ({"left": 10**9}, "left"),
            ({"left": None}, "left"),
            ({"opened_on": date(2026, 3, 5)}, "opened_on"),
        ],
    )
    def test_absurd_lots_are_refused(
        self, company: Company, lead: User, values: dict[str, Any], field: str
    ) -> None:
        with pytest.raises(ValidationError) as error:
            add_lot(company=company, user=lead, values=LOT | values)

        assert list(wrong(error)) == [field]
        assert not Lot.objects.exists()

    def test_the_same_lot_twice_is_refused(self, company: Company, lead: User) -> None:
        add_lot(company=company, user=lead, values=LOT)

        with pytest.raises(ValidationError) as error:
            add_lot(company=company, user=lead, values=LOT)
        assert list(wrong(error)) == ["code"]


class TestChoosing:
    def choose(self, desk: Desk, **more: Any) -> Mould:
        chosen = {"sculpt": "water clay", "moulded": "plaster", "cast": "neoprene slip"}
        return choose_materials(
            mould=head_mould(desk), user=desk.lead, version=None, **(chosen | more)
        )

    def test_what_is_chosen_is_kept_whatever_warns(self, desk: Desk) -> None:
        self.choose(desk, cast="urethane resin")

        mould = head_mould(desk)

        assert (mould.sculpt_material, mould.material, mould.casting_material) == (
            "water clay",
            "plaster",
            "urethane resin",
        )

    def test_the_plan_moves_with_another_material(
        self, desk: Desk, django_capture_on_commit_callbacks: Any
    ) -> None:
        connection.run_on_commit.clear()  # what the figures asked for when they came
        with django_capture_on_commit_callbacks() as moved:
            self.choose(desk)
        with django_capture_on_commit_callbacks() as same:
            self.choose(desk, sculpt="wax")

        assert len(moved) == 1
        assert same == []

    def test_the_sculpt_is_made_larger_by_the_casting_material(self, desk: Desk) -> None:
        mould = self.choose(desk)

        at = sculpt_scale(mould.pattern)

        assert at is not None
        assert at.factor == pytest.approx(1 / 0.9)
        assert at.words(desk.company, 200) == (
            "sculpt at 111.1 %: 200 mm becomes 222 mm (neoprene slip shrinks 10 %)"
        )

    def test_the_trial_bar_goes_before_the_material(self, desk: Desk) -> None:
        mould = self.choose(desk, shrinkage_permille=75)

        at = sculpt_scale(mould.pattern)

        assert at is not None
        assert at.factor == pytest.approx(1 / 0.925)
        assert at.reason == "neoprene slip shrinks 7.5 % by its trial bar"
        assert at.range_words(desk.company, 200) == ""

    def test_a_range_is_said(self, desk: Desk) -> None:
        mould = self.choose(desk, cast="latex slip")

        at = sculpt_scale(mould.pattern)

        assert at is not None
        assert at.range_words(desk.company, 200).startswith("Between 206 mm and 222 mm")

    def test_nothing_chosen_gives_no_scale(self, desk: Desk) -> None:
        assert sculpt_scale(head_mould(desk).pattern) is None

    def test_inches_are_said_in_inches(self, desk: Desk) -> None:
        Company.objects.filter(pk=desk.company.pk).update(units="us")
        mould = self.choose(desk)
        at = sculpt_scale(mould.pattern)

        assert at is not None
        words = at.words(Company.objects.get(pk=desk.company.pk), 200)
        assert words.startswith("sculpt at 111.1 %: 7.87 in becomes 8.74 in")

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"sculpt": "treacle"}, "sculpt"),
            ({"moulded": ""}, "moulded"),
            ({"cast": "plaster of treacle"}, "cast"),
            ({"shrinkage_permille": 900}, "shrinkage_permille"),
        ],
    )
    def test_unknown_materials_are_refused(
        self, desk: Desk, values: dict[str, Any], field: str
    ) -> None:
        with pytest.raises(ValidationError) as error:
            self.choose(desk, **values)
        assert list(wrong(error)) == [field]


class TestAmounts:
    TYPED = {
        "way": "water",
        "before_ml": 2000,
        "after_ml": 2860,
        "box_length_mm": 180,
        "box_width_mm": 160,
        "box_height_mm": 150,
        "waste_percent": 10,
    }

    @pytest.fixture
    def mould(self, desk: Desk) -> Mould:
        chosen = {"sculpt": "water clay", "moulded": "plaster", "cast": "neoprene slip"}
        choose_materials(mould=head_mould(desk), user=desk.lead, version=None, **chosen)
        return head_mould(desk)

    def test_what_was_typed_is_kept_and_the_mould_knows_its_filling(
        self, desk: Desk, mould: Mould
    ) -> None:
        row = set_amounts(mould=mould, user=desk.lead, version=0, values=self.TYPED)

        kept = head_mould(desk)

        assert (kept.fill_ml, kept.stays_ml) == (950, 215)
        assert kept.amounts.before_ml == 2000
        assert kept.amounts.by == desk.lead
        assert row.version == 1
        assert Change.objects.filter(noun="mould amounts", row=str(mould.pk)).count() == 1

    def test_another_casting_material_changes_what_stays(self, desk: Desk, mould: Mould) -> None:
        set_amounts(mould=mould, user=desk.lead, version=0, values=self.TYPED)
        chosen = {"sculpt": "water clay", "moulded": "plaster", "cast": "urethane resin"}
        choose_materials(mould=head_mould(desk), user=desk.lead, version=None, **chosen)

        kept = head_mould(desk)

        assert (kept.fill_ml, kept.stays_ml) == (950, 860)
        assert kept.amounts.before_ml == 2000

    def test_a_guess_is_not_written_on_the_mould(self, desk: Desk, mould: Mould) -> None:
        set_amounts(mould=mould, user=desk.lead, version=0, values={"way": "size"})

        kept = head_mould(desk)

        assert kept.fill_ml is None

    def test_two_who_type_at_once_are_told(self, desk: Desk, mould: Mould) -> None:
        set_amounts(mould=mould, user=desk.lead, version=0, values=self.TYPED)
        with pytest.raises(StaleEdit):
            set_amounts(mould=head_mould(desk), user=desk.lead, version=0, values=self.TYPED)
        set_amounts(mould=head_mould(desk), user=desk.lead, version=1, values=self.TYPED)
        with pytest.raises(StaleEdit):
            set_amounts(mould=head_mould(desk), user=desk.lead, version=1, values=self.TYPED)

    @pytest.mark.parametrize(
        ("values", "field"),
        [
            ({"after_ml": 1000}, "after_ml"),
            ({"after_ml": None}, "after_ml"),
            ({"before_ml": -1}, "before_ml"),
            ({"way": "known", "known_ml": 0}, "known_ml"),
            ({"way": "weight", "mass_g": 10**6}, "mass_g"),
            ({"way": "weight", "mass_g": 1000, "density_kg_m3": 5}, "density_kg_m3"),
            ({"way": "size", "length_mm": 5000}, "length_mm"),
            ({"box_width_mm": 0}, "box_width_mm"),
            ({"box_width_mm": 10}, "box_length_mm"),
            ({"second_per_100": 5}, "second_per_100"),
            ({"waste_percent": 101}, "waste_percent"),
            ({"stays_percent": 0}, "stays_percent"),
        ],
    )
    def test_absurd_amounts_are_refused_with_a_sentence(
        self, desk: Desk, mould: Mould, values: dict[str, Any], field: str
    ) -> None:
        with pytest.raises(ValidationError) as error:
            set_amounts(mould=mould, user=desk.lead, version=0, values=self.TYPED | values)

        assert list(wrong(error)) == [field]
        assert wrong(error)[field][0].endswith(".")
        assert head_mould(desk).fill_ml is None
        assert not hasattr(head_mould(desk), "amounts")
