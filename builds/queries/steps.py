"""Reading what steps are made from, the steps there are, and what each of them waits for."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

from django.db.models import Exists, OuterRef, Q, QuerySet

from builds.core import workshop as core
from builds.core.stepping import step_afters
from builds.models import (
    Casting,
    Figure,
    FigureCostume,
    GuisePart,
    Mould,
    Pattern,
    Photo,
    PlannedStep,
    Route,
    Stage,
    StageAfter,
    Step,
    TrackFigure,
    WorkLog,
)
from builds.queries.materials import Materials
from builds.queries.mould_times import by_the_mould
from company import clock
from company.models import Company, Maker
from scenes.models import Guise, Show


def read_workshop(show: Show) -> core.Workshop:
    """The show's routes, guises and figures as the core knows them, ids for ids.

    A spare is built when it was asked for as a spare; one that has played and is no longer
    needed is not. About ten reads, however many figures there are.
    """
    guises = list(Guise.objects.filter(character__show=show).order_by("pk"))
    patterns: dict[int, dict[str, int]] = defaultdict(dict)
    for use in GuisePart.objects.filter(guise__character__show=show):
        patterns[use.guise_id][use.part] = use.pattern_id
    routes = read_routes(show.company)
    made_for = dict(Pattern.objects.filter(show=show).values_list("pk", "made_for_id"))
    more_moulds, mould_of, spare_pours = _read_moulds(show)
    return core.Workshop(
        routes=routes,
        guises=tuple(
            core.Guise(
                guise.pk,
                guise.kind,
                patterns[guise.pk],
                guise.has_working,
                guise.on_one,
                guise.further_min,
            )
            for guise in guises
        ),
        figures=_read_figures(show, {guise.pk: patterns[guise.pk] for guise in guises}),
        made_for=made_for,
        more_moulds=more_moulds,
        mould_of=mould_of,
        spare_pours=spare_pours,
    )


def _read_moulds(
    show: Show,
) -> tuple[dict[int, tuple[int, ...]], dict[int, int], dict[int, tuple[int, ...]]]:
    """Moulds beyond a pattern's first, the pours in those, and pours that no figure waits for."""
    more: dict[int, list[int]] = defaultdict(list)
    mould_of: dict[int, int] = {}
    spare: dict[int, list[int]] = defaultdict(list)
    for_figures = Casting.objects.filter(pour=OuterRef("pours"), figure__isnull=False)
    rows = Mould.objects.filter(pattern__show=show).annotate(has_figure=Exists(for_figures))
    for row in rows.order_by("pattern", "number", "pours").values_list(
        *("pattern_id", "pk", "number", "state", "has_figure"),
        *("pours", "pours__struck_at", "pours__opened_at"),
    ):
        pattern, mould, number, state, has_figure, pour, struck, opened = row
        is_further = number > 1 and state != Mould.State.RETIRED
        if is_further and mould not in more[pattern]:
            more[pattern].append(mould)
        if pour is not None and struck is None and opened is None:
            if is_further:
                mould_of[pour] = mould
            if not has_figure:
                spare[pattern].append(pour)
    return (
        {pattern: tuple(found) for pattern, found in more.items() if found},
        mould_of,
        {pattern: tuple(found) for pattern, found in spare.items()},
    )


def read_routes(company: Company) -> dict[str, tuple[core.RouteStage, ...]]:
    """Every route of the company by kind, its stages in order; struck stages left out."""
    afters: dict[int, list[int]] = defaultdict(list)
    rows = StageAfter.objects.filter(
        stage__route__company=company, stage__struck_at=None, after__struck_at=None
    )
    for row in rows.order_by("pk"):
        afters[row.stage_id].append(row.after_id)
    helpers = _crafts_of_helpers(company)
    routes: dict[str, list[core.RouteStage]] = {
        kind: [] for kind in Route.objects.filter(company=company).values_list("kind", flat=True)
    }
    stages = Stage.objects.filter(route__company=company, struck_at=None).select_related("route")
    for stage in stages.order_by("position", "pk"):
        routes[stage.route.kind].append(_to_stage(stage, afters[stage.pk], helpers))
    return {kind: tuple(stages) for kind, stages in routes.items()}


