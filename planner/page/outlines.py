"""How does a shape travel to the page? As rings in whole units, each point by its step from the one before it.

The page's script reads `M x y l dx dy ... z` and nothing else, which is also how a plan writes its art.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Final

import numpy as np
from numpy.typing import NDArray

from planner.paths import subpath
from planner.plan import Box, Ring, Shape
from planner.sheets.looking import UNSEEN, seen_lines, thinned

UNITS: Final = 4000
"""Of the page's paths to the inch: a third of what may be left out of a curve unseen."""


def outline(shape: Shape, tolerance: float = UNSEEN) -> str:
    """Give an area's rings without the corners that nobody sees at this distance (inches)."""
    return "".join(_closed(ring) for polygon in thinned(shape, tolerance) for ring in polygon)


def boxes(*given: Box) -> str:
    """Give the outlines of rectangles."""
    return "".join(
        _closed(((x, y), (x + width, y), (x + width, y + height), (x, y + height))) for x, y, width, height in given
    )


def lines(given: Sequence[Ring]) -> list[list[int]]:
    """Give open lines as lists of places in whole units: x, y, x, y ..."""
    return [_whole(line).ravel().tolist() for line in seen_lines(given)]


def box_of(shapes: Iterable[Shape]) -> list[float] | None:
    """Give left, bottom, width and height of what holds all of these shapes; None if they hold nothing."""
    corners = [corner for shape in shapes for polygon in shape for ring in polygon for corner in ring]
    if not corners:
        return None
    points = np.asarray(corners)
    (left, bottom), (right, top) = points.min(axis=0), points.max(axis=0)
    return [round(float(value), 4) for value in (left, bottom, right - left, top - bottom)]


def _closed(ring: Ring) -> str:
    return subpath(_whole((*ring, ring[0]))) if ring else ""


def _whole(points: Ring) -> NDArray[np.int64]:
    whole: NDArray[np.int64] = np.rint(np.asarray(points, dtype=float) * UNITS).astype(np.int64)
    return whole
