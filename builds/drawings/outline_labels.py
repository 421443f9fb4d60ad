"""Names beside a drawing, spread so that none lies on another, each led to its place by a line."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from django.utils.safestring import SafeString

from company import drawing as d


@dataclass(frozen=True, slots=True)
class Label:
    """Words for the place (`at_x`, `at_y`), to be written from `x` on, at the height `y`."""

    text: str
    at_x: float
    at_y: float
    x: float
    y: float = 0.0
    css: str = ""


def spread_labels(labels: Sequence[Label], step: float, *, low: float, high: float) -> list[Label]:
    """The labels from the top down, each as near to its place as the others let it, `step` apart.

    Between `low` and `high` where there is room. Neighbours that press on each other stand about
    the middle of their places.

    >>> [lab.y for lab in spread_labels([Label("a", 0, 10, 5), Label("b", 0, 12, 5)], 6,
    ...                                 low=0, high=100)]
    [8.0, 14.0]
    """
    ordered = sorted(labels, key=lambda label: (label.at_y, label.text))
    # Blocks of labels that touch: [wanted top of the block, number of labels in it].
    blocks: list[list[float]] = []
    for label in ordered:
        blocks.append([label.at_y, 1])
        while len(blocks) > 1 and blocks[-2][0] + blocks[-2][1] * step > blocks[-1][0]:
            below_y, below_n = blocks.pop()
            above_y, above_n = blocks[-1]
            # Each of the lower block asks the joint block to begin so much higher.
            wanted = above_y * above_n + (below_y - above_n * step) * below_n
            blocks[-1] = [wanted / (above_n + below_n), above_n + below_n]
    placed: list[float] = []
    for top, count in blocks:
        placed += [top + n * step for n in range(int(count))]
    if placed and placed[-1] > high:
        placed = [y - (placed[-1] - high) for y in placed]
    if placed and placed[0] < low:
        placed = [y + (low - placed[0]) for y in placed]
    return [replace(label, y=y) for label, y in zip(ordered, placed, strict=True)]


def draw_labels(labels: Sequence[Label], size: float, hair: float) -> SafeString:
    """The words and the lines that lead to them."""
    inner: list[str] = []
    for label in labels:
        bend = label.x - size * 0.9
        end = label.x - size * 0.25
        line = f"M{label.at_x:.2f} {label.at_y:.2f}L{bend:.2f} {label.y:.2f}H{end:.2f}"
        inner.append(
            d.path(line, "outline-leader", fill="none", stroke="#000", stroke_width=f"{hair:.2f}")
        )
        inner.append(
            d.tag("text", label.text, css=label.css, x=f"{label.x:.2f}",
                  y=f"{label.y + size * 0.32:.2f}", font_size=f"{size:.2f}")
        )  # fmt: skip
    return d.group(*inner, css="outline-labels")
