"""Texts are made harmless, measured on the wide side, cut and broken."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.sheets.svg import number
from planner.sheets.text import clean, cut_at, cut_to, cut_within, shown, width_of, wrapped

DEJAVU = Path("/usr/share/fonts/truetype/dejavu")
LIBERATION = Path("/usr/share/fonts/truetype/liberation")


@pytest.mark.parametrize(
    ("value", "text"),
    [(0.0, "0"), (-0.0, "0"), (-1e-9, "0"), (1 / 64, "0.01562"), (1e-7, "0"), (123456.5, "123456.5"), (-2.50, "-2.5")],
)
def test_numbers(value: float, text: str) -> None:
    assert number(value) == text


def test_cleaning() -> None:
    assert clean(" a\tb\n\u202ec\x00 ") == "a b c"
    assert clean("e" + "\u0301" * 9) == "e" + "\u0301" * 2
    assert cut_at("x" * 50, 10) == "x" * 9 + "\u2026"


def test_long_numbers_are_cut_in_their_middle() -> None:
    assert cut_within("12345678901234", 14) == "12345678901234"
    assert cut_within("9" * 79 + "1", 14) == "999999\u20269999991"


def test_lines_are_no_wider_than_asked() -> None:
    text = "the quick brown fox " * 5 + "W" * 60
    lines = wrapped(text, 1.5, 0.1)
    assert all(width_of(line, 0.1) <= 1.5 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")
    short = wrapped(text, 1.5, 0.1, most=2)
    assert len(short) == 2
    assert short[1].endswith("\u2026")
    assert cut_to("short", 5, 0.1) == "short"


def test_right_to_left_runs_are_fenced() -> None:
    assert shown("1 \u05d0\u05d1 \u05d2 2") == "1 \u2067\u05d0\u05d1 \u05d2\u2069 2"


@pytest.mark.parametrize(
    ("font", "bold"),
    [
        (DEJAVU / "DejaVuSans.ttf", False),
        (DEJAVU / "DejaVuSans-Bold.ttf", True),
        (LIBERATION / "LiberationSans-Regular.ttf", False),
        (LIBERATION / "LiberationSans-Bold.ttf", True),
    ],
)
def test_estimates_are_on_the_wide_side(font: Path, bold: bool) -> None:
    if not font.exists():
        pytest.skip("the font is not here")
    from PIL import ImageFont

    face = ImageFont.truetype(font, 1000, layout_engine=ImageFont.Layout.BASIC)
    lines = (
        "12 J1042 Regatta view",
        "L 8 15/16 B 23 61/64",
        "MAGNESIUM WARNING",
        "\u00c9tude & \u0152uvre",
        "\u0416\u0443\u043b",
    )
    for text in lines:
        assert face.getlength(text) <= width_of(text, 1000, bold) + 1e-6
    for sign in map(chr, range(32, 127)):
        assert face.getlength(sign) <= width_of(sign, 1000, bold) + 1e-6
