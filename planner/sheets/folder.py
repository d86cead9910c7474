"""The folder of sheets: which files a plan is drawn as."""

from __future__ import annotations

from planner.plan import Plan
from planner.sheets.metal import metal_sheet
from planner.sheets.stripper import stripper_sheet


def sheet_files(plan: Plan) -> dict[str, str]:
    """Draw every flat of a plan and give the SVG text of each file by its name; the same plan, the same bytes."""
    files: dict[str, str] = {}
    for flat in plan.flats:
        files[f"flat-{flat.number:02d}-stripper.svg"] = stripper_sheet(plan, flat)
        files[f"flat-{flat.number:02d}-metal.svg"] = metal_sheet(plan, flat)
    return files
