"""What of the art prints, by the kind of negative?

Line and combination: what is darker than the threshold. Silhouette: everything inside the subject's outline, that is,
what is darker than the threshold with its holes filled. Drop-out: the same, except light areas wider than the speck.
A *light area* is a whole connected patch inside the outline that is not darker than the threshold (elements that share
a side belong together); it drops out as a whole, with all its corners, if a disc of the speck's diameter fits into it,
and prints if none does. A square halftone prints over its whole rectangle and needs no picture.
"""

from __future__ import annotations

import math
from typing import Final

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely import Polygon
from shapely.geometry import MultiPolygon

from planner.artwork.raster import Raster
from planner.artwork.records import Asked

_FRACTION_BITS: Final = 8

_TOUCHING: Final = 0.75
"""Elements; half a diagonal and a little: an element that touches the plate's face counts."""


def level_of(raster: Raster, threshold: float) -> float:
    """Grey below which an element prints; never a whole number, so that no element lies on it."""
    return 127.5 if raster.bilevel else min(max(math.ceil(threshold * 255), 1), 255) - 0.5


def keep_printing(raster: Raster, asked: Asked) -> NDArray[np.uint8]:
    """Whiten in the raster's grey what is outside the plate's face, blacken what the kind fills; give the grey.

    The grey of elements at an outline stays as it was, for the outline runs between elements by their grey. The
    raster is padded by one white element on every side.
    """
    level = level_of(raster, asked.threshold)
    grey = np.asarray(cv2.copyMakeBorder(raster.grey, 1, 1, 1, 1, cv2.BORDER_CONSTANT, value=255), np.uint8)
    outside = outside_of(raster, asked)
    if outside is not None:
        grey[outside] = 255
    if asked.kind in {"silhouette", "drop-out"}:
        filled = _holes(grey, level)
        if asked.kind == "drop-out":
            filled &= ~_wide(filled, asked.speck * raster.per_inch)
        grey[filled] = 0
    return grey


def outside_of(raster: Raster, asked: Asked) -> NDArray[np.bool_] | None:
    """Elements of the raster, padded, that lie outside the plate's face; None where anything may print anywhere."""
    if asked.within is None:
        return None
    height, width = raster.grey.shape
    return ~_inside(asked.within, raster, (height + 2, width + 2))


def _holes(grey: NDArray[np.uint8], level: float) -> NDArray[np.bool_]:
    """Light elements that no way of light elements, side by side, joins to the border."""
    light = (grey > level).astype(np.uint8)
    cv2.floodFill(light, None, (0, 0), 2, flags=4)
    return np.asarray(light == 1)


def _wide(light: NDArray[np.bool_], speck: float) -> NDArray[np.bool_]:
    """The light areas into which a disc of this diameter (elements) fits."""
    picture = light.astype(np.uint8)
    # The distance to the middle of the nearest dark element is half an element more than to its side.
    fits = cv2.distanceTransform(picture, cv2.DIST_L2, cv2.DIST_MASK_PRECISE) >= speck / 2 + 0.5
    if not fits.any():
        return np.zeros_like(light)
    count, labels = cv2.connectedComponents(picture, connectivity=4, ltype=cv2.CV_32S)
    wide = np.zeros(count, dtype=bool)
    wide[labels[fits]] = True
    wide[0] = False
    return np.asarray(wide[labels])


def _inside(within: Polygon | MultiPolygon, raster: Raster, shape: tuple[int, ...]) -> NDArray[np.bool_]:
    """Elements of the padded raster that touch the face; here and there one that misses it by less than an element."""
    face = within.buffer(_TOUCHING / raster.per_inch, join_style="mitre")
    inside = np.zeros(shape, dtype=np.uint8)
    rings = [
        _elements(ring.coords, raster)
        for part in (face.geoms if isinstance(face, MultiPolygon) else [face])
        for ring in (part.exterior, *part.interiors)
        if not part.is_empty
    ]
    if rings:
        cv2.fillPoly(inside, rings, 1, lineType=cv2.LINE_8, shift=_FRACTION_BITS)
    return np.asarray(inside > 0)


def _elements(coordinates: object, raster: Raster) -> NDArray[np.int32]:
    points = np.asarray(coordinates)[:, :2]
    columns = (points[:, 0] - raster.left) * raster.per_inch + 0.5
    rows = (raster.top - points[:, 1]) * raster.per_inch + 0.5
    limit = 2**31 / 2 ** (_FRACTION_BITS + 2)
    both = np.clip(np.column_stack((columns, rows)), -limit, limit)
    return np.asarray(np.rint(both * 2**_FRACTION_BITS), dtype=np.int32)
