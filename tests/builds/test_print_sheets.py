"""`print_sheets`: the pack and each paper as a file, or one sentence and nothing written."""

from __future__ import annotations

import io
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from pypdf import PdfReader

from builds.benchmarks.sheets import measure_sheets
from builds.models import Step
from builds.services.drawings import start_drawing
from builds.services.plans import make_plan, pin_up
from company import clock
from company.models import Company
from scenes.models import Show
from tests.builds.drawings import lay_whole
from tests.builds.workshop import MORNING, Workshop
from tests.factories import CompanyFactory, ShowFactory
from tests.papers import read_words

pytestmark = pytest.mark.django_db


@pytest.fixture
def shop(settings: Any) -> Workshop:
    settings.TODAY = MORNING
    made = Workshop(figures=2)
    with clock.fixed_at(MORNING):
        pin_up(plan=make_plan(show=made.show, user=made.lead, work=0), user=made.lead)
    return made


def run(out: Path, *args: str, title: str = "The Salt Almanac") -> list[str]:
    said = io.StringIO()
    call_command("print_sheets", title, "--out", str(out), *args, stdout=said)
    return said.getvalue().splitlines()


def width_mm(path: Path) -> float:
    return float(PdfReader(path).pages[0].mediabox.width) / 72 * 25.4


def test_every_paper_is_a_file_and_its_path_is_printed(shop: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "new" / "sheets"
    said = run(out)
    names = [
        "pack.pdf",
        "figure-J1.pdf",
        "figure-J2.pdf",
        "week-ines-2027-05-03.pdf",
        "week-tomas-2027-05-03.pdf",
        "wall-plan.pdf",
    ]
    assert said == [str(out / name) for name in names]
    assert sorted(path.name for path in out.iterdir()) == sorted(names)
    assert "J2 for Tomas" in read_words((out / "figure-J2.pdf").read_bytes())
    assert width_mm(out / "pack.pdf") == pytest.approx(210, abs=0.2)


def test_full_size_drawings_are_among_them(shop: Workshop, tmp_path: Path) -> None:
    lay_whole(shop.guise, shop.lead)
    giant = shop.role("Captain Pell", "", "uniform")
    start_drawing(guise=giant, user=shop.lead, height_mm=Decimal(4900))
    wrong = io.StringIO()
    call_command("print_sheets", "The Salt Almanac", "--out", str(tmp_path), stderr=wrong)
    (name,) = [path.name for path in tmp_path.iterdir() if path.name.startswith("drawing-")]
    assert name == f"drawing-jory-tarrow-at-nine-{shop.guise.pk}.pdf"
    assert "600 mm tall, floor to crown, at 1:1" in read_words((tmp_path / name).read_bytes())
    assert "Captain Pell: The drawing would take" in wrong.getvalue()


def test_the_paper_asked_for_else_the_companys(shop: Workshop, tmp_path: Path) -> None:
    run(tmp_path / "a", "--paper", "Letter")
    Company.objects.update(paper="Letter")
    run(tmp_path / "b")
    run(tmp_path / "c", "--paper", "A4")
    found = [width_mm(tmp_path / name / "pack.pdf") for name in "abc"]
    assert found == pytest.approx([215.9, 215.9, 210], abs=0.2)


def test_twice_gives_the_same_bytes(shop: Workshop, tmp_path: Path) -> None:
    for name in ("one", "two"):
        run(tmp_path / name)
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes()


def test_titles_are_found_however_they_are_typed(shop: Workshop, tmp_path: Path) -> None:
    assert len(run(tmp_path, title="  the salt ALMANAC ")) == 6


def test_what_is_wrong_is_said_and_nothing_is_written(shop: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "out"
    with pytest.raises(CommandError, match="There are: The Salt Almanac"):
        run(out, title="Ferry Songs")
    with pytest.raises(CommandError, match="A5"):
        run(out, "--paper", "A5")
    CompanyFactory(name="Quay Street Puppets")
    with pytest.raises(CommandError, match="Quay Street Puppets"):
        run(out)
    assert not out.exists()
    assert len(run(out, "--company", "Driftmoor Figure Theatre")) == 6


def test_no_plan_and_no_work_left(shop: Workshop, tmp_path: Path) -> None:
    out = tmp_path / "out"
    ShowFactory(company=shop.company, title="Ferry Songs")
    with pytest.raises(CommandError, match="There is no plan yet"):
        run(out, title="Ferry Songs")
    Step.objects.update(begun_at=MORNING, finished_at=MORNING, passed_at=MORNING)
    with pytest.raises(CommandError, match="no work left"):
        run(out)
    assert not out.exists()
    assert Show.objects.count() == 2


def test_a_folder_that_cannot_be_written(shop: Workshop, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(CommandError, match=r"file.* cannot be written"):
        run(tmp_path / "file")
    with pytest.raises(CommandError, match=r"file.* cannot be written"):
        run(tmp_path / "file" / "below")


def test_measuring_wants_a_run() -> None:
    with pytest.raises(ValueError, match="fewer than 1"):
        measure_sheets(0)
