"""From an order to single plates: every copy and every printing colour with its shapes, in the plate's own frame.

Frame: inches, origin at the lower left corner of the plate's bounding rectangle (without bleed), x right, y up,
right-reading. An image may reach beyond the plate on sides that bleed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime
from functools import cached_property
from typing import Final

from shapely import LineString, Polygon
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.artwork.records import Artwork, Asked
from planner.copyboard import Copyboard
from planner.crew import Crew
from planner.detail import parts_near, parts_on, thin_parts
from planner.films import Film, PlacedArt, films_of
from planner.forms import InputError, Problem
from planner.geometry import area_of, is_upright_rectangle, moved, rectangle, union_of
from planner.growing import grown_safely
from planner.house import House
from planner.lengths import size_text
from planner.orders import SIDES, Job, Mounting, Negative, Orders, Plate, SideName, Tint, named

_OUTWARD: Final[dict[SideName, tuple[int, int]]] = {
    "left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1),
}  # fmt: skip

_BRUSH: Final = 1 / 32
"""Inches; whites of a tint's art that are narrower count as tinted, since no brush stops them out (common practice)."""


@dataclass(frozen=True, slots=True)
class TintArea:
    """An area of the plate that gets a mechanical pattern."""

    pattern: str
    area: MultiPolygon


@dataclass(frozen=True, slots=True, eq=False)
class Bleed(Mapping[SideName, float]):
    """Inches by side, for the sides that bleed; nobody can change it, and it goes to other processes."""

    sides: tuple[tuple[SideName, float], ...]

    def __getitem__(self, side: SideName) -> float:
        for name, width in self.sides:
            if name == side:
                return width
        raise KeyError(side)

    def __iter__(self) -> Iterator[SideName]:
        return iter([name for name, _ in self.sides])

    def __len__(self) -> int:
        return len(self.sides)


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
    paper: str | None
    """What the job is printed on, as the order has it."""
    metal: str
    gauge: float
    screen: int | None
    mounting: Mounting
    flush: tuple[SideName, ...]
    """Sides where a flush plate runs out to the edge."""
    on_block: str | None
    """Plates of one job with the same one are mounted on one block."""
    bleed: Mapping[SideName, float] = field(repr=False)
    """How far the picture runs past the trim, for the sides that bleed."""
    may_turn: bool
    notes: str
    outline: Polygon = field(repr=False)
    """The plate without bleed."""
    face: MultiPolygon = field(repr=False)
    """The plate with its bleed: the metal that the customer gets, holes open."""
    films: tuple[Film, ...] = field(repr=False)
    tints: tuple[TintArea, ...] = field(repr=False)

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
        images = [film.image for film in _printing_films(self.films)]
        areas = [*images, *(tint.area for tint in self.tints)]
        # A page of type has thousands of parts; they are joined only where there are more films.
        return area_of((areas[0] if len(areas) == 1 else union_of(areas)).intersection(self.face))

    def printing_grown(self, distance: float) -> MultiPolygon:
        """Give a shape that holds every point within a distance (inches) of what prints; never less, hardly more."""
        prepared: list[MultiPolygon] = []
        others = [tint.area for tint in self.tints]
        for film in _printing_films(self.films):
            growth = _prepared(film.art, distance) if film.art else None
            if growth is None:
                others.append(film.image)
            else:
                prepared.append(growth)
        if not prepared:
            return grown_safely(self.printing, distance)
        drawn = union_of(others).intersection(self.face)
        if drawn.is_empty and len(prepared) == 1:
            return prepared[0]
        return union_of([grown_safely(drawn, distance), *prepared])

    def thinner_than(self, width: float, lines: Sequence[BaseGeometry], near: float) -> list[Polygon]:
        """Give the parts of what prints that are thinner than a width: hairlines, points, serifs; all in inches.

        Only those within a distance ``near`` of any of the lines. Parts of several films may overlap.
        """
        films = _printing_films(self.films)
        images = [film.image for film in films if not film.art and film.kind == "line"]
        drawn = images[0] if len(images) == 1 else union_of(images)
        parts = thin_parts(parts_near(list(drawn.geoms), lines, near), width)
        for film in films:
            parts += film.art.fine.geoms if film.art else []
        return parts_near(parts_on(parts, self.face), lines, near)

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


def plates_of(
    orders: Orders, house: House, distances: tuple[float, ...] = (), crew: Crew | None = None
) -> list[OrderedPlate]:
    """Give every single plate of the orders, in the order in which they are written.

    ``distances`` (inches) are those at which somebody will ask `OrderedPlate.printing_grown` of art.

    Raises:
        InputError: art of a negative or a tint cannot be used.
    """
    board = Copyboard(orders.source, orders.folder)
    entries = [_Entry(job, entry, house, distances, board) for job in orders.jobs for entry in job.plates]
    heavy = [entry.has_art for entry in entries]
    models = (crew or Crew(1)).does(_model, entries, heavy)
    return [plate for entry, model in zip(entries, models, strict=True) for plate in _single_plates(entry.plate, model)]


def _printing_films(films: Iterable[Film]) -> list[Film]:
    return [film for film in films if not film.is_overlay or (film.use == "surprint" and film.has_image)]


