"""Taking counts to the bench: numbers for life, nothing lost, nothing made twice."""

from __future__ import annotations

import threading
from datetime import timedelta
from io import BytesIO
from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.db import connection
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase
from PIL import Image

from builds.models import Figure, FigureCostume, Step, TrackFigure
from builds.queries.bench import read_bench
from builds.services.bench import PlotMoved, accept_count, add_figure, set_figure_state
from builds.services.figures import edit_figure, edit_step
from builds.services.hours import log_work
from builds.services.photos import add_photo
from builds.services.work import finish_step
from company import clock
from company.models import Change, Maker
from company.services.changes import StaleEdit
from scenes.models import Count, Show
from scenes.services.drafts import open_draft
from tests.builds.desk import Desk, facts_of_bench, nothing_lost
from tests.factories import MakerFactory, ShowFactory

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk() -> Desk:
    """Jory at sixty in a pilot coat and a nightshirt: two figures."""
    made = Desk()
    jory = made.role("Jory Tarrow", "at sixty", "pilot coat", "nightshirt")
    made.wear(jory, "1", "pilot coat")
    made.wear(jory, "2", "nightshirt")
    made.wear(jory, "3", "pilot coat")
    made.jory = jory  # type: ignore[attr-defined]
    return made


def picture() -> BytesIO:
    """A small photo."""
    out = BytesIO()
    Image.new("RGB", (8, 6), "tan").save(out, "JPEG")
    out.seek(0)
    return out


# The first time


def test_first_acceptance_makes_a_figure_a_track_numbered_from_one(desk: Desk) -> None:
    taken = desk.accept()
    assert [str(figure) for figure in taken.made] == ["J1", "J2"]
    assert desk.played() == {"J1": {"1", "3"}, "J2": {"2"}}
    count = Count.objects.get()
    assert (count.accepted_at, count.by) == (clock.now(), desk.lead)
    assert desk.show.current_draft.frozen_at == clock.now()
    assert TrackFigure.objects.filter(count=count).count() == 2
    assert desk.bench().is_settled


def test_figure_wears_what_its_track_wears_and_the_first_is_built_in(desk: Desk) -> None:
    desk.change(desk.jory, "pilot coat", "nightshirt")
    desk.change(desk.jory, "nightshirt", "pilot coat")
    desk.accept()
    rows = FigureCostume.objects.filter(figure=desk.figure("J1"))
    assert {(row.costume.name, row.is_built_in) for row in rows} == {
        ("pilot coat", True),
        ("nightshirt", False),
    }
    assert desk.step("J1", "sew", "pilot coat").planned_min == 12 * 60
    # 40 % more than 12 hours are 16.8, in whole quarters 17.
    assert desk.step("J1", "sew", "nightshirt").planned_min == 17 * 60


def test_letters_of_each_role_count_for_themselves(desk: Desk) -> None:
    pell = desk.role("Captain Pell", "", "uniform")
    desk.wear(pell, "1", "uniform")
    assert [str(f) for f in desk.accept().made] == ["J1", "J2", "P1"]


def test_copies_are_figures_of_their_own(desk: Desk) -> None:
    gulls = desk.role("Gulls", "", "grey")
    desk.wear(gulls, "4", "grey", "grey", "grey")
    assert [str(f) for f in desk.accept().made] == ["J1", "J2", "G1", "G2", "G3"]


def test_line_by_line_takes_only_what_is_asked_for(desk: Desk) -> None:
    first, second = desk.bench().lines
    taken = desk.accept([second.key])
    assert [str(f) for f in taken.made] == ["J1"]
    assert desk.played() == {"J1": {"2"}}
    assert not desk.bench().is_settled
    assert [str(f) for f in desk.accept([first.key]).made] == ["J2"]
    assert desk.played() == {"J1": {"2"}, "J2": {"1", "3"}}
    assert desk.bench().is_settled
    assert Count.objects.count() == 1


def test_accepting_again_does_nothing(desk: Desk) -> None:
    desk.accept()
    before, changes = facts_of_bench(desk.show), Change.objects.count()
    again = desk.accept()
    assert (again.made, again.kept, again.set_aside) == ([], [], [])
    assert facts_of_bench(desk.show) == before
    assert Change.objects.count() == changes


def test_a_plot_without_an_appearance_is_refused() -> None:
    with pytest.raises(ValidationError, match="asks for no figure yet"):
        Desk().accept()
    bare = ShowFactory()
    with pytest.raises(ValidationError, match="asks for no figure yet"):
        accept_count(show=bare, user=None)


