"""What making a figure over undoes and costs: worked by hand, and as laws."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from builds.core.make_over import State, Wanted, build_min, make_over, stages_again
from builds.core.route_defaults import DEFAULT_ROUTES
from builds.core.routes import route_stage
from builds.core.workshop import FIGURE, GUISE, MADE_OVER, POUR, Guise, Worn

HOUR = 60
STRING = tuple(route_stage(stage) for stage in DEFAULT_ROUTES["string"])
ROD = tuple(route_stage(stage) for stage in DEFAULT_ROUTES["rod"])
OLD, YOUNG = Guise("old", "string"), Guise("young", "string")
OF_FIGURE = tuple(
    stage.key for stage in STRING if stage.scope in (FIGURE, POUR) and not stage.only_when
)
COAT, GOWN = Worn("coat", 25 * HOUR), Worn("gown", 40 * HOUR)


def ready(guise: Guise = OLD) -> State:
    """A figure that is ready to play in the coat, as long as planned."""
    hours = {stage.key: stage.hours_min for stage in STRING if stage.key in OF_FIGURE}
    return State(
        guise.id,
        "coat",
        done=frozenset(OF_FIGURE),
        sewn=frozenset({"coat"}),
        spent={**hours, ("sew", "coat"): 25 * HOUR, ("pattern", "coat"): 2 * HOUR},
    )


# The job's own rules for a string figure (common practice, no source)


def test_another_costume_is_unstring_1_sew_restring_4_true_2() -> None:
    over = make_over(STRING, ready(), Wanted(OLD, (GOWN,)), patterned={"gown"})
    assert over is not None
    assert over.again == ("unstring", "string", "true")
    assert over.to_come_min == (1 + 40 + 4 + 2) * HOUR
    # The coat, its pattern, and the stringing and truing that were done are undone.
    assert over.lost_min == (25 + 2 + 4 + 2) * HOUR


def test_the_same_costume_is_nothing() -> None:
    over = make_over(STRING, ready(), Wanted(OLD, (COAT,)))
    assert over is not None
    assert (over.what, over.again, over.price_min) == (frozenset(), (), 0)


def test_one_costume_more_is_its_sewing_alone() -> None:
    more = Worn("gown", 40 * HOUR, is_removable=True)
    over = make_over(STRING, ready(), Wanted(OLD, (COAT, more)), patterned={"gown"})
    assert over is not None
    assert (over.again, over.to_come_min, over.lost_min) == ((), 56 * HOUR, 0)


def test_another_guise_on_a_borrowed_body_is_head_paint_and_wig() -> None:
    over = make_over(STRING, ready(), Wanted(YOUNG, (COAT,)), shared={"body", "hands"})
    assert over is not None
    assert over.what == {"head"}
    assert over.again == ("trim", "neck-block", "paint", "eyes", "wig")
    # Trim 2, neck 1, paint 7, eyes 0.75, wig 6, and a casting of the new head 1.
    assert over.to_come_min == int(17.75 * HOUR)


def test_another_posture_is_a_new_body_under_the_old_head() -> None:
    over = make_over(STRING, ready(), Wanted(YOUNG, (COAT,)), shared={"head", "hands"})
    assert over is not None
    assert over.what == {"body"}
    assert {"saw-blanks", "carve", "shoes", "joint", "trial-hang"} <= set(over.again)
    assert not {"trim", "paint", "wig", "control"} & set(over.again)


def test_a_guise_with_nothing_in_common_is_as_good_as_new() -> None:
    assert make_over(STRING, ready(), Wanted(YOUNG, (COAT,)), shared={"hands"}) is None


def test_a_rod_figure_is_dressed_and_balanced_again_and_has_no_strings() -> None:
    assert stages_again(ROD, {"dress", "true", "bag"}, {"costume"}) == ("dress", "true")


def test_a_begun_making_over_counts_what_is_left_of_it() -> None:
    state = replace(
        ready(), done=ready().done - {"string", "true"}, asked_again=frozenset({"unstring"})
    )
    state = replace(state, spent={k: m for k, m in state.spent.items() if k in state.done})
    over = make_over(STRING, replace(state, sewn=frozenset({"coat"})), Wanted(OLD, (COAT,)))
    assert over is not None
    assert over.to_come_min == (1 + 4 + 2) * HOUR


def test_several_on_one_control_have_their_own_hours() -> None:
    crowd = replace(OLD, on_one=5, further_min=3 * HOUR)
    alone = build_min(STRING, Wanted(OLD, (COAT,)))
    assert build_min(STRING, Wanted(crowd, (COAT,))) == alone + 4 * 3 * HOUR


# Laws

KEYS = st.frozensets(st.sampled_from(OF_FIGURE))


@given(KEYS, st.frozensets(st.sampled_from(["costume", "head", "body"])))
def test_only_what_was_touched_is_done_again(touched: frozenset[str], what: frozenset[str]) -> None:
    extra = {stage.key for stage in STRING if stage.only_when == MADE_OVER}
    again = set(stages_again(STRING, touched, what))
    assert again - extra <= touched
    assert not (what == frozenset() and again)


@given(KEYS)
def test_work_left_and_work_done_make_up_a_new_figure(done: frozenset[str]) -> None:
    wanted = Wanted(OLD, (COAT,))
    over = make_over(STRING, State("old", done=done), wanted)
    assert over is not None
    hours = sum(s.hours_min for s in STRING if s.key in done)
    assert over.to_come_min + hours == build_min(STRING, wanted)


@given(KEYS, st.sampled_from([{"head"}, {"body"}, {"head", "body", "hands"}]))
def test_a_figure_made_over_never_asks_for_more_than_a_new_one_and_the_unstringing(
    done: frozenset[str], shared: set[str]
) -> None:
    wanted = Wanted(YOUNG, (GOWN,))
    over = make_over(STRING, State("old", "coat", done=done), wanted, shared=shared)
    assert over is not None
    assert over.to_come_min <= build_min(STRING, wanted) + HOUR


@given(KEYS)
def test_steps_of_the_guise_are_no_part_of_the_price(done: frozenset[str]) -> None:
    bare = tuple(stage for stage in STRING if stage.scope != GUISE)
    wanted = Wanted(OLD, (COAT,))
    one = make_over(bare, State("old", done=done), wanted)
    assert one == make_over(STRING, State("old", done=done), wanted)


def test_a_track_without_a_costume_leaves_the_figure_dressed() -> None:
    over = make_over(STRING, ready(), Wanted(OLD))
    assert over is not None
    assert (over.what, over.again, over.price_min) == (frozenset(), (), 0)
