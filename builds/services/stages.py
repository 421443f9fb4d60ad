"""Editing a route: its stages, what they wait for, their order and their words.

Every edit makes the steps of the company's shows again: hours reach only steps that nobody has
touched, and a step no longer wanted is struck where it was touched.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from copy import copy
from typing import Any

from django.core.exceptions import ValidationError
from django.db import transaction
from django.db.models import F, Max
from django.utils.text import slugify

from builds.core.route_defaults import DEFAULT_ROUTES
from builds.core.routes import find_circle, say_circle
from builds.models import Route, Stage, StageAfter
from builds.models.routes import Second
from builds.services.steps import remake_company_steps
from company import clock
from company.core.names import name_key, tidy_name
from company.models import User
from company.services.changes import claim_version, record_change, snapshot

WORDS = ("tools", "looks_right", "leave_alone", "ask_if", "cautions")
EDITABLE = (
    *("name", "strand", "scope", "part", "craft", "hours_min", "each_min", "wait_min", "rate"),
    *("lead_only", "second", "second_craft", "skip_if_alone", "gate", "in_one_go"),
    *("needs_saw_training", "closed_to_latex_allergy", "closed_to_under_18", "equipment"),
    *("holds_mould", "hours_by_costume", "first_of_costume", "only_with_working", "mark"),
    *("done_to", "only_when"),
    *WORDS,
)


@transaction.atomic
def edit_route(*, route: Route, user: User | None, version: int | None, name: str) -> Route:
    """Rename a route."""
    before = snapshot(route)
    name = tidy_name(name)
    if not name:
        raise ValidationError({"name": ["Give the route a name."]})
    claim_version(route, version)
    route.name = name
    route.save(update_fields=["name"])
    record_change(
        company=route.company,
        user=user,
        noun="route",
        row=route.pk,
        before=before,
        after=snapshot(route),
    )
    return route


@transaction.atomic
def edit_stage(
    *,
    stage: Stage,
    user: User | None,
    version: int | None,
    values: Mapping[str, Any],
    after: Iterable[Stage] | None = None,
) -> Stage:
    """Change columns of a stage (those in EDITABLE) and, where given, what it waits for.

    ValidationError by field with all that is wrong; StaleEdit where somebody was quicker.
    """
    before = _told(stage)
    waits = None if after is None else list(after)
    problems = stage_problems(stage, values, waits)
    if problems:
        raise ValidationError(problems)
    _take(stage, values)
    claim_version(stage, version)
    stage.save()
    if waits is not None:
        _set_waits(stage, waits)
    _written(stage, user, before)
    return stage


@transaction.atomic
def add_stage(
    *,
    route: Route,
    user: User | None,
    values: Mapping[str, Any],
    after: Iterable[Stage] = (),
) -> Stage:
    """Add a stage behind the last of those it waits for; at the end where it waits for none."""
    waits = list(after)
    stage = Stage(route=route, key=_free_key(route, str(values.get("name", ""))))
    problems = stage_problems(stage, values, waits)
    if problems:
        raise ValidationError(problems)
    _take(stage, values)
    stages = Stage.objects.filter(route=route)
    last = max((w.position for w in waits), default=None)
    if last is None:
        last = stages.aggregate(last=Max("position"))["last"]
    stage.position = 0 if last is None else last + 1
    stages.filter(position__gte=stage.position).update(position=F("position") + 1)
    stage.save()
    _set_waits(stage, waits)
    _written(stage, user, None)
    return stage


@transaction.atomic
def strike_stage(*, stage: Stage, user: User | None, version: int | None = None) -> Stage:
    """Strike a stage: what waited for it now waits for what it waited for, so no chain breaks."""
    before = _told(stage)
    claim_version(stage, version)
    stage.struck_at = clock.now()
    stage.save(update_fields=["struck_at"])
    ahead = [link.after_id for link in stage.afters.all()]
    behind = list(stage.befores.values_list("stage_id", flat=True))
    StageAfter.objects.bulk_create(
        (StageAfter(stage_id=b, after_id=a) for b in behind for a in ahead if a != b),
        ignore_conflicts=True,
    )
    stage.befores.all().delete()
    _written(stage, user, before | {"waited_for_it": behind})
    return stage


@transaction.atomic
def take_back_stage(*, stage: Stage, user: User | None) -> Stage:
    """Take a struck stage back in, with what it waits for; say again what waits for it."""
    before = _told(stage)
    stage.struck_at = None
    stage.save(update_fields=["struck_at"])
    claim_version(stage, None)
    stage.afters.filter(after__struck_at__isnull=False).delete()
    circle = find_circle(_afters_of(stage.route))
    if circle:
        raise ValidationError(say_circle(circle, _names_of(stage.route)))
    _written(stage, user, before)
    return stage


@transaction.atomic
def move_stage(*, stage: Stage, user: User | None, is_up: bool) -> Stage:
    """Move a stage one place up or down among those not struck."""
    stages = list(Stage.objects.filter(route=stage.route, struck_at=None))
    here = next(i for i, row in enumerate(stages) if row.pk == stage.pk)
    there = here - 1 if is_up else here + 1
    if 0 <= there < len(stages):
        stages[here], stages[there] = stages[there], stages[here]
        reorder_stages(route=stage.route, user=user, order=[row.pk for row in stages])
    stage.refresh_from_db()
    return stage


@transaction.atomic
def reorder_stages(*, route: Route, user: User | None, order: Sequence[int]) -> None:
    """Put the stages not struck in this order, by id. Each must be there once."""
    rows = {row.pk: row for row in Stage.objects.filter(route=route)}
    live = [pk for pk, row in rows.items() if row.struck_at is None]
    if sorted(order) != sorted(live):
        raise ValidationError("The order must name every stage of the route once.")
    for position, pk in enumerate([*order, *(pk for pk in rows if pk not in live)]):
        rows[pk].position = position
    Stage.objects.bulk_update(rows.values(), ["position"])
    record_change(
        company=route.company,
        user=user,
        noun="route order",
        row=route.pk,
        before={"order": live},
        after={"order": list(order)},
    )


@transaction.atomic
def copy_words(*, stage: Stage, user: User | None, source: Stage | None) -> Stage:
    """Take the words of another stage of the company, or with None those it began with."""
    before = _told(stage)
    if source is not None and source.route.company_id != stage.route.company_id:
        raise ValidationError("That stage belongs to another company.")
    texts: Any = source
    if texts is None:
        try:
            texts = DEFAULT_ROUTES[stage.route.kind].stage(stage.key)
        except KeyError as missing:
            raise ValidationError("This stage is the company's own: it began blank.") from missing
    for name in WORDS:
        setattr(stage, name, getattr(texts, name))
    stage.save(update_fields=WORDS)
    claim_version(stage, None)
    _written(stage, user, before)
    return stage


def _take(stage: Stage, values: Mapping[str, Any]) -> None:
    unknown = set(values) - set(EDITABLE)
    if unknown:
        raise ValueError(f"no such columns to edit: {sorted(unknown)}")
    for name, value in values.items():
        setattr(stage, name, value)
    stage.name = tidy_name(stage.name)


def stage_problems(
    stage: Stage, values: Mapping[str, Any], waits: list[Stage] | None = None
) -> dict[str, list[str]]:
    """What would be wrong with a stage if it had these values and waited for these, by field."""
    stage = copy(stage)
    _take(stage, values)
    found: dict[str, list[str]] = {}
    try:
        stage.full_clean(exclude=["route", "key"], validate_constraints=False)
    except ValidationError as wrong:
        found.update(wrong.message_dict)
    others = Stage.objects.filter(route=stage.route, struck_at=None).exclude(pk=stage.pk)
    if name_key(stage.name) in {name_key(n) for n in others.values_list("name", flat=True)}:
        found.setdefault("name", []).append("This route has a stage of this name already.")
    for field in ("craft", "second_craft", "equipment"):
        row = getattr(stage, field)
        if row is not None and (row.company_id != stage.route.company_id or row.struck_at):
            found.setdefault(field, []).append(f"'{row}' is not in this company's list.")
    _check_numbers(stage, found)
    if waits is not None:
        _check_waits(stage, waits, found)
    return found


def _check_numbers(stage: Stage, found: dict[str, list[str]]) -> None:
    if stage.each_min is not None and not 0 < stage.each_min <= (stage.hours_min or 0):
        words = "One sitting is longer than nought and no longer than the whole stage."
        found.setdefault("each_min", []).append(words)
    if "rate" not in found and stage.rate is not None and not 0 < stage.rate <= 1:
        found["rate"] = ["The learning rate lies above 0 and at most 1: 0.9 saves a tenth."]
    if stage.second == Second.CRAFT and stage.second_craft is None:
        found.setdefault("second_craft", []).append("Say which craft the second person needs.")
    if stage.second != Second.CRAFT and stage.second_craft is not None:
        words = "Leave this blank, or ask for a second person with a craft."
        found.setdefault("second_craft", []).append(words)
    if stage.first_of_costume and stage.scope not in ("figure", "costume"):
        words = "A stage for the first figure of a costume is done for a figure or a costume."
        found.setdefault("first_of_costume", []).append(words)
    if stage.hours_by_costume and stage.scope not in ("figure", "costume"):
        words = "Hours by costume need a stage that is done for a figure or a costume."
        found.setdefault("hours_by_costume", []).append(words)
    if stage.holds_mould and stage.scope != "pour":
        words = "Only a stage done for each pour holds a mould."
        found.setdefault("holds_mould", []).append(words)


def _check_waits(stage: Stage, waits: list[Stage], found: dict[str, list[str]]) -> None:
    for other in waits:
        if other.route_id != stage.route_id:
            found.setdefault("after", []).append(f"'{other}' is a stage of another route.")
        elif other.struck_at is not None:
            found.setdefault("after", []).append(f"'{other}' is struck: nothing can wait for it.")
    afters = _afters_of(stage.route)
    afters[stage.key] = [other.key for other in waits if other.route_id == stage.route_id]
    circle = find_circle(afters)
    if circle:
        names = _names_of(stage.route) | {stage.key: stage.name}
        found.setdefault("after", []).append(say_circle(circle, names))


def _afters_of(route: Route) -> dict[str, list[str]]:
    live = Stage.objects.filter(route=route, struck_at=None)
    afters: dict[str, list[str]] = {key: [] for key in live.values_list("key", flat=True)}
    links = StageAfter.objects.filter(stage__route=route, stage__struck_at=None)
    for key, after in links.values_list("stage__key", "after__key"):
        afters[key].append(after)
    return afters


def _names_of(route: Route) -> dict[str, str]:
    return dict(Stage.objects.filter(route=route).values_list("key", "name"))


def _set_waits(stage: Stage, waits: list[Stage]) -> None:
    wanted = {other.pk for other in waits}
    stage.afters.exclude(after_id__in=wanted).delete()
    there = set(stage.afters.values_list("after_id", flat=True))
    StageAfter.objects.bulk_create(
        StageAfter(stage=stage, after_id=pk) for pk in sorted(wanted - there)
    )


def _free_key(route: Route, name: str) -> str:
    stem = slugify(name)[:34].strip("-") or "stage"
    taken = set(Stage.objects.filter(route=route).values_list("key", flat=True))
    number, key = 1, stem
    while key in taken:
        number += 1
        key = f"{stem}-{number}"
    return key


def _told(stage: Stage) -> dict[str, Any]:
    """The stage as the record keeps it: its columns, and the ids it waits for."""
    row = Stage.objects.get(pk=stage.pk)
    return snapshot(row) | {"after": sorted(row.afters.values_list("after_id", flat=True))}


def _written(stage: Stage, user: User | None, before: dict[str, Any] | None) -> None:
    """What follows every edit: the record, the route's next version, the steps made again."""
    route = stage.route
    Route.objects.filter(pk=route.pk).update(version=F("version") + 1)
    record_change(
        company=route.company,
        user=user,
        noun="stage",
        row=stage.pk,
        before=before,
        after=_told(stage),
    )
    remake_company_steps(company=route.company, user=user)
