"""Figures made over for another track: what it takes, what is undone, and going back."""

from __future__ import annotations

from typing import Any

import pytest
from django.core.exceptions import ValidationError
from django.test import Client
from django.urls import reverse

from builds.models import Casting, Figure, FigureCostume, MakeOver, Part, Step
from builds.queries.bench import BenchLine
from builds.queries.bench_words import say_bench, say_spares
from builds.queries.steps import step_waits
from builds.services.bench import accept_count, add_figure, set_figure_state
from builds.services.figures import edit_step
from builds.services.hours import log_work
from builds.services.patterns import borrow_part
from builds.services.plans import make_plan, pin_up
from builds.services.steps import make_steps
from company import clock
from scenes.models import Guise
from scenes.services.cells import Wanted, set_cell
from scenes.services.pins import set_pin
from scenes.services.scenes import add_scene
from tests.builds.desk import Desk, facts_of_bench, nothing_lost
from tests.builds.workshop import Workshop
from tests.factories import ShowFactory

pytestmark = pytest.mark.django_db

HOUR = 60


def finish(figure: Figure, *keys: str) -> None:
    """Mark the figure's steps as done, all of them or those of these stages."""
    rows = Step.objects.filter(figure=figure, struck_at=None)
    poured = Step.objects.filter(pour__castings__figure=figure)
    for steps in (rows, poured):
        chosen = steps.filter(stage__key__in=keys) if keys else steps
        Step.objects.filter(pk__in=list(chosen.values_list("pk", flat=True))).update(
            begun_at=clock.now(), finished_at=clock.now()
        )


def line_of(desk: Desk, tag: str) -> BenchLine:
    """The line of a figure."""
    return next(line for line in desk.bench().lines if str(line.figure) == tag)


def takes_of(line: BenchLine) -> list[tuple[str, float]]:
    """What a line takes, with hours."""
    return [(taking.words, taking.minutes / HOUR) for taking in line.takes]


def live(desk: Desk, tag: str) -> dict[tuple[str, int], Any]:
    """Steps of the figure that are not struck, by stage key and round."""
    rows = Step.objects.filter(figure=desk.figure(tag), struck_at=None).select_related("stage")
    return {(step.stage.key, step.round): step for step in rows}


@pytest.fixture
def desk() -> Desk:
    """Captain Pell in his uniform, at the bench and ready to play."""
    made = Desk()
    pell = made.role("Captain Pell", "", "uniform", "oilskin")
    made.wear(pell, "1", "uniform")
    made.accept()
    finish(made.figure("P1"))
    made.pell = pell  # type: ignore[attr-defined]
    return made


# Another costume (the hours are those of the job's own rules: unstring 1, restring 4, true 2)


def test_a_strung_figure_is_recostumed_with_the_hours_that_takes(desk: Desk) -> None:
    desk.wear(desk.pell, "1", "oilskin")
    (line,) = desk.bench().lines
    assert (line.kind, str(line.figure), line.what) == ("over", "P1", {"costume"})
    assert takes_of(line) == [
        ("Pattern and calico: oilskin", 2),
        ("Cut and sew: oilskin", 12),
        ("Unstring and change costume", 1),
        ("String at the frame", 4),
        ("Hang and true", 2),
    ]
    assert line.hours_min == 21 * HOUR
    assert line.asks


def test_accepting_makes_the_steps_that_the_line_said(desk: Desk) -> None:
    desk.wear(desk.pell, "1", "oilskin")
    said = desk.bench().lines[0]
    before = facts_of_bench(desk.show)
    taken = desk.accept()
    assert [str(figure) for figure in taken.made_over] == ["P1"]
    assert nothing_lost(before, facts_of_bench(desk.show)) == []
    left = [step for step in live(desk, "P1").values() if step.finished_at is None]
    assert sum(step.planned_min for step in left) == said.hours_min
    assert {(s.stage.key, s.round) for s in left} == {
        *(("pattern", 1), ("sew", 1)),
        *(("unstring", 1), ("string", 2), ("true", 2)),
    }
    struck = Step.objects.filter(figure=desk.figure("P1"), struck_at__isnull=False)
    assert {(s.stage.key, s.costume and s.costume.name) for s in struck} == {
        *(("string", None), ("true", None)),
        *(("sew", "uniform"), ("pattern", "uniform")),
    }
    assert all(step.finished_at for step in struck)


