"""From a plate to the piece of metal it needs: plate and bleed, shoulder, flange, trim, and room for its films."""

from __future__ import annotations

import math
from collections.abc import Sequence
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
from planner.sharing import Share, shares_of
from planner.toml_values import value_text

GRID: Final = 1024
"""Nesting works in whole 1/1024 in: blanks are rounded up to it, sheets down."""

_OUTWARDS: Final[tuple[Literal["bleed", "shoulder", "flange", "trim"], ...]] = ("bleed", "shoulder", "flange", "trim")


@dataclass(frozen=True, slots=True)
class Blank:
    """A plate, the metal it needs, and with which others. Shapes and the box are in the plate's frame."""

    plate: OrderedPlate
    share: Share
    allowances: tuple[Allowance, ...]
    box: Box
    flange: MultiPolygon
    """Flange and shoulder: metal that stays on the finished plate outside its face."""

    @property
    def grid_size(self) -> tuple[int, int]:
        """Width and height in whole 1/1024 in; the box has exactly this size."""
        return round(self.box[2] * GRID), round(self.box[3] * GRID)


def blanks_for(plates: Sequence[OrderedPlate], rules: Rules, house: House) -> dict[str, Blank]:
    """Work out the metal that plates need, who asked for each margin, and which may share a flat; by their ids.

    Raises:
        InputError: a rule failed, or rules contradict each other.
    """
    shares = shares_of(plates, rules)
    return {plate.id: _blank(plate, shares[plate.id], rules, house) for plate in plates}


def _blank(plate: OrderedPlate, share: Share, rules: Rules, house: House) -> Blank:
    asked = [_bleed(plate), _trim(house)]
    for rule in rules.active:
        asked += [
            Allowance(
                kind=margin.kind, left=margin.left, right=margin.right, bottom=margin.bottom, top=margin.top,
                rule=rule.name, reason=margin.reason, setting=rule.setting_text(margin.setting),
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
    return Blank(plate, share, tuple(asked), _on_grid(metal), flange)


def _bleed(plate: OrderedPlate) -> Allowance:
    left, right, bottom, top = (plate.bleed.get(side, 0.0) for side in SIDES)
    return Allowance(
        kind="bleed", left=left, right=right, bottom=bottom, top=top,
        rule="order", reason="the picture runs past the trimmed page",
    )  # fmt: skip


def _trim(house: House) -> Allowance:
    trim = house.cutting.trim
    return Allowance(
        kind="trim", left=trim, right=trim, bottom=trim, top=trim,
        rule="house", reason="metal for cutting the plate true", setting=f"[cutting] trim = {value_text(trim)}",
    )  # fmt: skip


def _films(plate: OrderedPlate, metal: tuple[float, float, float, float], house: House) -> Allowance | None:
    """What the films need beyond the metal asked for: skins of neighbours may not overlap."""
    left, bottom, right, top = union_of(film.film for film in plate.films).bounds
    beyond = [metal[0] - left, right - metal[2], metal[1] - bottom, top - metal[3]]
    short = [amount if amount > 1e-9 else 0.0 for amount in beyond]
    if max(short) <= 0:
        return None
    edge = amount_text(house.film.safe_edge)
    given = "the films as ordered" if any(film.given for film in plate.films) else f"a safe edge of {edge}"
    setting = "" if "ordered" in given else f"[film] safe_edge = {value_text(house.film.safe_edge)}"
    reason = f"room for {given} beside the neighbours' films"
    return Allowance(
        kind="film", left=short[0], right=short[1], bottom=short[2], top=short[3],
        rule="house", reason=reason, setting=setting,
    )  # fmt: skip


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
