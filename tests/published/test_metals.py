"""Weights of plate metal, and the block under a plate, against reference libraries and figures in print."""

from __future__ import annotations

from typing import Any

import mendeleev
import periodictable
import pytest

from planner.house import house_from
from planner.metals import DENSITY, weight_of
from planner.orders import orders_from
from planner.plan import Plan
from planner.planning import make_plan
from planner.rules import load_rules

METALS = [("copper", "Cu"), ("zinc", "Zn"), ("magnesium", "Mg")]


def planned(plate: dict[str, Any], house: dict[str, Any]) -> Plan:
    shop = house_from(house, "house")
    orders = orders_from({"jobs": [{"number": "1", "plates": [{"name": "A", **plate}]}]}, "orders")
    return make_plan(orders, shop, load_rules(shop, "house"))


@pytest.mark.parametrize(("metal", "symbol"), METALS)
def test_densities_agree_with_two_registry_libraries(metal: Any, symbol: str) -> None:
    """periodictable 2 (densities of the CRC Handbook, 80th edition) and mendeleev 1.3 (its element table)."""
    assert DENSITY[metal] == pytest.approx(periodictable.elements.symbol(symbol).density, rel=0.001)
    assert DENSITY[metal] == pytest.approx(mendeleev.element(symbol).density, rel=0.005)


def test_copper_agrees_with_a_third_table() -> None:
    """GNU Units 3.22, ``copperdensity``: 8.89 g/cm3."""
    assert DENSITY["copper"] == pytest.approx(8.89, rel=0.01)


@pytest.mark.parametrize(("metal", "pounds"), [("copper", 2.983), ("zinc", 2.375), ("magnesium", 0.579)])
def test_a_square_foot_of_sixteen_gauge_weighs(metal: Any, pounds: float) -> None:
    """0.064 in is 16 SWG (GNU Units, ``brwiregauge``); the weights are arithmetic on periodictable's densities."""
    assert weight_of(metal, 144, 0.064) == pytest.approx(pounds, abs=0.001)


def test_a_whole_sheet_in_the_ledger_weighs() -> None:
    """Copper, 24 x 36 in at 0.064 in: 6 square feet of 2.983 lb, 17.90 lb."""
    plan = planned({"size": "20 x 30 in", "metal": "copper"}, {"sheets": [{"metal": "copper", "size": "24 x 36 in"}]})
    assert plan.ledger.flats[0].weight == pytest.approx(17.90, rel=0.001)


@pytest.mark.parametrize(
    ("gauge", "block"), [("0.064 in", 0.854), ("0.065 in", 0.853), ("0.153 in", 0.765), ("0.250 in", 0.668)]
)
def test_plate_and_block_are_type_high(gauge: str, block: float) -> None:
    """American type height 0.918 in: Ridgway 1920, p. 74; A. A. Stewart, Type (1918)."""
    house = {"sheets": [{"metal": "zinc", "size": "18 x 24 in", "gauge": gauge}]}
    (plate,) = planned({"size": "3 x 4 in", "metal": "zinc", "gauge": gauge}, house).plates
    assert plate.block == pytest.approx(block, abs=1e-12)
    (bare,) = planned({"size": "3 x 4 in", "metal": "zinc", "gauge": gauge, "mounting": "unmounted"}, house).plates
    assert bare.block is None
