from __future__ import annotations

import tomllib
from decimal import Decimal
from typing import Any

import pytest

from planner.forms import InputError
from planner.house import House, house_from
from planner.house_text import house_text
from planner.proof import prove

from .days import a_day, a_house, planned, rules_of


def test_every_value_has_a_default() -> None:
    house = a_house()
    assert {sheet.metal for sheet in house.sheets} == {"copper", "zinc", "magnesium"}
    assert house.cutting.how == "shear"


@pytest.mark.parametrize(
    "tables",
    [
        {},
        {"name": 'The "Old" Shop \\ Sons', "bleed": "3 mm", "cutting": {"how": "saw", "kerf": "1 mm", "gap": "2.5 mm"}},
        {"sheets": [], "prices": {"currency": "\u00a3", "flat": "6.50"}, "rules": {"screen-bands": {"bands": []}}},
        {
            "sheets": [
                {"metal": "zinc", "size": "600 x 400 mm", "count": 3, "price": 12.5, "remnant": True, "name": "R"}
            ]
        },
        {"routing": {"cutters": ["1/4 in", "1/8 in"]}, "flats": {"least_offcut": "1/8 x 1/4 in"}},
        {"sheets": [{"metal": "zinc", "size": "9 x 9 in", "price": "31.50"}]},
        {
            "glass": {"spots": [{"at": "1/2, 3 in", "size": "1/4 in x 10 mm"}]},
            "cutting": {"longest_cut": "30 in", "least_strip": "1/2 in", "stages": 3},
        },
        {"rules": {"square-bevel": {"flange": "5/32 in"}, "flush-mount": {"enabled": False}}},
    ],
)
def test_the_printed_house_file_reads_back_to_the_same_house(tables: dict[str, Any]) -> None:
    house = a_house(**tables)
    rules = rules_of(house)
    printed = tomllib.loads(house_text(house, rules))
    again = house_from(printed, "printed")
    assert again.model_dump(exclude={"rules"}) == house.model_dump(exclude={"rules"})
    assert [active.settings for active in rules_of(again).active] == [active.settings for active in rules.active]


def test_every_key_of_the_printed_house_file_has_a_comment() -> None:
    house = a_house()
    lines = house_text(house, rules_of(house)).splitlines()
    keys = [line for line in lines if " = " in line and not line.startswith("enabled")]
    assert all("#" in line for line in keys if not line.startswith("currency"))


@pytest.mark.parametrize(
    ("tables", "says"),
    [
        ({"glas": {}}, 'key "glas": is not a key here; did you mean "glass"?'),
        ({"cutting": {"gap": 3}}, 'table [cutting], key "gap": the bare number 3'),
        ({"cutting": {"kerf": "1/16 in"}}, "is for a saw"),
        ({"cutting": {"gap": "-1 in"}}, "must not be negative"),
        ({"routing": {"cutters": ["0 in"]}}, "must be greater than zero"),
        ({"routing": {"cutters": ["1/4 in", "0.25 in"]}}, "names one diameter twice"),
        ({"sheets": [{"metal": "zinc", "size": "1 x 1 in"}]}, "leaves no metal inside the grip margin"),
        ({"sheets": [{"metal": "zinc", "size": "9 x 9 in", "price": -1}]}, 'sheet 1 of [[sheets]], key "price": -1'),
        ({"sheets": [{"metal": "zinc", "size": "9 x 9 in", "price": "nan"}]}, "is no price"),
        ({"sheets": [{"metal": "zinc", "size": "9 x 9 in", "count": -1}]}, "must be 0 or more"),
        ({"glass": {"grip": "1/32 in"}, "cutting": {"how": "saw"}}, "wider than the saw's kerf"),
        ({"prices": {"flat": 5}, "sheets": [{"metal": "zinc", "size": "9 x 9 in"}]}, "give the zinc sheets a price"),
        ({"sheets": [{"metal": "zinc", "size": "9 x 9 in", "gauge": "0.95 in"}]}, "as thick as type is high"),
        ({"sheets": [{"metal": "zinc", "size": "9 x 9 in", "name": "A"}] * 2}, 'two kinds of sheet called "A"'),
    ],
)
def test_a_wrong_house_is_refused_with_its_reason(tables: dict[str, Any], says: str) -> None:
    with pytest.raises(InputError) as refusal:
        house_from(tables, "house.toml")
    (line,) = str(refusal.value).splitlines()
    assert line.startswith("house.toml: ")
    assert says in line