def test_a_line_that_is_not_there_is_refused_and_nothing_is_made(desk: Desk) -> None:
    with pytest.raises(ValidationError, match="not in the draft"):
        desk.accept(["figure:99"])
    with pytest.raises(ValidationError, match="Tick the lines"):
        desk.accept([])
    assert not Figure.objects.exists()
    assert desk.show.current_draft.frozen_at is None


# Two at once, and a plot that moved


def test_plot_changed_meanwhile_is_refused_with_how_it_stands(desk: Desk) -> None:
    read = desk.show.current_draft
    desk.wear(desk.jory, "4", "smock")
    with pytest.raises(PlotMoved) as moved:
        accept_count(
            show=desk.show, user=desk.lead, draft_number=read.number, revision=read.revision
        )
    assert moved.value.bench.needed == 3
    assert not Figure.objects.exists()


def test_same_revision_accepted_twice_makes_each_figure_once(desk: Desk) -> None:
    read = desk.show.current_draft
    for _ in range(2):
        accept_count(
            show=desk.show, user=desk.lead, draft_number=read.number, revision=read.revision
        )
    assert desk.tags() == ["J1", "J2"]


@pytest.mark.django_db(transaction=True)
def test_two_leads_at_once_make_each_figure_once() -> None:
    desk = Desk()
    jory = desk.role("Jory Tarrow", "at sixty", "pilot coat", "nightshirt")
    desk.wear(jory, "1", "pilot coat", "nightshirt")
    start, wrong = threading.Barrier(3), []
    read = desk.show.current_draft

    def press() -> None:
        try:
            show = Show.objects.select_related("company", "current_draft").get()
            start.wait()
            accept_count(show=show, user=None, draft_number=read.number, revision=read.revision)
        except Exception as error:
            wrong.append(error)
        finally:
            connection.close()

    presses = [threading.Thread(target=press) for _ in range(3)]
    for one in presses:
        one.start()
    for one in presses:
        one.join()
    assert wrong == []
    assert desk.tags() == ["J1", "J2"]
    assert TrackFigure.objects.count() == 2


# A later draft


def test_edit_after_acceptance_opens_a_draft_and_keeps_who_plays_what(desk: Desk) -> None:
    desk.accept()
    desk.wear(desk.jory, "4", "nightshirt")
    assert desk.show.current_draft.number == 2
    kinds = {str(line.figure): line.kind for line in desk.bench().lines}
    assert kinds == {"J1": "kept", "J2": "kept"}
    assert desk.bench().open_lines == []
    assert [str(f) for f in desk.accept().kept] == ["J1", "J2"]
    assert desk.played() == {"J1": {"1", "3"}, "J2": {"2", "4"}}


def test_new_costume_is_a_new_line_with_its_hours(desk: Desk) -> None:
    desk.accept()
    desk.wear(desk.jory, "4", "smock")
    (new,) = desk.bench().of_kind("new")
    assert [c.name for c in new.costumes] == ["smock"]
    desk.accept()
    steps = Step.objects.filter(figure=desk.figure("J3"))
    poured = Step.objects.filter(pour__castings__figure=desk.figure("J3"))
    assert new.hours_min == sum(s.planned_min for s in [*steps, *poured])


def test_no_longer_needed_is_set_aside_only_when_its_line_is_taken(desk: Desk) -> None:
    desk.accept()
    log_work(step=desk.step("J1", "carve"), user=desk.lead, minutes=240)
    log_work(step=desk.step("J2", "carve"), user=desk.lead, minutes=90)
    desk.wear(desk.jory, "2")
    (gone,) = desk.bench().of_kind("gone")
    assert (str(gone.figure), gone.hours_min) == ("J2", 90)
    new_guise = desk.role("Captain Pell", "", "uniform")
    desk.wear(new_guise, "1", "uniform")
    (new,) = desk.bench().of_kind("new")
    desk.accept([new.key])
    assert desk.tags() == ["J1", "J2", "P1"]
    assert [line.key for line in desk.bench().open_lines] == [gone.key]
    desk.accept([gone.key])
    assert desk.tags(Figure.State.SPARE) == ["J2"]
    assert [str(f) for f in desk.bench().spares] == ["J2"]
    assert desk.bench().is_settled


def test_a_spare_is_taken_up_again_before_a_new_one_is_made(desk: Desk) -> None:
    desk.accept()
    desk.wear(desk.jory, "2")
    desk.accept()
    assert desk.tags(Figure.State.SPARE) == ["J2"]
    desk.wear(desk.jory, "2", "nightshirt")
    assert {line.kind for line in desk.bench().open_lines} == {"again"}
    assert [str(f) for f in desk.accept().taken_up] == ["J2"]
    assert desk.tags() == ["J1", "J2"]
    assert desk.tags(Figure.State.SPARE) == []


