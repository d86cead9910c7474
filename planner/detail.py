"""Which parts of drawn shapes are thin, and which lie near given lines?"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import Polygon, STRtree
from shapely.geometry.base import BaseGeometry

_CHORDS: Final = 8
"""Chords in a quarter turn of the disc that looks for thin parts."""

_OVER: Final = 1.05
"""Times its radius that a disc is taken to sweep, so that chords leave no slivers along round edges."""


def thin_parts(parts: Sequence[Polygon], width: float) -> list[Polygon]:
    """Give what a disc of this diameter in inches cannot sweep inside each part (what morphological opening removes).

    What hangs on something thicker is given without its last fortieth of the width there.
    """
    whole = np.array(parts)
    cores = shapely.buffer(whole, -width / 2, quad_segs=_CHORDS)
    return _areas_in(shapely.difference(whole, shapely.buffer(cores, width / 2 * _OVER, quad_segs=_CHORDS)))


def parts_near(parts: Sequence[Polygon], lines: Sequence[BaseGeometry], distance: float) -> list[Polygon]:
    """Give the parts within a distance in inches of any of the lines, in their order."""
    near = STRtree(parts).query(lines, predicate="dwithin", distance=distance)[1]
    return [parts[place] for place in np.unique(near).tolist()]


def parts_on(parts: Sequence[Polygon], face: BaseGeometry) -> list[Polygon]:
    """Give as much of each part as lies on a face."""
    if not parts or face.covers(shapely.box(*shapely.total_bounds(parts))):
        return list(parts)
    return _areas_in(shapely.intersection(np.array(parts), face))


def _areas_in(shapes: NDArray[Any]) -> list[Polygon]:
    return [part for part in shapely.get_parts(shapely.get_parts(shapes)) if isinstance(part, Polygon) and part.area]
