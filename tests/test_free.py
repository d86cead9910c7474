"""Free flats for the saw: taken where they save metal, accounted for and proven like any other."""

from __future__ import annotations

from typing import Any

import pytest

from planner.plan import AREA_CLASSES
from planner.proof import prove
from planner.sheets.folder import sheet_files

from .days import a_day, a_house, planned

FRAME = {"points": ["0, 0 in", "12, 0 in", "12, 16 in", "0, 16 in"],
         "holes": [["1, 1 in", "11, 1 in", "11, 15 in", "1, 15 in"]]}  # fmt: skip
DAY = a_day({"outline": FRAME, "mounting": "unmounted"}, {"size": "9 x 13 in", "mounting": "unmounted"})


def saw(**cutting: Any) -> dict[str, Any]:
    return {
        "cutting": {"how": "saw", "kerf": "1/16 in", **cutting},
        "sheets": [{"metal": "zinc", "size": "14 x 18 in", "price": 10}],
    }


def test_a_small_plate_comes_out_of_the_mortise_of_a_large_one() -> None:
    plan = planned(DAY, a_house(**saw()))
    (flat,) = plan.flats
    assert flat.layout == "free"
    assert flat.cut_tree == ()
    assert plan.held == ()
    result = prove(plan)
    assert result.clean, [violation for check in result.checks for violation in check.violations]
    areas = plan.ledger.flats[0].areas
    assert sum(getattr(areas, name) for name in AREA_CLASSES) == pytest.approx(14 * 18, abs=1e-6)
    assert areas.kerf > 0
    assert set(sheet_files(plan)) == {
        "flat-01-stripper.svg",
        "flat-01-metal.svg",
        "mounting.svg",
        "key.svg",
    }


def test_straight_cuts_are_kept_where_the_house_wants_them_or_nothing_is_saved() -> None:
    assert [flat.layout for flat in planned(DAY, a_house(**saw(layout="straight"))).flats] == ["straight", "straight"]
    notched = {"points": ["0, 0 in", "4, 0 in", "4, 1 in", "2, 1 in", "2, 3 in", "0, 3 in"]}
    (flat,) = planned(a_day({"outline": notched, "mounting": "unmounted"}), a_house(**saw())).flats
    assert flat.layout == "straight"


def test_a_shear_never_lays_freely() -> None:
    shear = {"sheets": [{"metal": "zinc", "size": "14 x 18 in", "price": 10}]}
    assert [flat.layout for flat in planned(DAY, a_house(**shear)).flats] == ["straight", "straight"]


def test_a_day_of_silhouettes_proves_clean() -> None:
    star = {"points": ["0, 0 in", "3, 1 in", "6, 0 in", "5, 3 in", "6, 6 in", "3, 5 in", "0, 6 in", "1, 3 in"]}
    wedge = {"points": ["0, 0 in", "6, 0 in", "0, 5 in"]}
    day = a_day(
        {"outline": wedge, "mounting": "unmounted", "quantity": 7},
        {"outline": star, "mounting": "unmounted", "quantity": 2},
        {"outline": {**FRAME}, "mounting": "unmounted"},
        {"size": "4 x 5 in", "quantity": 2},
    )
    plan = planned(day, a_house(**saw()))
    assert "free" in {flat.layout for flat in plan.flats}
    result = prove(plan)
    assert result.clean, [violation for check in result.checks for violation in check.violations]
    placed = sum(len(flat.placements) for flat in plan.flats)
    assert placed + len(plan.held) == len(plan.plates)
