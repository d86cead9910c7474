"""The sheet of passes over a flat: what is opened, what is covered meanwhile, where frames and films lie, in order."""

from __future__ import annotations

from typing import Final

from planner.lengths import fraction_text
from planner.plan import Box, Flat, PassRecord, Person, Plan
from planner.sheets.additions import bar_crosses, draw_marks, mark_looks, steps_list, write_marks
from planner.sheets.art import draw_art
from planner.sheets.bench import runs_words
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.cautions import ALL, MAGNESIUM, STRIPPER, SURPRINT
from planner.sheets.columns import Block, Row
from planner.sheets.desk import Desk
from planner.sheets.frame import draw_frame, findings_list, flat_heading, jobs_list, legend, plates_list, said
from planner.sheets.ground import Ground
from planner.sheets.labels import NOT_SMALLER, SIZES, Places, fitted
from planner.sheets.leaders import led
from planner.sheets.style import BLUE, GREEN, GREY, LINES, PURPLE, TONE, Hatch, Look
from planner.sheets.svg import FEWER, Group, Paint, box_path, shape_path
from planner.sheets.text import cut_at
from planner.sheets.under import ground_of, is_kept
from planner.sheets.views import View
from planner.sheets.work import draw_findings, label_plate, tag_areas

_OPENS: Final = (
    Hatch(0.09, (45,), 0.009, colour=BLUE),
    Hatch(0.09, (135,), 0.009, colour=GREEN),
    Hatch(0.09, dot=0.016, colour=PURPLE),
    Hatch(0.07, (0, 90), 0.007, colour=BLUE),
    Hatch(0.07, (90,), 0.009, colour=GREEN),
    Hatch(0.06, (30,), 0.008, colour=PURPLE, dash=(0.06, 0.04)),
)

_USE_GLASS: Final = (
    "Lay this sheet under the glass, this side up. Copy reads the right way round; corner A is at the lower left.",
)
_USE_METAL: Final = (
    "The metal as you see it, printing side up: the mirror image of the stripper's sheet, left for right. Copy reads "
    "the wrong way round; corner A is at the lower RIGHT.",
)
_FRAME_TEXT: Final = 0.16
_CORNER: Final = (0.9, 0.3)
"""Inches; a frame's name stands so close to its corner, or a line leads there."""
_USE: Final = (
    "The number in an area is that of its pass in the list. During a pass all else is covered: what is shaded, and the "
    "areas of the other passes.",
)
_WORKERS: Final[dict[str, tuple[Person, ...]]] = {"glass": ("stripper", "etcher"), "metal": ("tint hand",)}


def pass_sheets(plan: Plan, flat: Flat) -> list[str]:
    """Draw the passes over a flat: a sheet for each name that the rules give, in the order in which they come."""
    named: dict[tuple[str, str], list[PassRecord]] = {}
    for one in flat.passes:
        named.setdefault((one.sheet, one.side), []).append(one)
    return [_sheet(plan, flat, number, passes) for number, passes in enumerate(named.values(), start=1)]


