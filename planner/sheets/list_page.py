"""Pages that are lists: landscape, as wide as letter paper, as long as the list, with rules to hold the print against.

They are read in the hand, so their text is smaller than that of lists beside a drawing.
"""

from __future__ import annotations

from typing import Final

from planner.sheets.canvas import Canvas
from planner.sheets.columns import Columns
from planner.sheets.frame import Heading, draw_heading
from planner.sheets.rules import CHECK, SHORT_CHECK, check_rules
from planner.sheets.style import DESK_TEXT, WHITE
from planner.sheets.svg import Paint, box_path
from planner.sheets.views import View

WIDTH: Final = 11.0
LEAST_HEIGHT: Final = 8.5
LEFT: Final = 1.1
RIGHT: Final = 0.4
TOP: Final = 2.05

_FOOT: Final = 1.5
_RULE_LEFT: Final = 0.5


def list_canvas(name: str, title: str, description: str) -> Canvas:
    """Give the canvas of a page that is a list: no work lies on it."""
    return Canvas(name, View(False, LEFT, TOP, 0, 0), title, description, {})


def list_columns(canvas: Canvas) -> Columns:
    """Give the one column of such a page."""
    layer = canvas.upright("list", "List")
    return Columns(canvas, layer, LEFT, TOP, float("inf"), WIDTH - LEFT - RIGHT, DESK_TEXT)


def finish_page(
    canvas: Canvas, heading: Heading, foot: float, width: float = WIDTH, height: float = LEAST_HEIGHT
) -> str:
    """Settle the size of a page whose list ends at ``foot``, draw what stands round it, and give its text."""
    height = max(height, foot + _FOOT)
    canvas.drawing.size(width, height)
    canvas.background.path(box_path((0, 0, width, height)), Paint(fill=WHITE))
    draw_heading(canvas, heading, width, LEFT)
    layer = canvas.upright("rules", "Check rules")
    level = CHECK if width >= CHECK + 2 * _RULE_LEFT else SHORT_CHECK
    upright = CHECK if height >= TOP + CHECK + _FOOT else SHORT_CHECK
    words = f"Print at 100 %. This rule must measure {level} in, and the upright one {upright} in."
    layer.text(words, _RULE_LEFT, height - 1.02, 0.14)
    check_rules(layer, (_RULE_LEFT, height - 0.55), (_RULE_LEFT + 0.02, TOP), (level, upright))
    return canvas.drawing.markup()
