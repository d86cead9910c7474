"""The folder of sheets: which files a plan is drawn as."""

from __future__ import annotations

from planner.plan import Plan
from planner.sheets.additions import people_on_metal
from planner.sheets.bench import router_jobs
from planner.sheets.camera import camera_sheet
from planner.sheets.key import key_sheet
from planner.sheets.metal import metal_sheet
from planner.sheets.mounting import mounting_sheet
from planner.sheets.passes import pass_sheets
from planner.sheets.router_flat import flat_router_sheet
from planner.sheets.router_lists import plates_on
from planner.sheets.router_plate import plate_sheet
from planner.sheets.shear import shear_sheet
from planner.sheets.stripper import stripper_sheet


def sheet_files(plan: Plan) -> dict[str, str]:
    """Draw every flat of a plan and give the SVG text of each file by its name; the same plan, the same bytes.

    Each flat has a sheet for the stripper, one of its metal, one for the shear where it is cut from edge to edge, and
    one for each kind of pass that rules add; where there is dead metal also the router's overview, and a page for each
    plate, or for those that are alike. The day has lists for mounting and, where copies go before it, for the camera;
    and a key to the drawing language.
    """
    files: dict[str, str] = {}
    jobs = router_jobs(plan)
    for flat in plan.flats:
        files[f"flat-{flat.number:02d}-stripper.svg"] = stripper_sheet(plan, flat)
        has_router = bool(plates_on(flat, jobs))
        has_tint = any(one.side == "metal" for one in flat.passes)
        files[f"flat-{flat.number:02d}-metal.svg"] = metal_sheet(plan, flat, people_on_metal(has_router, has_tint))
        if flat.cuts:
            files[f"flat-{flat.number:02d}-shear.svg"] = shear_sheet(plan, flat)
        for number, sheet in enumerate(pass_sheets(plan, flat), start=1):
            files[f"flat-{flat.number:02d}-pass-{number}.svg"] = sheet
        if has_router:
            files[f"flat-{flat.number:02d}-router.svg"] = flat_router_sheet(plan, flat, jobs)
        for job in jobs:
            if job.flat.number == flat.number:
                files[f"{job.stem}.svg"] = plate_sheet(plan, job)
    if plan.camera:
        files["camera.svg"] = camera_sheet(plan)
    if plan.flats:
        files["mounting.svg"] = mounting_sheet(plan)
    files["key.svg"] = key_sheet(plan)
    return files
