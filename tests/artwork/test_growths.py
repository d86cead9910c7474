"""No place outside a growth is nearer to what prints than its distance, ever; and growths are hardly larger."""

from __future__ import annotations

import cv2
import hypothesis.strategies as st
import numpy as np
import pytest
import shapely
from hypothesis import given, settings
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray
from scipy import ndimage
from shapely import box
from shapely.geometry.base import BaseGeometry

from planner.artwork import Asked
from planner.artwork.distances import sampled, slack
from planner.artwork.growths import growths_of, image_of
from planner.artwork.kinds import keep_printing, level_of
from planner.artwork.path import Path, Tracing, path_of
from planner.artwork.raster import Raster

from .pictures import shape_of_path

PER_INCH = 500.0
CLOSING = 1 / 32
DISTANCES = (1 / 32 + 1 / 64, 1 / 16)

sizes = st.tuples(st.integers(1, 28), st.integers(1, 28))
bilevel = arrays.arrays(np.uint8, sizes, elements=st.sampled_from([0, 255]), fill=st.just(255))
grey = arrays.arrays(np.uint8, sizes, elements=st.integers(0, 255), fill=st.sampled_from([0, 255]))


def squares(dark: NDArray[np.bool_], raster: Raster) -> BaseGeometry:
    """The elements that print as squares, without the room's own code."""
    rows, columns = np.nonzero(dark[1:-1, 1:-1])
    left, top = raster.left + columns / PER_INCH, raster.top - rows / PER_INCH
    return shapely.unary_union(shapely.box(left, top - 1 / PER_INCH, left + 1 / PER_INCH, top))


def shapes(picture: NDArray[np.uint8]) -> tuple[Raster, Asked, NDArray[np.bool_], Path]:
    height = len(picture)
    flat = bool(((picture == 0) | (picture == 255)).all())
    raster = Raster(picture, PER_INCH, 0.25, 0.5 + height / PER_INCH, flat, 0.0, PER_INCH)
    asked = Asked("line", (2.0, 2.0), closing=CLOSING, distances=DISTANCES)
    padded = keep_printing(raster, asked)
    level = level_of(raster, asked.threshold)
    tracing = Tracing(level)
    tracing.add(padded, 0)
    return raster, asked, np.asarray(padded < level), path_of(tracing, raster, asked.tolerance)


def hold(picture: NDArray[np.uint8]) -> None:
    raster, asked, dark, path = shapes(picture)
    growths = growths_of(dark, raster, asked, path.error)
    assert sorted(growths) == sorted({CLOSING, *DISTANCES})
    if not dark.any():
        assert all(growth.is_empty for growth in growths.values())
        return
    printing = squares(dark, raster)
    drawn = shape_of_path(path.data, path.unit)
    room = box(-1, -1, 3, 3)
    # Beyond its distance from elements or path: sampling, simplifying there and back, half an element, the path.
    for distance, growth in growths.items():
        assert growth.is_valid
        outside = room.difference(growth)
        assert outside.distance(printing) >= distance - 1e-9
        # A speck hardly darker than the threshold has an outline so short that rounding leaves no path of it.
        assert drawn.is_empty or outside.distance(drawn) >= distance - 1e-9
        beyond = ((1.0 if raster.bilevel else 1.3) + 0.1 + slack(distance * PER_INCH, 0.1)) / PER_INCH + path.error
        assert printing.union(drawn).buffer(distance + beyond, quad_segs=64).covers(growth)
    image = image_of(growths[CLOSING], asked)
    assert image.is_valid
    assert room.difference(growths[CLOSING]).distance(image) >= CLOSING - 1e-6
    assert image.buffer(1 / PER_INCH).covers(printing)


@settings(max_examples=60, deadline=None)
@given(bilevel)
def test_around_black_and_white(picture: NDArray[np.uint8]) -> None:
    hold(picture)


@settings(max_examples=60, deadline=None)
@given(grey)
def test_around_grey(picture: NDArray[np.uint8]) -> None:
    hold(picture)


def test_around_a_drawing_with_curves() -> None:
    picture = np.full((400, 300), 255, np.uint8)
    cv2.ellipse(picture, (150, 200), (110, 150), 30, 0, 320, 0, 3, cv2.LINE_AA)
    cv2.circle(picture, (150, 200), 30, 0, -1, cv2.LINE_AA)
    hold(picture)


def test_a_disc_against_its_formula() -> None:
    picture = np.full((300, 300), 255, np.uint8)
    cv2.circle(picture, (600, 600), 480, 0, -1, cv2.LINE_AA, shift=2)
    raster, asked, dark, path = shapes(picture)
    for distance, growth in growths_of(dark, raster, asked, path.error).items():
        radius = 120 / PER_INCH + distance
        true = np.pi * radius**2
        assert true < growth.area < true + 2 * np.pi * radius * 2 / PER_INCH


def test_in_bands_as_in_one_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    chance = np.random.default_rng(3)
    dark = np.asarray(ndimage.zoom(chance.random((60, 20)) > 0.93, 12, order=0))
    distances = [12.5, 31.0, 60.0]
    whole = sampled(dark, distances, 0.1)
    monkeypatch.setattr("planner.artwork.distances._BAND_ELEMENTS", 40_000)
    banded = sampled(dark, distances, 0.1)
    for distance in distances:
        near = whole[distance].values < distance + 4
        assert np.allclose(whole[distance].values[near], banded[distance].values[near], atol=1e-3)
        assert (banded[distance].values[~near] >= distance + 4).all()


def test_the_transform_is_exact() -> None:
    chance = np.random.default_rng(5)
    light = (chance.random((700, 900)) < 0.9995).astype(np.uint8)
    ours = cv2.distanceTransform(light, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)
    assert np.abs(ours - ndimage.distance_transform_edt(light)).max() < 1e-4


def test_threads_change_nothing() -> None:
    chance = np.random.default_rng(7)
    dark = chance.random((500, 500)) > 0.999
    before = cv2.getNumThreads()
    try:
        cv2.setNumThreads(1)
        one = sampled(dark, [20.0], 0.1)[20.0].values
        cv2.setNumThreads(4)
        many = sampled(dark, [20.0], 0.1)[20.0].values
    finally:
        cv2.setNumThreads(before)
    assert np.array_equal(one, many)
