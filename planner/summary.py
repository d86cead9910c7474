"""What a plan comes to, in the ten seconds that a person gives it, or as a table for machines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any, Final

from planner.findings import SEVERITIES
from planner.lengths import length_text, size_text
from planner.plan import PLATE_CLASSES, BoundRecord, FindingRecord, Flat, Plan

_TITLES: Final = {"stop": "Must be cured first", "warn": "Wants a look", "note": "Good to know"}


def summary_lines(plan: Plan, folder: Path, files: Sequence[str]) -> Iterator[str]:
    """Say flats, metal, held plates, findings and where the files are, one line each."""
    placed = sum(len(flat.placements) for flat in plan.flats)
    what = f"{_count(placed, 'plate')} of {_count(len(plan.jobs), 'job')}"
    yield f"{plan.title or 'Plan'}: {what} on {_count(len(plan.flats), 'flat')}"
    for flat in plan.flats:
        plates = _count(len(flat.placements), "plate")
        cuts = "sawn out freely" if flat.layout == "free" else _count(flat.cuts, "cut")
        yield f"  Flat {flat.number}: {flat.sheet.name}, {plates}, {used_share(plan, flat):.0%} used, {cuts}"
    yield from (f"  {bound.share_key}: {_proven(bound)}" for bound in plan.bounds if bound.flats)
    if plan.camera:
        copies = sum(len(setting.copies) for setting in plan.camera)
        asked = ", ".join(f"{setting.percentage:.1f} %" for setting in plan.camera)
        yield f"Camera: {_count(copies, 'copy', 'copies')} at {_count(len(plan.camera), 'setting')}: {asked}"
    if plan.router:
        yield f"Router: {_router_words(plan)}"
    if plan.offcuts:
        yield f"Offcuts to keep: {_count(len(plan.offcuts), 'piece')}"
        yield from (f"  {line}" for line in _offcut_lines(plan))
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
    yield f"Files: {folder / 'plan.json'} and {', '.join(_kinds(files))} beside it"
    if "index.html" in files:
        yield f"To look at: {folder / 'index.html'}, in any browser"


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
        "camera": [{"percentage": setting.percentage, "copies": len(setting.copies)} for setting in plan.camera],
        "offcuts": [offcut.model_dump(mode="json") for offcut in plan.offcuts],
        "rack": None if plan.rack is None else plan.rack.model_dump(mode="json"),
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


def _router_words(plan: Plan) -> str:
    """The router's day: every plate counts, also those that share a record."""
    placed = {placement.plate for flat in plan.flats for placement in flat.placements}
    times = [(work, sum(plate in placed for plate in work.plates)) for work in plan.router]
    minutes, lifts, chips, travel, nearest = (
        sum(getattr(work, key) * count for work, count in times)
        for key in ("minutes", "lifts", "chips", "travel", "travel_nearest")
    )
    compared = f", travel {travel / nearest:.2f} of always going to the nearest path" if nearest else ""
    return f"{minutes:.0f} minutes, {_count(lifts, 'lift')}, {chips:.2f} lb of chips{compared}"


def _offcut_lines(plan: Plan) -> Iterator[str]:
    """Each offcut with where to cut it."""
    flats = {flat.number: flat for flat in plan.flats}
    for offcut in plan.offcuts:
        x, y, width, height = offcut.box
        sheet = flats[offcut.flat].sheet
        how = "sawn out" if offcut.after_cut is None else f"free after cut {offcut.after_cut}"
        yield (
            f"{offcut.name}: {sheet.metal} {size_text(width, height)} on flat {offcut.flat}, "
            f"{length_text(sheet.width - x - width)} from the metal's left and {length_text(y)} from below, {how}"
        )


def _kinds(files: Sequence[str]) -> Iterator[str]:
    """How many files there are of each kind beside the plan."""
    for ending, noun in ((".svg", "sheet"), (".pdf", "PDF file"), (".dxf", "DXF file")):
        count = sum(name.endswith(ending) for name in files)
        if count:
            yield _count(count, noun)


def _count(number: int, noun: str, several: str = "") -> str:
    return f"{number} {noun if number == 1 else several or f'{noun}s'}"
