"""Pictures of shapes in dots, made and measured with scikit-image and SciPy only, and outlines out of sample pictures.

Row 0 is the lowest row, so that rows count upwards as the plate's frame does.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage import data, draw, filters, measure

Dots = NDArray[np.bool_]
Corner = tuple[float, float]


@dataclass(frozen=True)
class Grid:
    """Square dots over a rectangle of the plate's frame."""

    left: float
    bottom: float
    width: float
    height: float
    per_inch: int

    @property
    def shape(self) -> tuple[int, int]:
        """Rows and columns."""
        return round(self.height * self.per_inch), round(self.width * self.per_inch)

    def filled(self, rings: Iterable[Sequence[Corner]]) -> Dots:
        """Give the dots whose centres lie inside an odd number of rings."""
        dots = np.zeros(self.shape, dtype=bool)
        for ring in rings:
            corners = np.asarray(ring)
            rows = (corners[:, 1] - self.bottom) * self.per_inch - 0.5
            columns = (corners[:, 0] - self.left) * self.per_inch - 0.5
            dots[draw.polygon(rows, columns, self.shape)] ^= True
        return dots

    def area(self, dots: Dots) -> float:
        """Give the area of the dots that are set, in square inches."""
        return float(np.count_nonzero(dots)) / self.per_inch**2

    def distances(self, dots: Dots) -> NDArray[np.float64]:
        """Give for each dot the distance in inches to the edge of the dots that are set; zero inside.

        The transform measures to the centre of a dot, and the edge lies half a dot before it.
        """
        return np.maximum(ndimage.distance_transform_edt(~dots) - 0.5, 0.0) / self.per_inch

    def sampled(self, field: NDArray[np.float64], points: Sequence[Corner]) -> NDArray[np.float64]:
        """Read a field of numbers at any points of the frame."""
        corners = np.asarray(points)
        rows = (corners[:, 1] - self.bottom) * self.per_inch - 0.5
        columns = (corners[:, 0] - self.left) * self.per_inch - 0.5
        return np.asarray(ndimage.map_coordinates(field, [rows, columns], order=1, mode="nearest"))


def turned_rectangle(at: Corner, size: tuple[float, float], degrees: float) -> list[Corner]:
    """Give the corners of a rectangle turned anticlockwise about its lower left corner."""
    turn = complex(math.cos(math.radians(degrees)), math.sin(math.radians(degrees)))
    width, height = size
    corners = [complex(*at) + turn * complex(x, y) for x, y in ((0, 0), (width, 0), (width, height), (0, height))]
    return [(corner.real, corner.imag) for corner in corners]


def rounded(ring: NDArray[np.float64], height: int, per_inch: float) -> tuple[Corner, ...]:
    """Give a contour of a picture (row, column; rows downwards) as corners in inches, y up, to 1/10000 in."""
    return tuple((round(column / per_inch, 4), round((height - row) / per_inch, 4)) for row, column in ring[:-1])


@cache
def horse(width: float = 3.0) -> tuple[Corner, ...]:
    """Give the outline of the horse silhouette that lies in scikit-image's wheel, as wide a picture as said.

    Source: scikit-image 0.24 or later, `skimage.data.horse` (bundled `horse.png`, 328 x 400 dots).
    """
    picture = ~data.horse()
    outline = max(measure.find_contours(picture.astype(float), 0.5), key=len)
    return rounded(measure.approximate_polygon(outline, 0.9), picture.shape[0], picture.shape[1] / width)


@cache
def coins(width: float = 4.0) -> tuple[tuple[Corner, ...], ...]:
    """Give the outlines of the Greek coins that lie in scikit-image's wheel; some lie inside others, as holes.

    Source: scikit-image 0.24 or later, `skimage.data.coins` (bundled `coins.png`, 303 x 384 dots).
    """
    picture = filters.gaussian(data.coins() / 255.0, 2)
    found = measure.find_contours(picture, filters.threshold_otsu(picture))
    closed = [ring for ring in found if len(ring) > 100 and np.array_equal(ring[0], ring[-1])]
    per_inch = picture.shape[1] / width
    return tuple(rounded(measure.approximate_polygon(ring, 0.5), picture.shape[0], per_inch) for ring in closed)


def from_corner(rings: Sequence[Sequence[Corner]], at: Corner = (0.0, 0.0)) -> list[list[Corner]]:
    """Move rings so that the lower left corner of their bounding rectangle lies at a place."""
    left = min(x for ring in rings for x, _ in ring)
    bottom = min(y for ring in rings for _, y in ring)
    return [[(x - left + at[0], y - bottom + at[1]) for x, y in ring] for ring in rings]


def path_data(rings: Sequence[Sequence[Corner]]) -> str:
    """Write rings as SVG path data, whose y runs downwards."""
    return " ".join("M" + "L".join(f"{x:.4f},{-y:.4f}" for x, y in ring) + "Z" for ring in rings)
