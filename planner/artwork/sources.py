"""One way from any file to a raster of coverage at reproduction size."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Final, TypeAlias

import cv2
import numpy as np
from numpy.typing import NDArray

from planner.artwork import bitmap as bitmaps
from planner.artwork import pdf, svg
from planner.artwork.bitmap import Bitmap
from planner.artwork.files import ArtFile
from planner.artwork.finer import Finer, Part, finer_than
from planner.artwork.framing import Window
from planner.artwork.kinds import outside_of
from planner.artwork.measures import Measure
from planner.artwork.raster import (
    HALF_DIAGONAL,
    Raster,
    hold_memory,
    least,
    needed,
    raggedness,
)
from planner.artwork.records import ArtError, Asked
from planner.artwork.svg import Drawing

_MAY_BE_THIN: Final = frozenset({"line", "combination"})
"""Kinds of negatives of which thin parts are left; outlines of silhouettes enclose what is wide."""

_MIDDLING: Final = (0.1, 0.9)
"""Thresholds at which what a first drawing shows as blank or solid is so in a finer one."""

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
    """Read the window of a source as finely as the tolerance asks.

    ``per_inch`` reads a drawing or page at another resolution: good enough to see that it can be drawn.

    Raises:
        ArtError: it cannot be drawn, or takes too much memory or time.
    """
    if isinstance(source, Bitmap):
        raster = _from_bitmap(source, window, asked)
    else:
        raster = _drawn(source, window, asked, per_inch or math.ceil(max(needed(asked), least(asked))))
    return _turned(raster, asked)


def finer_of(
    source: Source, window: Window, asked: Asked, raster: Raster, grey: NDArray[np.uint8], dark: NDArray[np.bool_]
) -> Finer | None:
    """Say how to draw the raster once more, finer, if what prints is thin; None where it is not, or cannot be done.

    ``grey`` and ``dark`` are the raster's, padded by one white element, of what prints.
    """
    least_threshold, most_threshold = _MIDDLING
    if (
        isinstance(source, Bitmap)
        or asked.kind not in _MAY_BE_THIN
        or not least_threshold <= asked.threshold <= most_threshold
    ):
        return None
    size = (raster.grey.shape[1], raster.grey.shape[0])

    def draw(times: int, parts: Sequence[Part]) -> Iterator[NDArray[np.uint8]]:
        elements, per_inch = (size[0] * times, size[1] * times), raster.per_inch * times
        if asked.mirrored:
            parts = [(elements[0] - left - width, top, width, height) for left, top, width, height in parts]
        if isinstance(source, Page):
            whole = pdf.coverage(source.data, asked.page, source.measure, window, elements, per_inch)
            pictures: Iterator[NDArray[np.uint8]] = (
                whole[top : top + height, left : left + width] for left, top, width, height in parts
            )
        else:
            pictures = svg.parts_of(source, window, elements, per_inch, parts)
        for picture in pictures:
            turned = picture[:, ::-1] if asked.mirrored else picture
            yield np.subtract(255, turned) if asked.light_on_dark else turned

    things = svg.things_of(source) if isinstance(source, Drawing) else None
    finer = finer_than(grey, dark, draw, things, outside_of(raster, asked))
    if finer is not None and isinstance(source, Drawing) and things is None:
        elements = (size[0] * finer.times, size[1] * finer.times)
        return None if svg.whole_only(source, elements, finer.times) else finer
    return finer


def _elements(window: Window, per_inch: float) -> tuple[int, int]:
    """Elements across and down."""
    across, down = (max(round(length * per_inch), 1) for length in window.size)
    return across, down


def _drawn(source: Drawing | Page, window: Window, asked: Asked, per_inch: float) -> Raster:
    across, down = _elements(window, per_inch)
    said = f"would be {window.size[0]:.1f} x {window.size[1]:.1f} in on the plate at {per_inch:g} dots to the inch"
    hold_memory(across * down, 0, said)
    if isinstance(source, Drawing):
        grey = svg.coverage(source, window, (across, down), per_inch)
    else:
        grey = pdf.coverage(source.data, asked.page, source.measure, window, (across, down), per_inch)
    if asked.light_on_dark:
        np.subtract(255, grey, out=grey)
    error = HALF_DIAGONAL * raggedness(asked.threshold) / per_inch
    return Raster(grey, per_inch, window.at[0], window.at[1] + window.size[1], False, error, per_inch)


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
