"""Taking what was supposed: through the ordinary services, as far as they reach."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import timedelta

from django.db import transaction
from django.urls import reverse

from builds.loading.supposing import (
    Cut,
    DaysAway,
    FewerHelp,
    MoreGear,
    MoreHelp,
    OpeningMoved,
    OtherCraft,
    OtherHours,
    SecondMould,
    Suppose,
    Week,
)
from builds.models import Equipment, Figure, FigureCostume, Mould, Plan, Stage, Step, TrackFigure
from builds.queries.plans import days_are_let_go, latest_plan
from builds.services.bench import dress_figure, set_figure_state
from builds.services.equipment import edit_equipment
from builds.services.figures import edit_step
from builds.services.moulds import add_mould
from builds.services.plans import make_plan
from builds.services.stages import edit_stage
from builds.services.steps import make_steps
from builds.services.supposing import Supposing, find_supposed
from company.core.stretches import Span
from company.models import Maker, User
from company.services.hours import add_day_off, set_hours
from company.services.people import add_maker, edit_maker
from scenes.models import Show
from scenes.services.shows import edit_show


@dataclass
class Taken:
    """What was written, and what is left to do by hand, as sentences; `plan` is the new draft."""

    done: list[str] = field(default_factory=list)
    by_hand: list[tuple[str, str]] = field(default_factory=list)  # sentence, address
    plan: Plan | None = None


@transaction.atomic
def take_supposes(*, show: Show, user: User, supposes: tuple[Suppose, ...]) -> Taken:
    """Write what is supposed into the workshop, all or nothing, and plan anew.

    ValidationError with what a service refuses: then nothing is written.
    """
    taken = Taken()
    leaving = [one for one in supposes if isinstance(one, FewerHelp)]
    given = _given_on(show, supposes, leaving) if leaving else []
    for one in supposes:
        _take(one, show, user, taken)
    for step, name in given:
        _hand_on(step, name, show, user, taken)
    if taken.done:
        # Each service has read its own rows anew.
        fresh = Show.objects.select_related("company", "current_draft").get(pk=show.pk)
        is_released = days_are_let_go(latest_plan(fresh))
        taken.plan = make_plan(show=fresh, user=user, is_released=is_released)
    return taken


def _take(one: Suppose, show: Show, user: User, taken: Taken) -> None:
    match one:
        case MoreHelp():
            _take_more(one, show, user, taken)
        case FewerHelp(maker=maker, first=first):
            last = first - timedelta(days=1)
            edit_maker(maker=maker, user=user, version=None, values={"to_date": last})
            taken.done.append(f"{maker}'s last day is {last.day} {last:%B %Y}.")
        case OtherHours(maker=maker, first=first, week=week):
            set_hours(maker=maker, user=user, from_date=first, week=_by_day(week))
            taken.done.append(f"{one.words}: the hours are written.")
        case DaysAway(maker=maker, first=first, last=last):
            add_day_off(company=show.company, user=user, first=first, last=last, maker=maker)
            taken.done.append(f"{one.words}: it is in the calendar.")
        case OpeningMoved(opening=opening):
            edit_show(show=show, user=user, opening=opening)
            taken.done.append(f"The opening is on {opening.day} {opening:%B %Y}.")
        case OtherCraft():
            _take_craft(one, show, user, taken)
        case MoreGear(equipment=name):
            row = Equipment.objects.get(company=show.company, name=name, struck_at=None)
            edit_equipment(equipment=row, user=user, name=row.name, capacity=row.capacity + 1)
            taken.done.append(f"{row.name}: there are {row.capacity} now.")
        case SecondMould(mould=mould):
            row = Mould.objects.select_related("pattern__show__company").get(pk=mould.pk)
            made = add_mould(mould=row, user=user)
            taken.done.append(
                f"{made} is wanted: it is made and dries first, and shares the pours to come."
            )
        case Cut():
            _take_cut(one, show, user, taken)


def _take_more(one: MoreHelp, show: Show, user: User, taken: Taken) -> None:
    names = set(Maker.objects.for_company(show.company).values_list("name", flat=True))
    name = next(n for n in (f"Helper {k}" for k in range(1, 1000)) if n not in names)
    maker = add_maker(
        company=show.company,
        user=user,
        values={"name": name, "from_date": one.first},
        crafts=one.crafts,
    )
    set_hours(maker=maker, user=user, from_date=None, week=_by_day(one.week))
    taken.done.append(f"{name} is among the makers, with these hours.")
    address = reverse("company:maker_detail", args=[maker.pk])
    taken.by_hand.append((f"Give {name} their own name, and their marks.", address))


def _take_craft(one: OtherCraft, show: Show, user: User, taken: Taken) -> None:
    stages = Stage.objects.for_company(show.company).filter(key=one.key, struck_at=None)
    for stage in stages.select_related("route__company"):
        values = {"craft": one.craft, "lead_only": False}
        edit_stage(stage=stage, user=user, version=None, values=values)
        taken.done.append(f"'{stage.name}' of {stage.route} asks for {one.craft} now.")


def _take_cut(one: Cut, show: Show, user: User, taken: Taken) -> None:
    """The bench goes without it; the plot is the lead's to write, and is left as it is."""
    figure = Figure.objects.select_related("show__company", "guise__character").get(
        pk=one.figure.pk
    )
    if one.costume is None:
        plays = TrackFigure.objects.filter(figure=figure).exists()
        # One that never played would be built on as a spare.
        state = Figure.State.SPARE if plays else Figure.State.STRUCK
        set_figure_state(figure=figure, state=state, user=user)
        taken.done.append(
            f"{figure.tag} is set aside: nothing more is done to it, and its number, hours and "
            "castings stay its own."
        )
        what = f"{figure.tag}, {figure.guise}"
        if not plays:
            return
    else:
        rows = FigureCostume.objects.filter(figure=figure, struck_at=None).exclude(
            costume=one.costume
        )
        kept = [row.costume for row in rows.select_related("costume").order_by("-is_built_in")]
        dress_figure(figure, kept, user)
        make_steps(show=figure.show, user=user)
        taken.done.append(f"{figure.tag} does without the {one.costume}: it is not sewn.")
        what = f"the {one.costume} of {figure.tag}"
    taken.by_hand.append(
        (
            f"The costume plot still asks for {what}. Change it there before the count is taken "
            "to the bench anew, else it is built after all.",
            reverse("scenes:plot", args=[show.pk]),
        )
    )


