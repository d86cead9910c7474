"""How many square inches of each class does a plan's metal have, by plate and by sheet, and what of it is chips?

The plan's ledger has these areas by flat and by job; here they are taken apart by plate. Quick sums over the plan's
shapes are used where they agree with the ledger, and the ledger's own way of measuring where they do not.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from planner.forms import InputError, Problem
from planner.ledger import placement_areas
from planner.metals import weight_of
from planner.plan import PLATE_CLASSES, AreaClass, Flat, FlatAccount, Placement, Plan, Ring, Shape

_AGREES: Final = 1e-6
"""Square inches for each plate by which quick sums and the ledger may differ."""
_CLOSES: Final = 1e-3
"""Square inches by which the plan's ledger and its shapes may differ at all."""

SHARED_CLASSES: Final[tuple[AreaClass, ...]] = ("kerf", "grip", "offcut", "scrap")
"""The classes that belong to no plate."""


@dataclass(frozen=True, slots=True)
class FlatMeasures:
    """One flat: square inches of each plate's classes, of the sheet's own classes, and of the whole sheet."""

    flat: Flat
    plates: Mapping[str, Mapping[AreaClass, float]]
    shared: Mapping[AreaClass, float]
    sheet_area: float


def measured(plan: Plan) -> list[FlatMeasures]:
    """Measure every flat of a plan.

    Raises:
        InputError: the plan's ledger does not agree with its own shapes, or with the size of its sheets.
    """
    accounts = {account.flat: account for account in plan.ledger.flats}
    found = []
    for flat in plan.flats:
        account = accounts.get(flat.number)
        if account is None:
            raise _refusal(flat, "is not in its ledger")
        sheet_area = flat.sheet.width * flat.sheet.height
        shared = {name: getattr(account.areas, name) for name in SHARED_CLASSES}
        plates = {placement.plate: _quick_areas(placement) for placement in flat.placements}
        if not _agrees(plates, account, _AGREES * len(plates)):
            plates = {placement.plate: placement_areas(placement) for placement in flat.placements}
            if not _agrees(plates, account, _CLOSES):
                raise _refusal(flat, "has other areas in its ledger than its shapes have")
        everything = sum(shared.values()) + sum(sum(areas.values()) for areas in plates.values())
        if abs(everything - sheet_area) > _CLOSES:
            raise _refusal(flat, "has a ledger that does not add up to its sheet")
        found.append(FlatMeasures(flat, plates, shared, sheet_area))
    return found


def routed_chips(plan: Plan) -> dict[str, float]:
    """Give the pounds of chips that the router makes of each plate: area of its zones times their depth."""
    return {plate: sum(zone.chips for zone in work.zones) for work in plan.router for plate in work.plates}


def sheet_weight(flat: Flat) -> float:
    """Give the pounds of a flat's whole sheet at its full gauge."""
    return weight_of(flat.sheet.metal, flat.sheet.width * flat.sheet.height, flat.sheet.gauge)


def _quick_areas(placement: Placement) -> dict[AreaClass, float]:
    """The same as `planner.ledger.placement_areas` where zones lie apart, inside the plate, and the flange outside."""
    outline, flange = _area(placement.outline), _area(placement.flange)
    dead = sum(zone.area for zone in placement.zones)
    part = _area(placement.metal) if placement.metal else placement.part[2] * placement.part[3]
    return {"printing": outline - dead, "routed": dead, "flange": flange, "trim": part - outline - flange}


def _agrees(plates: Mapping[str, Mapping[AreaClass, float]], account: FlatAccount, within: float) -> bool:
    return all(min(areas.values()) > -within for areas in plates.values()) and all(
        abs(sum(areas[name] for areas in plates.values()) - getattr(account.areas, name)) <= within
        for name in PLATE_CLASSES
    )


def _area(shape: Shape) -> float:
    """Square inches of polygons: the outer rings less the holes."""
    return sum(_ring_area(polygon[0]) - sum(_ring_area(hole) for hole in polygon[1:]) for polygon in shape)


def _ring_area(ring: Ring) -> float:
    # From its first point, so that places far from the origin lose no digits.
    (x0, y0), total = ring[0], 0.0
    for (x1, y1), (x2, y2) in zip(ring, (*ring[1:], ring[0]), strict=True):
        total += (x1 - x0) * (y2 - y0) - (x2 - x0) * (y1 - y0)
    return abs(total) / 2


def _refusal(flat: Flat, what: str) -> InputError:
    return InputError("the plan", [Problem(f"flat {flat.number}", f"{what}; prove it with flatwright proof")])
