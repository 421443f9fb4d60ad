"""The one place that turns a template into a PDF, and the only importer of WeasyPrint."""

from __future__ import annotations

import io
from collections.abc import Sequence
from pathlib import Path
from typing import Any
from urllib.parse import unquote, urlsplit
from urllib.request import url2pathname

import segno
from django.conf import settings
from django.contrib.staticfiles import finders
from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

# Sheets name their files by addresses under a host that by RFC 2606 can never exist: the fetcher
# below reads the file behind one, and no page of the web is ever fetched.
_HOST = "sheet.invalid"
_BASE = f"http://{_HOST}/"
_STATIC = f"{_BASE}static/"
_MEDIA = f"{_BASE}media/"


class CannotPrint(Exception):
    """PDFs cannot be made on this machine; the text says what to install."""


NO_PANGO = (
    "This machine cannot make PDFs yet: the Pango library is missing. On Debian and Ubuntu: "
    "sudo apt install libpango-1.0-0 libpangoft2-1.0-0. Everything else works without it."
)


def can_print() -> bool:
    """Whether the libraries behind the PDFs load here."""
    try:
        import weasyprint  # noqa: F401
    except (ImportError, OSError):
        return False
    return True


def render_sheet(template: str, context: dict[str, Any], *, paper: str, title: str) -> str:
    """The HTML of one sheet on `paper` ('A4', 'Letter' or 'A3 landscape')."""
    return render_to_string(template, {**context, "paper": paper, "title": title})


def join_pdf(sheets: Sequence[str]) -> bytes:
    """Whole HTML documents as one PDF, fonts embedded; each sheet counts its own pages.

    The same input gives the same bytes. Raises CannotPrint without Pango, ValueError where
    there is nothing to print.
    """
    if not sheets:
        raise ValueError("sheets is empty: there is nothing to print")
    try:
        from weasyprint import HTML
        from weasyprint.text.fonts import FontConfiguration
    except (ImportError, OSError) as error:
        raise CannotPrint(NO_PANGO) from error
    fetcher = _make_fetcher()
    fonts = FontConfiguration()
    documents = [
        HTML(string=html, base_url=_BASE, url_fetcher=fetcher).render(font_config=fonts)
        for html in sheets
    ]
    pages = [page for document in documents for page in document.pages]
    pdf: bytes = documents[0].copy(pages).write_pdf()
    return pdf


def _make_fetcher() -> Any:
    from weasyprint.urls import URLFetcher, URLFetcherResponse

    class OwnFilesFetcher(URLFetcher):  # type: ignore[misc]
        """Hands out static and media files alone; every other address is refused."""

        def fetch(self, url: str, headers: Any = None) -> Any:
            path = find_own_file(url)
            if path is None:
                raise ValueError(f"A sheet may not fetch {url}")
            return URLFetcherResponse(url, path.read_bytes(), {}, 200)

    return OwnFilesFetcher(allowed_protocols=("http",))


def find_own_file(url: str) -> Path | None:
    """The file behind a sheet's address, or None where it is not one of our own.

    >>> find_own_file("https://example.org/x.png") is None
    True
    """
    parts = urlsplit(url)
    if parts.scheme != "http" or parts.netloc != _HOST:
        return None
    name = url2pathname(unquote(parts.path)).lstrip("/")
    if name.startswith("static/"):
        found = finders.find(name.removeprefix("static/"))
        if found is None:
            return _inside(Path(settings.STATIC_ROOT), name.removeprefix("static/"))
        return Path(found)
    if name.startswith("media/"):
        return _inside(Path(settings.MEDIA_ROOT), name.removeprefix("media/"))
    return None


def _inside(root: Path, name: str) -> Path | None:
    path = (root / name).resolve()
    return path if path.is_relative_to(root.resolve()) and path.is_file() else None


def media_address(name: str) -> str:
    """The address by which a sheet names an uploaded file."""
    return _MEDIA + name


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
