"""Reading printed papers back: their words, where these stand, their fonts, and their codes.

pdftotext and pdftoppm come from poppler-utils, zbarimg from zbar-tools. Where CI is set a missing
one fails, else the test is skipped with a line that says what to install.
"""

from __future__ import annotations

import io
import os
import re
import shutil
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from xml.etree import ElementTree

import pytest
from pypdf import PdfReader

PT_PER_MM = 72 / 25.4
PACKAGES = {"pdftotext": "poppler-utils", "pdftoppm": "poppler-utils", "zbarimg": "zbar-tools"}


def say(text: str) -> str:
    """Text with every run of white space as one blank, so that line ends do not matter."""
    return " ".join(text.split())


def read_pages(pdf: bytes) -> list[str]:
    """The words of each page."""
    return [say(page.extract_text()) for page in PdfReader(io.BytesIO(pdf)).pages]


def read_words(pdf: bytes) -> str:
    """The words of all pages together."""
    return " ".join(read_pages(pdf))


def unembedded_fonts(pdf: bytes) -> list[str]:
    """Fonts that a page uses and that are not in the file."""
    missing = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        fonts = page["/Resources"]["/Font"]
        for font in (entry.get_object() for entry in fonts.values()):
            (real,) = (one.get_object() for one in font["/DescendantFonts"])
            descriptor = real["/FontDescriptor"].get_object()
            if not {"/FontFile", "/FontFile2", "/FontFile3"} & set(descriptor):
                missing.append(str(font["/BaseFont"]))
    return missing


def font_names(pdf: bytes) -> set[str]:
    """Names of the fonts in the file."""
    return {
        str(entry.get_object()["/BaseFont"])
        for page in PdfReader(io.BytesIO(pdf)).pages
        for entry in page["/Resources"]["/Font"].values()
    }


@dataclass(frozen=True)
class Word:
    """A word on a page, in points from the page's top left."""

    page: int
    text: str
    left: float
    top: float
    right: float
    bottom: float


def find_words(pdf: bytes, tmp_path: Path) -> tuple[tuple[float, float], list[Word]]:
    """The size of the page in points, and every word with the box it stands in."""
    out = _run(tmp_path, pdf, "pdftotext", "-bbox", "in.pdf", "out.html")
    assert out == b""
    text = (tmp_path / "out.html").read_text("utf-8")
    root = ElementTree.fromstring(re.sub(r"<!DOCTYPE.*?>|&#x[0-8];", "", text, flags=re.S))
    pages = list(root.iter("{http://www.w3.org/1999/xhtml}page"))
    words = [
        Word(
            number,
            word.text or "",
            *(float(word.attrib[name]) for name in ("xMin", "yMin", "xMax", "yMax")),
        )
        for number, page in enumerate(pages, 1)
        for word in page
    ]
    return (float(pages[0].attrib["width"]), float(pages[0].attrib["height"])), words


def words_outside(pdf: bytes, tmp_path: Path, margin_mm: float) -> Iterator[Word]:
    """Words that come nearer to an edge of the page than a margin."""
    (width, height), words = find_words(pdf, tmp_path)
    margin = margin_mm * PT_PER_MM
    for word in words:
        if (
            word.left < margin
            or word.top < margin
            or word.right > width - margin
            or word.bottom > height - margin
        ):
            yield word


def read_codes(pdf: bytes, tmp_path: Path, page: int = 1, dpi: int = 150) -> list[str]:
    """What a phone reads off a printed page: the page is made a picture and its codes are read."""
    number = str(page)
    _run(tmp_path, pdf, "pdftoppm", "-r", str(dpi), "-gray", "-png", "-singlefile",
         "-f", number, "-l", number, "in.pdf", "page")  # fmt: skip
    read = _run(tmp_path, pdf, "zbarimg", "--quiet", "--raw", "page.png")
    return read.decode("utf-8").split()


def page_picture(pdf: bytes, tmp_path: Path, page: int = 1, dpi: int = 60) -> Path:
    """A page as a picture in grey."""
    number = str(page)
    _run(tmp_path, pdf, "pdftoppm", "-r", str(dpi), "-gray", "-png", "-singlefile",
         "-f", number, "-l", number, "in.pdf", "look")  # fmt: skip
    return tmp_path / "look.png"


def _run(folder: Path, pdf: bytes, tool: str, *args: str) -> bytes:
    if shutil.which(tool) is None:
        words = f"{tool} is missing; on Debian and Ubuntu: sudo apt install {PACKAGES[tool]}"
        pytest.fail(words) if os.environ.get("CI") else pytest.skip(words)
    (folder / "in.pdf").write_bytes(pdf)
    done = subprocess.run(
        [tool, *args], cwd=folder, check=True, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL
    )
    return done.stdout
