"""One way from any file to a raster of coverage at reproduction size."""

from __future__ import annotations

import math
from contextlib import suppress
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from planner.artwork import bitmap as bitmaps
from planner.artwork import pdf, svg
from planner.artwork.bitmap import Bitmap
from planner.artwork.children import TooLarge
from planner.artwork.files import ArtFile
from planner.artwork.framing import Window
from planner.artwork.kinds import level_of
from planner.artwork.measures import Measure
from planner.artwork.raster import (
    FINER,
    HALF_DIAGONAL,
    Raster,
    hold_memory,
    is_thin,
    least,
    may_be_finer,
    needed,
    raggedness,
)
from planner.artwork.records import ArtError, Asked
from planner.artwork.svg import Drawing

_MAY_BE_THIN: Final = frozenset({"line", "combination"})
"""Kinds of negatives of which thin parts are left; outlines of silhouettes enclose what is wide."""

_SMOOTH: Final = np.array([0.25, 0.5, 0.25])

_EVEN: Final = 0.25
"""Elements by which a bitmap of nearly square elements may be off at its far side before it is made square."""


@dataclass(frozen=True, slots=True)
class Page:
    """A page of a PDF."""

    data: bytes
    measure: Measure


Source: TypeAlias = Drawing | Page | Bitmap


def source_of(file: ArtFile, asked: Asked) -> Source:
    """Open what a file holds, safely, and measure it.

    Raises:
        ArtError: it is broken or refused.
    """
    if asked.page is not None and file.format != "PDF":
        raise ArtError(f"is {file.format} and has no page {asked.page}; leave out page, or name a PDF")
    if file.format == "SVG":
        return svg.opened(file.data)
    if file.format == "PDF":
        return Page(file.data, pdf.measured(file.data, asked.page))
    return bitmaps.opened(file.data, file.format)


def raster_of(source: Source, window: Window, asked: Asked, per_inch: float | None = None) -> Raster:
    """Read the window of a source as finely as the tolerance asks, and a drawing finer if what prints is thin.

    ``per_inch`` reads a drawing or page at another resolution: good enough to see that it can be drawn.

    Raises:
        ArtError: it cannot be drawn, or takes too much memory or time.
    """
    if isinstance(source, Bitmap):
        raster = _from_bitmap(source, window, asked)
    else:
        raster = _drawn(source, window, asked, per_inch or math.ceil(max(needed(asked), least(asked))))
        if per_inch is None and asked.kind in _MAY_BE_THIN and may_be_finer(raster):
            finer = raster.per_inch * FINER
            if _drawable(source, window, finer) and is_thin(raster.grey < level_of(raster, asked.threshold)):
                with suppress(TooLarge):
                    raster = _drawn(source, window, asked, finer, FINER)
    return _turned(raster, asked)


def _drawable(source: Drawing | Page, window: Window, per_inch: float) -> bool:
    return isinstance(source, Page) or not svg.whole_only(source, _elements(window, per_inch), FINER)


def _elements(window: Window, per_inch: float) -> tuple[int, int]:
    """Elements across and down."""
    across, down = (max(round(length * per_inch), 1) for length in window.size)
    return across, down


def _drawn(source: Drawing | Page, window: Window, asked: Asked, per_inch: float, times: int = 1) -> Raster:
    across, down = _elements(window, per_inch)
    said = f"would be {window.size[0]:.1f} x {window.size[1]:.1f} in on the plate at {per_inch:g} dots to the inch"
    hold_memory(across * down / times**2, 0, said)
    if isinstance(source, Drawing):
        grey = svg.coverage(source, window, (across, down), per_inch, times)
    else:
        grey = pdf.coverage(source.data, asked.page, source.measure, window, (across, down), per_inch)
    if asked.light_on_dark:
        np.subtract(255, grey, out=grey)
    if times > 1:
        # Smoothed, coverage runs evenly across an outline, and the steps in which it was drawn even out; a straight
        # outline of anything two elements thick stays where it is.
        grey = np.asarray(cv2.sepFilter2D(grey, -1, _SMOOTH, _SMOOTH, borderType=cv2.BORDER_REPLICATE), np.uint8)
    error = HALF_DIAGONAL * raggedness(asked.threshold) * times / per_inch
    return Raster(grey, per_inch, window.at[0], window.at[1] + window.size[1], False, error, per_inch, times)


def _from_bitmap(source: Bitmap, window: Window, asked: Asked) -> Raster:
    width, height = source.size
    whole = window.whole
    across, down = width / whole[0], height / whole[1]
    box = (
        *_taken(window.left, window.right, width),
        *_taken(window.top, window.bottom, height),
    )
    left, right, top, bottom = box
    factor = max(int(min(across, down) / needed(asked)), 1)
    elements = (right - left) * (bottom - top) / factor**2
    times = max(math.ceil(least(asked) / (min(across, down) / factor)), 1)
    stretched = max(across, down) ** 2 / (across * down)
    bitmaps.hold(source, elements * times**2 * stretched)
    grey = bitmaps.grey_of(source, (left, top, right, bottom), factor)
    if asked.light_on_dark:
        np.subtract(255, grey, out=grey)
    bilevel = factor == 1 and _is_bilevel(grey)
    at = (
        window.at[0] + (left - window.left * width) / across,
        window.at[1] + window.size[1] - (top - window.top * height) / down,
    )
    across, down = across / factor, down / factor
    error = HALF_DIAGONAL / min(across, down) * (1.0 if bilevel else raggedness(asked.threshold))
    read_at = min(across, down)
    if abs(across / down - 1) * max(grey.shape) > _EVEN:
        size = (
            (round(grey.shape[1] * down / across), grey.shape[0])
            if across < down
            else (grey.shape[1], round(grey.shape[0] * across / down))
        )
        across = down = max(across, down)
        grey, bilevel = np.asarray(cv2.resize(grey, size, interpolation=cv2.INTER_LINEAR), np.uint8), False
    if times > 1:
        # A 1-bit element is a square; between grey ones the coverage runs on.
        how = cv2.INTER_NEAREST if bilevel else cv2.INTER_LINEAR
        size = (grey.shape[1] * times, grey.shape[0] * times)
        grey = np.asarray(cv2.resize(grey, size, interpolation=how), np.uint8)
    return Raster(grey, math.sqrt(across * down) * times, at[0], at[1], bilevel, error, read_at)


def _taken(start: float, end: float, count: int) -> tuple[int, int]:
    """The elements whose middles lie in a share of the whole; at least one."""
    first = min(max(math.ceil(start * count - 0.5 - 1e-6), 0), count - 1)
    return first, max(min(math.ceil(end * count - 0.5 - 1e-6), count), first + 1)


def _is_bilevel(grey: NDArray[np.uint8]) -> bool:
    used = np.bincount(grey.ravel()[:: max(grey.size // 1_000_000, 1)], minlength=256)
    if used[1:255].any():
        return False
    return not any(((row > 0) & (row < 255)).any() for row in np.array_split(grey, max(grey.shape[0] // 256, 1)))


def _turned(raster: Raster, asked: Asked) -> Raster:
    if not asked.mirrored:
        return raster
    left = asked.size[0] - (raster.left + raster.grey.shape[1] / raster.per_inch)
    return replace(raster, grey=np.ascontiguousarray(raster.grey[:, ::-1]), left=left)
