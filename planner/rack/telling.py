"""The rack told: what lies there, what a day did to it, and its history; as text, and as JSON for other programs.

Keys of the JSON (``name[]`` is a list, ``name{}`` a table whose keys are names of the day):

    .: format rack currency changed_by_hand pieces[] history[]
    .pieces: PIECE
    .history: by day plan onto jobs[] taken[] added[]
    .history.taken: PIECE
    .history.added: PIECE

PIECE is name metal gauge size[] area weight worth; inches, pounds, and a text of a decimal.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any, Final

from planner.lengths import size_text
from planner.metals import weight_of
from planner.rack.days import Day, Kept
from planner.rack.records import Entry, Piece, Rack, exact_worth

FORMAT: Final = "flatwright rack list 1"
_HEAD: Final = ("piece", "metal", "gauge", "size", "sq in", "lb", "worth")


def rack_lines(rack: Rack, history: bool) -> Iterator[str]:
    """Give a rack as a table, metal by metal, with its history if that is wanted."""
    if not rack.pieces:
        yield "The rack is empty."
    else:
        rows = [_HEAD, *(_row(piece) for piece in rack.pieces), *_sums(rack.pieces)]
        widths = [max(len(row[column]) for row in rows) for column in range(len(_HEAD))]
        for row in rows:
            words = [row[column].ljust(widths[column]) for column in range(4)]
            yield "  ".join([*words, *(row[column].rjust(widths[column]) for column in range(4, 7))]).rstrip()
    if rack.by_hand:
        yield f"Changed by hand since it was last written: {_did(rack.history[-1])}."
    if history:
        yield "History:"
        yield from (f"  {number}. {entry.who}: {_did(entry)}{_plan(entry)}"
                    for number, entry in enumerate(rack.history, 1))  # fmt: skip


def rack_table(rack: Rack) -> dict[str, Any]:
    """Give the same as plain data; the keys never vary."""
    return {
        "format": FORMAT,
        "rack": rack.source,
        "currency": rack.currency,
        "changed_by_hand": rack.by_hand,
        "pieces": [_piece(piece) for piece in rack.pieces],
        "history": [
            {
                "by": entry.by,
                "day": entry.day,
                "plan": entry.plan,
                "onto": entry.onto,
                "jobs": list(entry.jobs),
                "taken": [_piece(piece) for piece in entry.taken],
                "added": [_piece(piece) for piece in entry.added],
            }
            for entry in rack.history
        ],
    }


def day_lines(path: Path, day: Day, kept: Kept) -> Iterator[str]:
    """Say what a day did to the rack."""
    begun = "begun: " if kept.rack.digest is None else ""
    again = " (it was planned before; that is taken back)" if day.replaced else ""
    there = _pieces(len(kept.rack.pieces))
    yield f'Rack {path}: {begun}"{kept.entry.who}"{again} {_did(kept.entry)}; {there} on it now'
    if kept.rack.by_hand:
        hand = next(entry for entry in reversed(kept.rack.history) if entry.by == "hand")
        yield f"  changed by hand before: {_did(hand)}"


def _row(piece: Piece) -> tuple[str, ...]:
    return (
        piece.name, piece.metal, f"{piece.gauge:.4g} in",
        size_text(*piece.size), f"{piece.area:.1f}", f"{_weight(piece):.2f}", exact_worth(piece.worth) or "-",
    )  # fmt: skip


def _sums(pieces: Iterable[Piece]) -> Iterator[tuple[str, ...]]:
    by_metal: dict[str, list[Piece]] = {}
    for piece in pieces:
        by_metal.setdefault(piece.metal, []).append(piece)
    for metal, own in by_metal.items():
        worths = [piece.worth for piece in own if piece.worth is not None]
        area, weight = sum(piece.area for piece in own), sum(_weight(piece) for piece in own)
        worth = f"{sum(worths, Decimal(0)):f}" if worths else "-"
        yield f"all {metal}", _pieces(len(own)), "", "", f"{area:.1f}", f"{weight:.2f}", worth


def _weight(piece: Piece) -> float:
    return weight_of(piece.metal, piece.area, piece.gauge)


def _did(entry: Entry) -> str:
    took = ", ".join(piece.name for piece in entry.taken)
    gave = ", ".join(piece.name for piece in entry.added)
    return f"took {took or 'nothing'}, added {gave or 'nothing'}"


def _plan(entry: Entry) -> str:
    return f" (plan {entry.plan}, jobs {', '.join(entry.jobs)})" if entry.plan else ""


def _piece(piece: Piece) -> dict[str, Any]:
    return {
        "name": piece.name,
        "metal": piece.metal,
        "gauge": piece.gauge,
        "size": list(piece.size),
        "area": piece.area,
        "weight": round(_weight(piece), 4),
        "worth": exact_worth(piece.worth),
    }


def _pieces(count: int) -> str:
    return f"{count} piece{'' if count == 1 else 's'}"
