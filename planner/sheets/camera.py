"""The camera's list: which copies are shot with one focus, and what is to be known of each.

A page for the darkroom: landscape, as wide as letter paper, as long as the list.
"""

from __future__ import annotations

from collections import Counter
from typing import Final

from planner.lengths import amount_text, fraction_text, size_text
from planner.plan import ArtRecord, CameraRecord, CopyRecord, Plan, PlateRecord
from planner.sheets.cautions import camera_cautions
from planner.sheets.columns import Block, Row
from planner.sheets.desk import LONGEST_NAME
from planner.sheets.frame import Heading, haste_words, said, shop_words
from planner.sheets.list_page import finish_page, list_canvas, list_columns
from planner.sheets.text import cut_at, cut_within, tied

NAME: Final = "CAMERA"

_STOPS: Final = (0.0, 1.6, 2.0, 4.35, 5.3, 6.8, 7.5)
_HEAD: Final = ("plates", "film", "copy: file, size", "crop off", "on the plate", "per cent", "to be known")
_MOST_NAMED: Final = 4
"""Names of plates of one copy that are told; of more it is said how many plates there are."""

_USE: Final = (
    "Focus once for each group, then shoot all of its copies. Per cent is linear: 50 makes the image half as wide and "
    "half as high. Sizes are width x height, in inches.",
    "REVERSE: light on dark, what is light prints. TURNED: the image is mirrored, left for right.",
)


def camera_sheet(plan: Plan) -> str:
    """Draw the list of the camera's settings."""
    canvas = list_canvas("camera", "Camera list", "Copies by the focus they share.")
    columns = list_columns(canvas)
    columns.add(said("use", "HOW TO READ THIS LIST", _USE))
    art = {record.id: record for record in plan.art}
    plates = {record.id: record for record in plan.plates}
    rush = {job.number for job in plan.jobs if job.rush}
    for number, setting in enumerate(plan.camera, start=1):
        rows = [_row(copy, art[copy.art], plates, rush) for copy in setting.copies]
        columns.add(Block(f"focus-{number}", _heading(number, setting), rows, _STOPS, _HEAD))
    copies = sum(len(setting.copies) for setting in plan.camera)
    counts = f"{_many(len(plan.camera), 'setting')} of the focus for {_many(copies, 'copy', 'copies')}"
    columns.add(said("cautions", "CAUTIONS", camera_cautions()))
    heading = Heading(NAME, "the whole day", ((counts, True), haste_words(plan.jobs), (shop_words(plan), False)))
    return finish_page(canvas, heading, columns.foot)


def _heading(number: int, setting: CameraRecord) -> str:
    copies = _many(len(setting.copies), "copy", "copies")
    asked = [copy.percentage for copy in setting.copies]
    least, most = per_cent(min(asked)), per_cent(max(asked))
    # Percentages that are told alike are alike to whoever sets the camera.
    more = "" if least == most else f" that ask for {least} to {most}"
    return f"{number}. FOCUS FOR {per_cent(setting.percentage)}: {copies}{more}"


def _row(copy: CopyRecord, art: ArtRecord, plates: dict[str, PlateRecord], rush: set[str]) -> Row:
    told = _plates(copy, plates, rush)
    page = f", page {art.page}" if art.page is not None else ""
    return Row(
        (
            told,
            str(copy.film),
            f"{cut_within(art.file, LONGEST_NAME)}{page}; {tied(size_text(*art.copy_size))}",
            _crop(art),
            size_text(*art.size),
            per_cent(copy.percentage),
            _notes(art),
        ),
        bold=told.startswith("RUSH "),
    )


def _plates(copy: CopyRecord, plates: dict[str, PlateRecord], rush: set[str]) -> str:
    counts: Counter[str] = Counter()
    mine = {plates[name].job for name in copy.plates if name in plates}
    for name in copy.plates:
        record = plates.get(name)
        said_of = name if record is None else f"{record.job} {record.name}"
        if record is not None and record.colour:
            said_of += f", {record.colour}"
        # Copies of one plate have one name.
        counts[cut_at(said_of, LONGEST_NAME)] += 1
    named = list(counts.items())[:_MOST_NAMED]
    told = "; ".join(word + (tied(f" ({count} times)") if count > 1 else "") for word, count in named)
    more = len(copy.plates) - sum(count for _, count in named)
    return ("RUSH " if mine & rush else "") + told + (f"; and {more} more" if more else "")


def _crop(art: ArtRecord) -> str:
    sides = zip(("left", "right", "bottom", "top"), art.crop, strict=True)
    told = [tied(f"{side} {fraction_text(amount)}") for side, amount in sides if amount >= 1 / 128]
    return ", ".join(told) + tied(" in") if told else "none"


def _notes(art: ArtRecord) -> str:
    told = [cut_at(art.kind, 24)]
    if art.light_on_dark:
        told.append("REVERSE")
    if art.mirrored:
        told.append("TURNED")
    told.append(tied(f"threshold {art.threshold * 100:.0f} %"))
    told.append(tied(f"{art.resolution:.0f} to the inch"))
    told.append(f"outline {tied(f'within {amount_text(art.error)}')}")
    return ", ".join(told)


def per_cent(value: float) -> str:
    """Say a percentage as a camera's scale is set: to a tenth, and no more digits than it has."""
    return f"{value:.1f}".removesuffix(".0") + " %"


def _many(count: int, one: str, many: str | None = None) -> str:
    return f"{count} {one if count == 1 else many or one + 's'}"
