"""What house rules add to a sheet: their marks, each layer as one, and the steps of those who work from it."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import pairwise
from typing import Final

from planner.plan import MarkRecord, Person, Ring, StepRecord
from planner.sheets.bench import runs_words
from planner.sheets.canvas import Canvas
from planner.sheets.columns import Block, Row
from planner.sheets.desk import Desk
from planner.sheets.ground import Ground
from planner.sheets.labels import Places, fitted
from planner.sheets.style import BLACK, GREEN, PURPLE, Hatch, Look
from planner.sheets.svg import Group, Paint, circle_path, line_path, shape_path
from planner.sheets.text import cut_at

_ARM: Final = 1 / 8
"""Inches from the middle of a register cross to its ends."""

_TEXT: Final = 0.14
_LONGEST: Final = 90

_LINES: Final = (
    Paint(PURPLE, 0.012, (0.1, 0.03, 0.03, 0.03)),
    Paint(GREEN, 0.012, (0.2, 0.06)),
    Paint(PURPLE, 0.012, (0.05, 0.03)),
    Paint(GREEN, 0.012, (0.1, 0.03, 0.03, 0.03, 0.03, 0.03)),
)
_AREAS: Final = (
    Hatch(0.2, (20,), 0.006, colour=PURPLE),
    Hatch(0.2, (160,), 0.006, colour=GREEN),
    Hatch(0.2, (70,), 0.006, colour=PURPLE, dash=(0.08, 0.04)),
    Hatch(0.2, (110,), 0.006, colour=GREEN, dash=(0.08, 0.04)),
)

ON_SHEET: Final[dict[str, tuple[Person, ...]]] = {
    "stripper": ("stripper", "etcher"),
    "metal": ("shear hand", "finisher", "prover"),
    "router": ("router",),
    "shear": ("shear hand",),
}
"""Whose steps stand on which of a flat's own sheets."""


def mark_looks(desk: Desk, sheet: str) -> dict[str, Look]:
    """Give the looks of the marks on a sheet: one for each layer, kind and meaning, told apart by line or hatch."""
    looks: dict[str, Look] = {}
    counts = {"line": 0, "area": 0}
    for mark in _marks(desk, sheet):
        name = _kind(desk, sheet, mark)
        if name in looks or mark.kind == "text":
            continue
        if mark.kind == "line":
            look = Look(cut_at(mark.words, _LONGEST), _LINES[counts["line"] % len(_LINES)], line=True)
        elif mark.kind == "area":
            hatch = _AREAS[counts["area"] % len(_AREAS)]
            look = Look(cut_at(mark.words, _LONGEST), Paint(hatch.colour, 0.008), hatch)
        else:
            look = Look(cut_at(mark.words, _LONGEST), Paint(BLACK, 0.01), ring=True, cross=True)
        counts[mark.kind] = counts.get(mark.kind, 0) + 1
        looks[name] = look
    return looks


def draw_marks(canvas: Canvas, desk: Desk, sheet: str) -> None:
    """Draw the marks of a sheet in their layers; words are written by `write_marks`."""
    layers: dict[str, Group] = {}
    for mark in _marks(desk, sheet):
        if mark.kind == "text":
            continue
        if mark.layer not in layers:
            layers[mark.layer] = canvas.layer(f"rule-{len(layers) + 1}", cut_at(mark.layer, _LONGEST))
        canvas.draw(layers[mark.layer], _kind(desk, sheet, mark), _path(mark), mark.plate, {"rule": mark.rule})


def bar_crosses(ground: Ground, canvas: Canvas, desk: Desk, sheet: str) -> None:
    """Let no label lie on a cross of a sheet: it is what the next thing is laid by."""
    for mark in _marks(desk, sheet):
        if mark.kind not in ("text", "line", "area"):
            crosses = [(x - _ARM, y, x + _ARM, y) for ((x, y), *_) in mark.lines]
            ground.bar_lines(canvas.view, [*crosses, *((x, y - _ARM, x, y + _ARM) for ((x, y), *_) in mark.lines)])


def write_marks(canvas: Canvas, desk: Desk, sheet: str, group: Group, places: Places, ground: Ground) -> None:
    """Write the words of a sheet's marks beside their points, where there is room."""
    for mark in _marks(desk, sheet):
        if mark.kind != "text":
            continue
        for line in mark.lines:
            x, y = canvas.view.on_page(*line[0])
            room = (x - 1.5, y - 0.3, 3.0, 0.6)
            label = fitted(room, [[(cut_at(mark.words, _LONGEST), False)]], places, ground=ground, largest=_TEXT)
            if label is not None:
                label.draw(group, {"rule": mark.rule})


def _path(mark: MarkRecord) -> str:
    if mark.kind == "area":
        return shape_path(mark.area)
    if mark.kind == "line":
        return line_path(*(piece for line in mark.lines for piece in _pieces(line)))
    return " ".join(_cross(*line[0]) for line in mark.lines)


def _pieces(line: Ring) -> Iterable[tuple[float, float, float, float]]:
    return ((*start, *end) for start, end in pairwise(line))


def _cross(x: float, y: float) -> str:
    arms = line_path((x - _ARM, y, x + _ARM, y), (x, y - _ARM, x, y + _ARM))
    return f"{arms} {circle_path(x, y, _ARM / 2)}"


def _marks(desk: Desk, sheet: str) -> list[MarkRecord]:
    return [mark for mark in desk.flat.marks if sheet in mark.sheets]


def _kind(desk: Desk, sheet: str, mark: MarkRecord) -> str:
    """What the legend keys a mark by: marks of a layer that mean the same look the same."""
    known = list(dict.fromkeys((one.layer, one.kind, one.words) for one in _marks(desk, sheet)))
    return f"rule-mark-{known.index((mark.layer, mark.kind, mark.words)) + 1}"


def people_on_metal(has_router: bool, has_tint: bool) -> tuple[Person, ...]:
    """Whose steps stand on the metal sheet: also those of people who have no sheet of their own on this flat."""
    more: tuple[Person, ...] = (*(() if has_router else ("router",)), *(() if has_tint else ("tint hand",)))
    return (*ON_SHEET["metal"], *more)


def steps_list(desk: Desk, people: Collection[Person]) -> Block:
    """Give the steps of these people on this flat, one after the other."""
    steps = [step for step in desk.flat.steps if step.who in people]
    rows = [Row((str(number), _words(step, desk.numbers))) for number, step in enumerate(steps, start=1)]
    return Block("steps", "WHAT TO DO", rows, (0.0, 0.42))


def _words(step: StepRecord, numbers: Mapping[str, int]) -> str:
    here: Sequence[int] = [numbers[plate] for plate in step.plates if plate in numbers]
    plates = f" [plate{'s' if len(here) > 1 else ''} {runs_words(here)}]" if here else ""
    return f"{step.who.capitalize()}: {cut_at(step.words, 400)}{plates}"
