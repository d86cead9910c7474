"""Drawn once more in parts, a drawing is traced as if it had been drawn whole."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from shapely import box

from planner.artwork import Artwork, Asked, finer, read_art
from planner.artwork.finer import Finer, Part
from planner.artwork.path import Tracing
from planner.artwork.traced import traced_strips

from .pictures import path_shape, svg, written

LEVEL = 127.5
PATCH = 4

# Hairlines up to the sides and corners, a solid that needs no second look, and white between.
LINES = (
    '<path d="M0 .6L4 .9M.4 0V5M0 0L1 1M4 5L3 4M4 0L3.2 .7" stroke="#000" stroke-width="0.006"/>'
    '<rect x="1.5" y="1.5" width="2" height="2"/>'
)


def edges(tracing: Tracing) -> set[tuple[float, ...]]:
    found = set()
    for ring in tracing.rings():
        points = [tuple(round(value, 9) for value in point) for point in ring.coords]
        found |= {(*start, *end) for start, end in pairwise(points)}
    return found


@given(
    st.integers(1, 3), st.integers(1, 3), st.integers(2, 4), st.integers(0, 3), st.integers(0, 3),
    st.floats(0, 1), st.integers(0, 2**32 - 1),
)  # fmt: skip
def test_nothing_is_lost_whatever_the_parts_show(
    rows: int, columns: int, times: int, less: int, narrower: int, share: float, seed: int
) -> None:
    """Not even where a patch shows, drawn finer, what the first drawing did not, up to its very sides."""
    chance = np.random.default_rng(seed)
    active = chance.random((rows, columns)) < share
    first = np.full((rows * PATCH - less, columns * PATCH - narrower), 255, dtype=np.uint8)

    def noise(by: int, parts: Sequence[Part]) -> Iterator[NDArray[np.uint8]]:
        assert by == times
        return (chance.integers(0, 256, (height, width)).astype(np.uint8) for _, _, width, height in parts)

    strips = list(Finer(first, times, PATCH, active, noise).strips())
    whole = np.vstack([strip.grey for strip in strips])
    assert whole.shape == (first.shape[0] * times, first.shape[1] * times)
    side = PATCH * times
    again = active.repeat(side, axis=0).repeat(side, axis=1)[: whole.shape[0], : whole.shape[1]]
    assert (whole[~again] == 255).all()
    assert again.sum() == sum(len(strip.grey) * (end - first) for strip in strips for first, end in strip.runs)

    traced = traced_strips(strips, times, LEVEL, np.zeros((first.shape[0] + 2, first.shape[1] + 2), dtype=bool))
    at_once = Tracing(LEVEL)
    at_once.add(np.pad(whole, 1, constant_values=255), 0)
    assert edges(traced.tracing) == edges(at_once)
    assert traced.elements * times**2 == np.count_nonzero(whole < LEVEL)
    printing = np.argwhere(whole < LEVEL) // times + 1
    assert set(map(tuple, np.argwhere(traced.dark))) == set(map(tuple, printing))


def lines(tmp_path: Path, **asked: Any) -> Artwork:
    return read_art(written(tmp_path / "f.svg", svg(LINES)), Asked(kind="line", size=(4, 5), **asked))


@pytest.mark.parametrize("asked", [{}, {"mirrored": True}])
def test_small_parts_show_what_large_ones_show(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, asked: dict[str, Any]
) -> None:
    monkeypatch.setattr(finer, "_SHARE", 0.0001)
    in_parts = lines(tmp_path, **asked)
    monkeypatch.setattr(finer, "_PATCH", 200)
    in_larger = lines(tmp_path, **asked)
    assert in_parts.resolution == in_larger.resolution == 2500
    # Where a part begins moves the last digits of what is drawn, and no more.
    differ = path_shape(in_parts).symmetric_difference(path_shape(in_larger)).area
    assert differ < 1e-4 * in_parts.area
    assert in_parts.area == pytest.approx(in_larger.area, rel=1e-4)


def test_light_on_dark_is_the_rest(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(finer, "_SHARE", 0.0001)
    dark, light = lines(tmp_path), lines(tmp_path, light_on_dark=True)
    assert dark.resolution == light.resolution == 2500
    assert dark.area + light.area == pytest.approx(20, abs=1e-3)


def test_nothing_prints_outside_the_face(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(finer, "_SHARE", 0.0001)
    face = box(0.2, 0.3, 2.5, 4.2)
    art = lines(tmp_path, within=face)
    whole = lines(tmp_path)
    assert art.resolution == 2500
    assert face.buffer(0.004).covers(path_shape(art))
    assert path_shape(art).symmetric_difference(path_shape(whole).intersection(face)).area < 0.02
