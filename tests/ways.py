"""Every way in: each URL name with who may, how it is asked, and what a laid show puts into it.

Tests that walk over all pages take their list from the URL resolver and their arguments here; a
name that is in the one and not in the other fails them. Nothing is in these tables twice: what a
form sends is read off the page that offers it, `sends` says only what a person would type.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import Any
from urllib.parse import urlsplit
from zoneinfo import ZoneInfo

from django.core.files.base import ContentFile
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from builds.models import PlannedStep
from builds.queries.savings import read_savings
from company.models import Role, User
from scenes.models import Show
from tests.builds.drawings import photo
from tests.forms_sent import Form, forms_on
from tests.laid import Laid, picture

ANYBODY = "anybody"  # signed in or not
SIGNED_IN = "signed in"  # whatever the company; shows nothing but one's own
READER, MAKER, LEAD = Role.READER, Role.MAKER, Role.LEAD
GET, POST, BOTH = ("GET",), ("POST",), ("GET", "POST")

Args = Callable[[Laid], list[Any]]
Sends = dict[str, Any] | Callable[[Laid], dict[str, Any]]


@dataclass(frozen=True)
class Way:
    """One URL name: who may, by which methods, its arguments, and what is typed into its form.

    `files` makes what is uploaded. `writes` is False where a good form writes nothing to the
    record of changes; `because` then says why. `owner`: whose row it is alone, 'lead' or 'maker';
    for others of the company nothing is there.
    """

    who: str
    how: tuple[str, ...]
    args: Args
    sends: Sends = field(default_factory=dict)
    files: Callable[[], dict[str, Any]] | None = None
    because: str = ""
    owner: str = ""

    @property
    def writes(self) -> bool:
        """Whether a good form leaves a row in the record of changes."""
        return "POST" in self.how and not self.because

    def doer(self, laid: Laid) -> User:
        """Who may do it for sure: the owner, else the lead."""
        user: User = getattr(laid, self.owner or "lead")
        return user

    def typed(self, laid: Laid) -> dict[str, Any]:
        """What a person would type."""
        return self.sends(laid) if callable(self.sends) else dict(self.sends)

    def upload(self) -> dict[str, Any]:
        """The files that a person would choose."""
        return self.files() if self.files else {}


def _none(_: Laid) -> list[Any]:
    return []


def _show(at: Laid) -> list[Any]:
    return [at.show.pk]


def _saving(at: Laid) -> list[Any]:
    show = Show.objects.select_related("company", "current_draft").get(pk=at.show.pk)
    return [at.show.pk, read_savings(show).lines[0].code]


def _company(at: Laid) -> list[Any]:
    return [at.company.pk]


def _of(name: str) -> Args:
    return lambda at: [getattr(at, name).pk]


def _of_show(name: str) -> Args:
    return lambda at: [at.show.pk, getattr(at, name).pk]


def _role(at: Laid) -> list[Any]:
    return [at.show.pk, at.jory.character.pk]


def _lone_role(at: Laid) -> list[Any]:
    return [at.show.pk, at.gulls.character.pk]


def _scene(at: Laid) -> list[Any]:
    return [at.show.pk, at.scene("3").key]


def _cell(at: Laid) -> list[Any]:
    return [at.show.pk, at.jory.pk, at.scene("5").key]


def _costume(at: Laid) -> list[Any]:
    return [at.show.pk, at.costume(at.jory, "smock").pk]


def _lone_costume(at: Laid) -> list[Any]:
    return [at.show.pk, at.costume(at.gulls, "plain").pk]


def _rule(at: Laid) -> list[Any]:
    return [at.show.pk, at.rule.key]


def _away(at: Laid) -> str:
    """What is supposed: the lead is away for two days."""
    return f"away:{at.ines.pk}:2026-04-01:2026-04-02"


def _on_slip(at: Laid) -> PlannedStep:
    """A piece of the newest plan whose person and day can still be chosen."""
    rows = at.draft_plan.steps.filter(step__begun_at=None, step__finished_at=None)
    return rows.order_by("start", "pk")[0]


def _slip(at: Laid) -> list[Any]:
    row = _on_slip(at)
    day = row.start.astimezone(ZoneInfo(at.company.time_zone)).date()
    return [at.show.pk, row.maker_id, day.isoformat()]


def _monday(at: Laid) -> list[Any]:
    today = at.day(0)
    return [at.show.pk, at.ines.pk, str(at.day(-today.weekday()))]


def _prefixed(at: Laid, **values: str) -> dict[str, str]:
    return {f"g{at.jory.pk}-{name}": value for name, value in values.items()}


def _back_rule(at: Laid) -> dict[str, str]:
    oilskin, smock = at.costume(at.jory, "oilskin"), at.costume(at.jory, "smock")
    return _prefixed(
        at, from_costume=str(oilskin.pk), to_costume=str(smock.pk), minutes="4", people="1"
    )


def _picture() -> dict[str, Any]:
    return {"file": picture()}


def _drawing_photo() -> dict[str, Any]:
    return {"file": ContentFile(photo().read(), name="drawing.png")}


def _plot_files() -> dict[str, Any]:
    scenes = ContentFile(b"scene,minutes\n3,5\n", name="scenes.csv")
    plot = b"scene,character,guise,costume\n3,Jory Tarrow,at nine,smock\n"
    return {"scenes": scenes, "plot": ContentFile(plot, name="plot.csv")}


COMPANY: dict[str, Way] = {
    "home": Way(SIGNED_IN, GET, _none),
    "sign_in": Way(ANYBODY, BOTH, _none, because="coming in changes nothing of a company"),
    "sign_out": Way(ANYBODY, BOTH, _none, because="going out changes nothing of a company"),
    "link": Way(
        ANYBODY, BOTH, lambda at: [at.link], because="coming in changes nothing of a company"
    ),
    "password": Way(
        SIGNED_IN,
        BOTH,
        _none,
        {"password": "seven grey herons", "again": "seven grey herons"},
        because="a password is the person's own and no company's",
    ),
    "detail": Way(READER, GET, _company),
    "company_edit": Way(LEAD, BOTH, _company, {"currency": "NOK"}),
    "maker_new": Way(LEAD, BOTH, _company, {"name": "Odile the younger"}),
    "maker_detail": Way(READER, GET, _of("tomas")),
    "maker_edit": Way(LEAD, BOTH, _of("tomas"), {"name": "Tomas the younger"}),
    "maker_strike": Way(LEAD, POST, _of("free")),
    "maker_take_back": Way(LEAD, POST, _of("left")),
    "hours_new": Way(
        LEAD, BOTH, _of("tomas"), lambda at: {"from_date": str(at.day(60)), "day_1": "9-12"}
    ),
    "hours_edit": Way(LEAD, BOTH, lambda at: [at.tomas.pk, "start"], {"day_1": "9-12"}),
    "hours_drop": Way(LEAD, POST, lambda at: [at.tomas.pk, "start"]),
    "other_work_add": Way(
        LEAD, POST, _of("tomas"), lambda at: {"word": "writing", "first": str(at.day(3))}
    ),
    "other_work_edit": Way(LEAD, BOTH, _of("other_work"), {"word": "set building"}),
    "other_work_drop": Way(LEAD, POST, _of("other_work")),
    "day_off_add": Way(LEAD, POST, _of("tomas"), lambda at: {"first": str(at.day(40))}),
    "day_off_drop": Way(LEAD, POST, _of("day_off")),
    "holiday_list": Way(READER, GET, _company),
    "holiday_add": Way(LEAD, POST, _company, lambda at: {"first": str(at.day(50))}),
    "holiday_take": Way(
        LEAD,
        POST,
        _company,
        {"country": "GB", "year": "2027", "region": "", "day": ["2027-12-25"]},
    ),
    "craft_list": Way(READER, GET, _company),
    "craft_add": Way(LEAD, POST, _company, {"name": "weaving"}),
    "craft_edit": Way(LEAD, BOTH, _of("spare_craft"), {"name": "gilding and silvering"}),
    "craft_strike": Way(LEAD, POST, _of("spare_craft")),
    "person_list": Way(READER, GET, _company),
    "person_invite": Way(LEAD, POST, _company, {"name": "Priya", "login": "Priya of the test"}),
    "person_link": Way(LEAD, POST, _of("membership")),
    "person_role": Way(LEAD, POST, _of("membership"), {"role": "maker"}),
    "person_remove": Way(LEAD, POST, _of("membership")),
}

SCENES: dict[str, Way] = {
    "show_new": Way(LEAD, BOTH, _company, {"title": "Ferry Songs"}),
    "show_edit": Way(LEAD, BOTH, _show, {"performers": "3"}),
    "scene_list": Way(READER, GET, _show),
    "scene_add": Way(LEAD, POST, _show, {"title": "Customs shed", "length_s": "8"}),
    "scene_move": Way(LEAD, POST, _show, lambda at: {"down": str(at.scene("3").key)}),
    "scene_edit": Way(LEAD, BOTH, _scene, {"title": "The ferry at night"}),
    "scene_remove": Way(LEAD, BOTH, _scene),
    "character_add": Way(LEAD, POST, _show, {"name": "Captain Pell", "costumes": "uniform"}),
    "character_move": Way(LEAD, POST, _show, lambda at: {"down": str(at.jory.character.pk)}),
    "file_list": Way(READER, GET, _show),
    "plot_import": Way(LEAD, POST, _show, files=_plot_files),
    "file_download": Way(READER, GET, lambda at: [at.show.pk, "plot.csv"]),
    "character_edit": Way(LEAD, BOTH, _role, {"name": "Jory Tarrow, carter"}),
    "character_remove": Way(LEAD, BOTH, _lone_role),
    "guise_add": Way(LEAD, BOTH, _role, {"name": "at sixty", "costumes": "pilot coat"}),
    "guise_detail": Way(READER, GET, _of_show("jory")),
    "guise_edit": Way(LEAD, BOTH, _of_show("jory"), {"words": "quick, hungry, bright"}),
    "guise_remove": Way(LEAD, BOTH, _of_show("unborn")),
    "rig_set": Way(LEAD, POST, _of_show("heron"), {"name": "fight"}),
    "rig_remove": Way(LEAD, POST, lambda at: [at.show.pk, at.heron.pk, at.rig.pk]),
    "costume_add": Way(LEAD, POST, _of_show("jory"), {"name": "nightshirt"}),
    "costume_edit": Way(LEAD, BOTH, _costume, {"sewing_min": "9"}),
    "costume_remove": Way(LEAD, BOTH, _lone_costume),
    "sketch_add": Way(MAKER, POST, _of_show("jory"), {"words": "in front"}, files=_picture),
    "sketch_file": Way(READER, GET, _of_show("chosen_sketch")),
    "sketch_choose": Way(LEAD, POST, _of_show("own_sketch")),
    "sketch_put_back": Way(LEAD, POST, _of_show("chosen_sketch")),
    "sketch_give": Way(
        MAKER, POST, _of_show("makers_sketch"), lambda at: {"to": str(at.lead.pk)}, owner="maker"
    ),
    "sketch_remove": Way(MAKER, POST, _of_show("own_sketch"), owner="lead"),
    "plot": Way(READER, GET, _show),
    "plot_people": Way(READER, GET, _show),
    "plot_range": Way(READER, GET, _show),
    "pin_add": Way(LEAD, POST, lambda at: [at.show.pk, at.jory.pk], {"kind": "more"}),
    "pin_lift": Way(LEAD, POST, lambda at: [at.show.pk, at.pin.key]),
    "way_add": Way(
        LEAD,
        POST,
        _show,
        {"way-from_place": "bridge", "way-to_place": "left", "way-minutes": "0:20"},
    ),
    "way_edit": Way(
        LEAD, POST, lambda at: [at.show.pk, at.walk.pk], lambda at: {f"w{at.walk.pk}-minutes": "2"}
    ),
    "way_remove": Way(LEAD, POST, lambda at: [at.show.pk, at.walk.pk]),
    "times_edit": Way(LEAD, POST, _show, {"times-crossing": "1"}),
    "change_add": Way(LEAD, POST, lambda at: [at.show.pk, at.jory.pk], _back_rule),
    "change_edit": Way(LEAD, POST, _rule, lambda at: {f"r{at.rule.key.hex}-minutes": "5"}),
    "change_remove": Way(LEAD, POST, _rule),
    "plot_grid": Way(READER, GET, _show),
    "plot_paste": Way(
        LEAD,
        BOTH,
        _show,
        {"block": "\t3\nJory Tarrow at nine\toilskin"},
        because="what a block will do is only looked at first",
    ),
    "plot_undo": Way(LEAD, POST, _show),
    "plot_redo": Way(
        LEAD, POST, _show, because="nothing was undone before, so there is nothing to make again"
    ),
    "plot_cell": Way(LEAD, BOTH, _cell, {"a0-copies": "2"}),
    "cell_pick": Way(LEAD, POST, _cell, {"costume": "undecided"}),
    "cell_clear": Way(LEAD, POST, _cell),
    "cell_copy": Way(LEAD, POST, _cell, lambda at: {"until": str(at.scene("6").key)}),
}

BUILDS: dict[str, Way] = {
    "table_download": Way(READER, GET, lambda at: [at.show.pk, "tracks.csv"]),
    "draft_list": Way(READER, GET, _show),
    "draft_compare": Way(READER, GET, _show),
    "draft_date": Way(LEAD, GET, _show),
    "draft_name": Way(LEAD, POST, lambda at: [at.show.pk, 1], {"name": "As first read through"}),
    "draft_back": Way(LEAD, POST, lambda at: [at.show.pk, 1], {"sure": "1"}),
    "saving_list": Way(READER, GET, _show),
    "saving_try": Way(READER, GET, _saving),
    "saving_date": Way(LEAD, GET, _saving),
    "saving_take": Way(LEAD, POST, _saving),
    "bench": Way(READER, GET, _show),
    "bench_accept": Way(LEAD, POST, _show, {"all": "1"}),
    "guise_borrow": Way(
        LEAD, POST, _of("older"), lambda at: {"part": "head", "lender": str(at.jory.pk)}
    ),
    "hang": Way(READER, GET, _of("jory")),
    "figure_hang": Way(READER, GET, _of("figure")),
    "weighing_add": Way(MAKER, POST, _of("figure"), {"part": "head", "mass_g": "82.5"}),
    "weighing_strike": Way(MAKER, POST, _of("weighing")),
    "trial_add": Way(MAKER, POST, _of("figure"), {"lean_deg": "2", "side": "back"}),
    "trial_strike": Way(MAKER, POST, _of("trial")),
    "ballast_add": Way(
        LEAD, POST, _of("jory"), {"mass_g": "20", "x_mm": "-25", "y_mm": "390", "metal": "steel"}
    ),
    "ballast_take_out": Way(LEAD, POST, _of("ballast")),
    "costume_fit": Way(
        LEAD, BOTH, lambda at: [at.costume(at.jory, "smock").pk], {"forward_mm": "-12"}
    ),
    "parts": Way(READER, GET, _of("jory")),
    "parts_lay": Way(LEAD, POST, _of("jory")),
    "part_edit": Way(LEAD, BOTH, lambda at: [at.jory.pk, "upper-arm"], {"width_mm": "31"}),
    "part_remove": Way(LEAD, POST, lambda at: [at.jory.pk, "upper-arm"]),
    "hanging_set": Way(LEAD, POST, _of("jory"), {"knee-back": "-80", "head_share_pct": "40"}),
    "strings": Way(READER, GET, _of("jory")),
    "string_set": Way(LEAD, POST, _of("jory"), {"strings": "7"}),
    "control_edit": Way(LEAD, BOTH, _of("jory"), {"tilt_deg": "10"}),
    "reach_set": Way(LEAD, POST, _of("jory"), {"name": "Odile", "reach_mm": "930"}),
    "sheet_strings": Way(READER, GET, _show),
    "bridge": Way(READER, GET, _show),
    "bridge_change": Way(
        LEAD, POST, _show, {"bridge_mm": "1600", "rail_mm": "1050", "looked_at_by": "the rigger"}
    ),
    "venue_list": Way(READER, GET, _company),
    "venue_add": Way(LEAD, POST, _company, {"name": "The Lamp Loft"}),
    "venue_edit": Way(LEAD, BOTH, _of("venue"), {"note": "ask for the ladder"}),
    "venue_bridge": Way(
        LEAD, POST, _of("venue"), {"bridge_mm": "900", "rail_mm": "1000", "looked_at_by": ""}
    ),
    "venue_strike": Way(LEAD, POST, _of("venue")),
    "scale": Way(READER, GET, _show),
    "scale_take": Way(LEAD, POST, _show, lambda at: {"percent": "80", "guise": [str(at.jory.pk)]}),
    "drawing": Way(READER, GET, _of("jory")),
    "drawing_sheet": Way(READER, GET, _of("jory")),
    "drawing_start": Way(LEAD, POST, _of("older"), {"sheet": "heads", "height_mm": "600"}),
    "drawing_place": Way(LEAD, POST, _of("jory"), {"joint-knee-x": "27.5"}),
    "drawing_outline": Way(
        LEAD,
        BOTH,
        lambda at: [at.jory.pk, "thigh"],
        {"outline": "-20 300\n20 300\n30 160\n5 160"},
    ),
    "drawing_anew": Way(LEAD, POST, _of("jory")),
    "drawing_proportions": Way(LEAD, POST, _of("jory"), {"sheet": "people"}),
    "drawing_picture_add": Way(LEAD, POST, _of("jory"), {"views": "front"}, files=_drawing_photo),
    "drawing_picture": Way(READER, GET, _of("drawing_picture")),
    "drawing_picture_take_away": Way(LEAD, POST, _of("drawing_picture")),
    "proportions_list": Way(LEAD, BOTH, _company, {"name": "five heads"}),
    "proportions_edit": Way(LEAD, BOTH, _of("proportions"), {"name": "our own way, longer"}),
    "proportions_strike": Way(LEAD, POST, _of("proportions")),
    "figure_list": Way(READER, GET, _show),
    "figure_add": Way(
        LEAD, POST, _show, lambda at: {"wears": str(at.costume(at.jory, "smock").pk)}
    ),
    "figure_detail": Way(READER, GET, _of("figure")),
    "figure_edit": Way(MAKER, BOTH, _of("figure"), {"place": "shelf C"}),
    "figure_state": Way(LEAD, POST, _of("figure"), {"state": "spare"}),
    "figure_photo_add": Way(MAKER, POST, _of("figure"), files=_picture),
    "figure_link": Way(READER, GET, lambda at: [at.figure.public_key]),
    "step_detail": Way(READER, GET, _of("under_way")),
    "step_record": Way(MAKER, POST, _of("under_way"), {"answer": "finished", "hours": "1"}),
    "step_pass": Way(LEAD, POST, _of("waits_for_pass"), {"verdict": "pass"}),
    "step_undo": Way(MAKER, POST, _of("calls_lead")),
    "step_answer": Way(MAKER, POST, _of("calls_lead")),
    "step_edit": Way(MAKER, BOTH, _of("under_way"), {"note": "Left foot first."}),
    "work_add": Way(MAKER, POST, _of("under_way"), {"hours": "1"}),
    "work_strike": Way(MAKER, POST, lambda at: [at.under_way.pk, at.log.pk]),
    "step_photo_add": Way(MAKER, POST, _of("under_way"), files=_picture),
    "photo_file": Way(READER, GET, _of("photo")),
    "photo_strike": Way(MAKER, POST, _of("photo")),
    "today": Way(READER, GET, _show),
    "wall_plan": Way(READER, GET, _show),
    "plan_make": Way(
        LEAD, POST, _show, because="a plan is worked out from what is on record, and says by whom"
    ),
    "plan_improve": Way(LEAD, POST, _show),
    "plan_run": Way(LEAD, GET, _show),
    "plan_stop": Way(LEAD, POST, _show),
    "plan_pin_up": Way(LEAD, POST, _of("draft_plan")),
    "suppose": Way(LEAD, GET, _show),
    "suppose_take": Way(LEAD, POST, _show, lambda at: {"s": _away(at)}),
    "help_ask": Way(LEAD, POST, _show),
    "help_run": Way(LEAD, GET, _show),
    "help_stop": Way(LEAD, POST, _show),
    "plan_odds": Way(READER, GET, _show),
    "plan_record": Way(READER, GET, _show),
    "plan_moves": Way(READER, GET, _of("pinned")),
    "plan_slip": Way(READER, GET, _slip),
    "step_place": Way(LEAD, POST, lambda at: [_on_slip(at).step_id], {"not_before": "2026-03-20"}),
    "sheet_list": Way(READER, GET, _show),
    "sheet_pack": Way(READER, GET, _show),
    "sheet_week": Way(READER, GET, _monday),
    "sheet_register": Way(READER, GET, _show),
    "sheet_running": Way(READER, GET, _show),
    "sheet_turn_round": Way(READER, GET, _show),
    "sheet_plot": Way(READER, GET, _show),
    "sheet_wall": Way(READER, GET, _show),
    "sheet_figure": Way(READER, GET, _of("figure")),
    "route_list": Way(READER, GET, _company),
    "route_add": Way(LEAD, POST, _company, {"kind": "shadow"}),
    "route_detail": Way(READER, GET, _of("route")),
    "route_rename": Way(LEAD, POST, _of("route"), {"name": "String figures of ours"}),
    "stage_add": Way(LEAD, BOTH, _of("route"), {"name": "oil it", "hours_min": "1"}),
    "stage_edit": Way(LEAD, BOTH, _of("stage"), {"hours_min": "30"}),
    "stage_move": Way(LEAD, POST, _of("stage"), {"up": "1"}),
    "stage_copy": Way(LEAD, POST, _of("stage")),
    "stage_strike": Way(LEAD, POST, _of("stage")),
    "stage_take_back": Way(LEAD, POST, _of("struck_stage")),
    "material_list": Way(READER, GET, _company),
    "material_add": Way(LEAD, BOTH, _company, {"kind": "mould", "name": "Blue rubber"}),
    "material_edit": Way(LEAD, BOTH, _of("own_material"), {"name": "grey river clay"}),
    "material_strike": Way(LEAD, POST, _of("own_material")),
    "material_take_back": Way(LEAD, POST, _of("struck_material")),
    "pair_answer": Way(READER, GET, _company),
    "pair_add": Way(
        LEAD,
        POST,
        _company,
        {"table": "sculpt", "first": "wood", "second": "plaster", "reason": "Three coats held."},
    ),
    "pair_edit": Way(LEAD, BOTH, _of("own_pair"), {"reason": "It parted twice."}),
    "pair_strike": Way(LEAD, POST, _of("own_pair")),
    "lot_add": Way(
        MAKER, POST, _company, {"material": "cast/latex slip", "code": "L-1", "left": "3.8 l"}
    ),
    "lot_edit": Way(MAKER, BOTH, _of("lot"), {"left": "4 kg"}),
    "lot_strike": Way(MAKER, POST, _of("lot")),
    "mould_list": Way(READER, GET, _show),
    "mould_lot": Way(READER, GET, _show),
    "mould_detail": Way(READER, GET, _of("head_mould")),
    "mould_edit": Way(LEAD, BOTH, _of("head_mould"), {"life": "40"}),
    "mould_dry": Way(MAKER, POST, _of("head_mould")),
    "mould_mend": Way(MAKER, POST, _of("head_mould"), {"words": "chin glued"}),
    "mould_retire": Way(LEAD, POST, _of("head_mould"), {"words": "keys worn off"}),
    "mould_add": Way(LEAD, POST, _of("head_mould")),
    "pour_new": Way(
        MAKER,
        BOTH,
        _show,
        lambda laid: {
            "mould": str(laid.head_mould.pk),
            "reason": "dry to the cheek",
            "lot": "L-22",
        },
    ),
    "pour_detail": Way(READER, GET, _of("filled_pour")),
    "pour_drain": Way(MAKER, POST, _of("filled_pour")),
    "pour_open": Way(
        MAKER,
        POST,
        _of("filled_pour"),
        lambda laid: {
            f"result_{casting.pk}": "good" for casting in laid.filled_pour.castings.all()
        },
    ),
    "pour_edit": Way(MAKER, BOTH, _of("filled_pour"), {"lot": "L-23"}),
    "pour_strike": Way(MAKER, POST, _of("filled_pour"), {"words": "the wrong mould"}),
    "casting_detail": Way(READER, GET, _of("out_casting")),
    "casting_judge": Way(
        MAKER,
        POST,
        _of("out_casting"),
        lambda laid: {
            f"result_{laid.out_casting.pk}": "flawed",
            f"reason_{laid.out_casting.pk}": "thin at the thumb",
        },
    ),
    "casting_put": Way(MAKER, POST, _of("out_casting"), {"place": "shelf B"}),
    "mould_materials": Way(READER, GET, _of("head_mould")),
    "mould_choose": Way(LEAD, POST, _of("head_mould"), {"cast": "neoprene slip"}),
    "mould_amounts": Way(READER, GET, _of("head_mould")),
    "amounts_set": Way(MAKER, POST, _of("head_mould"), {"way": "known", "known_ml": "400"}),
    "shopping_list": Way(READER, GET, _show),
    "sheet_mould": Way(READER, GET, _of("head_mould")),
    "sheet_pour": Way(READER, GET, _of("head_pour")),
    "sheet_shopping": Way(READER, GET, _show),
    "equipment_add": Way(LEAD, POST, _company, {"name": "kiln", "capacity": "1"}),
    "equipment_edit": Way(LEAD, BOTH, _of("gear"), {"capacity": "2"}),
    "equipment_strike": Way(LEAD, POST, _of("gear")),
}

WAYS: dict[str, Way] = {
    f"{space}:{name}": way
    for space, ways in (("company", COMPANY), ("scenes", SCENES), ("builds", BUILDS))
    for name, way in ways.items()
}


def url_names() -> Iterator[str]:
    """The name of every address of the project, 'space:name', as the resolver knows them."""

    def walk(resolver: URLResolver, space: str) -> Iterator[str]:
        for entry in resolver.url_patterns:
            if isinstance(entry, URLPattern):
                yield f"{space}:{entry.name or entry.pattern}"
            else:
                yield from walk(entry, entry.namespace or space)

    yield from walk(get_resolver(), "")


def address_of(name: str, at: Laid) -> str:
    """The address that the name has in a laid show."""
    return reverse(name, args=WAYS[name].args(at))


def values_sent(lead: Client, at: Laid) -> dict[str, dict[str, Any]]:
    """What the lead's own pages would send to each address, with what a person types."""
    forms = forms_by_address(read_pages(lead, at))
    found = {}
    for name, way in WAYS.items():
        offered = forms.get(address_of(name, at), [])
        found[name] = {**(offered[0].values if offered else {}), **way.typed(at)}
    return found


