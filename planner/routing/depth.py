"""How deep is a piece of dead metal cut away?"""

from __future__ import annotations

from shapely import Polygon

from planner.house import Depths
from planner.plates import OrderedPlate
from planner.routing.records import DepthFor


def depth_of(piece: Polygon, plate: OrderedPlate, depths: Depths) -> tuple[float, DepthFor]:
    """Give the depth in inches below the printing face, and by which of the house's rules.

    Open area is a piece that a disc of the house's width fits into; else the plate's screen decides.
    """
    half = depths.open_width / 2
    narrow = min(piece.bounds[2] - piece.bounds[0], piece.bounds[3] - piece.bounds[1]) < depths.open_width
    if not narrow and not piece.simplify(half / 200).buffer(-half * 0.995, quad_segs=4).is_empty:
        return depths.open, "open"
    return (depths.halftone, "halftone") if plate.screen is not None else (depths.line, "line")
