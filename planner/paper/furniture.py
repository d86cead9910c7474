"""What stands round the drawing on each page: check rules, marks for cutting and glueing, and the words below.

Drawn in inches of paper from the upper left. Marks on the drawing itself are thin lines; words stay beside it.
"""

from __future__ import annotations

from typing import Final

from planner.lengths import amount_text
from planner.paper.tiling import FOOT, LEFT, Tile, Tiling, rule_lengths, rule_start, tile_name
from planner.printer import PLOTTER, RULE
from planner.sheets.style import BLACK, GREY
from planner.sheets.svg import Drawing, Group, Paint, box_path, line_path
from planner.sheets.text import clean, cut_to, shown, wrapped

_FINE: Final = Paint(BLACK, 0.01)
_EDGE: Final = Paint(GREY, 0.006)
_CUT: Final = Paint(BLACK, 0.012, (0.12, 0.06))
_GLUE: Final = Paint(BLACK, 0.008, (0.02, 0.06))
_SMALL: Final = 0.1
_WORDS: Final = 0.115
_LINE: Final = 0.155
_SIZES: Final = (0.15, 0.125, 0.1)
_TICK: Final = 0.16
_LONG, _INCH, _QUARTER = 0.16, 0.12, 0.06


def tile_page(tiling: Tiling, tile: Tile, name: str, paper: str, notes: tuple[str, ...]) -> str:
    """Draw what stands round one tile; ``name`` is the sheet's, ``notes`` what else has to be said on each page."""
    drawing = _page(tiling, f"{name}, tile {tile.name}")
    left, top = tiling.window
    if len(tiling.tiles) > 1:
        _edges(drawing, tiling, tile)
        where = f"Tile {tile.name} of A1 to {tiling.tiles[-1].name}"
    else:
        drawing.path(box_path((left, top, tile.width, tile.height)), _EDGE)
        where = "One page" if paper != PLOTTER else ""
    _rules_and_words(drawing, tiling, name, where, paper, notes)
    return drawing.markup()


def key_map(tiling: Tiling, name: str, paper: str, notes: tuple[str, ...]) -> tuple[str, tuple[float, float, float]]:
    """Draw the first page of a tiled sheet; also give where the sheet itself belongs: left, top, scale on this page."""
    drawing = _page(tiling, f"{name}, key map")
    left, top = tiling.window
    width, height = tiling.page[0] - left - tiling.margin, tiling.page[1] - top - tiling.margin - FOOT
    lines = [line for words in _how_to_join(tiling) for line in wrapped(words, width, _WORDS)]
    head = 0.3
    room = height - head - len(lines) * _LINE - 0.25
    scale = min(width / tiling.sheet[0], max(room, 0.5) / tiling.sheet[1])
    layer = drawing.group("layer-key", layer="Key map")
    title = cut_to(f"KEY MAP: {clean(name)}", width, 0.2, True)
    layer.text(shown(title), left, top + 0.14, 0.2, bold=True)
    foot = top + head + tiling.sheet[1] * scale
    _grid(layer, tiling, (left, top + head), scale)
    for number, line in enumerate(lines, start=1):
        layer.text(line, left, foot + 0.1 + number * _LINE, _WORDS)
    _rules_and_words(drawing, tiling, name, f"Key map of {len(tiling.tiles)} tiles", paper, notes)
    return drawing.markup(), (left, top + head, scale)


def stretch_words(tiling: Tiling) -> str:
    """Say by what a page is stretched, or that it is not."""
    across, down = (round(part * 100, 2) for part in tiling.stretch)
    if across == 100 and down == 100:
        return "True size: print at 100 %, fitted to nothing."
    return f"Stretched {across:.2f} % across and {down:.2f} % down for this printer: check the rules before use."


def rule_words(tiling: Tiling) -> str:
    """Say what the rules of a page must measure."""
    across, down = rule_lengths(tiling)
    words = f"Rule {tiling.axes[0]}, across, must measure {across:g} in, rule {tiling.axes[1]}, down, {down:g} in"
    short = "" if min(across, down) == RULE else f" ({RULE:g} in does not fit this paper both ways)"
    return f"{words}{short}; else the page is not true."


