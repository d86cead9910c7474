"""The whole stair: any valid day plans, proves clean, closes its ledger, loses nothing, and does so twice alike."""

from __future__ import annotations

import os
import subprocess
import sys
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings

from planner.plan import AREA_CLASSES, Plan, plan_text

from .days import a_day, a_house, days, houses, planned
from .proof.quick import prove


def placed(plan: Plan) -> list[str]:
    return [placement.plate for flat in plan.flats for placement in flat.placements]


@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(tables=days(), house=houses())
def test_any_valid_day_proves_clean_and_loses_nothing(tables: dict[str, Any], house: dict[str, Any]) -> None:
    plan = planned(tables, a_house(**house), iterations=3)
    result = prove(plan)
    assert result.clean, [violation for check in result.checks for violation in check.violations]
    assert sorted([*placed(plan), *(held.plate for held in plan.held)]) == sorted(plate.id for plate in plan.plates)
    for account in plan.ledger.flats:
        total = sum(getattr(account.areas, name) for name in AREA_CLASSES)
        assert total == pytest.approx(account.sheet_area, abs=1e-6)


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(tables=days(), house=houses())
def test_the_same_day_gives_the_same_bytes(tables: dict[str, Any], house: dict[str, Any]) -> None:
    first, second = (plan_text(planned(tables, a_house(**house), seed=5, iterations=20)) for _ in range(2))
    assert first == second
    assert plan_text(Plan.model_validate_json(first)) == first


def test_the_bytes_do_not_hang_on_the_hash_seed() -> None:
    program = (
        "from tests.days import *\n"
        "day = a_day(*({'size': f'{w} x {h} in', 'quantity': 2} for w in (2, 3, 5) for h in (1, 4)))\n"
        "from planner.plan import plan_text\nprint(plan_text(planned(day, iterations=50)))"
    )
    outputs = {
        subprocess.run(
            [sys.executable, "-c", program],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.getcwd()},
        ).stdout
        for seed in ("1", "2")
    }
    assert len(outputs) == 1


def test_a_rush_job_goes_on_the_first_flat() -> None:
    tables = a_day({"size": "10 x 12 in", "quantity": 6})
    tables["jobs"].append({"number": "8", "rush": True, "plates": [{"name": "R", "size": "2 x 2 in", "metal": "zinc"}]})
    plan = planned(tables)
    assert len(plan.flats) > 1
    assert "8/R" in [placement.plate for placement in plan.flats[0].placements]


def test_what_may_not_share_a_flat_does_not() -> None:
    plates = [{"size": "2 x 2 in"}, {"size": "2 x 2 in", "screen": 65}, {"size": "2 x 2 in", "screen": 133},
              {"size": "2 x 2 in", "metal": "copper"}, {"size": "2 x 2 in", "metal": "magnesium"}]  # fmt: skip
    assert len(planned(a_day(*plates)).flats) == 5


@pytest.mark.parametrize(
    ("plate", "house", "code", "says"),
    [
        ({"size": "30 x 40 in"}, {}, "too-large", "leaves 23 x 35 in inside its margins"),
        ({"size": "34 x 20 in", "may_turn": False}, {}, "too-large", "it may not be turned"),
        ({"size": "3 x 4 in", "gauge": "0.1 in"}, {}, "no-metal", "on hand is zinc of 0.064 in"),
        ({"size": "3 x 4 in"}, {"sheets": []}, "no-metal", "the house has no zinc"),
        ({"size": "9 x 9 in", "quantity": 9}, {"sheets": [{"metal": "zinc", "size": "20 x 20 in", "count": 1}]},
         "out-of-stock", "are used up"),
    ],
)  # fmt: skip
def test_what_fits_nowhere_is_held_with_its_reason(
    plate: dict[str, Any], house: dict[str, Any], code: str, says: str
) -> None:
    plan = planned(a_day(plate), a_house(**house))
    assert plan.held
    assert {held.code for held in plan.held} == {code}
    assert says in plan.held[0].reason
    assert [found.code for found in plan.findings] == [f"held.{code}"] * len(plan.held)


def test_a_sheet_larger_than_the_glass_is_used_as_far_as_the_glass_goes() -> None:
    plan = planned(a_day({"size": "3 x 4 in"}), a_house(glass={"size": "10 x 12 in", "grip": "1/2 in"}))
    _, _, width, height = plan.flats[0].usable
    assert (width, height) == (10, 12)
    assert prove(plan).clean


