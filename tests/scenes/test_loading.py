"""Rows and core plots are the same plot, read in a fixed number of reads, and back again."""

from __future__ import annotations

import pytest

from scenes.core.counting import count_figures
from scenes.core.plot_problems import problems
from scenes.loading import (
    read_previous,
    read_rows,
    read_stops,
    stamp_of,
    to_names,
    to_plot,
    write_tracks,
)
from scenes.models import Appearance, Count, Guise, Scene, Track, TrackStop
from scenes.models.plot import Hold
from tests.factories import ShowFactory
from tests.scenes.plots import lay_large_plot, lay_salt_almanac, put_on

pytestmark = pytest.mark.django_db


def test_plot_holds_every_column_the_count_goes_by():
    show = lay_salt_almanac()
    draft = show.current_draft
    heron = Guise.objects.get(character__name="The Heron")
    flying = heron.costumes.get(name="flying")
    row = put_on(
        draft,
        heron,
        flying,
        "8",
        enters_s=-20,
        leaves_s=375,
        rig="flight",
        from_place="left",
        to_place="bridge",
        hold=Hold.HUNG,
        copies=3,
    )

    plot = to_plot(read_rows(show))

    found = next(a for a in plot.appearances if a.key == row.key)
    assert (found.guise, found.costume, found.scene) == (heron.pk, flying.pk, row.scene.key)
    assert (found.enters_s, found.leaves_s, found.copies) == (-20, 375, 3)
    assert (found.rig, found.from_place, found.to_place) == ("flight", "left", "bridge")
    assert found.hold == "hung in view"
    assert [(s.label, s.length_s, s.gap_s, s.is_interval) for s in plot.scenes][4:6] == [
        ("5", 360, 1200, True),
        ("6", 420, 30, False),
    ]
    (rule,) = plot.rules
    assert (rule.change_s, rule.people) == (240, 1)
    assert (plot.crossing_s, plot.reset_s) == (60, 30)
    assert problems(plot) == []


def test_guises_that_wear_nothing_are_in_the_plot_in_the_order_of_the_show():
    show = lay_salt_almanac()
    jory = show.characters.get(name="Jory Tarrow")
    unborn = Guise.objects.create(character=jory, name="as a gull", position=9)

    plot = to_plot(read_rows(show))

    names = to_names(read_rows(show))
    assert plot.guises.index(unborn.pk) == 3
    assert [names.guise(g) for g in plot.guises][:5] == [
        "Jory Tarrow at nine",
        "Jory Tarrow at thirty",
        "Jory Tarrow at sixty",
        "Jory Tarrow as a gull",
        "Captain Pell",
    ]


def test_undecided_costume_is_none():
    show = lay_salt_almanac()
    heron = Guise.objects.get(character__name="The Heron")
    row = put_on(show.current_draft, heron, None, "1")

    plot = to_plot(read_rows(show))

    assert next(a for a in plot.appearances if a.key == row.key).costume is None


def test_show_without_a_draft_is_an_empty_plot():
    show = ShowFactory()

    plot = to_plot(read_rows(show))

    assert (plot.scenes, plot.appearances, plot.guises) == ((), (), ())


@pytest.mark.parametrize(("roles", "scenes", "appearances"), [(1, 1, 1), (10, 10, 60)])
def test_reads_do_not_grow_with_the_plot(roles, scenes, appearances, django_assert_num_queries):
    show = lay_large_plot(roles, scenes, appearances)

    with django_assert_num_queries(9):
        rows = read_rows(show)
        to_plot(rows)
        [(str(a.guise), a.scene.label, str(a.costume)) for a in rows.appearances]
        [(str(r.guise), str(r.from_costume), str(r.to_costume)) for r in rows.rules]


def test_tracks_come_back_as_they_were_kept():
    show = lay_salt_almanac()
    counted = count_figures(to_plot(read_rows(show)))
    kept = Count.objects.create(
        draft=show.current_draft, revision=1, figures=12, made_at="2026-03-04T10:00Z"
    )

    write_tracks(kept, counted)

    assert read_stops(kept) == [
        (guise.guise, [(stop.key, stop.copy) for stop in track.stops])
        for guise in counted.guises
        for track in guise.tracks
    ]
    previous = read_previous(kept)
    assert len(previous) == Appearance.objects.count() == TrackStop.objects.count()
    assert set(previous.values()) == set(Track.objects.values_list("pk", flat=True))
    assert count_figures(to_plot(read_rows(show)), previous).guises[0].tracks[0].previous in set(
        previous.values()
    )


def test_stop_whose_appearance_went_to_another_guise_is_no_longer_a_previous_one():
    show = lay_salt_almanac()
    kept = Count.objects.create(
        draft=show.current_draft, revision=1, figures=12, made_at="2026-03-04T10:00Z"
    )
    write_tracks(kept, count_figures(to_plot(read_rows(show))))
    before = read_previous(kept)
    at_nine, at_thirty = Guise.objects.filter(character__name="Jory Tarrow").order_by("position")[
        :2
    ]
    moved = Appearance.objects.filter(guise=at_nine).first()
    Appearance.objects.filter(pk=moved.pk).update(guise=at_thirty, costume=None)

    after = read_previous(kept)

    assert before.keys() - after.keys() == {(moved.key, 1)}
    assert after.items() <= before.items()
    old_tracks = dict(Track.objects.values_list("pk", "guise"))
    for guise in count_figures(to_plot(read_rows(show)), after).guises:
        kept_of = {track.previous for track in guise.tracks} - {None}
        assert {old_tracks[pk] for pk in kept_of} <= {guise.guise}


def test_stamp_differs_for_every_state_of_a_cell():
    lay_salt_almanac()
    heron = Guise.objects.get(character__name="The Heron")
    both = list(Appearance.objects.filter(guise=heron, scene=Scene.objects.get(label="7")))

    stamps = {stamp_of(both), stamp_of(both[:1]), stamp_of(both[1:]), stamp_of([])}
    both[0].version += 1
    stamps.add(stamp_of(both))

    assert len(stamps) == 5
    assert stamp_of([]) == ""
    assert stamp_of(both) == stamp_of(reversed(both))
