"""From an order to single plates: every copy and every printing colour with its shapes, in the plate's own frame.

Frame: inches, origin at the lower left corner of the plate's bounding rectangle (without bleed), x right, y up,
right-reading. An image may reach beyond the plate on sides that bleed.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import Final

from shapely import LineString, Polygon
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.artwork.records import Artwork
from planner.geometry import area_of, grown, is_upright_rectangle, moved, opened, rectangle, spun, union_of
from planner.house import House
from planner.orders import SIDES, Job, Mounting, Negative, NegativeKind, Orders, Plate, SideName, Tint, Use

_OUTWARD: Final[dict[SideName, tuple[int, int]]] = {
    "left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class PlacedArt:
    """Art in its place on the plate: what was read of it, with growths and fine parts in the plate's frame."""

    artwork: Artwork
    at: tuple[float, float]
    """Where the art's lower left corner lies; it is turned about it by the film's angle."""
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


@dataclass(frozen=True, slots=True)
class TintArea:
    """An area of the plate that gets a mechanical pattern."""

    pattern: str
    area: MultiPolygon


@dataclass(frozen=True)
class OrderedPlate:
    """One plate to be made: one copy, one printing colour. What rules are handed."""

    id: str
    job: str
    name: str
    copy_number: int
    copies: int
    colour: str | None
    customer: str | None
    due: datetime | None
    rush: bool
    metal: str
    gauge: float
    screen: int | None
    mounting: Mounting
    flush: tuple[SideName, ...]
    """Sides where a flush plate runs out to the edge."""
    bleed: dict[SideName, float] = field(repr=False)
    """How far the picture runs past the trim, for the sides that bleed."""
    may_turn: bool
    notes: str
    outline: Polygon = field(repr=False)
    """The plate without bleed."""
    face: MultiPolygon = field(repr=False)
    """The plate with its bleed: the metal that the customer gets, holes open."""
    films: tuple[Film, ...] = field(repr=False)
    tints: tuple[TintArea, ...] = field(repr=False)
    share_key: str

    @property
    def width(self) -> float:
        """Of the bounding rectangle, without bleed."""
        return float(self.outline.bounds[2])

    @property
    def height(self) -> float:
        """Of the bounding rectangle, without bleed."""
        return float(self.outline.bounds[3])

    @cached_property
    def is_rectangle(self) -> bool:
        """Whether the plate is an upright rectangle; a mortise inside it does not matter."""
        return is_upright_rectangle(Polygon(self.outline.exterior))

    @cached_property
    def printing(self) -> MultiPolygon:
        """What prints: the images of the base and of surprints with an image of their own, and tints, on the face."""
        images = [film.image for film in self._printing_films]
        return area_of(union_of([*images, *(tint.area for tint in self.tints)]).intersection(self.face))

    def printing_grown(self, distance: float) -> MultiPolygon:
        """Give a shape that holds every point within a distance (inches) of what prints; never less, hardly more."""
        prepared = [
            film.art.growths[distance] for film in self._printing_films if film.art and distance in film.art.growths
        ]
        others = [film.image for film in self._printing_films if not (film.art and distance in film.art.growths)]
        drawn = union_of([*others, *(tint.area for tint in self.tints)]).intersection(self.face)
        return union_of([grown(drawn, distance), *prepared])

    def thinner_than(self, width: float) -> MultiPolygon:
        """Give the parts of what prints that are thinner than a width in inches: hairlines, points, serifs."""
        made = [film.art.fine for film in self._printing_films if film.art]
        drawn = union_of(film.image for film in self._printing_films if not film.art and film.kind == "line")
        return area_of(union_of([*made, drawn.difference(opened(drawn, width / 2))]).intersection(self.face))

    @cached_property
    def _printing_films(self) -> list[Film]:
        return [film for film in self.films if not film.is_overlay or (film.use == "surprint" and film.has_image)]

    @cached_property
    def edgeless_bleeds(self) -> tuple[SideName, ...]:
        """Sides that are to bleed but have no straight edge to bleed from."""
        reached = dict(zip(("left", "bottom", "right", "top"), self.face.bounds, strict=True))
        trim = {"left": 0.0, "bottom": 0.0, "right": self.width, "top": self.height}
        return tuple(side for side in self.bleed if abs(reached[side] - trim[side]) < 1e-9)

    def illustration_under(self, overlay: Film) -> Film:
        """Give the film whose illustration an overlay lies on.

        Raises:
            KeyError: the film is no overlay.
        """
        for film in self.films:
            if film.number == overlay.on:
                return film
        raise KeyError(overlay.name)


def plates_of(orders: Orders, house: House) -> list[OrderedPlate]:
    """Give every single plate of the orders, in the order in which they are written."""
    return [plate for job in orders.jobs for entry in job.plates for plate in _single_plates(job, entry, house)]


def _single_plates(job: Job, entry: Plate, house: House) -> Iterator[OrderedPlate]:
    model = _model(job, entry, house)
    for colour in entry.colours or (None,):
        for copy in range(1, entry.quantity + 1):
            parts = [job.number, entry.name, *([colour] if colour else [])]
            if entry.quantity > 1:
                parts.append(str(copy))
            yield replace(model, id="/".join(parts), colour=colour, copy_number=copy)