def _sheet(plan: Plan, flat: Flat, number: int, passes: list[PassRecord]) -> str:
    desk = Desk(plan, flat)
    first = passes[0]
    mirrored = first.side == "metal"
    view = View(mirrored, LEFT, TOP, flat.sheet.width, flat.sheet.height)
    name = f"{'WRONG' if mirrored else 'RIGHT'}-READING - {cut_at(first.sheet, 40)}"
    words = f"Passes over the flat at true size on {desk.sheet_words()}: {cut_at(first.reason, 200)}."
    looks = {**_looks(passes), **mark_looks(desk, first.sheet)}
    canvas = Canvas(f"pass-{number}", view, f"Flat {flat.number}, {name}", words, looks)
    _draw_edge(canvas, desk)
    _draw_masks(canvas, passes)
    _draw_opens(canvas, passes)
    _draw_plates(canvas, desk)
    draw_art(canvas, desk, "base")
    _draw_films(canvas, desk, passes)
    draw_art(canvas, desk, "overlays")
    draw_marks(canvas, desk, first.sheet)
    places = Places()
    ground = _ground(canvas, desk, passes)
    bar_crosses(ground, canvas, desk, first.sheet)
    draw_findings(canvas, desk, places, ground)
    labels = canvas.upright("labels", "Labels")
    _tag_passes(canvas, labels, passes, places, ground)
    write_marks(canvas, desk, first.sheet, labels, places, ground)
    for place, placement, _ in desk.numbered:
        label_plate(canvas, desk, labels, (place, placement), [[(str(place), True)]], places, ground)
    blocks = [
        said("use", "HOW TO USE THIS SHEET", (*(_USE_METAL if mirrored else _USE_GLASS), *_USE)),
        findings_list(desk.findings),
        _passes_list(desk, passes, view),
        steps_list(desk, _WORKERS[first.side]),
        plates_list(desk, mirrored),
        jobs_list(desk),
        legend(canvas),
        said("cautions", "CAUTIONS", _cautions(flat.sheet.metal, passes)),
    ]
    draw_frame(canvas, flat_heading(desk, name), blocks)
    return canvas.drawing.markup()


def _cautions(metal: str, passes: list[PassRecord]) -> tuple[str, ...]:
    exposed = SURPRINT if any(one.films for one in passes) else ()
    return (*(MAGNESIUM if metal == "magnesium" else ()), *exposed, *STRIPPER, *ALL)


def _looks(passes: list[PassRecord]) -> dict[str, Look]:
    looks = {
        "pass-mask": Look("covered or stopped out in every pass", Paint(GREY, 0.006, fill=TONE)),
        "pass-frame": Look("frame, as it lies", LINES["limit"].of(), line=True),
        "pass-film": Look("film laid for this pass", LINES["over"].of(BLUE), line=True),
    }
    for place, one in enumerate(passes):
        hatch = _OPENS[place % len(_OPENS)]
        looks[f"pass-open-{place + 1}"] = Look(f"{place + 1}: {cut_at(one.name, 60)}", Paint(hatch.colour, 0.01), hatch)
    return looks


def _draw_edge(canvas: Canvas, desk: Desk) -> None:
    """Draw the edge of the metal; its margins lie under the mask and say nothing here."""
    sheet = desk.flat.sheet
    canvas.draw(canvas.layer("sheet", "Sheet"), "sheet", box_path((0.0, 0.0, sheet.width, sheet.height)))
    if desk.flat.spots:
        canvas.draw(canvas.layer("spots", "Spots of the glass"), "spot", box_path(*desk.flat.spots))


def _draw_plates(canvas: Canvas, desk: Desk) -> None:
    layer = canvas.layer("plates", "Plates")
    for number, placement, record in desk.numbered:
        name = f"{number}: {cut_at(record.id, 120)}"
        group = layer.group(f"plate-{number}", data={"plate": placement.plate}, title=name)
        canvas.draw(group, "outline", shape_path(placement.outline))


def _draw_masks(canvas: Canvas, passes: list[PassRecord]) -> None:
    """What no pass opens: the mask of the only pass, or the whole sheet with the areas of all passes left out."""
    if len(passes) == 1:
        path = shape_path(passes[0].mask, FEWER)
    else:
        sheet = box_path((0.0, 0.0, canvas.view.width, canvas.view.height))
        path = " ".join([sheet, *(shape_path(one.opens, FEWER) for one in passes)])
    canvas.draw(canvas.layer("masks", "Masks"), "pass-mask", path)


def _draw_opens(canvas: Canvas, passes: list[PassRecord]) -> None:
    layer = canvas.layer("opens", "Areas of the passes")
    for place, one in enumerate(passes, start=1):
        canvas.draw(layer, f"pass-open-{place}", shape_path(one.opens, FEWER), None, {"pass": str(place)})
    frames = canvas.layer("frames", "Frames")
    for place, one in enumerate(passes, start=1):
        if one.frame is not None:
            canvas.draw(frames, "pass-frame", box_path(one.frame), None, {"pass": str(place)})


