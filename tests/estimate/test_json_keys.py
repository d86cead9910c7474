"""The JSON of the estimator's commands has the keys that the modules name in their docstrings, and no others."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from decimal import Decimal
from types import ModuleType
from typing import Any

import pytest

from planner.estimate import telling, telling_actual, telling_compare, telling_quote
from planner.estimate.account import account_of
from planner.estimate.actual import actual_from, outcome_of
from planner.estimate.comparing import compare
from planner.estimate.quoting import quote_of
from planner.estimate.sharing_waste import all_shares
from planner.flats import Search
from planner.house import House
from planner.orders import orders_from
from planner.prices import METHODS
from planner.rack import telling as telling_rack
from planner.rack.records import Entry, Piece, Rack

from ..days import a_house, planned, rules_of

PRICED = a_house(
    sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": "11.80"}],
    prices={"flat": 2, "scrap": {"zinc": "0.3"}, "line": {"rate": "0.12"}},
)
BARE = a_house(sheets=[{"metal": "zinc", "size": "18 x 24 in"}])
DAY: dict[str, Any] = {
    "jobs": [
        {"number": number, "plates": [{"name": "Map", "size": "4 x 5 in", "metal": "zinc"}]} for number in ("1", "2")
    ]
}


def said_in(module: ModuleType) -> dict[str, set[str]]:
    """The keys by place, as the module's docstring names them; SUM and PIECE stand for what it says of them."""
    text = module.__doc__ or ""
    found = {name: re.search(rf"^{name} is ([^.;]*)", text, re.M) for name in ("SUM", "PIECE")}
    short = {name: words[1].split() for name, words in found.items() if words}
    keys: dict[str, set[str]] = {}
    for place, words in re.findall(r"^    (\.\S*): (.+)$", text, re.M):
        keys[place] = {key for word in words.split() for key in short.get(word, [word])}
    return keys


def found_in(value: Any, place: str = ".", free: frozenset[str] = frozenset()) -> Iterator[tuple[str, str, Any]]:
    """Every key with its place and its value."""
    if isinstance(value, list):
        for one in value:
            yield from found_in(one, place, free)
    elif isinstance(value, dict):
        for key, inner in value.items():
            below = f"{place.rstrip('.')}.{key}"
            yield place, key, inner
            if below in free:
                for one in inner.values():
                    yield from found_in(one, below, free)
            else:
                yield from found_in(inner, below, free)


def account_tables(house: House) -> Iterator[tuple[ModuleType, dict[str, Any]]]:
    plan = planned(DAY, house)
    account = account_of(plan, house)
    yield telling, telling.account_table(telling.Told(account, "area", all_shares(account, plan, house, METHODS)))
    cut = actual_from({"spoiled": [{"sheet": "zinc 18 x 24 in", "cause": "pitted"}]}, "actual.toml")
    if house is PRICED:
        yield telling_actual, telling_actual.outcome_table(outcome_of(plan, house, cut))


def other_tables(house: House) -> Iterator[tuple[ModuleType, dict[str, Any]]]:
    orders = orders_from(DAY, "orders.toml")
    yield telling_quote, telling_quote.quote_table(quote_of(orders, house, rules_of(house)))
    found = compare(orders, house, rules_of(house), search=Search(iterations=5))
    yield telling_compare, telling_compare.compare_table(found)
    worth = Decimal("1.5") if house is PRICED else None
    piece = Piece.model_construct(name="x", metal="zinc", gauge=0.064, size=(6.0, 8.0), worth=worth)
    entries = (Entry(by="hand", taken=(piece,)), Entry(by="hand", added=(piece,)))
    yield telling_rack, telling_rack.rack_table(Rack("rack.toml", "$", (piece,), entries))


@pytest.mark.parametrize("house", [PRICED, BARE], ids=["priced", "without prices"])
@pytest.mark.parametrize("tables", [account_tables, other_tables])
def test_the_keys_are_those_that_are_documented(tables: Any, house: House) -> None:
    for module, table in tables(house):
        said = said_in(module)
        assert said["."] >= {"format"}
        free = frozenset(
            f"{place.rstrip('.')}.{key[:-2]}" for place, keys in said.items() for key in keys if key.endswith("{}")
        )
        seen: dict[str, set[str]] = {}
        for place, key, value in found_in(json.loads(json.dumps(table)), free=free):
            mark = "[]" if isinstance(value, list) else "{}" if f"{place.rstrip('.')}.{key}" in free else ""
            if mark == "{}":
                assert isinstance(value, dict)
            seen.setdefault(place, set()).add(key + mark)
        assert {place: said.get(place) for place in seen} == seen
        assert house is BARE or set(seen) == set(said)