def test_recostuming_waits_in_the_right_order(desk: Desk) -> None:
    desk.wear(desk.pell, "1", "oilskin")
    desk.accept()
    steps = live(desk, "P1")
    waits = {pk: {before for before, _ in found} for pk, found in step_waits(desk.show).items()}
    assert steps["pattern", 1].pk in waits[steps["sew", 1].pk]
    assert steps["sew", 1].pk in waits[steps["unstring", 1].pk]
    assert steps["unstring", 1].pk in waits[steps["string", 2].pk]
    assert waits[steps["true", 2].pk] == {steps["string", 2].pk}


def undo(desk: Desk, *keys: str) -> None:
    """As if these stages of P1 had not been begun yet."""
    Step.objects.filter(figure=desk.figure("P1"), stage__key__in=keys).update(
        finished_at=None, begun_at=None
    )


def test_a_figure_dressed_but_not_strung_is_only_sewn_for_and_dressed(desk: Desk) -> None:
    undo(desk, "string", "true", "restring", "bag")
    desk.wear(desk.pell, "1", "oilskin")
    (line,) = desk.bench().lines
    assert takes_of(line) == [
        ("Pattern and calico: oilskin", 2),
        ("Cut and sew: oilskin", 12),
        ("Dress", 1.5),
    ]
    desk.accept()
    steps = live(desk, "P1")
    waits = {pk: {before for before, _ in found} for pk, found in step_waits(desk.show).items()}
    assert steps["dress", 2].pk in waits[steps["string", 1].pk]
    assert steps["sew", 1].pk in waits[steps["dress", 2].pk]


def test_a_figure_not_dressed_yet_is_only_sewn_for(desk: Desk) -> None:
    undo(desk, "dress", "string", "true", "restring", "bag")
    desk.wear(desk.pell, "1", "oilskin")
    (line,) = desk.bench().lines
    assert line.kind == "over"
    assert [words for words, _ in takes_of(line)] == [
        "Pattern and calico: oilskin",
        "Cut and sew: oilskin",
    ]
    desk.accept()
    assert not MakeOver.objects.exists()


def test_a_costume_more_that_is_changed_into_leaves_the_strings_on(desk: Desk) -> None:
    desk.wear(desk.pell, "2", "oilskin")
    desk.change(desk.pell, "uniform", "oilskin")
    (line,) = desk.bench().lines
    assert (line.kind, [c.name for c in line.to_sew]) == ("kept", ["oilskin"])
    assert [words for words, _ in takes_of(line)][-1] == "Cut and sew: oilskin"
    desk.accept()
    assert not MakeOver.objects.exists()


def test_going_back_before_anybody_began_costs_nothing(desk: Desk) -> None:
    before = live(desk, "P1").keys()
    desk.wear(desk.pell, "1", "oilskin")
    desk.accept()
    desk.wear(desk.pell, "1", "uniform")
    (line,) = desk.bench().lines
    assert (line.kind, line.hours_min, line.takes) == ("kept", 0, ())
    desk.accept()
    assert not MakeOver.objects.exists()
    assert live(desk, "P1").keys() == before
    assert all(step.finished_at for step in live(desk, "P1").values())
    assert desk.figure("P1").again == {}


def test_going_back_after_it_was_unstrung_strings_it_once_more(desk: Desk) -> None:
    desk.wear(desk.pell, "1", "oilskin")
    desk.accept()
    finish(desk.figure("P1"), "unstring")
    desk.wear(desk.pell, "1", "uniform")
    (line,) = desk.bench().lines
    assert (line.kind, line.to_sew) == ("over", ())
    # It hangs unstrung: another costume, then the stringing that is still to come.
    assert [words for words, _ in takes_of(line)] == ["Unstring and change costume"]
    desk.accept()
    steps = live(desk, "P1")
    assert {key for key in steps if steps[key].finished_at is None} == {
        *(("unstring", 2), ("string", 2), ("true", 2)),
    }
    worn = FigureCostume.objects.get(figure=desk.figure("P1"), struck_at=None)
    assert (worn.costume.name, worn.is_built_in) == ("uniform", True)


