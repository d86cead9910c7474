"""From a file to what prints: the steps one after the other, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray
from shapely import box
from shapely.geometry import MultiPolygon

from planner.artwork.files import opened_file
from planner.artwork.fine import fine_of
from planner.artwork.framing import framed
from planner.artwork.growths import growths_of, image_of
from planner.artwork.kinds import keep_printing, level_of
from planner.artwork.path import UNITS, path_of
from planner.artwork.raster import Raster, any_dark
from planner.artwork.records import Artwork, Asked
from planner.artwork.sources import raster_of, source_of
from planner.artwork.tones import doubtful_elements
from planner.geometry import area_of, grown
from planner.paths import subpath

_LOOK: Final = 40.0
"""Dots to the inch that show whether a drawing can be drawn at all."""


def read_art(path: Path, asked: Asked) -> Artwork:
    """Read an art file as asked. Art that prints nothing gives empty shapes and an area of zero.

    Raises:
        ArtError: the art cannot be used; the message is a sentence that goes on from the file's name.
    """
    file = opened_file(path)
    source = source_of(file, asked)
    framing = framed(source.measure, asked)
    artwork = partial(
        Artwork,
        digest=file.digest,
        copy_size=framing.copy_size,
        copy_size_from=framing.copy_size_from,
        crop=framing.crop,
        percentage=framing.percentage,
        mismatch=framing.mismatch,
        size=asked.size,
    )
    if asked.kind == "square":
        raster = raster_of(source, framing.window, asked, _LOOK)
        return _rectangle(artwork, raster, asked)
    raster = raster_of(source, framing.window, asked)
    del source  # The decoded file, and then the raster, are as large as all that follows.
    grey = keep_printing(raster, asked)
    raster = replace(raster, grey=np.empty((0, 0), np.uint8))
    level = level_of(raster, asked.threshold)
    outline = path_of(grey, level, raster, asked.tolerance)
    dark = np.asarray(grey < level)
    doubtful = 0 if raster.bilevel else doubtful_elements(grey, level)
    del grey
    inch = raster.per_inch**2
    area = int(np.count_nonzero(dark)) / inch
    dark, raster = _together(dark, raster)
    growths = growths_of(dark, raster, asked, outline.error)
    return artwork(
        resolution=raster.read_at,
        error=raster.error + outline.error,
        area=area,
        doubtful=doubtful / inch,
        image=image_of(growths[asked.closing], asked),
        growths={length: growths[length] for length in sorted({asked.closing, *asked.distances})},
        fine=fine_of(dark, raster, asked.fine),
        unit=outline.unit,
        path=outline.data,
    )


def _together(dark: NDArray[np.bool_], raster: Raster) -> tuple[NDArray[np.bool_], Raster]:
    """Take elements of thin art together, one dark if any is, so that no distance gets longer; padded as before."""
    if raster.together == 1:
        return dark, raster
    reduced = np.pad(any_dark(dark[1:-1, 1:-1], raster.together), 1)
    return reduced, replace(raster, per_inch=raster.per_inch / raster.together, together=1)


def _rectangle(artwork: Callable[..., Artwork], raster: Raster, asked: Asked) -> Artwork:
    """A square halftone prints over its whole rectangle, exactly; the picture was only looked at."""
    whole = box(0, 0, *asked.size)
    image = area_of(whole if asked.within is None else whole.intersection(asked.within))
    unit = asked.tolerance / UNITS
    return artwork(
        resolution=raster.read_at,
        error=unit * 0.7072,
        area=image.area,
        doubtful=0.0,
        image=image,
        growths={length: grown(image, length) for length in sorted({asked.closing, *asked.distances})},
        fine=MultiPolygon(),
        unit=unit,
        path=_path(image, unit),
    )


def _path(image: MultiPolygon, unit: float) -> str:
    rings = (ring for part in image.geoms for ring in (part.exterior, *part.interiors))
    return "".join(subpath(np.rint(np.asarray(ring.coords)[:, :2] / unit).astype(np.int64)) for ring in rings)
