"""What do the house rules add once everything is laid? Passes, marks and steps of each flat, and findings."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

import shapely

from planner.findings import Finding
from planner.geometry import plain
from planner.laid import DayRecords, LaidDay, LaidFlat
from planner.plan import Flat, HeldPlate, MarkRecord, PassRecord, Ring, Scope, StepRecord
from planner.rule_records import Mark, Pass
from planner.rules import ActiveRule, Rules


def with_additions(
    flats: Iterable[Flat], day: DayRecords, rules: Rules, asked: Collection[int] | None = None
) -> tuple[Flat, ...]:
    """Give flats with all passes, marks and steps that the rules add; what was added before is replaced.

    ``asked`` are the numbers of the flats that the rules are asked about, all if left out; the others stay as they are.

    Raises:
        RuleFailure: a rule failed.
    """
    return tuple(
        _with_additions(flat, day.laid(flat), rules) if asked is None or flat.number in asked else flat
        for flat in flats
    )


def _with_additions(flat: Flat, laid: LaidFlat, rules: Rules) -> Flat:
    passes = tuple(_pass(one, rule) for rule in rules.active for one in rule.passes(laid))
    marks = tuple(_mark(one, rule) for rule in rules.active for one in rule.marks(laid))
    steps = tuple(
        StepRecord(rule=rule.name, who=one.who, words=one.words, plates=tuple(one.plates))
        for rule in rules.active
        for one in rule.steps(laid)
    )
    return flat.model_copy(update={"passes": passes, "marks": marks, "steps": steps})


def _pass(one: Pass, rule: ActiveRule) -> PassRecord:
    return PassRecord(
        rule=rule.name, sheet=one.sheet, name=one.name, side=one.side, opens=plain(one.opens), mask=plain(one.mask),
        plates=tuple(one.plates), films=tuple(one.films), frame=one.frame, notes=one.notes, reason=one.reason,
    )  # fmt: skip


def _mark(one: Mark, rule: ActiveRule) -> MarkRecord:
    is_area = one.kind == "area"
    return MarkRecord(
        rule=rule.name, kind=one.kind, layer=one.layer, words=one.words, sheets=tuple(one.sheets), plate=one.plate,
        area=plain(one.shape) if is_area else (), lines=() if is_area else tuple(_lines(one.shape)),
    )  # fmt: skip


def _lines(shape: shapely.Geometry) -> Iterator[Ring]:
    for part in shapely.get_parts(shape):
        points = shapely.get_coordinates(part).round(9) + 0.0
        yield tuple((float(x), float(y)) for x, y in points)


def laid_findings(
    flats: Sequence[Flat],
    day: DayRecords,
    held: Sequence[HeldPlate],
    rules: Rules,
    asked: Collection[int] | None = None,
) -> Iterator[tuple[str, Scope, Finding]]:
    """Give what rules find on flats and on the day, with the rule and what it looked at.

    ``asked`` are the numbers of the flats to be looked at, all if left out.

    Raises:
        RuleFailure: a rule failed.
    """
    laid = tuple(day.laid(flat) for flat in flats)
    for flat in laid:
        if asked is None or flat.number in asked:
            for rule in rules.active:
                for finding in rule.inspect_flat(flat):
                    yield rule.name, "flat", replace(finding, flat=flat.number)
    whole = LaidDay(laid, day.plates_by_id, day.jobs_by_number, tuple(held))
    for rule in rules.active:
        for finding in rule.inspect_day(whole):
            yield rule.name, "day", finding
    for name, finding in rules.missing():
        yield name, "day", finding
