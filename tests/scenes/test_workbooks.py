"""An export comes in again unchanged: as files, as a workbook, by the page and by the command."""

from __future__ import annotations

import io
from datetime import date
from decimal import Decimal
from pathlib import Path

import openpyxl
import pytest
from django.core.files.base import ContentFile
from django.core.management import call_command
from django.db import transaction
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from company.models import Role
from company.spreadsheets import Sheet, write_workbook
from scenes.core.plot_files import Source
from scenes.models import Appearance, Character, Costume, Draft, Guise, Scene, Show
from scenes.models.plot import Hold
from scenes.queries.draft_changes import compare_drafts
from scenes.services.exports import NAMES, export_plot
from scenes.services.imports import ImportRefused, PlotSources, import_plot
from scenes.services.undo import undo_edit
from scenes.services.workbooks import export_workbook, read_plot_workbook
from tests.factories import ShowFactory, person
from tests.scenes.plots import lay_draft, lay_salt_almanac

pytestmark = pytest.mark.django_db

WORDS = st.text(
    st.characters(exclude_categories=["Cs", "Cc", "Zs", "Zl", "Zp"]), min_size=1, max_size=9
)
TRICKY = st.sampled_from(
    ["=1+1", "'=x", "@a", "-b", "+", "'", "''-x", "0:30", "-0:30", "007", "x;y"]
)
NAMES_OF = st.one_of(WORDS, TRICKY)
MOMENT = st.one_of(st.none(), st.integers(-90, 100))


def fresh(show: Show) -> Show:
    return Show.objects.select_related("company", "current_draft").get(pk=show.pk)


@pytest.fixture
def show():
    show = lay_salt_almanac()
    Scene.objects.filter(label="4").update(needed_by=date(2026, 5, 1))
    Guise.objects.filter(name="at nine").update(
        height_mm=480, scale=Decimal("0.85"), note="=SUM(A1)\r\nsecond line", chosen_by="2026-04-02"
    )
    Appearance.objects.filter(scene__label="7").update(
        enters_s=-20, leaves_s=100, from_place="left", hold=Hold.ONE_HAND, copies=2
    )
    return fresh(show)


def as_files(show: Show) -> PlotSources:
    return PlotSources(*(Source(name, data) for name, data in export_plot(show).items()))


def as_workbook(show: Show) -> PlotSources:
    return read_plot_workbook(Source("plot.xlsx", export_workbook(show)))


def bring_in(show: Show, sources: PlotSources) -> None:
    import_plot(company=show.company, user=None, title=show.title, sources=sources)


@pytest.mark.parametrize("take_out", [as_files, as_workbook], ids=["files", "workbook"])
def test_import_of_an_export_changes_nothing(show, take_out):
    before, draft = export_plot(show), show.current_draft

    bring_in(show, take_out(show))

    after = fresh(show)
    assert export_plot(after) == before
    assert after.current_draft.number == draft.number + 1
    assert compare_drafts(after, draft, after.current_draft).is_same
    keys = [set(d.appearances.values_list("key", flat=True)) for d in Draft.objects.all()]
    assert keys[0] == keys[1]


@st.composite
def plots(draw):
    """A show with names that are hard on files, some of them alike but for case."""
    show = ShowFactory(title=f"Show {draw(st.integers(0, 10**9))}")
    labels = draw(st.lists(NAMES_OF, min_size=1, max_size=4, unique_by=lambda t: t.casefold()))
    draft = lay_draft(
        show,
        [(label, draw(st.one_of(st.just(""), NAMES_OF)), draw(st.sampled_from(["", "One"])), 3)
         for label in labels],
    )  # fmt: skip
    scenes = list(Scene.objects.filter(draft=draft))
    names = draw(st.lists(NAMES_OF, min_size=1, max_size=3, unique_by=lambda t: t.casefold()))
    for n, name in enumerate(names):
        role = Character.objects.create(show=show, name=name, letters="ABC"[n], position=n)
        guise = Guise.objects.create(
            character=role, name=draw(st.one_of(st.just(""), NAMES_OF)),
            note=draw(st.sampled_from(["", "a\r\nb", "=x", "'-y"])),
            height_mm=draw(st.one_of(st.none(), st.integers(1, 900))),
        )  # fmt: skip
        worn = [
            Costume.objects.create(guise=guise, name=word, position=place)
            for place, word in enumerate(
                draw(st.lists(NAMES_OF, max_size=2, unique_by=lambda t: t.casefold()))
            )
        ]
        for _ in range(draw(st.integers(0, 3))):
            Appearance.objects.create(
                draft=draft, scene=draw(st.sampled_from(scenes)), guise=guise,
                costume=draw(st.sampled_from([None, *worn])), enters_s=draw(MOMENT),
                leaves_s=draw(st.one_of(st.none(), st.integers(101, 210))),
                from_place=draw(st.one_of(st.just(""), NAMES_OF)),
                copies=draw(st.integers(1, 3)), hold=draw(st.sampled_from(Hold.values)),
            )  # fmt: skip
    return fresh(show)


