"""One plate, read and worked out as the tool does it, for a house that differs from the usual one only where said."""

from __future__ import annotations

from typing import Any

from planner.house import House, house_from
from planner.orders import Orders, orders_from
from planner.plates import OrderedPlate, plates_of

DEFAULTS = "the usual house"


def house_with(**tables: dict[str, Any] | list[dict[str, Any]]) -> House:
    """Give the usual house with these tables of its file changed."""
    return house_from(tables, DEFAULTS)


def orders_for(*plates: dict[str, Any]) -> Orders:
    """Give the orders of one job with these plates."""
    return orders_from({"jobs": [{"number": "1", "plates": list(plates)}]}, "the order")


def plate_from(entry: dict[str, Any], house: House | None = None) -> OrderedPlate:
    """Give the single plate that an entry of an order file stands for."""
    (plate,) = plates_of(orders_for({"name": "plate", "metal": "copper", **entry}), house or house_with())
    return plate