def test_a_second_costume_over_the_first_before_it_began_is_one_making_over(desk: Desk) -> None:
    desk.wear(desk.pell, "1", "oilskin")
    desk.accept()
    desk.wear(desk.pell, "1", "cape")
    desk.accept()
    assert MakeOver.objects.count() == 1
    assert desk.figure("P1").again == {"unstring": 1, "string": 1, "true": 1}
    assert desk.bench().is_settled
    over = MakeOver.objects.get()
    assert over.from_costume.name == "uniform"


def test_accepting_twice_makes_over_once(desk: Desk) -> None:
    desk.wear(desk.pell, "1", "oilskin")
    desk.accept()
    before = facts_of_bench(desk.show), MakeOver.objects.count(), Step.objects.count()
    again = desk.accept()
    assert again.made_over == []
    assert (facts_of_bench(desk.show), MakeOver.objects.count(), Step.objects.count()) == before
    assert not make_steps(show=desk.show)


def test_own_hours_and_notes_on_a_struck_round_stay(desk: Desk) -> None:
    step = desk.step("P1", "string")
    edit_step(step=step, user=desk.lead, version=None, note="Line of reel 7.", own_min=300)
    desk.wear(desk.pell, "1", "oilskin")
    desk.accept()
    step.refresh_from_db()
    assert (step.note, step.own_min, step.struck_at) == ("Line of reel 7.", 300, clock.now())
    fresh = live(desk, "P1")["string", 2]
    assert (fresh.note, fresh.own_min, fresh.planned_min) == ("", None, 4 * HOUR)


# The cheapest match


def test_the_figure_with_the_work_in_it_is_kept(desk: Desk) -> None:
    desk.wear(desk.pell, "2", "oilskin")
    desk.accept()
    assert desk.tags() == ["P1", "P2"]
    # P1 is ready in the uniform; P2 is not begun. With the uniform gone, the cloth alone is new.
    desk.wear(desk.pell, "1")
    lines = {str(line.figure): line for line in desk.bench().lines}
    assert (lines["P1"].kind, lines["P2"].kind) == ("over", "gone")
    assert lines["P1"].hours_min == (12 + 2 + 1 + 4 + 2) * HOUR
    assert lines["P2"].hours_min == 0


def test_a_ready_spare_in_the_right_costume_beats_recostuming(desk: Desk) -> None:
    desk.wear(desk.pell, "2", "oilskin")
    desk.accept()
    finish(desk.figure("P2"))
    desk.wear(desk.pell, "2")
    desk.accept()
    assert desk.tags(Figure.State.SPARE) == ["P2"]
    desk.wear(desk.pell, "1", "oilskin")
    lines = {str(line.figure): line for line in desk.bench().lines}
    assert (lines["P2"].kind, lines["P2"].hours_min) == ("again", 0)
    assert lines["P1"].kind == "gone"


# Another guise on a borrowed body, and another posture under a borrowed head


@pytest.fixture
def two_guises(desk: Desk) -> Guise:
    """The captain young, on the body of the old one."""
    young = desk.role("Captain Pell", "when young", "jacket")
    pell = Guise.objects.get(pk=desk.pell.pk)
    borrow_part(guise=young, part=Part.BODY, lender=pell, user=desk.lead)
    return young


def test_another_guise_on_a_borrowed_body_asks_for_head_paint_and_wig(
    desk: Desk, two_guises: Guise
) -> None:
    desk.wear(desk.pell, "1")
    desk.wear(two_guises, "1", "jacket")
    (line,) = desk.bench().lines
    assert (line.kind, str(line.figure), str(line.guise)) == (
        *("over", "P1"),
        "Captain Pell when young",
    )
    assert line.what == {"head", "costume"}
    said = [words for words, _ in takes_of(line)]
    assert {"Trim head and hands", "Paint head and hands", "Wig, hair and beard"} < set(said)
    assert not {"Carve", "Dry-joint, stops, ballast", "Control"} & set(said)
    desk.accept()
    steps = live(desk, "P1")
    assert steps["carve", 1].finished_at is not None
    assert steps["paint", 2].finished_at is None
    assert sum(s.planned_min for s in _left(desk, "P1")) == line.hours_min
    assert str(desk.figure("P1").guise) == "Captain Pell when young"
    assert str(desk.figure("P1")) == "P1"
    heads = Casting.objects.filter(figure=desk.figure("P1"), pattern__part="head")
    assert {casting.pattern.made_for_id for casting in heads} == {desk.pell.pk, two_guises.pk}


