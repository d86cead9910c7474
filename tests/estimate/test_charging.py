"""What counts of a plate, and what is charged beside its size."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from planner.blanks import blanks_for
from planner.estimate.charging import PricedPlate, kind_of, priced
from planner.estimate.counting import counted_sides
from planner.forms import InputError
from planner.house import House
from planner.orders import orders_from
from planner.plan import ChargeRecord
from planner.plates import plates_of
from planner.prices import Counting

from ..days import a_day, a_house, a_plate, rules_of

D = Decimal
SQUARE = {"kind": "square"}
LINE = {"kind": "line", "size": "1 x 1 in", "at": "0, 0 in"}


def prices(house: House, charges: dict[str, list[ChargeRecord]] | None = None, **plate: Any) -> list[PricedPlate]:
    plates = plates_of(orders_from(a_day({"mounting": "unmounted", **plate}), "day.toml"), house)
    blanks = blanks_for(plates, rules_of(house), house)
    return priced(list(blanks.values()), charges or {}, house.prices, "day.toml")


def rates(**extras: Any) -> House:
    table = {"rate": 1}
    return a_house(
        prices={"line": table, "halftone": table, "combination": table, "colour_set": table, "extras": extras}
    )


@pytest.mark.parametrize(
    ("counting", "area"),
    [
        ({}, "10.85"),
        ({"fractions": "quarter"}, "11"),
        ({"fractions": "half"}, "11"),
        ({"fractions": "whole"}, "11"),
        ({"fractions": "quarter", "of": "sides"}, "11.375"),
        ({"fractions": "half", "of": "sides"}, "12.25"),
        ({"fractions": "whole", "of": "sides"}, "16"),
    ],
)
def test_how_fractions_count(counting: dict[str, Any], area: str) -> None:
    """3.1 x 3.5 in is 10.85 sq in; by sides 3 1/4 x 3 1/2, 3 1/2 x 3 1/2, 4 x 4."""
    assert counted_sides(3.1, 3.5, Counting(**counting)).area == D(area)


def test_noise_of_floating_point_costs_no_step() -> None:
    whole = Counting(fractions="whole")
    assert counted_sides(0.1 + 0.2, 10.0, whole).area == 3
    assert counted_sides(3.0000000001, 4.0, whole).area == 12


@given(
    st.floats(0.1, 40),
    st.floats(0.1, 40),
    st.sampled_from(["quarter", "half", "whole"]),
    st.sampled_from(["area", "sides"]),
)
def test_rounding_up_never_takes_off_and_adds_less_than_a_step(width: float, height: float, step: Any, of: Any) -> None:
    exact = counted_sides(width, height, Counting()).area
    up = counted_sides(width, height, Counting(fractions=step, of=of)).area
    size = {"quarter": D("0.25"), "half": D("0.5"), "whole": D(1)}[step]
    assert up >= exact - D("0.000001")
    if of == "area":
        assert up < exact + size
        assert up % size == 0


def test_what_area_counts() -> None:
    negative = {"kind": "line", "size": "2 x 3 in", "at": "1/2, 1/2 in"}
    plate = {"size": "4 x 5 in", "mounting": "bevelled", "negatives": [negative]}
    found = {}
    for area in ("plate", "etched", "printing"):
        (one,) = prices(a_house(prices={"line": {"rate": 1}, "counting": {"area": area}}), **plate)
        found[area] = one.price
    # The bevel asks for a flange of 1/8 in and a shoulder of 1/32 in all round: 4 5/16 x 5 5/16 in.
    (width, height) = (D("4.3125"), D("5.3125"))
    assert found["etched"] == 20
    assert found["printing"] == 6
    assert found["plate"] == (width * height).quantize(D("0.01"))


@pytest.mark.parametrize(
    ("plate", "kind"),
    [
        ({}, "line"),
        ({"screen": 65}, "halftone"),
        ({"screen": 65, "negatives": [SQUARE, LINE]}, "combination"),
        ({"screen": 65, "negatives": [{"kind": "combination"}]}, "combination"),
        ({"screen": 65, "negatives": [SQUARE, {"kind": "line", "use": "surprint", "film": "5 x 6 in"}]}, "halftone"),
        ({"screen": 65, "negatives": [{"kind": "silhouette", "size": "2 x 2 in"}]}, "halftone"),
    ],
)
def test_what_a_plate_is_to_the_table(plate: dict[str, Any], kind: str) -> None:
    assert kind_of(a_plate(size="4 x 5 in", **plate)) == kind


@pytest.mark.parametrize(
    ("extra", "plate", "price"),
    [
        (
            {"double_print": {"each": 3}},
            {"negatives": [SQUARE, {"kind": "line", "use": "reverse", "film": "5 x 6 in"}]},
            23,
        ),
        ({"silhouette": {"factor": 1.5}}, {"negatives": [{"kind": "silhouette", "size": "2 x 2 in"}]}, 30),
        ({"drop_out": {"factor": 1.2, "each": 1}}, {"negatives": [{"kind": "drop-out", "size": "2 x 2 in"}]}, 25),
        ({"bevel": {"each": 2}}, {"mounting": "bevelled"}, 22),
        ({"bevel": {"each": 2}}, {"mounting": "flush"}, 20),
        ({"flush": {"per_sq_in": 0.05}}, {"mounting": "flush"}, 21),
        ({"block": {"each": 0.35}}, {"mounting": "nailed"}, "20.35"),
        ({"block": {"each": 0.35}}, {}, 20),
        ({"fine_screen": {"finer_than": 133, "factor": 1.25}}, {"screen": 133}, 20),
        ({"fine_screen": {"finer_than": 120, "factor": 1.25}}, {"screen": 133}, 25),
    ],
)
def test_extras_where_they_apply(extra: dict[str, Any], plate: dict[str, Any], price: Any) -> None:
    shop = rates(**extra).model_copy()
    table = {**shop.prices.model_dump(), "counting": {"area": "etched"}}
    (one,) = prices(a_house(prices=table), **{"size": "4 x 5 in", "screen": 133, **plate})
    assert one.price == D(str(price))
    assert one.each == sum(line.amount for line in one.lines)


def test_a_colour_set_is_one_piece_with_four_blocks_and_its_dear_colours() -> None:
    house = rates(block={"each": "0.50"}, yellow={"each": 1}, black={"factor": "1.1"})
    table = {**house.prices.model_dump(), "counting": {"area": "etched"}}
    colours = ["yellow", "red", "blue", "black"]
    found = prices(a_house(prices=table), size="4 x 5 in", screen=133, colours=colours, quantity=2, mounting="nailed")
    assert [(one.kind, one.count, one.price) for one in found] == [("colour set", 2, 2 * (D(22) + 2 + 1))]


def test_what_rules_charge_is_added_for_every_plate() -> None:
    charge = ChargeRecord(rule="benday", what="lays", quantity=3.0, unit="each", rate="0.25", reason="laid")
    (one,) = prices(rates(), {"7/P1": [charge]}, size="4 x 5 in")
    assert [(line.what, line.how, line.amount) for line in one.lines][1:] == [
        ("lays (benday)", "3 each at 0.25", D("0.75"))
    ]
    # A house without a table charges what its rules charge.
    (one,) = prices(a_house(), {"7/P1": [charge]}, size="4 x 5 in")
    assert one.price == D("0.75")


def test_lines_are_rounded_so_that_they_add_up() -> None:
    """3.333 and a quarter more: 3.33, then 4.16666 is 4.17, so the line says 0.84."""
    house = a_house(
        prices={"halftone": {"rate": "0.33333"}, "extras": {"fine_screen": {"finer_than": 60, "factor": 1.25}}}
    )
    (one,) = prices(house, size="2 x 5 in", screen=65)
    assert [line.amount for line in one.lines] == [D("3.33"), D("0.84")]
    assert one.price == D("4.17")


def test_a_kind_without_a_price_is_named() -> None:
    house = a_house(prices={"line": {"rate": 1}})
    with pytest.raises(InputError) as refusal:
        prices(house, size="4 x 5 in", screen=65)
    assert str(refusal.value) == (
        'day.toml: job 7, plate "P1": has no price: the house file prices no halftones; '
        "write rate under [prices.halftone]"
    )
