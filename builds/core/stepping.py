"""From routes and figures to the steps that are wanted, how long each is, what each waits for.

A stage of a route becomes a step for each thing that it is done once for:

* scope guise with a part: once for the pattern (head, hands or body) that guises share, and the
  stage that makes its mould once more for each further mould;
* scope guise without a part: once for each guise that has a wanted figure;
* scope pour: once for each pour that gives a wanted figure its casting, or is poured in case
  another fails;
* scope figure: once for each wanted figure;
* scope costume: once for each costume that a wanted figure wears.

A figure that is made over goes through some stages again: each is then a step of the next round.

A stage that makes no step somewhere (nobody to do it with, no moving eyes, not the first figure of
a costume) is bridged: what waits for it waits for what it would have waited for. A stage that is
done for the first figure of a costume alone is waited for there, by every figure of the costume.
"""

from __future__ import annotations

from builds.core.step_hours import REMOVABLE_PERCENT, hours_of
from builds.core.step_maker import StepMaker
from builds.core.workshop import FIGURE, StepKey, Wait, WantedStep, Workshop

__all__ = ["FIGURE", "REMOVABLE_PERCENT", "hours_of", "step_afters", "want_steps"]


def want_steps(workshop: Workshop) -> tuple[WantedStep, ...]:
    """Every step the wanted figures need, with its minutes and what it waits for.

    In the order of the routes' stages, then of guises and figures. Steps wait only for steps in
    the answer; never in a circle, where guises borrow within their own route. O(steps x afters).
    Raises ValueError where a route waits in a circle or for a stage that it does not have, and
    where a figure's guise is unknown.

    >>> from builds.core.workshop import GUISE, Figure, Guise, RouteStage
    >>> route = (RouteStage("draw", "draw", GUISE, "body", 480),
    ...          RouteStage("carve", "carve", FIGURE, "body", 1680, rate=0.9, afters=("draw",)))
    >>> shop = Workshop({"string": route}, (Guise("old", "string", {"body": "B"}),),
    ...                 (Figure("J1", "old"), Figure("J2", "old")), {"B": "old"})
    >>> for step in want_steps(shop):
    ...     print(step.key.stage, step.key.subject.id, step.minutes,
    ...           [wait.step.stage for wait in step.after])
    draw B 480 []
    carve J1 1680 ['draw']
    carve J2 1515 ['draw']
    """
    _check(workshop)
    maker = StepMaker(workshop)
    return tuple(
        WantedStep(key, maker.minutes(stage, view), maker.waits(stage, view))
        for stage, view, key in maker.made
    )


def step_afters(workshop: Workshop) -> dict[StepKey, tuple[Wait, ...]]:
    """What each wanted step waits for, with the minutes on the clock after each.

    The one place where 'waits for' is resolved across scopes; planning uses this and nothing
    else. A figure's step waits for its guise's and patterns' steps, for the pour of its casting,
    for its own earlier steps; for a costume's stage it waits in each of its costumes. A guise's
    step waits within the guise and its patterns, a costume's step for the same costume.

    >>> from builds.core.workshop import COSTUME, Figure, Guise, RouteStage, Subject, Worn
    >>> route = (RouteStage("sew", "sew", COSTUME, hours_min=60, wait_min=5),
    ...          RouteStage("dress", "dress", afters=("sew",)))
    >>> shop = Workshop({"r": route}, (Guise("g", "r"),),
    ...                 (Figure("J1", "g", (Worn("coat"), Worn("gown"))),))
    >>> dress = StepKey("dress", Subject("figure", "J1"))
    >>> [(w.step.subject.costume, w.wait_min) for w in step_afters(shop)[dress]]
    [('coat', 5), ('gown', 5)]
    """
    _check(workshop)
    maker = StepMaker(workshop)
    return {key: maker.waits(stage, view) for stage, view, key in maker.made}


def _check(workshop: Workshop) -> None:
    """Raise ValueError for what no caller should hand in."""
    for figure in workshop.figures:
        if figure.guise not in workshop.guise_by_id:
            raise ValueError(f"guise {figure.guise!r} of figure {figure.id!r} is unknown")
    for name, route in workshop.routes.items():
        left = {stage.id: set(stage.afters) for stage in route}
        unknown = {after for afters in left.values() for after in afters} - set(left)
        if unknown:
            raise ValueError(f"route {name!r} waits for stages that it does not have: {unknown!r}")
        while left:
            free = [stage for stage, afters in left.items() if not afters & left.keys()]
            if not free:
                raise ValueError(f"route {name!r} waits in a circle: {sorted(map(str, left))}")
            for stage in free:
                del left[stage]
