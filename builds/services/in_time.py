"""What would bring it back in time: single changes are tried one by one, the cheapest come first.

A change that only rearranges costs nothing; then come hours asked of people, fewest first; then
costumes and figures that would not be built. Costumes that matter are never proposed.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from builds.loading import Loaded
from builds.loading.suppose_codes import read_suppose, write_week
from builds.models import Figure, FigureCostume, Mould, PlanRun
from builds.services.supposing import Outcome, Supposing
from company import clock
from company.core.stretches import Span
from company.models import Craft
from company.queries import Diary
from company.templatetags.words import hours as hours_words
from scenes.models import Show

USUAL_DAY: tuple[Span, ...] = ((600, 780), (810, 1020))  # 10-13, 13:30-17: common practice
WORKDAYS = range(5)
MOST_STAGES = 3  # stages on the chain that are tried with another craft
MOST_CUTS = 12
REARRANGED, HOURS_ASKED, COSTUME_CUT, FIGURE_CUT = range(4)


@dataclass(frozen=True, slots=True)
class Trial:
    """A single change to try: its code, what sort of price it has, and in minutes how much."""

    code: str
    sort: int
    weekly_min: int = 0
    lost_min: int = 0


class Trials:
    """The single changes that could help a show as it stands."""

    def __init__(self, show: Show, loaded: Loaded, chain: list[dict[str, Any]]) -> None:
        self.show = show
        self.loaded = loaded
        self.chain = chain
        self.today = clock.today(show.company)
        self.monday = self.today + timedelta(days=7 - self.today.weekday())
        self.makers = list(loaded.makers.values())
        self.diary = Diary(show.company, self.makers)
        rows = {piece.step.pk: piece.step for piece in loaded.pieces.values()}
        self.steps = [rows[link["step"]] for link in chain if link["step"] in rows]

    def all(self) -> list[Trial]:
        """Everything to try, the cheapest sorts first, none twice."""
        found = {
            trial.code: trial
            for part in (self._gear(), self._crafts(), self._hours(), self._help(), self._cuts())
            for trial in part
        }
        return list(found.values())

    def _gear(self) -> Iterator[Trial]:
        """One more of what the chain waits for."""
        for link, step in zip(self.chain, self.steps, strict=False):
            if link["reason"] != "equipment":
                continue
            if step.stage.equipment_id is not None:
                yield Trial(f"gear:{step.stage.equipment_id}", REARRANGED)
            if step.pour is not None:
                yield Trial(f"mould:{step.pour.mould_id}", REARRANGED)
        for mould in Mould.objects.filter(
            pattern__show=self.show, pours__steps__in=[s.pk for s in self.steps if s.pour_id]
        ).distinct():
            yield Trial(f"mould:{mould.pk}", REARRANGED)

    def _crafts(self) -> Iterator[Trial]:
        """The longest stages on the chain, opened to helpers or given to what they can."""
        minutes: Counter[str] = Counter()
        stage_of = {step.stage.key: step.stage for step in self.steps}
        for step in self.steps:
            minutes[step.stage.key] += step.work_min
        helpers = [maker for maker in self.makers if not maker.is_lead]
        for key, _ in minutes.most_common(MOST_STAGES):
            stage = stage_of[key]
            can: Counter[int] = Counter(c.pk for helper in helpers for c in helper.crafts.all())
            if stage.lead_only and stage.craft_id in can:
                yield Trial(f"craft:{key}:{stage.craft_id}", REARRANGED)
            other = next((pk for pk, _ in can.most_common() if pk != stage.craft_id), None)
            if not stage.gate and other is not None:
                yield Trial(f"craft:{key}:{other}", REARRANGED)

    def _hours(self) -> Iterator[Trial]:
        """One day a week more of each maker, on the first workday on which they do not come."""
        for maker in self.makers:
            week = self.diary.usual_week(maker)
            days = [day for day in range(7) if week[day]]
            spans = {week[day] for day in days}
            if len(spans) != 1:
                continue  # days that differ cannot be said as one pattern
            same = next(iter(spans))
            free = next((day for day in (*WORKDAYS, 5) if day not in days), None)
            if free is not None:
                code = write_week(sorted([*days, free]), same)
                yield Trial(
                    f"hours:{maker.pk}:{code}:{self.monday.isoformat()}",
                    HOURS_ASKED,
                    weekly_min=sum(b - a for a, b in same),
                )

    def _help(self) -> Iterator[Trial]:
        """One helper more for each craft on the chain, a day a week and two."""
        crafts: Counter[Craft] = Counter()
        for step in self.steps:
            if step.stage.craft is not None and not step.stage.lead_only:
                crafts[step.stage.craft] += step.work_min
        day_min = sum(b - a for a, b in USUAL_DAY)
        for craft, _ in crafts.most_common():
            for days in ((2,), (1, 3)):
                code = write_week(days, USUAL_DAY)
                yield Trial(
                    f"more:{craft.pk}:{code}:{self.monday.isoformat()}",
                    HOURS_ASKED,
                    weekly_min=day_min * len(days),
                )

    def _cuts(self) -> Iterator[Trial]:
        """Costumes and figures that are not done yet, those with least work in them first."""
        left: Counter[tuple[int, int | None]] = Counter()
        spent: Counter[int] = Counter()
        for piece in self.loaded.pieces.values():
            step = piece.step
            if step.figure_id is None or piece.part > 1:
                continue
            if step.finished_at is not None:
                spent[step.figure_id] += step.work_min
                continue
            left[step.figure_id, None] += step.work_min
            if step.costume_id is not None and step.begun_at is None:
                left[step.figure_id, step.costume_id] += step.work_min
        matters = self._matters()
        ordered = sorted(left.items(), key=lambda one: (spent[one[0][0]], -one[1]))
        shown = [one for one in ordered if one[0] not in matters][:MOST_CUTS]
        for (figure, costume), minutes in shown:
            if costume is None:
                yield Trial(f"cut:{figure}", FIGURE_CUT, lost_min=spent[figure])
            elif minutes:
                yield Trial(f"cut:{figure}:{costume}", COSTUME_CUT)

    def _matters(self) -> set[tuple[int, int | None]]:
        """Costumes that matter, and the figures that wear one."""
        rows = FigureCostume.objects.filter(
            figure__show=self.show, costume__matters=True, struck_at=None
        ).values_list("figure_id", "costume_id")
        found: set[tuple[int, int | None]] = set(rows)
        wanted = Figure.objects.filter(show=self.show, state=Figure.State.WANTED)
        found |= {(figure, None) for figure, _ in rows}
        kept = set(wanted.values_list("pk", flat=True))
        return found | {
            (figure, None)
            for figure in {p.step.figure_id for p in self.loaded.pieces.values()} - kept
            if figure is not None
        }


def try_changes(
    run: PlanRun, *, stop: Callable[[], bool], tell: Callable[[dict[str, Any]], None]
) -> dict[str, Any]:
    """Try them all, or as many as there is time for; `tell` is given how far it is."""
    supposing = Supposing(run.show, stop)
    base = tuple(one for code in run.asked if (one := read_suppose(run.show, code)) is not None)
    found = supposing.find(base)
    now = found.outcome
    chain = supposing.newest.chain if supposing.newest else []
    trials = [] if now.is_in_time else Trials(run.show, supposing.loaded, chain).all()
    today = clock.today(run.show.company)
    rows: list[dict[str, Any]] = []
    for tried, trial in enumerate(trials):
        if stop():
            return _document(now, rows, tried, len(trials))
        tell(_document(now, rows, tried, len(trials)))
        suppose = read_suppose(run.show, trial.code)
        if suppose is not None and suppose.code not in run.asked:
            then = supposing.find((*base, suppose), found).outcome
            rows.append(_row(suppose.words, trial, now, then, today))
    return _document(now, rows, len(trials), len(trials))


def _document(now: Outcome, rows: list[dict[str, Any]], tried: int, of: int) -> dict[str, Any]:
    better = [row for row in rows if row["is_in_time"] or row["helps"]]
    ordered = sorted(
        better,
        key=lambda row: (
            not row["is_in_time"],
            *((row["sort"], row["asked_min"]) if row["is_in_time"] else (row["late_min"], 0)),
            row["ready"] or "",
            row["code"],
        ),
    )
    return {
        "tried": tried,
        "of": of,
        "is_in_time": now.is_in_time,
        "rows": ordered,
        "ready": now.ready.isoformat() if now.ready else None,
    }


def _row(words: str, trial: Trial, now: Outcome, then: Outcome, today: date) -> dict[str, Any]:
    weeks = max(1, -(-(then.ready - today).days // 7)) if then.ready else 1
    asked_min = trial.weekly_min * weeks + trial.lost_min
    return {
        "code": trial.code,
        "words": words,
        "sort": trial.sort,
        "asked_min": asked_min,
        "cost": _say_cost(trial, weeks),
        "is_in_time": then.is_in_time,
        "helps": not then.reasons and then.score < now.score,
        "late_min": then.late_min,
        "late": [[one.tag, one.days] for one in then.late],
        "ready": then.ready.isoformat() if then.ready else None,
        "in_hand": then.in_hand,
        "sooner": (now.ready - then.ready).days if now.ready and then.ready else None,
    }


def _say_cost(trial: Trial, weeks: int) -> str:
    if trial.sort == HOURS_ASKED:
        whole = hours_words(trial.weekly_min * weeks)
        return f"{hours_words(trial.weekly_min)} a week, {whole} in all"
    if trial.sort == COSTUME_CUT:
        return "a costume less"
    if trial.sort == FIGURE_CUT:
        lost = f", {hours_words(trial.lost_min)} of work lost" if trial.lost_min else ""
        return f"a figure less{lost}"
    if trial.code.startswith("craft"):
        return "no hours more; it must be in good hands"
    return "one more to buy or to make"
