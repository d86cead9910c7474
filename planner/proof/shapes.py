"""Reads a plan's plain numbers into shapes, and says which of them are no shapes at all.

A shape that is wrong is reported here, and is empty for the checks that follow, so that none of them trips.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Final, NamedTuple

from shapely import MultiPolygon, Polygon, box, get_coordinates, linearrings, make_valid, points, polygons, unary_union
from shapely.geometry.base import BaseGeometry
from shapely.validation import explain_validity

from planner.plan import Box, FilmRecord, Flat, Placement, Plan, PlateRecord, RestRecord, Ring, Shape, ZoneRecord
from planner.proof.report import Tally

TOLERANCE: Final = 1e-6
"""Inches; a plan rounds its coordinates at a thousandth of this."""

AREA_TOLERANCE: Final = 1e-5
"""Square inches: the tolerance along ten inches of edge."""

LIMIT: Final = 100_000.0
"""Inches; numbers beyond it are no place on a sheet, and products of them may overflow."""

NOTHING: Final = MultiPolygon()


class Rect(NamedTuple):
    """A box by its sides; a box of negative size keeps its sides the wrong way round."""

    left: float
    bottom: float
    right: float
    top: float

    @property
    def width(self) -> float:
        """From left to right."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From bottom to top."""
        return self.top - self.bottom

    @property
    def area(self) -> float:
        """Square inches; none if a side is not positive."""
        return max(self.width, 0.0) * max(self.height, 0.0)

    @property
    def sound(self) -> bool:
        """Whether it has an area and lies where metal can be."""
        return self.width > 0 and self.height > 0 and all(abs(side) <= LIMIT for side in self)

    def beyond(self, other: Rect) -> float:
        """By how much it sticks out of another one, at the worst side; zero or less if it lies inside."""
        return max(other.left - self.left, other.bottom - self.bottom, self.right - other.right, self.top - other.top)

    def apart(self, other: Rect) -> float:
        """How far it is from another one, straight across or straight up; negative if they overlap."""
        return max(other.left - self.right, self.left - other.right, other.bottom - self.top, self.bottom - other.top)

    def polygon(self) -> BaseGeometry:
        """Give it as a shape; empty if it is not sound."""
        return box(*self) if self.sound else NOTHING


def rect_of(place: Box) -> Rect:
    """Give a box of the plan by its sides."""
    x, y, width, height = place
    return Rect(x, y, x + width, y + height)


def holds(width: float, height: float, least: tuple[float, float], slack: float) -> bool:
    """Say whether a piece is at least the least offcut, either way round, give or take."""
    small, large = sorted((width, height))
    least_small, least_large = sorted(least)
    return small >= least_small - slack and large >= least_large - slack


def bounds_of(shape: BaseGeometry) -> Rect:
    """Give the bounding rectangle of a shape that is not empty."""
    return Rect(*shape.bounds)


@dataclass(frozen=True, slots=True)
class LaidFilm:
    """A film and its shapes."""

    record: FilmRecord
    film: BaseGeometry
    image: BaseGeometry


@dataclass(frozen=True, slots=True)
class LaidZone:
    """A zone of dead metal and its shape."""

    record: ZoneRecord
    shape: BaseGeometry


@dataclass(frozen=True)
class LaidPlate:
    """A placement, the plate that it names, and its shapes; ``where`` names flat and plate in a sentence.

    ``metal`` is what the plate comes out with: the shape sawn out on a free flat, else the part that the cuts leave.
    """

    where: str
    placement: Placement
    plate: PlateRecord | None
    blank: Rect
    part: Rect
    free: bool
    metal: BaseGeometry
    outline: BaseGeometry
    printing: BaseGeometry
    flange: BaseGeometry
    staying: BaseGeometry
    films: tuple[LaidFilm, ...]
    tints: tuple[BaseGeometry, ...]
    zones: tuple[LaidZone, ...]

    @cached_property
    def dead(self) -> BaseGeometry:
        """All zones together."""
        shapes = [zone.shape for zone in self.zones]
        return shapes[0] if len(shapes) == 1 else unary_union(shapes)

    @cached_property
    def dead_on_plate(self) -> float:
        """Square inches of the finished plate that are in some zone."""
        return self.dead.intersection(self.outline).area

    def shapes(self) -> Iterable[tuple[str, BaseGeometry]]:
        """Name every shape that must lie on the sheet; an overlay's film may hang over the edge.

        On a free flat any film may: the stripper cuts it to fit.
        """
        yield "finished plate", self.outline
        yield "printing shape", self.printing
        yield "flange", self.flange
        yield "staying metal", self.staying
        for number, zone in enumerate(self.zones, 1):
            yield f"zone {number}", zone.shape
        for number, tint in enumerate(self.tints, 1):
            yield f"tint {number}", tint
        for film in self.films:
            if film.record.use == "base" and not self.free:
                yield f"film {film.record.number}", film.film


