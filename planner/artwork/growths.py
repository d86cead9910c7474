"""Which places are within a distance of what prints, and what does the printing area close up to?

Every approximation errs to one side: a growth is never smaller than the true one. The contour is taken farther out by
all that could bring it too near: the half diagonal of an element (or the traced outline, where it runs outside), the
bound on sampling, and what simplifying moves.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import box
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.artwork.contours import areas
from planner.artwork.distances import Sampled, sampled, slack
from planner.artwork.raster import HALF_DIAGONAL, Raster
from planner.artwork.records import Asked
from planner.geometry import ARC_SEGMENTS, area_of

_SIMPLER: Final = 1 / 6
"""How far simplifying may move an edge, in tolerances; an arc of 1/32 in radius keeps some twenty corners."""

_SAMPLING: Final = 0.1
"""Elements that sampling may cost, or as much as simplifying costs if that is more."""


def growths_of(
    dark: NDArray[np.bool_], raster: Raster, asked: Asked, path_error: float
) -> Mapping[float, MultiPolygon]:
    """Give the growth for ``asked.closing`` and every distance asked; ``dark`` is padded by one element.

    ``path_error`` is how far in inches the path may be from the traced outline; growths hold the path's as well.
    """
    lengths = sorted({asked.closing, *asked.distances})
    if not dark.any():
        return dict.fromkeys(lengths, MultiPolygon())
    per_inch = raster.per_inch
    simpler = _SIMPLER * asked.tolerance
    allowed = max(_SAMPLING, simpler * per_inch)
    fields = sampled(dark, [length * per_inch for length in lengths], allowed)
    growths = {}
    for length in lengths:
        distance = length * per_inch
        level = distance + _outline(raster, distance, path_error * per_inch)
        level += slack(distance, allowed) + simpler * per_inch
        growths[length] = _contour(fields.pop(distance), level, raster, simpler)
    return growths


def image_of(growth: MultiPolygon, asked: Asked) -> MultiPolygon:
    """Close up what prints: shrink its growth again, so that whites too narrow for the disc stay filled.

    Shrinking rounds arcs in chords that come too near by the factor cos(1.5 pi / 4n) (see `planner.geometry.grown`);
    and simplifying may move an edge. Both are made up for beforehand, so that the image keeps `Asked.closing` from
    everything outside the growth.
    """
    simpler = _SIMPLER * asked.tolerance / 2
    amount = asked.closing / math.cos(1.5 * math.pi / (4 * ARC_SEGMENTS)) + simpler
    image: BaseGeometry = _simplified(area_of(growth.buffer(-amount, quad_segs=ARC_SEGMENTS)), simpler)
    frame = box(0, 0, *asked.size)
    for limit in (frame,) if asked.within is None else (frame, asked.within):
        if not limit.covers(image):
            image = image.intersection(limit)
    return area_of(image)


def _outline(raster: Raster, distance: float, path_error: float) -> float:
    """How far outside the middles of the dark elements their sides and the written outline may be, in elements.

    The traced outline lies at most one element from the middle of a dark one, measured in whichever direction
    something is at a distance d from it, but for 1 / 8d where it passes between two middles; half an element where
    all is black or white.
    """
    traced = (0.5 if raster.bilevel else 1.0) + 1 / (8 * distance)
    return max(HALF_DIAGONAL + 1e-6, traced + path_error)


def _contour(field: Sampled, level: float, raster: Raster, simpler: float) -> MultiPolygon:
    # Element (0, 0) of the picture is the white one beside the raster's upper left corner.
    beside = (field.pad + 0.5) / raster.per_inch
    first = (raster.left - beside, raster.top + beside)
    return _simplified(areas(field.values, (-1.0, level), first, field.step / raster.per_inch), simpler)


def _simplified(shape: MultiPolygon, amount: float) -> MultiPolygon:
    """Simplify by at most this much; the quick way, unless it makes edges cross."""
    for careful in (False, True):
        simple = shapely.simplify(shape, amount, preserve_topology=careful)
        if simple.is_valid:
            return area_of(simple)
    return shape