def test_a_figure_dressed_anew_asks_first_and_keeps_what_was_sewn(desk: Desk) -> None:
    desk.accept()
    finish_step(
        step=desk.step("J2", "sew", "nightshirt"), user=desk.lead, minutes=300, reason="early"
    )
    desk.wear(desk.jory, "2", "smock")
    line = next(line for line in desk.bench().lines if str(line.figure) == "J2")
    assert (line.kind, [c.name for c in line.to_sew]) == ("over", ["smock"])
    desk.accept()
    rows = FigureCostume.objects.filter(figure=desk.figure("J2"))
    assert {(r.costume.name, r.is_built_in, r.struck_at is None) for r in rows} == {
        ("nightshirt", True, False),
        ("smock", True, True),
    }
    assert desk.step("J2", "sew", "nightshirt").struck_at == clock.now()
    desk.wear(desk.jory, "2", "nightshirt")
    desk.accept()
    sewn = desk.step("J2", "sew", "nightshirt")
    assert (sewn.struck_at, sewn.finished_at) == (None, clock.now())
    assert not Step.objects.filter(stage__key="sew", costume__name="smock").exists()


# One more than it needs


def test_one_more_is_built_and_counted_apart(desk: Desk) -> None:
    desk.accept()
    twin = add_figure(
        show=desk.show,
        user=desk.lead,
        guise=desk.jory,
        costume=desk.costume(desk.jory, "pilot coat"),
    )
    bench = desk.bench()
    assert (str(twin), bench.needed, bench.built) == ("J3", 2, 3)
    assert [str(f) for f in bench.extras] == ["J3"]
    assert desk.step("J3", "carve").planned_min < desk.step("J1", "carve").planned_min
    desk.wear(desk.jory, "1", "pilot coat", "pilot coat")
    assert {str(line.figure) for line in desk.bench().lines} == {"J1", "J2", "J3"}


def test_a_spare_asked_for_is_built_and_one_set_aside_is_not(desk: Desk) -> None:
    desk.accept()
    add_figure(show=desk.show, user=desk.lead, guise=desk.jory, is_spare=True)
    desk.wear(desk.jory, "2")
    desk.accept()
    assert desk.tags(Figure.State.SPARE) == ["J2", "J3"]
    assert Step.objects.filter(figure=desk.figure("J3"), struck_at=None).exists()
    assert not Step.objects.filter(figure=desk.figure("J2"), struck_at=None).exists()


def test_one_more_of_elsewhere_is_refused_by_name_of_the_field(desk: Desk) -> None:
    other = desk.role("Captain Pell", "", "uniform")
    with pytest.raises(ValidationError) as refusal:
        add_figure(
            show=desk.show,
            user=desk.lead,
            guise=desk.jory,
            costume=desk.costume(other, "uniform"),
        )
    assert "uniform belongs to another guise" in refusal.value.message_dict["costume"][0]
    elsewhere = ShowFactory()
    with pytest.raises(ValidationError, match="a guise of this show"):
        add_figure(show=elsewhere, user=desk.lead, guise=desk.jory)
    assert not Figure.objects.exists()


def test_a_struck_figure_keeps_its_number_and_is_never_matched(desk: Desk) -> None:
    desk.accept()
    figure = desk.figure("J2")
    set_figure_state(figure=figure, state="struck", user=desk.lead, version=figure.version)
    with pytest.raises(StaleEdit):
        set_figure_state(figure=figure, state="wanted", user=desk.lead, version=1)
    desk.wear(desk.jory, "4", "nightshirt")
    assert [str(f) for f in desk.accept().made] == ["J3"]
    assert desk.tags(Figure.State.STRUCK) == ["J2"]


# Nothing is ever lost


