"""Strings of a guise for a bridge and a hand, and what another bridge changes in a whole show."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from builds.core.statics.strings import (
    G,
    Held,
    StringRow,
    find_strings,
    swing_period_s,
)
from builds.core.statics.values import Figure as HungFigure
from builds.loading.statics import (
    dress_figure,
    load_control,
    load_figure,
    load_line,
    load_points,
)
from builds.models import (
    BridgeCheck,
    Control,
    Drawing,
    GuisePart,
    Part,
    Reach,
    Venue,
    Weighing,
)
from builds.queries.drawings import CHILDREN, drawing_of
from builds.queries.hangs import find_lacks, fit_of, read_weighed
from company.models import Company
from scenes.models import Costume, Guise, Kind, Show

# The hand of somebody who leans on a rail: common practice, no source.
USUAL_REACH_MM = 950


@dataclass(frozen=True)
class StringSet:
    """The strings of one guise at one height of the hand."""

    rows: tuple[StringRow, ...]
    hand_mm: float
    unmatched: tuple[str, ...]
    swing_mm: float

    @property
    def period_s(self) -> float:
        """One swing there and back."""
        return swing_period_s(self.swing_mm)

    @property
    def over(self) -> tuple[StringRow, ...]:
        """Strings on which a jerk asks more than they may carry."""
        return tuple(row for row in self.rows if row.is_over)

    @property
    def count(self) -> int:
        """How many strings there are."""
        return sum(row.count for row in self.rows)


@dataclass(frozen=True)
class StringsPage:
    """The page 'Strings' of a guise."""

    guise: Guise
    drawing: Drawing | None
    control: Control | None
    lacks: str
    bridge_mm: int | None
    reach_mm: int
    venue: Venue | None
    reach: Reach | None
    venues: tuple[Venue, ...]
    reaches: tuple[Reach, ...]
    strings: StringSet | None = None
    figure_g: float = 0.0
    heaviest: Costume | None = None

    @property
    def in_hand_g(self) -> float:
        """Figure, its heaviest cloth and the control."""
        return self.figure_g + (self.control.weight_g if self.control else 0)

    @property
    def in_hand_n(self) -> float:
        """The same as a force."""
        return self.in_hand_g / 1000 * G


@dataclass(frozen=True)
class Hung:
    """What a guise's strings carry: the figure in its heaviest costume."""

    figure: HungFigure
    costume: Costume | None

    @property
    def on_head_g(self) -> float:
        """What the head's strings carry."""
        head = sum(mass for kind, mass, _, _ in self.figure.weights() if kind == "head")
        return head * self.figure.head_share

    @property
    def on_body_g(self) -> float:
        """What the strings carry that it hangs from, lifted clear of the floor."""
        return self.figure.mass_g - self.on_head_g


NO_CONTROL = "Its control has no holes yet: begin with a usual set of strings."
NO_BRIDGE = "The show's bridge has no height yet: give it one, or choose a venue."


def read_strings(
    guise: Guise, *, venue_pk: int | None = None, reach_pk: int | None = None
) -> StringsPage:
    """The page's content for the show's bridge or a venue's, and a performer's hand."""
    show = guise.character.show
    company = show.company
    drawing = drawing_of(guise)
    control = Control.objects.filter(guise=guise).prefetch_related("strings").first()
    venues = tuple(Venue.objects.filter(company=company, struck_at=None))
    reaches = tuple(Reach.objects.filter(company=company))
    venue = next((row for row in venues if row.pk == venue_pk), None)
    reach = next((row for row in reaches if row.pk == reach_pk), None)
    bridge = venue.bridge_mm if venue is not None else show.bridge_mm
    page = StringsPage(
        guise=guise,
        drawing=drawing,
        control=control,
        lacks=find_lacks(drawing),
        bridge_mm=bridge,
        reach_mm=reach.reach_mm if reach is not None else USUAL_REACH_MM,
        venue=venue,
        reach=reach,
        venues=venues,
        reaches=reaches,
    )
    return _with_strings(page)


def _with_strings(page: StringsPage) -> StringsPage:
    if page.lacks or page.drawing is None:
        return page
    costumes = list(Costume.objects.filter(guise=page.guise).select_related("fit"))
    weighings = list(Weighing.objects.filter(figure__guise=page.guise, struck_at=None))
    hung = hang_heaviest(page.guise, page.drawing, costumes, weighings)
    assert hung is not None
    page = replace(page, figure_g=hung.figure.mass_g, heaviest=hung.costume)
    if page.control is None or not page.control.strings.all():
        return replace(page, lacks=NO_CONTROL)
    if page.bridge_mm is None:
        return replace(page, lacks=NO_BRIDGE)
    strings = string_set(page.drawing, page.control, hung, page.bridge_mm + page.reach_mm)
    return replace(page, strings=strings)


