"""The example day, planned once for all tests that look at it."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest

from planner.flats import Search
from planner.house import read_house
from planner.orders import read_orders
from planner.plan import Plan, plan_text, read_plan
from planner.planning import make_plan
from planner.rules import load_rules
from planner.sheets.folder import sheet_files


def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """One test of the example's plan comes first, the others last: no worker waits while another plans it."""
    first, *last = [item for item in items if "monday" in getattr(item, "fixturenames", ())] or [None]
    if first is not None:
        looking = {first, *last}
        items[:] = [first, *(item for item in items if item not in looking), *last]


@pytest.fixture(scope="session")
def example() -> Path:
    return Path(__file__).parent.parent / "examples" / "tallow-lane"


@pytest.fixture(scope="session")
def monday(example: Path, tmp_path_factory: pytest.TempPathFactory) -> Plan:
    """The plan of the example: the worker that asks first makes it, the others wait for it."""
    run = os.environ.get("PYTEST_XDIST_TESTRUNUID")
    if run is None:
        return _planned(example)
    claim = tmp_path_factory.getbasetemp().parent / f"monday-{run}"
    try:
        claim.mkdir()
    except FileExistsError:
        return _made_elsewhere(claim) or _planned(example)
    plan = _planned(example)
    (claim / "half").write_text(plan_text(plan), encoding="utf-8")
    (claim / "half").rename(claim / "plan.json")
    return plan


def _planned(example: Path) -> Plan:
    house = read_house(example / "house.toml")
    return make_plan(read_orders(example / "orders.toml"), house, load_rules(house, ""), Search(), processes=2)


def _made_elsewhere(claim: Path) -> Plan | None:
    """What another worker plans; nothing if it has not done so in ten minutes."""
    for _ in range(1200):
        if (claim / "plan.json").is_file():
            return read_plan(claim / "plan.json")
        time.sleep(0.5)
    return None


@pytest.fixture(scope="session")
def monday_sheets(monday: Plan) -> dict[str, str]:
    return sheet_files(monday)