@given(data=st.data())
@settings(deadline=None, max_examples=15)
def test_import_of_any_export_is_the_identity(data):
    with transaction.atomic():
        show = data.draw(plots())
        before = export_plot(show)
        for take_out in (as_files, as_workbook):
            bring_in(show, take_out(fresh(show)))
            assert export_plot(fresh(show)) == before
        transaction.set_rollback(True)


def test_workbook_has_a_sheet_for_each_file_with_numbers_and_days(show):
    book = openpyxl.load_workbook(io.BytesIO(export_workbook(show)))

    assert book.sheetnames == [name.removesuffix(".csv") for name in NAMES]
    scenes = {cell.value: cell.column for cell in book["scenes"][1]}
    fourth = book["scenes"][5]
    assert fourth[scenes["needed_by"] - 1].value.date() == date(2026, 5, 1)
    assert fourth[scenes["minutes"] - 1].value.total_seconds() == 480
    assert fourth[scenes["scene"] - 1].value == "4"  # a label, and no number
    guises = {cell.value: cell.column for cell in book["guises"][1]}
    note = book["guises"].cell(2, guises["note"])
    assert (note.data_type, note.value[:8]) == ("s", "=SUM(A1)")
    assert book["guises"].cell(2, guises["height_mm"]).value == 480


def test_csv_never_begins_a_cell_like_a_formula(show):
    data = export_plot(show)["guises.csv"].decode("utf-8-sig")

    assert ",\"'=SUM(A1)" in data
    assert ",=SUM" not in data


# By the page


@pytest.fixture
def lead(show, client):
    user = person(show.company, Role.LEAD)
    client.force_login(user)
    return user


def send(client, show, **files):
    url = reverse("scenes:plot_import", args=[show.pk])
    return client.post(url, {k: ContentFile(v, name=n) for k, (n, v) in files.items()})


def test_page_takes_our_workbook_and_says_that_nothing_differs(show, lead, client):
    before = export_plot(show)

    answer = send(client, show, workbook=("plot.xlsx", export_workbook(show)))

    assert "compare/?from=1&to=2" in answer.url
    assert "Nothing differs: both say the same." in client.get(answer.url).content.decode()
    assert export_plot(fresh(show)) == before
    assert undo_edit(show=fresh(show), user=lead).said == "draft 2 brought in from files"
    assert fresh(show).current_draft.number == 1


def test_page_gives_the_workbook(show, lead, client):
    answer = client.get(reverse("scenes:file_download", args=[show.pk, "plot.xlsx"]))

    assert answer["Content-Type"].endswith("spreadsheetml.sheet")
    assert answer["Content-Disposition"].endswith('-draft-1-plot.xlsx"')
    assert len(openpyxl.load_workbook(io.BytesIO(answer.content)).sheetnames) == 5


SCENES = Sheet("scenes", ("scene", "minutes"), [["1", 4]])
PLOT = Sheet("plot", ("scene", "character", "guise", "costume"), [["9", "Heron", None, "grey"]])


