"""A rack as the text of its file: the same rack always as the same bytes."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator
from typing import Final

from planner.rack.history import sealed
from planner.rack.records import FORMAT, Entry, Piece, Rack, exact_worth
from planner.toml_values import size_value, value_text

_HEAD: Final = """\
# What lies on the rack. flatwright plan --rack reads this file and writes it anew.
# Pieces may be added, changed and taken away by hand; the history below them may not.
"""


def rack_text(rack: Rack) -> str:
    """Write a rack as TOML."""
    history = sealed(rack.history)
    lines = [_HEAD + f"format = {json.dumps(FORMAT)}"]
    if rack.currency is not None:
        lines.append(f"currency = {value_text(rack.currency)}")
    if history:
        lines.append(f'seal = "{history[-1].seal}"')
    if not rack.pieces:
        lines.append("pieces = []")
    for piece in rack.pieces:
        lines += ["", "[[pieces]]", *(f"{key} = {value}" for key, value in _values(piece))]
    for entry in history:
        lines += ["", "[[history]]", *_entry(entry)]
    return "\n".join(lines) + "\n"


def _values(piece: Piece) -> Iterator[tuple[str, str]]:
    yield "name", value_text(piece.name)
    yield "metal", value_text(piece.metal)
    yield "gauge", value_text(piece.gauge)
    yield "size", size_value(piece.size)
    worth = exact_worth(piece.worth)
    if worth is not None:
        yield "worth", f'"{worth}"'


def _entry(entry: Entry) -> Iterator[str]:
    for key in ("by", "day", "plan", "onto"):
        value = getattr(entry, key)
        if value:
            yield f"{key} = {value_text(value)}"
    if entry.jobs:
        yield f"jobs = {value_text(entry.jobs)}"
    for key, pieces in (("taken", entry.taken), ("added", entry.added)):
        if pieces:
            yield f"{key} = [\n{_inline(pieces)}]"
    yield f'seal = "{entry.seal}"'


def _inline(pieces: Iterable[Piece]) -> str:
    return "".join(
        "  { " + ", ".join(f"{key} = {value}" for key, value in _values(piece)) + " },\n" for piece in pieces
    )
