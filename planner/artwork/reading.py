"""From a file to what prints: the steps one after the other, and nothing else."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final

import numpy as np
from shapely import box
from shapely.geometry import MultiPolygon

from planner.artwork.files import opened_file
from planner.artwork.fine import fine_of
from planner.artwork.framing import framed
from planner.artwork.growths import growths_of, image_of
from planner.artwork.kinds import keep_printing, level_of
from planner.artwork.path import UNITS, path_of
from planner.artwork.raster import Raster
from planner.artwork.records import Artwork, Asked
from planner.artwork.sources import finer_of, raster_of, source_of
from planner.artwork.tones import doubtful_elements
from planner.artwork.traced import traced_finer, traced_once
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
    grey = keep_printing(raster, asked)
    level = level_of(raster, asked.threshold)
    dark = np.asarray(grey < level)
    doubtful = 0 if raster.bilevel else doubtful_elements(grey, level)
    finer = finer_of(source, framing.window, asked, raster, grey, dark)
    del source  # The decoded file, and then the raster, are as large as all that follows.
    raster = replace(raster, grey=np.empty((0, 0), np.uint8))
    traced = traced_finer(finer, level, dark) if finer is not None else None
    traced = traced or traced_once(grey, level, dark)
    del grey, dark, finer
    outline = path_of(traced.tracing, raster, asked.tolerance, traced.times)
    growths = growths_of(traced.dark, raster, asked, outline.error)
    return artwork(
        resolution=raster.read_at * traced.times,
        error=raster.error + outline.error,
        area=traced.elements / raster.per_inch**2,
        doubtful=doubtful / raster.per_inch**2,
        image=image_of(growths[asked.closing], asked),
        growths={length: growths[length] for length in sorted({asked.closing, *asked.distances})},
        fine=fine_of(traced.dark, raster, asked.fine),
        unit=outline.unit,
        path=outline.data,
    )


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
