"""Does the picture run past the trim, far enough, on every side that bleeds?"""

from __future__ import annotations

from collections.abc import Iterator

from planner.findings import Finding
from planner.geometry import union_of
from planner.lengths import amount_text
from planner.plates import OrderedPlate


def check_bleed(plate: OrderedPlate) -> Iterator[Finding]:
    """Find each bleeding side where no image of the base reaches the end of the bleed."""
    if not plate.bleed:
        return
    left, bottom, right, top = union_of(film.image for film in plate.films if not film.is_overlay).bounds
    past = {"left": -left, "right": right - plate.width, "bottom": -bottom, "top": top - plate.height}
    for side, wanted in plate.bleed.items():
        reached = past[side]
        lack = wanted - reached
        if lack > 1e-6:
            stands = (
                f"runs {amount_text(reached)} past the trim" if reached > 1e-6 else
                f"stops {amount_text(-reached)} short of the trim" if reached < -1e-6 else "ends at the trim"
            )  # fmt: skip
            yield Finding(
                "bleed.short",
                "stop",
                f"the picture {stands} on the {side}, and should run {amount_text(wanted)} past it",
                f"carry the picture {amount_text(lack)} further out on the {side}",
                amount=lack,
                unit="in",
            )
