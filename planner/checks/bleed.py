"""Does the picture run past the trim, far enough, on every side that bleeds?"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from shapely.geometry.base import BaseGeometry

from planner.findings import Finding
from planner.geometry import TINY_AREA, area_of, rectangle, union_of
from planner.lengths import amount_text
from planner.orders import SideName
from planner.plates import OrderedPlate

_HAIR: Final = 1e-6
"""Inches inside the trim at which a picture counts as reaching it."""


def check_bleed(plate: OrderedPlate) -> Iterator[Finding]:
    """Find each bleeding side where what prints stops before the end of the bleed.

    Wherever something prints right up to the trimmed edge, it must go on through the whole bleed. A side that nothing
    reaches at all is found too, and so is a side without a straight edge to bleed from.
    """
    inked = union_of(
        [*(film.image for film in plate.films if film.has_image and film.use != "reverse"),
         *(tint.area for tint in plate.tints)]
    )  # fmt: skip
    for side, wanted in plate.bleed.items():
        if side in plate.edgeless_bleeds:
            yield Finding(
                "bleed.no-edge",
                "stop",
                f"it is to bleed on the {side}, where it has no straight edge for the page to be trimmed along",
                f"leave the bleed on the {side} out, or give the plate a straight {side} edge",
                sided=True,
            )
            continue
        lack = _lack(plate, side, wanted, inked)
        if lack > _HAIR:
            yield Finding(
                "bleed.short",
                "stop",
                f"the picture {_stands(wanted - lack)} on the {side}, and should run {amount_text(wanted)} past it",
                f"carry the picture {amount_text(lack)} further out on the {side}",
                amount=lack,
                unit="in",
                sided=True,
            )


def _lack(plate: OrderedPlate, side: SideName, wanted: float, inked: BaseGeometry) -> float:
    """Inches by which the picture falls short of the end of the bleed, where it falls short most."""
    face_left, face_bottom, face_right, face_top = plate.face.bounds
    width, height = face_right - face_left, face_top - face_bottom
    lines = {
        "left": rectangle(0, face_bottom, _HAIR, height),
        "right": rectangle(plate.width - _HAIR, face_bottom, _HAIR, height),
        "bottom": rectangle(face_left, 0, width, _HAIR),
        "top": rectangle(face_left, plate.height - _HAIR, width, _HAIR),
    }
    across, up = {"left": (-1, 0), "right": (1, 0), "bottom": (0, -1), "top": (0, 1)}[side]
    contact = inked.intersection(lines[side]).intersection(plate.outline)
    if contact.area <= TINY_AREA * _HAIR:
        left, bottom, right, top = inked.bounds
        return wanted + {"left": left, "right": plate.width - right, "bottom": bottom, "top": plate.height - top}[side]
    # Swept outwards, what touches the trim covers all that the bleed must show.
    swept = union_of(
        rectangle(min(x, x + across * wanted), min(y, y + up * wanted), far_x - x + abs(across) * wanted,
                  far_y - y + abs(up) * wanted)
        for x, y, far_x, far_y in (part.bounds for part in getattr(contact, "geoms", [contact]))
    )  # fmt: skip
    bare = area_of(swept.intersection(plate.face).difference(inked))
    if bare.area <= _HAIR * _HAIR:
        return 0.0
    left, bottom, right, top = bare.bounds
    return {"left": right + wanted, "right": plate.width + wanted - left,
            "bottom": top + wanted, "top": plate.height + wanted - bottom}[side]  # fmt: skip


def _stands(past: float) -> str:
    if past > _HAIR:
        return f"runs only {amount_text(past)} past the trim"
    return f"stops {amount_text(-past)} short of the trim" if past < -_HAIR else "ends at the trim"
