"""Random plots for hypothesis: small and cramped, so that every clause of the rule matters."""

from __future__ import annotations

from hypothesis import strategies as st

from scenes.core.plot import Appearance, ChangeRule, Plot, Scene

COSTUMES = ("coat", "smock", "gown")
PLACES = ("", "left", "right")


@st.composite
def plots(
    draw: st.DrawFn,
    *,
    most_appearances: int = 6,
    guises: tuple[str, ...] = ("Jory",),
    most_copies: int = 2,
    longest_scene_s: int = 6,
    most_scenes: int = 4,
    has_rules: bool = True,
    has_rigs: bool = True,
) -> Plot:
    """A sound plot. Costumes of different guises have different ids."""
    scenes = tuple(
        Scene(
            f"s{n}",
            str(n),
            length_s=draw(st.integers(2, longest_scene_s)),
            gap_s=draw(st.sampled_from((0, 0, 1, 2))),
        )
        for n in range(1, draw(st.integers(1, most_scenes)) + 1)
    )
    appearances = tuple(
        draw(_appearances(f"a{n}", scenes, guises, most_copies, has_rigs))
        for n in range(draw(st.integers(0, most_appearances)))
    )
    pairs = [
        (guise, one, two)
        for guise in guises for one in COSTUMES for two in COSTUMES
        if one != two and has_rules
    ]  # fmt: skip
    rules = tuple(
        ChangeRule(guise, (guise, one), (guise, two), draw(st.integers(0, 3)))
        for guise, one, two in draw(st.lists(st.sampled_from(pairs), unique=True) if pairs
                                    else st.just([]))
    )  # fmt: skip
    return Plot(
        scenes,
        appearances,
        rules,
        crossing_s=draw(st.sampled_from((0, 1, 2))),
        reset_s=draw(st.sampled_from((0, 1, 2))),
        guises=guises,
        plain_rigs=draw(
            st.sampled_from(
                (frozenset[tuple[str, str]](), frozenset((guise, "flying") for guise in guises))
            )
        ),
        walks=draw(st.sampled_from(({}, {("left", "right"): 3}))),
    )


@st.composite
def _appearances(
    draw: st.DrawFn,
    key: str,
    scenes: tuple[Scene, ...],
    guises: tuple[str, ...],
    most_copies: int,
    has_rigs: bool,
) -> Appearance:
    scene = draw(st.sampled_from(scenes))
    guise = draw(st.sampled_from(guises))
    costume = draw(st.sampled_from((*COSTUMES, None)))
    enters_s = draw(st.one_of(st.none(), st.integers(-1, scene.length_s - 1)))
    earliest = (enters_s or 0) + 1
    leaves_s = draw(st.one_of(st.none(), st.integers(earliest, scene.length_s + scene.gap_s)))
    return Appearance(
        key,
        guise,
        None if costume is None else (guise, costume),
        scene.key,
        enters_s,
        leaves_s,
        rig=draw(st.sampled_from(("", "", "flying", "fight"))) if has_rigs else "",
        from_place=draw(st.sampled_from(PLACES)),
        to_place=draw(st.sampled_from(PLACES)),
        copies=draw(st.integers(1, most_copies)),
    )
