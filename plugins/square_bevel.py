"""Square bevel: a flange all round a square-finished plate, through which it is nailed to its block."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated

from pydantic import Field

from planner.hookspecs import (
    Film,
    Finding,
    Length,
    Margin,
    OrderedPlate,
    PositiveLength,
    Rule,
    Settings,
    SideName,
    amount_text,
    hookimpl,
    size_text,
)


class BevelSettings(Settings):
    """How wide the house bevels."""

    # Wilkinson, Photo-engraving (c. 1890), p. 92, leaves about 3 mm for the nails; the trade rounds it to 1/8 in.
    flange: Annotated[PositiveLength, Field(default=1 / 8, description="width of the flange, on all four sides")]
    # Common practice.
    shoulder: Annotated[Length, Field(default=1 / 32, description="slope between the printing edge and the flange")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("square-bevel", "1.0", "a flange and a shoulder on all four sides of bevelled plates", BevelSettings)


@hookimpl
def flatwright_margins(plate: OrderedPlate, settings: BevelSettings) -> Sequence[Margin]:
    """Ask for shoulder and flange round bevelled rectangles; other shapes cannot be bevelled and get none."""
    if plate.mounting != "bevelled" or not plate.is_rectangle:
        return []
    return [
        Margin.all_round(
            "shoulder", settings.shoulder, "the slope from the printing edge down to the flange", "shoulder"
        ),
        Margin.all_round("flange", settings.flange, "the flange that nails go through", "flange"),
    ]


@hookimpl
def flatwright_inspect_plate(plate: OrderedPlate, settings: BevelSettings) -> Sequence[Finding]:
    """Refuse a bevel on anything but four square edges, and a bevel that would be cut through an image."""
    if plate.mounting != "bevelled":
        return []
    if not plate.is_rectangle:
        return [
            Finding(
                "bevel.not-square",
                "stop",
                "a bevel needs four straight, upright edges at right angles, and this plate is no such rectangle",
                f"mount it flush, or square it up to {size_text(plate.width, plate.height)}",
                shape=plate.outline,
            )
        ]
    return [finding for film in plate.films for finding in _through(plate, film)]


def _through(plate: OrderedPlate, film: Film) -> Sequence[Finding]:
    """Where an image runs past the edge that is bevelled; what runs on past a bleed is cut away with it."""
    if not film.has_image or film.use == "reverse":
        return []
    over = {side: amount for side, amount in _over(plate, film).items() if amount > 1e-6 and side not in plate.bleed}
    if not over:
        return []
    where = ", ".join(f"{amount_text(amount)} on the {side}" for side, amount in over.items())
    return [
        Finding(
            "bevel.through-image",
            "stop",
            f"the bevel would be cut through {film.label}, which runs past the edge of the plate: {where}",
            "move or trim the image, or order the plate larger on that side and move the image with it",
            amount=max(over.values()),
            unit="in",
            shape=film.image.difference(plate.face.envelope),
            sided=True,
        )
    ]


def _over(plate: OrderedPlate, film: Film) -> dict[SideName, float]:
    """Inches that an image runs past the face of the plate, by side."""
    left, bottom, right, top = plate.face.bounds
    image_left, image_bottom, image_right, image_top = film.image.bounds
    return {"left": left - image_left, "right": image_right - right,
            "bottom": bottom - image_bottom, "top": image_top - top}  # fmt: skip
