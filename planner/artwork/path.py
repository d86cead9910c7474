"""Where does the outline of what prints run, between the elements, and how is it written down?

The outline is the line on which the coverage, taken as running evenly from the middle of an element to those beside
it, crosses the threshold (contourpy). It is traced in bands of rows, so that memory stays small, and the bands' lines
are joined where they meet. It is then simplified (Douglas and Peucker, The Canadian Cartographer 10, 1973) and its
corners are rounded to whole units.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

import contourpy
import numpy as np
import shapely
from numpy.typing import NDArray

from planner.artwork.raster import Raster
from planner.paths import subpath

Points = NDArray[np.float64]

UNITS: Final = 16
"""Units of a path within the tolerance; twice finer drawings have four times as many."""

FINEST, SQUARE, COARSEST = 1 / 16, 1 / 6, 1 / 3
"""How far simplifying may move an outline, in tolerances: of grey art (less by as much as it was drawn finer); of black
and white, where it follows the sides of elements up and down like stairs; and of art so busy that its path would be too
long."""

MANY_CORNERS: Final = 120_000
"""Corners of a path; above it simplifying goes up to `COARSEST`, and stops there whatever remains."""

_BAND: Final = 64
"""Rows traced at a time; a band of an 8 in plate fits into a processor's cache."""


@dataclass(frozen=True, slots=True)
class Path:
    """SVG path data (see `Artwork.path`), its unit in inches, and how far it may be from the traced outline."""

    data: str = field(repr=False)
    unit: float
    error: float


def path_of(grey: NDArray[np.uint8], level: float, raster: Raster, tolerance: float) -> Path:
    """Trace and write what prints. ``grey`` is padded by one white element (see `planner.artwork.kinds`)."""
    unit = tolerance / (UNITS * raster.together**2)
    rings = _rings(_closed(grey, level))
    share = SQUARE if raster.bilevel else FINEST / raster.together
    simple = _simplified(rings, share * tolerance * raster.per_inch)
    while shapely.get_num_coordinates(simple).sum() > MANY_CORNERS and share < COARSEST:
        share = min(share * 1.6, COARSEST)
        simple = _simplified(rings, share * tolerance * raster.per_inch)
    # A corner rounded to whole units moves by half a unit's diagonal at most.
    return Path(_written(simple, raster, unit), unit, share * tolerance + unit * 0.7072)


def _simplified(rings: NDArray[np.object_], amount: float) -> NDArray[np.object_]:
    return np.asarray(shapely.simplify(rings, amount, preserve_topology=False), dtype=object)


def _written(rings: NDArray[np.object_], raster: Raster, unit: float) -> str:
    coordinates, owners = shapely.get_coordinates(rings, return_index=True)
    # Coordinates are those of middles of elements in the padded raster.
    x = np.rint((raster.left + (coordinates[:, 0] - 0.5) / raster.per_inch) / unit).astype(np.int64)
    y = np.rint((raster.top - (coordinates[:, 1] - 0.5) / raster.per_inch) / unit).astype(np.int64)
    points = np.column_stack((x, y))
    starts = np.flatnonzero(np.diff(owners, prepend=-1))
    return "".join(subpath(ring) for ring in np.split(points, starts[1:])) if len(points) else ""


def _closed(grey: NDArray[np.uint8], level: float) -> list[Points]:
    """Trace all rings; each ends where it starts."""
    rings: list[Points] = []
    open_lines: list[Points] = []
    for first in range(0, grey.shape[0] - 1, _BAND):
        band = grey[first : first + _BAND + 1]
        dark = np.flatnonzero((band < level).any(axis=0))
        if not len(dark):
            continue
        # Columns beside the dark ones are light, so no line leaves the band sideways.
        start = dark[0] - 1
        closed, others = _lines(band[:, start : dark[-1] + 2], level, (start, first))
        rings += closed
        open_lines += others
    return rings + _joined(open_lines)


def _lines(band: NDArray[np.uint8], level: float, at: tuple[int, int]) -> tuple[list[Points], list[Points]]:
    """Rings, and lines that leave the band."""
    generator = contourpy.contour_generator(
        z=band.astype(np.float64), name="serial", line_type=contourpy.LineType.ChunkCombinedOffset
    )
    found: Any = generator.lines(level)
    points, offsets = found[0][0], found[1][0]
    if points is None:
        return [], []
    starts, ends = offsets[:-1].astype(np.int64), offsets[1:].astype(np.int64)
    moved = points + np.array(at)
    whole = (points[starts] == points[ends - 1]).all(axis=1)
    lines = np.split(moved, ends[:-1])
    return [line for line, is_ring in zip(lines, whole, strict=True) if is_ring], [
        line for line, is_ring in zip(lines, whole, strict=True) if not is_ring
    ]


def _joined(lines: Sequence[Points]) -> list[Points]:
    """Join lines at the rows that bands share.

    On such a row a line crosses between two middles of elements, one dark and one light, and no other line does; so
    the pair names the crossing, whatever the last digit of its coordinates is.
    """
    starting = {_crossing(line[0]): index for index, line in enumerate(lines)}
    rings = []
    left = dict.fromkeys(range(len(lines)))
    while left:
        index = next(iter(left))
        parts: list[Points] = []
        while index in left:
            del left[index]
            parts.append(lines[index] if not parts else lines[index][1:])
            index = starting[_crossing(lines[index][-1])]
        ring = np.concatenate(parts)
        ring[-1] = ring[0]
        rings.append(ring)
    return rings


def _crossing(point: Points) -> tuple[int, int]:
    return int(np.floor(point[0])), round(float(point[1]))


def _rings(rings: Sequence[Points]) -> NDArray[np.object_]:
    if not rings:
        return np.empty(0, dtype=object)
    owners = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    return np.asarray(shapely.linearrings(np.concatenate(rings), indices=owners), dtype=object)
