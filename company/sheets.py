"""The one place that turns a template into a PDF, and the only importer of WeasyPrint."""

from __future__ import annotations

import atexit
import io
import threading
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import segno
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from company.sheet_files import BASE, STYLE, TIGHT_STYLE, read_own_file


class CannotPrint(Exception):
    """PDFs cannot be made on this machine; the text says what to install."""


NO_PANGO = (
    "This machine cannot make PDFs yet: the Pango library is missing. On Debian and Ubuntu: "
    "sudo apt install libpango-1.0-0 libpangoft2-1.0-0. Everything else works without it."
)
END = "end"  # the id of what stands last on every sheet
TIGHTEN_BELOW = 0.35  # of the page's height
FILES_KEPT = 12  # a pack is about a megabyte
PAPERS = ("A4", "Letter", "A3 landscape", "ledger landscape")


@dataclass(frozen=True, slots=True)
class Sheet:
    """One paper as HTML, and the page it is laid out on. It counts its own pages."""

    html: str
    paper: str

    def __post_init__(self) -> None:
        if self.paper not in PAPERS:
            raise ValueError(f"paper is {self.paper!r}, not one of {', '.join(PAPERS)}")


@dataclass(frozen=True, slots=True)
class PaperFile:
    """A PDF to be: its name, the title inside, and its sheets. Nothing is laid out before `pdf`."""

    name: str
    title: str
    sheets: tuple[Sheet, ...]

    def pdf(self) -> bytes:
        """The file. Raises CannotPrint without Pango."""
        return _join(self.sheets, self.title)


def can_print() -> bool:
    """Whether the libraries behind the PDFs load here."""
    try:
        import weasyprint  # noqa: F401
    except (ImportError, OSError):
        return False
    return True


def render_sheet(template: str, context: dict[str, Any], *, paper: str, title: str) -> Sheet:
    """A sheet from its template."""
    return Sheet(render_to_string(template, {**context, "title": title}), paper)


def join_pdf(sheets: Sequence[Sheet], *, title: str = "") -> bytes:
    """Sheets one after another as one PDF, fonts embedded.

    The same input gives the same bytes. `title` is the file's; the first sheet's where left out.
    Raises CannotPrint without Pango, ValueError where there is nothing to print.
    """
    return _join(tuple(sheets), title)


@lru_cache(maxsize=FILES_KEPT)
def _join(sheets: tuple[Sheet, ...], title: str) -> bytes:
    """A file asked for again is at hand: the whole text of its sheets is the key."""
    return bind_pdf(lay_out(sheets), title=title)


class LaidOut:
    """A sheet on its pages, ready for any number of files."""

    def __init__(self, document: Any) -> None:
        self.document = document

    @property
    def pages(self) -> int:
        """How many pages it takes."""
        return len(self.document.pages)


def lay_out(sheets: Sequence[Sheet]) -> list[LaidOut]:
    """Set sheets on their pages: most of the work, done once for a pack and its single files."""
    return _press_or_say_why().lay_out(sheets)


def bind_pdf(laid_out: Sequence[LaidOut], *, title: str = "") -> bytes:
    """Laid out sheets as one PDF."""
    if not laid_out:
        raise ValueError("laid_out is empty: there is nothing to print")
    return _press_or_say_why().bind(laid_out, title)


class _Press:
    """Fonts and style are read once and kept: that is most of what a single sheet costs.

    Pango's font maps must not be used by two threads at a time, so one file is made at a time.
    """

    def __init__(self) -> None:
        from weasyprint import CSS
        from weasyprint.text.fonts import FontConfiguration

        self.lock = threading.Lock()
        self.fetcher = make_fetcher()
        self.fonts = FontConfiguration()
        self.style = CSS(url=STYLE, url_fetcher=self.fetcher, font_config=self.fonts)
        self.tight = CSS(url=TIGHT_STYLE, url_fetcher=self.fetcher, font_config=self.fonts)
        self.papers = {name: CSS(string=f"@page {{ size: {name} }}") for name in PAPERS}

    def lay_out(self, sheets: Sequence[Sheet]) -> list[LaidOut]:
        pictures: dict[str, Any] = {}  # each picture stands in the file once, on however many pages
        with self.lock:
            return [LaidOut(self._lay_out(sheet, pictures)) for sheet in sheets]

    def _lay_out(self, sheet: Sheet, pictures: dict[str, Any]) -> Any:
        """The sheet on its pages; set tighter where that saves a page with a few lines alone."""
        wide = self._render(sheet, pictures)
        last = wide.pages[-1]
        end = last.anchors.get(END)  # left, top, right, bottom
        if len(wide.pages) == 1 or end is None or end[1] > TIGHTEN_BELOW * last.height:
            return wide
        tight = self._render(sheet, pictures, self.tight)
        return tight if len(tight.pages) < len(wide.pages) else wide

    def _render(self, sheet: Sheet, pictures: dict[str, Any], *more: Any) -> Any:
        from weasyprint import HTML

        return HTML(string=sheet.html, base_url=BASE, url_fetcher=self.fetcher).render(
            font_config=self.fonts,
            stylesheets=[self.style, self.papers[sheet.paper], *more],
            cache=pictures,
        )

    def bind(self, laid_out: Sequence[LaidOut], title: str) -> bytes:
        documents = [sheet.document for sheet in laid_out]
        with self.lock:
            whole = documents[0].copy([page for document in documents for page in document.pages])
            if title:
                whole.metadata = copy(whole.metadata)
                whole.metadata.title = title
            pdf: bytes = whole.write_pdf()
        return pdf


def _press_or_say_why() -> _Press:
    try:
        return _press()
    except (ImportError, OSError) as error:
        raise CannotPrint(NO_PANGO) from error


@lru_cache(maxsize=1)
def _press() -> _Press:
    # Let go while Python still stands: the fonts take their folder with them.
    atexit.register(_press.cache_clear)
    return _Press()


def make_fetcher() -> Any:
    """Hands WeasyPrint our static files and uploads; every other address is refused."""
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesFetcher(URLFetcher):  # type: ignore[misc]
        def fetch(self, url: str, headers: Any = None) -> Any:
            found = read_own_file(url)
            if found is None:
                raise ValueError(f"A sheet may not fetch {url}")
            body, kind = found
            return URLFetcherResponse(url, body, {"Content-Type": kind}, 200)

    return OwnFilesFetcher(allowed_protocols=("http",))


def draw_code(text: str) -> SafeString:
    """A QR code (ISO/IEC 18004) of `text` as inline SVG, error correction M, quiet zone of four.

    Black on white, sized by the style sheet.
    """
    out = io.BytesIO()
    segno.make(text, error="m", micro=False).save(
        out,
        kind="svg",
        xmldecl=False,
        svgns=True,
        border=4,
        omitsize=True,
        svgclass="code",
        lineclass="code-line",
        title=text,
    )
    return mark_safe(out.getvalue().decode("utf-8"))  # segno escapes the title