def _prepared(art: PlacedArt, distance: float) -> MultiPolygon | None:
    """The growth of art at a distance, or at the least one at which it was measured if that is longer."""
    return art.growths.get(max(distance, min(art.growths)))


@dataclass(frozen=True, slots=True)
class _Entry:
    """A plate as ordered, with all that is needed to make its model."""

    job: Job
    plate: Plate
    house: House
    distances: tuple[float, ...]
    board: Copyboard

    @property
    def has_art(self) -> bool:
        parts: tuple[Negative | Tint, ...] = (*self.plate.negatives, *self.plate.tints)
        return any(part.art for part in parts)

    def read(self, number: int, name: str, asked: Asked) -> Artwork:
        return self._read(named("negative", number, self.plate.negatives[number - 1].name), name, asked)

    def read_tint(self, number: int, asked: Asked) -> Artwork:
        tint = self.plate.tints[number - 1]
        return self._read(self._tint_words(number), tint.art or "", asked)

    def refusal(self, number: int, key: str, words: str) -> InputError:
        """What is raised for a tint that cannot be made as ordered."""
        words_of_plate = self._place(self._tint_words(number))
        return InputError(self.board.source, [Problem(f'{words_of_plate}, key "{key}"', words)])

    def _tint_words(self, number: int) -> str:
        return named("tint", number, self.plate.tints[number - 1].pattern)

    def _read(self, part: str, name: str, asked: Asked) -> Artwork:
        return self.board.read(self._place(part), name, asked)

    def _place(self, part: str) -> str:
        return ", ".join((named("job", 1, self.job.number), named("plate", 1, self.plate.name), part))


def _single_plates(entry: Plate, model: OrderedPlate) -> Iterator[OrderedPlate]:
    for colour in entry.colours or (None,):
        for copy in range(1, entry.quantity + 1):
            parts = [model.job, entry.name, *([colour] if colour else [])]
            if entry.quantity > 1:
                parts.append(str(copy))
            yield replace(model, id="/".join(parts), colour=colour, copy_number=copy)


def _model(given: _Entry) -> OrderedPlate:
    """The plate of which all copies and colours are made."""
    job, entry, house = given.job, given.plate, given.house
    outline = _outline(entry)
    bleed = {
        side: house.bleed if amount == "house" else amount
        for side in SIDES
        if (amount := entry.bleed.get(side)) is not None
    }
    face = _with_bleed(outline, bleed)
    mounting = entry.mounting or ("bevelled" if is_upright_rectangle(outline) else "nailed")
    gauge = entry.gauge or house.usual_gauge
    return OrderedPlate(
        id="", job=job.number, name=entry.name, copy_number=1, copies=entry.quantity, colour=None,
        customer=job.customer, due=job.due, rush=job.rush, paper=job.paper, metal=entry.metal, gauge=gauge,
        screen=entry.screen, mounting=mounting, flush=(entry.flush or SIDES) if mounting == "flush" else (),
        on_block=entry.on_block, bleed=Bleed(tuple(bleed.items())), may_turn=entry.may_turn, notes=entry.notes,
        outline=outline, face=face,
        films=tuple(films_of(entry, outline, face, house, given.distances, given.read)),
        tints=tuple(_tint(number, tint, face, given) for number, tint in enumerate(entry.tints, 1)),
    )  # fmt: skip


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


def _tint(number: int, tint: Tint, face: MultiPolygon, given: _Entry) -> TintArea:
    if tint.outline is not None:
        area = tint.outline.area
    elif tint.art is not None and tint.size is not None:
        area = _tint_from_art(number, tint, tint.size, given)
    elif tint.size is not None:
        area = area_of(rectangle(0, 0, *tint.size))
    else:
        return TintArea(tint.pattern, face)
    return TintArea(tint.pattern, area_of(moved(area, *tint.at)))


def _tint_from_art(number: int, tint: Tint, size: tuple[float, float], given: _Entry) -> MultiPolygon:
    """What is dark in a tint's art, at its size.

    Raises:
        InputError: the art cannot be used, has another proportion than the size, or nothing of it is dark.
    """
    house = given.house
    asked = Asked(
        kind="line",
        size=size,
        threshold=tint.threshold or house.art.threshold,
        tolerance=house.art.tolerance,
        light_on_dark=tint.light_on_dark,
        mirrored=tint.mirrored,
        page=tint.page,
        copy_size=tint.copy_size,
        closing=_BRUSH / 2,
    )
    artwork = given.read_tint(number, asked)
    if artwork.mismatch is not None:
        width, height = artwork.mismatch.size
        raise given.refusal(
            number,
            "size",
            f'has another proportion than "{tint.art}", which is {size_text(*artwork.copy_size)}; '
            f'write size = "{width:.4f} x {height:.4f} in" for all of it',
        )
    if artwork.image.is_empty:
        raise given.refusal(
            number,
            "art",
            f'nothing of "{tint.art}" is darker than the threshold of {asked.threshold:g}; give a lighter threshold, '
            "or light_on_dark = true for light art on a dark ground",
        )
    return area_of(artwork.image.intersection(rectangle(0, 0, *size)))
