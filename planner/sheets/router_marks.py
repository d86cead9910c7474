"""Where are the router's zones numbered? Inside where there is room, else beside with a line that leads there.

No number lies on what prints, on the edge of the plate, on a stretch to go slow along, or on another number.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence
from typing import Final

from shapely import GeometryCollection, LineString, MultiLineString, Point, Polygon, box, prepare
from shapely.ops import polylabel

from planner.geometry import shape_of
from planner.plan import Box, PlateRecord, RouterZone, Shape, StretchRecord
from planner.sheets.canvas import Canvas
from planner.sheets.desk import Desk
from planner.sheets.ground import Region
from planner.sheets.label import Label
from planner.sheets.labels import Places, fitted
from planner.sheets.leaders import cuts, nearest
from planner.sheets.looking import rough_area
from planner.sheets.marks import box_about, mark
from planner.sheets.router_lists import MOST_NUMBERED, is_crumb, letter_of
from planner.sheets.style import BLACK, SMALLEST_TEXT
from planner.sheets.svg import Group, Paint, circle_path, line_path
from planner.sheets.text import width_of

_ROUGH: Final = 0.004
"""Inches on the page; shapes are simplified by so much before numbers are weighed against them."""
_TAG: Final = 0.14
"""Inches; the largest text of a number."""
_LED: Final = 0.1
"""Inches; the text of a number that a line leads from."""
_PADDING: Final = 0.03
_FARTHEST: Final = 1.1
"""Inches on the page; no line leads farther."""
_FARTHER: Final = 48
"""Places that are tried beyond the nearest, for the sake of a line that goes across nothing that prints."""
_MOST_LED: Final = 60
"""Numbers with a line; more would hide more than they tell."""


class ZoneMarks:
    """Numbers the zones of one plate and its close stretches."""

    def __init__(
        self, canvas: Canvas, desk: Desk, plate: PlateRecord, near: Sequence[StretchRecord], nails: Sequence[Box]
    ) -> None:
        self.canvas, self.desk, self._nails = canvas, desk, nails
        self._rough = _ROUGH / canvas.view.scale
        lines = MultiLineString([stretch.line for stretch in near if len(stretch.line) > 1])
        edge = shape_of(plate.outline).boundary
        self._kept = GeometryCollection([rough_area(plate.printing, self._rough), lines, edge])
        prepare(self._kept)
        self._prints = rough_area(plate.printing, self._rough)
        prepare(self._prints)

    def number_zones(self, group: Group, zones: Sequence[RouterZone], places: Places) -> list[int]:
        """Number what can be numbered, the largest zones first; give the numbers of those that were left out."""
        left: list[tuple[RouterZone, Point, float]] = []
        missing = []
        for zone in sorted(zones, key=lambda zone: (-zone.area, zone.number)):
            if is_crumb(zone) or not zone.shape:
                missing.append(zone.number)
                continue
            part = _largest(zone.shape, self._rough)
            middle = polylabel(part, max(0.02 / self.canvas.view.scale, math.sqrt(part.area) / 50))
            reach = part.boundary.distance(middle)
            if not self._inside(group, zone, part, middle, reach, places):
                left.append((zone, middle, reach))
        led = 0
        # Those that a cutter takes come first: their order is what the operator follows.
        for zone, middle, reach in sorted(left, key=lambda one: one[0].cutter is None):
            if led < _MOST_LED and self._beside(group, zone, middle, reach, places):
                led += 1
            else:
                missing.append(zone.number)
        return sorted(missing)

    def number_near(self, group: Group, near: Sequence[StretchRecord], places: Places) -> None:
        """Number the worst of the close stretches beside their middles."""
        view = self.canvas.view
        for number, stretch in enumerate(near[:MOST_NUMBERED], start=1):
            if len(stretch.line) < 2:
                continue
            middle = LineString(stretch.line).interpolate(0.5, normalized=True)
            x, y = view.on_page(middle.x, middle.y)
            free = [spot for spot in _round_about((x, y), 0.2, 0.9) if places.free(box_about(*spot))]
            spots = [spot for spot in free if self._open(box_about(*spot), places)] or free
            clear = (spot for spot in spots if self._is_clear((x, y), box_about(*spot), places))
            spot = next(clear, spots[0] if spots else (x, y))
            places.take(box_about(*spot))
            data = {"near": str(number)}
            group.path(line_path((x, y, *spot)), Paint(BLACK, 0.012))
            group.path(circle_path(x, y, 0.022), Paint(fill=BLACK))
            mark(group, "near", str(number), *spot, data)

    def _words(self, zone: RouterZone) -> str:
        return f"{letter_of(self.desk, zone.cutter)}{zone.number}"

    def _inside(
        self, group: Group, zone: RouterZone, part: Polygon, middle: Point, reach: float, places: Places
    ) -> bool:
        view = self.canvas.view
        words = self._words(zone)
        # A room that the smallest text cannot fit in need not be searched.
        if reach * view.scale < SMALLEST_TEXT / 2:
            return False
        x, y = view.on_page(middle.x, middle.y)
        wide = max(2 * reach * view.scale, width_of(words, _TAG, True) + 0.16)
        high = max(2 * reach * view.scale, _TAG + 0.14)
        room = (x - wide / 2, y - high / 2, wide, high)
        shape: Shape = (
            tuple(tuple((px, py) for px, py in ring.coords[:-1]) for ring in (part.exterior, *part.interiors)),
        )
        region = Region(view, shape)
        label = fitted(room, [[(words, True)]], places, region=region, largest=_TAG, share=1.0)
        if label is not None:
            label.draw(group, {"zone": str(zone.number)})
        return label is not None

    def _beside(self, group: Group, zone: RouterZone, middle: Point, reach: float, places: Places) -> bool:
        words = self._words(zone)
        at = self.canvas.view.on_page(middle.x, middle.y)
        width, height = width_of(words, _LED, True) + 2 * _PADDING, _LED + 2 * _PADDING
        spots = _round_about(at, reach * self.canvas.view.scale + 0.16, _FARTHEST)
        room = self._room_beside(at, ((x - width / 2, y - height / 2, width, height) for x, y in spots), places)
        if room is None:
            return False
        places.take(room)
        places.take_line(nearest(room, at), at)
        group.path(line_path((*nearest(room, at), *at)), Paint(BLACK, 0.007), {"leader": str(zone.number)})
        group.path(circle_path(*at, 0.018), Paint(fill=BLACK))
        Label(((words, True),), _LED, False, room).draw(group, {"zone": str(zone.number)})
        return True

    def _room_beside(self, at: tuple[float, float], rooms: Iterable[Box], places: Places) -> Box | None:
        """Give the first room whose line to a place goes across no label; if it can be, not across what prints."""
        found, farther = None, 0
        for room in rooms:
            if self._open(room, places) and self._is_clear(at, room, places):
                if not self._crosses(at, room):
                    return room
                found = found or room
            farther += found is not None
            if farther > _FARTHER:
                break
        return found

    def _is_clear(self, at: tuple[float, float], room: Box, places: Places) -> bool:
        """Say whether a line from a place to a box goes across no other label; zones lie close round nails."""
        start = nearest(room, at)
        return not any(cuts(start, at, other) for other in places.taken if other not in self._nails)

    def _crosses(self, at: tuple[float, float], room: Box) -> bool:
        """Say whether a line from a place to a box goes across what prints."""
        ends = [self.canvas.view.box_in_layout((*end, 0.0, 0.0))[:2] for end in (nearest(room, at), at)]
        return bool(self._prints.intersects(LineString(ends)))

    def _open(self, room: Box, places: Places) -> bool:
        """Say whether a box of the page is free of other labels and of what must be seen."""
        view = self.canvas.view
        if not places.free(room) or room[0] < view.left - 0.5 or room[1] < view.top - 0.5:
            return False
        if room[0] + room[2] > view.left + view.page_width + 0.5 or room[1] + room[3] > view.top + view.page_height:
            return False
        x, y, width, height = view.box_in_layout(room)
        return not self._kept.intersects(box(x, y, x + width, y + height))


def _largest(shape: Shape, rough: float) -> Polygon:
    parts: list[Polygon] = list(rough_area(shape, rough).geoms)
    return max(parts, key=lambda part: part.area)


def _round_about(at: tuple[float, float], nearest: float, farthest: float) -> Iterator[tuple[float, float]]:
    away = nearest
    while away <= farthest:
        for step in range(16):
            turn = math.radians(22.5 * step + 11)
            yield at[0] + away * math.cos(turn), at[1] - away * math.sin(turn)
        away += 0.12
