"""flatwright: plans the flats of a photoengraving shop. The public Python interface.

    orders = read_orders(Path("monday.toml"))
    house = read_house(Path("house.toml"))
    plan = make_plan(orders, house, load_rules(house, "house.toml"))
    write_folder(Path("out"), {"plan.json": plan_text(plan), **sheet_files(plan)})

Names are imported when they are first used, so that ``import planner`` costs nothing.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from planner.forms import InputError
    from planner.house import House, read_house
    from planner.orders import Orders, read_orders
    from planner.plan import Plan, plan_text, read_plan
    from planner.planning import make_plan
    from planner.proof import prove
    from planner.rules import load_rules
    from planner.sheets.folder import sheet_files
    from planner.writing import write_folder

_HOMES = {
    "House": "house",
    "InputError": "forms",
    "Orders": "orders",
    "Plan": "plan",
    "load_rules": "rules",
    "make_plan": "planning",
    "plan_text": "plan",
    "prove": "proof",
    "read_house": "house",
    "read_orders": "orders",
    "read_plan": "plan",
    "sheet_files": "sheets.folder",
    "write_folder": "writing",
}


def __getattr__(name: str) -> Any:  # noqa: ANN401 - whatever the name stands for
    if name not in _HOMES:
        raise AttributeError(f"module 'planner' has no attribute {name!r}")
    return getattr(import_module(f"planner.{_HOMES[name]}"), name)


__all__ = [
    "House",
    "InputError",
    "Orders",
    "Plan",
    "load_rules",
    "make_plan",
    "plan_text",
    "prove",
    "read_house",
    "read_orders",
    "read_plan",
    "sheet_files",
    "write_folder",
]