def test_a_metal_is_priced_wholly_or_not_at_all() -> None:
    sheets = [{"metal": "zinc", "size": "9 x 9 in", "price": 3}, {"metal": "zinc", "size": "9 x 12 in"}]
    with pytest.raises(InputError, match="price all of a metal or none"):
        house_from({"sheets": sheets}, "")


def test_prices_are_decimal_amounts() -> None:
    house = a_house(sheets=[{"metal": "zinc", "size": "9 x 9 in", "price": 21.6}])
    assert house.sheets[0].price == Decimal("21.6")


def test_saw_and_gap_decide_the_spacing() -> None:
    assert a_house(cutting={"gap": "0 in"}).cutting.spacing == 0
    assert a_house(cutting={"gap": "0 in", "how": "saw"}).cutting.spacing == 1 / 16
    assert a_house(cutting={"gap": "1/8 in", "how": "saw", "kerf": "3/16 in"}).cutting.spacing == 3 / 16
    assert isinstance(a_house(), House)


def test_a_remnant_is_one_piece_unless_counted() -> None:
    sheets = [{"metal": "zinc", "size": "9 x 9 in", "remnant": True}, {"metal": "zinc", "size": "9 x 9 in"}]
    assert [sheet.on_hand for sheet in a_house(sheets=sheets).sheets] == [1, None]


def test_a_gauge_counts_to_the_tenth_of_a_thousandth() -> None:
    sheets = [{"metal": "zinc", "size": "20 x 20 in", "gauge": "1.626 mm"}]
    plan = planned(a_day({"size": "3 x 4 in", "gauge": "0.06402 in"}, {"size": "3 x 4 in"}), a_house(sheets=sheets))
    assert len(plan.flats) == 1
    assert plan.held == ()
    assert prove(plan).clean


def test_a_price_in_another_currency_is_named_beside_all_other_problems() -> None:
    tables = {
        "prices": {"currency": "$"},
        "sheets": [{"metal": "zinc", "size": "18 x 24 in", "price": "12 EUR"}, {"metal": "zink", "size": "9 x 9 in"}],
        "buyable": [{"metal": "zinc", "size": "9 x 9 in", "price": "\u00a33"}],
    }
    with pytest.raises(InputError) as error:
        house_from(tables, "house.toml")
    said = [line.removeprefix("house.toml: ") for line in error.value.lines]
    assert said[0] == (
        'sheet 1 of [[sheets]], key "price": "12 EUR" is in EUR, and this file counts in $: write it in that'
    )
    assert said[1].startswith('sheet 2 of [[sheets]], key "metal"')
    assert said[2].startswith('sheet 1 of [[buyable]], key "price": "\u00a33" is in \u00a3')
    own = house_from({"sheets": [{"metal": "zinc", "size": "18 x 24 in", "price": "$ 12.50"}]}, "house.toml")
    assert own.sheets[0].price == Decimal("12.50")


def test_sheets_to_buy_are_checked_and_printed() -> None:
    sheet = {"metal": "zinc", "size": "30 x 40 in", "price": 30, "lead": 3, "pack": 5}
    house = a_house(buyable=[sheet])
    printed = house_from(tomllib.loads(house_text(house, rules_of(house))), "house.toml")
    assert printed.buyable == house.buyable
    with pytest.raises(InputError, match=r'sheet 1 of \[\[buyable\]\], key "count": is less than one pack of 5'):
        a_house(buyable=[{**sheet, "count": 3}])
    with pytest.raises(InputError, match=r'sheet 1 of \[\[buyable\]\], key "size": leaves no metal'):
        a_house(buyable=[{**sheet, "size": "1 x 9 in"}])
