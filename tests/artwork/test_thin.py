"""Drawings of thin lines are drawn finer, so that what prints of them keeps its area."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st
from shapely import LineString, Point

from planner.artwork import Asked, read_art
from planner.artwork.finer import thinness
from planner.artwork.raster import any_dark

from .pictures import path_shape, svg, written

WIDE = 1 / 120
ASKED = Asked(kind="line", size=(4, 5), distances=(1 / 16,))


def lines(count: int) -> list[LineString]:
    """Spokes at all angles."""
    turns = [math.pi * (number + 0.3) / count for number in range(count)]
    return [
        LineString([(2 + near * math.cos(turn), 2.5 + near * math.sin(turn)) for near in (0.6, 1.8)]) for turn in turns
    ]


def test_hairlines_keep_their_area(tmp_path: Path) -> None:
    spokes = lines(23)
    ends = [tuple(round(value, 6) for x, y in spoke.coords for value in (x, 5 - y)) for spoke in spokes]
    paths = "".join(f"M{end[0]} {end[1]}L{end[2]} {end[3]}" for end in ends)
    drawing = svg(f'<path d="{paths}" stroke="#000" stroke-width="{WIDE}"/>')
    art = read_art(written(tmp_path / "f.svg", drawing), ASKED)
    true = shapely.union_all([spoke.buffer(WIDE / 2, cap_style="flat") for spoke in spokes])
    ours = path_shape(art)
    assert art.resolution == 2500
    assert art.error <= ASKED.tolerance
    assert ours.symmetric_difference(true).area < 0.008 * true.area
    assert art.area == pytest.approx(true.area, rel=0.01)
    for distance, growth in art.growths.items():
        assert growth.covers(true.buffer(distance - art.error))
        assert true.buffer(distance + 4 / 625, quad_segs=32).covers(growth)


def test_solids_are_drawn_once(tmp_path: Path) -> None:
    art = read_art(written(tmp_path / "f.svg", svg()), ASKED)
    assert art.resolution == 625


def test_silhouettes_are_drawn_once(tmp_path: Path) -> None:
    drawing = svg(f'<circle cx="2" cy="2" r="1" fill="none" stroke="#000" stroke-width="{WIDE}"/>')
    art = read_art(written(tmp_path / "f.svg", drawing), Asked(kind="silhouette", size=(4, 5)))
    assert art.resolution == 625
    assert art.area == pytest.approx(Point(0, 0).buffer(1 + WIDE / 2).area, rel=0.01)


@given(st.integers(1, 9), st.integers(1, 9), st.integers(1, 4), st.integers(0, 2**32 - 1))
def test_taken_together_nothing_dark_is_lost(rows: int, columns: int, factor: int, seed: int) -> None:
    dark = np.random.default_rng(seed).random((rows, columns)) < 0.2
    found = any_dark(dark, factor)
    assert found.shape == (-(-rows // factor), -(-columns // factor))
    assert {(row // factor, column // factor) for row, column in np.argwhere(dark)} == set(
        map(tuple, np.argwhere(found))
    )


def test_thin_is_told_by_outline_and_area() -> None:
    square = np.zeros((400, 400), dtype=bool)
    assert thinness(square) == 0
    square[50:350, 50:350] = True
    assert thinness(square) < 1
    square[55:345, 55:345] = False
    assert thinness(square) == pytest.approx(8 * 295 * math.pi / 4 * 0.08 / (0.01 * 4 * 5 * 295), rel=0.01)