def _page(tiling: Tiling, title: str) -> Drawing:
    drawing = Drawing(title, "Marks and rules of a page")
    drawing.size(*tiling.page)
    return drawing


def _rules_and_words(
    drawing: Drawing, tiling: Tiling, name: str, where: str, paper: str, notes: tuple[str, ...]
) -> None:
    layer = drawing.group("layer-rules", layer="Check rules and words")
    across, down = rule_lengths(tiling)
    margin, (width, height) = tiling.margin, tiling.page
    start, foot = rule_start(tiling), height - margin - FOOT
    _rule_across(layer, tiling.axes[0], across, (start, foot + 0.52), tiling.stretch[0])
    _rule_down(layer, tiling.axes[1], down, (margin + 0.24, margin + 0.1), tiling.stretch[1])
    left = margin + LEFT
    room = width - margin - left
    way = "landscape" if tiling.landscape else "portrait"
    kind = f"page {amount_text(width)} wide, {amount_text(height)} high" if paper == PLOTTER else f"{paper}, {way}"
    head = "; ".join(part for part in (f"{clean(name)}", where, kind) if part)
    said = " ".join((stretch_words(tiling), rule_words(tiling), *notes))
    # Large pages are read from farther away.
    size = next((size for size in _SIZES if len(wrapped(said, room, size)) * size <= 0.3), _SIZES[-1])
    layer.text(shown(cut_to(head, room, size + 0.015, True)), left, foot + 0.69, size + 0.015, bold=True)
    for number, line in enumerate(wrapped(said, room, size, most=3), start=1):
        layer.text(line, left, foot + 0.69 + number * size * 1.2, size, data={"part": "true-size"})


def _rule_across(layer: Group, axis: str, inches: float, at: tuple[float, float], stretch: float) -> None:
    x, y = at
    group = layer.group("check-rule", data={"inches": f"{inches:g}", "axis": axis})
    ticks = [(x + place * stretch, y, x + place * stretch, y - long) for place, long in _ticks(inches)]
    group.path(line_path((x, y, x + inches * stretch, y), *ticks), _FINE, {"part": "rule"})
    for inch in range(1, int(inches)):
        group.text(str(inch), x + inch * stretch + 0.03, y - 0.14, 0.08)
    group.text(f"rule {axis}: {inches:g} in", x + 0.05, y - 0.14, 0.09, bold=True)


def _rule_down(layer: Group, axis: str, inches: float, at: tuple[float, float], stretch: float) -> None:
    x, y = at
    group = layer.group("check-rule-upright", data={"inches": f"{inches:g}", "axis": axis})
    ticks = [(x, y + place * stretch, x - long, y + place * stretch) for place, long in _ticks(inches)]
    group.path(line_path((x, y, x, y + inches * stretch), *ticks), _FINE, {"part": "rule"})
    for inch in range(1, int(inches)):
        group.text(str(inch), x - 0.14, y + inch * stretch - 0.03, 0.08, turned=True)
    group.text(f"rule {axis}: {inches:g} in", x - 0.14, y + stretch - 0.05, 0.09, bold=True, turned=True)


def _ticks(inches: float) -> list[tuple[float, float]]:
    last = int(inches) * 4
    return [(place / 4, _LONG if place in (0, last) else _QUARTER if place % 4 else _INCH) for place in range(last + 1)]


