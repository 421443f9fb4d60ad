"""The drawing of a guise as a PDF at full size: its key, then sheets to join or one long page."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.safestring import SafeString

from builds.core.full_size.tiles import LONGEST_PAGE_MM, CannotTile, lay_tiles
from builds.drawings.full_size import FullSize, lay_full_size, lay_head
from builds.drawings.tiled import (
    draw_key,
    draw_long_page,
    draw_tile,
    fits_long_page,
    long_page_size,
)
from builds.loading.outlines import load_outline
from builds.models import Drawing, DrawingPicture, GuisePart, Part
from builds.queries.sculpting import sculpt_scale
from builds.sheets import NothingToPrint
from company import clock
from company.sheet_files import media_address
from company.sheets import PaperFile, render_sheet
from company.templatetags.words import full_day
from scenes.models import Guise

LONG = "long"
PAPERS = ("A4", "Letter", "A3", LONG)
# The key is on the company's own paper, or what is nearest to it.
KEY_PAPER = {"A4": "A4", "Letter": "Letter", "A3": "A4", LONG: "A4"}
_KEY_ROOM_MM = (178.0, 118.0)


@dataclass(frozen=True)
class DrawnPage:
    """One page of the drawing, as large as it is, and the name of its size in the style."""

    size: str
    drawn: SafeString


@dataclass(frozen=True)
class PageSize:
    """A size of page that occurs, by name."""

    name: str
    width_mm: float
    height_mm: float


@dataclass(frozen=True)
class Laid:
    """One of the drawings in the file (the figure, or its head): words, key and pages."""

    title: str
    says: str
    key: SafeString
    pages: tuple[DrawnPage, ...]


def drawing_paper(
    drawing: Drawing, paper: str, *, for_guise: Guise | None = None, with_photo: bool = True
) -> PaperFile:
    """`drawing-jory-tarrow-at-sixty.pdf`. The drawing's children should be prefetched.

    Raises NothingToPrint where it goes on no paper.
    """
    guise = for_guise or drawing.guise
    figure = load_outline(drawing, _address if with_photo else None)
    words = f"{guise}, drawing {drawing.number}"
    drawings = [lay_full_size(figure)]
    head = _head_of(drawing, guise)
    if head is not None:
        factor, because = head
        laid_head = lay_head(figure, factor, because)
        drawings += [laid_head] if laid_head else []
    sizes: dict[tuple[float, float], PageSize] = {}
    laid = tuple(
        _lay(full, paper, words, f"d{number}", sizes) for number, full in enumerate(drawings)
    )
    show = guise.character.show
    today = clock.today(show.company)
    context = {
        "guise": guise,
        "drawing": drawing,
        "joints": drawing.joints.all(),
        "holes": drawing.holes.all(),
        "laid": laid,
        "sizes": tuple(sizes.values()),
        "head_missing": head is not None and len(laid) == 1,
        "is_long": paper == LONG,
        "show": show,
        "printed": full_day(today),
    }
    title = f"{show.title}: {words}, full size"
    sheet = render_sheet("sheets/full_size.html", context, paper=KEY_PAPER[paper], title=title)
    return PaperFile(drawing_file(guise), title, (sheet,))


def drawing_file(guise: Guise) -> str:
    """'drawing-jory-tarrow-at-sixty.pdf'; guises whose names come out alike have their number."""
    kept = "".join(c if c.isalnum() else "-" for c in str(guise).casefold())
    name = "-".join(part for part in kept.split("-") if part) or "guise"
    return f"drawing-{name}-{guise.pk}.pdf"


def _address(picture: DrawingPicture) -> str:
    """Photos are printed with every point they have."""
    return f"{media_address(picture.file.name or '')}?whole"


def _lay(
    full: FullSize,
    paper: str,
    words: str,
    ident: str,
    sizes: dict[tuple[float, float], PageSize],
) -> Laid:
    def size_named(width_mm: float, height_mm: float) -> str:
        size = PageSize(f"size{len(sizes)}", width_mm, height_mm)
        return sizes.setdefault((width_mm, height_mm), size).name

    if paper == LONG:
        if not fits_long_page(full):
            raise NothingToPrint(
                f"A page is at most {LONGEST_PAGE_MM / 1000:.0f} m long: print it on sheets."
            )
        page = DrawnPage(size_named(*long_page_size(full)), draw_long_page(full, words, ident))
        width, height = long_page_size(full)
        says = f"One page, {width:.0f} by {height:.0f} mm."
        return Laid(full.title, says, SafeString(""), (page,))
    try:
        tiling = lay_tiles(full.width_mm, full.height_mm, paper)
    except CannotTile as refusal:
        raise NothingToPrint(str(refusal)) from refusal
    size = size_named(tiling.page_width_mm, tiling.page_height_mm)
    pages = tuple(
        DrawnPage(size, draw_tile(full, tiling, tile, words, f"{ident}-{tile.number}"))
        for tile in tiling.tiles
    )
    count = len(pages)
    says = (
        f"{count} {'sheet' if count == 1 else 'sheets'} of {paper}"
        + (" on its side" if tiling.is_landscape else "")
        + f", {tiling.rows} down by {tiling.columns} across."
    )
    return Laid(full.title, says, draw_key(full, tiling, _KEY_ROOM_MM, f"{ident}-key"), pages)


def _head_of(drawing: Drawing, guise: Guise) -> tuple[float, str] | None:
    """At what scale the head is sculpted and why; None where nothing says that it shrinks."""
    own = drawing.head_shrinkage_pct
    if own is not None:
        share = float(own) / 100
        return (1 / (1 - share), f"the casting shrinks {share * 100:g} %") if share else None
    part = (
        GuisePart.objects.filter(guise=guise, part=Part.HEAD)
        .select_related("pattern__show__company")
        .first()
    )
    at = sculpt_scale(part.pattern) if part is not None else None
    if at is None or abs(at.factor - 1) < 0.002:
        return None
    return at.factor, at.reason
