"""Square bevel: a flange all round a square-finished plate, through which it is nailed to its block."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Annotated, Final

from pydantic import Field
from shapely import MultiLineString, Polygon, box
from shapely.geometry.base import BaseGeometry

from planner.hookspecs import (
    Charge,
    Film,
    Finding,
    LaidFlat,
    LaidPlate,
    Length,
    Margin,
    Mark,
    Money,
    OrderedPlate,
    PositiveLength,
    Rule,
    Settings,
    SideName,
    Step,
    amount_text,
    hookimpl,
    shape_of,
    size_text,
)

_TINY: Final = 1e-6
"""Inches and square inches; less is rounding."""

_TRUE: Final = 1 / 64
"""Inches by which corners may be off and the shape still be meant as a rectangle (common practice: a file's work)."""

_AROUND: Final[tuple[SideName, ...]] = ("right", "top", "left", "bottom")
"""Sides in the order in which a quarter turn anticlockwise takes one to the place of the next."""

_LEAST_TURN: Final = 0.05
"""Degrees; a shape turned by less is out of square rather than askew."""


class BevelSettings(Settings):
    """How wide the house bevels, and what it takes for it."""

    # Wilkinson, Photo-engraving (c. 1890), p. 92, leaves about 3 mm for the nails; the trade rounds it to 1/8 in.
    flange: Annotated[PositiveLength, Field(default=1 / 8, description="width of the flange, on all four sides")]
    # Common practice.
    shoulder: Annotated[Length, Field(default=1 / 32, description="slope between the printing edge and the flange")]
    price: Annotated[Money, Field(default=Decimal(0), description="of one running inch of bevel, along the face")]


@hookimpl
def flatwright_rule() -> Rule:
    """Say what the rule is."""
    return Rule("square-bevel", "1.1", "a flange and a shoulder on all four sides of bevelled plates", BevelSettings)


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
        turned = _turned_rectangle(plate.outline)
        return [_not_square(plate) if turned is None else _askew(plate, turned)]
    return [finding for film in plate.films for finding in _through(plate, film)]


@hookimpl
def flatwright_charges(plate: OrderedPlate, settings: BevelSettings) -> Sequence[Charge]:
    """Charge the bevel by the running inch of the four printing edges."""
    if plate.mounting != "bevelled" or not plate.is_rectangle or not settings.price:
        return []
    length = float(plate.face.envelope.length)
    return [Charge("bevel", length, "in", settings.price, "four edges are cut to a shoulder and a flange", "price")]


@hookimpl
def flatwright_marks(flat: LaidFlat, settings: BevelSettings) -> Sequence[Mark]:
    """Draw on the metal where the bevel runs, and the strips that are broken away outside it."""
    return [mark for laid in _bevelled(flat) for mark in _marks(laid)]


@hookimpl
def flatwright_steps(flat: LaidFlat, settings: BevelSettings) -> Sequence[Step]:
    """Tell the finisher which plates are bevelled, and how wide."""
    plates: dict[str, list[str]] = {}
    for laid in _bevelled(flat):
        plates.setdefault(_widths_words(laid), []).append(laid.record.id)
    return [
        Step("finisher", f"Bevel all four sides: {words}. Break away the strips outside it.", tuple(there))
        for words, there in plates.items()
    ]


@dataclass(frozen=True, slots=True)
class _Turned:
    """A rectangle that lies askew: its width and height, and by how many degrees anticlockwise it is turned."""

    width: float
    height: float
    degrees: float


def _turned_rectangle(outline: Polygon) -> _Turned | None:
    """See whether an outline is a rectangle but for being turned; mortises inside do not matter."""
    shape = Polygon(outline.exterior)
    around = shape.minimum_rotated_rectangle
    if not isinstance(around, Polygon) or shape.exterior.hausdorff_distance(around.exterior) > _TRUE:
        return None
    first, second, third = around.exterior.coords[:3]
    edges = [(second[0] - first[0], second[1] - first[1]), (third[0] - second[0], third[1] - second[1])]
    across, up = sorted(edges, key=lambda edge: abs(edge[1]) - abs(edge[0]))
    # An edge has no direction: its slope is what counts.
    degrees = math.degrees(math.atan(across[1] / across[0]))
    if abs(degrees) < _LEAST_TURN:
        return None
    return _Turned(math.hypot(*across), math.hypot(*up), degrees)


def _askew(plate: OrderedPlate, turned: _Turned) -> Finding:
    way = "anticlockwise" if turned.degrees > 0 else "clockwise"
    return Finding(
        "bevel.askew",
        "stop",
        f"it is a rectangle turned by {abs(turned.degrees):.3g} degrees {way}; a bevel is cut along upright edges, and "
        "these lie askew whichever way up the plate is",
        f"order it upright: size {size_text(turned.width, turned.height)}, its images turned back with it; or mount it "
        "flush",
        amount=abs(turned.degrees),
        unit="deg",
        shape=plate.outline,
    )


def _not_square(plate: OrderedPlate) -> Finding:
    more = plate.width * plate.height - Polygon(plate.outline.exterior).area
    size = size_text(plate.width, plate.height)
    return Finding(
        "bevel.not-square",
        "stop",
        "a bevel needs four straight, upright edges at right angles, and this plate is no such rectangle",
        f"mount it flush, glued on its {plate.face.area:.2f} sq in; or square it up to {size}, {more:.2f} sq in more",
        amount=more,
        unit="sq in",
        shape=plate.outline,
    )


def _through(plate: OrderedPlate, film: Film) -> Sequence[Finding]:
    """Where an image runs past the edge that is bevelled; what runs on past a bleed is cut away with it."""
    if not film.has_image or film.use == "reverse":
        return []
    over = {side: amount for side, amount in _over(plate, film).items() if amount > _TINY and side not in plate.bleed}
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


def _bevelled(flat: LaidFlat) -> Iterator[LaidPlate]:
    """The plates of a flat that get a bevel: bevelled ones with a ring of flange round an upright rectangle."""
    for laid in flat.plates:
        if laid.record.mounting == "bevelled" and laid.placement.flange:
            outline = shape_of(laid.record.outline).geoms[0]
            around = Polygon(outline.exterior)
            if around.envelope.area - around.area <= _TINY:
                yield laid


def _marks(laid: LaidPlate) -> Iterator[Mark]:
    finished = box(*shape_of(laid.placement.flange).bounds)
    left, bottom, right, top = shape_of(laid.placement.outline).bounds
    slope = _on_flat(laid, "shoulder")
    foot = box(left - slope["left"], bottom - slope["bottom"], right + slope["right"], top + slope["top"])
    edges = [finished.exterior, *([foot.exterior] if max(slope.values()) > _TINY else [])]
    words = "bevel: edge of the flange, and foot of the shoulder"
    yield Mark("line", MultiLineString([edge.coords for edge in edges]), "Bevel", words, ("metal",), laid.record.id)
    metal: BaseGeometry = shape_of(laid.placement.metal)
    if metal.is_empty:
        x, y, width, height = laid.placement.part
        metal = box(x, y, x + width, y + height)
    strips = metal.difference(finished)
    if strips.area > _TINY:
        words = "break-away strips: trim outside the flange"
        yield Mark("area", strips, "Break-away strips", words, ("metal",), laid.record.id)


def _on_flat(laid: LaidPlate, kind: str) -> dict[SideName, float]:
    """The widest margin of a kind that any rule asks for, by the side on which it lies on the flat."""
    asked = [margin for margin in laid.record.allowances if margin.kind == kind]
    quarters = laid.placement.turned // 90
    return {
        _AROUND[(place + quarters) % 4]: max((float(getattr(margin, side)) for margin in asked), default=0.0)
        for place, side in enumerate(_AROUND)
    }


def _widths_words(laid: LaidPlate) -> str:
    flange, shoulder = (max(_on_flat(laid, kind).values()) for kind in ("flange", "shoulder"))
    slope = f"a shoulder of {amount_text(shoulder)}, then " if shoulder else ""
    return f"{slope}a flange {amount_text(flange)} wide"
