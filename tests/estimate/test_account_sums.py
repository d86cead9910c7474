"""The cents of random days against sums that are made here, from what the plan.json says and nothing else."""

from __future__ import annotations

import csv
import io
import json
from collections import defaultdict
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from typing import Any

from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from planner.estimate.account import account_of
from planner.estimate.sharing_waste import all_shares
from planner.estimate.telling import Told, account_csv, account_table
from planner.plan import plan_text
from planner.prices import METHODS

from ..days import a_house, days, houses, planned

# g/cm3 as in CRC Handbook of Chemistry and Physics, 97th ed., 4-115 ff.; a cubic inch is 16.387064 cm3, a pound
# 453.59237 g.
POUNDS = {"zinc": 7.133 * 16.387064 / 453.59237, "copper": 8.96 * 16.387064 / 453.59237}
SCRAP = {"zinc": "0.31", "copper": "0.83"}
CHIPS = {"zinc": "0.07", "copper": "0.57"}
SOLD_SOLID = ("trim", "grip", "scrap")


def money(amount: Decimal) -> Decimal:
    return amount.quantize(Decimal("0.01"), ROUND_HALF_UP)


def brings(pounds: float, price: str) -> set[Decimal]:
    """What so many pounds bring; two amounts where the last thousandth hangs on the last bit of a float."""
    return {
        money(Decimal(repr(pounds + off)).quantize(Decimal("0.001"), ROUND_HALF_UP) * Decimal(price))
        for off in (-1e-9, 0.0, 1e-9)
    }


@settings(max_examples=4, deadline=None, suppress_health_check=list(HealthCheck), phases=[Phase.generate])
@given(
    days(), houses(), st.decimals("17.00", "999.99", places=2), st.sampled_from(["0", "6.49"]), st.booleans(),
    st.sampled_from(["house", "jobs"]),
)  # fmt: skip
def test_every_cent_of_a_random_day(
    day: dict[str, Any], tables: dict[str, Any], price: Decimal, making: str, capped: bool, offcuts: str
) -> None:
    sheets = [{**sheet, "price": str(price + place)} for place, sheet in enumerate(tables["sheets"])]
    sharing = {"never_more_than_alone": capped, "offcuts": offcuts, "orders": 10}
    prices = {"flat": making, "scrap": SCRAP, "chips": CHIPS, "sharing": sharing}
    house = a_house(**{**tables, "sheets": sheets, "prices": prices})
    plan = planned(day, house, iterations=2)
    account = account_of(plan, house)
    rows = list(csv.DictReader(io.StringIO(account_csv(account))))
    said = json.loads(plan_text(plan))
    flat_of = {placed["plate"]: flat["number"] for flat in said["flats"] for placed in flat["placements"]}
    routed: defaultdict[int, float] = defaultdict(float)
    for work in said["router"]:
        for plate in set(work["plates"]) & set(flat_of):
            routed[flat_of[plate]] += sum(zone["area"] * zone["depth"] for zone in work["zones"])
    cost, credit = Decimal(0), Decimal(0)
    for flat, ledger in zip(said["flats"], said["ledger"]["flats"], strict=True):
        sheet, areas = flat["sheet"], ledger["areas"]
        own = [row for row in rows if row["flat"] == str(flat["number"])]
        full = sheet["gauge"] * POUNDS[sheet["metal"]]
        parts: defaultdict[str, list[Decimal]] = defaultdict(list)
        for row in own:
            parts[row["class"]].append(Decimal(row["cost"]))
        assert parts.pop("making up", []) == ([] if making == "0" else [Decimal(making)])
        assert sum(sum(part) for part in parts.values()) == Decimal(sheet["price"])
        whole = sum(Fraction(area) for area in areas.values())
        for name, part in parts.items():
            exact = Fraction(sheet["price"]) * Fraction(areas[name]) / whole
            assert abs(Fraction(sum(part)) - exact) < Fraction(len(part), 100) + Fraction(1, 10**6), name
        sold = sum(Decimal(row["credit"]) for row in own)
        solid = brings(sum(areas[name] for name in SOLD_SOLID) * full, SCRAP[sheet["metal"]])
        chips = brings(routed[flat["number"]] * POUNDS[sheet["metal"]] + areas["kerf"] * full, CHIPS[sheet["metal"]])
        assert sold in {one + other for one in solid for other in chips}
        cost, credit = cost + Decimal(sheet["price"]) + Decimal(making), credit + sold
    shares = all_shares(account, plan, house, METHODS)
    for method in METHODS:
        table = account_table(Told(account, method, shares))
        assert (Decimal(table["day"]["cost"] or 0), Decimal(table["day"]["credit"])) == (cost, credit)
        paid = sum(Decimal(job["pays"]) for job in table["jobs"])
        assert paid + Decimal(table["day"]["offcuts_kept"]) == cost - credit, method
        assert (
            sum(Decimal(job["cost"]) + Decimal(job["waste"]) - Decimal(job["credit"]) for job in table["jobs"]) == paid
        )
        assert offcuts == "house" or Decimal(table["day"]["offcuts_kept"]) == 0