@dataclass(frozen=True, slots=True)
class LaidRest:
    """Metal of a free flat that belongs to no plate, and its shape."""

    where: str
    record: RestRecord
    shape: BaseGeometry


@dataclass(frozen=True, slots=True)
class LaidFlat:
    """A flat with its shapes. ``where`` names it in a sentence."""

    where: str
    flat: Flat
    sheet: Rect
    spots: tuple[Rect, ...]
    plates: tuple[LaidPlate, ...]
    kerf: BaseGeometry
    rest: tuple[LaidRest, ...]

    @property
    def free(self) -> bool:
        """Whether each plate is sawn out along its own line."""
        return self.flat.layout == "free"


def lay_out(plan: Plan, tally: Tally) -> tuple[LaidFlat, ...]:
    """Read the shapes of all flats, and report those that are none."""
    records: dict[str, PlateRecord] = {}
    for plate in plan.plates:
        records.setdefault(plate.id, plate)
    return tuple(_flat(flat, records, tally) for flat in plan.flats)


def read_shape(shape: Shape, where: str, tally: Tally, *, needed: bool = False) -> BaseGeometry:
    """Read a shape; report what is wrong with it by the name ``where`` and give an empty one then."""
    tally.look()
    if not shape:
        if needed:
            tally.wrong(f"{where} is empty.")
        return NOTHING
    parts = []
    for number, rings in enumerate(shape, 1):
        polygon, fault = _polygon(rings)
        if fault:
            tally.wrong(f"{where if len(shape) == 1 else f'polygon {number} of {where}'} {fault}.")
            return NOTHING
        parts.append(polygon)
    if len(parts) == 1:
        return parts[0]
    several = MultiPolygon([polygon for part in parts for polygon in _polygons_in(part)])
    if several.is_valid:
        return several
    joined = unary_union(parts)
    double = sum(part.area for part in parts) - joined.area
    if double > AREA_TOLERANCE:
        tally.wrong(f"{where} consists of polygons that overlap by {double:.6g} sq in.")
        return NOTHING
    return joined


def read_box(place: Box, where: str, tally: Tally) -> Rect:
    """Read a box; report it if it has no area or lies nowhere near a sheet."""
    tally.look()
    rect = rect_of(place)
    if not rect.sound:
        tally.wrong(
            f"{where} is no piece of metal: it measures {place[2]:.6g} x {place[3]:.6g} in "
            f"at {place[0]:.6g}, {place[1]:.6g}."
        )
    return rect


def _flat(flat: Flat, records: dict[str, PlateRecord], tally: Tally) -> LaidFlat:
    where = f"flat {flat.number}"
    sheet = read_box((0.0, 0.0, flat.sheet.width, flat.sheet.height), f"{where}: the sheet", tally)
    read_box(flat.usable, f"{where}: the usable area", tally)
    spots = tuple(read_box(spot, f"{where}: spot {number}", tally) for number, spot in enumerate(flat.spots, 1))
    free = flat.layout == "free"
    plates = tuple(_plate(where, free, placement, records, tally) for placement in flat.placements)
    # A saw blade of no width leaves no chips.
    kerf = read_shape(flat.kerf_shape, f"{where}: the kerf", tally, needed=free and flat.kerf > 0)
    return LaidFlat(where, flat, sheet, spots, plates, kerf, tuple(_rest(where, flat, tally)))


def _rest(where: str, flat: Flat, tally: Tally) -> Iterator[LaidRest]:
    for number, rest in enumerate(flat.rest, 1):
        name = f"{where}, rest {number} ({rest.use})"
        yield LaidRest(name, rest, read_shape(rest.shape, name, tally, needed=True))


