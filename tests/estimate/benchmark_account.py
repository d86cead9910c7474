"""How long the account of a large day takes once its plan is read: ``python -m tests.estimate.benchmark_account``.

Prints seconds of processor time; nothing is asserted.
"""

from __future__ import annotations

import argparse
import random
import time
from typing import Any

from planner.estimate.account import account_of
from planner.estimate.pages import account_page
from planner.estimate.paging import drawn_pages
from planner.estimate.sharing_waste import shares_of
from planner.estimate.telling import Told, account_csv, account_lines, account_table
from planner.flats import Search
from planner.house import house_from
from planner.orders import orders_from
from planner.plan import Plan, plan_text
from planner.planning import make_plan
from planner.prices import METHODS
from planner.rules import load_rules

HOUSE = {
    "sheets": [
        {"metal": "zinc", "size": "18 x 24 in", "price": "11.80"},
        {"metal": "zinc", "size": "24 x 36 in", "price": "21.60"},
    ],
    "prices": {"flat": "6.50", "scrap": {"zinc": "0.32"}},
}


def tables(plates: int, jobs: int) -> dict[str, Any]:
    """Plates with line work in them, so that there is dead metal."""
    dice = random.Random(0)
    made: list[dict[str, Any]] = [{"number": str(job), "plates": []} for job in range(jobs)]
    for number in range(plates):
        size = f"{dice.randint(8, 24)}/4 x {dice.randint(8, 24)}/4 in"
        negative = {"kind": "line", "size": "1 x 1 in", "at": "1/2, 1/2 in"}
        plate = {"name": f"P{number}", "size": size, "metal": "zinc", "negatives": [negative]}
        made[number % jobs]["plates"].append(plate)
    return {"jobs": made}


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plates", type=int, default=500)
    parser.add_argument("--jobs", type=int, default=60)
    parser.add_argument("--shares", action="store_true", help="also by every method of sharing, which nests coalitions")
    given = parser.parse_args()
    house = house_from(HOUSE, "house")
    orders = orders_from(tables(given.plates, given.jobs), "orders")
    made = make_plan(orders, house, load_rules(house, "house"), Search(iterations=50))
    plan = Plan.model_validate_json(plan_text(made))
    print(f"{len(plan.plates)} plates of {len(plan.jobs)} jobs on {len(plan.flats)} flats")
    start = time.process_time()
    account = account_of(plan, house)
    print(f"account                     {time.process_time() - start:6.2f} s")
    told = Told(account, "area", {"area": shares_of(account, plan, house, "area")})
    account_lines(told), account_table(told), account_csv(account)
    print(f"with shares by area, told   {time.process_time() - start:6.2f} s")
    pages = drawn_pages(account_page(told), "account")
    print(f"and drawn on {len(pages):2} pages       {time.process_time() - start:6.2f} s")
    for method in METHODS[1:] if given.shares else ():
        start = time.process_time()
        found = shares_of(account, plan, house, method)
        error = max(flat.error for flat in found)
        print(f"shared by {method:9}         {time.process_time() - start:6.2f} s, standard error at most {error}")


if __name__ == "__main__":
    main()