def test_long_story_every_figure_hour_note_and_photo_stays(desk: Desk) -> None:
    """Accept, change the plot, accept again, go back, three times over."""
    desk.accept()
    first_draft = desk.show.current_draft
    tomas = MakerFactory(company=desk.company, name="Tomas")
    log_work(step=desk.step("J1", "carve"), user=desk.lead, minutes=240, maker=tomas)
    log_work(
        step=desk.step("J2", "carve"), user=desk.lead, minutes=60,
        day=clock.today(desk.company) - timedelta(days=3),
    )  # fmt: skip
    finish_step(step=desk.step("J2", "shoes"), user=desk.lead, minutes=180, reason="wet drawing")
    step = desk.step("J2", "wig")
    edit_step(step=step, user=desk.lead, version=None, own_min=600, note="grey, not white")
    edit_figure(figure=desk.figure("J2"), user=desk.lead, version=None, place="shelf B", note="n")
    add_photo(subject=desk.figure("J2"), user=desk.lead, upload=picture(), size=700)
    add_photo(subject=desk.step("J1", "carve"), user=desk.lead, upload=picture(), size=700)
    facts = facts_of_bench(desk.show)
    live = set(Step.objects.filter(struck_at=None).values_list("stage__key", "figure", "costume"))

    desk.wear(desk.jory, "2")
    desk.wear(desk.jory, "3", "smock")
    desk.accept()
    assert nothing_lost(facts, facts_of_bench(desk.show)) == []
    desk.wear(desk.jory, "1", "smock")
    desk.accept()
    assert nothing_lost(facts, facts_of_bench(desk.show)) == []
    open_draft(show=desk.show, user=desk.lead, parent=first_draft)
    desk.accept()
    assert nothing_lost(facts, facts_of_bench(desk.show)) == []
    assert desk.played() == {"J1": {"1", "3"}, "J2": {"2"}}
    assert desk.tags() == ["J1", "J2"]
    now = set(Step.objects.filter(struck_at=None).values_list("stage__key", "figure", "costume"))
    assert live == now
    assert desk.step("J2", "wig").work_min == 600


EDITS = st.lists(
    st.one_of(
        st.tuples(
            st.just("wear"),
            st.integers(1, 3),
            st.lists(st.sampled_from(["coat", "gown", "smock"]), max_size=3),
        ),
        st.tuples(st.just("accept"), st.just(0), st.just([])),
        st.tuples(st.just("accept one"), st.integers(0, 3), st.just([])),
        st.tuples(st.just("back"), st.integers(0, 3), st.just([])),
        st.tuples(st.just("work"), st.integers(0, 40), st.just([])),
        st.tuples(st.just("finish"), st.integers(0, 40), st.just([])),
        st.tuples(st.just("more"), st.just(0), st.just([])),
    ),
    min_size=3,
    max_size=9,
)


class RandomEdits(TestCase):
    """Any sequence of edits, acceptances and ways back keeps what was made."""

    @given(EDITS)
    @settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow])
    def test_whatever_happens_nothing_is_lost(self, edits: list[tuple[str, int, Any]]) -> None:
        desk = Desk(scenes=3)
        Maker.objects.filter(pk=desk.ines.pk).update(is_saw_trained=True)
        guise = desk.role("Jory Tarrow", "at sixty", "coat", "gown", "smock")
        facts = facts_of_bench(desk.show)
        numbers: set[str] = set()
        for what, number, costumes in edits:
            _do(desk, guise, what, number, costumes)
            after = facts_of_bench(desk.show)
            assert nothing_lost(facts, after) == []
            tags = [tag for tag, *_ in after["figures"].values()]
            assert len(set(tags)) == len(tags)
            assert numbers <= set(tags)
            facts, numbers = after, set(tags)
        bench = read_bench(desk.show)
        if bench.lines:
            desk.accept()
            settled = desk.bench()
            assert settled.is_settled
            assert not settled.of_kind("gone")
            played = [line.figure.pk for line in settled.lines if line.figure]
            assert len(set(played)) == len(played) == settled.needed
            # Accepting twice is accepting once.
            stands, changes = facts_of_bench(desk.show), Change.objects.count()
            desk.accept()
            assert facts_of_bench(desk.show) == stands
            assert Change.objects.count() == changes


def _do(desk: Desk, guise: Any, what: str, number: int, costumes: list[str]) -> None:
    bench = desk.bench()
    if what == "wear":
        desk.wear(guise, str(number), *costumes)
    elif what == "accept" and bench.lines:
        desk.accept()
    elif what == "accept one" and bench.lines:
        desk.accept([bench.lines[number % len(bench.lines)].key])
    elif what == "back":
        drafts = list(desk.show.drafts.all())
        open_draft(show=desk.show, user=desk.lead, parent=drafts[number % len(drafts)])
    elif what == "more":
        add_figure(show=desk.show, user=desk.lead, guise=guise)
    elif what in ("work", "finish"):
        steps = list(Step.objects.filter(show=desk.show, struck_at=None, finished_at=None))
        if steps:
            step = steps[number % len(steps)]
            if what == "work":
                log_work(step=step, user=desk.lead, minutes=30)
            else:
                finish_step(step=step, user=desk.lead, reason="the order of the day")
