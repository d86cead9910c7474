"""The folder of sheets: which files a plan is drawn as."""

from __future__ import annotations

from planner.plan import Plan
from planner.sheets.bench import router_jobs
from planner.sheets.camera import camera_sheet
from planner.sheets.metal import metal_sheet
from planner.sheets.router_flat import flat_router_sheet
from planner.sheets.router_lists import plates_on
from planner.sheets.router_plate import plate_sheet
from planner.sheets.stripper import stripper_sheet


def sheet_files(plan: Plan) -> dict[str, str]:
    """Draw every flat of a plan and give the SVG text of each file by its name; the same plan, the same bytes.

    Each flat has a sheet for the stripper and one of its metal; where there is dead metal also the router's overview,
    and a page for each plate, or for those that are alike. Where copies go before the camera there is their list.
    """
    files: dict[str, str] = {}
    jobs = router_jobs(plan)
    for flat in plan.flats:
        files[f"flat-{flat.number:02d}-stripper.svg"] = stripper_sheet(plan, flat)
        files[f"flat-{flat.number:02d}-metal.svg"] = metal_sheet(plan, flat)
        if plates_on(flat, jobs):
            files[f"flat-{flat.number:02d}-router.svg"] = flat_router_sheet(plan, flat, jobs)
        for job in jobs:
            if job.flat.number == flat.number:
                files[f"{job.stem}.svg"] = plate_sheet(plan, job)
    if plan.camera:
        files["camera.svg"] = camera_sheet(plan)
    return files
