"""The mounting list: for each way of mounting, which plates, on what block, and where nails go."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Final

from planner.lengths import amount_text, fraction_text
from planner.plan import Plan, PlateRecord, RouterRecord, StepRecord
from planner.sheets.bench import Job, router_jobs, runs_words
from planner.sheets.cautions import mounting_cautions
from planner.sheets.columns import Block, Row
from planner.sheets.desk import LONGEST_NAME, plate_words
from planner.sheets.frame import Heading, haste_words, said, shop_words
from planner.sheets.list_page import finish_page, list_canvas, list_columns
from planner.sheets.text import cut_at, cut_within, tied

NAME: Final = "MOUNTING"

_USE: Final = (
    "Sizes are width x height of the finished plate, in inches, head up. Block: how thick the wood is that brings the "
    "plate to type height. Plates with the same shared block are glued side by side on one piece of wood.",
    "Nail spots: L from the left, B from the bottom edge of the plate as you see it on the metal, head up, in inches.",
)
_STOPS: Final = (0.0, 0.8, 3.7, 4.95, 6.4)
_HEAD: Final = ("flat, no.", "job, plate", "size, in", "block", "edges, nail spots, notes")
_MOST_NAILS: Final = 12
"""Nail spots that are written out; the router's page shows all."""


def mounting_sheet(plan: Plan) -> str:
    """Draw the mounting list of a day."""
    canvas = list_canvas("mounting", "Mounting list", "Plates by the way they are mounted.")
    columns = list_columns(canvas)
    columns.add(said("use", "HOW TO READ THIS LIST", _USE))
    laid = list(_laid(plan))
    rush = {job.number for job in plan.jobs if job.rush}
    nailed = {plate: job for job in router_jobs(plan) for plate in job.record.plates}
    for number, mounting in enumerate(dict.fromkeys(record.mounting for *_, record in laid), start=1):
        mine = [one for one in laid if one[2].mounting == mounting]
        rows = [_row(flat, place, record, nailed.get(record.id), record.job in rush) for flat, place, record in mine]
        heading = f"{cut_at(mounting, 40).upper() or 'NO WORD OF MOUNTING'}: {len(rows)}"
        columns.add(Block(f"mounting-{number}", heading, rows, _STOPS, _HEAD))
    columns.add(_steps(plan))
    columns.add(said("cautions", "CAUTIONS", mounting_cautions({flat.sheet.metal for flat in plan.flats})))
    blocks = sum(record.block is not None for *_, record in laid)
    counts = f"{len(laid)} plate{'s' if len(laid) != 1 else ''}, {blocks} on wood"
    lines = ((counts, True), haste_words(plan.jobs), (shop_words(plan), False))
    return finish_page(canvas, Heading(NAME, "the whole day", lines), columns.foot)


def _laid(plan: Plan) -> Iterator[tuple[int, int, PlateRecord]]:
    """Give every plate that lies on a flat: number of the flat, its own there, and its record."""
    records = {plate.id: plate for plate in plan.plates}
    for flat in plan.flats:
        for place, placement in enumerate(flat.placements, start=1):
            yield flat.number, place, records[placement.plate]


def _row(flat: int, place: int, record: PlateRecord, job: Job | None, rush: bool) -> Row:
    what = f"{'RUSH ' if rush else ''}{cut_within(record.job, LONGEST_NAME)} {plate_words(record)}"
    size = tied(f"{fraction_text(record.width)} x {fraction_text(record.height)}")
    told = [words for words in (_edges(record), "" if job is None else _nails(job), cut_at(record.notes, 80)) if words]
    return Row((f"{flat}, {place}", what, size, _block(record), "; ".join(told)), bold=rush)


def _block(record: PlateRecord) -> str:
    if record.block is None:
        return "none"
    shared = f", shared: {cut_at(record.on_block, 24)}" if record.on_block else ""
    return tied(amount_text(record.block)) + shared


def _edges(record: PlateRecord) -> str:
    """Say what stays round the plate: shoulder and flange by side, each once where all sides are alike."""
    told = []
    for allowance in record.allowances:
        if allowance.kind not in ("flange", "shoulder"):
            continue
        sides = (allowance.left, allowance.right, allowance.bottom, allowance.top)
        if max(sides) <= 0:
            continue
        if max(sides) - min(sides) < 1e-9:
            told.append(f"{allowance.kind} {amount_text(sides[0])}")
            continue
        # Named as the plate reads, not as it lies on the metal.
        named = zip(("left", "right", "bottom", "top"), sides, strict=True)
        parts = ", ".join(f"{side} {fraction_text(width)}" for side, width in named if width > 0)
        told.append(f"{allowance.kind} {parts} in, as it reads")
    return "; ".join(told)


def _nails(job: Job) -> str:
    record: RouterRecord = job.record
    if not record.nails:
        return ""
    # The plate is seen from its printing face: what the record has on the right is on the left.
    seen = sorted((round(y, 6), job.plate.width - x) for x, y in record.nails)
    # Each told on one line: a fraction that is broken off its place names another spot.
    spots = [tied(f"L {fraction_text(across)} B {fraction_text(up)}") for up, across in seen[:_MOST_NAILS]]
    more = f" and {len(record.nails) - len(spots)} more" if len(record.nails) > len(spots) else ""
    count = f"{len(record.nails)} nail spot{'s' if len(record.nails) > 1 else ''}"
    return f"{count}: {', '.join(spots)}{more}"


def _steps(plan: Plan) -> Block:
    """Give what the finisher has to do, flat by flat."""
    rows = []
    for flat in plan.flats:
        numbers = {placement.plate: number for number, placement in enumerate(flat.placements, start=1)}
        rows += [
            Row((f"flat {flat.number}", _step_words(step, numbers))) for step in flat.steps if step.who == "finisher"
        ]
    return Block("steps", "WHAT TO DO", rows, (0.0, 0.85))


def _step_words(step: StepRecord, numbers: dict[str, int]) -> str:
    here = [numbers[plate] for plate in step.plates if plate in numbers]
    plates = f" [plate{'s' if len(here) > 1 else ''} {runs_words(here)}]" if here else ""
    return cut_at(step.words, 400) + plates
