"""What holds of every row whatever is done: tried over all models and over every form there is.

The numbers are those of the list of invariants in DEVELOPERS.md. What bench and count alone must
keep is tried in tests/builds/test_bench.py and tests/scenes/test_counts.py as well.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from django.apps import apps
from django.db import models
from django.test import Client
from django.urls import reverse

from company.models import Change, Membership, SignInLink, User
from tests.forms_sent import Form
from tests.laid import Rows, Twins, read_rows, say_changed
from tests.ways import WAYS, address_of, forms_by_address, read_pages, values_sent

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("laid_media")]

OWN_MODELS = [
    model
    for label in ("company", "scenes", "builds")
    for model in apps.get_app_config(label).get_models()
]
# Rows of a person, who may belong to several companies.
OF_NO_COMPANY = {User, SignInLink}
WRITING = sorted(name for name, way in WAYS.items() if way.writes)

# What is made in the workshop and is never deleted by a page of it: only struck.
KEPT = (
    "builds.Figure",
    "builds.WorkLog",
    "builds.Photo",
    "builds.Weighing",
    "builds.TrialHang",
    "builds.Drawing",
    "builds.BridgeCheck",
    "builds.Venue",
    "builds.Casting",
    "builds.Pour",
    "builds.Mould",
    "builds.Pattern",
    "builds.Stage",
    "builds.Route",
    "builds.Equipment",
    "company.Maker",
    "company.Craft",
    "company.Change",
    "scenes.Draft",
    "scenes.Count",
)


def sign_in(user: User) -> Client:
    client = Client()
    client.force_login(user)
    return client


def path_of(model: type[models.Model]) -> str:
    return getattr(model, "company_path", "") or "pk"


# (5) Every foreign key joins rows of one company


def joins() -> Iterator[tuple[type[models.Model], Any]]:
    """Every pair of a model and a key of it that leads to a row of a company, or to a person."""
    for model in OWN_MODELS:
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many):
            to = field.related_model
            if to in OWN_MODELS and model not in OF_NO_COMPANY and to not in OF_NO_COMPANY:
                yield model, field


def test_every_model_says_its_way_to_its_company():
    without = {model for model in OWN_MODELS if not hasattr(model, "company_path")}
    assert without == OF_NO_COMPANY


@pytest.mark.parametrize(
    ("model", "field"), list(joins()), ids=lambda part: getattr(part, "name", None)
)
def test_key_joins_rows_of_one_company(model: Any, field: Any, laid: Twins):
    ends = model._default_manager.exclude(**{field.name: None}).values_list(
        "pk", path_of(model), f"{field.name}__{path_of(field.related_model)}"
    )
    assert [end for end in ends if end[1] != end[2]] == []


def test_every_key_has_been_joined_somewhere(laid: Twins):
    """The check above looks at real rows: a key that the laid show never fills is named here."""
    empty = {
        f"{model._meta.label}.{field.name}"
        for model, field in joins()
        if not model._default_manager.exclude(**{field.name: None}).exists()
    }
    assert empty == {
        "company.Change.undoes",  # nothing is taken back yet
        "builds.Photo.pour",
        "builds.Step.pinned_maker",
        "builds.PlanRun.best",
        # no figure was made over or taken up by another show: tests/builds/test_make_over.py
        "builds.Figure.home",
        "builds.MakeOver.figure",
        "builds.MakeOver.from_guise",
        "builds.MakeOver.from_costume",
        "builds.MakeOver.from_show",
    }


def test_people_on_record_belong_to_the_company(laid: Twins):
    places = set(Membership.objects.values_list("company", "user"))
    strangers = []
    for model in OWN_MODELS:
        if model in OF_NO_COMPANY:
            continue
        for field in model._meta.concrete_fields:
            if field.related_model is User:
                rows = model._default_manager.exclude(**{field.name: None})
                ends = rows.values_list("pk", path_of(model), field.attname)
                strangers += [(field, end) for end in ends if tuple(end[1:]) not in places]
    assert strangers == []


# (5) Ids of another company that a form sends are refused


@pytest.fixture(scope="module")
def forms(laid: Twins, django_db_blocker: Any) -> tuple[dict[str, Form], dict[str, Form]]:
    """The forms of our lead's pages and of theirs, by URL name."""
    with django_db_blocker.unblock():
        found = []
        for at in (laid.ours, laid.theirs):
            by_address = forms_by_address(read_pages(sign_in(at.lead), at))
            named = {name: by_address.get(address_of(name, at)) for name in WAYS}
            found.append({name: offered[0] for name, offered in named.items() if offered})
    return found[0], found[1]