def test_findings_lie_where_the_plate_lies() -> None:
    over = [{"kind": "line", "size": "1 x 1 in", "at": "2 1/2, 0 in"}]
    plan = planned(a_day({"size": "3 x 4 in", "mounting": "unmounted", "negatives": over, "may_turn": False}))
    (finding,) = plan.findings
    placement = plan.flats[0].placements[0]
    xs = [x for polygon in finding.shape for ring in polygon for x, _ in ring]
    edge = max(x for polygon in placement.outline for ring in polygon for x, _ in ring)
    assert (min(xs), max(xs)) == pytest.approx((edge, edge + 0.5))


def test_what_lies_outside_the_metal_is_found_and_not_recorded() -> None:
    tint = {"pattern": "7", "size": "1 x 1 in", "at": "-2, 0 in"}
    image = {"kind": "line", "size": "6 x 6 in", "at": "-1, 0 in", "film": "1 x 1 in"}
    for plate in ({"tints": [tint]}, {"tints": [{**tint, "at": "900, -900 in"}]}, {"negatives": [image]}):
        plan = planned(a_day({"size": "4 x 6 in", **plate}))
        assert prove(plan).clean
        assert plan.findings


def test_metal_without_room_is_held_with_that_reason() -> None:
    house = a_house(glass={"size": "1/4 x 1/4 in", "grip": "0 in"}, cutting={"how": "saw", "kerf": "20 in"})
    (held,) = planned(a_day({"size": "3 x 4 in"}), house).held
    assert held.reason == "needs zinc of 0.064 in; no sheet of it has any room inside the grip margin and on the glass"


def test_three_hundred_plates_are_planned() -> None:
    sizes = [(1 + n % 7, 1 + n * 5 % 6) for n in range(60)]
    plates = [
        {"size": f"{width} x {height} in", "quantity": 5, "metal": ["zinc", "copper"][n % 2]}
        for n, (width, height) in enumerate(sizes)
    ]
    plan = planned(a_day(*plates))
    assert len(placed(plan)) == 300
    assert prove(plan).clean


def test_the_limits_of_a_shear_are_kept() -> None:
    shear = {"longest_cut": "18 in", "least_strip": "3/4 in", "stages": 3}
    sheets = [{"metal": "zinc", "size": "18 x 24 in"}]
    day = a_day(*({"size": f"{w} x {h} in", "quantity": 3} for w, h in ((2, 3), (4, 5), (3, 7), (6, 2))))
    plan = planned(day, a_house(cutting=shear, sheets=sheets, glass={"grip": "0 in"}))
    assert prove(plan).clean
    for flat in plan.flats:
        for part in flat.cut_tree:
            if part.cut is not None:
                assert (part.box[3] if part.cut == "vertical" else part.box[2]) <= 18


def test_no_plate_waits_for_a_later_flat_to_save_metal_unless_the_house_says_so() -> None:
    sheets = [{"metal": "zinc", "size": "12 x 12 in"}]
    tables = a_day({"size": "5 x 5 in", "quantity": 4})
    tables["jobs"][0]["due"] = "2026-12-01 10:00"
    later = {
        "number": "8",
        "due": "2026-12-02 10:00",
        "plates": [{"name": "L", "size": "5 x 5 in", "metal": "zinc", "quantity": 4}],
    }
    tables["jobs"].insert(0, later)
    plan = planned(tables, a_house(sheets=sheets, film={"safe_edge": "0 in"}, glass={"grip": "0 in"}))
    assert {placement.plate.split("/")[0] for placement in plan.flats[0].placements} == {"7"}


def test_a_colour_set_stays_together_and_the_same_way_up() -> None:
    colours = ["yellow", "red", "blue", "black"]
    day = a_day({"size": "7 x 9 in", "colours": colours}, *({"size": "6 x 5 in"} for _ in range(5)))
    plan = planned(day, a_house(sheets=[{"metal": "zinc", "size": "18 x 24 in"}]))
    where = {
        (flat.number, placement.turned)
        for flat in plan.flats
        for placement in flat.placements
        if placement.plate.startswith("7/P1/")
    }
    assert len(where) == 1
    assert not plan.findings
