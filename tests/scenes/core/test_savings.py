"""What would save a figure, against every single edit tried out second by second."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from hypothesis import given

from scenes.core.counting import count_figures, count_guise
from scenes.core.plot import Appearance, ChangeRule, Plot, within_scene
from scenes.core.savings import Edit, Saving, apply_edit, find_savings
from tests.scenes.core.stories import JORY, change, make_scenes, name_all, wear
from tests.scenes.core.strategies import COSTUMES, plots

SCENES = make_scenes(4, 4, 4, gap_min=1)
some_plots = plots(most_appearances=6, most_copies=2)


def find(plot: Plot, *matters: object) -> tuple[Saving, ...]:
    return find_savings(plot, {"Jory": 100}, matters, least_change_s=1, least_on_s=1)


def all_edits(plot: Plot) -> Iterator[tuple[str, object, int | None, Plot]]:
    """Every single edit with its kind, its appearance, and how far a time moves."""
    scenes = {scene.key: scene for scene in plot.scenes}
    worn = {c for c in (*(a.costume for a in plot.appearances),
                        *(r.from_costume for r in plot.rules),
                        *(r.to_costume for r in plot.rules)) if c}  # fmt: skip
    places = {p for a in plot.appearances for p in (a.from_place, a.to_place)}
    places |= {p for pair in plot.walks for p in pair}
    places -= {""}
    if len(places) < 2:
        places |= {"left", "right"}

    def put(old: Appearance, new: Appearance) -> Plot:
        return replace(plot, appearances=tuple(new if a == old else a for a in plot.appearances))

    for a in plot.appearances:
        enters_s, leaves_s = within_scene(a, scenes[a.scene])
        yield "cut", a.key, None, replace(
            plot, appearances=tuple(b for b in plot.appearances if b != a)
        )  # fmt: skip
        for costume in worn - {a.costume}:
            yield "costume", a.key, None, put(a, replace(a, costume=costume))
        if a.from_place:
            for place in places - {a.from_place}:
                yield "place", a.key, None, put(a, replace(a, from_place=place))
        last_s = min(leaves_s, scenes[a.scene].length_s)
        for at_s in range(max(enters_s + 1, 0), last_s):
            yield "enter_later", a.key, at_s - enters_s, put(a, replace(a, enters_s=at_s))
        for at_s in range(max(enters_s + 1, 1), leaves_s):
            yield "leave_earlier", a.key, leaves_s - at_s, put(a, replace(a, leaves_s=at_s))
    ruled = {(r.from_costume, r.to_costume) for r in plot.rules}
    for one in COSTUMES:
        for two in COSTUMES:
            pair = (("Jory", one), ("Jory", two))
            if one != two and pair not in ruled:
                for change_s in range(1, 40):
                    rule = ChangeRule("Jory", *pair, change_s)
                    yield "change", pair, change_s, replace(plot, rules=(*plot.rules, rule))


def name_of(edit: Edit) -> object:
    return edit.key if edit.rule is None else (edit.rule.from_costume, edit.rule.to_costume)


@given(plot=some_plots)
def test_all_edits_that_save_are_found_and_no_other(plot: Plot) -> None:
    figures = count_guise(plot, "Jory").figures
    tried: dict[tuple[str, object], list[tuple[int, int]]] = {}
    for kind, name, amount, edited in all_edits(plot):
        saved = figures - count_guise(edited, "Jory").figures
        if saved > 0:
            tried.setdefault((kind, name), []).append((amount or 0, saved))
    found: dict[tuple[str, object], list[tuple[int, int]]] = {}
    for saving in find(plot):
        edit = saving.edit
        amount = edit.rule.change_s if edit.rule else edit.seconds
        found.setdefault((edit.kind, name_of(edit)), []).append((amount, saving.figures))
    assert found.keys() == tried.keys()
    for key, listed in found.items():
        amounts = tried[key]
        if key[0] in ("enter_later", "leave_earlier"):  # the least move that saves so many
            most = 0
            for amount, saved in sorted(listed):
                assert amount == min(a for a, s in amounts if s > most)
                most = saved
            assert most == max(s for _, s in amounts)
        elif key[0] == "change":  # the longest time that saves so many
            for amount, saved in listed:
                assert amount == max(a for a, s in amounts if s >= saved)
            assert max(s for _, s in listed) == max(s for _, s in amounts)
        else:
            assert sorted(s for _, s in listed) == sorted(s for _, s in amounts)


@given(plot=plots(most_appearances=12, most_copies=2, guises=("Jory", "Heron")))
def test_every_saving_is_what_a_new_count_gives(plot: Plot) -> None:
    figures = count_figures(plot).figures
    savings = find_savings(plot, {"Jory": 100, "Heron": 70}, least_change_s=1, least_on_s=1)
    for saving in savings:
        assert count_figures(apply_edit(plot, saving.edit)).figures == figures - saving.figures
        minutes = {"Jory": 100, "Heron": 70}[str(saving.edit.guise)]
        assert saving.minutes == saving.figures * minutes
    assert [s.minutes for s in savings] == sorted((s.minutes for s in savings), reverse=True)


@given(plot=plots(most_appearances=8))
def test_a_costume_that_matters_is_never_proposed(plot: Plot) -> None:
    coat = ("Jory", "coat")
    wearing = {a.key for a in plot.appearances if a.costume == coat}
    kept = find(plot, coat)
    for saving in kept:
        edit = saving.edit
        assert edit.costume != coat
        if edit.rule is not None:
            assert coat not in (edit.rule.from_costume, edit.rule.to_costume)
        if edit.kind in ("cut", "costume"):
            assert edit.key not in wearing
    assert set(kept) <= set(find(plot))


def words(plot: Plot, **said: int) -> list[str]:
    return [s.edit.words(name_all(plot)) for s in find_savings(plot, {JORY: 60}, **said)]


def test_an_entrance_twenty_seconds_later_saves_a_figure() -> None:
    scenes = make_scenes(4, 4, gap_min=0.25)
    worn = (
        wear("1", "coat", 1, places=("left", "left")),
        wear("2", "coat", 2, places=("right", "right")),
    )
    plot = Plot(scenes, worn, crossing_s=20, reset_s=15)
    assert words(plot)[:3] == [
        "Jory at thirty enters scene 2 0:20 later",
        "Jory at thirty leaves scene 1 0:20 earlier",
        "Jory at thirty enters scene 2 from left",
    ]


def test_a_change_is_proposed_with_the_longest_time_it_may_take() -> None:
    worn = (wear("1", "coat", 1), wear("2", "gown", 2), wear("3", "gown", 3))
    plot = Plot(SCENES, worn, reset_s=15)
    assert not any("changes" in said for said in words(plot))  # under a minute is not thought of
    assert words(plot, least_change_s=30)[0] == (
        "Jory at thirty changes from coat to gown within 0:45"
    )


def test_a_change_that_the_gap_has_no_time_for_is_not_proposed() -> None:
    plot = Plot(SCENES, (wear("1", "coat", 1), wear("2", "gown", 2)), reset_s=15)
    assert not any("changes" in said for said in words(plot))
    assert words(plot) == [
        "Jory at thirty wears the gown in scene 1",
        "Jory at thirty wears the coat in scene 2",
        "Jory at thirty is cut from scene 1",
        "Jory at thirty is cut from scene 2",
    ]


def test_nothing_saves_where_one_figure_plays_all_but_cutting_the_only_entry() -> None:
    assert words(Plot(SCENES, (wear("1", "coat", 1), wear("2", "coat", 2)))) == []
    plot = Plot(SCENES, (wear("1", "coat", 1),), (change("coat", "gown", 1),))
    assert words(plot) == ["Jory at thirty is cut from scene 1"]
