"""The key: the drawing language with samples of all it has. Lines, areas, signs, texts, dimensions.

It lists what any sheet may show; the legend of a sheet lists what that sheet shows.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from planner.lengths import amount_text, fraction_text
from planner.plan import Plan
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Columns, Row
from planner.sheets.frame import Heading, said, shop_words
from planner.sheets.list_page import LEFT, RIGHT, TOP, WIDTH, finish_page
from planner.sheets.marks import SEVERITY_WORDS, Symbol
from planner.sheets.style import (
    ARMS_LENGTH,
    DESK_TEXT,
    HEADING_TEXT,
    LINES,
    LIST_TEXT,
    LOOKS,
    NAME_TEXT,
    SMALLEST_TEXT,
    TITLE_TEXTS,
    Look,
    read_from,
    zone_kind,
    zone_look,
)
from planner.sheets.svg import Group
from planner.sheets.views import View

NAME: Final = "KEY TO THE SHEETS"

_GAP: Final = 0.4
_TEXTS: Final = (
    ("the view's name", NAME_TEXT),
    ("what it is", TITLE_TEXTS[0]),
    ("how urgent, whose", TITLE_TEXTS[1]),
    ("headings", HEADING_TEXT),
    ("lists beside a drawing", LIST_TEXT),
    ("lists held in the hand", DESK_TEXT),
    ("smallest label", SMALLEST_TEXT),
)
_USE: Final = (
    "Every kind of line and area is told from the others by dashes, width, hatch or tone; colour only helps. The "
    "legend of each sheet lists what is on it.",
    "Lengths are inches and fractions to the nearest 1/64. L is counted from the left edge, B from the bottom edge of "
    "the metal as it is seen on the sheet.",
    "Sheets headed black on white read RIGHT, as the stripper sees them; those headed white on black read WRONG, as "
    "the metal shows them. Corner A is the same corner of the metal on both.",
    "A label stands off the edges of images. One that has no room stands beside its plate, with a line to it. A number "
    "in a frame is that of a plate.",
)


def key_sheet(plan: Plan) -> str:
    """Draw the key, with the cutters of the plan's house."""
    cutters = plan.settings.cutters
    looks: dict[str, Look] = {zone_kind(place): zone_look(place, cutter) for place, cutter in enumerate(cutters)}
    lines = {f"line-{name}": Look(line.words, line.of(), line=True) for name, line in LINES.items()}
    view = View(False, LEFT, TOP, 0, 0)
    canvas = Canvas("key", view, "Key to the sheets", "Samples of lines, areas, signs and texts.", {**looks, **lines})
    layer = canvas.upright("list", "List")
    width = (WIDTH - LEFT - RIGHT - _GAP) / 2
    left, right = (
        Columns(canvas, layer, at, TOP, float("inf"), width, DESK_TEXT) for at in (LEFT, LEFT + width + _GAP)
    )
    left.add(said("use", "HOW TO READ THE SHEETS", _USE))
    left.add(Block("lines", "KINDS OF LINES", _samples(canvas, lines.items()), (0.75,)))
    left.add(Block("signs", "SIGNS WITH A NUMBER", list(_signs()), (0.45,)))
    left.add(Block("texts", "TEXTS", list(_texts()), (0.0, 2.1, 2.9), ("text", "size", "read from")))
    _sample_texts(layer.group("text-samples"), left)
    of_lines = [(kind, look) for kind, look in LOOKS.items() if look.line]
    others = [(kind, look) for kind, look in (*LOOKS.items(), *looks.items()) if not look.line]
    right.add(Block("areas", "AREAS AND SPOTS", _samples(canvas, others), (0.75,)))
    right.add(Block("kinds", "WHAT LINES STAND FOR", _samples(canvas, of_lines), (0.75,)))
    lines_ = (("What lines, areas and signs mean on every sheet", True), (shop_words(plan), False), ("", False))
    return finish_page(canvas, Heading(NAME, "all flats", lines_), max(left.foot, right.foot))


def _samples(canvas: Canvas, looks: Iterable[tuple[str, Look]]) -> list[Row]:
    rows = []
    for kind, look in looks:
        canvas.need(kind)
        rows.append(Row((look.words,), swatch=kind))
    return rows


def _signs() -> Iterable[Row]:
    for severity, words in SEVERITY_WORDS.items():
        symbol: Symbol = "stop" if severity == "stop" else "warn" if severity == "warn" else "note"
        yield Row((f"finding, {words}",), symbol=(symbol, "1"))
    yield Row(("a plate; its number on the flat",), symbol=("plate", "1"))
    yield Row(("a cut; its number in order",), symbol=("cut", "1"))
    yield Row(("the cutter runs close to fine detail: go slow",), symbol=("near", "1"))


def _texts() -> Iterable[Row]:
    for words, size in _TEXTS:
        away = read_from(size)
        arm = ", arm's length" if abs(away - ARMS_LENGTH) < 1 else ""
        yield Row((words, amount_text(size), f"{fraction_text(away, 1)} in{arm}"))


def _sample_texts(group: Group, columns: Columns) -> None:
    y = columns.foot
    for words, size in _TEXTS:
        y += size * 1.35
        group.text(words, columns.left, y, size, data={"sample": "text"})
    columns.skip(y - columns.foot + 0.2)
