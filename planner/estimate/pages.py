"""Account, quotation and difference as pages to be printed: the words in order, for `planner.sheets.estimate`."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from planner.estimate.account import ITEMS
from planner.estimate.actual import CAUSES, Outcome
from planner.estimate.paging import ExplainedTable
from planner.estimate.quoting import JobQuote, Quote
from planner.estimate.rounding import RULE
from planner.estimate.sums import Sum, by_flat, by_plate, sum_of
from planner.estimate.telling import METHOD_WORDS, Told, money, side_by_side
from planner.lengths import size_text
from planner.plan import PLATE_CLASSES
from planner.sheets.estimate import Page, Table
from planner.sheets.text import cut_at

_SHOWN = tuple(item for item in ITEMS if item != "making up")
_METAL_WORDS = (
    "printing is the metal that prints, and what stands between its lines; routed, what the router takes away; flange, "
    "the edge that is nailed, with its slope; trim, what is cut off to make the plate true"
)
_SHEET_WORDS = (
    "kerf is what the saw turns to chips; grip, the margin by which the sheet is held; offcut, what goes back on the "
    "rack; scrap, what is sold for melting"
)
_MONEY_WORDS = "Cost is the metal at the price of its own sheet; credit, what its chips and scrap bring"
_METHODS_SAID = {
    "area": "area: waste is shared by the area of what is cut for each job",
    "alone": "alone: by the waste that each job would make on sheets of its own",
    "marginal": "marginal: a job pays what it adds to the cost, on average over all orders in which jobs could come",
}
_ADVICE = "This account is arithmetic on a plan; what was really cut is told with flatwright actual."


def account_page(told: Told) -> Page:
    """Give the page of a day's account."""
    account = told.account
    day, flats = sum_of(account.lines), by_flat(account.lines)
    currency = account.currency
    tables = [
        _flats(told, day, flats, currency),
        _jobs(told, currency),
        *([_methods(told, currency)] if len(told.shares) > 1 else []),
        _plates(told, currency),
    ]
    counts = f"{len(account.flats)} flats, {day.area:,.1f} sq in, {day.weight:,.2f} lb of metal"
    what = (
        f"metal {money(day.cost, currency)}, waste brings {money(day.credit, currency)}, net "
        f"{money(day.net, currency)}; offcuts back to the house {money(told.kept, currency)}"
    )
    shop = "  \u2014  ".join(word for word in (account.house, account.title) if word)
    return Page(
        name="METAL ACCOUNT", place="the whole day",
        lines=((counts, True), (what, False), (shop, False)),
        tables=tuple(tables), sentences=(*told.notes, RULE, _ADVICE),
    )  # fmt: skip


def _flats(told: Told, day: Sum, flats: dict[int, Sum], currency: str) -> Table:
    rows = [(f"{flat.number}. {flat.sheet}", *_figures(flats[flat.number])) for flat in told.account.flats]
    rows.append(("the day", *_figures(day)))
    return ExplainedTable(
        "flats", f"THE SHEETS: square inches by class, pounds, money in {currency}",
        ("flat and sheet", *_SHOWN, "all", "lb", _in("cost", currency), _in("credit", currency)), tuple(rows),
        sums=frozenset({len(rows) - 1}),
        note=f"THE SHEETS: each column to \u201call\u201d is square inches of the sheet. Of each plate {_METAL_WORDS}. "
        f"Of the sheet {_SHEET_WORDS}. All is the whole sheet, lb its weight. {_MONEY_WORDS}.",
    )  # fmt: skip


def _figures(found: Sum) -> tuple[str, ...]:
    areas = (f"{found.areas[item]:,.1f}" for item in _SHOWN)
    return (*areas, f"{found.area:,.1f}", f"{found.weight:,.2f}", amount(found.cost), amount(found.credit))


def _jobs(told: Told, currency: str) -> Table:
    bills = told.bills()
    rows = [
        (bill.job, bill.customer, f"{bill.own.area:,.1f}", f"{bill.own.weight:,.2f}", amount(bill.own.cost),
         amount(bill.own.credit), amount(bill.waste), amount(bill.pays))
        for bill in bills
    ]  # fmt: skip
    rows.append(
        ("all jobs", "", f"{sum((bill.own.area for bill in bills), Decimal(0)):,.1f}",
         f"{sum((bill.own.weight for bill in bills), Decimal(0)):,.2f}", added([bill.own.cost for bill in bills]),
         added([bill.own.credit for bill in bills]), added([bill.waste for bill in bills]),
         added([bill.pays for bill in bills]))
    )  # fmt: skip
    return ExplainedTable(
        "jobs", f"THE JOBS: waste shared {METHOD_WORDS[told.method]}",
        ("job", "customer", "plates, sq in", "lb", *(_in(name, currency) for name in ("own metal", "credit", "waste",
        "pays"))), tuple(rows), words=2, sums=frozenset({len(rows) - 1}),
        note="THE JOBS: plates is the metal that was cut for the job's own plates, lb its weight, own metal its cost; "
        "credit, what its own chips and trimmings bring; waste, its share of what a sheet loses besides (kerf, grip "
        "margin, scrap, making the flat up), less what that brings. Pays = own metal \u2212 credit + waste.",
    )  # fmt: skip


def _methods(told: Told, currency: str) -> Table:
    head, *rows = side_by_side(told)
    ways = "; ".join(_METHODS_SAID[method] for method in told.shares)
    return ExplainedTable(
        "methods", f"WHAT EACH JOB PAYS, BY METHOD, in {currency}",
        (head[0], *(_in(name, currency) for name in head[1:])), tuple(tuple(row) for row in rows),
        sums=frozenset({len(rows) - 1}),
        note=f"WHAT EACH JOB PAYS: the last column of the jobs, by each way of sharing. {ways[0].upper()}{ways[1:]}."
        " On its own sheets is what the job would pay if nobody shared a sheet with it.",
    )  # fmt: skip


