"""Which offcuts of a day go back on the rack, what is each called, and where is it cut?

An offcut's name is the day's, the flat's number and a letter, like ``monday-3a``: the largest of a flat is ``a``.
A name stays with its piece of metal when late jobs are laid into the plan.
"""

from __future__ import annotations

import itertools
import re
import string
import unicodedata
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import Final

from planner.geometry import shape_of
from planner.plan import Box, Flat, OffcutRecord

_LONGEST: Final = 24
"""Letters of the day's part of a name: it is written on metal."""


def slug_of(day: str) -> str:
    """Give the day's part of its offcuts' names: small letters of the Latin alphabet, figures and dashes."""
    plain = unicodedata.normalize("NFKD", day).encode("ascii", "ignore").decode().lower()
    slug = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")
    return slug[:_LONGEST].rstrip("-") or "day"


def named_offcuts(
    flats: Iterable[Flat], slug: str, known: Sequence[OffcutRecord] = (), others: Collection[str] = ()
) -> tuple[OffcutRecord, ...]:
    """Name the offcuts of flats, the largest of a flat first; those that are ``known`` keep their names.

    No new one bears a name of a known one or of ``others``.
    """
    names = {(offcut.flat, offcut.box): offcut.name for offcut in known}
    taken = {offcut.name for offcut in known} | set(others)
    records: list[OffcutRecord] = []
    for flat in flats:
        free = (name for letters in _letters() if (name := f"{slug}-{flat.number}{letters}") not in taken)
        for box, cut in sorted(offcuts_of(flat), key=lambda found: (-found[0][2] * found[0][3], found[0])):
            name = names.get((flat.number, box)) or next(free)
            records.append(OffcutRecord(name=name, flat=flat.number, box=box, after_cut=cut))
    return tuple(records)


def offcuts_of(flat: Flat) -> Iterator[tuple[Box, int | None]]:
    """Give every offcut of a flat as its box and the number of the cut that frees it."""
    for part in flat.cut_tree:
        for place in (part.low, part.high):
            if place is not None and flat.cut_tree[place].use == "offcut":
                yield flat.cut_tree[place].box, part.number
    for rest in flat.rest:
        if rest.use == "offcut":
            left, bottom, right, top = shape_of(rest.shape).bounds
            yield (left, bottom, right - left, top - bottom), None


def _letters() -> Iterator[str]:
    """Give a, b, ... z, aa, ab, and so on."""
    for length in itertools.count(1):
        for letters in itertools.product(string.ascii_lowercase, repeat=length):
            yield "".join(letters)
