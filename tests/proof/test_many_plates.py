"""Hundreds of plates on one flat are proven while one waits."""

from __future__ import annotations

import copy
import time
from typing import Any

from .quick import prove
from .tiny import as_plan, tiny_tables

ROWS, COLUMNS = 15, 20
STEP = 4.625
"""Inches from plate to plate: a blank of 4 1/2 in and the gap."""


def moved(value: Any, across: float, up: float) -> Any:
    """Move every point of a placement's shapes."""
    if isinstance(value, list) and len(value) == 2 and all(isinstance(number, float) for number in value):
        return [value[0] + across, value[1] + up]
    return [moved(part, across, up) for part in value]


def many_tables() -> dict[str, Any]:
    tables = tiny_tables()
    flat = tables["flats"][0]
    model, record = flat["placements"][0], tables["plates"][0]
    for film in model["films"]:
        film.update(art=None, art_transform=None)
    tables["art"], tables["camera"] = [], []
    flat["sheet"].update(width=1.0 + COLUMNS * STEP, height=1.0 + ROWS * STEP)
    flat["usable"] = [0.5, 0.5, COLUMNS * STEP, ROWS * STEP]
    flat["placements"], tables["plates"] = [], []
    for number in range(ROWS * COLUMNS):
        across, up = STEP * (number % COLUMNS), STEP * (number // COLUMNS)
        placement = copy.deepcopy(model)
        placement["plate"] = f"2041/A/{number}"
        for key in ("blank", "part"):
            placement[key][:2] = [0.5 + across, 0.5 + up]
        for key in ("outline", "printing", "flange"):
            placement[key] = moved(placement[key], across, up)
        for table, key in [
            *((film, key) for film in placement["films"] for key in ("film", "image")),
            *((zone, "shape") for zone in placement["zones"]),
        ]:
            table[key] = moved(table[key], across, up)
        flat["placements"].append(placement)
        tables["plates"].append({**record, "id": placement["plate"]})
    tables["router"] = [{**tables["router"][0], "plates": [plate["id"] for plate in tables["plates"]]}]
    tables["jobs"][0]["plates"] = ROWS * COLUMNS
    return tables


def test_three_hundred_plates_take_seconds() -> None:
    plan = as_plan(many_tables())
    start = time.process_time()
    proof = prove(plan)
    # Far more than it takes, so that a busy machine does not fail; comparing all pairs of edges would take longer.
    assert time.process_time() - start < 4
    # The cuts, the account and the pass are those of the tiny plan; everything about the plates themselves holds.
    assert {check.name for check in proof.checks if not check.clean} == {"cuts", "ledger", "passes"}
    assert all(check.count >= ROWS * COLUMNS for check in proof.checks if check.name in ("sheet", "overlap", "router"))


def test_one_plate_out_of_place_among_hundreds_is_found() -> None:
    tables = many_tables()
    tables["flats"][0]["placements"][137]["blank"][0] -= 0.01
    overlap = next(check for check in prove(as_plan(tables)).checks if check.name == "overlap")
    assert len(overlap.violations) == 1
    assert "2041/A/137" in overlap.violations[0]
