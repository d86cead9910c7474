"""The account closes: in square inches, pounds and money, by plate, job, flat, class and day."""

from __future__ import annotations

import csv
import io
import json
from decimal import Decimal
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from planner.estimate.account import ITEMS, account_of
from planner.estimate.measures import _quick_areas
from planner.estimate.sharing_waste import all_shares
from planner.estimate.sums import by_flat, by_job, by_plate, shared, sum_of
from planner.estimate.telling import Told, account_csv, account_lines, account_table
from planner.forms import InputError
from planner.house import House
from planner.ledger import placement_areas
from planner.metals import weight_of
from planner.plan import Plan

from ..days import a_day, a_house, days, houses, planned

SCRAP = {"scrap": {"zinc": "0.31", "copper": "0.83"}, "chips": {"copper": 0.57}}


def told(plan: Plan, house: House, *methods: Any) -> Told:
    account = account_of(plan, house)
    methods = methods or (house.prices.sharing.method,)
    return Told(account, methods[0], all_shares(account, plan, house, methods))


def priced(tables: dict[str, Any], price: str, **prices: Any) -> House:
    """The house with prices on its zinc, none on its copper."""
    sheets = [{**sheet, "price": price} if sheet["metal"] == "zinc" else sheet for sheet in tables["sheets"]]
    return a_house(**{**tables, "sheets": sheets, "prices": prices})


@settings(max_examples=6, deadline=None, suppress_health_check=list(HealthCheck))
@given(days(), houses(), st.sampled_from(["21.60", "0.07", "1000"]), st.sampled_from([{}, SCRAP]))
def test_the_account_closes_on_any_day(day: dict[str, Any], tables: dict[str, Any], price: str, waste: Any) -> None:
    house = priced(tables, price, **(waste if price == "1000" else {}))
    plan = planned(day, house, iterations=5)
    account = account_of(plan, house)
    total = sum_of(account.lines)
    flats, jobs, plates = by_flat(account.lines), by_job(account.lines), by_plate(account.lines)
    rest = shared(account.lines)

    def agree(value: Any) -> None:
        assert sum(value(one) for one in plates.values()) == sum(value(one) for one in jobs.values())
        assert sum(value(one) for one in jobs.values()) + value(rest) == value(total)
        assert sum(value(one) for one in flats.values()) == value(total)

    agree(lambda found: found.area)
    agree(lambda found: found.weight)
    agree(lambda found: found.chips)
    agree(lambda found: found.scrap)
    agree(lambda found: found.credit)
    agree(lambda found: found.cost or 0)
    for item in ITEMS:
        agree(lambda found, item=item: found.areas[item])
        agree(lambda found, item=item: found.weights[item])
        if item != "making up":
            within = 0.001 * (len(plan.plates) + len(plan.flats)) + 1e-6
            assert float(total.areas[item]) == pytest.approx(getattr(plan.ledger.total, item), abs=within)
    for placed in (placement for flat in plan.flats for placement in flat.placements):
        assert _quick_areas(placed) == pytest.approx(placement_areas(placed), abs=1e-6)
    for flat in account.flats:
        assert flats[flat.number].cost == flat.price
        assert float(flats[flat.number].area) == pytest.approx(flat.width * flat.height, abs=0.0006)
        weight = weight_of(flat.metal, flat.width * flat.height, flat.gauge)
        assert float(flats[flat.number].weight) == pytest.approx(weight, abs=0.0006)
    rows = list(csv.DictReader(io.StringIO(account_csv(account))))
    assert sum(Decimal(row["cost"] or 0) for row in rows) == (total.cost or 0)
    assert sum(Decimal(row["sq in"]) for row in rows) == total.area


def test_a_plate_on_a_sheet_by_hand() -> None:
    """A 4 x 5 in plate, all of it printing, unmounted, trim 1/16 in, on a 10 x 10 in sheet at 5.00.

    Printing 20; trim (4 1/8 x 5 1/8) - 20 = 1.140625 and what no cut takes off; a square inch costs 5 cents.
    """
    house = a_house(
        sheets=[{"metal": "zinc", "size": "10 x 10 in", "price": 5}],
        glass={"grip": "0 in"}, flats={"least_offcut": "4 x 5 in"}, cutting={"gap": "0 in"},
        film={"safe_edge": "0 in"}, prices={"flat": "1.25", "scrap": {"zinc": "0.40"}},
    )  # fmt: skip
    plan = planned(a_day({"size": "4 x 5 in", "mounting": "unmounted", "screen": 65}), house)
    account = account_of(plan, house)
    (plate,) = by_plate(account.lines).values()
    assert plate.areas["printing"] == 20
    assert plate.areas["trim"] == Decimal("1.141")
    assert plate.cost == Decimal("1.06")  # 1.00 and 0.057
    # 100 sq in of 0.064 in zinc weigh 2.375 / 1.44 = 1.649 lb; the trim 0.0188 lb, at 0.40 a pound not quite a cent.
    total = sum_of(account.lines)
    assert total.weight == Decimal("1.649")
    assert total.cost == Decimal("6.25")
    left = total.areas["offcut"] + total.areas["scrap"]
    assert left == 100 - plate.area
    solid = 0.01649 * float(plate.areas["trim"] + total.areas["scrap"])
    assert float(total.scrap) == pytest.approx(solid, abs=0.001)
    assert total.credit == (total.scrap * Decimal("0.40")).quantize(Decimal("0.01"))