def _model(job: Job, entry: Plate, house: House) -> OrderedPlate:
    outline = _outline(entry)
    bleed = {
        side: house.bleed if amount == "house" else amount
        for side in SIDES
        if (amount := entry.bleed.get(side)) is not None
    }
    face = _with_bleed(outline, bleed)
    mounting = entry.mounting or ("bevelled" if is_upright_rectangle(outline) else "nailed")
    gauge = entry.gauge or house.usual_gauge
    screen = entry.screen
    return OrderedPlate(
        id="", job=job.number, name=entry.name, copy_number=1, copies=entry.quantity, colour=None,
        customer=job.customer, due=job.due, rush=job.rush, metal=entry.metal, gauge=gauge, screen=screen,
        mounting=mounting, flush=(entry.flush or SIDES) if mounting == "flush" else (), bleed=bleed,
        may_turn=entry.may_turn, notes=entry.notes, outline=outline, face=face,
        films=tuple(_films(entry, outline, face, house)), tints=tuple(_tint(tint, face) for tint in entry.tints),
        share_key=f"{entry.metal}, {gauge:.4g} in, {_band(screen, house)}",
    )  # fmt: skip


def _band(screen: int | None, house: House) -> str:
    if screen is None:
        return "line"
    lowest = 0
    for limit in house.flats.screen_bands:
        if screen <= limit:
            return f"screens {lowest + 1} to {limit}" if lowest else f"screens to {limit}"
        lowest = limit
    return f"screens over {lowest}" if lowest else "screens"


def _outline(entry: Plate) -> Polygon:
    if entry.outline is not None:
        return entry.outline.area.geoms[0]
    width, height = entry.size or (0.0, 0.0)
    return rectangle(0, 0, width, height)


def _with_bleed(outline: Polygon, bleed: dict[SideName, float]) -> MultiPolygon:
    """Push out the straight edges that lie on a bleeding side; two sides after one another fill their corner."""
    face = area_of(outline)
    for side, amount in bleed.items():
        left, bottom, right, top = face.bounds
        edge = {
            "left": LineString([(left, bottom), (left, top)]), "right": LineString([(right, bottom), (right, top)]),
            "bottom": LineString([(left, bottom), (right, bottom)]), "top": LineString([(left, top), (right, top)]),
        }[side]  # fmt: skip
        across, up = _OUTWARD[side]
        for line in _lines(face.boundary.intersection(edge)):
            (x, y), (to_x, to_y) = line
            out = [(to_x + across * amount, to_y + up * amount), (x + across * amount, y + up * amount)]
            face = union_of([face, Polygon([(x, y), (to_x, to_y), *out])])
    return face


def _lines(shape: object) -> Iterator[tuple[tuple[float, float], tuple[float, float]]]:
    if isinstance(shape, LineString) and not shape.is_empty:
        points = [(float(x), float(y)) for x, y in shape.coords]
        yield min(points), max(points)
    for part in getattr(shape, "geoms", ()):
        yield from _lines(part)


def _films(entry: Plate, outline: Polygon, face: MultiPolygon, house: House) -> Iterator[Film]:
    if not entry.negatives:
        kind: NegativeKind = "square" if entry.screen else "line"
        yield _film(1, Negative.model_validate({"kind": kind}), None, outline, face, house)
        return
    placed: list[Film] = []
    # Overlays come after what they lie on, whichever way the order lists them.
    numbered = sorted(enumerate(entry.negatives, 1), key=lambda pair: pair[1].is_overlay)
    for number, negative in numbered:
        under = _illustration(negative, placed) if negative.is_overlay else None
        placed.append(_film(number, negative, under, outline, face, house))
    yield from sorted(placed, key=lambda film: film.number)


def _illustration(overlay: Negative, placed: list[Film]) -> Film:
    base = [film for film in placed if not film.is_overlay]
    if overlay.on is not None:
        return next(film for film in base if film.name == overlay.on)
    return next(film for film in base if film.kind != "line")


def _film(
    number: int, negative: Negative, under: Film | None, outline: Polygon, face: MultiPolygon, house: House
) -> Film:
    image, at = _image(negative, under, outline, face)
    left, bottom, right, top = image.bounds
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
        film=_one(spun(rectangle(film_left, film_bottom, width, height), negative.angle, at)),
        image=area_of(spun(image, negative.angle, at)),
        given=negative.film is not None,
        has_image=not negative.is_overlay or bool(negative.size or negative.outline),
    )


def _one(shape: BaseGeometry) -> Polygon:
    """A film is one rectangle, turned or not."""
    return area_of(shape).geoms[0]


def _image(
    negative: Negative, under: Film | None, outline: Polygon, face: MultiPolygon
) -> tuple[MultiPolygon, tuple[float, float]]:
    """The image in place but not yet turned, and the point that it turns about."""
    if negative.outline is not None:
        image = negative.outline.area
    elif negative.size is not None or under is not None:
        # An overlay without a size of its own is placed by its film.
        image = area_of(rectangle(0, 0, *(negative.size or negative.film or (0.0, 0.0))))
    elif negative.at is None:
        return face, (face.bounds[0], face.bounds[1])
    else:
        image = area_of(outline)
    at = negative.at
    if at is None:
        frame = under.image.bounds if under is not None else outline.bounds
        width, height = image.bounds[2], image.bounds[3]
        at = (frame[0] + frame[2] - width) / 2, (frame[1] + frame[3] - height) / 2
    return area_of(moved(image, *at)), at


def _tint(tint: Tint, face: MultiPolygon) -> TintArea:
    if tint.outline is not None:
        area = tint.outline.area
    elif tint.size is not None:
        area = area_of(rectangle(0, 0, *tint.size))
    else:
        return TintArea(tint.pattern, face)
    return TintArea(tint.pattern, area_of(moved(area, *tint.at)))
