"""Which tiles of a sheet need no page? Those with nothing on them that the tiles beside them do not show as well.

What is there is looked at on the converted pages, as they will be printed. A tile is left out only where that tears
nothing apart: those that are printed still hang together, edge to edge, so that the sheet can be joined.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import replace
from importlib import import_module
from typing import Any, Final

import numpy as np
from numpy.typing import NDArray

from planner.paper.tiling import Tile, Tiling

_DOTS: Final = 24
"""To the inch. A line is drawn a dot wide at least, however fine it is, so that none is missed."""
_PAPER: Final = 255

Ink = NDArray[np.bool_]
"""Where anything is drawn, by rows from the top; dots as above."""


def ink_of(layers: bytes) -> Ink:
    """Give where any page of a PDF has anything on it; its pages are of one size, and are laid on each other."""
    pypdfium2: Any = import_module("pypdfium2")  # it ships no type information
    drawn = [
        page.render(scale=_DOTS / 72, grayscale=True).to_numpy() < _PAPER for page in pypdfium2.PdfDocument(layers)
    ]
    ink: Ink = np.any(drawn, axis=0)
    return ink


def without_blanks(tiling: Tiling, ink: Ink) -> Tiling:
    """Leave out the tiles that show nothing of their own, and that no other needs to be joined to the rest."""
    shown = np.zeros(ink.shape, dtype=np.int32)
    for tile in tiling.tiles:
        shown[_within(tiling, tile, ink)] += 1
    kept = {(tile.column, tile.row): tile for tile in tiling.tiles}

    def idle(tile: Tile) -> bool:
        place, inner = _around(tiling, tile), _within(tiling, tile, ink)
        shown[inner] -= 1
        alone = bool((ink[place] & (shown[place] == 0)).any())
        shown[inner] += 1
        return not alone and _hangs(kept.keys() - {(tile.column, tile.row)})

    # One by one, as each may be what another hangs on.
    while found := next((tile for tile in kept.values() if idle(tile)), None):
        shown[_within(tiling, found, ink)] -= 1
        del kept[found.column, found.row]
    return replace(tiling, left_out=frozenset(tile.name for tile in tiling.tiles if tile not in kept.values()))


def _around(tiling: Tiling, tile: Tile) -> tuple[slice, slice]:
    """Rows and columns of the dots that what lies on a tile may have blackened."""
    across, down = (_DOTS / part for part in tiling.stretch)
    return (
        slice(max(0, math.floor(tile.y * down) - 1), math.ceil((tile.y + tile.height) * down) + 1),
        slice(max(0, math.floor(tile.x * across) - 1), math.ceil((tile.x + tile.width) * across) + 1),
    )


def _within(tiling: Tiling, tile: Tile, ink: Ink) -> tuple[slice, slice]:
    """Rows and columns of the dots that were blackened by what lies on a tile for certain."""
    across, down = (_DOTS / part for part in tiling.stretch)
    first, last = (tile.column == 0, tile.row == 0), (tile.column + 1 == tiling.columns, tile.row + 1 == tiling.rows)
    return (
        slice(
            0 if first[1] else math.ceil(tile.y * down) + 1,
            ink.shape[0] if last[1] else math.floor((tile.y + tile.height) * down) - 1,
        ),
        slice(
            0 if first[0] else math.ceil(tile.x * across) + 1,
            ink.shape[1] if last[0] else math.floor((tile.x + tile.width) * across) - 1,
        ),
    )


def _hangs(places: Iterable[tuple[int, int]]) -> bool:
    """Whether tiles at these places are one piece, joined along their edges; nothing at all is none."""
    waiting = set(places)
    if not waiting:
        return False
    near = [waiting.pop()]
    while near:
        column, row = near.pop()
        beside = {(column + 1, row), (column - 1, row), (column, row + 1), (column, row - 1)} & waiting
        waiting -= beside
        near += beside
    return not waiting
