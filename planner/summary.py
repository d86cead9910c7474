"""What a plan comes to, in the ten seconds that a person gives it, or as a table for machines."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, Final

from planner.findings import SEVERITIES
from planner.plan import PLATE_CLASSES, BoundRecord, FindingRecord, Flat, Plan

_TITLES: Final = {"stop": "Must be cured first", "warn": "Wants a look", "note": "Good to know"}


def summary_lines(plan: Plan, folder: Path) -> Iterator[str]:
    """Say flats, metal, held plates, findings and where the files are, one line each."""
    placed = sum(len(flat.placements) for flat in plan.flats)
    what = f"{_count(placed, 'plate')} of {_count(len(plan.jobs), 'job')}"
    yield f"{plan.title or 'Plan'}: {what} on {_count(len(plan.flats), 'flat')}"
    for flat in plan.flats:
        plates = _count(len(flat.placements), "plate")
        cuts = "sawn out freely" if flat.layout == "free" else _count(flat.cuts, "cut")
        yield f"  Flat {flat.number}: {flat.sheet.name}, {plates}, {used_share(plan, flat):.0%} used, {cuts}"
    yield from (f"  {bound.share_key}: {_proven(bound)}" for bound in plan.bounds if bound.flats)
    if plan.held:
        yield f"Held: {_count(len(plan.held), 'plate')}"
        yield from (f"  {held.plate} {held.reason}" for held in plan.held)
    for severity in SEVERITIES:
        # Held plates were named above, with their reasons.
        told = [finding for finding in plan.findings if not finding.code.startswith("held.")]
        grouped = _grouped([finding for finding in told if finding.severity == severity])
        if grouped:
            yield f"{_TITLES[severity]}: {_count(len(grouped), 'finding')}"
            for finding, also in grouped:
                where = f" (flat {finding.flat})" if finding.flat is not None else ""
                more = f" and {also} more like it" if also else ""
                yield f"  {finding.plate}{more}{where}: {finding.message} [{finding.code}]"
                if finding.cure:
                    yield f"      cure: {finding.cure}"
    yield f"Files: {folder / 'plan.json'} and {_count(2 * len(plan.flats), 'sheet')} beside it"


def summary_table(plan: Plan, folder: Path, files: list[str]) -> dict[str, Any]:
    """Give the same as plain data; the keys never vary."""
    return {
        "format": "flatwright summary 1",
        "version": plan.version,
        "title": plan.title,
        "folder": str(folder),
        "files": files,
        "plates": {"placed": sum(len(flat.placements) for flat in plan.flats), "held": len(plan.held)},
        "flats": [
            {
                "number": flat.number,
                "sheet": flat.sheet.name,
                "plates": len(flat.placements),
                "layout": flat.layout,
                "cuts": flat.cuts,
                "used": round(used_share(plan, flat), 6),
            }
            for flat in plan.flats
        ],
        "bounds": [bound.model_dump(mode="json") for bound in plan.bounds],
        "held": [held.model_dump(mode="json") for held in plan.held],
        "findings": [finding.model_dump(mode="json", exclude={"shape"}) for finding in plan.findings],
        "by_severity": {
            severity: sum(finding.severity == severity for finding in plan.findings) for severity in SEVERITIES
        },
        "ledger": plan.ledger.total.model_dump(mode="json"),
        "search": {
            "iterations": plan.settings.iterations,
            "stopped": plan.settings.stopped,
            "seed": plan.settings.seed,
        },
    }


def _proven(bound: BoundRecord) -> str:
    flats = _count(bound.flats, "flat")
    if bound.flats == bound.proven_least:
        return f"{flats}, cannot be done on fewer"
    if bound.cost <= bound.least_cost:
        return f"{flats}, cannot be done for less"
    return f"{flats}; proven: {bound.proven_least} or more are needed"


def used_share(plan: Plan, flat: Flat) -> float:
    """Give the share of a flat's sheet that leaves as finished plates: printing, routed and flange."""
    account = next(account for account in plan.ledger.flats if account.flat == flat.number)
    used = sum(getattr(account.areas, name) for name in PLATE_CLASSES if name != "trim")
    return float(used / account.sheet_area)


def _grouped(findings: list[FindingRecord]) -> list[tuple[FindingRecord, int]]:
    """Copies and colours of one plate have the same findings; they are said once."""
    first: dict[tuple[str, ...], FindingRecord] = {}
    count: dict[tuple[str, ...], int] = {}
    for finding in findings:
        job_and_name = "/".join((finding.plate or "").split("/")[:2])
        key = (job_and_name, finding.code, finding.message)
        first.setdefault(key, finding)
        count[key] = count.get(key, -1) + 1
    return [(finding, count[key]) for key, finding in first.items()]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}{'' if number == 1 else 's'}"
