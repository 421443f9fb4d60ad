"""The press: fonts, pages, addresses it may and may not fetch, codes, and doing without Pango."""

from __future__ import annotations

import builtins
import io
import re
import sys
from pathlib import Path
from typing import Any

import pytest
import segno
from PIL import Image
from pypdf import PdfReader

from company import sheet_files, sheets
from company.sheet_files import find_own_file, has_media, media_address, read_own_file
from company.sheets import (
    CannotPrint,
    PaperFile,
    Sheet,
    bind_pdf,
    can_print,
    draw_code,
    join_pdf,
    lay_out,
    make_fetcher,
)
from tests.papers import font_names, page_picture, read_codes, read_pages, unembedded_fonts

FOOT = (
    '<div class="foot"><div class="foot-left">left</div><div class="foot-middle">middle</div>'
    '<div class="foot-right"></div></div>'
)


def page(body: str, paper: str = "A4", title: str = "A sheet") -> Sheet:
    """A bare sheet."""
    html = f"<!doctype html><html><head><title>{title}</title></head><body>{FOOT}{body}"
    return Sheet(f"{html}<div id='end'></div></body></html>", paper)


def lines(count: int) -> str:
    return "".join(f"<p>line {n}</p>" for n in range(count))


@pytest.fixture
def anew() -> Any:
    """Nothing kept from another test, and nothing for another."""
    sheets._join.cache_clear()
    sheets._press.cache_clear()
    yield
    sheets._join.cache_clear()
    sheets._press.cache_clear()


