"""Sizes of paper against ISO 216:2007 (A-series: A0 has a square metre, each next is half of it, sides cut to whole
millimetres) and ANSI/ASME Y14.1 (A to E: 8 1/2 x 11, 11 x 17, 17 x 22, 22 x 34, 34 x 44 in); figures from memory.
"""

from __future__ import annotations

import math

import pytest

from planner.printer import PAPERS


def test_the_a_series_halves() -> None:
    width, height = round(1000 / 2**0.25), round(1000 * 2**0.25)
    for name in ("A0", "A1", "A2", "A3", "A4", "A5"):
        assert PAPERS[name] == pytest.approx((width / 25.4, height / 25.4), abs=1e-12), name
        width, height = math.floor(height / 2), width
    assert PAPERS["A4"] == pytest.approx((210 / 25.4, 297 / 25.4))


def test_the_american_series_doubles() -> None:
    width, height = 8.5, 11.0
    for name in ("Letter", "Tabloid", "ANSI C", "ANSI D", "ANSI E"):
        assert PAPERS[name] == (width, height), name
        width, height = height, 2 * width