ID = re.compile(r"\d+|[0-9a-f]{8}-[0-9a-f-]{27}(:\d+)?")
# Fields with numbers that are no ids.
NO_IDS = re.compile(
    r"version|hangs|stamp|csrf|draft|revision|shown|year|tint|copies|people|hours|_min"
)


def known(form: Form, name: str) -> set[str]:
    pressed = {value for button, value in form.buttons if button == name}
    return {*form.values.get(name, []), *form.choices.get(name, []), *pressed}


def foreign_ids(ours: Form, theirs: Form) -> dict[str, str]:
    """Fields that take an id, each with one that only the other company has."""
    names = {*ours.values, *ours.choices, *(name for name, _ in ours.buttons)}
    found = {}
    for name in sorted(names):
        # A field named after a row ('g7-from_costume') has another name with them.
        twin = next((n for n in (name, *_alike(name, theirs)) if known(theirs, n)), name)
        only_theirs = {v for v in known(theirs, twin) - known(ours, name) if ID.fullmatch(v)}
        if only_theirs and not NO_IDS.search(name):
            found[name] = sorted(only_theirs)[-1]
    return found


def _alike(name: str, form: Form) -> list[str]:
    bare = re.sub(r"^[gr][0-9a-f]+-", "", name)
    return [n for n in {*form.values, *form.choices} if n.endswith(f"-{bare}")]


def test_ids_of_another_company_are_refused_in_every_field(laid: Twins, forms: Any):
    ours, theirs = forms
    client = sign_in(laid.ours.lead)
    before, tried, faults = read_rows(), set(), []
    for name in ours.keys() & theirs.keys():
        way, address = WAYS[name], address_of(name, laid.ours)
        for field, foreign in foreign_ids(ours[name], theirs[name]).items():
            values = {**ours[name].values, **way.typed(laid.ours), field: foreign}
            if field in dict(ours[name].buttons):
                # One button is pressed: what another one says is not sent with it.
                others = {button for button, _ in ours[name].buttons} - {field}
                values = {key: value for key, value in values.items() if key not in others}
            answer = client.post(address, {**values, **way.upload()})
            tried.add((name, field))
            if answer.status_code not in (302, 404, 422):
                faults.append(f"{name}, {field}={foreign}: {answer.status_code}")
            if answer.status_code == 302:
                said = [str(m) for m in client.get(answer["Location"]).context["messages"]]
                if not said:
                    faults.append(f"{name}, {field}={foreign}: not a word of refusal")
            if changed := say_changed(before, read_rows()):
                faults.append(f"{name}, {field}={foreign}: {changed[:3]}")
                before = read_rows()
    assert faults == [], [fault[:120] for fault in faults]
    assert {
        ("company:maker_edit", "crafts"),
        ("company:maker_edit", "user"),
        ("company:craft_edit", "makers"),
        ("company:person_invite", "maker"),
        ("scenes:scene_move", "down"),
        ("scenes:character_move", "up"),
        ("scenes:plot_cell", "a0-costume"),
        ("scenes:plot_cell", "a0-key"),
        ("scenes:cell_copy", "copy-until"),
        ("scenes:change_add", f"g{laid.ours.jory.pk}-from_costume"),
        ("builds:bench_accept", "line"),
        ("builds:guise_borrow", "lender"),
        ("builds:figure_add", "wears"),
        ("builds:step_record", "maker"),
        ("builds:step_edit", "pinned_maker"),
        ("builds:stage_edit", "craft"),
        ("builds:stage_edit", "after"),
        ("builds:stage_edit", "equipment"),
        ("builds:stage_copy", "source"),
    } <= tried


@pytest.mark.parametrize("name", sorted(WAYS))
def test_rows_of_another_company_are_not_found_in_an_address_of_ours(name: str, laid: Twins):
    way = WAYS[name]
    mine, foreign = way.args(laid.ours), way.args(laid.theirs)
    client, before = sign_in(laid.ours.lead), read_rows()
    for place in range(1, len(mine)):
        if mine[place] != foreign[place]:
            args = [*mine[:place], foreign[place], *mine[place + 1 :]]
            answer = client.generic(way.how[-1], reverse(name, args=args))
            # An edit of what has gone meanwhile may also answer 'it is out already'.
            assert answer.status_code in (302, 404)
    assert say_changed(before, read_rows()) == []


# (7) Every service writes its row of the record in the same transaction