def _edges(drawing: Drawing, tiling: Tiling, tile: Tile) -> None:
    """Mark where a tile is cut off and where its neighbours are laid on."""
    layer = drawing.group("layer-joints", layer="Cut and glue marks")
    (x, y), right, foot = tiling.window, tiling.window[0] + tile.width, tiling.window[1] + tile.height
    plain: list[tuple[float, float, float, float]] = []
    cuts: list[tuple[float, float, float, float]] = []
    glue: list[tuple[float, float, float, float]] = []
    before, above = tiling.has(tile.column - 1, tile.row), tiling.has(tile.column, tile.row - 1)
    (cuts if before else plain).append((x, y - _TICK if before else y, x, foot + _TICK if before else foot))
    (cuts if above else plain).append((x - _TICK if above else x, y, right + _TICK if above else right, y))
    if before:
        layer.text("CUT HERE", x - 0.05, (y + foot) / 2, _SMALL, anchor="middle", turned=True)
    if above:
        layer.text("CUT HERE", (x + right) / 2, y - 0.06, _SMALL, anchor="middle")
    if tiling.has(tile.column + 1, tile.row):
        at = right - tiling.overlap
        glue.append((at, y - _TICK, at, foot + _TICK))
        words = f"GLUE; lay the edge of {tile_name(tile.column + 1, tile.row)} here"
        for level in (y - 0.06, foot + 0.13):
            layer.text(words, at - 0.05, level, _SMALL, anchor="end")
    if tiling.has(tile.column, tile.row + 1):
        at = foot - tiling.overlap
        glue.append((x - _TICK, at, right + _TICK, at))
        words = f"GLUE; lay the edge of {tile_name(tile.column, tile.row + 1)} here"
        layer.text(words, right + 0.15, at + 0.0, _SMALL, turned=True)
    plain += [(right, y, right, foot), (x, foot, right, foot)]
    for lines, paint, part in ((plain, _EDGE, "edge"), (cuts, _CUT, "cut-mark"), (glue, _GLUE, "glue-line")):
        layer.path(line_path(*lines), paint, {"part": part})


def _grid(layer: Group, tiling: Tiling, at: tuple[float, float], scale: float) -> None:
    x, y = at
    size = min(0.3, 0.3 * scale * min(tiling.tiles[0].width, tiling.tiles[0].height))
    layer.path(box_path((x, y, tiling.sheet[0] * scale, tiling.sheet[1] * scale)), _FINE)
    for tile in tiling.tiles:
        left, top = x + tile.x * scale, y + tile.y * scale
        width, height = tile.width * scale, tile.height * scale
        blank = tile.name in tiling.left_out
        layer.path(box_path((left, top, width, height)), Paint(BLACK, 0.008), {"tile": tile.name})
        middle = left + width / 2, top + height / 2
        ground = (middle[0] - size * 0.9, middle[1] - size * 0.6, size * 1.8, size * 1.2)
        if blank:
            crossed = ((left, top, left + width, top + height), (left, top + height, left + width, top))
            layer.path(line_path(*crossed), Paint(GREY, 0.008), {"left-out": tile.name})
        layer.path(box_path(ground), Paint(GREY if blank else BLACK, 0.006, fill="#ffffff", opacity=0.9))
        fill = GREY if blank else BLACK
        layer.text(tile.name, middle[0], middle[1] + size * 0.36, size, anchor="middle", bold=not blank, fill=fill)


def _how_to_join(tiling: Tiling) -> list[str]:
    last = tiling.tiles[-1]
    words = [
        f"{len(tiling.tiles)} tiles, A1 to {last.name}: {tiling.columns} across and {tiling.rows} down, letters count"
        " from the left, numbers from the top."
    ]
    if tiling.left_out:
        crossed = ", ".join(tile.name for tile in tiling.tiles if tile.name in tiling.left_out)
        words.append(f"Crossed out and not printed, as the tiles beside show all that is on them: {crossed}.")
    if tiling.overlap:
        words.append(
            "Check both rules of every page first. Cut each tile along its dashed edges (left and top); leave the other"
            f" edges. Put glue on the strip of {amount_text(tiling.overlap)} beyond a dotted line and lay the cut edge"
            " of the neighbour named there exactly on that line, so that the drawing runs on. Join each row first,"
            " then the rows."
        )
    else:
        words.append(
            "Check both rules of every page first. Cut each tile along its dashed edges, and join edge to edge."
        )
    return words
