"""The account told: lines of text for the estimator, a JSON table for other programs, CSV for a spreadsheet.

Amounts in JSON are texts of decimals, so that no program rounds them; null where there is no price.

Keys of the JSON (``name[]`` is a list, ``name{}`` a table whose keys are names of the day):

    .: format title house currency rounding method day flats[] jobs[] plates[] shares{} held[] notes[]
    .day: SUM offcuts_kept
    .flats: number sheet metal gauge width height price everything unshared
    .flats.everything: SUM
    .flats.unshared: SUM
    .jobs: job customer SUM waste pays
    .plates: plate job flat SUM
    .shares: flat bill offcuts_kept orders standard_error says jobs[]
    .shares.jobs: job own waste bill alone capped

SUM is areas{} weights{} area weight chips scrap cost credit net partly_unpriced; areas and weights are by class.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Final

from planner.estimate.account import ITEMS, Account, Line
from planner.estimate.rounding import RULE
from planner.estimate.sharing_waste import FlatShare
from planner.estimate.sums import Sum, by_flat, by_job, by_plate, sum_of
from planner.prices import Method

FORMAT: Final = "flatwright account 1"

METHOD_WORDS: Final[Mapping[Method, str]] = {
    "area": "by blank area",
    "alone": "by the waste each would make alone",
    "marginal": "by what each adds, over all orders of arrival",
}


@dataclass(frozen=True, slots=True)
class JobBill:
    """What a job pays for the day's metal: its own, its share of waste, less what its own waste brings."""

    job: str
    customer: str
    own: Sum
    waste: Decimal | None
    """None where no metal of it has a price."""
    pays: Decimal | None
    alone: Decimal | None
    """On sheets of its own, flat by flat, less the same credit; None where nobody asked."""


@dataclass(frozen=True, slots=True)
class Told:
    """An account with its waste shared: by the method that counts, and by those beside it."""

    account: Account
    method: Method
    shares: Mapping[Method, tuple[FlatShare, ...]]

    def bills(self, method: Method | None = None) -> list[JobBill]:
        """Give every job's bill by a method, in the order of the plan."""
        own = by_job(self.account.lines)
        bills = []
        for job, customer in self.account.jobs:
            if job not in own:
                continue
            mine = [one for flat in self.shares[method or self.method] for one in flat.jobs if one.job == job]
            waste = sum((one.waste for one in mine), Decimal(0)) if mine else None
            net = own[job].net
            alone = [one.alone for one in mine if one.alone is not None]
            bills.append(
                JobBill(
                    job=job, customer=customer, own=own[job], waste=waste,
                    pays=None if net is None or waste is None else net + waste,
                    alone=sum(alone, Decimal(0)) - own[job].credit if mine and len(alone) == len(mine) else None,
                )
            )  # fmt: skip
        return bills

    @property
    def kept(self) -> Decimal:
        """Worth of the offcuts that the house takes back."""
        return sum((flat.kept for flat in self.shares[self.method]), Decimal(0))

    @property
    def notes(self) -> list[str]:
        """All that has to be known beside the figures."""
        said = list(self.account.notes)
        for method, flats in self.shares.items():
            said += [f"Flat {flat.flat}, {METHOD_WORDS[method]}: {flat.says}." for flat in flats if flat.says]
            said += [
                f"Flat {flat.flat}, {METHOD_WORDS[method]}: {flat.orders} orders of arrival were tried; the standard "
                f"error of a share is {flat.error} {self.account.currency} at most."
                for flat in flats
                if flat.orders is not None
            ]
        return said


def account_table(told: Told) -> dict[str, Any]:
    """Give the account as plain data; the keys never vary."""
    account = told.account
    plates, flats = by_plate(account.lines), by_flat(account.lines)
    where = {line.plate: line for line in account.lines if line.plate is not None}
    return {
        "format": FORMAT,
        "title": account.title,
        "house": account.house,
        "currency": account.currency,
        "rounding": RULE,
        "method": told.method,
        "day": _sum(sum_of(account.lines)) | {"offcuts_kept": str(told.kept)},
        "flats": [
            {
                "number": flat.number, "sheet": flat.sheet, "metal": flat.metal, "gauge": flat.gauge,
                "width": flat.width, "height": flat.height, "price": _text(flat.price),
                "everything": _sum(flats[flat.number]),
                "unshared": _sum(sum_of(_unshared(account.lines, flat.number))),
            }
            for flat in account.flats
        ],
        "jobs": [
            {"job": bill.job, "customer": bill.customer, **_sum(bill.own), "waste": _text(bill.waste),
             "pays": _text(bill.pays)}
            for bill in told.bills()
        ],
        "plates": [
            {"plate": plate, "job": where[plate].job, "flat": where[plate].flat, **_sum(found)}
            for plate, found in plates.items()
        ],
        "shares": {method: [_share(flat) for flat in found] for method, found in told.shares.items()},
        "held": list(account.held),
        "notes": told.notes,
    }  # fmt: skip


def _unshared(lines: Sequence[Line], flat: int) -> Iterator[Line]:
    return (line for line in lines if line.flat == flat and line.plate is None)


def _sum(found: Sum) -> dict[str, Any]:
    return {
        "areas": {item: str(found.areas[item]) for item in ITEMS if item != "making up"},
        "weights": {item: str(found.weights[item]) for item in ITEMS if item != "making up"},
        "area": str(found.area),
        "weight": str(found.weight),
        "chips": str(found.chips),
        "scrap": str(found.scrap),
        "cost": _text(found.cost),
        "credit": str(found.credit),
        "net": _text(found.net),
        "partly_unpriced": found.unpriced,
    }


