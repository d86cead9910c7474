"""How is art written on a sheet: with no more corners and no finer units than an eye can see?

The plan keeps what prints with all its detail, for whoever measures; on paper a corner is seen from `UNSEEN` on.
"""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Final

import numpy as np
import shapely
from numpy.typing import NDArray

from planner.geometry import subpath
from planner.sheets.looking import UNSEEN

UNIT: Final = 1 / 4000
"""Inches; of the paths on sheets."""

_SUBPATH: Final = re.compile(r"M(-?\d+) (-?\d+)l((?: ?-?\d+)+)z")
_NUMBER: Final = re.compile(r"-?\d+")


@lru_cache(maxsize=256)
def drawn_path(path: str, unit: float) -> tuple[str, float]:
    """Give the path that a sheet shows for a plan's path of art, and its unit in inches.

    The plan's path is of M, l and z in whole units; any other is given back as it is.
    """
    rings = _rings(path)
    if rings is None:
        return path, unit
    owners = np.repeat(np.arange(len(rings)), [len(ring) for ring in rings])
    thin = shapely.simplify(
        shapely.linestrings(np.concatenate(rings) * unit, indices=owners), UNSEEN, preserve_topology=False
    )
    coordinates, owners = shapely.get_coordinates(thin, return_index=True)
    points = np.rint(coordinates / UNIT).astype(np.int64)
    parts = np.split(points, np.flatnonzero(np.diff(owners)) + 1)
    written = [subpath(part) for part in parts]
    # A dot that would vanish stays as it is: it is there to be seen.
    kept = [
        text or subpath(np.rint(ring * unit / UNIT).astype(np.int64)) for text, ring in zip(written, rings, strict=True)
    ]
    return "".join(kept), UNIT


def _rings(path: str) -> list[NDArray[np.int64]] | None:
    """The closed rings of a path; None where it is not of the plan's kind."""
    rings = []
    end = 0
    for found in _SUBPATH.finditer(path):
        if found.start() != end:
            return None
        end = found.end()
        steps = np.array(_NUMBER.findall(found[3]), dtype=np.int64)
        if len(steps) % 2 or len(steps) < 4:
            return None
        start = np.array([[int(found[1]), int(found[2])]], dtype=np.int64)
        corners = np.cumsum(np.concatenate((start, steps.reshape(-1, 2))), axis=0)
        rings.append(np.concatenate((corners, start)))
    return rings if rings and end == len(path) else None
