"""What to fetch from the rack for a day, and which offcuts to cut and keep, as a page to be printed."""

from __future__ import annotations

from decimal import Decimal

from planner.house import House
from planner.lengths import length_text, size_text
from planner.plan import OffcutRecord, Plan, SheetRecord
from planner.rack.days import flats_from_rack
from planner.rack.records import Entry, Piece
from planner.sheets.estimate import Page, Table

_ADVICE = (
    "Write its name on every piece that is kept, as soon as it is cut off. Left and below are meant as the metal is "
    "seen, like on its sheet."
)


def rack_page(plan: Plan, day: str, entry: Entry, house: House) -> Page:
    """Give the page of a day's rack; ``entry`` is what the rack's history says of the day."""
    fetched = {flat.sheet.name: flat for flat in flats_from_rack(plan)}
    fetch = [
        (name, f"{flat.sheet.metal} {size_text(flat.sheet.width, flat.sheet.height)}", f"{flat.sheet.gauge:.4g} in",
         str(flat.number), flat.sheet.price or "-")
        for name, flat in fetched.items()
    ]  # fmt: skip
    flats = {flat.number: flat for flat in plan.flats}
    pieces = {piece.name: piece for piece in entry.added}
    keep = [_kept(offcut, pieces.get(offcut.name), flats[offcut.flat].sheet) for offcut in plan.offcuts]
    cut_up = [piece.name for piece in entry.taken if piece.name not in fetched]
    sentences = [_ADVICE] if keep else []
    if cut_up:
        sentences.insert(0, f"Cut up for late jobs, and on the rack no more: {', '.join(cut_up)}.")
    worth = sum((piece.worth for piece in entry.added if piece.worth is not None), Decimal(0))
    words = f"{len(fetch)} to fetch, {len(keep)} to keep"
    return Page(
        name="THE RACK", place="the whole day",
        lines=(
            (words, True),
            (f"offcuts that are new: {house.prices.currency} {worth:,.2f} of metal" if worth else "", False),
            ("  \u2014  ".join(word for word in (house.name, day) if word), False),
        ),
        tables=(
            Table("fetch", "TAKE FROM THE RACK", ("piece", "metal", "gauge", "for flat", "counts for"), tuple(fetch),
                  words=2),
            Table("keep", "CUT AND KEEP", ("name", "metal", "flat", "from left", "from below", "after cut", "worth"),
                  tuple(keep), words=2),
        ),
        sentences=tuple(sentences), width=8.5, height=11.0,
    )  # fmt: skip


def _kept(offcut: OffcutRecord, piece: Piece | None, sheet: SheetRecord) -> tuple[str, ...]:
    x, y, width, height = offcut.box
    return (
        offcut.name, f"{sheet.metal} {size_text(width, height)}", str(offcut.flat),
        length_text(sheet.width - x - width), length_text(y),
        "sawn out" if offcut.after_cut is None else str(offcut.after_cut),
        "-" if piece is None or piece.worth is None else f"{piece.worth:,.2f}",
    )  # fmt: skip
