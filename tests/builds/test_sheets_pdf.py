"""The papers opened again: what is in them, where it stands, and what the code says."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from builds.models import PlannedStep, Stage
from builds.queries.sheets.desk import Desk
from builds.queries.sheets.facts import sketch_of
from builds.sheets import (
    desk_for,
    figure_paper,
    pack_paper,
    plot_paper,
    print_all,
    register_paper,
    week_paper,
)
from company.core.units import format_hours
from company.sheets import PaperFile, bind_pdf, lay_out
from scenes.models import Guise
from tests.laid import Twins
from tests.papers import (
    read_codes,
    read_pages,
    read_words,
    say,
    unembedded_fonts,
    words_outside,
)

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("laid_media")]

MARGIN_MM = 6.35  # a quarter of an inch, which most desk printers leave white
LONG = "Wolfeschlegelsteinhausenbergerdorffshire"


@pytest.fixture(scope="module")
def desk(laid: Twins, django_db_blocker: Any) -> Desk:
    with django_db_blocker.unblock():
        return desk_for(laid.ours.show)


@pytest.fixture(scope="module")
def pack(desk: Desk, laid: Twins, django_db_blocker: Any) -> bytes:
    """The pack of the laid show on A4."""
    from django.test import override_settings

    with django_db_blocker.unblock(), override_settings(MEDIA_ROOT=laid.media):
        return pack_paper(desk, "A4").pdf()


def text_of(file: PaperFile) -> str:
    return read_words(file.pdf())


class TestPack:
    def test_every_step_and_its_hours_are_in_it(self, desk: Desk, pack: bytes) -> None:
        text = read_words(pack)
        by_step: dict[int, list[PlannedStep]] = {}
        for row in desk.rows:
            by_step.setdefault(row.step_id, []).append(row)
        assert len(by_step) > 60
        for group in by_step.values():
            step = group[0].step
            assert say(step.stage.name) in text
            if step.begun_at is None:
                assert format_hours(sum(row.minutes for row in group)) in text

    def test_every_sheet_says_whose_it_is(self, desk: Desk, pack: bytes) -> None:
        pages = read_pages(pack)
        for figure in desk.figures:
            for row in desk.rows_by_figure.get(figure.pk, ()):
                assert any(f"{figure.tag} for {row.maker}. Not for posting" in p for p in pages)

    def test_every_page_says_where_it_is_from(self, pack: bytes) -> None:
        for page in read_pages(pack):
            assert re.search(r"page \d+ of \d+", page)
            assert "Not for posting" in page
            assert re.search(r"pinned-up plan of 4 Mar,( plot draft 1,)? printed 4 Mar 2026", page)

    def test_pages_count_from_one_to_their_number(self, pack: bytes) -> None:
        numbers = [re.search(r"page (\d+) of (\d+)", page) for page in read_pages(pack)]
        expected = 1
        for found in numbers:
            assert found is not None
            page, of = int(found[1]), int(found[2])
            assert page == expected
            expected = page + 1 if page < of else 1
        assert expected == 1

    def test_fonts_are_in_the_file(self, pack: bytes) -> None:
        assert unembedded_fonts(pack) == []

    def test_nothing_stands_outside_the_page(self, pack: bytes, tmp_path: Path) -> None:
        assert list(words_outside(pack, tmp_path, MARGIN_MM)) == []

    def test_the_same_desk_gives_the_same_bytes(self, desk: Desk, pack: bytes) -> None:
        assert bind_pdf(lay_out(pack_paper(desk, "A4").sheets), title=pack_title(desk)) == pack

    def test_no_sketch_but_the_chosen_one(self, desk: Desk, laid: Twins) -> None:
        html = "".join(sheet.html for sheet in pack_paper(desk, "A4").sheets)
        # of a guise that is drawn the profile stands in place of its sketch
        shown = sketch_of(desk, laid.ours.figure)
        assert shown is not None
        assert laid.ours.chosen_sketch.file.name in shown.address
        for sketch in (laid.ours.own_sketch, laid.ours.makers_sketch, laid.theirs.chosen_sketch):
            assert sketch.file.name not in html

    def test_nothing_of_another_company(self, desk: Desk) -> None:
        assert {row.plan_id for row in desk.rows} == {desk.plan.pk}
        assert {figure.show_id for figure in desk.figures} == {desk.show.pk}
        assert {maker.company_id for maker in desk.makers} == {desk.company.pk}


def pack_title(desk: Desk) -> str:
    return pack_paper(desk, "A4").title


class TestFigure:
    def test_what_a_helper_needs(self, desk: Desk, laid: Twins) -> None:
        text = text_of(figure_paper(desk, laid.ours.figure, "A4", laid.ours.tomas))
        for words in (
            "J1",
            "Jory Tarrow at nine, smock",
            "for Tomas",
            "Ines leads",
            "shoulder hole",
            "weight",
            "J1 on 4 Mar: as it lies",
            "Shoes or feet",
            "What right looks like",
            "Sole is flat from heel to ball",
            "Took",
            "Finished",
            "Passed",
            "Drying from",
            "Leave alone",
            "Stop and ask Ines",
            "Weigh it",
            "After you",
            "Put it back: shelf B",
            "after signing in",
        ):
            assert words in text, words

    def test_the_cautions_of_each_craft_on_it(self, desk: Desk, laid: Twins) -> None:
        """Each caution of each stage stands on the sheet, whole but for a closing said once."""
        rows = desk.rows_by_figure[laid.ours.figure.pk]
        for maker in (laid.ours.ines, laid.ours.tomas):
            text = text_of(figure_paper(desk, laid.ours.figure, "A4", maker))
            stages: set[Stage] = {
                row.step.stage for row in rows if maker.pk in (row.maker_id, row.second_id)
            }
            assert {stage.craft.name for stage in stages if stage.craft}
            for stage in stages:
                for sentence in re.split(r"(?<=[.!?])\s+", stage.cautions):
                    assert say(sentence) in text, (stage, sentence)

    def test_the_code_is_read_back_to_the_figures_link(
        self, desk: Desk, laid: Twins, tmp_path: Path, settings: Any
    ) -> None:
        settings.SITE_URL = "https://strung.example"
        pdf = figure_paper(desk, laid.ours.figure, "A4", laid.ours.tomas).pdf()
        link = f"https://strung.example/f/{laid.ours.figure.public_key}/"
        assert read_codes(pdf, tmp_path) == [link]

    def test_long_names_on_letter_stay_on_the_page(
        self, laid: Twins, tmp_path: Path, settings: Any
    ) -> None:
        Guise.objects.filter(pk=laid.ours.jory.pk).update(name=LONG, words=LONG, colours=LONG * 4)
        laid.ours.figure.__class__.objects.filter(letters="J").update(
            letters="JOR", place=LONG, note=f"{LONG} {LONG}"
        )
        laid.ours.tomas.__class__.objects.filter(name="Tomas").update(name=LONG)
        settings.SITE_URL = "https://the-longest-name-of-a-site-that-anybody.has.thought.of.example"
        desk = desk_for(laid.ours.show)
        papers = [figure_paper(desk, f, "Letter") for f in desk.figures if f.letters == "JOR"]
        papers.append(week_paper(desk, laid.ours.tomas, laid.ours.day(-2), "Letter"))
        for paper in papers:
            assert list(words_outside(paper.pdf(), tmp_path, MARGIN_MM)) == []

    def test_rows_of_the_table_are_never_parted(self, desk: Desk, laid: Twins) -> None:
        """The last row of a page has all its words: each step's name and text share a page."""
        pages = read_pages(figure_paper(desk, laid.ours.figure, "A4", laid.ours.ines).pdf())
        assert len(pages) > 2
        for row in desk.rows_by_figure[laid.ours.figure.pk]:
            stage = row.step.stage
            if row.maker_id != laid.ours.ines.pk or not stage.looks_right:
                continue
            home = [page for page in pages if say(stage.looks_right) in page]
            assert home, stage.name
            assert say(stage.name) in home[0]
            assert say(stage.ask_if) in home[0]


