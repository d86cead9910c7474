"""The example day, planned once for all tests that look at it."""

from __future__ import annotations

from pathlib import Path

import pytest

from planner.flats import Search
from planner.house import read_house
from planner.orders import read_orders
from planner.plan import Plan
from planner.planning import make_plan
from planner.rules import load_rules
from planner.sheets.folder import sheet_files


def pytest_itemcollected(item: pytest.Item) -> None:
    # At once: when all are collected, it is too late for those who hand tests out to workers.
    if "monday" in getattr(item, "fixturenames", ()):
        item.add_marker(pytest.mark.xdist_group("example"))


@pytest.fixture(scope="session")
def example() -> Path:
    return Path(__file__).parent.parent / "examples" / "tallow-lane"


@pytest.fixture(scope="session")
def monday(example: Path) -> Plan:
    house = read_house(example / "house.toml")
    return make_plan(read_orders(example / "orders.toml"), house, load_rules(house, ""), Search(), processes=2)


@pytest.fixture(scope="session")
def monday_sheets(monday: Plan) -> dict[str, str]:
    return sheet_files(monday)
