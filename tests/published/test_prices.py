"""Prices against worked examples and tariffs in print. Amounts are in the source's own money: dollars, or pence (d).

Sources: J. L. Ridgway, The Preparation of Illustrations for Reports of the U.S. Geological Survey, 1920; T. G. Hill,
The Essentials of Illustration, 1915; C. G. Harper, A Practical Handbook of Drawing, 1894; A. H. Hinton, A Handbook of
Illustration, 1890s; R. C. Binkley, Manual on Methods of Reproducing Research Materials, 1936.
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from planner.blanks import blanks_for
from planner.estimate.charging import PricedPlate, priced
from planner.house import House
from planner.plates import plates_of
from planner.rules import load_rules

from .shop import house_with, orders_for

D = Decimal


def price(house: House, **plate: Any) -> Decimal:
    """The price of one plate, unmounted and of 16 gauge unless said."""
    (one,) = prices(house, **plate)
    return one.price


def prices(house: House, **plate: Any) -> list[PricedPlate]:
    orders = orders_for({"name": "plate", "mounting": "unmounted", "metal": "zinc", **plate})
    blanks = blanks_for(plates_of(orders, house), load_rules(house, ""), house)
    return priced(list(blanks.values()), {}, house.prices)


def ridgway(**prices: Any) -> House:
    """Ridgway, pp. 75, 78: zinc least $2 at 10 to 25 c; copper halftones least $3 at 20 to 60 c; a screen finer than
    150 is a quarter dearer, a halftone on zinc a quarter cheaper.
    """
    halftone = {"rate": "0.20", "minimum": 3, "zinc_factor": "0.75"}
    line = {"rate": "0.10", "minimum": 2}
    extras = {"fine_screen": {"finer_than": 150, "factor": 1.25}}
    return house_with(prices={"line": line, "halftone": halftone, "extras": extras, **prices})


@pytest.mark.parametrize(
    ("size", "metal", "screen", "dollars"),
    [
        ("4 x 5 in", "copper", 133, "4.00"),
        ("2 x 3 in", "copper", 133, "3.00"),
        ("4 x 5 in", "copper", 150, "4.00"),
        ("4 x 5 in", "copper", 175, "5.00"),
        ("4 x 5 in", "zinc", 100, "3.00"),
    ],
)
def test_halftones_by_ridgways_rules(size: str, metal: str, screen: int, dollars: str) -> None:
    """Ridgway, p. 78, at 20 c: his rules, our sums."""
    assert price(ridgway(), size=size, metal=metal, screen=screen) == D(dollars)


@pytest.mark.parametrize(("size", "dollars"), [("2 x 3 in", "2.00"), ("5 x 5 in", "2.50")])
def test_zinc_line_plates_by_ridgways_rules(size: str, dollars: str) -> None:
    """Ridgway, p. 75, at 10 c: his rules, our sums."""
    assert price(ridgway(), size=size) == D(dollars)


@pytest.mark.parametrize(
    ("table", "rate", "minimum", "area"),
    [("line", "0.10", "2", 20), ("line", "0.25", "2", 8), ("halftone", "0.20", "3", 15), ("halftone", "0.60", "3", 5)],
)
def test_from_which_size_on_the_least_price_no_longer_counts(table: str, rate: str, minimum: str, area: int) -> None:
    """Ridgway, pp. 75, 78: least price over rate, 20 to 8 sq in of zinc, 15 to 5 of copper."""
    house = house_with(prices={table: {"rate": rate, "minimum": minimum}})
    screen = {"screen": 120} if table == "halftone" else {}
    assert price(house, size=f"1 x {area} in", **screen) == D(minimum)
    assert price(house, size=f"1 x {area - 1} in", **screen) == D(minimum)
    assert price(house, size=f"1 x {area + 1} in", **screen) == D(minimum) + D(rate)


def test_a_combination_of_many_small_pictures_is_half_as_dear_again() -> None:
    """Ridgway, p. 77: about half more than one picture of the same size; so 30 c where a halftone is 20 c."""
    house = ridgway(combination={"rate": "0.30", "minimum": 3})
    pictures = [{"kind": "square", "size": "2 x 2 in", "at": f"{x}, 0 in"} for x in (0, 2)]
    lettering = {"kind": "line", "size": "4 x 1 in", "at": "0, 4 in"}
    one = price(house, size="4 x 5 in", metal="copper", screen=133)
    many = price(house, size="4 x 5 in", metal="copper", screen=133, negatives=[*pictures, lettering])
    assert many == one * D("1.5")


def test_a_small_line_block_counts_as_twelve_square_inches() -> None:
    """Hill, p. 90: at 3d a block of 3 sq in costs 3s (36d), and not 9d."""
    house = house_with(prices={"currency": "d", "line": {"rate": 3, "minimum_area": 12}})
    assert price(house, size="1 x 3 in") == 36
    assert price(house, size="3 x 4 in") == 36
    assert price(house, size="4 x 4 in") == 48


def test_a_three_colour_set_is_twelve_times_a_line_block_and_counts_as_twenty() -> None:
    """Hill, p. 90: line to three-colour set as 1 to 12, so 3s (36d) a square inch at 3d; least 20 sq in, 60s (720d)."""
    house = house_with(prices={"currency": "d", "colour_set": {"rate": 3 * 12, "minimum_area": 20}})
    colours = {"colours": ["yellow", "red", "blue"], "screen": 133}
    assert price(house, size="3 x 4 in", **colours) == 720
    assert price(house, size="5 x 5 in", **colours) == 25 * 36


def test_only_the_etched_surface_counts() -> None:
    """Hill, p. 90: the margin of the metal is not charged. A bevelled 4 x 5 in plate has a flange all round it."""
    table = {"currency": "d", "line": {"rate": 3}}
    etched = house_with(prices={**table, "counting": {"area": "etched"}})
    whole = house_with(prices={**table, "counting": {"area": "plate"}})
    assert price(etched, size="4 x 5 in", mounting="bevelled") == 60
    assert price(whole, size="4 x 5 in", mounting="bevelled") > 60


def test_the_second_of_two_is_half_the_price() -> None:
    """Harper, on blocks from identical originals: the second at half price. His 3d lies within his 2 1/2d to 6d."""
    house = house_with(
        prices={"currency": "d", "line": {"rate": 3, "minimum": 30}, "extras": {"further_original": {"factor": 0.5}}}
    )
    assert [one.price for one in prices(house, size="4 x 5 in", quantity=2)] == [60, 30]
    # Half of the price with its least price: half of 30d, where 6 sq in would be 18d.
    assert [one.price for one in prices(house, size="2 x 3 in", quantity=2)] == [30, 15]


@pytest.mark.parametrize(("rate", "area"), [("6", 10), ("4", 15)])
def test_from_which_size_on_five_shillings_no_longer_count(rate: str, area: int) -> None:
    """Hinton: line blocks 4d to 6d the square inch, least 5s (60d): 15 and 10 sq in."""
    house = house_with(prices={"currency": "d", "line": {"rate": rate, "minimum": 60}})
    assert price(house, size=f"1 x {area} in") == 60
    assert price(house, size=f"2 x {area} in") == 120


def test_benday_all_over_a_small_line_block() -> None:
    """Harper's rates, 3d and 1d for the tint, least 2s 6d (30d): 2 x 3 in is 24d, and so 30d where the least price is
    for the total, which he does not say; where it is for the rate alone, 30d and 6d for the tint.
    """
    prices = {"currency": "d", "line": {"rate": 3, "minimum": 30}, "extras": {"tint": {"per_sq_in": 1}}}
    tinted = {"size": "2 x 3 in", "tints": [{"pattern": "7"}]}
    assert price(house_with(prices=prices), **tinted) == 30
    assert price(house_with(prices={**prices, "counting": {"minimum_on": "rate"}}), **tinted) == 36
    assert price(house_with(prices={**prices, "line": {"rate": 3}}), **tinted) == 24


BINKLEY = [("4 x 6 in", "5.38", "22.4"), ("5 x 7 in", "6.17", "17.6"), ("7 x 9 in", "8.14", "12.9"),
           ("9 x 11 in", "11.04", "11.2")]  # fmt: skip


@pytest.mark.parametrize(("size", "dollars", "cents"), BINKLEY)
def test_a_scale_of_prices_by_size(size: str, dollars: str, cents: str) -> None:
    """Binkley, Tables XXXII and XXXIII: a zinc line plate of 4 x 6 in is $5.38 in his text; the other sizes are his
    totals less 95.00, the remainder that all rows have in common.
    """
    scale = ["24 = 5.38", "35 = 6.17", "63 = 8.14", "99 = 11.04"]
    (one,) = prices(house_with(prices={"line": {"scale": scale}}), size=size)
    assert one.price == D(dollars)
    assert float(one.price / one.size.area) * 100 == pytest.approx(float(cents), abs=0.06)


def test_between_two_steps_of_a_scale_the_next_counts() -> None:
    house = house_with(prices={"line": {"scale": ["24 = 5.38", "35 = 6.17"]}})
    assert price(house, size="5 x 5 in") == D("6.17")
    # Beyond the last, its price by the inch: 6.17 / 35 x 70.
    assert price(house, size="7 x 10 in") == D("12.34")