def _left(desk: Desk, tag: str) -> list[Step]:
    own = [step for step in live(desk, tag).values() if step.finished_at is None]
    poured = Step.objects.filter(
        pour__castings__figure=desk.figure(tag), struck_at=None, finished_at=None
    )
    return [*own, *poured]


def test_another_posture_is_a_new_body_under_the_old_head(desk: Desk) -> None:
    bent = desk.role("Captain Pell", "bent", "jacket")
    pell = Guise.objects.get(pk=desk.pell.pk)
    for part in (Part.HEAD, Part.HANDS):
        borrow_part(guise=bent, part=part, lender=pell, user=desk.lead)
    desk.wear(desk.pell, "1")
    desk.wear(bent, "1", "jacket")
    (line,) = desk.bench().lines
    assert (line.kind, line.what) == ("over", {"body", "costume"})
    said = [words for words, _ in takes_of(line)]
    assert "Carve" in " ".join(said)
    assert "Paint head and hands" not in said


def test_a_guise_that_shares_nothing_is_new(desk: Desk) -> None:
    other = desk.role("Bartle", "", "apron")
    desk.wear(desk.pell, "1")
    desk.wear(other, "1", "apron")
    assert {line.kind for line in desk.bench().lines} == {"new", "gone"}


def test_a_guise_whose_own_figure_is_needed_is_not_robbed(desk: Desk, two_guises: Guise) -> None:
    desk.wear(two_guises, "2", "jacket")
    kinds = {str(line.guise): line.kind for line in desk.bench().lines}
    assert kinds == {"Captain Pell": "kept", "Captain Pell when young": "new"}


# A figure that another show left over


@pytest.fixture
def later(desk: Desk) -> Desk:
    """The next show of the company, with P1 of the first one left over as a spare."""
    figure = desk.figure("P1")
    set_figure_state(figure=figure, state=Figure.State.SPARE, user=desk.lead)
    other = Desk.__new__(Desk)
    other.company, other.lead, other.ines = desk.company, desk.lead, desk.ines
    other._show = ShowFactory(company=desk.company, title="Ferry Songs", reset_s=0)
    add_scene(show=other.show, user=other.lead, label="1", length_s=300, gap_s=0)
    add_scene(show=other.show, user=other.lead, label="2", length_s=300, gap_s=0)
    return other


def test_a_later_show_takes_up_a_spare_of_the_same_role(desk: Desk, later: Desk) -> None:
    spare = desk.figure("P1")
    before = facts_of_bench(desk.show)
    pell = later.role("Captain Pell", "", "medals")
    later.wear(pell, "1", "medals")
    (line,) = later.bench().lines
    (offer,) = line.offers
    assert (line.kind, offer.figure.pk, offer.kept) == ("new", spare.pk, {"head", "hands", "body"})
    assert offer.hours_min == (2 + 12 + 1 + 4 + 2) * HOUR
    taken = accept_count(show=later.show, user=later.lead, offers={line.key: spare.pk})
    assert [str(figure) for figure in taken.taken_up] == ["P1-TSA"]
    spare.refresh_from_db()
    assert (spare.number, spare.letters, spare.show_id, spare.home_id) == (
        *(1, "P"),
        *(later.show.pk, desk.show.pk),
    )
    assert (spare.public_key, spare.state) == (before["figures"][spare.pk][1], "wanted")
    left = Step.objects.filter(show=later.show, struck_at=None, finished_at=None)
    # Nothing is sculpted, drawn, moulded or poured for it: it brought head and body along.
    assert {step.stage.key for step in left} == {"pattern", "sew", "unstring", "string", "true"}
    assert later.bench().is_settled
    over = MakeOver.objects.get()
    ends = (over.figure.show, over.from_show, spare.home, over.from_guise.character.show)
    assert {show.company_id for show in ends} == {desk.company.pk}
    assert over.from_costume.guise == over.from_guise
    # Its castings and what was done stay with it, and the first show still opens.
    assert Casting.objects.filter(figure=spare).count() == len(before["castings"])
    assert desk.bench().lines
    assert not make_steps(show=desk.show)


