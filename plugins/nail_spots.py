"""Nail spots: places where nails go through the dead metal of nailed plates, which the router must leave.

A nail needs a disc of its head and the house's clearance on the plate and off everything that prints or stays. Nails
hold a plate flat where they are far apart: one goes as far into each corner of the plate as may be, and each further
one as far as may be from those that are there. Four at least where they find room, then more until the plate's middle
lies between them and no place on its edge is farther from a nail than the house says (all common practice).
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Final

import numpy as np
import shapely
from numpy.typing import NDArray
from pydantic import Field
from shapely import MultiPoint, Point
from shapely.geometry import MultiPolygon
from shapely.geometry.base import BaseGeometry

from planner.hookspecs import (
    Finding,
    LaidFlat,
    Length,
    NailSpot,
    OrderedPlate,
    PositiveLength,
    RouterWork,
    Rule,
    Settings,
    Step,
    amount_text,
    hookimpl,
)

_APART: Final = 1.5
"""Times the width of a nail's disc: nearer nails hold no more than one."""

_ALONG_EDGE: Final = 1 / 16
"""Inches between the places that are looked at along an edge."""

_MARGIN: Final = 1e-5
"""Inches; so that middles rounded to a millionth stay where there is room."""

_ROUND: Final = 16
"""Chords in a quarter turn."""

_FLUSH: Final = "mount it flush, which needs no nails, or order a larger plate"


class NailSettings(Settings):
    """How the house nails through dead metal; the defaults are common practice."""

    head: Annotated[PositiveLength, Field(default=1 / 8, description="diameter of a nail's head")]
    clearance: Annotated[Length, Field(default=1 / 32, description="metal left round a nail's head")]
    least: Annotated[int, Field(default=4, ge=1, le=100, strict=True, description="nails that hold a plate flat")]
    farthest: Annotated[
        PositiveLength,
        Field(default=3.0, description="from any place on the plate's edge to a nail, where there is room"),
    ]

    @property
    def width(self) -> float:
        """Diameter of the metal that stays round a nail."""
        return self.head + 2 * self.clearance


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is. It comes after rules that keep metal, and takes of what they leave."""
    about = "places in the dead metal of nailed plates for nails, which the router leaves"
    return Rule("nail-spots", "1.0", about, NailSettings, order=90)


@hookimpl
def flatwright_staying_metal(
    plate: OrderedPlate, dead: MultiPolygon, staying: MultiPolygon, settings: NailSettings
) -> Sequence[NailSpot]:
    """Find places for nails through a plate that is nailed; in dead metal if they do there, else in any bare metal."""
    if plate.mounting != "nailed":
        return []
    room = _room(plate, staying, settings)
    spots = _spread(_areas(room.intersection(dead)), plate, settings)
    if len(spots) < settings.least or not _holds(spots, plate):
        anywhere = _spread(room, plate, settings)
        if len(anywhere) > len(spots) or (len(anywhere) == len(spots) and _holds(anywhere, plate)):
            spots = anywhere
    places = [(round(float(x), 6) + 0.0, round(float(y), 6) + 0.0) for x, y in spots]
    return [NailSpot(x, y, settings.width, _WHY, "head") for x, y in places]


_WHY = "a nail goes through there: its head, and the clearance round it"


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, work: RouterWork, settings: NailSettings) -> Sequence[Finding]:
    """Find nailed plates without a place for a nail's head and its clearance, or with places that do not hold them."""
    if plate.mounting != "nailed":
        return []
    need, count = amount_text(settings.width), len(work.nails.at)
    if not count:
        return [
            Finding(
                "nail.no-room",
                "stop",
                f"it is to be nailed through dead metal, and nowhere is there {need} of it for a nail",
                _FLUSH,
                amount=settings.width,
                unit="in",
                shape=plate.face,
            )
        ]
    holds = _holds(np.array(work.nails.at), plate)
    if count >= settings.least and holds:
        return []
    how = "only one nail" if count == 1 else f"only {count} nails" if count < settings.least else f"{count} nails"
    why = "" if holds else ", and its middle does not lie between them"
    return [
        Finding(
            "nail.few",
            "warn",
            f"there is room for {how} of {need}{why}: it may not lie flat",
            _FLUSH,
            amount=float(count),
            shape=work.nails.discs,
        )
    ]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: NailSettings) -> Sequence[Step]:
    """Say which plates are nailed through their dead metal."""
    plates = tuple(laid.record.id for laid in flat.plates if laid.record.mounting == "nailed")
    if not plates:
        return []
    words = (
        f"Nail these plates through the crosses on the router's sheet; heads of {amount_text(settings.head)} at most."
    )
    return [Step("finisher", words, plates)]


