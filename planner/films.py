"""From a plate's negatives to its films: each with its image in place, drawn as ordered or read from art.

Frame: that of the plate; inches, origin at the lower left corner of its bounding rectangle without bleed, x right, y
up, right-reading. Whoever turns an art file into an `Artwork` is handed in, so that this room reads no files.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

from shapely import Polygon, affinity
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.artwork.records import Artwork, Asked
from planner.geometry import area_of, moved, rectangle, spun
from planner.house import House
from planner.orders import Negative, NegativeKind, Plate, Use


@dataclass(frozen=True, slots=True)
class PlacedArt:
    """Art in its place on the plate: what was read of it, with growths and fine parts in the plate's frame."""

    file: str
    """As the order names it."""
    asked: Asked
    artwork: Artwork
    at: tuple[float, float]
    """Where the art's lower left corner lies before the film is turned."""
    about: tuple[float, float]
    """The point about which the film is turned by its angle."""
    growths: Mapping[float, MultiPolygon] = field(repr=False)
    fine: MultiPolygon = field(repr=False)


@dataclass(frozen=True, slots=True)
class Film:
    """A negative on its plate: the film and its image, turned and in place."""

    number: int
    """Place in the plate's list of negatives, from 1."""
    name: str
    kind: NegativeKind
    use: Use
    on: int | None
    """For an overlay, the number of the film whose illustration it lies on."""
    size: tuple[float, float]
    """Width and height of the film before turning."""
    angle: float
    film: Polygon
    image: MultiPolygon
    given: bool
    """Whether the order gave the film's size; otherwise it is the image and the house's safe edge."""
    has_image: bool
    """Whether the order gave an image; an overlay without one is known by its film alone."""
    art: PlacedArt | None = None
    """The art it is made from; its shapes stand in the plate's frame."""

    @property
    def is_overlay(self) -> bool:
        """Whether it lies over another film."""
        return self.use != "base"

    @property
    def label(self) -> str:
        """How a sentence calls it: 'the surprint "Title"'."""
        what = self.use if self.is_overlay else f"{self.kind} negative"
        return f'the {what} "{self.name}"'


ArtReader: TypeAlias = Callable[[int, str, Asked], Artwork]
"""Reads the art of a plate's negative: its number, the file as the order names it, and how it is to be read."""


@dataclass(frozen=True, slots=True)
class _Laid:
    """An image in place but not yet turned, the point it turns about, and the rectangle that it fills."""

    image: MultiPolygon
    at: tuple[float, float]
    frame: tuple[float, float, float, float]
    art: PlacedArt | None


def films_of(
    entry: Plate, outline: Polygon, face: MultiPolygon, house: House, distances: tuple[float, ...], read: ArtReader
) -> Iterator[Film]:
    """Give a plate's films in the order's own order; ``distances`` are those at which the router asks of art.

    Raises:
        InputError: what the reader raises for art that cannot be used.
    """
    if not entry.negatives:
        kind: NegativeKind = "square" if entry.screen else "line"
        only = Negative.model_validate({"kind": kind})
        left, bottom, right, top = face.bounds
        yield _film(1, only, None, _Laid(face, (left, bottom), (left, bottom, right, top), None), house)
        return
    placed: list[Film] = []
    # Overlays come after what they lie on, whichever way the order lists them.
    numbered = sorted(enumerate(entry.negatives, 1), key=lambda pair: pair[1].is_overlay)
    for number, negative in numbered:
        under = _illustration(negative, placed) if negative.is_overlay else None
        laid = _laid(negative, under, outline, face)
        if negative.art is not None:
            laid = _with_art(number, negative, laid, face, house, distances, read)
        placed.append(_film(number, negative, under, laid, house))
    yield from sorted(placed, key=lambda film: film.number)


