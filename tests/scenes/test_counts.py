"""The count of a draft: right after every edit, kept once, stable against the last accepted."""

from __future__ import annotations

import random

import pytest

from company import clock
from company.models import Change, Role
from scenes.core.counting import check_count, count_figures
from scenes.loading import read_rows, to_plot
from scenes.models import Appearance, ChangeRule, Costume, Count, Guise, Scene, TrackStop
from scenes.queries.counts import answer_guise, count_plot, count_show
from scenes.queries.lede import say_count
from scenes.services import counts
from scenes.services.cells import Wanted, set_cell
from scenes.services.counts import previous_tracks, store_count
from scenes.services.plot import set_times
from tests.factories import CharacterFactory, GuiseFactory, ShowFactory, person
from tests.scenes.plots import SALT_SCENES, lay_draft, lay_large_plot, lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db


def test_the_invented_show_needs_twelve():
    counted = count_show(lay_salt_almanac())

    assert counted.count.figures == 12
    assert str(say_count(counted)) == (
        "This draft needs 12 figures for 6 roles. Jory Tarrow alone needs five: three guises, "
        "and two costumes that no change leads to."
    )


def test_five_costumes_at_one_age_and_younger_guises_add_up_to_a_dozen():
    """The trade's own check value: common practice, no published source."""
    show = ShowFactory()
    draft = lay_draft(show, SALT_SCENES)
    role = CharacterFactory(show=show)
    for guise_name, costumes in (("old", 5), ("middle", 4), ("young", 3)):
        guise = GuiseFactory(character=role, name=guise_name)
        for n in range(costumes):
            costume = Costume.objects.create(guise=guise, name=f"costume {n}")
            put_on(draft, guise, costume, SALT_SCENES[n][0])
            put_on(draft, guise, costume, SALT_SCENES[n + 5][0])

    assert count_show(show).count.figures == 12


@pytest.mark.parametrize(
    ("arrange", "sentence"),
    [
        ("nothing", "Nothing to count yet: the plot begins with its scenes and roles."),
        ("scenes", "Nothing to count yet: nobody is there to stand in the scenes."),
        ("roles", "Nothing to count yet: the plot has no scenes to stand in."),
        ("both", "Nobody stands in a scene yet: put somebody on, and the count begins."),
    ],
)
def test_sentence_says_what_comes_next_where_nothing_can_be_counted(arrange, sentence):
    show = ShowFactory()
    if arrange in ("scenes", "both"):
        lay_draft(show, SALT_SCENES)
    if arrange in ("roles", "both"):
        GuiseFactory(character=CharacterFactory(show=show))

    assert str(say_count(count_show(show))) == sentence


@pytest.mark.parametrize(
    ("costumes", "labels", "copies", "sentence"),
    [
        (1, "1", 1, "This draft needs 1 figure for 1 role."),
        (2, "1 2", 1, "Jory needs two: two costumes, no change possible."),
        (1, "1 2", 2, "Jory needs two: both in scene 1 at once."),
        (
            2,
            "1 2",
            2,
            "Jory needs four: two costumes, no change possible; coat 0: both in scene 1 at once; ",
        ),
    ],
)
def test_sentence_says_why_the_greediest_role_needs_its_figures(costumes, labels, copies, sentence):
    show = ShowFactory(reset_s=0)
    draft = lay_draft(show, SALT_SCENES)
    guise = GuiseFactory(character=CharacterFactory(show=show, name="Jory"), name="")
    for n, label in enumerate(labels.split()):
        costume, _ = Costume.objects.get_or_create(guise=guise, name=f"coat {n % costumes}")
        put_on(draft, guise, costume, label, copies=copies)

    assert sentence in str(say_count(count_show(show)))


def test_sentence_lists_all_causes_of_a_role_with_several_guises():
    show = ShowFactory()
    draft = lay_draft(show, SALT_SCENES)
    role = CharacterFactory(show=show, name="Jory")
    old, young = GuiseFactory(character=role, name="old"), GuiseFactory(character=role)
    put_on(draft, old, Costume.objects.create(guise=old, name="coat"), "1", copies=2)
    put_on(draft, old, Costume.objects.create(guise=old, name="gown"), "2")
    put_on(draft, young, None, "3")

    assert str(say_count(count_show(show))) == (
        "This draft needs 4 figures for 1 role. Jory needs four: two guises, one costume that no "
        "change leads to, and one more that is on at the same time."
    )


def test_sentence_names_roles_that_need_as_many():
    show = ShowFactory()
    draft = lay_draft(show, SALT_SCENES)
    for name in ("Captain Pell", "The Heron"):
        guise = GuiseFactory(character=CharacterFactory(show=show, name=name), name="")
        put_on(draft, guise, None, "1", copies=3)

    assert str(say_count(count_show(show))).endswith("Captain Pell and The Heron need three each.")


def test_counting_again_works_out_only_the_guise_that_was_edited():
    show = lay_salt_almanac()
    user = person(show.company, Role.LEAD)
    count_show(show)
    heron = Guise.objects.get(character__name="The Heron")
    before = answer_guise.cache_info()

    set_cell(
        show=show,
        user=user,
        guise=heron,
        scene_key=Scene.objects.get(label="1").key,
        wanted=[Wanted(costume_id=heron.costumes.get(name="flying").pk)],
    )
    counted = count_show(show)

    after = answer_guise.cache_info()
    assert after.misses - before.misses == 1
    assert after.hits - before.hits == 7
    assert counted.count == count_figures(counted.plot)


