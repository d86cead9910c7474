"""What art is asked for, and what was read from it: the records of this room.

Frame of everything read: inches at reproduction size, origin at the lower left corner of the image as it will lie on
the plate (before the negative's own angle), x right, y up, right-reading.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from shapely import Polygon
from shapely.geometry import MultiPolygon

from planner.orders import NegativeKind, SideName


class ArtError(ValueError):
    """Art that cannot be used; the message is one sentence that goes on from the file's name: 'is no PNG file ...'."""


@dataclass(frozen=True, slots=True)
class Asked:
    """How one piece of art is to be read. Lengths are inches; those of the copy are before, all others after scaling.

    ``size`` is the width and height of the image on the plate. ``copy_size`` is that of the whole art as it lies
    before the camera; None takes the file's own. ``crop`` is "even", amounts off the copy by side, or None: then art
    of another proportion is cropped evenly and `Artwork.mismatch` says so. ``within`` is where on the image anything
    may print (the plate's face), None for everywhere; art outside it counts as not there.

    ``closing``: whites that a disc of this radius cannot enter count as printing in `Artwork.image`. ``distances``:
    the distances for which `Artwork.growths` is wanted; each is at least ``closing``. ``fine``: parts of the art
    thinner than this are given in `Artwork.fine`.
    """

    kind: NegativeKind
    size: tuple[float, float]
    threshold: float = 0.5
    tolerance: float = 1 / 500
    speck: float = 1 / 16
    light_on_dark: bool = False
    mirrored: bool = False
    page: int | None = None
    copy_size: tuple[float, float] | None = None
    crop: Literal["even"] | Mapping[SideName, float] | None = None
    within: Polygon | MultiPolygon | None = None
    closing: float = 1 / 32
    distances: tuple[float, ...] = ()
    fine: float = 1 / 64


@dataclass(frozen=True, slots=True)
class Mismatch:
    """Art of another proportion than its place on the plate, and the two cures in inches."""

    crop: Mapping[SideName, float]
    """Off the copy: what an even crop takes from each of two sides."""
    size: tuple[float, float]
    """The image on the plate that would take the whole copy: as high or as wide as asked, the other side larger."""


@dataclass(frozen=True)
class Artwork:
    """What was read from one piece of art at its reproduction size."""

    digest: str
    """SHA-256 of the file, hexadecimal."""
    copy_size: tuple[float, float]
    """Width and height of the whole copy, in inches."""
    copy_size_from: Literal["file", "order"]
    crop: tuple[float, float, float, float]
    """What is taken off the copy: left, right, bottom, top, in inches of the copy."""
    percentage: float
    """Linear: reproduction over copy, in per cent."""
    mismatch: Mismatch | None
    size: tuple[float, float]
    resolution: float
    """Picture elements to the inch at reproduction size with which the art was read."""
    error: float
    """How far, at most, the outline may be from that of the art: inches at reproduction size."""
    area: float
    """Square inches that print, without filling small whites."""
    doubtful: float
    """Square inches of a tone so near the threshold that whether it prints hangs on rounding."""
    image: MultiPolygon = field(repr=False)
    """What prints, with whites filled that a disc of radius ``closing`` cannot enter; never smaller than the art by
    more than `error`, and no nearer to any point outside its ``growths[closing]`` than ``closing``."""
    growths: Mapping[float, MultiPolygon] = field(repr=False)
    """By distance: a shape that holds every point within that distance of what prints (never less, hardly more)."""
    fine: MultiPolygon = field(repr=False)
    """Parts of the art that are thinner than `Asked.fine`."""
    unit: float
    """Inches of one unit of `path`."""
    path: str = field(repr=False)
    """What prints, with all its detail, as SVG path data of whole numbers: M, l, z, y up, even-odd. For drawing."""
