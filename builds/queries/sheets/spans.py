"""When a planned step is really worked on: its person's hours inside it, on the company's clock."""

from __future__ import annotations

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime

from builds.loading import instant_of, minute_of
from builds.models import PlannedStep
from builds.queries.sheets.desk import Desk
from company.core.units import format_hours
from company.templatetags.words import day

MOST_TIMES = 3  # days named with their times on a bench sheet; of more, with their hours alone


@dataclass(frozen=True, slots=True)
class Span:
    """One stretch of work on one day, in local time, with its working minutes."""

    start: datetime
    finish: datetime
    minutes: int

    @property
    def day(self) -> date:
        """The day it is on."""
        return self.start.date()

    @property
    def words(self) -> str:
        """'09:00 to 13:00'."""
        until = "" if self.finish.date() == self.day else f"{day(self.finish)} "
        return f"{self.start:%H:%M} to {until}{self.finish:%H:%M}"


def spans_of(desk: Desk, row: PlannedStep) -> tuple[Span, ...]:
    """The stretches worked on a row, each on one day.

    Of begun work only what lies ahead, and nothing where somebody else has begun it: when they
    go on the plan does not know. Where the person has no hours there any more, because they were
    changed since, the row's own times stand.
    """
    found = desk.spans.get(row.pk)
    if found is None:
        found = desk.spans[row.pk] = _find_spans(desk, row)
    return found


def _find_spans(desk: Desk, row: PlannedStep) -> tuple[Span, ...]:
    start, finish = minute_of(row.start), minute_of(row.finish)
    if getattr(row, "is_taken_over", False):
        return ()
    if row.step.begun_at is not None:
        start = max(start, minute_of(desk.now))
        if start >= finish:
            return ()
    work = desk.work(row.maker_id, row.step.stage.craft)
    at = max(bisect_right(work, (start, start)) - 1, 0)
    found = []
    while at < len(work) and work[at][0] < finish:
        a, b = max(work[at][0], start), min(work[at][1], finish)
        if a < b:
            found.append(_span(desk, a, b, b - a))
        at += 1
    return tuple(found) or (_span(desk, start, finish, row.minutes),)


def _span(desk: Desk, start: int, finish: int, minutes: int) -> Span:
    return Span(desk.local(instant_of(start)), desk.local(instant_of(finish)), minutes)


def days_of(desk: Desk, rows: Iterable[PlannedStep]) -> list[date]:
    """The days on which the rows are worked on, in order."""
    return sorted({span.day for row in rows for span in spans_of(desk, row)})


def join_spans(desk: Desk, maker_pk: int, spans: Iterable[Span]) -> list[Span]:
    """Stretches of one day run together where nothing but a break lies between them."""
    joined: list[Span] = []
    for span in sorted(spans, key=lambda span: span.start):
        last = joined[-1] if joined else None
        if last and last.day == span.day and not _works_between(desk, maker_pk, last, span):
            joined[-1] = Span(last.start, span.finish, last.minutes + span.minutes)
        else:
            joined.append(span)
    return joined


def _works_between(desk: Desk, maker_pk: int, first: Span, then: Span) -> bool:
    start, finish = minute_of(first.finish), minute_of(then.start)
    return start < finish and any(a < finish and b > start for a, b in desk.work(maker_pk))


def when_lines(desk: Desk, rows: list[PlannedStep]) -> tuple[str, ...]:
    """'Tue 11 May, 09:30 to 12:00', a line a day; or that it is left over from an earlier day.

    Of work on many days the lines say how long, not when: 'Tue 11 May, 4 h'. The week sheet has
    the times.
    """
    ahead = [span for row in rows for span in spans_of(desk, row) if span.day >= desk.today]
    if not ahead:
        return (left_over(desk, rows),)
    by_day: dict[date, list[Span]] = defaultdict(list)
    for span in join_spans(desk, rows[0].maker_id, ahead):
        by_day[span.day].append(span)
    if len(by_day) > MOST_TIMES:
        return tuple(
            f"{day(when)}, {format_hours(sum(span.minutes for span in spans))}"
            for when, spans in by_day.items()
        )
    return tuple(
        f"{day(when)}, {' and '.join(span.words for span in spans)}"
        for when, spans in by_day.items()
    )


def left_over(desk: Desk, rows: list[PlannedStep]) -> str:
    """'still open, planned for Mon 9 May'."""
    return f"still open, planned for {day(desk.local(rows[-1].finish))}"


def is_left_over(desk: Desk, rows: list[PlannedStep]) -> bool:
    """Whether the plan had all of it done before today."""
    return all(span.day < desk.today for row in rows for span in spans_of(desk, row))
