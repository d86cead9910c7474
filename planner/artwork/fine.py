"""Which parts of what prints are thinner than a given width?

What a disc of that diameter cannot reach while it stays inside (what opening takes away) is thin: hairlines, serifs,
specks. It also takes the corners of fat shapes, which are no fine detail: a piece that hangs on something fat counts
only if it is longer or wider than the given width, which leaves out corners of 60 degrees and blunter (the residue of
such a corner is 1.73 radii long). A piece that hangs on nothing fat always counts.
"""

from __future__ import annotations

from typing import Final

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon

from planner.artwork.contours import areas
from planner.artwork.raster import Raster, any_dark
from planner.geometry import area_of

_PER_WIDTH: Final = 4
"""Elements across the width at which pieces are told apart and outlined."""

_BAND: Final = 1024
"""Rows at a time."""


def fine_of(dark: NDArray[np.bool_], raster: Raster, width: float) -> MultiPolygon:
    """Give the thin parts, outlined to about a quarter of ``width`` (inches); ``dark`` is padded by one element."""
    across = width * raster.per_inch
    factor = max(int(across / _PER_WIDTH), 1)
    thin, fat = _parted(dark, across, factor)
    if not thin.any():
        return MultiPolygon()
    keep = _counting(thin, fat, across / factor)
    if not keep.any():
        return MultiPolygon()
    return _outlined(keep, factor, raster)


def _parted(dark: NDArray[np.bool_], across: float, factor: int) -> tuple[NDArray[np.bool_], NDArray[np.bool_]]:
    """Thin and fat elements; each one returned stands for ``factor`` by ``factor``, if any of them is."""
    disc = _disc(across)
    halo = len(disc) * 2
    rows, columns = (-(-length // factor) for length in dark.shape)
    thin, fat = np.zeros((rows, columns), dtype=bool), np.zeros((rows, columns), dtype=bool)
    band = -(-_BAND // factor) * factor
    for start in range(0, dark.shape[0], band):
        end = min(start + band, dark.shape[0])
        low, high = max(start - halo, 0), min(end + halo, dark.shape[0])
        part = dark[low:high].astype(np.uint8)
        if not part.any():
            continue
        opened = _bytes(cv2.morphologyEx(part, cv2.MORPH_OPEN, disc, borderType=cv2.BORDER_CONSTANT, borderValue=0))
        # One element of slack: round shapes made of squares lose some at their sides.
        near = _bytes(cv2.dilate(opened, np.ones((3, 3), np.uint8)))
        into = slice(start // factor, -(-end // factor))
        thin[into] = any_dark((part > near)[start - low : end - low], factor)
        fat[into] = any_dark(opened[start - low : end - low] > 0, factor)
    return thin, fat


def _bytes(picture: object) -> NDArray[np.uint8]:
    return np.asarray(picture, dtype=np.uint8)


def _disc(across: float) -> NDArray[np.uint8]:
    radius = across / 2
    reach = int(radius)
    steps = np.arange(-reach, reach + 1)
    return (steps[:, None] ** 2 + steps[None, :] ** 2 <= radius**2).astype(np.uint8)


def _counting(thin: NDArray[np.bool_], fat: NDArray[np.bool_], across: float) -> NDArray[np.bool_]:
    """Keep pieces longer or wider than ``across`` elements, and those that hang on nothing fat."""
    count, labels, stats, _ = cv2.connectedComponentsWithStats(thin.astype(np.uint8), connectivity=8)
    longest = stats[:, [cv2.CC_STAT_WIDTH, cv2.CC_STAT_HEIGHT]].max(axis=1)
    beside = cv2.dilate(labels.astype(np.float32), np.ones((3, 3), np.uint8))
    hanging = np.zeros(count, dtype=bool)
    hanging[beside[fat].astype(np.int64)] = True
    # A piece that starts and ends amid elements covers one more than its length.
    keep = (longest > across + 1) | ~hanging
    keep[0] = False
    return np.asarray(keep[labels])


def _outlined(keep: NDArray[np.bool_], factor: int, raster: Raster) -> MultiPolygon:
    apart = factor / raster.per_inch
    # The padded picture starts one element, and the padded blocks one block, before the middle of the first block.
    first = (raster.left - 1 / raster.per_inch - apart / 2, raster.top + 1 / raster.per_inch + apart / 2)
    shape = areas(np.pad(keep, 1), (0.5, 2.0), first, apart)
    return area_of(shapely.simplify(shape, 0.6 * apart, preserve_topology=False))