def _share(flat: FlatShare) -> dict[str, Any]:
    return {
        "flat": flat.flat,
        "bill": str(flat.bill),
        "offcuts_kept": str(flat.kept),
        "orders": flat.orders,
        "standard_error": str(flat.error),
        "says": flat.says,
        "jobs": [
            {"job": one.job, "own": str(one.own), "waste": str(one.waste), "bill": str(one.bill),
             "alone": _text(one.alone), "capped": one.capped}
            for one in flat.jobs
        ],
    }  # fmt: skip


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


_CSV_HEAD: Final = (
    "flat", "sheet", "metal", "gauge in", "job", "plate", "class", "sq in", "lb", "chips lb", "scrap lb", "cost",
    "credit", "currency",
)  # fmt: skip


def account_csv(account: Account) -> str:
    """Give the account's lines as CSV: every sum of the account is a sum of these."""
    flats = {flat.number: flat for flat in account.flats}
    file = io.StringIO()
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow(_CSV_HEAD)
    for line in account.lines:
        flat = flats[line.flat]
        writer.writerow(
            (
                line.flat, _harmless(flat.sheet), flat.metal, flat.gauge, _harmless(line.job or ""),
                _harmless(line.plate or ""), line.item, line.area, line.weight, line.chips, line.scrap,
                "" if line.cost is None else line.cost, line.credit, account.currency,
            )
        )  # fmt: skip
    return file.getvalue()


def _harmless(text: str) -> str:
    """A spreadsheet takes what begins like a formula for one."""
    return f"'{text}" if text[:1] in ("=", "+", "-", "@") else text


def money(amount: Decimal | None, currency: str) -> str:
    """Say an amount of money, or that there is no price."""
    return "not priced" if amount is None else f"{currency} {amount:,.2f}"


def account_lines(told: Told) -> list[str]:
    """Give the account as lines of text: the day, its flats, its jobs, and the methods side by side."""
    account = told.account
    day, flats = sum_of(account.lines), by_flat(account.lines)
    currency = account.currency
    lines = [
        f"{account.title or 'The day'}: {len(account.flats)} flats, {day.area:,.1f} sq in, {day.weight:,.2f} lb",
        f"  metal {money(day.cost, currency)}, waste brings {money(day.credit, currency)} "
        f"({day.chips:,.2f} lb of chips, {day.scrap:,.2f} lb of scrap), net {money(day.net, currency)}",
        f"  offcuts back to the house {money(told.kept, currency)}",
        "",
    ]
    shown = [item for item in ITEMS if item != "making up"]
    rows = [["sq in", *shown, "all", "lb", "cost", "credit"]]
    for flat in account.flats:
        found = flats[flat.number]
        rows.append(
            [f"flat {flat.number}, {flat.sheet}", *(f"{found.areas[item]:.1f}" for item in shown), f"{found.area:.1f}",
             f"{found.weight:.2f}", _amount(found.cost), f"{found.credit:.2f}"]
        )  # fmt: skip
    rows.append(
        ["day", *(f"{day.areas[item]:.1f}" for item in shown), f"{day.area:.1f}", f"{day.weight:.2f}",
         _amount(day.cost), f"{day.credit:.2f}"]
    )  # fmt: skip
    lines += [*aligned(rows), "", f"Waste shared {METHOD_WORDS[told.method]}:"]
    rows = [["job", "customer", "plates sq in", "lb", "own metal", "credit", "waste", "pays"]]
    for bill in told.bills():
        rows.append(
            [bill.job, bill.customer, f"{bill.own.area:.1f}", f"{bill.own.weight:.2f}", _amount(bill.own.cost),
             f"{bill.own.credit:.2f}", _amount(bill.waste), _amount(bill.pays)]
        )  # fmt: skip
    lines += aligned(rows, left=2)
    if len(told.shares) > 1:
        lines += ["", "What each job pays, by method:", *aligned(side_by_side(told), left=1)]
    return [*lines, *(["", *told.notes] if told.notes else []), "", RULE]


def side_by_side(told: Told) -> list[list[str]]:
    """Give what each job pays by every method that was worked out, and alone; the first row names the columns."""
    methods = list(told.shares)
    bills = {method: told.bills(method) for method in methods}
    rows = [["job", *methods, "on its own sheets"]]
    for place, first in enumerate(bills[methods[0]]):
        alone = next((bills[method][place].alone for method in methods if bills[method][place].alone is not None), None)
        rows.append([first.job, *(_amount(bills[method][place].pays) for method in methods), _amount(alone)])
    rows.append(["all", *(_amount(_total([bill.pays for bill in bills[method]])) for method in methods), ""])
    return rows


def _total(amounts: Sequence[Decimal | None]) -> Decimal | None:
    known = [amount for amount in amounts if amount is not None]
    return sum(known, Decimal(0)) if known else None


def _amount(amount: Decimal | None) -> str:
    return "-" if amount is None else f"{amount:,.2f}"


def aligned(rows: Sequence[Sequence[str]], left: int = 1) -> list[str]:
    """Set rows in columns: the first ``left`` of them to the left, numbers to the right."""
    widths = [max(len(row[place]) for row in rows) for place in range(len(rows[0]))]
    return [
        "  " + "  ".join(
            text.ljust(width) if place < left else text.rjust(width)
            for place, (text, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]  # fmt: skip
