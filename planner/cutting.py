"""From a nested layout to the cuts of a real sheet: every part from the whole sheet down, in true inches.

The nesting knows only the usable area, in whole grid units. Here the grip margin, and whatever lies off the glass, is
cut away first; then each of the layout's cuts is put in the middle of the strip that the nesting left for it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Final, Literal

from planner import nesting
from planner.blanks import GRID
from planner.glass import usable_box
from planner.house import House
from planner.orders import MetalName
from planner.plan import Box, CutPart, Flat

_WAYS: Final[tuple[tuple[Literal["vertical", "horizontal"], int, int], ...]] = (
    ("vertical", 0, 2), ("horizontal", 1, 3),
)  # fmt: skip
"""A cut's direction, and where its coordinate and its extent stand in a box."""


@dataclass
class _Tree:
    """Parts in the making; a part is put in before those that it is cut into."""

    kerf: float
    least_offcut: tuple[float, float]
    parts: list[CutPart] = field(default_factory=list)
    cuts: int = 0

    def add(self, box: Box) -> int:
        self.parts.append(CutPart(box=box))
        return len(self.parts) - 1

    def cut(self, index: int, way: Literal["vertical", "horizontal"], at: float) -> tuple[int, int]:
        """Cut a part at the middle of the kerf; give the places of the low and the high part."""
        x, y, width, height = self.parts[index].box
        half = self.kerf / 2
        if way == "vertical":
            low: Box = (x, y, at - half - x, height)
            high: Box = (at + half, y, x + width - (at + half), height)
        else:
            low = (x, y, width, at - half - y)
            high = (x, at + half, width, y + height - (at + half))
        self.cuts += 1
        low_index, high_index = self.add(low), self.add(high)
        self.parts[index] = self.parts[index].model_copy(
            update={"cut": way, "at": at, "kerf": self.kerf, "number": self.cuts, "low": low_index, "high": high_index}
        )
        return low_index, high_index

    def use(self, index: int, use: Literal["plate", "grip", "rest"], plate: str | None = None) -> None:
        """Say what a part becomes; a rest is an offcut where it is large enough to keep, else scrap."""
        told = use if use != "rest" else ("offcut" if self._keeps(self.parts[index].box) else "scrap")
        self.parts[index] = self.parts[index].model_copy(update={"use": told, "plate": plate})

    def _keeps(self, box: Box) -> bool:
        short, long = sorted(self.least_offcut)
        return min(box[2], box[3]) >= short - 1e-9 and max(box[2], box[3]) >= long - 1e-9

    def follow(self, root: nesting.Part, index: int, origin: tuple[float, float], spacing: int) -> None:
        """Cut a part as a layout says; the layout's area begins at ``origin`` and fills the part.

        A cut stands in the middle of the strip of ``spacing`` grid units that the layout left for it.
        """
        waiting = [(root, index)]
        while waiting:
            part, index = waiting.pop()
            if part.cut is None or part.at is None or part.low is None or part.high is None:
                self.use(index, "plate" if part.piece is not None else "rest", part.piece)
                continue
            start = origin[0] if part.cut == "vertical" else origin[1]
            low, high = self.cut(index, part.cut, start + (part.at + spacing / 2) / GRID)
            # The low part is finished before the high one is taken up.
            waiting += [(part.high, high), (part.low, low)]

    def trim(self, index: int, inner: Box, use: Literal["grip", "rest"]) -> int:
        """Cut away what lies outside an inner box, side after side; give the place of what is left."""
        for direction, near, far in _WAYS:
            if inner[near] - self.parts[index].box[near] > 1e-9:
                waste, index = self.cut(index, direction, inner[near] - self.kerf / 2)
                self.use(waste, use)
            box = self.parts[index].box
            if box[near] + box[far] - (inner[near] + inner[far]) > 1e-9:
                index, waste = self.cut(index, direction, inner[near] + inner[far] + self.kerf / 2)
                self.use(waste, use)
        return index


def cut_parts(
    layout: nesting.Layout, metal: MetalName, width: float, height: float, house: House
) -> tuple[tuple[CutPart, ...], int]:
    """Give all parts of a width x height sheet of a metal, the whole sheet first, and the number of cuts."""
    tree = _Tree(house.cutting.kerf_width, house.flats.least_offcut_of(metal))
    grip = house.glass.grip
    usable = usable_box(width, height, house)
    index = tree.add((0.0, 0.0, width, height))
    index = tree.trim(index, (grip, grip, width - 2 * grip, height - 2 * grip), "grip")
    index = tree.trim(index, usable, "rest")
    tree.follow(layout.root, index, (usable[0], usable[1]), house_spacing(house))
    return tuple(tree.parts), tree.cuts


def parts_with(
    flat: Flat, part: int, layout: nesting.Layout, origin: tuple[float, float], house: House
) -> tuple[tuple[CutPart, ...], int]:
    """Give the parts of a flat after a layout has been cut into one that was left over; all others stay as they are.

    ``part`` is its place in the flat's list, ``origin`` where the layout begins on the sheet. The new cuts come after
    those that were there.
    """
    tree = _Tree(flat.kerf, house.flats.least_offcut_of(flat.sheet.metal), list(flat.cut_tree), flat.cuts)
    tree.parts[part] = tree.parts[part].model_copy(update={"use": None})
    tree.follow(layout.root, part, origin, house_spacing(house))
    return tuple(tree.parts), tree.cuts


def house_spacing(house: House) -> int:
    """Give the width of the strip between two blanks in whole grid units, rounded up."""
    return math.ceil(house.cutting.spacing * GRID - 1e-6)


def part_of_plate(parts: tuple[CutPart, ...]) -> dict[str, Box]:
    """Give the box of metal that each plate comes out with."""
    return {part.plate: part.box for part in parts if part.use == "plate" and part.plate is not None}
