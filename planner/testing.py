"""For authors of house rules: a plate, a flat or a day in one line, and what a rule made of it.

``rule`` is the rule's module. The rules that come with flatwright are in force beside it unless ``alone`` says
otherwise, as they are in a shop. Lengths of keys are written as in the order file, like ``"3 x 4 in"``.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import ModuleType
from typing import Any

from planner.findings import Finding
from planner.flats import Search
from planner.house import House, house_from
from planner.laid import DayRecords, LaidFlat
from planner.orders import orders_from
from planner.plan import Allowance, FindingRecord, MarkRecord, PassRecord, Plan, StepRecord
from planner.planning import make_plan
from planner.plates import OrderedPlate, plates_of
from planner.rules import Rules, load_rules, rule_of_module


def a_day(*plates: Mapping[str, Any], **job: Any) -> dict[str, Any]:  # noqa: ANN401 - keys of the order file
    """Give the tables of an order file with one job; plates need at least a size, and are of zinc if not said.

    ``job`` holds further keys of the job, like ``rush=True``.
    """
    named = [{"name": f"P{number}", "metal": "zinc", **plate} for number, plate in enumerate(plates, 1)]
    return {"jobs": [{"number": "7", **job, "plates": named}]}


def a_plate(**keys: Any) -> OrderedPlate:  # noqa: ANN401 - keys of the order file
    """Give one plate as rules are handed it, from the keys of an order file."""
    return plates_of(orders_from(a_day(keys), "a plate of a test"), house_from({}, "the defaults"))[0]


def planned(
    day: Mapping[str, Any],
    rule: ModuleType,
    settings: Mapping[str, Any] | None = None,
    house: Mapping[str, Any] | None = None,
    alone: bool = False,
) -> Plan:
    """Plan a day with a rule in force.

    ``settings`` are the rule's own, ``house`` are further tables of the house file, both as the house file has them.

    Raises:
        InputError: the rule or what it returns cannot be used; or day, settings or house cannot.
    """
    tables = dict(house or {})
    described = rule_of_module(rule)
    tables["rules"] = {**tables.get("rules", {}), **({described.name: dict(settings)} if settings else {})}
    shop = house_from(tables, "the house of a test")
    return make_plan(orders_from(day, "the day of a test"), shop, rules_with(shop, rule, alone), Search(iterations=50))


def rules_with(house: House, rule: ModuleType, alone: bool = False) -> Rules:
    """Give the rules of a house with one more, or with that one alone."""
    return load_rules(house, "the house of a test", found=() if alone else None, modules=(rule,))


def a_flat(plan: Plan, number: int = 1) -> LaidFlat:
    """Give a flat of a plan as rules are handed it."""
    flat = next(flat for flat in plan.flats if flat.number == number)
    return DayRecords(plan.plates, plan.jobs, plan.art).laid(flat)


def allowances_of(plan: Plan, plate: str, rule: str | None = None) -> list[Allowance]:
    """Give the allowances of a plate, all of them or those that one rule asked for."""
    (record,) = (record for record in plan.plates if record.id == plate)
    return [asked for asked in record.allowances if rule is None or asked.rule == rule]


def findings_of(plan: Plan, rule: str | None = None, code: str | None = None) -> list[FindingRecord]:
    """Give the findings of a plan, all of them or those of one rule or with one code."""
    return [
        finding
        for finding in plan.findings
        if (rule is None or finding.rule == rule) and (code is None or finding.code == code)
    ]


def passes_of(plan: Plan, rule: str) -> list[PassRecord]:
    """Give the passes that a rule adds, flat after flat."""
    return [one for flat in plan.flats for one in flat.passes if one.rule == rule]


def marks_of(plan: Plan, rule: str) -> list[MarkRecord]:
    """Give what a rule draws, flat after flat."""
    return [one for flat in plan.flats for one in flat.marks if one.rule == rule]


def steps_of(plan: Plan, rule: str) -> list[StepRecord]:
    """Give the steps that a rule adds, flat after flat."""
    return [one for flat in plan.flats for one in flat.steps if one.rule == rule]


def sheets_of(plan: Plan) -> dict[str, str]:
    """Draw all sheets of a plan: SVG by file name, to look at what the rule drew."""
    from planner.sheets.folder import sheet_files  # noqa: PLC0415 - only who draws waits for it

    return dict(sheet_files(plan))


__all__ = [
    "Finding",
    "a_day",
    "a_flat",
    "a_plate",
    "allowances_of",
    "findings_of",
    "marks_of",
    "passes_of",
    "planned",
    "rules_with",
    "sheets_of",
    "steps_of",
]