def read_pages(client: Client, at: Laid) -> dict[str, str]:
    """Every page that the person of the client gets, by address: the sources of all forms."""
    pages = {}
    for name, way in WAYS.items():
        if "GET" in way.how:
            for address in {address_of(name, at), *_more_pages(name, at)}:
                answer = client.get(address)
                if answer.streaming:
                    b"".join(answer.streaming_content)  # read to the end, so that it is closed
                elif answer.status_code == 200 and "html" in answer["Content-Type"]:
                    pages[address] = answer.content.decode()
    return pages


def _more_pages(name: str, at: Laid) -> list[str]:
    """Other rows of the same page, which offer what the first does not."""
    rows = {
        "builds:step_detail": [at.waits_for_pass, at.calls_lead, at.not_begun],
        "builds:plan_moves": [at.draft_plan],
        "builds:drawing": [at.older],
        "scenes:guise_detail": [at.older, at.unborn, at.heron],
        "company:maker_detail": [at.free],
        "company:maker_edit": [at.free],
    }.get(name, [])
    if name == "builds:suppose":
        return [f"{reverse(name, args=[at.show.pk])}?s={_away(at)}"]
    shows = [at.show.pk] if name == "scenes:guise_detail" else []
    return [reverse(name, args=[*shows, row.pk]) for row in rows]


def forms_by_address(pages: dict[str, str]) -> dict[str, list[Form]]:
    """Every form that is sent, by the address it is sent to."""
    found: dict[str, list[Form]] = {}
    for address, html in pages.items():
        for form in forms_on(html, address):
            if form.method == "post":
                found.setdefault(urlsplit(form.action).path, []).append(form)
    return found
