"""The page of what to buy: mixes of sheets side by side, each with its figures and a bar as long as it is dear.

What the figures are is not asked here: a page is handed its words, and of each bar the length.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from planner.sheets.canvas import Canvas
from planner.sheets.frame import Heading, draw_heading
from planner.sheets.style import BLACK, GREEN, GREY, LIST_TEXT, WHITE
from planner.sheets.svg import Group as Layer
from planner.sheets.svg import Paint, box_path, line_path
from planner.sheets.text import cut_to, shown, width_of, wrapped
from planner.sheets.views import View

_WIDTH: Final = 11.0
_HEIGHT: Final = 8.5
_LEFT: Final = 0.5
_RIGHT: Final = 0.4
_TOP: Final = 2.0
_FOOT: Final = 0.5
_LINE: Final = LIST_TEXT * 1.28
_AIR: Final = 0.06
_GAP: Final = 0.14
_HEADING: Final = 0.17
_LONGEST: Final = 2.6
"""Inches of the longest bar."""
_THICK: Final = 0.1


@dataclass(frozen=True, slots=True)
class Bar:
    """One mix: its figures, its words, and its bar as a part of the longest."""

    figures: tuple[str, ...]
    words: str
    length: float
    best: bool
    """Stands in bold, with a full bar."""
    on_hand: bool
    """Its bar is green: nothing is to be bought."""


@dataclass(frozen=True, slots=True)
class Group:
    """The mixes of one metal and gauge, and what is to be said of them."""

    heading: str
    bars: tuple[Bar, ...]
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ComparisonPage:
    """The page: three lines below its name, the heads of the figures, groups of bars, sentences at its foot."""

    lines: tuple[tuple[str, bool], tuple[str, bool], tuple[str, bool]]
    head: tuple[str, ...]
    groups: tuple[Group, ...]
    sentences: tuple[str, ...]


def comparison_sheet(page: ComparisonPage) -> str:
    """Draw the page and give its SVG text."""
    canvas = Canvas("estimate", View(False, _LEFT, _TOP, 0, 0), "What to buy", "Figures of the estimator.", {})
    layer = canvas.upright("figures", "Figures")
    y = _TOP
    for number, group in enumerate(page.groups, 1):
        y = _group(layer.group(f"list-mixes-{number}"), page.head, group, y) + 0.2
    y = _sentences(layer, page.sentences, y)
    height = max(_HEIGHT, y + _FOOT)
    canvas.drawing.size(_WIDTH, height)
    canvas.background.path(box_path((0, 0, _WIDTH, height)), Paint(fill=WHITE))
    draw_heading(canvas, Heading("WHAT TO BUY", "the whole day", page.lines), _WIDTH, _LEFT)
    return canvas.drawing.markup()


def _group(layer: Layer, head: tuple[str, ...], group: Group, top: float) -> float:
    room = _WIDTH - _LEFT - _RIGHT
    layer.text(shown(cut_to(group.heading, room, _HEADING, bold=True)), _LEFT, top + 0.2, _HEADING, bold=True)
    layer.path(line_path((_LEFT, top + 0.27, _LEFT + room, top + 0.27)), Paint(BLACK, 0.014))
    ends, at = [], 0.0
    for place, word in enumerate(head):
        at += max(width_of(row, LIST_TEXT, bold=True) for row in (word, *(bar.figures[place] for bar in group.bars)))
        ends.append(at)
        at += _GAP
    y = top + 0.3 + LIST_TEXT + _AIR
    for word, end in zip(head, ends, strict=True):
        if word:
            layer.text(word, _LEFT + end, y, LIST_TEXT * 0.9, anchor="end", fill=GREY)
    start = _LEFT + at
    beyond = start + _LONGEST + _GAP
    for bar in group.bars:
        y += _LINE + _AIR
        for word, end in zip(bar.figures, ends, strict=True):
            layer.text(shown(word), _LEFT + end, y, LIST_TEXT, anchor="end", bold=bar.best, data={"list": "mixes"})
        colour = GREEN if bar.on_hand else BLACK if bar.best else GREY
        box = (start, y - _THICK, max(0.02, _LONGEST * bar.length), _THICK)
        layer.path(box_path(box), Paint(colour, 0.008, fill=colour if bar.best else WHITE))
        lines = wrapped(bar.words, _WIDTH - _RIGHT - beyond, LIST_TEXT, bar.best, most=3)
        for number, line in enumerate(lines):
            layer.text(shown(line), beyond, y + number * _LINE, LIST_TEXT, bold=bar.best, data={"list": "mixes"})
        y += (len(lines) - 1) * _LINE
    return _sentences(layer, group.sentences, y + _AIR)


def _sentences(layer: Layer, sentences: tuple[str, ...], y: float) -> float:
    for sentence in sentences:
        for line in wrapped(sentence, _WIDTH - _LEFT - _RIGHT, LIST_TEXT):
            y += _LINE
            layer.text(shown(line), _LEFT, y, LIST_TEXT, data={"list": "sentences"})
        y += _AIR
    return y
