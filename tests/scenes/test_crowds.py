"""Crowds on one control, and trick builds that break: forms, files, and what the pages say."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from builds.models import Step
from builds.services.steps import make_steps
from company.models import Role
from scenes.core.plot_files.guises import read_guises, write_guises
from scenes.core.plot_files.reading import Source
from scenes.models import Guise, Rig, Show
from scenes.services.cells import as_wanted, read_cell, set_cell
from scenes.services.exports import export_plot
from scenes.services.imports import PlotSources, import_plot
from scenes.services.rigs import set_rig
from tests.builds.desk import Desk
from tests.factories import person

pytestmark = pytest.mark.django_db


@pytest.fixture
def desk() -> Desk:
    """Gulls, five on one control, and Captain Pell with a barrel that breaks."""
    made = Desk()
    made.gulls = made.role("Gulls", "", "plain")  # type: ignore[attr-defined]
    made.pell = made.role("Captain Pell", "", "uniform")  # type: ignore[attr-defined]
    made.wear(made.gulls, "1", "plain")
    made.wear(made.pell, "2", "uniform")
    return made


def words_of(answer: Any) -> str:
    text = re.sub(r"<[^>]+>", " ", answer.content.decode()).replace("\u00a0", " ")
    return " ".join(text.split())


def give_rig(desk: Desk, rig: str) -> None:
    scene = desk.show.current_draft.scenes.get(label="2")
    _, stands = read_cell(desk.show, desk.pell, scene.key)
    set_cell(
        show=desk.show, user=desk.lead, guise=desk.pell, scene_key=scene.key,
        wanted=[replace(as_wanted(row), rig=rig) for row in stands],
    )  # fmt: skip


def test_a_crowd_is_written_on_the_guise_and_is_one_figure_with_its_own_hours(desk: Desk) -> None:
    desk.accept()
    before = {s.stage.key for s in Step.objects.filter(figure=desk.figure("G1"))}
    client = Client()
    client.force_login(desk.lead)
    edit = reverse("scenes:guise_edit", args=[desk.show.pk, desk.gulls.pk])
    sent = {
        "name": "", "kind": "string", "scale": "1", "on_one": "5", "further_min": "2",
        "version": desk.gulls.version,
    }  # fmt: skip
    assert client.post(edit, sent).status_code == 302
    page = words_of(client.get(reverse("scenes:guise_detail", args=[desk.show.pk, desk.gulls.pk])))
    assert "5 on one control count as one figure; each further one takes 2 h" in page
    make_steps(show=desk.show)
    added = Step.objects.filter(figure=desk.figure("G1")).exclude(stage__key__in=before)
    (others,) = added
    assert (others.stage.key, others.planned_min) == ("others", 4 * 2 * 60)
    assert desk.bench().needed == 2
    wrong = client.post(edit, sent | {"on_one": "0", "version": "2"})
    assert wrong.status_code == 422


def test_break_away_parts_are_counted_for_the_run(desk: Desk) -> None:
    give_rig(desk, "barrel")
    set_rig(
        show=desk.show, user=desk.lead, guise=desk.pell, name="Barrel", plays_plain=False,
        breaks_away=True, part_min=45,
    )  # fmt: skip
    client = Client()
    client.force_login(desk.lead)
    plot = reverse("scenes:plot", args=[desk.show.pk])
    page = words_of(client.get(plot))
    assert "Captain Pell, Barrel : 1 part a performance" in page
    assert "Say how many performances there are" in page
    Show.objects.filter(pk=desk.show.pk).update(performances=24)
    page = words_of(client.get(plot))
    assert "1 part a performance, 24 for 24 performances, 18 h of work" in page
    odile = person(desk.company, Role.READER, "Odile")
    client.force_login(odile)
    assert "24 for 24 performances" in words_of(client.get(plot))


def test_trick_builds_that_break_are_named_on_the_guise_and_stay_so(desk: Desk) -> None:
    client = Client()
    client.force_login(desk.lead)
    url = reverse("scenes:rig_set", args=[desk.show.pk, desk.pell.pk])
    assert client.post(url, {"name": "barrel", "breaks_away": "on", "part_min": "0:45"})
    rig = Rig.objects.get()
    assert (rig.breaks_away, rig.part_min, rig.plays_plain) == (True, 45, False)
    page = client.get(reverse("scenes:guise_detail", args=[desk.show.pk, desk.pell.pk]))
    assert "a part breaks at each performance" in words_of(page)
    # 'Plain too' is another press, and says nothing of breaking.
    hidden = dict(
        re.findall(
            r'type="hidden" name="(name|version|plays_plain|breaks_away|part_min)" '
            r'value="([^"]*)"',
            page.content.decode().split('id="guise-rigs"')[1],
        )
    )
    assert client.post(url, hidden).status_code in (200, 302)
    rig.refresh_from_db()
    assert (rig.plays_plain, rig.breaks_away, rig.part_min) == (True, True, 45)


def test_own_export_holds_crowds_and_breaking_builds_and_changes_nothing(desk: Desk) -> None:
    Guise.objects.filter(pk=desk.gulls.pk).update(on_one=5, further_min=90)
    set_rig(
        show=desk.show, user=desk.lead, guise=desk.pell, name="barrel", plays_plain=True,
        breaks_away=True, part_min=45,
    )  # fmt: skip
    files = export_plot(desk.show)
    rows, problems = read_guises("guises.csv", files["guises.csv"])
    assert problems == ()
    assert write_guises(rows) == files["guises.csv"]
    by_role = {row.character: row for row in rows}
    assert (by_role["Gulls"].on_one, by_role["Gulls"].further_min) == (5, 90)
    assert by_role["Captain Pell"].break_away == (("barrel", 45),)
    _import(desk, files)
    assert export_plot(desk.show)["guises.csv"] == files["guises.csv"]


def test_another_show_takes_crowds_and_breaking_builds_from_the_file(desk: Desk) -> None:
    guises = (
        b"character,guise,kind,on_one,further,rigs,break_away\n"
        b"Gulls,,string,7,1.5,,\nCaptain Pell,,string,,,barrel,barrel = 0:45\n"
    )
    files = export_plot(desk.show) | {"guises.csv": guises}
    _import(desk, files)
    gulls = Guise.objects.get(pk=desk.gulls.pk)
    assert (gulls.on_one, gulls.further_min) == (7, 90)
    assert (Rig.objects.get().breaks_away, Rig.objects.get().part_min) == (True, 45)


@pytest.mark.parametrize(
    ("cells", "words"),
    [
        (b"0,,,", "on_one: 0 is not between 1 and 50"),
        (b"x,,,", "on_one: 'x' is not a whole number"),
        (b",soon,,", "further: "),
        (b",,,barrel = 1", "break_away: 'barrel' stands under neither rigs nor plain_rigs"),
        (b",,barrel,barrel = soon", "break_away: "),
    ],
)
def test_wrong_cells_are_named(cells: bytes, words: str) -> None:
    file = b"character,guise,on_one,further,rigs,break_away\nGulls,," + cells + b"\n"
    _, problems = read_guises("guises.csv", file)
    assert any(words in str(problem) for problem in problems), problems


def _import(desk: Desk, files: dict[str, bytes]) -> None:
    sources = PlotSources(
        **{name.removesuffix(".csv"): Source(name, data) for name, data in files.items()}
    )
    import_plot(company=desk.company, user=desk.lead, title="The Salt Almanac", sources=sources)
