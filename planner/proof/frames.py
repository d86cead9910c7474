"""Where does a point of a plate's own frame come to lie on the flat?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from planner.proof.shapes import LaidPlate, Rect, rect_of

Matrix: TypeAlias = tuple[float, float, float, float, float, float]
"""a, b, d, e, x, y, as shapely's affine transform takes them: x' = a x + b y + x, y' = d x + e y + y."""

Points: TypeAlias = NDArray[np.float64]
"""Rows of x and y."""


def to_flat(plate: LaidPlate, blank: Rect) -> Matrix:
    """Give the way from the plate's frame to the flat's: turn it with its blank, move that to its place.

    A turned blank stands with its lower left corner where another corner of it was before turning.
    """
    left, bottom, right, top = blank
    cosine, sine, corner_x, corner_y = {
        0: (1, 0, left, bottom),
        90: (0, 1, left, top),
        180: (-1, 0, right, top),
        270: (0, -1, right, bottom),
    }[plate.placement.turned]
    across = plate.blank.left - (cosine * corner_x - sine * corner_y)
    up = plate.blank.bottom - (sine * corner_x + cosine * corner_y)
    return cosine, -sine, sine, cosine, across, up


def frame_of(plate: LaidPlate) -> Matrix | None:
    """Give the way from a plate's frame to its flat's; none if the plate or its blank is not there."""
    if plate.plate is None:
        return None
    blank = rect_of(plate.plate.blank)
    return to_flat(plate, blank) if blank.sound and plate.blank.sound else None


def back(matrix: Matrix) -> Matrix:
    """Give the way back from the flat's frame to the plate's: the other way round, turns only."""
    a, b, d, e, x, y = matrix
    return a, d, b, e, -(a * x + d * y), -(b * x + e * y)


def carried(points: Iterable[Iterable[float]] | Points, matrix: Matrix) -> Points:
    """Bring points from one frame to the other."""
    a, b, d, e, x, y = matrix
    rows = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    return np.column_stack((a * rows[:, 0] + b * rows[:, 1] + x, d * rows[:, 0] + e * rows[:, 1] + y))
