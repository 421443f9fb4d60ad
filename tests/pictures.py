"""Reads drawn pictures back: where words stand, how wide they are, what overlaps or sticks out.

Widths come from the font files themselves, read here by fontTools, not from company/lettering.py.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any
from xml.etree import ElementTree

from fontTools.ttLib import TTFont

FONTS = Path(__file__).resolve().parent.parent / "company/static/company/fonts"
SVG = "{http://www.w3.org/2000/svg}"
Box = tuple[float, float, float, float]


@cache
def font_widths(weight: int) -> dict[str, float]:
    """Advance of every letter in ems, with lining tabular figures as the pages ask for."""
    widths: dict[str, float] = {}
    for part in ("latin-ext", "latin"):
        font: Any = TTFont(FONTS / f"alegreya-sans-{part}-{weight}-normal.woff2")
        swaps = _swaps(font, "lnum")
        tabular = _swaps(font, "tnum")
        for code, glyph in font.getBestCmap().items():
            glyph = swaps.get(glyph, glyph)
            glyph = tabular.get(glyph, glyph)
            widths[chr(code)] = font["hmtx"][glyph][0] / font["head"].unitsPerEm
    return widths


def _swaps(font: Any, feature: str) -> dict[str, str]:
    table = font["GSUB"].table
    swaps: dict[str, str] = {}
    for record in table.FeatureList.FeatureRecord:
        if record.FeatureTag == feature:
            for index in record.Feature.LookupListIndex:
                for sub in table.LookupList.Lookup[index].SubTable:
                    swaps.update(getattr(getattr(sub, "ExtSubTable", sub), "mapping", {}))
    return swaps


def font_width(words: str, size: float, weight: int = 400) -> float:
    """How wide the browser draws these words, kerning apart."""
    widths = font_widths(weight)
    return sum(widths.get(letter, 0.55) for letter in words) * size


def read(picture: str) -> ElementTree.Element:
    """The picture as XML; fails where it is not well formed."""
    return ElementTree.fromstring(picture)


def size_of(root: ElementTree.Element) -> tuple[float, float]:
    """Width and height of the viewBox."""
    left, top, width, height = map(float, root.attrib["viewBox"].split())
    assert (left, top) == (0, 0)
    return width, height


def placed(
    root: ElementTree.Element, dx: float = 0, dy: float = 0
) -> Iterator[tuple[ElementTree.Element, float, float]]:
    """Every element with how far its groups have moved it."""
    for child in root:
        moved = re.fullmatch(r"translate\(([-\d.]+) ([-\d.]+)\)", child.get("transform", ""))
        x, y = (dx + float(moved[1]), dy + float(moved[2])) if moved else (dx, dy)
        yield child, x, y
        yield from placed(child, x, y)


def word_boxes(root: ElementTree.Element) -> list[tuple[str, Box]]:
    """All lettering with the room it takes, from cap height to baseline."""
    boxes = []
    for element, dx, dy in placed(root):
        if element.tag != f"{SVG}text":
            continue
        text = element.text or ""
        size = float(element.attrib["font-size"])
        width = font_width(text, size, int(element.get("font-weight", "400")))
        share = {"start": 0, "middle": 0.5, "end": 1}[element.get("text-anchor", "start")]
        left = float(element.attrib["x"]) + dx - share * width
        foot = float(element.attrib["y"]) + dy
        boxes.append((text, (left, foot - size * 0.68, left + width, foot)))
    return boxes


def shapes(root: ElementTree.Element, css: str) -> list[Box]:
    """The room of each piece of the paths of a class; only absolute M, C, L are read."""
    found = []
    for element, dx, dy in placed(root):
        if css not in element.get("class", "").split():
            continue
        for piece in element.attrib["d"].split("M")[1:]:
            numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?", piece)]
            xs, ys = numbers[0::2], numbers[1::2]
            found.append((min(xs) + dx, min(ys) + dy, max(xs) + dx, max(ys) + dy))
    return found


def touch(one: Box, other: Box, slack: float = 0.3) -> bool:
    """Whether two rooms share more than a hair."""
    return (
        one[0] < other[2] - slack
        and other[0] < one[2] - slack
        and one[1] < other[3] - slack
        and other[1] < one[3] - slack
    )


def overlapping_words(root: ElementTree.Element) -> list[tuple[str, str]]:
    """Pairs of words that lie over each other."""
    return [
        (a, b) for (a, one), (b, other) in combinations(word_boxes(root), 2) if touch(one, other)
    ]


def words_outside(root: ElementTree.Element) -> list[str]:
    """Words that stick out of the picture."""
    width, height = size_of(root)
    return [
        text
        for text, (left, top, right, foot) in word_boxes(root)
        if left < -0.5 or top < -0.5 or right > width + 0.5 or foot > height + 0.5
    ]


def shown(root: ElementTree.Element) -> list[str]:
    """All words of the picture, in the order drawn."""
    return [text for text, _ in word_boxes(root)]


def ids(root: ElementTree.Element) -> list[str]:
    """Every id in the picture."""
    return [element.attrib["id"] for element in root.iter() if "id" in element.attrib]