def _illustration(overlay: Negative, placed: list[Film]) -> Film:
    base = [film for film in placed if not film.is_overlay]
    if overlay.on is not None:
        return next(film for film in base if film.name == overlay.on)
    return next(film for film in base if film.kind != "line")


def _film(number: int, negative: Negative, under: Film | None, laid: _Laid, house: House) -> Film:
    left, bottom, right, top = laid.frame
    edge = house.film.safe_edge
    width, height = negative.film or (right - left + 2 * edge, top - bottom + 2 * edge)
    film_left, film_bottom = negative.film_at or ((left + right - width) / 2, (bottom + top - height) / 2)
    return Film(
        number=number,
        name=negative.name or (negative.use if negative.is_overlay else f"negative {number}"),
        kind=negative.kind,
        use=negative.use,
        on=under.number if under else None,
        size=(width, height),
        angle=negative.angle,
        film=_one(spun(rectangle(film_left, film_bottom, width, height), negative.angle, laid.at)),
        image=area_of(spun(laid.image, negative.angle, laid.at)),
        given=negative.film is not None,
        has_image=not negative.is_overlay or bool(negative.size or negative.outline),
        art=laid.art,
    )


def _one(shape: BaseGeometry) -> Polygon:
    """A film is one rectangle, turned or not."""
    return area_of(shape).geoms[0]


def _laid(negative: Negative, under: Film | None, outline: Polygon, face: MultiPolygon) -> _Laid:
    if negative.outline is not None:
        image = negative.outline.area
    elif negative.size is not None or under is not None:
        # An overlay without a size of its own is placed by its film.
        image = area_of(rectangle(0, 0, *(negative.size or negative.film or (0.0, 0.0))))
    elif negative.at is None:
        left, bottom, right, top = face.bounds
        return _Laid(face, (left, bottom), (left, bottom, right, top), None)
    else:
        image = area_of(outline)
    at = negative.at
    if at is None:
        around = under.image.bounds if under is not None else outline.bounds
        width, height = image.bounds[2], image.bounds[3]
        at = (around[0] + around[2] - width) / 2, (around[1] + around[3] - height) / 2
    there = area_of(moved(image, *at))
    left, bottom, right, top = there.bounds
    return _Laid(there, at, (left, bottom, right, top), None)


def _with_art(
    number: int,
    negative: Negative,
    laid: _Laid,
    face: MultiPolygon,
    house: House,
    distances: tuple[float, ...],
    read: ArtReader,
) -> _Laid:
    """The same place, with what the art shows in it."""
    left, bottom, right, top = laid.frame

    def put(shape: MultiPolygon) -> MultiPolygon:
        return area_of(moved(shape, left, bottom))

    fills_plate = negative.size is None and negative.at is None
    asked = Asked(
        kind=negative.kind,
        size=(right - left, top - bottom),
        threshold=negative.threshold or house.art.threshold,
        tolerance=house.art.tolerance,
        speck=house.art.speck if negative.speck is None else negative.speck,
        light_on_dark=negative.light_on_dark,
        mirrored=negative.mirrored,
        page=negative.page,
        copy_size=negative.copy_size,
        crop=negative.crop,
        within=affinity.translate(face, -left, -bottom) if fills_plate and not negative.angle else None,
        closing=min(distances, default=min(house.routing.clearance, house.routing.least_white / 2)),
        distances=distances,
        fine=house.routing.fine,
    )
    artwork = read(number, negative.art or "", asked)
    # Shapes of art are a hair larger than the art; what prints ends where the art ends.
    image = area_of(put(artwork.image).intersection(rectangle(left, bottom, right - left, top - bottom)))
    turned = {
        distance: area_of(spun(put(growth), negative.angle, laid.at)) for distance, growth in artwork.growths.items()
    }
    fine = area_of(spun(put(artwork.fine), negative.angle, laid.at))
    return _Laid(
        image, laid.at, laid.frame, PlacedArt(negative.art or "", asked, artwork, (left, bottom), laid.at, turned, fine)
    )