def _in(name: str, currency: str) -> str:
    return f"{name}, {currency}"


def _plates(told: Told, currency: str) -> Table:
    flat_of = {line.plate: line.flat for line in told.account.lines if line.plate is not None}
    rows = [
        (plate, str(flat_of[plate]), *(f"{found.areas[item]:,.2f}" for item in PLATE_CLASSES),
         f"{found.area:,.2f}", f"{found.weight:,.3f}", f"{found.chips:,.3f}", amount(found.cost), amount(found.credit))
        for plate, found in by_plate(told.account.lines).items()
    ]  # fmt: skip
    return ExplainedTable(
        "plates", f"THE PLATES: square inches by class, pounds, money in {currency}",
        ("plate", "flat", *PLATE_CLASSES, "all", "lb", "chips, lb", _in("cost", currency), _in("credit", currency)),
        tuple(rows),
        note=f"THE PLATES: each column to \u201call\u201d is square inches; {_METAL_WORDS}. All is what was cut for "
        f"the plate, lb its weight, chips what the router turned to chips of it. {_MONEY_WORDS}.",
    )  # fmt: skip


def amount(value: Decimal | None) -> str:
    """Write an amount of money without its sign; a dash where there is no price."""
    return "-" if value is None else f"{value:,.2f}"


def added(values: Sequence[Decimal | None]) -> str:
    """Write the sum of the amounts that are known."""
    known = [value for value in values if value is not None]
    return amount(sum(known, Decimal(0)) if known else None)


def quotation_page(quote: Quote, job: JobQuote) -> Page:
    """Give the page of one job's quotation, for the customer: prices, and nothing of what the metal costs the shop."""
    rows: list[tuple[str, ...]] = []
    for plate in job.plates:
        size = size_text(float(plate.size.width), float(plate.size.height))
        rows.append((plate.name, f"{plate.kind} on {plate.metal}, {size}", str(plate.count), amount(plate.each),
                     amount(plate.price)))  # fmt: skip
        if len(plate.lines) > 1:
            rows += [("", f"\u2013 {line.what}{f': {line.how}' if line.how else ''}", "", amount(line.amount), "")
                     for line in plate.lines]  # fmt: skip
    total = amount(job.price)
    rows.append(("to pay", f"in {quote.currency}", "", "", total))
    sentences = [
        f"This quotation holds for {quote.valid_days} days from its date: ____________________",
        "It is made from the order as it stands. Copy that differs from it, and changes after the negatives are made, "
        "are charged anew.",
        "Signed for the shop: ____________________",
        "Accepted: ____________________",
    ]
    if job.metal.held:
        sentences.insert(0, f"Not included, as no sheet holds it: {', '.join(job.metal.held)}.")
    return Page(
        name="QUOTATION", place=f"job {cut_at(job.number, 20)}",
        lines=((f"For {job.customer}" if job.customer else "", True), (quote.title, False), (quote.house, False)),
        tables=(
            ExplainedTable(
                "charges", "PLATES AND WHAT THEY COST",
                ("plate", "what it is", "number", _in("each", quote.currency), _in("price", quote.currency)),
                tuple(rows), words=2, sums=frozenset({len(rows) - 1}),
                note="Number is how many alike, each the price of one, price that of all; lines that begin with a dash "
                "say what the price of one is made of.",
            ),
        ),
        sentences=tuple(sentences), width=8.5, height=11.0,
    )  # fmt: skip


def outcome_page(outcome: Outcome) -> Page:
    """Give the page of what was really cut against what was planned."""
    account = outcome.account
    sheets = [
        (sheet.name, str(sheet.planned), str(sheet.used), str(sheet.spoiled), str(sheet.remade), amount(sheet.price))
        for sheet in outcome.sheets
    ]
    causes: list[tuple[str, ...]] = []
    sums = []
    for cause in CAUSES:
        entries = [one for one in outcome.differences if one.cause == cause]
        causes += [(cause, one.what, one.why, amount(one.money)) for one in entries]
        if entries:
            sums.append(len(causes))
            causes.append((f"{cause}, all", "", "", amount(outcome.of(cause))))
    sums.append(len(causes))
    causes.append(("difference", "", "", amount(outcome.actual - outcome.planned)))
    shop = "  \u2014  ".join(word for word in (account.house, account.title) if word)
    words = f"planned {money(outcome.planned, account.currency)}, came to {money(outcome.actual, account.currency)}"
    return Page(
        name="AFTER THE WORK", place="the whole day",
        lines=((words, True), ("sheets, less what waste brings and the worth of offcuts", False), (shop, False)),
        tables=(
            ExplainedTable(
                "sheets", "SHEETS",
                ("sheet", "planned", "used", "spoiled", "for plates made again", _in("price", account.currency)),
                tuple(sheets),
                note="SHEETS: planned is how many the plan took, used how many were cut in all; spoiled and those for "
                "plates made again are among them; price is that of one.",
            ),
            ExplainedTable(
                "causes", f"THE DIFFERENCE BY CAUSE, in {account.currency}",
                ("cause", "what", "why", _in("money", account.currency)), tuple(causes), words=3, sums=frozenset(sums),
                note="THE DIFFERENCE: what each cause added to the cost of the day's metal; less than 0 is saved.",
            ),
        ),
        sentences=outcome.notes,
    )  # fmt: skip
