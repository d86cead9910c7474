"""The plain records of a free layout: polygons with holes on rectangular sheets.

All lengths are inches, areas square inches, turns degrees anticlockwise; the code in
fact only needs every length in the same unit. Costs are in whatever money the caller
counts in.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

from shapely import Polygon

Point = tuple[float, float]
Ring = tuple[Point, ...]
SawReason = Literal["no-stock", "too-large", "out-of-stock", "interrupted"]

QUARTER_TURNS = (0, 90, 180, 270)


@dataclass(frozen=True, slots=True)
class Shape:
    """A polygon to be placed once.

    `polygon` is the outer ring and then the holes, points in inches; rings need not
    be closed and may run either way round. `turns` are the quarter turns it may lie
    in. Only sheets of the same `material` may hold it, and shapes of different `group`
    never share a sheet. `due_rank` 0 is a rush: such shapes are placed before all
    others. A higher rank is less urgent.
    """

    name: str
    polygon: tuple[Ring, ...]
    turns: tuple[int, ...] = (0,)
    material: str = ""
    group: str = ""
    due_rank: int = 0


@dataclass(frozen=True, slots=True)
class SawSheet:
    """A kind of sheet; its usable size in inches and the cost of one.

    `count` is how many there are, None for as many as wanted; groups of the same
    material share it. Sheets are never turned, shapes are.
    """

    name: str
    width: float
    height: float
    count: int | None
    cost: float
    material: str = ""
    remnant: bool = False


@dataclass(frozen=True, slots=True)
class SawOptions:
    """How to search.

    spacing: least distance between two shapes in inches: the kerf of the saw or the
        gap of the house, whichever is more. Nothing is kept to the edge of a sheet.
    iterations: rounds of improvement after the first complete answer; None for no
        limit, which needs `seconds`.
    seconds: stop earlier when this much time has passed; the first answer is always
        completed. A layout is reproducible only as far as this did not bite.
    seed: another seed gives another, equally good search.
    spyrrow: lay strips with the library of that name when it is installed. It keeps
        to seconds only, so it is left alone when `seconds` is None.
    """

    spacing: float = 0.0
    iterations: int | None = 200
    seconds: float | None = None
    seed: int = 0
    spyrrow: bool = False


@dataclass(frozen=True, slots=True)
class SawPlacement:
    """Where a shape lies: turned about the origin, then its bounding box moved to (x, y)."""

    name: str
    x: float
    y: float
    turn: int


@dataclass(frozen=True, slots=True)
class SawLayout:
    """One sheet of the named kind and the shapes on it."""

    sheet: str
    placements: tuple[SawPlacement, ...]


@dataclass(frozen=True, slots=True)
class SawLeftOut:
    """A shape that is on no sheet, and why.

    no-stock: there is no sheet of its material. too-large: it fits no sheet of its
    material in any allowed turn. out-of-stock: it would fit but the sheets ran out.
    interrupted: the user stopped the search before the first complete answer.
    """

    name: str
    reason: SawReason


@dataclass(frozen=True, slots=True)
class SawSolution:
    """The best answer found; sheets with the lowest due ranks come first.

    `cost` is that of the sheets used, `density` the area of the shapes on them over
    the area of the sheets (0 to 1; 0 when nothing is placed).
    """

    layouts: tuple[SawLayout, ...]
    left_out: tuple[SawLeftOut, ...]
    cost: float
    density: float

    @property
    def sheets(self) -> int:
        """How many sheets are used."""
        return len(self.layouts)


@dataclass(frozen=True, slots=True)
class SawStrip:
    """All shapes in one strip of the given height; the length it takes in inches."""

    placements: tuple[SawPlacement, ...]
    length: float
    density: float


def polygon_of(shape: Shape) -> Polygon:
    """The shape as a shapely polygon, in its own position and turn 0."""
    return Polygon(shape.polygon[0], shape.polygon[1:])


def check(shapes: Sequence[Shape], sheets: Sequence[SawSheet], options: SawOptions) -> None:
    """Refuse a problem that makes no sense.

    Raises:
        ValueError: a name occurs twice, a polygon is not a valid area, a turn is not a
            quarter turn, or a size, cost, count, spacing or limit is out of range.
    """
    _check_names("shape", (shape.name for shape in shapes))
    # A sheet name alone says which sheet to fetch, so it may not repeat over materials.
    _check_names("sheet", (sheet.name for sheet in sheets))
    for shape in shapes:
        _check_shape(shape)
    for sheet in sheets:
        check_size(f"sheet {sheet.name!r}", sheet.width, sheet.height)
        if not math.isfinite(sheet.cost) or sheet.cost < 0:
            raise ValueError(f"The cost of sheet {sheet.name!r} is {sheet.cost}; it must not be negative.")
        if sheet.count is not None and sheet.count < 0:
            raise ValueError(f"The count of sheet {sheet.name!r} is {sheet.count}; it must not be negative.")
    if not math.isfinite(options.spacing) or options.spacing < 0:
        raise ValueError(f"The spacing is {options.spacing}; it must be a number that is not negative.")
    if options.iterations is None and options.seconds is None:
        raise ValueError("There is no limit; give iterations or seconds.")
    if options.iterations is not None and options.iterations < 0:
        raise ValueError(f"The number of iterations is {options.iterations}; it must not be negative.")
    if options.seconds is not None and not options.seconds >= 0:
        raise ValueError(f"The limit in seconds is {options.seconds}; it must be a number that is not negative.")


def check_size(what: str, width: float, height: float) -> None:
    """Refuse a rectangle that has no area.

    Raises:
        ValueError: the width or the height is not a positive number.
    """
    if not (math.isfinite(width) and math.isfinite(height) and width > 0 and height > 0):
        raise ValueError(f"The size of {what} is {width} x {height}; width and height must be positive.")


def _check_names(kind: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise ValueError(f"There are two {kind}s named {name!r}; names must be unique.")
        seen.add(name)


def _check_shape(shape: Shape) -> None:
    if not shape.turns or any(turn not in QUARTER_TURNS for turn in shape.turns):
        raise ValueError(f"The turns of shape {shape.name!r} are {shape.turns}; allowed are some of {QUARTER_TURNS}.")
    if not shape.polygon or any(len(ring) < 3 for ring in shape.polygon):
        raise ValueError(f"A ring of shape {shape.name!r} has fewer than three points.")
    if not all(math.isfinite(value) for ring in shape.polygon for point in ring for value in point):
        raise ValueError(f"Shape {shape.name!r} has a coordinate that is not a number.")
    polygon = polygon_of(shape)
    if not polygon.is_valid or polygon.area <= 0:
        raise ValueError(f"The rings of shape {shape.name!r} do not bound one area without crossing.")