def test_looked_up_counts_equal_fresh_ones_through_a_hundred_edits():
    """Any edit of rows, rules, scenes or times is seen, whatever was counted before."""
    show = lay_large_plot(5, 8, 30)
    dice = random.Random(7)
    for _ in range(100):
        edit_something(show, dice)
        plot = to_plot(read_rows(show))
        assert count_plot(plot, {}) == count_figures(plot)


def edit_something(show, dice):
    draft = show.current_draft
    appearance = dice.choice(Appearance.objects.filter(draft=draft).select_related("guise"))
    scene = dice.choice(Scene.objects.filter(draft=draft))
    what = dice.randrange(7)
    if what == 0:
        appearance.costume = dice.choice([None, *appearance.guise.costumes.all()])
    elif what == 1:
        appearance.scene = scene
    elif what == 2:
        appearance.copies = dice.randrange(1, 4)
    elif what == 3:
        appearance.from_place = dice.choice(["", "left", "right"])
    elif what == 4:
        scene.length_s = dice.randrange(60, 600)
        scene.save()
    elif what == 5:
        rule = dice.choice(ChangeRule.objects.filter(draft=draft))
        rule.change_s = dice.randrange(0, 600)
        rule.save()
    else:
        show.crossing_s, show.reset_s = dice.randrange(0, 200), dice.randrange(0, 200)
        show.save()
    appearance.save()


def test_appearance_that_no_longer_fits_its_scene_is_counted_for_the_whole_of_it():
    show = lay_salt_almanac()
    row = Appearance.objects.filter(scene__label="2").get()
    Appearance.objects.filter(pk=row.pk).update(enters_s=300, leaves_s=360)
    Scene.objects.filter(label="2").update(length_s=240)

    counted = count_show(show)

    assert list(counted.misfits) == [row.key]
    assert counted.misfit_sentences == [
        "Jory Tarrow at nine in scene 2 leaves at 6, later than the end of the scene (4) and the "
        "gap after it (0:30). It is counted as on for the whole scene until its minutes are put "
        "right."
    ]
    assert counted.times[row.key] == (0, 240)
    assert check_count(counted.plot, counted.count) == []


def test_count_is_kept_once_for_a_revision():
    show = lay_salt_almanac()
    user = person(show.company, Role.LEAD)

    first = store_count(show=show, user=user)
    again = store_count(show=show, user=user)

    assert first == again
    assert (first.figures, first.revision, first.by, first.proved) == (12, 1, user, True)
    assert first.tracks.count() == 12
    assert TrackStop.objects.count() == Appearance.objects.count()
    assert Change.objects.filter(noun="count").count() == 1


def test_edit_asks_for_another_count():
    show = lay_salt_almanac()
    user = person(show.company, Role.LEAD)
    first = store_count(show=show, user=user)
    heron = Guise.objects.get(character__name="The Heron")

    set_cell(
        show=show,
        user=user,
        guise=heron,
        scene_key=Scene.objects.get(label="1").key,
        wanted=[Wanted(costume_id=None)],
    )
    second = store_count(show=show, user=user)

    assert (second.figures, second.revision) == (13, 2)
    assert Count.objects.filter(pk=first.pk).exists()


def test_count_that_nobody_accepted_follows_times_changed_elsewhere():
    show = lay_salt_almanac()
    first = store_count(show=show, user=None)
    show.reset_s = 30 * 60
    show.save()

    second = store_count(show=show, user=None)

    assert second.figures > first.figures
    assert not Count.objects.filter(pk=first.pk).exists()


def test_accepted_count_stands_whatever_happens():
    show = lay_salt_almanac()
    first = store_count(show=show, user=None)
    Count.objects.filter(pk=first.pk).update(accepted_at=clock.now())
    show.reset_s = 30 * 60
    show.save()

    assert store_count(show=show, user=None) == first


def test_times_changed_on_the_page_open_the_next_revision():
    show = lay_salt_almanac()
    first = store_count(show=show, user=None)

    set_times(show=show, user=None, crossing_s=60, reset_s=30 * 60, version=show.version)
    second = store_count(show=show, user=None)

    assert second.revision == first.revision + 1


def test_nothing_is_kept_that_the_checker_refuses(monkeypatch):
    show = lay_salt_almanac()
    monkeypatch.setattr(counts, "check_count", lambda plot, count: ["a track plays two at once"])

    with pytest.raises(counts.CountWrong, match="two at once"):
        store_count(show=show, user=None)

    assert Count.objects.count() == 0


def test_tracks_keep_to_the_last_accepted_count():
    show = lay_salt_almanac()
    user = person(show.company, Role.LEAD)
    kept = store_count(show=show, user=user)
    assert previous_tracks(show) == {}
    Count.objects.filter(pk=kept.pk).update(accepted_at=clock.now())

    assert len(previous_tracks(show)) == Appearance.objects.count()
    bartle = Guise.objects.get(character__name="Bartle, ferryman")
    set_cell(
        show=show,
        user=user,
        guise=bartle,
        scene_key=Scene.objects.get(label="4").key,
        wanted=[Wanted(costume_id=bartle.costumes.get(name="apron").pk)],
    )
    (track,) = count_show(show).count.of(bartle.pk).tracks

    assert track.previous == kept.tracks.get(guise=bartle).pk


def test_show_without_a_plot_keeps_a_count_of_nothing():
    show = ShowFactory()

    kept = store_count(show=show, user=None)

    assert (kept.figures, kept.tracks.count()) == (0, 0)
    assert show.current_draft is not None


def test_count_of_another_show_is_not_looked_at():
    show, other = lay_salt_almanac(), lay_large_plot(2, 3, 4)
    kept = store_count(show=other, user=None)
    Count.objects.filter(pk=kept.pk).update(accepted_at=clock.now())

    assert previous_tracks(show) == {}
