"""What the house file may say about money, and the one sentence where it may not."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from typing import Any

import pytest

from planner.forms import InputError
from planner.house import house_from
from planner.house_text import house_text
from planner.prices import amount_and_sign

from ..days import a_house, rules_of

FULL: dict[str, Any] = {
    "currency": "d",
    "flat": "6.50",
    "scrap": {"zinc": "0.32"},
    "chips": {"zinc": "0.18 d"},
    "sharing": {"method": "marginal", "never_more_than_alone": True, "offcuts": "jobs", "orders": 80},
    "counting": {"area": "etched", "fractions": "half", "of": "sides", "minimum_on": "rate"},
    "line": {"rate": "d 3", "minimum": 30, "minimum_area": 12.5, "magnesium_factor": 0.9},
    "halftone": {"scale": ["24 = 5.38", "35=6.17"]},
    "extras": {"fine_screen": {"finer_than": 150, "factor": "1.25"}, "tint": {"per_sq_in": 1}},
}


def test_a_price_table_reads_back_from_the_printed_house_file() -> None:
    sheets = [{"metal": "zinc", "size": "9 x 9 in", "price": 3}]
    house = a_house(prices=FULL, sheets=sheets)
    again = house_from(tomllib.loads(house_text(house, rules_of(house))), "printed")
    assert again.prices == house.prices
    assert house.prices.line.rate == 3
    assert house.prices.chips_price("zinc") == Decimal("0.18")
    assert a_house(prices={"scrap": {"zinc": 2}}).prices.chips_price("zinc") == 2
    assert house.prices.chips_price("copper") is None
    assert house.prices.halftone.steps == [(24, Decimal("5.38")), (35, Decimal("6.17"))]


@pytest.mark.parametrize(
    ("prices", "says"),
    [
        (
            {"line": {"rate": "12 EUR"}},
            'table [prices], key "line.rate": "12 EUR" is in EUR, and the house counts in $',
        ),
        ({"flat": "\u00a33"}, 'table [prices], key "flat": "\u00a33" is in \u00a3, and the house counts in $'),
        ({"currency": "d", "extras": {"tint": {"each": "$1"}}}, 'key "extras.tint.each": "$1" is in $, and the house'),
        ({"line": {"rate": -1}}, 'key "line.rate": -1 is no price'),
        ({"line": {"rate": "cheap"}}, '"cheap" is no price'),
        ({"line": {"zinc_factor": "half"}}, '"half" is no factor; write a number from 0 to 10000'),
        ({"line": {"minimum_area": True}}, "True is no number of square inches"),
        ({"line": {"scale": ["24"]}}, "is no step of a scale; write square inches = price"),
        ({"line": {"scale": ["24 = 5", "24 = 6"]}}, "must rise from step to step, and 24 = 6 does not"),
        ({"line": {"scale": ["24 = 5", "30 = 4"]}}, "must rise from step to step, and 30 = 4 does not"),
        ({"line": {"scale": ["0 = 5"]}}, "begins at no square inches"),
        ({"line": {"scale": ["24 = 5"], "rate": 1}}, "stands beside rate; give one of them"),
        ({"sharing": {"method": "areas"}}, 'did you mean "area"?'),
        ({"sharing": {"orders": 1}}, "must be 10 or more"),
        ({"lines": {}}, 'is not a key here; did you mean "line"?'),
        (3, "must be a table of keys"),
    ],
)
def test_a_wrong_price_is_refused_with_one_sentence(prices: Any, says: str) -> None:
    with pytest.raises(InputError) as refusal:
        house_from({"prices": prices}, "house.toml")
    (line,) = str(refusal.value).splitlines()
    assert says in line


def test_all_foreign_amounts_are_named_at_once() -> None:
    with pytest.raises(InputError) as refusal:
        house_from({"prices": {"flat": "1 EUR", "scrap": {"zinc": "2 DM"}}}, "house.toml")
    assert len(str(refusal.value).splitlines()) == 2


@pytest.mark.parametrize(
    ("text", "found"),
    [
        ("3.50", ("3.50", None)), ("$3.50", ("3.50", None)), (" 3.50 $ ", ("3.50", None)), ("$-3", ("-3", None)),
        ("3 US$", ("3 US$", "US$")), ("EUR 3", ("EUR 3", "EUR")), ("cheap", ("cheap", None)), ("", ("", None)),
    ],
)  # fmt: skip
def test_signs_of_amounts(text: str, found: tuple[str, str | None]) -> None:
    assert amount_and_sign(text, "$") == found