def _draw_films(canvas: Canvas, desk: Desk, passes: list[PassRecord]) -> None:
    laid = {film for one in passes for film in one.films}
    layer = canvas.layer("films", "Films of the passes")
    for placement in desk.flat.placements:
        for film in placement.films:
            if (placement.plate, film.number) in laid:
                canvas.draw(layer, "pass-film", shape_path(film.film, FEWER), placement.plate)
                if film.art is None:
                    canvas.draw(layer, f"image-{film.use}", shape_path(film.image, FEWER), placement.plate)


def _ground(canvas: Canvas, desk: Desk, passes: list[PassRecord]) -> Ground:
    """Give the ground of the labels: films that are not of these passes lie covered, and show if they have art."""
    ground = ground_of(canvas, desk, films=False)
    laid = {film for one in passes for film in one.films}
    for placement in desk.flat.placements:
        for film in placement.films:
            if film.art is not None or (placement.plate, film.number) in laid:
                ground.bar(canvas.view, film.image, whole=is_kept(film, placement))
    for one in passes:
        ground.bar(canvas.view, one.opens)
        if one.frame is not None:
            x, y, width, height = one.frame
            right, top = x + width, y + height
            sides = ((x, y, right, y), (x, top, right, top), (x, y, x, top), (right, y, right, top))
            ground.bar_lines(canvas.view, sides)
    return ground


def _tag_passes(canvas: Canvas, group: Group, passes: list[PassRecord], places: Places, ground: Ground) -> None:
    """Write the number of its pass into every area, and at the lower left corner of every frame."""
    for place, one in enumerate(passes, start=1):
        if one.frame is not None:
            _name_frame(canvas, group, one.frame, place, places, ground)
        tag_areas(
            canvas, group, one.opens, str(place), places, ground,
            fuller=f"pass {place}", largest=SIZES[0], beside=NOT_SMALLER,
        )  # fmt: skip


def _name_frame(canvas: Canvas, group: Group, frame: Box, place: int, places: Places, ground: Ground) -> None:
    """Name a frame at its lower left corner, or with a line that leads there: other frames may run close by."""
    left, top, width, height = canvas.view.box_on_page(frame)
    wide, high = min(width, _CORNER[0]), min(height, _CORNER[1])
    corner = (left, top + height - high, wide, high)
    words, data = [[(f"frame {place}", True)]], {"frame": str(place)}
    at = left, top + height
    label = fitted(corner, words, places, ground=ground, toward=at, largest=_FRAME_TEXT, least=_FRAME_TEXT, share=1.0)
    if label is not None:
        label.draw(group, data)
    else:
        led(group, corner, at, words, places, ground, {**data, "led": f"frame {place}"}, size=_FRAME_TEXT)


def _passes_list(desk: Desk, passes: list[PassRecord], view: View) -> Block:
    rows = []
    for place, one in enumerate(passes, start=1):
        numbers = sorted(desk.numbers[plate] for plate in one.plates if plate in desk.numbers)
        plates = f"plate{'s' if len(numbers) > 1 else ''} {runs_words(numbers)}" if numbers else ""
        parts = (cut_at(one.name, 120), plates, cut_at(one.notes, 300), _frame_words(one, view))
        rows.append(Row((str(place), "; ".join(part for part in parts if part))))
    return Block("passes", "PASSES, IN THIS ORDER", rows, (0.0, 0.42))


def _frame_words(one: PassRecord, view: View) -> str:
    if one.frame is None:
        return ""
    x, y, width, height = one.frame
    left = view.width - x - width if view.mirrored else x
    return (
        f"frame {fraction_text(width)} x {fraction_text(height)} in as it lies, its lower left corner "
        f"{fraction_text(left)} in from the left and {fraction_text(y)} in from the bottom as seen here"
    )
