"""Ways between named places, trick builds, and the files that carry them."""

from __future__ import annotations

from uuid import uuid4

import pytest
from django.core.exceptions import ValidationError

from company.models import Change
from company.services.changes import StaleEdit
from scenes.core.plot_files import Source
from scenes.core.plot_files.guises import read_guises
from scenes.core.plot_files.places import read_places
from scenes.models import Appearance, Guise, Rig, Walk
from scenes.queries.counts import count_show
from scenes.services.exports import export_plot
from scenes.services.imports import ImportRefused, PlotSources, import_plot
from scenes.services.places import WalkGone, add_walk, edit_walk, remove_walk
from scenes.services.rigs import remove_rig, set_rig
from tests.scenes.plots import lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def show():
    return lay_salt_almanac()


def guise_of(show, letters):
    return Guise.objects.get(character__show=show, character__letters=letters)


def walks(show):
    return sorted(Walk.objects.filter(show=show).values_list("from_place", "to_place", "walk_s"))


# Ways


def test_a_way_counts_where_it_is_said_and_the_crossing_elsewhere(show):
    """Sister Quill leaves scene 4 by the bridge; scene 6 begins 27 minutes later at the left."""
    quill = guise_of(show, "Q")
    Appearance.objects.filter(guise=quill, scene__label="4").update(to_place="bridge")
    Appearance.objects.filter(guise=quill, scene__label="6").update(from_place="left")
    assert count_show(show).count.of(quill.pk).figures == 1

    add_walk(show=show, user=None, from_place="bridge", to_place="left", walk_s=60 * 60)

    assert count_show(show).count.of(quill.pk).figures == 2
    remove_walk(show=show, user=None, pk=Walk.objects.get().pk)
    assert count_show(show).count.of(quill.pk).figures == 1


def test_two_spellings_of_a_place_are_one(show):
    quill = guise_of(show, "Q")
    Appearance.objects.filter(guise=quill, scene__label="4").update(to_place="Bridge")
    Appearance.objects.filter(guise=quill, scene__label="6").update(from_place="left")

    add_walk(show=show, user=None, from_place="BRIDGE ", to_place=" left", walk_s=60 * 60)

    assert walks(show) == [("Bridge", "left", 3600)]
    assert count_show(show).count.of(quill.pk).figures == 2


def test_both_ways_are_two_rows_and_each_its_own(show):
    add_walk(
        show=show, user=None, from_place="left", to_place="bridge", walk_s=90, is_both_ways=True
    )
    add_walk(show=show, user=None, from_place="bridge", to_place="left", walk_s=20)

    assert walks(show) == [("bridge", "left", 20), ("left", "bridge", 90)]


def test_a_way_takes_the_next_revision_and_a_frozen_draft_the_next_draft(show):
    draft = show.current_draft
    before = draft.revision
    (walk,) = add_walk(show=show, user=None, from_place="left", to_place="pit", walk_s=30)
    draft.refresh_from_db()
    assert draft.revision == before + 1

    edit_walk(show=show, user=None, pk=walk.pk, walk_s=30)
    draft.refresh_from_db()
    assert draft.revision == before + 1

    change = Change.objects.filter(noun="way").get()
    assert change.before["walks"] == []
    assert change.after["walks"][0]["walk_s"] == 30


@pytest.mark.parametrize(
    ("start", "end", "seconds", "fields"),
    [
        ("", "left", 30, {"from_place"}),
        ("left", "Left ", 30, {"to_place"}),
        ("", "", -1, {"from_place", "to_place", "minutes"}),
        ("x" * 41, "left", 30, {"from_place"}),
        ("left", "right", 90_000, {"minutes"}),
    ],
)
def test_everything_wrong_with_a_way_is_said_at_once(show, start, end, seconds, fields):
    with pytest.raises(ValidationError) as refused:
        add_walk(show=show, user=None, from_place=start, to_place=end, walk_s=seconds)

    assert set(refused.value.message_dict) == fields
    assert walks(show) == []


def test_a_way_that_somebody_else_changed_or_took_out(show):
    (walk,) = add_walk(show=show, user=None, from_place="left", to_place="pit", walk_s=30)
    edit_walk(show=show, user=None, pk=walk.pk, walk_s=40, version=walk.version)

    with pytest.raises(StaleEdit):
        edit_walk(show=show, user=None, pk=walk.pk, walk_s=50, version=walk.version)
    assert walks(show) == [("left", "pit", 40)]
    remove_walk(show=show, user=None, pk=walk.pk)
    remove_walk(show=show, user=None, pk=walk.pk)
    with pytest.raises(WalkGone):
        edit_walk(show=show, user=None, pk=walk.pk, walk_s=50)


