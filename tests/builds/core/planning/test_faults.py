"""Each fault of a problem has its sentence, all at once, naming who or what."""

from __future__ import annotations

from dataclasses import replace

import pytest

from builds.core.planning import (
    ANYBODY,
    Begun,
    Equipment,
    Figure,
    Fixed,
    Hold,
    Person,
    Problem,
    Step,
    solve,
)

INES = Person("Ines", ((0, 240), (1440, 1680)), frozenset({"carve"}), is_lead=True)
SEW = Step("sew", 60, craft="sew", words="Cut and sew, J4")
CARVE = Step("carve", 60, craft="carve")


def company(*steps: Step, **changes: object) -> Problem:
    problem = Problem(steps, (INES,), (Equipment("frame"),), (Figure("J4"),), 0, 2880)
    return replace(problem, **changes)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("problem", "said"),
    [
        (
            company(SEW),
            "Nobody may do this: it needs somebody with the craft 'sew'. "
            "It is needed for: Cut and sew, J4.",
        ),
        (
            company(SEW, replace(SEW, id="again")),
            "Nobody may do this: it needs somebody with the craft 'sew'. "
            "2 steps need it, the first is: Cut and sew, J4.",
        ),
        (company(CARVE, people=()), "There are no people to do the work. It is needed for: carve."),
        (
            company(CARVE, people=(replace(INES, work=()),)),
            "Ines has no hours left, and nobody else may do this. It is needed for: carve.",
        ),
        (
            company(replace(CARVE, lead_only=True), people=(replace(INES, is_lead=False),)),
            "Nobody may do this: it needs the lead with the craft 'carve'. "
            "It is needed for: carve.",
        ),
        (
            company(replace(CARVE, second=ANYBODY)),
            "There is no second person: it needs anybody else. It is needed for: carve.",
        ),
        (
            company(replace(CARVE, minutes=300, one_go=True)),
            "This takes 300 minutes in one go, but the longest stretch of Ines is 240 minutes. "
            "It is needed for: carve.",
        ),
        (
            company(replace(CARVE, minutes=500)),
            "This takes 500 minutes, but Ines has only 480 minutes left. It is needed for: carve.",
        ),
        (
            company(replace(CARVE, minutes=300), now=1000),
            "This takes 300 minutes, but Ines has only 240 minutes left. It is needed for: carve.",
        ),
        (
            company(
                replace(CARVE, after=(("b", 0),)), replace(CARVE, id="b", after=(("carve", 60),))
            ),
            "Steps wait for each other in a ring: carve waits for b waits for carve",
        ),
        (company(CARVE, CARVE), "There are 2 entries for the step 'carve': each may stand once."),
        (
            company(replace(CARVE, after=(("glue", 0),))),
            "carve waits for 'glue', which is not among the steps.",
        ),
        (
            company(replace(CARVE, who=("Odile",))),
            "carve names Odile, who is not among the people.",
        ),
        (
            company(replace(CARVE, holds=(Hold("booth"),))),
            "carve holds 'booth', which is not among the equipment.",
        ),
        (
            company(replace(CARVE, figure="J9")),
            "carve belongs to figure 'J9', which is not among the figures.",
        ),
        (company(replace(CARVE, minutes=0)), "carve takes 0 minutes: it must be 1 or more."),
        (
            company(replace(CARVE, after=(("carve", -5),))),
            "carve waits -5 minutes after carve: it must not be negative.",
        ),
        (
            company(replace(CARVE, holds=(Hold("frame", amount=2),))),
            "carve needs 2 of frame, of which there are 1.",
        ),
        (
            company(replace(CARVE, holds=(Hold("frame", -1),))),
            "carve holds frame with a negative number.",
        ),
        (
            company(replace(CARVE, fixed=Fixed("Ines", 9, 3))),
            "carve is fixed to finish before it starts.",
        ),
        (
            company(replace(CARVE, begun=Begun("Ines", 50))),
            "carve cannot have been begun in the future or by nobody.",
        ),
        (
            company(replace(CARVE, begun=Begun("Ines", 0), fixed=Fixed("Ines", 0, 60))),
            "carve cannot be both fixed and still under way.",
        ),
        (
            company(replace(CARVE, begun=Begun("Ines", 0), minutes=500)),
            "carve is under way, but Ines has no hours left for the 500 minutes that remain.",
        ),
        (
            company(CARVE, equipment=(Equipment("frame", 0),)),
            "frame has a capacity of 0: it must be 1 or more.",
        ),
        (
            company(CARVE, figures=(Figure("J4", weight=-1),)),
            "Figure J4 has a weight of -1: it must not be negative.",
        ),
        (
            company(CARVE, people=(replace(INES, work=((5, 5),)),)),
            "Ines has hours from 5 to 5 that end before they begin.",
        ),
        (
            company(CARVE, people=(replace(INES, craft_work={"carve": ((9, 20), (0, 10))}),)),
            "Ines has hours for carve that overlap or are unsorted at minute 0.",
        ),
        (
            company(CARVE, now=3000),
            "Hours are known until minute 2880, but it is already minute 3000: nothing can be "
            "planned.",
        ),
        (
            company(CARVE, now=-5),
            "It is minute -5 of the calendar: choose an epoch that lies in the past.",
        ),
        (
            company(
                replace(CARVE, part_of="long", who=("Ines",)),
                replace(CARVE, id="b", part_of="long", who=("Tomas",)),
                people=(INES, replace(INES, id="Tomas")),
            ),
            "Its parts must all be done by one person, and nobody may do them all. "
            "It is needed for: carve.",
        ),
    ],
)
def test_fault_has_its_sentence(problem: Problem, said: str) -> None:
    plan = solve(problem, work=5, seed=1)
    assert said in plan.reasons
    assert (plan.status, plan.steps, plan.ready) == ("none", (), None)


def test_all_faults_at_once() -> None:
    problem = company(
        replace(CARVE, minutes=-1, after=(("glue", 0),)), replace(CARVE, id="b", who=("Odile",))
    )
    assert len(problem.problems()) == 3


def test_too_little_time_for_all_of_it_names_a_step() -> None:
    problem = company(*(replace(CARVE, id=f"S{k}", minutes=200) for k in range(3)))
    plan = solve(problem, work=5, seed=1)
    assert plan.status == "none"
    assert plan.reasons[0].startswith("There are not enough hours: S")
