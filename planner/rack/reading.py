"""From a rack file to a rack: its tables checked, its history tried, changes by hand noted."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from planner.forms import checked
from planner.rack.history import with_hand_changes
from planner.rack.records import Rack, RackForm
from planner.reading import read_tables


def read_rack(path: Path) -> Rack:
    """Read and check a rack file; where there is none, an empty rack is begun.

    Raises:
        InputError: with every problem in the file.
    """
    before = digest_of(path)
    if before is None and not path.exists():
        return Rack(str(path), None, (), ())
    form = rack_from(read_tables(path), str(path))
    return with_hand_changes(form, str(path), before)


def rack_from(tables: Mapping[str, Any], source: str) -> RackForm:
    """Check the tables of a rack file; ``source`` names the file in messages.

    Raises:
        InputError: with every problem in the tables.
    """
    return checked(RackForm, tables, source, _place)


def digest_of(path: Path) -> str | None:
    """Give the digest of a file's bytes; None if it cannot be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError:
        return None


def _place(keys: tuple[int | str, ...]) -> str:
    """Say where a key stands: piece 2, key "size"; or entry 3 of the history, piece 1 of "taken", key "size"."""
    words, steps = [], [int(key) if isinstance(key, str) and key.isdigit() else key for key in keys]
    if len(steps) > 1 and isinstance(steps[1], int):
        words.append(f"piece {steps[1] + 1}" if steps[0] == "pieces" else f"entry {steps[1] + 1} of the history")
        steps = steps[2:]
    if len(steps) > 1 and isinstance(steps[1], int):
        words.append(f'piece {steps[1] + 1} of "{steps[0]}"')
        steps = steps[2:]
    if steps:
        words.append('key "' + ".".join(str(step) for step in steps) + '"')
    return ", ".join(words)
