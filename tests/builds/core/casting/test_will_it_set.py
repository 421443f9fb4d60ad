"""Will it set: the published pairs, never yes by default, and the company's own word first."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builds.core.casting.materials import BY_KIND, find_material, materials_of, own_material
from builds.core.casting.pairs import Pair, Verdict
from builds.core.casting.pairs_of_casts import MOULD_WITH_CAST
from builds.core.casting.pairs_of_sculpts import SCULPT_IN_MOULD
from builds.core.casting.values import Kind, Mark, Material
from builds.core.casting.will_it_set import WORSE, OwnPairs, judge, worst

KEYS = {kind: list(BY_KIND[kind]) for kind in Kind}

# What the makers publish of a sculpt in a mould, with the address.
SCULPTED = [
    ("oil clay with sulphur", "platinum silicone", "no", "reynoldsam.com; smooth-on.com faq 129"),
    ("oil clay with sulphur", "tin silicone", "seal first", "reynoldsam.com"),
    ("oil clay with sulphur", "urethane rubber", "seal first", "smooth-on.com faq 129"),
    ("oil clay", "latex skin", "seal first", "architectureanddesign.com.au brush latex"),
    ("water clay", "platinum silicone", "seal first", "bare-metal.com; smooth-on.com faq 129"),
    ("plaster", "plaster", "seal first", "bare-metal.com poly 74/75: soap"),
    ("plaster", "urethane rubber", "seal first", "bare-metal.com poly 74/75"),
    ("wood", "tin silicone", "seal first", "liquidlatexdirect.com"),
    ("fresh resin", "platinum silicone", "no", "siliconesandmore.com; techsil.co.uk"),
    ("rubber", "platinum silicone", "no", "techsil.co.uk"),
    ("tin silicone", "platinum silicone", "no", "siliconesandmore.com"),
    ("platinum silicone", "tin silicone", "no", "siliconesandmore.com"),
]
# And of a mould with what is cast in it.
CAST = [
    ("plaster", "latex slip", "yes", "sagecraft.com; puppetmuseum.com Workshop10"),
    ("plaster", "neoprene slip", "yes", "sagecraft.com"),
    ("sealed plaster", "latex slip", "no", "sagecraft.com"),
    ("sealed plaster", "neoprene slip", "no", "sagecraft.com"),
    ("plaster", "paper pulp", "yes", "artbymariodonk.com paperpulp"),
    ("plaster", "urethane resin", "no", "smooth-on.com smooth-cast-310"),
    ("tin silicone", "urethane resin", "yes", "davidneat.wordpress.com"),
    ("tin silicone", "epoxy resin", "yes", "blog.milllanestudio.com: it wears the mould"),
    ("latex skin", "plaster", "yes", "liquidlatexdirect.com"),
    ("urethane rubber", "plaster", "yes", "polytek.com plaster page"),
]


def of(kind: Kind, key: str) -> Material:
    found = find_material(kind, key)
    assert found is not None, key
    return found


def test_every_pair_of_the_tables_is_between_known_materials() -> None:
    assert {s for s, _ in SCULPT_IN_MOULD} <= set(KEYS[Kind.SCULPT])
    assert {m for _, m in SCULPT_IN_MOULD} <= set(KEYS[Kind.MOULD])
    assert {m for m, _ in MOULD_WITH_CAST} <= set(KEYS[Kind.MOULD])
    assert {c for _, c in MOULD_WITH_CAST} <= set(KEYS[Kind.CAST])


def test_every_pair_that_is_not_yes_says_why_and_the_way_round() -> None:
    for pair in (*SCULPT_IN_MOULD.values(), *MOULD_WITH_CAST.values()):
        assert pair.reason.endswith(".")
        assert pair.source
        if pair.verdict is not Verdict.YES:
            assert pair.way.endswith("."), pair


@pytest.mark.parametrize(("sculpt", "mould", "verdict", "source"), SCULPTED)
def test_a_sculpt_in_a_mould_is_judged_as_published(
    sculpt: str, mould: str, verdict: str, source: str
) -> None:
    answer = judge(of(Kind.SCULPT, sculpt), of(Kind.MOULD, mould), None)

    assert answer.verdict == verdict, source
    assert answer.missing == (Kind.CAST,)


@pytest.mark.parametrize(("mould", "cast", "verdict", "source"), CAST)
def test_a_casting_in_a_mould_is_judged_as_published(
    mould: str, cast: str, verdict: str, source: str
) -> None:
    answer = judge(None, of(Kind.MOULD, mould), of(Kind.CAST, cast))

    assert answer.verdict == verdict, source


@pytest.mark.parametrize("slip", ["latex slip", "neoprene slip"])
@pytest.mark.parametrize("clay", ["oil clay", "oil clay with sulphur", "wax"])
def test_grease_from_the_sculpt_is_washed_out_before_slip(clay: str, slip: str) -> None:
    # sagecraft.com insists on water clay; puppetmuseum.com Workshop10 washes with citrus cleaner.
    answer = judge(of(Kind.SCULPT, clay), of(Kind.MOULD, "plaster"), of(Kind.CAST, slip))

    assert answer.verdict is Verdict.TEST
    assert "Wash the mould" in answer.deciding[0].pair.way


def test_water_clay_plaster_and_slip_go_together() -> None:
    answer = judge(
        of(Kind.SCULPT, "water clay"), of(Kind.MOULD, "plaster"), of(Kind.CAST, "neoprene slip")
    )

    assert answer.verdict is Verdict.YES
    assert not answer.warns


def test_a_pair_in_no_table_is_not_known() -> None:
    answer = judge(None, of(Kind.MOULD, "plaster"), of(Kind.CAST, "epoxy putty"))

    assert answer.verdict is Verdict.UNKNOWN
    assert answer.warns


def test_nothing_chosen_is_not_yes() -> None:
    answer = judge(None, None, None)

    assert answer.verdict is Verdict.UNKNOWN
    assert answer.parts == ()


@given(
    sculpt=st.sampled_from(KEYS[Kind.SCULPT]),
    mould=st.sampled_from(KEYS[Kind.MOULD]),
    cast=st.sampled_from(KEYS[Kind.CAST]),
)
def test_an_answer_is_as_good_as_its_worst_part(sculpt: str, mould: str, cast: str) -> None:
    answer = judge(of(Kind.SCULPT, sculpt), of(Kind.MOULD, mould), of(Kind.CAST, cast))

    assert answer.verdict == worst([part.verdict for part in answer.parts])
    assert all(WORSE.index(part.verdict) <= WORSE.index(answer.verdict) for part in answer.parts)
    if answer.verdict is Verdict.YES:
        plain = "plaster" if mould == "sealed plaster" else mould
        assert SCULPT_IN_MOULD[sculpt, plain].verdict is Verdict.YES
        assert MOULD_WITH_CAST[mould, cast].verdict is Verdict.YES


def test_an_unknown_material_is_never_yes() -> None:
    strange = own_material("own:9", "Wonder clay", Kind.SCULPT)

    for mould in materials_of(Kind.MOULD):
        assert judge(strange, mould, None).verdict is Verdict.UNKNOWN


def test_the_company_overrides_what_is_published() -> None:
    tried = Pair(Verdict.YES, "Sealed with three coats in March; it cured.", "", "")
    own = OwnPairs(sculpt_in_mould={("oil clay with sulphur", "platinum silicone"): tried})

    answer = judge(
        of(Kind.SCULPT, "oil clay with sulphur"), of(Kind.MOULD, "platinum silicone"), None, own=own
    )

    assert answer.verdict is Verdict.YES
    assert answer.parts[0].is_own


def test_an_own_material_is_judged_by_what_it_is_like() -> None:
    like = of(Kind.SCULPT, "oil clay with sulphur")
    grey = own_material("own:1", "Grey clay", Kind.SCULPT, like=like)
    likes = {"own:1": "oil clay with sulphur"}

    answer = judge(grey, of(Kind.MOULD, "platinum silicone"), None, likes=likes)

    assert answer.verdict is Verdict.NO
    assert answer.parts[0].through == "oil clay with sulphur"
    assert answer.parts[0].first == "Grey clay"


def test_an_own_pair_of_an_own_material_goes_before_what_it_is_like() -> None:
    grey = own_material("own:1", "Grey clay", Kind.SCULPT, like=of(Kind.SCULPT, "oil clay"))
    tried = Pair(Verdict.NO, "Stayed sticky twice.", "Plaster.", "")

    answer = judge(
        grey,
        of(Kind.MOULD, "tin silicone"),
        None,
        own=OwnPairs(sculpt_in_mould={("own:1", "tin silicone"): tried}),
        likes={"own:1": "oil clay"},
    )

    assert answer.verdict is Verdict.NO
    assert answer.parts[0].through == ""


# Materials


def test_latex_is_closed_to_people_with_a_latex_allergy() -> None:
    closed = {
        material.key
        for kind in Kind
        for material in materials_of(kind)
        if Mark.LATEX_ALLERGY in material.care.closed_to
    }

    assert closed == {"latex slip", "brushed latex", "latex skin"}


def test_dangers_are_said_where_they_are() -> None:
    care = {
        (kind.value, material.key): material.care
        for kind in Kind
        for material in materials_of(kind)
    }

    assert "ammonia" in care["cast", "latex slip"].words
    assert "allergy" in care["cast", "latex slip"].words
    assert "without latex" in care["cast", "latex slip"].gloves
    assert "isocyanates" in care["cast", "urethane resin"].words
    assert "isocyanates" in care["mould", "urethane rubber"].words
    assert "60 °C" in care["mould", "plaster"].words
    assert "dust" in care["mould", "plaster"].words
    assert "nitrile" in care["cast", "epoxy resin"].gloves
    assert "never latex" in care["mould", "platinum silicone"].gloves


def test_clock_of_slip_is_the_published_one() -> None:
    # puppetmuseum.com Workshop10 and 40: dwell 4 h for about 3.2 mm, about 8 h before opening;
    # sagecraft.com: topped up for 20 min.
    times = of(Kind.CAST, "neoprene slip").times

    assert (times.top_up_min, times.drain_min, times.open_min) == (20, 240, 480)


def test_an_own_material_takes_the_rest_from_what_it_is_like() -> None:
    like = of(Kind.CAST, "neoprene slip")
    own = own_material(
        "own:2", "Slip 70", Kind.CAST, like=like, shrinkage=0.08, drain_min=180, care="Cold store."
    )

    assert own.shrinkage is not None
    assert own.shrinkage.usual == 0.08
    assert own.times.drain_min == 180
    assert own.times.open_min == like.times.open_min
    assert own.care.words == f"{like.care.words} Cold store."
    assert own.stays == like.stays
    with pytest.raises(ValueError, match="like is a material to cast"):
        own_material("own:3", "x", Kind.MOULD, like=like)


def test_every_material_says_where_its_numbers_are_from() -> None:
    for kind in Kind:
        for material in materials_of(kind):
            assert material.name
            assert all(material.sources), material.key
            assert len(material.key) <= 40