def _given_on(
    show: Show, supposes: tuple[Suppose, ...], leaving: list[FewerHelp]
) -> list[tuple[Step, str]]:
    """What those who leave have under way and cannot finish, with who goes on with it."""
    supposing = Supposing(show)
    steps = [step for one in leaving for step in one.handed_on(supposing.loaded)]
    if not steps:
        return []
    places = find_supposed(supposing, supposes).places
    by_step = {
        piece.step.pk: places[ident].person or ""
        for ident, piece in supposing.loaded.pieces.items()
        if ident in places
    }
    return [(step, by_step.get(step.pk, "")) for step in steps]


def _hand_on(step: Step, name: str, show: Show, user: User, taken: Taken) -> None:
    maker = Maker.objects.for_company(show.company).filter(name=name, struck_at=None).first()
    words = f"{step.stage.name} {step.subject_words}"
    if maker is None:
        sentence = f"{words} is under way: say on its page who goes on with it."
        taken.by_hand.append((sentence, reverse("builds:step_detail", args=[step.pk])))
        return
    edit_step(step=step, user=user, version=None, pinned_maker=maker)
    taken.done.append(f"{maker} goes on with {words}.")


def _by_day(week: Week) -> dict[int, tuple[Span, ...]]:
    days, spans = week
    return dict.fromkeys(days, spans)
