"""Has a plate that is nailed through its dead metal any place for a nail?"""

from __future__ import annotations

from collections.abc import Iterator

from planner.findings import Finding
from planner.geometry import area_of, shrunk
from planner.house import House
from planner.lengths import amount_text
from planner.plates import OrderedPlate


def check_nailing(plate: OrderedPlate, house: House) -> Iterator[Finding]:
    """Find nailed plates without a single place where a nail's head and its clearance fit beside the image."""
    if plate.mounting != "nailed":
        return
    need = house.nailing.head + 2 * house.nailing.clearance
    bare = area_of(plate.face.difference(plate.printing))
    if shrunk(bare, need / 2).is_empty:
        yield Finding(
            "nail.no-room",
            "stop",
            f"it is to be nailed through dead metal, and nowhere is there {amount_text(need)} of it for a nail",
            "mount it flush, or order a larger plate",
            amount=need,
            unit="in",
            shape=plate.face,
        )