def _holds(spots: NDArray[np.float64], plate: OrderedPlate) -> bool:
    """Whether the middle of a plate's metal lies between its nails."""
    return bool(MultiPoint(spots).convex_hull.covers(plate.face.centroid)) if len(spots) else False


def _room(plate: OrderedPlate, staying: BaseGeometry, settings: NailSettings) -> MultiPolygon:
    """Where the middle of a nail may be."""
    radius = settings.width / 2
    inside = plate.face.buffer(-(radius + _MARGIN), join_style="mitre")
    off = plate.printing_grown(radius).buffer(_MARGIN, quad_segs=1)
    # Chords of an arc are nearer than the arc by up to this part of the radius.
    kept = staying.buffer((radius + _MARGIN) / np.cos(1.5 * np.pi / (4 * _ROUND)), quad_segs=_ROUND)
    return _areas(inside.difference(off).difference(kept))


def _areas(shape: BaseGeometry) -> MultiPolygon:
    parts = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon"]
    return MultiPolygon(parts)


def _spread(room: MultiPolygon, plate: OrderedPlate, settings: NailSettings) -> NDArray[np.float64]:
    """Choose places as far from one another as may be."""
    width = settings.width
    places = _places(room)
    edge = _corners(plate.face.boundary.segmentize(1 / 4))
    middle = np.array(plate.face.centroid.coords[0])
    chosen: list[int] = []
    nearest = np.full(len(places), np.inf)
    for best in _outermost(places, plate):
        if nearest[best] >= _APART * width:
            chosen.append(best)
            nearest = np.minimum(nearest, _gaps(places, places[best]))
    while len(places):
        if len(chosen) < settings.least:
            best = int(np.argmax(np.round(nearest, 6)))
        elif not _holds(places[chosen], plate):
            best = _towards(places, places[chosen], middle)
        else:
            best = _for_edge(places, edge, places[chosen], settings.farthest)
        if best < 0 or nearest[best] < _APART * width:
            break
        chosen.append(best)
        nearest = np.minimum(nearest, _gaps(places, places[best]))
    return places[chosen]


def _outermost(places: NDArray[np.float64], plate: OrderedPlate) -> list[int]:
    """The place farthest towards each corner of the rectangle round the plate; opposite corners follow each other."""
    if not len(places):
        return []
    left, bottom, right, top = plate.face.bounds
    across = places[:, 0] / (right - left)
    up = places[:, 1] / (top - bottom)
    return [int(np.argmax(np.round(x * across + y * up, 6))) for x, y in ((-1, -1), (1, 1), (1, -1), (-1, 1))]


def _towards(places: NDArray[np.float64], chosen: NDArray[np.float64], middle: NDArray[np.float64]) -> int:
    """The place farthest beyond the middle, seen from the nails that leave it outside; -1 if none is."""
    hull = MultiPoint(chosen).convex_hull
    foot = shapely.get_coordinates(shapely.shortest_line(hull, Point(middle)))[0]
    beyond = (places - middle) @ (middle - foot)
    best = int(np.argmax(np.round(beyond, 6)))
    return best if beyond[best] > 0 else -1


def _for_edge(
    places: NDArray[np.float64], edge: NDArray[np.float64], chosen: NDArray[np.float64], farthest: float
) -> int:
    """The place nearest to the place on the edge that is farthest from any nail; -1 if none is too far."""
    gaps = np.min([_gaps(edge, spot) for spot in chosen], axis=0)
    order = np.argsort(-np.round(gaps, 6), kind="stable")
    for place in order[gaps[order] > farthest]:
        to_places = _gaps(places, edge[place])
        best = int(np.argmin(np.round(to_places, 6)))
        if to_places[best] < gaps[place] / 2:
            return best
    return -1


def _places(room: MultiPolygon) -> NDArray[np.float64]:
    """Places along the edges of a room, in which the farthest apart are."""
    if room.is_empty:
        return np.empty((0, 2))
    return _corners(room.simplify(_MARGIN / 2).boundary.segmentize(_ALONG_EDGE))


def _corners(shape: BaseGeometry) -> NDArray[np.float64]:
    return np.unique(np.round(shapely.get_coordinates(shape), 9), axis=0)


def _gaps(places: NDArray[np.float64], place: NDArray[np.float64]) -> NDArray[np.float64]:
    return np.asarray(np.hypot(places[:, 0] - place[0], places[:, 1] - place[1]))
