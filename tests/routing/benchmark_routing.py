"""Seconds in the router's room, stage by stage, and travel against always going to the nearest path next.

Run: python -m tests.routing.benchmark_routing. Figures are printed, never asserted.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import shapely
from shapely.geometry import MultiPolygon

from planner.house import house_from
from planner.routing import router_work
from planner.routing.near import stretches_near
from planner.routing.paths import ways_for
from planner.routing.runs import Limit, runs_of
from planner.routing.zones import metal_of, shares_of

from .synthetic import a_drawing, a_page, a_silhouette, plate_of

PLATES: dict[str, Callable[[], MultiPolygon]] = {
    "silhouette": a_silhouette,
    "drawing": lambda: a_drawing(2, 60),
    "page": lambda: a_page(1, 54),
}
NOTHING = MultiPolygon()


@contextmanager
def timed(row: dict[str, float], stage: str) -> Iterator[None]:
    begun = time.perf_counter()
    yield
    row[stage] = time.perf_counter() - begun


def main() -> None:
    """Print one row for each plate."""
    house = house_from({}, "the usual house")
    routing = house.routing
    columns = ["metal", "zones", "paths", "near", "whole"]
    print("plate       corners  " + "  ".join(f"{name:>6}" for name in columns) + "  pieces  paths  travel/nearest")
    for name, image in PLATES.items():
        plate = plate_of(image(), house)
        corners = int(shapely.get_num_coordinates(plate.printing))
        row: dict[str, float] = {}
        with timed(row, "metal"):
            metal = metal_of(plate, NOTHING, routing)
        with timed(row, "zones"):
            shares = shares_of(metal, NOTHING, NOTHING, routing)
        with timed(row, "paths"):
            for share in shares:
                if share.centres is not None:
                    limit = Limit(share.centres, routing)
                    for chains in ways_for(share.zone.shape, share.centres, routing):
                        runs_of(chains, limit)
        with timed(row, "whole"):
            work = router_work(plate, NOTHING, NOTHING, house)
        with timed(row, "near"):
            stretches_near(plate, work.pieces, routing)
        travel = sum(piece.travel for piece in work.pieces)
        ratio = travel / work.travel_nearest if work.travel_nearest else 1.0
        seconds = "  ".join(f"{row[column]:6.2f}" for column in columns)
        paths = sum(len(piece.paths) for piece in work.pieces)
        print(f"{name:10}  {corners:7}  {seconds}  {len(work.pieces):6}  {paths:5}  {ratio:14.3f}")


if __name__ == "__main__":
    main()
