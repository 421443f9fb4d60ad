"""The work that lines of the bench ask for: the steps there would be if they were taken."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Mapping
from dataclasses import replace

from builds.core import workshop as core
from builds.core.stepping import want_steps
from builds.models import Stage, Step
from builds.queries.bench_lines import AGAIN, GONE, NEW, BenchLine, Taking
from builds.queries.steps import poured_parts, read_workshop
from scenes.models import Costume, Show


def with_hours(show: Show, lines: list[BenchLine]) -> tuple[list[BenchLine], int]:
    """Lines with the work that they ask for, and the work that new guises need beside."""
    asking = [line for line in lines if line.asks and line.kind != GONE]
    if not asking:
        return lines, 0
    shop = read_workshop(show)
    done = set(Step.objects.filter(show=show, finished_at__isnull=False).values_list(*KEY))
    before = {step.key for step in want_steps(shop)}
    after = want_steps(replace(shop, figures=tuple(_as_if(shop, asking))))
    stages = {stage.id: stage for route in shop.routes.values() for stage in route}
    names = dict(Stage.objects.for_company(show.company).values_list("pk", "name"))
    costumes = {costume.pk: costume for line in asking for costume in line.costumes}
    steps: dict[object, list[core.WantedStep]] = defaultdict(list)
    shared_min = 0
    for step in after:
        if (owner := _owner_of(step)) is not None:
            steps[owner].append(step)
        elif step.key not in before:
            shared_min += step.minutes
    found = {}
    for line in asking:
        mine = [step for step in steps[_ident(line)] if _columns(step) not in done]
        found[line.key] = replace(line, hours_min=sum(step.minutes for step in mine))
        if line.kind != NEW:
            again = set(line.use.over.again) if line.use else set()
            to_sew = {costume.pk for costume in line.to_sew}
            takes = tuple(
                Taking(names[step.key.stage], costumes.get(step.key.subject.costume), step.minutes)
                for step in mine
                if step.key.subject.costume in to_sew
                or (step.key.subject.kind == "figure" and stages[step.key.stage].key in again)
                or step.key.subject.kind == "pour"
            )
            redo_min = sum(taking.minutes for taking in takes)
            hours_min = found[line.key].hours_min if line.kind == AGAIN else redo_min
            found[line.key] = replace(line, takes=takes, hours_min=hours_min)
    return [found.get(line.key, line) for line in lines], shared_min


KEY = ("stage_id", "figure_id", "costume_id", "round")


def _columns(step: core.WantedStep) -> tuple[object, ...]:
    """A figure's step as KEY names it."""
    subject = step.key.subject
    return step.key.stage, subject.id, subject.costume, subject.round


def _ident(line: BenchLine) -> object:
    """What the line's figure is called in a workshop as if."""
    return line.key if line.figure is None else line.figure.pk


def _owner_of(step: core.WantedStep) -> object:
    """The figure that a step is for, None for what is shared; a pour as if names its line."""
    subject = step.key.subject
    if subject.kind in ("figure", "costume"):
        return subject.id
    if subject.kind == "pour" and isinstance(subject.id, tuple):
        return subject.id[2]
    return None


def _as_if(shop: core.Workshop, asking: list[BenchLine]) -> list[core.Figure]:
    """The figures as they would be with these lines taken, each with the castings it will take."""
    known = {figure.id: figure for figure in shop.figures}
    for line in asking:
        wears = tuple(
            core.Worn(costume.pk, costume.sewing_min, number > 0)
            for number, costume in enumerate(_built_in_first(line, known))
        )
        there = known.get(_ident(line)) or core.Figure(_ident(line), line.guise.pk)
        pours = dict(there.pours)
        lacking = line.figure is None or core.HEAD in line.what
        for part in poured_parts(shop.routes.get(line.guise.kind, ())) if lacking else ():
            pours[part] = ((part, line.key, _ident(line)),)
        known[_ident(line)] = replace(
            there,
            guise=line.guise.pk,
            wears=wears,
            pours=pours,
            is_wanted=True,
            again=_again_of(line, there),
        )
    return list(known.values())


def _built_in_first(line: BenchLine, known: Mapping[Hashable, core.Figure]) -> tuple[Costume, ...]:
    """What it will wear, that first which stays built in."""
    there = known.get(_ident(line))
    own = [worn.costume for worn in there.wears if not worn.is_removable] if there else []
    return tuple(sorted(line.costumes, key=lambda costume: costume.pk not in own))


def _again_of(line: BenchLine, there: core.Figure) -> dict[str, int]:
    again = Counter(there.again)
    if line.use is not None:
        again.subtract(line.use.cancelled or ())
        again.update(line.use.over.again)
    return dict(again)