# Trick builds


def test_a_trick_build_plays_plain_only_where_its_guise_says_so(show):
    """Bartle plays scene 9 in a trick build; a rig of the same name of another guise is not his."""
    bartle, heron = guise_of(show, "B"), guise_of(show, "H")
    Appearance.objects.filter(guise=bartle, scene__label="9").update(rig="Flying")
    assert count_show(show).count.of(bartle.pk).figures == 2

    set_rig(show=show, user=None, guise=heron, name="flying", plays_plain=True)
    assert count_show(show).count.of(bartle.pk).figures == 2
    rig = set_rig(show=show, user=None, guise=bartle, name="flying", plays_plain=True)
    assert count_show(show).count.of(bartle.pk).figures == 1

    again = set_rig(show=show, user=None, guise=bartle, name="FLYING", plays_plain=False)
    assert again.pk == rig.pk
    assert count_show(show).count.of(bartle.pk).figures == 2


def test_a_trick_build_in_the_plot_stays(show):
    bartle = guise_of(show, "B")
    rig = set_rig(show=show, user=None, guise=bartle, name="fight", plays_plain=True)
    put_on(show.current_draft, bartle, None, "2", rig="Fight")

    with pytest.raises(ValidationError) as refused:
        remove_rig(show=show, user=None, guise=bartle, pk=rig.pk)
    assert refused.value.messages == ["The plot has it in scene 2. Take it out of there first."]

    Appearance.objects.filter(guise=bartle, scene__label="2").delete()
    remove_rig(show=show, user=None, guise=bartle, pk=rig.pk)
    remove_rig(show=show, user=None, guise=bartle, pk=rig.pk)
    assert not Rig.objects.exists()


@pytest.mark.parametrize("name", ["", "Plain", "a;b", "x" * 41])
def test_a_trick_build_needs_a_name_of_its_own(show, name):
    with pytest.raises(ValidationError):
        set_rig(show=show, user=None, guise=guise_of(show, "B"), name=name, plays_plain=True)


# Files


def test_a_places_file_tells_everything_wrong_with_line_and_column():
    data = b"from,to,minutes\nleft,Left,1\n,bridge,x\nleft,pit,1\nLEFT,Pit,2\n"

    rows, problems = read_places("places.csv", data)

    assert [row.to_place for row in rows] == ["pit"]
    assert [str(problem)[:14] for problem in problems] == [
        "places.csv:2: ", "places.csv:3: ", "places.csv:3: ", "places.csv:5: ",
    ]  # fmt: skip
    assert "in line 4" in problems[-1].text


def test_an_unknown_column_of_places_is_named():
    _, problems = read_places("places.csv", b"from,to,minutes,floor\n")

    assert "unknown column 'floor'" in problems[0].text


def test_a_rig_cannot_play_plain_and_not():
    data = b"character,guise,rigs,plain_rigs\nHeron,,flying; fight,Fight\n"

    _, problems = read_guises("guises.csv", data)

    assert [problem.text for problem in problems] == [
        "plain_rigs: 'fight' stands under rigs as well"
    ]


def test_a_places_file_makes_the_ways_exactly_its_own_and_none_leaves_them(show):
    add_walk(show=show, user=None, from_place="left", to_place="pit", walk_s=30)
    add_walk(show=show, user=None, from_place="pit", to_place="left", walk_s=40)
    files = {name: Source(name, data) for name, data in export_plot(show).items()}
    plain = PlotSources(files["scenes.csv"], files["plot.csv"], files["changes.csv"])

    import_plot(company=show.company, user=None, title=show.title, sources=plain)
    assert len(walks(show)) == 2

    said = Source("places.csv", b"from,to,minutes\nleft,Pit,0:30\nbridge,left,2\n")
    sources = PlotSources(files["scenes.csv"], files["plot.csv"], places=said)
    import_plot(company=show.company, user=None, title=show.title, sources=sources)
    assert walks(show) == [("bridge", "left", 120), ("left", "pit", 30)]


def test_a_wrong_places_file_saves_nothing(show):
    files = {name: Source(name, data) for name, data in export_plot(show).items()}
    wrong = Source("places.csv", f"from,to,minutes\nleft,{uuid4()}{uuid4()},1\n".encode())
    sources = PlotSources(files["scenes.csv"], files["plot.csv"], places=wrong)

    with pytest.raises(ImportRefused) as refused:
        import_plot(company=show.company, user=None, title=show.title, sources=sources)

    assert str(refused.value.problems[0]).startswith("places.csv:2: to:")
    assert show.drafts.count() == 1