def test_numbers_of_both_shows_go_on_as_they_were(desk: Desk, later: Desk) -> None:
    pell = later.role("Captain Pell", "", "medals")
    later.wear(pell, "1", "medals", "medals")
    first = later.bench().lines[0]
    accept_count(show=later.show, user=later.lead, offers={first.key: desk.figure("P1").pk})
    assert sorted(later.tags()) == ["P1", "P1-TSA"]
    desk.wear(desk.pell, "1", "uniform", "uniform")
    made = desk.accept().made
    assert "P1" not in [str(figure) for figure in made]


def test_another_role_of_the_same_size_keeps_the_body(desk: Desk, later: Desk) -> None:
    bartle = later.role("Bartle", "", "apron")
    Guise.objects.filter(pk__in=(desk.pell.pk, bartle.pk)).update(height_mm=590)
    later.wear(bartle, "1", "apron")
    (offer,) = later.bench().lines[0].offers
    assert (offer.kept, "paint" in offer.use.over.again) == ({"body"}, True)
    accept_count(
        show=later.show, user=later.lead, offers={later.bench().lines[0].key: offer.figure.pk}
    )
    keys = {step.stage.key for step in Step.objects.filter(show=later.show, struck_at=None)}
    assert {"sculpt-head", "pour-head", "paint"} < keys
    figure = Figure.objects.get(pk=offer.figure.pk)
    carve = Step.objects.get(figure=figure, stage__key="carve", struck_at=None)
    assert carve.finished_at is not None


def test_no_offer_without_role_size_or_kind_in_common(desk: Desk, later: Desk) -> None:
    gulls = later.role("Gulls", "", "plain")
    later.wear(gulls, "1", "plain")
    assert later.bench().lines[0].offers == ()
    with pytest.raises(ValidationError, match="not offered"):
        accept_count(
            show=later.show,
            user=later.lead,
            offers={later.bench().lines[0].key: desk.figure("P1").pk},
        )
    assert desk.figure("P1").show_id == desk.show.pk


# Spares that were asked for


@pytest.mark.parametrize(
    ("extent", "keys"),
    [
        ("head", {"trim", "neck-block", "paint", "eyes", "wig"}),
        ("head, hands", {"trim", "neck-block", "paint", "eyes", "wig"}),
    ],
)
def test_a_spare_head_asks_for_the_work_on_a_head_alone(
    desk: Desk, extent: str, keys: set[str]
) -> None:
    spare = add_figure(
        show=desk.show, user=desk.lead, guise=desk.pell, is_spare=True, extent=extent
    )
    own = Step.objects.filter(figure=spare)
    assert {step.stage.key for step in own} == keys
    parts = set(Casting.objects.filter(figure=spare).values_list("pattern__part", flat=True))
    assert parts == ({"head"} if extent == "head" else {"head", "hands"})
    bench = desk.bench()
    assert (bench.needed, bench.built, bench.asked) == (1, 1, (spare,))
    said = "1 spare head" if extent == "head" else "1 spare head with hands"
    assert say_bench(bench) == (
        f"This draft is at the bench: it needs one figure, you build 1 and {said}."
    )


def test_spares_are_counted_apart_and_said(desk: Desk) -> None:
    add_figure(show=desk.show, user=desk.lead, guise=desk.pell)
    for extent in ("head", "whole"):
        add_figure(show=desk.show, user=desk.lead, guise=desk.pell, is_spare=True, extent=extent)
    bench = desk.bench()
    assert say_spares(bench) == "1 spare figure and 1 spare head"
    assert say_bench(bench) == (
        "This draft is at the bench: it needs one figure, you build 2 and 1 spare figure "
        "and 1 spare head."
    )


def test_a_head_alone_is_a_spare_or_nothing(desk: Desk) -> None:
    with pytest.raises(ValidationError, match="plays nothing"):
        add_figure(show=desk.show, user=desk.lead, guise=desk.pell, extent="head")
    spare = add_figure(
        show=desk.show, user=desk.lead, guise=desk.pell, is_spare=True, extent="head"
    )
    with pytest.raises(ValidationError, match="plays nothing"):
        set_figure_state(figure=spare, state="wanted", user=desk.lead)
    with pytest.raises(ValidationError, match="whole figure"):
        add_figure(show=desk.show, user=desk.lead, guise=desk.pell, is_spare=True, extent="leg")


def test_a_spare_head_is_never_matched_to_a_track(desk: Desk) -> None:
    add_figure(show=desk.show, user=desk.lead, guise=desk.pell, is_spare=True, extent="head")
    desk.wear(desk.pell, "2", "oilskin")
    assert [line.kind for line in desk.bench().lines] == ["kept", "new"]


