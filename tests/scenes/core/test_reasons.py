"""Why it takes so many: the words, and what they point at."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given

from scenes.core.counting import Reason, count_figures, count_guise
from scenes.core.plot import Appearance, ChangeRule, Plot
from tests.scenes.core.stories import JORY, change, make_scenes, name_all, wear
from tests.scenes.core.strategies import plots

SCENES = make_scenes(4, 4, 4, 4, gap_min=1)


def explain(
    *worn: Appearance, rules: tuple[ChangeRule, ...] = (), plot: Plot | None = None
) -> tuple[Reason, str]:
    plot = replace(plot or Plot(SCENES), appearances=worn, rules=rules)
    reason = count_guise(plot, JORY).reason
    return reason, reason.words(name_all(plot))


def test_nothing_worn() -> None:
    reason, words = explain()
    assert (reason.kind, reason.figures, words) == ("none", 0, "not in any scene yet")


def test_one_figure() -> None:
    reason, words = explain(wear("a", "coat", 1), wear("b", "coat", 3))
    assert (reason.kind, words) == ("one", "one figure plays all of it")


def test_costumes_without_a_change() -> None:
    reason, words = explain(wear("a", "coat", 1), wear("b", "gown", 2), wear("c", "cape", 3))
    assert words == "three costumes, no change possible: 3"
    assert reason.kind == "costumes"
    assert set(reason.costumes) == {f"{JORY}: {c}" for c in ("coat", "gown", "cape")}


def test_both_in_a_scene_at_once() -> None:
    reason, words = explain(wear("a", "coat", 2), wear("b", "coat", 2, 1, 3), wear("c", "coat", 3))
    assert words == "both in scene 2 at once"
    assert (reason.kind, reason.appearances, reason.scenes) == ("at_once", ("a", "b"), (2,))


def test_copies_at_once() -> None:
    _, words = explain(wear("a", "coat", 2, copies=4))
    assert words == "four in scene 2 at once"


def test_one_lingers_while_the_next_is_set() -> None:
    reason, words = explain(wear("a", "coat", 1, leaves_min=5), wear("b", "coat", 2, -0.5))
    assert words == "both on at once between scene 1 and scene 2"
    assert reason.scenes == (1, 2)


def test_no_time_to_cross() -> None:
    reason, words = explain(
        wear("a", "coat", 2, places=("left", "left")),
        wear("b", "coat", 3, places=("right", "")),
        plot=Plot(SCENES, crossing_s=90),
    )
    assert words == "no time to cross between scene 2 and scene 3"
    assert (reason.kind, reason.appearances) == ("too_tight", ("a", "b"))
    tight = reason.parts[0].tight[0]
    assert (tight.block, tight.gap_s, tight.need_s) == ("cross", 60, 90)


def test_no_time_to_reset() -> None:
    _, words = explain(wear("a", "coat", 1), wear("b", "coat", 2), plot=Plot(SCENES, reset_s=61))
    assert words == "no time to reset between scene 1 and scene 2"


def test_no_time_to_change() -> None:
    _, words = explain(
        wear("a", "coat", 1), wear("b", "gown", 2), rules=(change("coat", "gown", 2),)
    )
    assert words == "no time to change from coat to gown between scene 1 and scene 2"


def test_no_time_to_change_and_cross_blames_the_crossing_where_the_change_alone_fits() -> None:
    _, words = explain(
        wear("a", "coat", 1, places=("", "left")),
        wear("b", "gown", 2, places=("right", "")),
        rules=(change("coat", "gown", 0.75),),
        plot=Plot(SCENES, crossing_s=30),
    )
    assert words == "no time to cross between scene 1 and scene 2"


def test_a_change_the_wrong_way() -> None:
    _, words = explain(
        wear("a", "coat", 1), wear("b", "gown", 3), rules=(change("gown", "coat", 1),)
    )
    assert words == "no change from coat to gown possible"


def test_within_one_scene() -> None:
    _, words = explain(
        wear("a", "coat", 1, 0, 1), wear("b", "coat", 1, 1.25, 2), plot=Plot(SCENES, reset_s=30)
    )
    assert words == "no time to reset within scene 1"


def test_a_costume_apart_and_one_doubled() -> None:
    reason, words = explain(wear("a", "coat", 1), wear("b", "coat", 1), wear("c", "gown", 2))
    assert words == "two costumes, no change possible; coat: both in scene 1 at once: 3"
    assert reason.kind == "mixed"


def test_costumes_that_change_among_themselves_are_named_together() -> None:
    _, words = explain(
        wear("a", "coat", 1),
        wear("b", "smock", 2),
        wear("c", "gown", 3),
        rules=(change("coat", "smock", 1),),
    )
    assert words == "no change possible between coat or smock and gown: 2"


def test_a_rig_that_does_not_play_plain() -> None:
    reason, words = explain(wear("a", "coat", 1), wear("b", "coat", 2, rig="flying"))
    assert (reason.kind, words) == ("rigs", "plain and flying on figures of their own: 2")


def test_an_undecided_costume_is_called_so() -> None:
    _, words = explain(wear("a", "coat", 1), wear("b", None, 2), wear("c", None, 2))
    assert words == "two costumes, no change possible; undecided: both in scene 2 at once: 3"


def test_where_no_set_of_appearances_shows_it_the_words_say_only_what_is_so() -> None:
    """The five-node hourglass again: three figures, yet four of them cannot follow each other."""
    reason, words = explain(
        wear("0", "coat", 1),
        wear("1", "cape", 1),
        wear("2", "smock", 2),
        wear("3", "gown", 3),
        wear("4", "apron", 3),
        rules=(
            change("coat", "smock", 1),
            change("cape", "smock", 1),
            change("smock", "gown", 1),
            change("smock", "apron", 1),
        ),
    )
    assert reason.kind == "shared"
    assert words == "5 appearances follow each other so closely that they take three figures"


@given(plot=plots(most_appearances=12, most_copies=3, guises=("Jory", "Heron")))
def test_a_reason_is_never_empty_and_adds_up(plot: Plot) -> None:
    for counted in count_figures(plot).guises:
        assert counted.reason.words()
        assert counted.reason.figures == counted.figures
        assert sum(part.figures for part in counted.reason.parts) == counted.figures
        assert (counted.reason.kind == "none") is (counted.figures == 0)
        assert (counted.reason.kind == "one") is (counted.figures == 1)
        for part in counted.reason.parts:
            assert (part.cause == "too_tight") is bool(part.tight)
