"""Quotes: the metal as a range worked by hand, and what cannot be quoted."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from planner.estimate.quoting import Quote, quote_of
from planner.estimate.telling_quote import quote_lines, quote_table
from planner.forms import InputError
from planner.house import House
from planner.orders import Orders, orders_from
from planner.plan import Plan

from ..days import a_house, planned, rules_of

D = Decimal


def house(**prices: Any) -> House:
    """No margins, one kind of sheet: 10 x 10 in at 10.00, and 2.00 for making up a flat."""
    return a_house(
        sheets=[{"name": "square", "metal": "zinc", "size": "10 x 10 in", "price": 10, "count": 3}],
        glass={"grip": "0 in"}, cutting={"gap": "0 in", "trim": "0 in"}, film={"safe_edge": "0 in"},
        prices={"flat": 2, **prices},
    )  # fmt: skip


def tables(*sizes: str, first: int = 1, **plate: Any) -> dict[str, Any]:
    return {"jobs": [
        {"number": str(job), "customer": f"Customer {job}",
         "plates": [{"name": "A", "size": size, "metal": "zinc", "mounting": "unmounted", **plate}]}
        for job, size in enumerate(sizes, first)
    ]}  # fmt: skip


def orders(*sizes: str, first: int = 1, **plate: Any) -> Orders:
    return orders_from(tables(*sizes, first=first, **plate), f"orders from {first}")


def quoted(day: Orders, shop: House, *others: Orders, onto: Plan | None = None) -> Quote:
    return quote_of(day, shop, rules_of(shop), others, onto)


def test_alone_a_job_takes_its_own_sheets_and_at_least_its_metal() -> None:
    """7 x 10 and 5 x 10 in: a sheet and its making up each, 12.00; at 10 cents a square inch 7.00 and 5.00."""
    found = quoted(orders("7 x 10 in", "5 x 10 in"), house())
    assert [(job.metal.least, job.metal.alone, job.metal.alone_sheets) for job in found.jobs] == [
        (7, 12, (("square", 1),)), (5, 12, (("square", 1),)),
    ]  # fmt: skip
    # Zinc of 0.064 in weighs 2.375 lb a square foot, to a thousandth; this is 70 sq in.
    assert float(found.jobs[0].metal.weight) == pytest.approx(2.375 * 70 / 144, abs=0.0011)
    assert found.jobs[0].price is None
    assert "no price table" in found.notes[0]


def test_with_others_a_job_adds_little_or_takes_its_share() -> None:
    """Beside a 6 x 10 in plate a 3 x 10 one adds nothing; its share by area is a third of 12.00."""
    (job,) = quoted(orders("3 x 10 in", first=9), house(), orders("6 x 10 in")).jobs
    assert (job.metal.least, job.metal.alone) == (0, 12)
    assert "takes no further sheet and adds 0.00 to their cost of 12.00" in job.metal.reason
    assert "share of all sheets by blank area is 4.00" in job.metal.reason
    (job,) = quoted(orders("7 x 10 in", first=9), house(), orders("6 x 10 in")).jobs
    assert (job.metal.least, job.metal.alone) == (12, 12)
    assert "1 further sheet and adds 12.00" in job.metal.reason


def test_onto_a_plan_a_job_goes_into_its_open_space() -> None:
    """4 x 10 in are open on the flat: a 3 x 10 in plate is 30 sq in of it, at 10 cents; a 5 x 10 in one is not."""
    plan = planned(tables("6 x 10 in"), house())
    (job,) = quoted(orders("3 x 10 in", first=9), house(), onto=plan).jobs
    assert (job.metal.least, job.metal.alone) == (3, 12)
    assert "open space of flat 1 of the plan takes all of it, metal that counts as 3.00" in job.metal.reason
    (job,) = quoted(orders("5 x 10 in", first=9), house(), onto=plan).jobs
    assert (job.metal.least, job.metal.reason) == (12, "the flats of the plan have no open space for it")


def test_plates_that_no_sheet_holds_are_named() -> None:
    (job,) = quoted(orders("30 x 10 in"), house()).jobs
    assert job.metal.held == ("1/A",)
    assert (job.metal.least, job.metal.alone) == (0, 0)


def test_metal_without_a_price_has_no_range() -> None:
    shop = a_house(sheets=[{"metal": "zinc", "size": "10 x 10 in"}])
    for others in ((), (orders("4 x 4 in"),)):
        found = quoted(orders("3 x 3 in", first=9), shop, *others)
        assert found.jobs[0].metal.alone is None
        assert found.jobs[0].metal.area > 9
        assert "not priced" in "\n".join(quote_lines(found))
    plan = planned(tables("4 x 4 in"), shop)
    (job,) = quoted(orders("3 x 3 in", first=9), shop, onto=plan).jobs
    assert job.metal.least is None
    assert "takes all of it" in job.metal.reason


def test_the_price_is_that_of_its_plates() -> None:
    shop = house(line={"rate": "0.10", "minimum": 2}, extras={"further_original": {"factor": 0.5}})
    found = quoted(orders("7 x 10 in", "2 x 3 in", quantity=3), shop)
    assert [job.price for job in found.jobs] == [7 + 2 * D("3.50"), 2 + 2 * 1]
    table = quote_table(found)
    assert table["format"] == "flatwright quote 1"
    for job in table["jobs"]:
        assert D(job["price"]) == sum(D(plate["price"]) for plate in job["plates"])
        for plate in job["plates"]:
            assert D(plate["each"]) == sum(D(line["amount"]) for line in plate["lines"])
            assert D(plate["price"]) == plate["count"] * D(plate["each"])
    text = "\n".join(quote_lines(found))
    assert "metal: $ 21.00 to $ 36.00" in text
    assert "NOTE: the price is less than its metal on sheets of its own" in text


@pytest.mark.parametrize("way", ["with", "onto"])
def test_a_job_is_quoted_once(way: str) -> None:
    more: dict[str, Any] = {"onto": planned(tables("3 x 3 in"), house())} if way == "onto" else {}
    others = (orders("3 x 3 in"),) if way == "with" else ()
    with pytest.raises(InputError, match=r"job 1: is in (the plan|orders from 1) too; quote for it once"):
        quoted(orders("2 x 2 in"), house(), *others, **more)


def test_a_plan_in_another_currency_is_refused() -> None:
    plan = planned(tables("3 x 3 in"), house(currency="d"))
    with pytest.raises(InputError, match=r"the plan counts in d, the house file in \$"):
        quoted(orders("2 x 2 in", first=9), house(), onto=plan)
