"""Can the plate's metal be routed as deep as the house wants?"""

from __future__ import annotations

from collections.abc import Iterator

from planner.findings import Finding
from planner.geometry import union_of
from planner.house import House
from planner.lengths import amount_text
from planner.plates import OrderedPlate
from planner.routing import RouterWork

_KINDS = {"line": "line work", "halftone": "plates with a halftone", "open": "open areas"}


def check_routing(plate: OrderedPlate, work: RouterWork, house: House) -> Iterator[Finding]:
    """Find depths at which the router goes through the plate: as deep as its gauge or deeper."""
    for kind in ("line", "halftone", "open"):
        through = [piece for piece in work.pieces if piece.depth_for == kind and piece.depth >= plate.gauge]
        if through:
            depth = getattr(house.routing.depth, kind)
            yield Finding(
                "router.depth",
                "stop",
                f"it is to be routed {amount_text(depth)} deep, and its metal is {amount_text(plate.gauge)} thick",
                f"set a lesser depth for {_KINDS[kind]}, or order thicker metal",
                amount=depth,
                unit="in",
                shape=union_of(piece.shape for piece in through),
            )
