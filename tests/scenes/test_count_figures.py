"""The command `count_figures`: one JSON document or lines, messages on standard error."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from company.models import Company
from scenes.models import Appearance, Guise, Scene
from tests.factories import CompanyFactory, ShowFactory
from tests.scenes.plots import lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db


def count(*arguments, **options):
    out, err = StringIO(), StringIO()
    call_command("count_figures", *arguments, stdout=out, stderr=err, **options)
    return out.getvalue(), err.getvalue()


def test_json_holds_the_shape_that_scripts_rely_on():
    show = lay_salt_almanac()
    bartle = Guise.objects.get(character__name="Bartle, ferryman")
    Appearance.objects.filter(guise=bartle, scene__label="9").update(
        enters_s=-30, leaves_s=270, from_place="left", to_place="right"
    )

    out, err = count(show.title, "--json")

    document = json.loads(out)
    assert err == ""
    assert list(document) == ["show", "figures", "proved", "with_people", "characters"]
    assert document["with_people"] is None
    assert (document["show"], document["figures"], document["proved"]) == (show.title, 12, True)
    assert [c["figures"] for c in document["characters"]] == [5, 2, 2, 1, 1, 1]
    (guise,) = document["characters"][3]["guises"]
    assert guise == {
        "guise": "",
        "figures": 1,
        "reason": "one figure plays all of it",
        "tracks": [
            {
                "appearances": [
                    {"scene": "3", "costume": "apron", "enters": 0, "leaves": 5}
                    | {"from_place": "", "to_place": ""},
                    {"scene": "6", "costume": "tarpaulin", "enters": 0, "leaves": 7}
                    | {"from_place": "", "to_place": ""},
                    {"scene": "9", "costume": "tarpaulin", "enters": -0.5, "leaves": 4.5}
                    | {"from_place": "left", "to_place": "right"},
                ],
                "changes": 1,
            }
        ],
    }


def test_json_lists_guises_that_nothing_wears_and_every_copy():
    show = lay_salt_almanac()
    heron = show.characters.get(name="The Heron")
    Guise.objects.create(character=heron, name="as an egg", position=1)
    flying = heron.guises.first().costumes.get(name="flying")
    put_on(show.current_draft, heron.guises.first(), flying, "2", copies=3)

    document = json.loads(count(show.title, "--json")[0])

    first, second = document["characters"][2]["guises"]
    assert (second["guise"], second["figures"], second["tracks"]) == ("as an egg", 0, [])
    assert second["reason"] == "not in any scene yet"
    played = [a for track in first["tracks"] for a in track["appearances"] if a["scene"] == "2"]
    assert len(played) == 3
    assert document["figures"] == sum(
        len(g["tracks"]) for c in document["characters"] for g in c["guises"]
    )


def test_show_without_a_plot_counts_nothing():
    ShowFactory(title="The Salt Almanac")

    document = json.loads(count("The Salt Almanac", "--json")[0])

    assert (document["figures"], document["characters"]) == (0, [])
    assert "Nothing to count yet" in count("The Salt Almanac")[0]


def test_lines_say_the_sentence_and_what_each_figure_plays():
    show = lay_salt_almanac()

    lines = count(show.title)[0].splitlines()

    assert lines[0].startswith("This draft needs 12 figures for 6 roles.")
    assert "Jory Tarrow at nine: 2 (two costumes, no change possible)" in lines
    assert "  1. 3 apron, 6 tarpaulin, 9 tarpaulin" in lines


def test_what_no_longer_fits_is_told_on_standard_error_alone():
    show = lay_salt_almanac()
    Appearance.objects.filter(scene__label="2").update(enters_s=0, leaves_s=360)
    Scene.objects.filter(label="2").update(length_s=60)

    out, err = count(show.title, "--json")

    assert json.loads(out)["figures"] == 12
    assert err.startswith("To look at: Jory Tarrow at nine in scene 2 leaves at 6")


@pytest.mark.parametrize("written", ["  the SALT almanac ", "The  Salt Almanac"])
def test_title_is_found_however_it_is_typed(written):
    lay_salt_almanac(title="The Salt Almanac")

    assert count(written)[0]


def test_unknown_show_lists_the_ones_there_are():
    show = lay_salt_almanac(title="The Salt Almanac")
    ShowFactory(company=show.company, title="Another")

    with pytest.raises(CommandError) as refused:
        count("The Pepper Almanac", "--json")

    assert str(refused.value).endswith("There are: Another, The Salt Almanac.")
    assert refused.value.returncode == 1


def test_empty_house_is_told_so_and_stays_empty():
    with pytest.raises(CommandError, match="there is none yet"):
        count("The Salt Almanac")

    assert not Company.objects.exists()


def test_several_companies_ask_which():
    show = lay_salt_almanac(title="The Salt Almanac")
    other = CompanyFactory(name="Another House", slug="another")

    with pytest.raises(CommandError, match="Another House"):
        count("The Salt Almanac")
    with pytest.raises(CommandError, match="has no show"):
        count("The Salt Almanac", company=other.name)
    assert count("The Salt Almanac", company=show.company.name)[0]
