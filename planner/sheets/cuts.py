"""Cuts on the metal sheet: their lines with the kerf, their numbers, and the list of them in order."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.lengths import fraction_text, size_text
from planner.plan import Box, CutPart
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Row
from planner.sheets.desk import Desk
from planner.sheets.frame import said
from planner.sheets.ground import Ground
from planner.sheets.labels import Places
from planner.sheets.marks import RADIUS, box_about, mark, mark_near
from planner.sheets.style import ORANGE
from planner.sheets.svg import Group, Paint, box_path, line_path, polygon_path
from planner.sheets.views import View

_ARROW: Final = 0.11
"""Inches on the page."""
_OFF: Final = 0.22
_CLOSE: Final = 1.1
"""How many radii of its circle a number keeps off other labels where it is crowded."""
_STEP: Final = 0.08
"""Inches on the page between the places that are tried along a crowded cut."""


def draw_cuts(canvas: Canvas, desk: Desk) -> None:
    """Draw each cut from edge to edge of the piece it divides: kerf, middle line, arrow heads at its ends."""
    layer = canvas.layer("cuts", "Cuts")
    for part in desk.cuts:
        group = layer.group(f"cut-{part.number}", data={"cut": str(part.number), "way": part.cut or ""})
        if part.kerf:
            canvas.draw(group, "kerf", box_path(_kerf(part, part.kerf)))
        (x1, y1), (x2, y2) = _ends(part)
        canvas.draw(group, "cut", line_path((x1, y1, x2, y2)))
        for path in _arrows(part, _ARROW / canvas.view.scale):
            group.path(path, Paint(fill=ORANGE))


def mark_cuts(canvas: Canvas, desk: Desk, group: Group, places: Places, ground: Ground) -> None:
    """Number each cut at one of its ends, off the metal where it runs off it, and clear of the plates if it can be.

    Where many cuts meet, a number stands wherever its cut has room for it, or beside it with a pointer.
    """
    view = canvas.view
    blanks = [view.box_on_page(placement.blank) for placement in desk.flat.placements]
    chosen: dict[int, Box] = {}
    # Those that have least room choose first.
    for part in sorted(desk.cuts, key=_length):
        spots = [box_about(*spot) for spot in _spots(view, part)]
        close = [box_about(*spot, RADIUS * _CLOSE) for spot in _along(view, part)]
        free = [spot for spot in spots if places.free(spot)] or [spot for spot in close if places.free(spot)][:1]
        free = [spot for spot in free if ground.is_open(spot)] or free
        if free:
            spot = min(free, key=lambda spot: round(sum(_shared(spot, blank) for blank in blanks), 4))
            places.take(spot)
            chosen[part.number or 0] = spot
    for part in desk.cuts:
        number, data = str(part.number), {"cut-number": str(part.number)}
        if (part.number or 0) in chosen:
            spot = chosen[part.number or 0]
            mark(group, "cut", number, spot[0] + spot[2] / 2, spot[1] + spot[3] / 2, data)
        else:
            (x1, y1), (x2, y2) = (view.on_page(*end) for end in _ends(part))
            at, page = ((x1 + x2) / 2, (y1 + y2) / 2), (view.left, view.top, view.page_width, view.page_height)
            mark_near(group, "cut", number, at, page, places, ground, data)


def cuts_list(desk: Desk, view: View) -> list[Block]:
    """Give the cuts in their order, each with its distance from the edges as the metal is seen here."""
    if not desk.cuts:
        return []
    kerf = any(part.kerf for part in desk.cuts)
    near = " Distances are to the near side of the kerf: the metal left standing." if kerf else ""
    hint = (
        f"Cut by {desk.flat.how_cut}, in this order, each from edge to edge of its piece. V: upright cut, distance "
        f"from the LEFT edge as seen here; H: level cut, distance from the BOTTOM edge.{near}"
    )
    rows = [Row(_cells(part, view), symbol=("cut", str(part.number))) for part in desk.cuts]
    head = ("", "", "GAUGE of piece, in", "of sheet, in", "piece to be cut")
    return [
        said("cutting", f"CUTS IN ORDER: {len(desk.cuts)}", (hint,)),
        Block("cuts", "From the left (V) or bottom (H) edge", rows, (0.0, 0.55, 0.95, 2.45, 3.85), head),
    ]


def _cells(part: CutPart, view: View) -> tuple[str, ...]:
    own, whole = gauge(part, view)
    way = "V" if part.cut == "vertical" else "H"
    return "", way, fraction_text(own), fraction_text(whole), size_text(*part.box[2:])


def gauge(part: CutPart, view: View) -> tuple[float, float]:
    """Give how far a cut is from the left or the lower edge, as seen here: of its piece, and of the whole sheet.

    Both to the near side of the kerf: what a gauge or a fence is set to.
    """
    x, y, width, _ = part.box
    at, half = part.at or 0.0, (part.kerf or 0.0) / 2
    if part.cut == "vertical":
        whole = view.from_left(at)
        own = x + width - at if view.mirrored else at - x
    else:
        whole, own = at, at - y
    return own - half, whole - half


def _ends(part: CutPart) -> tuple[tuple[float, float], tuple[float, float]]:
    x, y, width, height = part.box
    at = part.at or 0.0
    return ((at, y), (at, y + height)) if part.cut == "vertical" else ((x, at), (x + width, at))


def _kerf(part: CutPart, kerf: float) -> Box:
    x, y, width, height = part.box
    low = (part.at or 0.0) - kerf / 2
    return (low, y, kerf, height) if part.cut == "vertical" else (x, low, width, kerf)


def _arrows(part: CutPart, size: float) -> Iterator[str]:
    for (x, y), sign in zip(_ends(part), (1, -1), strict=True):
        back, side = sign * size, size / 3
        if part.cut == "vertical":
            yield polygon_path(((x, y), (x - side, y + back), (x + side, y + back)))
        else:
            yield polygon_path(((x, y), (x + back, y - side), (x + back, y + side)))


def _spots(view: View, part: CutPart) -> Iterator[tuple[float, float]]:
    one, other = (view.on_page(*end) for end in _ends(part))
    if part.cut == "vertical":
        # The lower end comes first in the record; on the page the upper end is wanted first.
        top, foot = other, one
        if top[1] <= view.top + 1e-6:
            yield top[0], top[1] - _OFF
            yield top[0], top[1] - _OFF - 2.4 * RADIUS
        start, end = top, foot
    else:
        right, left = (one, other) if one[0] > other[0] else (other, one)
        if right[0] >= view.left + view.page_width - 1e-6:
            yield right[0] + _OFF, right[1]
            yield right[0] + _OFF + 2.4 * RADIUS, right[1]
        start, end = right, left
    length = abs(start[0] - end[0]) + abs(start[1] - end[1])
    near = min(0.3 / length, 0.5) if length else 0.5
    for share in (near, 1 - near, 0.5, 0.25, 0.75, 0.125, 0.375, 0.625, 0.875):
        yield start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _along(view: View, part: CutPart) -> Iterator[tuple[float, float]]:
    """Give places all along a cut, from its upper or its right end on."""
    start, end = sorted((view.on_page(*end) for end in _ends(part)), key=lambda end: (end[1], -end[0]))
    steps = max(1, int((abs(end[0] - start[0]) + abs(end[1] - start[1])) / _STEP))
    for step in range(1, steps):
        share = step / steps
        yield start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share


def _length(part: CutPart) -> float:
    (x1, y1), (x2, y2) = _ends(part)
    return abs(x2 - x1) + abs(y2 - y1)


def _shared(one: Box, other: Box) -> float:
    across = min(one[0] + one[2], other[0] + other[2]) - max(one[0], other[0])
    down = min(one[1] + one[3], other[1] + other[3]) - max(one[1], other[1])
    return max(across, 0.0) * max(down, 0.0)
