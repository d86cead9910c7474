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
"""Units of a path within the tolerance; finer drawings have four times as many."""

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


class Tracing:
    """The outlines of a drawing that comes in blocks of rows, from above."""

    def __init__(self, level: float) -> None:
        """What is darker than ``level`` is traced."""
        self._level = level
        self._closed: list[Points] = []
        self._open: list[Points] = []

    def add(self, block: NDArray[np.uint8], row: int, column: int = 0) -> None:
        """Trace a block; its first row is the last of those above it, and nothing leaves it sideways.

        ``row`` and ``column`` are those of its first element in the padded drawing.
        """
        for first in range(0, len(block) - 1, _BAND):
            band = block[first : first + _BAND + 1]
            dark = np.flatnonzero((band < self._level).any(axis=0))
            if not len(dark):
                continue
            # Columns beside the dark ones are light, so no line leaves the band sideways.
            start = max(dark[0] - 1, 0)
            closed, others = _lines(band[:, start : dark[-1] + 2], self._level, (column + start, row + first))
            self._closed += closed
            self._open += others

    def rings(self) -> NDArray[np.object_]:
        """All rings, each ending where it starts, between middles of elements of the padded drawing."""
        return _rings(self._closed + _joined(self._open))


def path_of(tracing: Tracing, raster: Raster, tolerance: float, times: int = 1) -> Path:
    """Write what prints, traced from the raster padded by one white element, or from one ``times`` finer."""
    per_inch = raster.per_inch * times
    unit = tolerance / (UNITS if times == 1 else 4 * UNITS)
    rings = tracing.rings()
    share = SQUARE if raster.bilevel else FINEST / times
    simple = _simplified(rings, share * tolerance * per_inch)
    while shapely.get_num_coordinates(simple).sum() > MANY_CORNERS and share < COARSEST:
        share = min(share * 1.6, COARSEST)
        simple = _simplified(rings, share * tolerance * per_inch)
    # A corner rounded to whole units moves by half a unit's diagonal at most.
    written = _written(simple, (raster.left, raster.top), per_inch, unit)
    return Path(written, unit, share * tolerance + unit * 0.7072)


def _simplified(rings: NDArray[np.object_], amount: float) -> NDArray[np.object_]:
    return np.asarray(shapely.simplify(rings, amount, preserve_topology=False), dtype=object)


def _written(rings: NDArray[np.object_], corner: tuple[float, float], per_inch: float, unit: float) -> str:
    coordinates, owners = shapely.get_coordinates(rings, return_index=True)
    # Coordinates are those of middles of elements in the padded drawing.
    x = np.rint((corner[0] + (coordinates[:, 0] - 0.5) / per_inch) / unit).astype(np.int64)
    y = np.rint((corner[1] - (coordinates[:, 1] - 0.5) / per_inch) / unit).astype(np.int64)
    points = np.column_stack((x, y))
    starts = np.flatnonzero(np.diff(owners, prepend=-1))
    return "".join(subpath(ring) for ring in np.split(points, starts[1:])) if len(points) else ""


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