def test_router_chips_are_by_depth_and_saw_chips_by_full_gauge() -> None:
    house = a_house(
        cutting={"how": "saw", "layout": "straight"}, sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": 20}],
        prices={"scrap": {"zinc": "0.30"}, "chips": {"zinc": "0.20"}},
    )  # fmt: skip
    negative = {"kind": "line", "size": "1 x 1 in", "at": "1, 1 in"}
    plan = planned(a_day({"size": "4 x 5 in", "negatives": [negative]}), house)
    account = account_of(plan, house)
    total = sum_of(account.lines)
    routed = sum(zone.area * zone.depth for work in plan.router for zone in work.zones)
    zinc = weight_of("zinc", 1, 1)
    kerf = plan.ledger.total.kerf * 0.064 * zinc
    assert routed > 0
    assert float(total.chips) == pytest.approx(routed * zinc + kerf, abs=0.0011)
    solid = plan.ledger.total.trim + plan.ledger.total.grip + plan.ledger.total.scrap
    assert float(total.scrap) == pytest.approx(solid * 0.064 * zinc, abs=0.0011)
    chips, scrap = total.chips * Decimal("0.20"), total.scrap * Decimal("0.30")
    assert total.credit == chips.quantize(Decimal("0.01"), "ROUND_HALF_UP") + scrap.quantize(
        Decimal("0.01"), "ROUND_HALF_UP"
    )


def test_metal_without_a_price_has_areas_and_weights_only_and_says_so() -> None:
    house = a_house(sheets=[{"metal": "zinc", "size": "18 x 24 in"}], prices=SCRAP)
    found = told(planned(a_day({"size": "4 x 5 in"}), house), house, "area", "alone")
    total = sum_of(found.account.lines)
    assert (total.area, total.cost, total.net, total.credit) == (432, None, None, 0)
    assert "Not priced, so only areas and weights: zinc 18 x 24 in." in found.notes
    (bill,) = found.bills()
    assert bill.pays is None
    text = "\n".join(account_lines(found))
    assert "not priced" in text
    assert json.loads(json.dumps(account_table(found)))["day"]["cost"] is None


def test_what_jobs_pay_and_the_offcuts_kept_are_the_days_net() -> None:
    for offcuts in ("house", "jobs"):
        house = a_house(
            sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": "11.83"}],
            prices={"flat": "6.49", "scrap": {"zinc": "0.31"}, "sharing": {"offcuts": offcuts}},
        )
        day = {"jobs": [
            {"number": str(job), "plates": [{"name": "A", "size": f"{job + 2} x 5 in", "metal": "zinc"}]}
            for job in range(4)
        ]}  # fmt: skip
        found = told(planned(day, house), house, "marginal", "area", "alone")
        table = account_table(found)
        for method in ("area", "alone", "marginal"):
            paid = sum(bill.pays or 0 for bill in found.bills(method))  # type: ignore[arg-type]
            assert paid + found.kept == sum_of(found.account.lines).net
        assert (found.kept > 0) == (offcuts == "house")
        assert sum(Decimal(job["pays"]) for job in table["jobs"]) + Decimal(table["day"]["offcuts_kept"]) == Decimal(
            table["day"]["net"]
        )
        assert table["format"] == "flatwright account 1"
        assert "In the cost of every flat are $ 6.49" in table["notes"][0]


def test_the_house_must_count_in_the_plans_currency() -> None:
    plan = planned(a_day({"size": "4 x 5 in"}))
    with pytest.raises(InputError, match=r"the plan counts in \$, the house file in EUR"):
        account_of(plan, a_house(prices={"currency": "EUR"}))


def test_scrap_dearer_than_metal_is_a_slip() -> None:
    house = a_house(sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": 5}], prices={"scrap": {"zinc": 4}})
    with pytest.raises(InputError, match=r"costs 0\.70 new, and the house file says that zinc waste brings 4"):
        account_of(planned(a_day({"size": "4 x 5 in"}), house), house)


@pytest.mark.parametrize("price", ["12 EUR", "-3", "nan", ""])
def test_a_plan_edited_by_hand_is_refused(price: str) -> None:
    house = a_house(sheets=[{"metal": "zinc", "size": "18 x 24 in", "price": 5}])
    plan = planned(a_day({"size": "4 x 5 in"}), house)
    (flat,) = plan.flats
    bad = flat.model_copy(update={"sheet": flat.sheet.model_copy(update={"price": price})})
    with pytest.raises(InputError, match="is no price"):
        account_of(plan.model_copy(update={"flats": (bad,)}), house)


def test_a_ledger_that_is_not_the_shapes_is_refused() -> None:
    plan = planned(a_day({"size": "4 x 5 in"}))
    (flat,) = plan.ledger.flats
    areas = flat.areas.model_copy(update={"trim": flat.areas.trim + 1, "scrap": flat.areas.scrap - 1})
    ledger = plan.ledger.model_copy(update={"flats": (flat.model_copy(update={"areas": areas}),)})
    with pytest.raises(InputError, match="has other areas in its ledger"):
        account_of(plan.model_copy(update={"ledger": ledger}), a_house())
    off = flat.areas.model_copy(update={"scrap": flat.areas.scrap - 1})
    ledger = plan.ledger.model_copy(update={"flats": (flat.model_copy(update={"areas": off}),)})
    with pytest.raises(InputError, match="does not add up to its sheet"):
        account_of(plan.model_copy(update={"ledger": ledger}), a_house())


def test_a_spreadsheet_is_not_handed_formulas() -> None:
    house = a_house()
    plan = planned(
        {"jobs": [{"number": "=1+1", "plates": [{"name": "A", "size": "4 x 5 in", "metal": "zinc"}]}]}, house
    )
    rows = list(csv.DictReader(io.StringIO(account_csv(account_of(plan, house)))))
    assert {row["job"] for row in rows} == {"'=1+1", ""}
