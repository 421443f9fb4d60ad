"""Change rules of a draft, and the show's crossing and reset minutes."""

from __future__ import annotations

from uuid import UUID

from django.db import transaction

from company.models import User
from company.services.changes import StaleEdit, claim_version, snapshot
from scenes.models import ChangeRule, Costume, Draft, Guise, Show
from scenes.services.cells import lock_plot
from scenes.services.drafts import writable_draft
from scenes.services.problems import Problems
from scenes.services.record import Record, draft_number, keep_rows, record_edit

LONGEST_CHANGE_S = 24 * 60 * 60
MOST_PEOPLE = 9


class RuleGone(Exception):
    """The rule is no longer in the plot: somebody else took it out."""


@transaction.atomic
def add_rule(
    *,
    show: Show,
    user: User | None,
    guise: Guise,
    from_costume: Costume,
    to_costume: Costume,
    change_s: int,
    people: int = 1,
) -> ChangeRule:
    """Say that a figure of the guise can change from one costume to another, this way only.

    Said again with the same minutes it changes nothing. Raises ValidationError with all that is
    wrong.
    """
    lock_plot(show)
    twin = ChangeRule.objects.filter(
        draft=show.current_draft_id, from_costume=from_costume, to_costume=to_costume
    ).first()
    if twin is not None and (twin.change_s, twin.people) == (change_s, people):
        return twin
    problems = rule_problems(guise, from_costume, to_costume, change_s, people)
    if twin is not None:
        problems.add(
            "to_costume",
            f"The change from {from_costume} to {to_costume} is there already: edit that one.",
        )
    problems.refuse()
    number = draft_number(show)
    draft = writable_draft(show=show, user=user)
    rule = ChangeRule.objects.create(
        draft=draft,
        guise=guise,
        from_costume=from_costume,
        to_costume=to_costume,
        change_s=change_s,
        people=people,
    )
    _record(show, user, rule, {"draft": number}, rule)
    return rule


@transaction.atomic
def edit_rule(
    *,
    show: Show,
    user: User | None,
    key: UUID,
    change_s: int,
    people: int,
    version: int | None = None,
) -> ChangeRule:
    """Change the minutes or people of a rule. RuleGone, StaleEdit or ValidationError else."""
    rule = _find_rule(show, key)
    if (rule.change_s, rule.people) == (change_s, people):
        return rule
    if version is not None and rule.version != version:
        raise StaleEdit(rule)
    rule_problems(rule.guise, rule.from_costume, rule.to_costume, change_s, people).refuse()
    before = snapshot(rule) | {"draft": draft_number(show), "rules": keep_rows([rule])}
    rule = _rule_in(writable_draft(show=show, user=user), key)
    claim_version(rule, None)
    rule.change_s, rule.people = change_s, people
    rule.save(update_fields=["change_s", "people"])
    _record(show, user, rule, before, rule)
    return rule


@transaction.atomic
def remove_rule(*, show: Show, user: User | None, key: UUID) -> None:
    """Take a rule out of the draft; one that is gone already is no matter."""
    try:
        _find_rule(show, key)
    except RuleGone:
        return
    number = draft_number(show)
    rule = _rule_in(writable_draft(show=show, user=user), key)
    before = snapshot(rule) | {"draft": number, "rules": keep_rows([rule])}
    rule.delete()
    _record(show, user, rule, before, None)


@transaction.atomic
def set_times(
    *,
    show: Show,
    user: User | None,
    crossing_s: int,
    reset_s: int,
    version: int | None = None,
) -> Show:
    """Set how long a figure takes across behind the stage, and to be ready again.

    The count depends on both, so the draft takes its next revision (a frozen one the next draft).
    """
    lock_plot(show)
    if (show.crossing_s, show.reset_s) == (crossing_s, reset_s):
        return show
    problems = Problems()
    for name, seconds in (("crossing", crossing_s), ("reset", reset_s)):
        if not 0 <= seconds <= LONGEST_CHANGE_S:
            problems.add(name, "From 0 minutes to a day.")
    problems.refuse()
    number, before = draft_number(show), snapshot(show)
    claim_version(show, version)
    show.crossing_s, show.reset_s = crossing_s, reset_s
    show.save(update_fields=["crossing_s", "reset_s"])
    writable_draft(show=show, user=user)
    after = snapshot(show)
    record_edit(
        show=show,
        user=user,
        noun="show",
        row=show.pk,
        said="the times behind the stage",
        before=before | {"draft": number, "shows": [_times_in(before)]},
        after=after | {"draft": draft_number(show), "shows": [_times_in(after)]},
    )
    return show


def rule_problems(
    guise: Guise, from_costume: Costume, to_costume: Costume, change_s: int, people: int
) -> Problems:
    """All that is wrong with a change rule, by field."""
    problems = Problems()
    for name, costume in (("from_costume", from_costume), ("to_costume", to_costume)):
        if costume.guise_id != guise.pk:
            problems.add(name, f"{costume} is a costume of another guise.")
    if from_costume.pk == to_costume.pk:
        problems.add("to_costume", "A change is from one costume to another.")
    if not 0 <= change_s <= LONGEST_CHANGE_S:
        problems.add("minutes", "From 0 minutes to a day.")
    if not 0 <= people <= MOST_PEOPLE:
        problems.add("people", f"From 0 to {MOST_PEOPLE} people.")
    return problems


def _find_rule(show: Show, key: UUID) -> ChangeRule:
    """The rule as it stands, before anything is written and a frozen draft left behind."""
    lock_plot(show)
    if show.current_draft is None:
        raise RuleGone
    return _rule_in(show.current_draft, key)


def _rule_in(draft: Draft, key: UUID) -> ChangeRule:
    rules = ChangeRule.objects.select_related("guise__character", "from_costume", "to_costume")
    try:
        return rules.get(draft=draft, key=key)
    except ChangeRule.DoesNotExist as gone:
        raise RuleGone from gone


def _times_in(show: Record) -> Record:
    return {name: show[name] for name in ("id", "crossing_s", "reset_s")}


def _record(
    show: Show, user: User | None, rule: ChangeRule, before: Record, after: ChangeRule | None
) -> None:
    said = f"{rule.guise} changing from {rule.from_costume} to {rule.to_costume}"
    stands = {} if after is None else snapshot(after) | {"rules": keep_rows([after])}
    record_edit(
        show=show,
        user=user,
        noun="change rule",
        row=rule.key,
        said=said,
        before=before,
        after=stands | {"draft": draft_number(show)},
    )