def _to_stage(stage: Stage, afters: list[int], helpers: set[int]) -> core.RouteStage:
    craft = stage.second_craft_id or stage.craft_id
    return core.RouteStage(
        id=stage.pk,
        key=stage.key,
        scope=stage.scope,
        part=stage.part,
        hours_min=stage.hours_min,
        wait_min=stage.wait_min,
        rate=float(stage.rate),
        afters=tuple(afters),
        hours_by_costume=stage.hours_by_costume,
        first_of_costume=stage.first_of_costume,
        only_with_working=stage.only_with_working,
        left_out=stage.skip_if_alone and craft not in helpers,
        done_to=stage.done_to,
        only_when=stage.only_when,
    )


def _crafts_of_helpers(company: Company) -> set[int]:
    """Crafts that somebody beside the lead has, of those who have not left."""
    today = clock.today(company)
    helpers = Maker.objects.filter(company=company, struck_at=None, is_lead=False)
    helpers = helpers.filter(Q(to_date=None) | Q(to_date__gte=today))
    return set(helpers.filter(crafts__isnull=False).values_list("crafts", flat=True))


def is_built(figures: QuerySet[Figure]) -> QuerySet[Figure]:
    """The figures that are worked on: wanted, or asked for as a spare from the start."""
    has_played = Exists(TrackFigure.objects.filter(figure=OuterRef("pk")))
    return figures.filter(
        Q(state=Figure.State.WANTED) | Q(Q(state=Figure.State.SPARE) & ~has_played)
    )


def _read_figures(show: Show, patterns: dict[int, dict[str, int]]) -> tuple[core.Figure, ...]:
    figures = list(Figure.objects.filter(show=show).order_by("pk"))
    built = set(is_built(Figure.objects.filter(show=show)).values_list("pk", flat=True))
    wears: dict[int, list[core.Worn]] = defaultdict(list)
    rows = FigureCostume.objects.filter(figure__show=show, struck_at=None)
    for row in rows.select_related("costume"):
        worn = core.Worn(row.costume_id, row.costume.sewing_min, not row.is_built_in)
        wears[row.figure_id].append(worn)
    pours: dict[int, dict[int, list[int]]] = defaultdict(lambda: defaultdict(list))
    for casting in Casting.objects.filter(figure__show=show):
        assert casting.figure_id is not None
        pours[casting.figure_id][casting.pattern_id].append(casting.pour_id)
    done, begun = _read_progress(show)
    return tuple(
        core.Figure(
            id=figure.pk,
            guise=figure.guise_id,
            wears=tuple(wears[figure.pk]),
            pours={
                part: tuple(pours[figure.pk][pattern])
                for part, pattern in patterns[figure.guise_id].items()
                if pattern in pours[figure.pk]
            },
            is_wanted=figure.pk in built,
            done=frozenset(done[figure.pk]),
            begun=frozenset(begun[figure.pk]),
            again=figure.again,
            kept=frozenset(figure.kept),
            only=ONLY[figure.extent],
        )
        for figure in figures
    )


ONLY = {
    Figure.Extent.WHOLE: frozenset[str](),
    Figure.Extent.HEAD: frozenset({core.HEAD}),
    Figure.Extent.HEAD_HANDS: frozenset({core.HEAD, core.HANDS}),
}


def _read_progress(show: Show) -> tuple[dict[int, set[str]], dict[int, set[str]]]:
    """Keys of stages finished and under way, by figure; a pour counts for its castings' figures."""
    done: dict[int, set[str]] = defaultdict(set)
    begun: dict[int, set[str]] = defaultdict(set)
    rows = Step.objects.filter(show=show, begun_at__isnull=False).values_list(
        "figure_id", "pour__castings__figure_id", "stage__key", "finished_at"
    )
    for figure, poured, key, finished in rows:
        whose = figure or poured
        if whose is not None:
            (done if finished else begun)[whose].add(key)
    return done, begun