class TestPress:
    def test_every_sheet_counts_its_own_pages(self) -> None:
        long = page("".join(f"<h1>part {n}</h1>{lines(30)}" for n in range(3)))
        said = read_pages(join_pdf([page("<p>alone</p>"), long]))
        assert [re.findall(r"page \d of \d", text) for text in said] == [
            ["page 1 of 1"],
            *([f"page {n} of {len(said) - 1}"] for n in range(1, len(said))),
        ]
        assert len(said) > 2

    def test_fonts_are_our_own_and_in_the_file(self) -> None:
        body = "<h1>Żółw Tarrow</h1><p>½ h, 3 mm ±1, <b>bół</b>, <i>slantęd</i></p>"
        pdf = join_pdf([page(body)])
        assert unembedded_fonts(pdf) == []
        assert [name for name in font_names(pdf) if "+Sheet-" not in name] == []
        assert not any("Oblique" in name for name in font_names(pdf))

    def test_the_same_sheets_give_the_same_bytes(self, anew: None) -> None:
        one = join_pdf([page("<h1>J4</h1>" + lines(60))])
        other = join_pdf([page("<h1>Another</h1>", "Letter")])
        sheets._join.cache_clear()
        assert join_pdf([page("<h1>J4</h1>" + lines(60))]) == one != other
        sheets._press.cache_clear()
        sheets._join.cache_clear()
        assert join_pdf([page("<h1>J4</h1>" + lines(60))]) == one

    def test_a_file_asked_for_again_is_at_hand(self, anew: None) -> None:
        join_pdf([page("<p>once</p>")])
        before = sheets._join.cache_info().hits
        join_pdf([page("<p>once</p>")])
        assert sheets._join.cache_info().hits == before + 1

    def test_laid_out_once_bound_in_two_files(self) -> None:
        first, second = lay_out([page("<p>one</p>"), page("<p>two</p>")])
        both, alone = bind_pdf([first, second]), bind_pdf([second])
        assert [text.split()[0] for text in read_pages(both)] == ["one", "two"]
        assert [text.split()[0] for text in read_pages(alone)] == ["two"]
        assert (first.pages, second.pages) == (1, 1)

    def test_the_title_is_the_files_own(self) -> None:
        sheet = page("<p>x</p>", title="First")
        for title, said in (("", "First"), ("The pack", "The pack")):
            metadata = PdfReader(io.BytesIO(join_pdf([sheet], title=title))).metadata
            assert metadata is not None
            assert metadata.title == said
        assert PaperFile("x.pdf", "The pack", (sheet,)).pdf() == join_pdf([sheet], title="The pack")

    @pytest.mark.parametrize(
        ("paper", "size_mm"),
        [
            ("A4", (210, 297)),  # ISO 216
            ("Letter", (215.9, 279.4)),  # ANSI/ASME Y14.1: 8.5 by 11 inches
            ("A3 landscape", (420, 297)),
            ("ledger landscape", (431.8, 279.4)),
        ],
    )
    def test_papers_have_their_size(self, paper: str, size_mm: tuple[float, float]) -> None:
        box = PdfReader(io.BytesIO(join_pdf([page("<p>x</p>", paper)]))).pages[0].mediabox
        found = (float(box.width) / 72 * 25.4, float(box.height) / 72 * 25.4)
        assert found == pytest.approx(size_mm, abs=0.2)

    def test_unknown_paper_and_nothing_at_all_are_refused(self) -> None:
        with pytest.raises(ValueError, match="paper is 'A5'"):
            Sheet("<p>x</p>", "A5")
        for make in (join_pdf, bind_pdf):
            with pytest.raises(ValueError, match="nothing to print"):
                make([])

    def test_a_few_lines_alone_on_a_last_page_are_drawn_in(
        self, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        def pages(rows: int, tighten_below: float = sheets.TIGHTEN_BELOW) -> int:
            monkeypatch.setattr(sheets, "TIGHTEN_BELOW", tighten_below)
            body = "".join(f"<tr><td>row {n}</td></tr>" for n in range(rows))
            return lay_out([page(f'<table class="steps">{body}</table>')])[0].pages

        room = next(rows for rows in range(20, 90) if pages(rows, 0) == 2) - 1
        assert [pages(room), pages(room + 1), pages(room + 3)] == [1, 1, 1]
        # What tightening makes no room for stays as it was: two pages at the size meant.
        assert pages(2 * room - 2) == pages(2 * room - 2, 0) == 2


class TestFiles:
    def test_static_files_and_uploads_are_found(self, settings: Any) -> None:
        folder = Path(settings.MEDIA_ROOT) / "photos"
        folder.mkdir(parents=True)
        (folder / "one two.png").write_bytes(b"x")
        assert find_own_file(sheet_files.STYLE) is not None
        found = find_own_file(media_address("photos/one two.png"))
        assert found is not None
        assert found.name == "one two.png"
        assert has_media("photos/one two.png")
        assert not has_media("photos/none.png")
        assert not has_media("")

    @pytest.mark.parametrize(
        "url",
        [
            "http://example.org/picture.png",
            "https://sheet.invalid/static/company/css/sheet.css",
            "http://sheet.invalid:80/static/company/css/sheet.css",
            "http://sheet.invalid@example.org/static/company/css/sheet.css",
            "http://sheet.invalid/secret-key",
            "http://sheet.invalid/media/../secret-key",
            "http://sheet.invalid/media/%2e%2e/secret-key",
            "http://sheet.invalid/static/../../manage.py",
            "http://sheet.invalid/media//etc/passwd",
            "http://sheet.invalid/media/a%00b",
            "http://[sheet/media/a",
            "file:///etc/passwd",
            "data:text/css,p{}",
            "ftp://sheet.invalid/static/company/css/sheet.css",
            "",
        ],
    )
    def test_nothing_else_is_fetched(self, url: str, settings: Any) -> None:
        Path(settings.MEDIA_ROOT).mkdir(parents=True)
        (Path(settings.MEDIA_ROOT).parent / "secret-key").write_text("secret")
        assert find_own_file(url) is None
        with pytest.raises(ValueError, match="may not fetch"):
            make_fetcher().fetch(url)

    def test_a_sheet_that_asks_for_a_page_of_the_web_prints_without_it(
        self, logged_errors: list[Any]
    ) -> None:
        body = '<img src="http://example.org/x.png"><p>still here</p>'
        assert "still here" in read_pages(join_pdf([page(body)]))[0]
        (error,) = logged_errors
        assert "may not fetch http://example.org/x.png" in error.getMessage()
        logged_errors.clear()

    @pytest.mark.parametrize(("form", "kind"), [("JPEG", "image/jpeg"), ("PNG", "image/png")])
    def test_large_pictures_are_made_small_and_small_ones_left(
        self, form: str, kind: str, settings: Any
    ) -> None:
        folder = Path(settings.MEDIA_ROOT)
        folder.mkdir(parents=True)
        for name, size in (("large", (3000, 1500)), ("small", (300, 200))):
            Image.new("RGB", size, "tan").save(folder / name, form)
        body, said = read_own_file(media_address("large")) or (b"", "")
        assert said == kind
        assert Image.open(io.BytesIO(body)).size == (1000, 500)
        assert read_own_file(media_address("small")) == ((folder / "small").read_bytes(), kind)

    def test_an_overwritten_picture_is_read_anew(self, settings: Any) -> None:
        folder = Path(settings.MEDIA_ROOT)
        folder.mkdir(parents=True)
        for colour in ("black", "white"):
            Image.new("L", (1200, 1200), colour).save(folder / "one.png")
            body, _ = read_own_file(media_address("one.png")) or (b"", "")
            assert Image.open(io.BytesIO(body)).convert("L").getpixel((5, 5)) in (0, 255)
        assert Image.open(io.BytesIO(body)).convert("L").getpixel((5, 5)) == 255


class TestCodes:
    def test_a_code_on_paper_is_read_back(self, tmp_path: Path) -> None:
        """Really printed: the PDF is made a picture and a general reader reads its code."""
        link = "https://strung.example/f/abcdefghij/"
        pdf = join_pdf([page(f'<div class="code-box">{draw_code(link)}</div>')])
        assert read_codes(pdf, tmp_path) == [link]

    def test_what_stands_in_it_is_escaped(self) -> None:
        assert "<b>" not in draw_code("https://x.example/?a=<b>&c")

    def test_it_is_black_and_stands_free(self, tmp_path: Path) -> None:
        """ISO/IEC 18004: dark on light, with a quiet zone of four modules all round."""
        link = "https://x.example/f/"
        pdf = join_pdf([page(f'<div class="code-box">{draw_code(link)}</div>')])
        grey = Image.open(page_picture(pdf, tmp_path, dpi=300)).convert("L")
        left, top, right, bottom = grey.point(lambda v: 255 * (v < 10)).getbbox() or (0, 0, 0, 0)
        module = (right - left) / segno.make(link, error="m", micro=False).symbol_size(border=0)[0]
        assert right - left == pytest.approx(bottom - top, abs=2)
        assert module * 25.4 / 300 > 0.4  # mm; from memory, what a phone needs at arm's length
        quiet = int(3.9 * module)
        for box in (
            (left - quiet, top, left - 2, bottom),
            (right + 2, top, right + quiet, bottom),
            (left, bottom + 2, right, bottom + quiet),
        ):
            assert grey.crop(box).getextrema() == (255, 255)


class TestWithoutPango:
    @pytest.fixture(params=[OSError("cannot load library 'libpango-1.0-0'"), ImportError("none")])
    def no_pango(self, request: Any, monkeypatch: pytest.MonkeyPatch, anew: None) -> None:
        """Importing WeasyPrint fails, as it does where Pango is not installed."""
        real = builtins.__import__

        def refuse(name: str, *args: Any, **more: Any) -> Any:
            if name.partition(".")[0] == "weasyprint":
                raise request.param
            return real(name, *args, **more)

        for name in [name for name in sys.modules if name.partition(".")[0] == "weasyprint"]:
            monkeypatch.delitem(sys.modules, name)
        monkeypatch.setattr(builtins, "__import__", refuse)

    def test_it_says_what_to_install(self, no_pango: None) -> None:
        assert not can_print()
        with pytest.raises(CannotPrint, match="apt install libpango-1.0-0 libpangoft2-1.0-0"):
            join_pdf([page("<p>x</p>")])

    def test_here_it_prints(self) -> None:
        assert can_print()
