"""Which areas of a sampled field lie between two levels?"""

from __future__ import annotations

from typing import Any

import contourpy
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import GeometryType
from shapely.geometry import MultiPolygon

from planner.geometry import area_of


def areas(
    values: NDArray[np.generic], levels: tuple[float, float], first: tuple[float, float], apart: float
) -> MultiPolygon:
    """Give the areas between two levels of a field that runs evenly from sample to sample.

    ``first`` is the place of the first sample of the first row, in inches; rows go down from it, ``apart`` inches
    from sample to sample. The border of the field must lie outside the levels.
    """
    generator = contourpy.contour_generator(
        z=values.astype(np.float64), name="serial", fill_type=contourpy.FillType.ChunkCombinedOffsetOffset
    )
    found: Any = generator.filled(*levels)
    points, rings, polygons = (part[0] for part in found)
    if points is None:
        return MultiPolygon()
    inches = np.column_stack((first[0] + points[:, 0] * apart, first[1] - points[:, 1] * apart))
    made = shapely.from_ragged_array(GeometryType.POLYGON, inches, (rings.astype(np.int64), polygons.astype(np.int64)))
    return area_of(MultiPolygon(list(made)))