# Steps and their keys


def key_of(step: Step) -> core.StepKey:
    """The step's row as the core knows it."""
    if step.costume_id is not None:
        return core.StepKey(step.stage_id, core.Subject("costume", step.figure_id, step.costume_id))
    if step.figure_id is not None:
        return core.StepKey(step.stage_id, core.Subject("figure", step.figure_id, round=step.round))
    if step.pour_id is not None:
        return core.StepKey(step.stage_id, core.Subject("pour", step.pour_id))
    if step.pattern_id is not None:
        return core.StepKey(step.stage_id, core.Subject("pattern", step.pattern_id))
    if step.mould_id is not None:
        return core.StepKey(step.stage_id, core.Subject("mould", step.mould_id))
    return core.StepKey(step.stage_id, core.Subject("guise", step.guise_id))


def columns_of(key: core.StepKey) -> dict[str, Any]:
    """The columns of a step's row that say what it is."""
    subject = key.subject
    columns: dict[str, Any] = {"stage_id": key.stage}
    if subject.kind == "costume":
        return {**columns, "figure_id": subject.id, "costume_id": subject.costume}
    if subject.kind == "figure":
        columns["round"] = subject.round
    return {**columns, f"{subject.kind}_id": subject.id}


def with_traces(steps: QuerySet[Step]) -> QuerySet[Step]:
    """Each step with whether work or photos are on record, and whether a plan ever named it."""
    return steps.annotate(
        has_work=Exists(WorkLog.objects.filter(step=OuterRef("pk"))),
        has_photos=Exists(Photo.objects.filter(step=OuterRef("pk"))),
        was_planned=Exists(PlannedStep.objects.filter(step=OuterRef("pk"))),
    )


def is_touched(step: Any) -> bool:
    """Whether anybody has left their mark on the step (one read by `with_traces`)."""
    return bool(
        step.begun_at
        or step.own_min is not None
        or step.note
        or step.needs_lead
        or step.needs_lead_words
        or step.pinned_maker_id
        or step.not_before
        or step.has_work
        or step.has_photos
    )


def live_steps(show: Show) -> QuerySet[Step]:
    """Steps that are not struck, with their stage and subject, in the order of the route."""
    return (
        Step.objects.filter(show=show, struck_at=None)
        .select_related(
            "stage__craft",
            "guise__character",
            "pattern",
            "mould__pattern",
            "pour__mould__pattern",
            "figure__guise__character",
            "costume",
        )
        .order_by("stage__position", "pk")
    )


def step_waits(
    show: Show, steps: Iterable[Step] | None = None
) -> dict[int, tuple[tuple[int, int], ...]]:
    """By step id: (id of a step that must be done first, minutes on the clock after it).

    What planning, the bench and the sheets go by: `core.stepping.step_afters` on the show as it
    stands, with rows for keys. `steps` are the show's live steps where the caller has read them.
    """
    rows = list(live_steps(show) if steps is None else steps)
    ids = {key_of(step): step.pk for step in rows}
    waits = {
        ids[key]: tuple((ids[wait.step], wait.wait_min) for wait in found if wait.step in ids)
        for key, found in step_afters(read_workshop(show)).items()
        if key in ids
    }
    return by_the_mould(rows, waits, Materials(show.company))


def shared_parts(route: Iterable[core.RouteStage]) -> list[str]:
    """The parts that stages of a route name, in their order: each has a pattern."""
    return list(dict.fromkeys(filter(None, (_part_of(stage) for stage in route))))


def poured_parts(route: Iterable[core.RouteStage]) -> list[str]:
    """The parts of which each figure takes a casting."""
    return list(dict.fromkeys(_part_of(stage) for stage in route if stage.scope == core.POUR))


def _part_of(stage: core.RouteStage) -> str:
    return stage.part or (core.HEAD if stage.scope == core.POUR else "")