def _plate(flat: str, free: bool, placement: Placement, records: dict[str, PlateRecord], tally: Tally) -> LaidPlate:
    where = f"{flat}, plate {placement.plate}"
    part = read_box(placement.part, f"{where}: the part cut for it", tally)
    metal = read_shape(placement.metal, f"{where}: the metal sawn out for it", tally, needed=free)
    return LaidPlate(
        where=where,
        placement=placement,
        plate=records.get(placement.plate),
        blank=read_box(placement.blank, f"{where}: the blank", tally),
        part=part,
        free=free,
        metal=metal if free else part.polygon(),
        outline=read_shape(placement.outline, f"{where}: the finished plate", tally, needed=True),
        printing=read_shape(placement.printing, f"{where}: the printing shape", tally),
        flange=read_shape(placement.flange, f"{where}: the flange", tally),
        staying=read_shape(placement.staying, f"{where}: the staying metal", tally),
        films=tuple(
            LaidFilm(
                film,
                read_shape(film.film, f"{where}: film {film.number}", tally, needed=True),
                read_shape(film.image, f"{where}: the image of film {film.number}", tally),
            )
            for film in placement.films
        ),
        tints=tuple(
            read_shape(tint.area, f"{where}: tint {number}", tally, needed=True)
            for number, tint in enumerate(placement.tints, 1)
        ),
        zones=tuple(
            LaidZone(zone, read_shape(zone.shape, f"{where}: zone {number}", tally, needed=True))
            for number, zone in enumerate(placement.zones, 1)
        ),
    )


def _polygon(rings: tuple[Ring, ...]) -> tuple[BaseGeometry, str]:
    """Give one polygon, or say what is wrong with it."""
    fault = _fault_of_rings(rings)
    if fault:
        return NOTHING, fault
    polygon = polygons(linearrings(rings[0]), holes=[linearrings(hole) for hole in rings[1:]] or None)
    far = float(abs(get_coordinates(polygon)).max())
    if far > LIMIT:
        return NOTHING, f"has a point that lies {far:.6g} in off"
    if not polygon.is_valid:
        repaired = _repaired(rings)
        if _is_rounding(rings, repaired):
            return repaired, ""
        return NOTHING, f"has a ring that crosses itself or another ring: {explain_validity(polygon)}"
    return (polygon, "") if polygon.area > 0 else (NOTHING, "encloses no area")


def _fault_of_rings(rings: tuple[Ring, ...]) -> str:
    if not rings:
        return "has a polygon without a ring"
    for number, ring in enumerate(rings):
        which = f"hole {number}" if number else "its outer ring"
        if len(ring) < 3:
            return f"has {len(ring)} points in {which}; an area needs three"
    return ""


def _repaired(rings: tuple[Ring, ...]) -> BaseGeometry:
    """Take each ring for itself, then the holes from the outer one: so a hole may touch the outer ring's edge."""
    outer, *holes = (_area_of(make_valid(Polygon(ring))) for ring in rings)
    return _area_of(outer.difference(unary_union(holes)))


def _is_rounding(rings: tuple[Ring, ...], repaired: BaseGeometry) -> bool:
    """Whether an invalid polygon is merely one whose rings came to touch when its coordinates were rounded.

    Its rings then enclose what the repaired shape encloses, and no corner lies off the repaired shape's edge.
    """
    if repaired.is_empty:
        return False
    enclosed = abs(_enclosed(rings[0])) - sum(abs(_enclosed(hole)) for hole in rings[1:])
    if not abs(enclosed - repaired.area) <= TOLERANCE:
        return False
    corners = points([point for ring in rings for point in ring])
    edge = repaired.boundary
    return all(corner.distance(edge) <= TOLERANCE for corner in corners)


def _enclosed(ring: Ring) -> float:
    following = (*ring[1:], ring[0])
    return math.fsum((x1 * y2 - x2 * y1) / 2 for (x1, y1), (x2, y2) in zip(ring, following, strict=True))


def _area_of(shape: BaseGeometry) -> BaseGeometry:
    if isinstance(shape, Polygon | MultiPolygon):
        return shape
    parts = list(_polygons_in(shape))
    return unary_union(parts) if parts else NOTHING


def pieces_of(shape: BaseGeometry) -> int:
    """Count the pieces that a shape falls into."""
    return sum(1 for _ in _polygons_in(shape))


def _polygons_in(shape: BaseGeometry) -> Iterator[Polygon]:
    if isinstance(shape, Polygon):
        yield shape
    for part in getattr(shape, "geoms", ()):
        yield from _polygons_in(part)