def test_a_costume_not_decided_leaves_the_figure_dressed_as_it_is(desk: Desk) -> None:
    scene = desk.show.current_draft.scenes.get(label="1")
    set_cell(
        show=desk.show, user=desk.lead, guise=desk.pell, scene_key=scene.key, wanted=[Wanted()]
    )
    (line,) = desk.bench().lines
    assert (line.kind, line.hours_min) == ("kept", 0)
    desk.accept()
    worn = FigureCostume.objects.get(figure=desk.figure("P1"))
    assert (worn.costume.name, worn.struck_at) == ("uniform", None)


def test_a_figure_in_the_right_costume_is_not_given_to_one_that_is_not_decided(desk: Desk) -> None:
    scene = desk.show.current_draft.scenes.get(label="2")
    set_cell(
        show=desk.show, user=desk.lead, guise=desk.pell, scene_key=scene.key, wanted=[Wanted()]
    )
    desk.wear(desk.pell, "1", "oilskin")
    lines = {line.kind: line for line in desk.bench().lines}
    assert set(lines) == {"over", "new"}
    assert [c.name for c in lines["over"].costumes] == ["oilskin"]


def test_pages_of_both_shows_open_after_a_planned_figure_has_moved() -> None:
    shop = Workshop(figures=2)
    plan = make_plan(show=shop.show, user=shop.lead)
    pin_up(plan=plan, user=shop.lead)
    figure = shop.figure("J1")
    set_figure_state(figure=figure, state=Figure.State.SPARE, user=shop.lead)
    carve = Step.objects.get(figure=figure, stage__key="carve")
    Step.objects.filter(pk=carve.pk).update(begun_at=clock.now(), finished_at=clock.now())
    other = Desk.__new__(Desk)
    other.company, other.lead, other.ines = shop.company, shop.lead, shop.ines
    other._show = ShowFactory(company=shop.company, title="Ferry Songs", reset_s=0)
    add_scene(show=other.show, user=other.lead, label="1", length_s=300, gap_s=0)
    jory = other.role("Jory Tarrow", "at nine", "smock")
    other.wear(jory, "1", "smock")
    (line,) = other.bench().lines
    accept_count(show=other.show, user=other.lead, offers={line.key: figure.pk})
    assert other.tags() == ["J1-TSA"]
    make_plan(show=other.show, user=other.lead)
    client = Client()
    client.force_login(shop.lead)
    for show in (shop.show, other.show):
        for name in ("today", "wall_plan", "figure_list", "bench", "sheet_list", "saving_list"):
            answer = client.get(reverse(f"builds:{name}", args=[show.pk]))
            assert answer.status_code == 200, (show, name)
        assert client.get(reverse("scenes:plot", args=[show.pk])).status_code == 200
    assert client.get(figure.get_absolute_url()).status_code == 200
    assert client.get(reverse("builds:step_detail", args=[carve.pk])).status_code == 200


def test_of_two_as_far_along_the_one_that_played_is_kept_however_long_each_took(
    desk: Desk,
) -> None:
    desk.wear(desk.pell, "1", "uniform", "uniform")
    desk.accept()
    finish(desk.figure("P2"))
    for step in Step.objects.filter(figure=desk.figure("P2"), stage__key__in=("carve", "joint")):
        log_work(step=step, user=desk.lead, minutes=16 * HOUR // 2)
    log_work(step=desk.step("P1", "carve"), user=desk.lead, minutes=15)
    desk.wear(desk.pell, "1", "uniform")
    lines = {str(line.figure): line for line in desk.bench().lines}
    assert (lines["P1"].kind, lines["P2"].kind, lines["P2"].hours_min) == (
        "kept",
        "gone",
        16 * HOUR,
    )


def test_one_more_by_a_pin_is_built_and_not_needed(desk: Desk) -> None:
    set_pin(show=desk.show, user=desk.lead, guise=desk.pell, kind="more")
    bench = desk.bench()
    assert (bench.minimum, bench.needed) == (1, 2)
    assert say_bench(bench).startswith("This draft needs one figure, you build 2:")
    desk.accept()
    assert (
        say_bench(desk.bench()) == "This draft is at the bench: it needs one figure, you build 2."
    )
