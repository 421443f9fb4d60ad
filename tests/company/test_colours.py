"""Tests of the colour tokens against WCAG 2.2, in the light and the dark theme.

Source: W3C, Web Content Accessibility Guidelines 2.2 (2023), success criteria 1.4.3 (4.5 to 1 for
text) and 1.4.11 (3 to 1 for what tells a control), with its definitions of contrast ratio and
relative luminance.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

CSS = Path(__file__).resolve().parents[2] / "company/static/company/css"
TOKENS = (CSS / "tokens.css").read_text(encoding="utf-8")
LIGHT, DARK = TOKENS.split("prefers-color-scheme: dark")
GROUNDS = ("paper", "sheet", "shade", "kraft", "warn-sheet")
WORDS = ("ink", "ink-soft", "thread", "verdigris", "ochre", "indigo", "kraft-ink")
CLOTHS = range(1, 7)
SCREEN_SHEETS = [
    sheet
    for sheet in sorted(CSS.rglob("*.css"))
    if sheet.name not in {"sheet.css", "sheet-tight.css", "fonts.css", "tokens.css"}
]


def colours(part: str) -> dict[str, str]:
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", part))


def luminance(colour: str) -> float:
    channels = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (
        c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


THEMES = {"light": colours(LIGHT), "dark": {**colours(LIGHT), **colours(DARK)}}


def test_contrast_ratio_runs_from_1_to_21_as_the_guidelines_define() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#777777", "#777777") == 1


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("ground", GROUNDS)
@pytest.mark.parametrize("word", WORDS)
def test_words_read_on_every_ground(theme: str, ground: str, word: str) -> None:
    assert contrast(THEMES[theme][word], THEMES[theme][ground]) >= 4.5


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("cloth", CLOTHS)
def test_words_read_on_every_cloth_and_its_seam_shows(theme: str, cloth: int) -> None:
    named = THEMES[theme]

    assert contrast(named["ink"], named[f"cloth-{cloth}"]) >= 4.5
    assert contrast(named[f"seam-{cloth}"], named["sheet"]) >= 3


@pytest.mark.parametrize("theme", THEMES)
def test_buttons_read_and_edges_of_fields_show(theme: str) -> None:
    named = THEMES[theme]

    assert contrast(named["on-ink"], named["ink"]) >= 4.5
    assert contrast(named["edge"], named["sheet"]) >= 3


def test_dark_theme_names_every_colour_of_the_light_one() -> None:
    assert set(colours(LIGHT)) == set(colours(DARK))


@pytest.mark.parametrize("sheet", sorted(CSS.rglob("*.css")), ids=lambda sheet: sheet.name)
def test_every_token_used_exists(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")
    named = set(re.findall(r"(--[\w-]+):", TOKENS + text))

    assert set(re.findall(r"var\((--[\w-]+)", text)) <= named | {"--days"}


@pytest.mark.parametrize("sheet", SCREEN_SHEETS, ids=lambda sheet: sheet.name)
def test_screen_sheets_live_in_a_layer_and_take_colours_from_tokens(sheet: Path) -> None:
    text = sheet.read_text(encoding="utf-8")

    assert "@layer" in text
    assert not re.findall(r"#[0-9a-f]{6}\b", text)
