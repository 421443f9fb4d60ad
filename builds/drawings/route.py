"""A route as it hangs: a knot for each stage, threads for what waits for what, time downward."""

from __future__ import annotations

from collections.abc import Mapping

from django.utils.safestring import SafeString

from builds.core.route_chain import LANE_WIDTH, ChainDrawing
from builds.core.route_chain import Knot as Place
from company import drawing as d
from company.core.units import format_hours
from company.drawing import Knot

RADIUS = 6.0
NAME_SIZE, NOTE_SIZE = 14, 12.5
DAY_MIN = 24 * 60


def draw_route(
    chain: ChainDrawing, *, ident: str, addresses: Mapping[str, str], notes: Mapping[str, str]
) -> SafeString:
    """The picture. `addresses` lead from a stage's key to its card, `notes` say who does it."""
    parts: list[str] = [
        d.words(lane.x - RADIUS, 22, lane.word, size=NAME_SIZE, css="soft") for lane in chain.lanes
    ]
    # The red thread last, so that it lies on top.
    parts += [d.path(s.path, "chain-line") for s in chain.strands if not s.is_red]
    parts += [d.path(s.path, "thread-line") for s in chain.strands if s.is_red]
    for place in chain.knots:
        mark = d.group(*_stage(place, notes.get(place.key, "")), title=place.name)
        address = addresses.get(place.key)
        parts.append(d.tag("a", mark, href=address) if address else mark)
    return d.picture(
        chain.width,
        chain.height,
        *parts,
        ident=ident,
        title="The route as threads that hang",
        desc=_describe(chain),
        css="drawing-route",
        role="group",
    )


def say_wait(minutes: int) -> str:
    """A wait on the calendar: '5 days', '4 h'."""
    days, rest = divmod(minutes, DAY_MIN)
    if rest:
        return format_hours(minutes)
    return f"{days} {'day' if days == 1 else 'days'}"


def _stage(place: Place, note: str) -> list[str]:
    said = [format_hours(place.hours_min) if place.hours_min else "a choice"]
    said += [note] if note else []
    if place.wait_min:
        said.append(f"then {say_wait(place.wait_min)}")
    room = LANE_WIDTH - (place.label_x - place.x) - 4
    return [
        # A gate is a tied knot: nothing goes past it until the lead lets it.
        d.knot(Knot.TIED if place.is_gate else Knot.LOOSE, place.x, place.y, RADIUS),
        d.clipped_words(
            place.label_x,
            place.y - 1,
            f"{place.number}  {place.name}",
            room,
            NAME_SIZE,
            bold=place.is_red,
        ),
        d.clipped_words(place.label_x, place.y + 14, " · ".join(said), room, NOTE_SIZE, css="soft"),
    ]


def _describe(chain: ChainDrawing) -> str:
    red = [place.name for place in chain.knots if place.is_red]
    return (
        f"{len(chain.knots)} stages. The longest chain goes through {', '.join(red)}. "
        "The cards below say the same in words."
    )
