"""From a plate to the piece of metal it needs: plate and bleed, shoulder, flange, trim, and room for its films."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Final, Literal

from shapely.geometry import MultiPolygon

from planner.geometry import area_of, rectangle, union_of
from planner.house import House
from planner.lengths import amount_text
from planner.orders import SIDES
from planner.plan import Allowance, Box
from planner.plates import OrderedPlate
from planner.rules import Rules

GRID: Final = 1024
"""Nesting works in whole 1/1024 in: blanks are rounded up to it, sheets down."""

_OUTWARDS: Final[tuple[Literal["bleed", "shoulder", "flange", "trim"], ...]] = ("bleed", "shoulder", "flange", "trim")


@dataclass(frozen=True, slots=True)
class Blank:
    """A plate and the metal it needs. Shapes and the box are in the plate's frame."""

    plate: OrderedPlate
    allowances: tuple[Allowance, ...]
    box: Box
    flange: MultiPolygon
    """Flange and shoulder: metal that stays on the finished plate outside its face."""

    @property
    def grid_size(self) -> tuple[int, int]:
        """Width and height in whole 1/1024 in; the box has exactly this size."""
        return round(self.box[2] * GRID), round(self.box[3] * GRID)


def blank_for(plate: OrderedPlate, rules: Rules, house: House) -> Blank:
    """Work out the metal that a plate needs, and who asked for each margin.

    Raises:
        InputError: a rule failed.
    """
    asked = [_bleed(plate), _trim(house)]
    for rule in rules.active:
        asked += [
            Allowance(
                kind=margin.kind, left=margin.left, right=margin.right, bottom=margin.bottom, top=margin.top,
                rule=rule.rule.name, reason=margin.reason,
            )
            for margin in rule.margins(plate)
        ]  # fmt: skip
    asked = [allowance for allowance in asked if max(_widths(allowance)) > 0]
    asked.sort(key=lambda allowance: _OUTWARDS.index(allowance.kind) if allowance.kind != "film" else len(_OUTWARDS))
    outline = (0.0, 0.0, plate.width, plate.height)
    face = _wider(outline, asked, ("bleed",))
    finished = _wider(face, asked, ("shoulder", "flange"))
    metal = _wider(finished, asked, ("trim",))
    films = _films(plate, metal, house)
    if films is not None:
        asked.append(films)
        metal = _wider(metal, [films], ("film",))
    flange = area_of(_rectangle(finished).difference(_rectangle(face)))
    return Blank(plate, tuple(asked), _on_grid(metal), flange)


def _bleed(plate: OrderedPlate) -> Allowance:
    by_side = {side: plate.bleed.get(side, 0.0) for side in SIDES}
    return Allowance(kind="bleed", rule="order", reason="the picture runs past the trimmed page", **by_side)


def _trim(house: House) -> Allowance:
    trim = house.cutting.trim
    return Allowance(
        kind="trim", left=trim, right=trim, bottom=trim, top=trim,
        rule="house", reason="metal for cutting the plate true",
    )  # fmt: skip


def _films(plate: OrderedPlate, metal: tuple[float, float, float, float], house: House) -> Allowance | None:
    """What the films need beyond the metal asked for: skins of neighbours may not overlap."""
    left, bottom, right, top = union_of(film.film for film in plate.films).bounds
    beyond = {
        "left": metal[0] - left, "bottom": metal[1] - bottom, "right": right - metal[2], "top": top - metal[3],
    }  # fmt: skip
    beyond = {side: amount if amount > 1e-9 else 0.0 for side, amount in beyond.items()}
    if max(beyond.values()) <= 0:
        return None
    edge = amount_text(house.film.safe_edge)
    given = "the films as ordered" if any(film.given for film in plate.films) else f"a safe edge of {edge}"
    return Allowance(kind="film", rule="house", reason=f"room for {given} beside the neighbours' films", **beyond)


def _wider(
    bounds: tuple[float, float, float, float], asked: list[Allowance], kinds: tuple[str, ...]
) -> tuple[float, float, float, float]:
    """Push bounds out, kind after kind; of one kind the widest on each side counts."""
    left, bottom, right, top = bounds
    for kind in kinds:
        of_kind = [allowance for allowance in asked if allowance.kind == kind]
        left -= max((allowance.left for allowance in of_kind), default=0.0)
        right += max((allowance.right for allowance in of_kind), default=0.0)
        bottom -= max((allowance.bottom for allowance in of_kind), default=0.0)
        top += max((allowance.top for allowance in of_kind), default=0.0)
    return left, bottom, right, top


def _widths(allowance: Allowance) -> tuple[float, float, float, float]:
    return allowance.left, allowance.right, allowance.bottom, allowance.top


def _rectangle(bounds: tuple[float, float, float, float]) -> MultiPolygon:
    left, bottom, right, top = bounds
    return area_of(rectangle(left, bottom, right - left, top - bottom))


def _on_grid(bounds: tuple[float, float, float, float]) -> Box:
    left, bottom, right, top = bounds
    # A hair of float noise must not cost a whole step of the grid.
    width, height = (math.ceil((far - near) * GRID - 1e-6) / GRID for near, far in ((left, right), (bottom, top)))
    return left, bottom, width, height
