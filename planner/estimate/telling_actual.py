"""What was really cut, told against the plan: lines of text, and a JSON table for other programs.

Keys of the JSON (``name[]`` is a list, ``name{}`` a table whose keys are names of the day):

    .: format title currency planned actual difference causes{} differences[] sheets[] notes[]
    .differences: cause what why money
    .sheets: name planned used spoiled remade price
"""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from planner.estimate.actual import CAUSES, Outcome


def outcome_table(outcome: Outcome) -> dict[str, Any]:
    """Give the outcome as plain data; the keys never vary, and amounts are texts of decimals."""
    return {
        "format": "flatwright actual 1",
        "title": outcome.account.title,
        "currency": outcome.account.currency,
        "planned": str(outcome.planned),
        "actual": str(outcome.actual),
        "difference": str(outcome.actual - outcome.planned),
        "causes": {cause: str(outcome.of(cause)) for cause in CAUSES},
        "differences": [
            {"cause": one.cause, "what": one.what, "why": one.why, "money": str(one.money)}
            for one in outcome.differences
        ],
        "sheets": [
            {"name": sheet.name, "planned": sheet.planned, "used": sheet.used, "spoiled": sheet.spoiled,
             "remade": sheet.remade, "price": None if sheet.price is None else str(sheet.price)}
            for sheet in outcome.sheets
        ],
        "notes": list(outcome.notes),
    }  # fmt: skip


def outcome_lines(outcome: Outcome) -> list[str]:
    """Give the outcome as lines of text."""
    currency = outcome.account.currency
    lines = [
        f"{outcome.account.title or 'The day'}: planned {currency} {outcome.planned:,.2f}, came to {currency} "
        f"{outcome.actual:,.2f}, {_more_or_less(outcome.actual - outcome.planned, currency)}",
        "  (sheets, less what waste brings and the worth of offcuts)",
    ]
    for sheet in outcome.sheets:
        lines.append(f"  {sheet.name}: planned {sheet.planned}, used {sheet.used}"
                     + (f", of these spoiled {sheet.spoiled}" if sheet.spoiled else "")
                     + (f", for plates made again {sheet.remade}" if sheet.remade else ""))  # fmt: skip
    for cause in CAUSES:
        entries = [one for one in outcome.differences if one.cause == cause]
        if entries:
            lines.append(f"{cause.capitalize()}: {_more_or_less(outcome.of(cause), currency)}")
            lines += [
                f"  {one.what}{f' ({one.why})' if one.why else ''}: {_more_or_less(one.money, currency)}"
                for one in entries
            ]
    return [*lines, *outcome.notes]


def _more_or_less(money: Decimal, currency: str) -> str:
    if not money:
        return "no difference in money"
    return f"{currency} {abs(money):,.2f} {'more' if money > 0 else 'less'}"
