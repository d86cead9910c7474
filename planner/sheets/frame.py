"""What stands round the work: the title, the check rules, and the lists in the margin."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from planner.lengths import amount_text, fraction_text
from planner.plan import JobRecord, Plan
from planner.sheets.bench import runs_words
from planner.sheets.canvas import LEFT, TOP, Canvas
from planner.sheets.columns import Block, Columns, Picture, Row
from planner.sheets.desk import LONGEST_NAME, SHORT_NAME, Desk, Noted, plate_size, plate_words
from planner.sheets.marks import SEVERITY_WORDS
from planner.sheets.rules import CHECK, WORDS_DOWN, check_rules, corners, rulers
from planner.sheets.style import BLACK, LIST_TEXT, NAME_TEXT, TITLE_TEXTS, WHITE
from planner.sheets.svg import Paint, box_path
from planner.sheets.text import cut_at, cut_to, cut_within, shown, tied, width_of

BETWEEN: Final = "  \u2014  "
"""Between two things that stand on one line."""

TRUE_SIZE: Final = "TRUE SIZE"

CORNER_HEAD: Final = ("left, in", "bottom, in")
"""Of a list of plates: how far a lower left corner lies from these edges, as seen on the sheet."""
CORNER_STOPS: Final = (0.0, 0.42, 4.1, 4.95)

_RIGHT: Final = 0.4
_OVER: Final = 0.2
"""Of a column: so little over is no column of its own."""
_SLACK: Final = 0.7
"""Inches that a column may stay short, as no row is broken."""
_STEPS: Final = 8
"""Heights that are tried."""
_FOOT: Final = 1.75
_JOBS: Final = 1.45
"""Width of the column with the numbers of jobs."""
_BETWEEN: Final = 0.85
"""Between the metal and the lists: room for the marks of cuts that run off the edge."""


@dataclass(frozen=True, slots=True)
class Heading:
    """What a sheet says at its head: the view, of what it is; then what, how urgent, and whose, each bold or not."""

    name: str
    place: str
    lines: tuple[tuple[str, bool], tuple[str, bool], tuple[str, bool]]


def flat_heading(desk: Desk, name: str, scale: str = TRUE_SIZE) -> Heading:
    """Give the heading of a sheet about a whole flat."""
    plan, flat = desk.plan, desk.flat
    what = f"Flat {flat.number} of {len(plan.flats)}{BETWEEN}{desk.sheet_words()}{BETWEEN}{scale}"
    urgency = urgency_words(desk.findings, desk.jobs_here)
    return Heading(name, f"flat {flat.number}", ((what, True), urgency, (shop_words(plan), False)))


def urgency_words(findings: Sequence[Noted], jobs: Sequence[JobRecord]) -> tuple[str, bool]:
    """Say which findings must be cured first, and after them what haste there is; and whether any of it is urgent."""
    stops = [noted.number for noted in findings if noted.record.severity == "stop"]
    haste, urgent = haste_words(jobs)
    if not stops:
        return haste, urgent
    stop = f"STOP: finding{'s' if len(stops) > 1 else ''} {runs_words(stops)}"
    return BETWEEN.join(words for words in (stop, haste) if words), True


def shop_words(plan: Plan) -> str:
    """Say whose day it is."""
    words = cut_at(plan.settings.house, 60), cut_at(plan.title, 90)
    return BETWEEN.join(word for word in words if word)


def haste_words(jobs: Sequence[JobRecord]) -> tuple[str, bool]:
    """Say which jobs are in a rush and when the first is due, and whether that is urgent."""
    rush = [cut_within(job.number, SHORT_NAME) for job in jobs if job.rush]
    times = sorted(_time(job.due) for job in jobs if job.due is not None)
    haste = [f"RUSH: {', '.join(rush)}"] if rush else []
    first = [f"first plates due {times[0]}"] if times else []
    return BETWEEN.join([*haste, *first]), bool(rush)


def draw_frame(
    canvas: Canvas,
    heading: Heading,
    blocks: Sequence[Block | Picture],
    *,
    zero: tuple[float, float] | None = None,
) -> None:
    """Draw the frame about the work that is on the canvas, and settle the size of the page.

    The rulers count from the corner of the metal seen at the lower left, and the corners of the metal are lettered; or
    they count from ``zero``, a place of the layout, and no corner has a letter.
    """
    view = canvas.view
    layer = canvas.upright("frame", "Title, legend, rules")
    work_height = max(view.page_height, CHECK + 0.4)
    left = LEFT + max(view.page_width, CHECK + 0.3) + _BETWEEN
    columns = Columns(canvas, layer, left, TOP - 0.55, work_height + _FOOT - 0.1)
    _heighten(columns, blocks)
    for block in blocks:
        columns.add(block)
    width, height = columns.right + _RIGHT, max(TOP + work_height + _FOOT, columns.top + columns.height + 0.2)
    canvas.drawing.size(width, height)
    canvas.background.path(box_path((0, 0, width, height)), Paint(fill=WHITE))
    rulers(layer, view, zero)
    if zero is None:
        corners(layer, view)
    draw_heading(canvas, heading, width)
    foot = TOP + work_height + 1.3
    layer.text("Print at 100 %. This rule must measure 10 in, and so must the upright one.", LEFT, foot - 0.4, 0.15)
    check_rules(layer, (LEFT, foot), (0.45, TOP), words_down=_words_down(view.page_height))


def _words_down(height: float) -> float:
    """Give a place for the words of the upright check rule off the letter at the lower corner of the metal."""
    letter = height + 0.3
    return WORDS_DOWN if abs(letter - (WORDS_DOWN - 0.5)) > 1 else WORDS_DOWN + 2


def _heighten(columns: Columns, blocks: Sequence[Block | Picture]) -> None:
    """Make a page higher by a little that is over, rather than wider by a column that is all but empty."""
    usual, count = columns.height, columns.counted(blocks)
    if count == 1:
        return
    most = usual * _OVER / (count - 1) + _SLACK
    for step in range(1, _STEPS + 1):
        columns.height = usual + most * step / _STEPS
        if columns.counted(blocks) < count:
            return
    columns.height = usual


def draw_heading(canvas: Canvas, heading: Heading, width: float, left: float = LEFT) -> None:
    """Draw what stands at the head of a page of this width."""
    layer = canvas.upright("title", "Title")
    room = width - left - _RIGHT
    name, place = heading.name, heading.place
    # White on black only on the metal's side: nobody takes one sheet for the other, in print without colour either.
    ground, ink = (BLACK, WHITE) if canvas.view.mirrored else (WHITE, BLACK)
    layer.path(box_path((left, 0.3, room, 0.66)), Paint(BLACK, 0.03, fill=ground))
    if room > width_of(name, NAME_TEXT, True) + width_of(place, NAME_TEXT, True) + 1:
        layer.text(place, left + room - 0.2, 0.8, NAME_TEXT, anchor="end", bold=True, fill=ink, data={"part": "flat"})
    shortened = shown(cut_to(name, room - 0.4, NAME_TEXT, bold=True))
    layer.text(shortened, left + 0.2, 0.8, NAME_TEXT, bold=True, fill=ink, data={"part": "view-name"})
    said_of = [(words, bold, size) for (words, bold), size in zip(heading.lines, TITLE_TEXTS, strict=True) if words]
    for (words, bold, size), y in zip(said_of, (1.24, 1.52, 1.79), strict=False):
        line = shown(cut_to(words, room, size, bold))
        layer.text(line, left, y, size, bold=bold, data={"part": "title"})


def said(name: str, heading: str, sentences: Sequence[str]) -> Block:
    """Give a block of sentences; one whose first word is in capitals stands out."""
    return Block(name, heading, [Row((sentence,), bold=sentence[:3].isupper()) for sentence in sentences])


def legend(canvas: Canvas) -> Block:
    """Give the legend: every kind that was drawn, and no other."""
    rows = [Row((words,), swatch=kind) for kind, words in canvas.used()]
    return Block("legend", "LEGEND", rows, (0.75,))


def jobs_list(desk: Desk) -> Block:
    """Give the jobs of the flat: for whom, until when, and what else was said of them; those in a rush stand out."""
    rows = []
    for job in desk.jobs_here:
        due = f"due {_time(job.due)}" if job.due is not None else ""
        said_of = (cut_at(job.customer or "", 80), due, cut_at(job.notes, 200))
        words = "; ".join(part for part in said_of if part)
        number = ("RUSH " if job.rush else "") + cut_at(job.number, 80)
        # A number that is too long for its column goes before the words.
        narrow = width_of(number, LIST_TEXT, job.rush) <= _JOBS - 0.1
        cells = (number, words) if narrow else ("", f"{number}: {words}" if words else number)
        rows.append(Row(cells, bold=job.rush))
    return Block("jobs", "JOBS ON THIS FLAT", rows, (0.0, _JOBS))


def _time(moment: datetime) -> str:
    return moment.strftime("%Y-%m-%d %H:%M")


def findings_list(findings: Sequence[Noted]) -> Block:
    """Give the list that the finding marks are keyed to."""
    rows = []
    for noted in findings:
        record = noted.record
        where = f", plate {noted.plate}" if noted.plate else "" if record.flat is not None else ", whole day"
        word = SEVERITY_WORDS[record.severity].split(":")[0]
        words = f"{word}{where}: {cut_at(record.message, 300)} [{cut_at(record.code, 40)}]"
        rows.append(Row((words,), symbol=(record.severity, str(noted.number))))
        if record.cure:
            rows.append(Row((f"Cure: {cut_at(record.cure, 300)}",), follows=True))
    severities = dict.fromkeys(noted.record.severity for noted in findings)
    keys = [Row((f"{_SHAPES[severity]}, {SEVERITY_WORDS[severity]}",)) for severity in severities]
    return Block("findings", "FINDINGS", [*rows, *keys], (0.45,))


_SHAPES: Final = {"stop": "Black octagon", "warn": "Triangle", "note": "Diamond"}


def plates_list(desk: Desk, mirrored: bool) -> Block:
    """Give the list of all plates of the flat, keyed by number."""
    rows = []
    for number, placement, record in desk.numbered:
        x, y, width, _ = desk.box_of(placement)
        across = desk.flat.sheet.width - x - width if mirrored else x
        what = f"{cut_within(record.job, LONGEST_NAME)} {plate_words(record)}"
        notes = f"; {cut_at(record.notes, 80)}" if record.notes.strip() else ""
        block = f", {tied(f'block {amount_text(record.block)}')}" if mirrored and record.block is not None else ""
        cells = (
            str(number),
            f"{what}, {plate_size(placement, record, mirrored)}, {cut_at(record.mounting, 20)}{block}{notes}",
            fraction_text(across),
            fraction_text(y),
        )
        rows.append(Row(cells))
    return Block(
        "plates",
        f"PLATES ON THIS FLAT: {len(rows)}",
        rows,
        CORNER_STOPS,
        ("No.", "job, plate, size, mounting", *CORNER_HEAD),
    )


def tints_list(desk: Desk) -> Block:
    """Give the list that the tint keys refer to."""
    rows = [Row((f"T{place}", cut_at(name, 80))) for place, name in enumerate(desk.patterns, start=1)]
    return Block("tints", "TINT PATTERNS", rows, (0.0, 0.5))
