"""The shear sheet: the metal as it is cut apart, the cuts in order, and for each a small picture and the gauge.

Seen on the metal, at half size if the sheet is large and its pieces are not small: the hand at the shear sets distances
and measures none.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from typing import Final

from planner.lengths import fraction_text, size_text
from planner.plan import Box, CutPart, Flat, Plan
from planner.sheets.additions import ON_SHEET, steps_list
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import shear_cautions
from planner.sheets.columns import WIDTH, Block, Picture
from planner.sheets.cuts import cuts_list, draw_cuts, gauge, mark_cuts
from planner.sheets.desk import Desk
from planner.sheets.frame import TRUE_SIZE, draw_frame, flat_heading, legend, said
from planner.sheets.labels import SIZES, Places, fitted
from planner.sheets.leaders import led
from planner.sheets.leftovers import draw_leftovers, label_leftovers, offcuts_list
from planner.sheets.marks import mark
from planner.sheets.style import BLACK, GREY, LINES, ORANGE, TONE, WHITE
from planner.sheets.svg import Group, Paint, box_path, line_path, polygon_path
from planner.sheets.text import cut_to, tied
from planner.sheets.under import ground_of
from planner.sheets.views import View
from planner.sheets.work import draw_metal, label_grip

NAME: Final = "WRONG-READING - shear"

_LARGE: Final = 12.0
"""Inches; a sheet that is longer is drawn at half size, if its pieces are not too small for that."""
_LEAST_PIECE: Final = 0.4
"""Inches of the page: what a piece must be wide for its number and those of its cuts."""
_ACROSS: Final = 3
"""Pictures side by side."""
_CELL: Final = (WIDTH / _ACROSS, 2.1)
_ROOM: Final = (1.5, 1.05)
"""Inches; the piece to be cut is drawn as large as it stays within."""
_SMALL: Final = 0.13
_ARROW: Final = 0.07


def shear_sheet(plan: Plan, flat: Flat) -> str:
    """Draw the shear sheet of a flat."""
    desk = Desk(plan, flat)
    scale = _scale(flat)
    view = View(True, LEFT, TOP, flat.sheet.width, flat.sheet.height, scale)
    words = f"The metal as it is cut apart, mirror image of the layout, on {desk.sheet_words()}: cuts in their order."
    canvas = Canvas("shear", view, f"Flat {flat.number}, {NAME}", words, {})
    draw_metal(canvas, desk)
    draw_leftovers(canvas, desk)
    _draw_pieces(canvas, desk)
    draw_cuts(canvas, desk)
    places = Places()
    ground = ground_of(canvas, desk, films=False)
    mark_cuts(canvas, desk, canvas.upright("cut-numbers", "Cut numbers"), places, ground)
    labels = canvas.upright("labels", "Labels")
    for number, placement, _ in desk.numbered:
        room = view.box_on_page(placement.part)
        size = tied(size_text(*placement.part[2:]))
        tiers = [[(str(number), True), (size, False)], [(str(number), True)]]
        label = fitted(room, tiers, places, largest=SIZES[0], share=1.0, number=str(number))
        data = {"label": "plate", "number": str(number)}
        if label is not None:
            label.draw(labels, data)
        else:
            middle = room[0] + room[2] / 2, room[1] + room[3] / 2
            led(labels, room, middle, tiers[-1:], places, ground, {**data, "led": str(number)}, str(number))
    label_leftovers(canvas, desk, labels, places, ground)
    label_grip(canvas, desk, labels, places, ground)
    blocks: list[Block | Picture] = [
        said("use", "HOW TO USE THIS SHEET", _use(scale)),
        steps_list(desk, ON_SHEET["shear"]),
        legend(canvas),
        said("cautions", "CAUTIONS", shear_cautions(flat.sheet.metal)),
        *offcuts_list(desk),
        *cuts_list(desk, view),
        *_pictures(desk, view),
    ]
    draw_frame(canvas, flat_heading(desk, NAME, "HALF SIZE" if scale < 1 else TRUE_SIZE), blocks)
    return canvas.drawing.markup()


def _scale(flat: Flat) -> float:
    large = max(flat.sheet.width, flat.sheet.height) > _LARGE
    least = min((side for placement in flat.placements for side in placement.part[2:]), default=_LARGE)
    return 0.5 if large and least / 2 >= _LEAST_PIECE else 1.0


def _use(scale: float) -> list[str]:
    drawn = "at half size; the rulers along it count in inches of the metal" if scale < 1 else "at true size"
    return [
        "The metal as you see it, printing side up: the mirror image of the stripper's sheet, left for right; corner A "
        "is at the lower RIGHT. Drawn " + drawn + ".",
        "A number in a frame is a plate's; below it, the size of the piece of metal that the plate gets.",
        "Each picture shows one piece, its size, and the cut through it. The thick edge lies against the gauge; the "
        "gauge is set to the large figure, in inches. Arrows tell which cut comes next for a part.",
    ]


def _draw_pieces(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("parts", "Pieces of the plates")
    for placement in desk.flat.placements:
        canvas.draw(layer, "part", box_path(placement.part), placement.plate)


def _pictures(desk: Desk, view: View) -> Iterator[Picture]:
    """Give the pictures of the cuts, a few side by side; later rows go on under the heading of the first."""
    for place in range(0, len(desk.cuts), _ACROSS):
        cuts = desk.cuts[place : place + _ACROSS]
        heading = "" if place else "EACH CUT AS IT LIES BEFORE YOU"
        yield Picture(f"cuts-{cuts[0].number}", heading, _CELL[1], _row_of(desk, view, cuts))


def _row_of(desk: Desk, view: View, cuts: Sequence[CutPart]) -> Callable[[Group, float, float], None]:
    def draw(group: Group, left: float, top: float) -> None:
        for place, part in enumerate(cuts):
            _picture(group, desk, view, part, left + place * _CELL[0], top)

    return draw


def _picture(group: Group, desk: Desk, view: View, part: CutPart, left: float, top: float) -> None:
    inner = group.group(f"picture-{part.number}", data={"picture": str(part.number)})
    own, _ = gauge(part, view)
    upright = part.cut == "vertical"
    mark(inner, "cut", str(part.number), left + 0.16, top + 0.2)
    inner.text(f"{'V' if upright else 'H'} {fraction_text(own)}", left + 0.38, top + 0.27, 0.22, bold=True)
    inner.text(_whence(desk, part), left, top + 0.48, _SMALL, fill=GREY)
    inner.text(cut_to(size_text(*part.box[2:]), _CELL[0] - 0.1, _SMALL), left, top + 0.48 + 1.2 * _SMALL, _SMALL)
    width, height = part.box[2:]
    scale = min(_ROOM[0] / width, _ROOM[1] / height)
    wide, high = width * scale, height * scale
    at_left, at_top = left + 0.14, top + 0.78
    inner.path(box_path((at_left, at_top, wide, high)), Paint(BLACK, 0.009, fill=WHITE))
    share = own * scale
    if upright:
        near, far = (at_left, at_top, share, high), (at_left + share, at_top, wide - share, high)
        edge, cut = (
            (at_left, at_top, at_left, at_top + high),
            (at_left + share, at_top - 0.08, at_left + share, at_top + high + 0.08),
        )
        arrow = (at_left, at_top + high + 0.16, at_left + share, at_top + high + 0.16)
        low, beyond = part.high, part.low
    else:
        line = at_top + high - share
        near, far = (at_left, line, wide, share), (at_left, at_top, wide, high - share)
        edge, cut = (
            (at_left, at_top + high, at_left + wide, at_top + high),
            (at_left - 0.08, line, at_left + wide + 0.08, line),
        )
        arrow = (at_left + wide + 0.16, at_top + high, at_left + wide + 0.16, line)
        low, beyond = part.low, part.high
    inner.path(box_path(near), Paint(fill=TONE))
    inner.path(line_path(edge), Paint(BLACK, 0.05))
    cut_line = LINES["cut"].of(ORANGE)
    inner.path(line_path(cut), cut_line)
    _dimension(inner, arrow)
    for box, place in ((near, low), (far, beyond)):
        _becomes(inner, desk, box, place)


def _becomes(group: Group, desk: Desk, box: Box, place: int | None) -> None:
    """Write into a part what it becomes, if there is room; the drawing and the list say it too."""
    if place is None:
        return
    part = desk.flat.cut_tree[place]
    if part.number is not None:
        words = f"\u2192 {part.number}"
    elif part.plate is not None:
        words = f"plate {desk.numbers.get(part.plate, '')}"
    else:
        words = (part.use or "").upper() if part.use == "offcut" else part.use or ""
    short = words.removeprefix("plate ")
    name = desk.offcut_name(part.box) if part.use == "offcut" else ""
    tiers = [[(words, True)], [(short, True)]]
    if name:
        tiers.insert(0, [(words, True), (name, False)])
    label = fitted(box, tiers, Places(), largest=0.14, share=1.0)
    if label is not None:
        label.draw(group, {"becomes": words})


def _dimension(group: Group, line: tuple[float, float, float, float]) -> None:
    x1, y1, x2, y2 = line
    group.path(line_path(line), LINES["thin"].of())
    length = max(abs(x2 - x1), abs(y2 - y1))
    size = min(_ARROW, length / 2)
    for (x, y), sign in (((x1, y1), 1), ((x2, y2), -1)):
        if x1 == x2:
            way = sign if y2 > y1 else -sign
            group.path(
                polygon_path(((x, y), (x - size / 3, y + way * size), (x + size / 3, y + way * size))),
                Paint(fill=BLACK),
            )
        else:
            way = sign if x2 > x1 else -sign
            group.path(
                polygon_path(((x, y), (x + way * size, y - size / 3), (x + way * size, y + size / 3))),
                Paint(fill=BLACK),
            )


def _whence(desk: Desk, part: CutPart) -> str:
    """Say which piece is to be taken up."""
    tree = desk.flat.cut_tree
    place = next(place for place, other in enumerate(tree) if other is part)
    before = next((other for other in tree if place in (other.low, other.high)), None)
    return "whole sheet" if before is None else f"from cut {before.number}"
