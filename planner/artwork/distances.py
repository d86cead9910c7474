"""How far is it from any place to the nearest element that prints?

The distance is the exact Euclidean one between middles of elements (OpenCV's precise transform, after Felzenszwalb and
Huttenlocher, Distance Transforms of Sampled Functions, Theory of Computing 8, 2012), made in bands of rows with as
much overlap as the largest distance asked, beyond which it need not be known. Of each band only every k-th element of
every k-th row is kept, as closely as a distance needs it: see `step`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray

ROUNDING: Final = 1e-3
"""Elements; by how much the transform's single precision may be off at the distances of plates."""

_BEYOND: Final = 4
"""Elements beyond the largest distance for which it is still known."""

_BAND_ELEMENTS: Final = 12_000_000
"""Elements of a band: some 100 MB at work."""


@dataclass(frozen=True, slots=True)
class Sampled:
    """Distances in elements at every ``step``-th element; the first sample is at (-``pad``, -``pad``)."""

    values: NDArray[np.float32] = field(repr=False)
    step: int
    pad: int


def step(distance: float, allowed: float) -> int:
    """Every how many elements to sample for a contour at this distance, if `slack` is to stay near what is allowed."""
    return max(int(math.sqrt(allowed * 8 / 3 * distance * 0.85)), 1)


def slack(distance: float, allowed: float) -> float:
    """How much nearer than a contour at this distance says any place outside it may be, in elements.

    Where the distance is at least r, half of r's curvature bounds how the field bends: distance minus x^2 / 2r is
    concave (a distance is the least of many cones). With samples h apart a corner of the contour, between two samples,
    may be h^2 / 8r too near; and a place between corners and samples that are far enough may be another h^2 / 4r
    nearer, for it lies within h / sqrt 2 of the middle of its cell. Together 3 h^2 / 8r, with r the least distance
    found in a cell that the contour crosses.
    """
    apart = step(distance, allowed)
    nearest = distance - apart * math.sqrt(2)
    return 3 * apart**2 / (8 * nearest) + ROUNDING


def sampled(dark: NDArray[np.bool_], distances: Sequence[float], allowed: float) -> dict[float, Sampled]:
    """Sample the distance to the nearest dark element, for a contour at each of the distances (elements).

    ``allowed`` is how much nearer than it says a place outside a contour may be, in elements; see `slack`.
    """
    largest = max(distances) + _BEYOND
    steps = {distance: step(distance, allowed) for distance in distances}
    halo = math.ceil(largest) + 1
    pad = halo + 2 * max(steps.values())
    rows, columns = dark.shape[0] + 2 * pad, dark.shape[1] + 2 * pad
    fields = {
        distance: np.full((-(-rows // apart), -(-columns // apart)), distance + _BEYOND, dtype=np.float32)
        for distance, apart in steps.items()
    }
    height = max(_BAND_ELEMENTS // columns, 2 * halo)
    for start in range(0, rows, height):
        end = min(start + height, rows)
        low, high = max(start - halo, 0), min(end + halo, rows)
        band = _padded(dark, low - pad, high - pad, pad)
        if band is None:
            continue
        found = cv2.distanceTransform(band, cv2.DIST_L2, cv2.DIST_MASK_PRECISE)[start - low : end - low]
        for distance, apart in steps.items():
            first = -start % apart
            part = np.minimum(found[first::apart, ::apart], np.float32(distance + _BEYOND))
            # Squares of distances between middles are whole numbers; rounding to them takes away the last digits, in
            # which runs with one thread and with several may differ.
            fields[distance][(start + first) // apart :][: len(part)] = np.sqrt(np.rint(part.astype(np.float64) ** 2))
    return {distance: Sampled(fields[distance], apart, pad) for distance, apart in steps.items()}


def _padded(dark: NDArray[np.bool_], low: int, high: int, pad: int) -> NDArray[np.uint8] | None:
    """Rows of the picture, zero where dark, with a light margin; None where nothing is dark."""
    inside = dark[max(low, 0) : max(high, 0)]
    if not inside.any():
        return None
    band = np.ones((high - low, dark.shape[1] + 2 * pad), dtype=np.uint8)
    first = max(low, 0) - low
    band[first : first + len(inside), pad : pad + dark.shape[1]] = ~inside
    return band
