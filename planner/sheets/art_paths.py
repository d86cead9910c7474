"""How is art written on a sheet: with no more corners and no finer units than an eye can see?

The plan keeps what prints with all its detail, for whoever measures; on paper a corner is seen from `UNSEEN` on.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Final

import numpy as np
import shapely

from planner.paths import rings_of, subpath
from planner.sheets.looking import UNSEEN

UNIT: Final = 1 / 4000
"""Inches; of the paths on sheets."""


@lru_cache(maxsize=256)
def drawn_path(path: str, unit: float) -> tuple[str, float]:
    """Give the path that a sheet shows for a plan's path of art, and its unit in inches.

    The plan's path is of M, l and z in whole units; any other is given back as it is.
    """
    rings = rings_of(path)
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
