"""Has a plate that is nailed through its dead metal places for nails, and do they hold it flat?"""

from __future__ import annotations

from collections.abc import Iterator

from planner.findings import Finding
from planner.lengths import amount_text
from planner.plates import OrderedPlate
from planner.routing import LEAST_NAILS, Nails, holds_flat

_FLUSH = "mount it flush, which needs no nails, or order a larger plate"


def check_nailing(plate: OrderedPlate, nails: Nails) -> Iterator[Finding]:
    """Find nailed plates without a place for a nail's head and its clearance, or with places that do not hold them.

    ``nails`` are those that the router's work has found.
    """
    if plate.mounting != "nailed":
        return
    need = amount_text(nails.width)
    count = len(nails.at)
    if not count:
        yield Finding(
            "nail.no-room",
            "stop",
            f"it is to be nailed through dead metal, and nowhere is there {need} of it for a nail",
            _FLUSH,
            amount=nails.width,
            unit="in",
            shape=plate.face,
        )
    elif count < LEAST_NAILS or not holds_flat(nails, plate):
        how = "only one nail" if count == 1 else f"only {count} nails" if count < LEAST_NAILS else f"{count} nails"
        why = "" if holds_flat(nails, plate) else ", and its middle does not lie between them"
        yield Finding(
            "nail.few",
            "warn",
            f"there is room for {how} of {need}{why}: it may not lie flat",
            _FLUSH,
            amount=float(count),
            shape=nails.discs,
        )
