"""Laws that hold at the optimum of tiny problems, found by trying every order and everybody."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given

from builds.core.planning import Person, Problem
from builds.core.planning.supposing import add_person
from tests.builds.core.planning.oracles import best_score
from tests.builds.core.planning.test_solve import tiny


@given(tiny())
def test_one_more_person_is_never_later_at_the_optimum(problem: Problem) -> None:
    before = best_score(problem)
    assume(before is not None)
    assert before is not None
    twin = problem.people[-1]
    more = add_person(problem, Person("Priya", twin.work, twin.crafts))
    after = best_score(more)
    assert after is not None
    assert after <= before


@given(tiny())
def test_a_longer_step_is_never_earlier_at_the_optimum(problem: Problem) -> None:
    before = best_score(problem)
    first = problem.steps[0]
    longer = replace(problem, steps=(replace(first, minutes=first.minutes + 1), *problem.steps[1:]))
    after = best_score(longer)
    assume(before is not None and after is not None)
    assert before is not None
    assert after is not None
    assert after >= before
