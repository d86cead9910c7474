"""The quote told: lines of text for the estimator, and a JSON table for other programs.

Keys of the JSON (``name[]`` is a list, ``name{}`` a table whose keys are names of the day):

    .: format title house currency valid_days rounding jobs[] notes[]
    .jobs: job customer price metal plates[]
    .jobs.metal: area weight least alone alone_sheets{} reason held[]
    .jobs.plates: plate kind metal width height area count each price lines[]
    .jobs.plates.lines: what how amount
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Final

from planner.estimate.charging import PricedPlate
from planner.estimate.quoting import JobQuote, MetalRange, Quote
from planner.estimate.rounding import RULE
from planner.estimate.telling import aligned, money
from planner.lengths import size_text

FORMAT: Final = "flatwright quote 1"


def quote_table(quote: Quote) -> dict[str, Any]:
    """Give the quote as plain data; the keys never vary, and amounts are texts of decimals."""
    return {
        "format": FORMAT,
        "title": quote.title,
        "house": quote.house,
        "currency": quote.currency,
        "valid_days": quote.valid_days,
        "rounding": RULE,
        "jobs": [
            {
                "job": job.number,
                "customer": job.customer,
                "price": _text(job.price),
                "metal": _metal(job.metal),
                "plates": [_plate(plate) for plate in job.plates],
            }
            for job in quote.jobs
        ],
        "notes": list(quote.notes),
    }


def _metal(metal: MetalRange) -> dict[str, Any]:
    return {
        "area": str(metal.area),
        "weight": str(metal.weight),
        "least": _text(metal.least),
        "alone": _text(metal.alone),
        "alone_sheets": dict(metal.alone_sheets),
        "reason": metal.reason,
        "held": list(metal.held),
    }


def _plate(plate: PricedPlate) -> dict[str, Any]:
    return {
        "plate": plate.name,
        "kind": plate.kind,
        "metal": plate.metal,
        "width": str(plate.size.width),
        "height": str(plate.size.height),
        "area": str(plate.size.area),
        "count": plate.count,
        "each": str(plate.each),
        "price": str(plate.price),
        "lines": [{"what": line.what, "how": line.how, "amount": str(line.amount)} for line in plate.lines],
    }


def _text(amount: Decimal | None) -> str | None:
    return None if amount is None else str(amount)


def quote_lines(quote: Quote) -> list[str]:
    """Give the quote as lines of text: for every job its metal as a range, and its price plate by plate."""
    lines: list[str] = [f"{quote.title or 'Quote'}, {quote.house}"]
    for job in quote.jobs:
        lines += ["", *_job_lines(job, quote.currency)]
    return [*lines, *(["", *quote.notes] if quote.notes else []), "", RULE]


def _job_lines(job: JobQuote, currency: str) -> list[str]:
    metal = job.metal
    sheets = ", ".join(f"{count} of {name}" for name, count in metal.alone_sheets) or "no sheet"
    lines = [f"Job {job.number}{f', {job.customer}' if job.customer else ''}"]
    if metal.alone is None:
        lines.append(f"  metal: not priced; {metal.area:,.1f} sq in of blanks, {metal.weight:,.2f} lb")
    else:
        least = metal.alone if metal.least is None else metal.least
        lines.append(
            f"  metal: {money(least, currency)} to {money(metal.alone, currency)} "
            f"({metal.area:,.1f} sq in of blanks, {metal.weight:,.2f} lb)"
        )
    lines += [f"    the least: {metal.reason}", f"    the most: on its own sheets, {sheets}"]
    lines += [f"    on no sheet: {plate}" for plate in metal.held]
    rows = [["plate", "what", "", "amount"]]
    for plate in job.plates:
        size = size_text(float(plate.size.width), float(plate.size.height))
        rows.append([f"{plate.count} x {plate.name}", f"{plate.kind}, {size}", "each", f"{plate.each:,.2f}"])
        rows += [["", f"  {line.what}", line.how, f"{line.amount:,.2f}"] for line in plate.lines]
    if job.price is not None:
        lines += [*aligned(rows, left=3), f"  price {money(job.price, currency)}"]
        if metal.alone is not None and job.price < metal.alone:
            lines.append("  NOTE: the price is less than its metal on sheets of its own")
    return lines
