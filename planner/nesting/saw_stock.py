"""What is laid on free sheets and on what: shapes that may share sheets, the stock they share, and their answer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from .saw_laid import Places
from .saw_lattice import lattice_for
from .saw_problem import SawSheet, Shape, polygon_of
from .saw_raster import Lattice


@dataclass(slots=True)
class Answer:
    """The kind of each sheet, by number, and the place of each shape."""

    kinds: list[int]
    places: Places

    def used(self) -> list[int]:
        """The sheets that hold a shape."""
        return sorted({place[0] for place in self.places if place is not None})


@dataclass(slots=True)
class ShapeSet:
    """The shapes of one material and group, by number, and the best answer so far.

    `choices` are the outlines each shape may take, `turns` say which turn shows them.
    """

    shapes: list[Shape]
    lattice: Lattice
    choices: list[list[int]]
    turns: list[dict[int, int]]
    areas: list[float]
    answer: Answer = field(default_factory=lambda: Answer([], []))


class Stock:
    """How many sheets of each kind are left; kinds are numbers of the sheets given."""

    def __init__(self, sheets: Sequence[SawSheet]) -> None:
        self.sheets = sheets
        self.left = [sheet.count for sheet in sheets]

    def has(self, kind: int) -> bool:
        """Whether there is one more."""
        left = self.left[kind]
        return left is None or left > 0

    def take(self, kind: int, number: int = 1) -> None:
        """Take sheets out; a negative number gives them back."""
        left = self.left[kind]
        if left is not None:
            self.left[kind] = left - number


def shape_set(shapes: Sequence[Shape], sheets: Sequence[SawSheet], spacing: float) -> ShapeSet:
    """Prepare shapes that may share sheets; `sheets` are those of their material, at least one."""
    polygons = [polygon_of(shape) for shape in shapes]
    lattice = lattice_for(polygons, [shape.turns for shape in shapes], max(sheet.height for sheet in sheets), spacing)
    turns = [lattice.turns(polygon, shape.turns) for shape, polygon in zip(shapes, polygons, strict=True)]
    choices = [list(one) for one in turns]
    return ShapeSet(list(shapes), lattice, choices, turns, [polygon.area for polygon in polygons])