@pytest.mark.parametrize(
    ("sheets", "problems"),
    [
        ([SCENES], ["w.xlsx:1: has no sheet called 'plot': it has 'scenes'"]),
        (
            [Sheet("Tabelle1", ("a",), [])],
            ["w.xlsx:1: has no sheet called 'scenes': it has 'tabelle1'",
             "w.xlsx:1: has no sheet called 'plot': it has 'tabelle1'"],
        ),
        (
            [SCENES, PLOT],
            ["w.xlsx, sheet plot:2: scene: there is no scene '9' in w.xlsx, sheet scenes"],
        ),
        (
            [Sheet("Scenes", ("scene", "minutes"), [["1", "soon"], ["1", 4]]), PLOT],
            ["w.xlsx, sheet scenes:2: minutes: 'soon' is not a number of minutes",
             "w.xlsx, sheet scenes:3: scene: '1' is there already, in line 2",
             "w.xlsx, sheet plot:2: scene: there is no scene '9'"],
        ),
        (
            [SCENES, Sheet("plot", ("scene", "who"), [])],
            ["w.xlsx, sheet plot:1: unknown column 'who'",
             "w.xlsx, sheet plot:1: the column character, guise, costume is missing"],
        ),
        (
            [SCENES, Sheet("plot", PLOT.header, [["1", "Heron", None, "grey"]] * 20_001)],
            ["w.xlsx, sheet plot:20002: more than 20000 lines: no plot is as long as that"],
        ),
    ],
    ids=["sheet", "sheets", "scene", "all at once", "columns", "long"],
)  # fmt: skip
def test_everything_wrong_with_a_workbook_is_told_at_once(show, sheets, problems):
    with pytest.raises(ImportRefused) as refused:
        bring_in(show, read_plot_workbook(Source("w.xlsx", write_workbook(sheets))))

    said = [str(problem) for problem in refused.value.problems]
    assert len(said) == len(problems)
    for one, start in zip(said, problems, strict=True):
        assert one.startswith(start)
    assert fresh(show).current_draft.number == 1


def test_workbook_among_the_csv_files_is_told_what_it_is(show, lead, client):
    answer = send(
        client, show, scenes=("a.xlsx", export_workbook(show)), plot=("b.csv", b"scene;x\n")
    )

    html = answer.content.decode()
    assert answer.status_code == 422
    assert "is a workbook, not a CSV file" in html
    assert "unknown column" in html


def test_workbook_with_files_beside_it_is_refused(show, lead, client):
    book = ("plot.xlsx", export_workbook(show))

    answer = send(client, show, workbook=book, plot=("plot.csv", b"x"))

    assert "A workbook holds everything" in answer.content.decode()


# By the command


def run(*words: str) -> tuple[int, str, str]:
    out, err = io.StringIO(), io.StringIO()
    try:
        call_command("import_plot", *words, stdout=out, stderr=err)
    except SystemExit as end:
        return int(end.code or 0), out.getvalue(), err.getvalue()
    return 0, out.getvalue(), err.getvalue()


@pytest.mark.parametrize("form", ["folder", "long names", "workbook"])
def test_command_takes_what_an_export_gave_and_changes_nothing(show, tmp_path: Path, form):
    before, times = export_plot(show), (show.crossing_s, show.reset_s)
    whole = tmp_path
    if form == "workbook":
        whole = tmp_path / "plot.xlsx"
        whole.write_bytes(export_workbook(show))
    else:
        stem = "the-salt-almanac-draft-1-" if form == "long names" else ""
        for name, data in before.items():
            (tmp_path / f"{stem}{name}").write_bytes(data)

    code, _, err = run(show.title, "--from", str(whole))

    assert (code, err) == (0, "")
    after = fresh(show)
    assert export_plot(after) == before
    assert (after.crossing_s, after.reset_s) == times


def test_command_says_all_that_is_missing(tmp_path: Path):
    code, _, err = run("The Salt Almanac")
    assert (code, err.splitlines()) == (
        1, ["--scenes:1: is missing: give the file", "--plot:1: is missing: give the file"],
    )  # fmt: skip
    code, _, err = run("The Salt Almanac", "--from", str(tmp_path))
    assert (code, [line.split(":")[0] for line in err.splitlines()]) == (
        1, ["scenes.csv", "plot.csv"],
    )  # fmt: skip
    code, _, err = run("x", "--from", str(tmp_path), "--plot", "y")
    assert (code, err) == (1, "--from:1: holds everything: leave out --plot\n")
    bad = tmp_path / "bad.xlsx"
    bad.write_bytes(b"hello")
    code, _, err = run("x", "--from", str(bad))
    assert (code, err) == (1, f"{bad}:1: is not a workbook: save it as .xlsx\n")