@pytest.fixture(scope="module")
def sent(laid: Twins, django_db_blocker: Any) -> dict[str, dict[str, Any]]:
    with django_db_blocker.unblock():
        return values_sent(sign_in(laid.ours.lead), laid.ours)


@pytest.mark.parametrize("name", WRITING)
def test_what_is_written_is_on_record_and_nothing_of_the_workshop_goes(
    name: str, laid: Twins, sent: Any
):
    doer = WAYS[name].doer(laid.ours)
    client, before, last = sign_in(doer), read_rows(), _last_change()
    answer = client.post(address_of(name, laid.ours), {**sent[name], **WAYS[name].upload()})
    after = read_rows()
    changed = [line for line in say_changed(before, after) if not line.startswith("company.Change")]
    assert answer.status_code in (200, 302)
    assert bool(changed) is (name not in CHANGES_NOTHING)
    written = Change.objects.filter(pk__gt=last)
    assert written.exists() is bool(changed)
    assert all((c.company, c.user) == (laid.ours.company, doer) for c in written)
    assert lost(before, after) == []
    assert rewritten(before, after) == []


# Good forms that have nothing to do in the laid show.
CHANGES_NOTHING = {"builds:plan_improve", "builds:help_stop"}


@pytest.mark.parametrize("name", sorted(set(WRITING) - CHANGES_NOTHING))
def test_nothing_is_written_where_the_record_cannot_be(
    name: str, laid: Twins, sent: Any, monkeypatch: Any, logged_errors: list[Any]
):
    def refuse(*args: Any, **values: Any) -> None:
        raise OSError("the record is full")

    client, before = sign_in(WAYS[name].doer(laid.ours)), read_rows()
    client.raise_request_exception = False
    monkeypatch.setattr(Change, "save", refuse)
    answer = client.post(address_of(name, laid.ours), {**sent[name], **WAYS[name].upload()})
    logged_errors.clear()  # the refusal itself
    assert answer.status_code == 500
    assert say_changed(before, read_rows()) == []


def _last_change() -> int:
    return Change.objects.order_by("-pk").values_list("pk", flat=True).first() or 0


# (3) and (4) What was pinned up, accepted or made stays


def lost(before: Rows, after: Rows) -> list[str]:
    """Rows of the workshop that were deleted; a step nobody has touched may go."""
    gone = [f"{table} {pk}" for table in KEPT for pk in before[table].keys() - after[table].keys()]
    names = [f.attname for f in apps.get_model("builds.Step")._meta.concrete_fields]
    begun = names.index("begun_at")
    steps = before["builds.Step"]
    gone += [f"step {pk}" for pk in steps.keys() - after["builds.Step"].keys() if steps[pk][begun]]
    return gone


def rewritten(before: Rows, after: Rows) -> list[str]:
    """Rows of pinned-up plans, accepted counts and their frozen drafts that differ or are gone."""
    fixed = {
        "builds.Plan": _where("builds.Plan", before, "pinned_up_at"),
        "scenes.Count": _where("scenes.Count", before, "accepted_at"),
        "scenes.Draft": _where("scenes.Draft", before, "frozen_at"),
    }
    for table, owner, key in (
        ("builds.PlannedStep", "builds.Plan", "plan_id"),
        ("scenes.Track", "scenes.Count", "count_id"),
        ("scenes.TrackStop", "scenes.Count", "count_id"),
        ("scenes.Scene", "scenes.Draft", "draft_id"),
        ("scenes.Appearance", "scenes.Draft", "draft_id"),
        ("scenes.ChangeRule", "scenes.Draft", "draft_id"),
    ):
        column = _column(table, key)
        fixed[table] = {pk for pk, row in before[table].items() if row[column] in fixed[owner]}
    return [
        f"{table} {pk}"
        for table, pks in fixed.items()
        for pk in pks
        if _content(table, before[table][pk]) != _content(table, after[table].get(pk))
    ]


def _where(table: str, rows: Rows, column: str) -> set[Any]:
    place = _column(table, column)
    return {pk for pk, row in rows[table].items() if row[place] is not None}


def _column(table: str, name: str) -> int:
    return [f.attname for f in apps.get_model(table)._meta.concrete_fields].index(name)


def _content(table: str, row: tuple[Any, ...] | None) -> tuple[Any, ...] | None:
    """The row without what says which plan hangs on the wall now, and what a draft is called."""
    may_change = {"builds.Plan": "is_pinned_up", "scenes.Draft": "name"}
    if row is None or table not in may_change:
        return row
    place = _column(table, may_change[table])
    return row[:place] + row[place + 1 :]