def hang_heaviest(
    guise: Guise, drawing: Drawing, costumes: Iterable[Costume], weighings: list[Weighing]
) -> Hung | None:
    """The guise's figure in its heaviest costume, for what the strings carry; None if unknown."""
    bare = load_figure(drawing, read_weighed(guise, None, weighings))
    if bare is None:
        return None
    heaviest = max(costumes, key=lambda costume: costume.weight_g or 0, default=None)
    if heaviest is None or not heaviest.weight_g:
        return Hung(bare, None)
    return Hung(dress_figure(bare, heaviest, fit_of(heaviest)), heaviest)


def string_set(drawing: Drawing, control: Control, hung: Hung, hand_mm: float) -> StringSet | None:
    """All strings at one height of the hand; None where the hand is below what it holds."""
    points, holes = load_points(drawing), load_control(control)
    known = {point.name for point in points}
    centre = hung.figure.centre[1]
    if hand_mm <= centre:
        return None
    try:
        rows = find_strings(
            holes,
            points,
            Held(hand_mm, float(control.tilt_deg)),
            load_line(control),
            on_body_g=hung.on_body_g,
            on_head_g=hung.on_head_g,
        )
    except ValueError:
        return None
    unmatched = tuple(hole.name for hole in holes if hole.to not in known)
    return StringSet(tuple(rows), hand_mm, unmatched, hand_mm - centre)


# A whole show


@dataclass(frozen=True)
class ChangedString:
    """One string before and after."""

    before: StringRow
    after: StringRow

    @property
    def by_mm(self) -> int:
        """How much longer it becomes."""
        return self.after.finished_mm - self.before.finished_mm


@dataclass(frozen=True)
class ChangedGuise:
    """A guise whose strings change with the bridge, and how its swing does."""

    guise: Guise
    strings: tuple[ChangedString, ...]
    slower: float
    before_s: float
    after_s: float


def drawings_of_show(show: Show) -> dict[int, Drawing]:
    """The drawing each guise of the show goes by, borrowed bodies too. A flat number of reads."""
    rows = Drawing.objects.filter(guise__character__show=show, is_current=True)
    own: dict[int, Drawing] = {
        row.guise_id: row
        for row in rows.select_related("guise__character").prefetch_related(*CHILDREN)
    }
    if not own:
        return own
    borrowed = GuisePart.objects.filter(guise__character__show=show, part=Part.BODY).values_list(
        "guise", "pattern__made_for"
    )
    found = dict(own)
    for guise_pk, lender_pk in borrowed:
        if guise_pk not in found and lender_pk in own:
            found[guise_pk] = own[lender_pk]
    return found


def read_hung_guises(show: Show) -> list[tuple[Guise, Drawing, Control | None, Hung]]:
    """Every string guise of the show that can be reckoned. A flat number of reads."""
    drawings = drawings_of_show(show)
    guises = Guise.objects.filter(character__show=show, kind=Kind.STRING)
    controls = {
        row.guise_id: row
        for row in Control.objects.filter(guise__character__show=show).prefetch_related("strings")
    }
    costumes: dict[int, list[Costume]] = {}
    for costume in Costume.objects.filter(guise__character__show=show).select_related("fit"):
        costumes.setdefault(costume.guise_id, []).append(costume)
    weighings: dict[int, list[Weighing]] = {}
    for row in Weighing.objects.filter(
        figure__guise__character__show=show, struck_at=None
    ).select_related("figure"):
        weighings.setdefault(row.figure.guise_id, []).append(row)
    found = []
    for guise in guises.select_related("character").order_by("character__position", "position"):
        drawing = drawings.get(guise.pk)
        if drawing is None:
            continue
        hung = hang_heaviest(
            guise, drawing, costumes.get(guise.pk, []), weighings.get(guise.pk, [])
        )
        if hung is not None:
            found.append((guise, drawing, controls.get(guise.pk), hung))
    return found


def compare_bridges(
    show: Show, before_mm: int, after_mm: int, reach_mm: int = USUAL_REACH_MM
) -> list[ChangedGuise]:
    """Every length that another bridge changes, and how much slower each guise swings."""
    changed = []
    for guise, drawing, control, hung in read_hung_guises(show):
        if control is None:
            continue
        before = string_set(drawing, control, hung, before_mm + reach_mm)
        after = string_set(drawing, control, hung, after_mm + reach_mm)
        if before is None or after is None:
            continue
        rows = tuple(
            ChangedString(old, new)
            for old, new in zip(before.rows, after.rows, strict=True)
            if old.finished_mm != new.finished_mm
        )
        slower = after.period_s / before.period_s - 1
        changed.append(ChangedGuise(guise, rows, slower, before.period_s, after.period_s))
    return changed


def last_check(company: Company, show: Show | None, venue: Venue | None) -> BridgeCheck | None:
    """What was last said of a bridge's rail and edge."""
    rows = BridgeCheck.objects.filter(company=company)
    return rows.filter(show=show, venue=venue).first()