class TestWeek:
    def test_a_week(self, desk: Desk, laid: Twins) -> None:
        monday = laid.ours.day(-2)
        text = text_of(week_paper(desk, laid.ours.ines, monday, "A4"))
        for words in ("Ines, week of 2 Mar", "Wednesday 4 March", "09:00 to 13:00 and 14:00 to"):
            assert words in text
        assert "Waits for your pass" in text
        assert "Pass the head" in text

    def test_an_empty_week(self, desk: Desk, laid: Twins) -> None:
        text = text_of(week_paper(desk, laid.ours.free, laid.ours.day(-2), "Letter"))
        assert "Odile is not in, and nothing is planned." in text

    def test_the_code_leads_to_today(self, desk: Desk, laid: Twins, tmp_path: Path) -> None:
        pdf = week_paper(desk, laid.ours.ines, laid.ours.day(-2), "A4").pdf()
        assert read_codes(pdf, tmp_path) == [f"http://127.0.0.1:8000/shows/{desk.show.pk}/today/"]


class TestCount:
    def test_the_register_has_every_figure_and_the_reasons(
        self, laid: Twins, tmp_path: Path
    ) -> None:
        pdf = register_paper(laid.ours.show, "A4").pdf()
        text = read_words(pdf)
        for figure in laid.ours.figure.__class__.objects.filter(show=laid.ours.show):
            assert figure.tag in text
        assert "two costumes, no change possible" in text or "no time to change" in text
        assert "The plot needs 5; 4 are at the bench. 1 spare beside them." in text
        assert list(words_outside(pdf, tmp_path, MARGIN_MM)) == []

    def test_the_plot_has_every_role_scene_and_number(self, laid: Twins, tmp_path: Path) -> None:
        pdf = plot_paper(laid.ours.show, "A4").pdf()
        text = read_words(pdf)
        for words in ("Jory Tarrow", "The Heron", "Storm", "J1", "H1", "smock", "plot draft 2"):
            assert words in text, words
        assert unembedded_fonts(pdf) == []
        assert list(words_outside(pdf, tmp_path, MARGIN_MM)) == []


def test_all_files_are_those_of_the_pack(desk: Desk, pack: bytes) -> None:
    files = dict(print_all(desk, "A4"))
    assert next(iter(files)) == "pack.pdf"
    assert files["pack.pdf"] == pack
    # the wall plan is a file of its own: the pack is for the bench
    own = ("pack.pdf", "wall-plan.pdf")
    pages = sum(len(read_pages(pdf)) for name, pdf in files.items() if name not in own)
    assert pages == len(read_pages(pack))
