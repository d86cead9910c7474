"""The independent re-check of a plan: it shares no code with what made the plan, and reads only the record.

Every figure is measured again from the shapes; every promise of the record is tried. A plan that was tampered
with gives violations, never an error.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from shapely.errors import ShapelyError

from planner.plan import Plan
from planner.proof.account import check_ledger
from planner.proof.added import check_added
from planner.proof.art import check_art
from planner.proof.camera import check_camera
from planner.proof.coverage import check_coverage
from planner.proof.cuts import check_cuts
from planner.proof.dead import DAY, check_dead
from planner.proof.layout import check_overlap, check_sheet, check_spots
from planner.proof.rack import check_rack
from planner.proof.report import Check, Proof, Tally
from planner.proof.roll import check_roll
from planner.proof.router import check_router
from planner.proof.shapes import lay_out
from planner.proof.sharing import check_sharing
from planner.proof.subjects import subjects_of
from planner.proof.transform import check_transform
from planner.proof.views import check_views
from planner.proof.work import check_work

__all__ = ["Check", "Proof", "prove"]


def prove(plan: Plan, folder: Path | None = None, *, elements: int = DAY) -> Proof:
    """Check a plan again, and the drawings of its flats if a folder with them is given.

    ``elements`` is how many picture elements all plates that differ may take together when their zones are counted
    out on a raster; fewer are faster and see less, and with none at all nothing is counted out.
    """
    shapes = Tally("shapes", "boxes and shapes")
    flats = lay_out(plan, shapes)
    subjects = subjects_of(plan, flats)
    checks: list[tuple[str, Callable[[], Check]]] = [
        ("sheet", lambda: check_sheet(flats)),
        ("overlap", lambda: check_overlap(flats)),
        ("spots", lambda: check_spots(flats)),
        ("cuts", lambda: check_cuts(flats, plan.settings)),
        ("nothing lost", lambda: check_roll(plan)),
        ("sharing", lambda: check_sharing(plan)),
        ("passes", lambda: check_added(flats)),
        ("rack", lambda: check_rack(plan)),
        ("ledger", lambda: check_ledger(plan, flats)),
        ("router", lambda: check_router(flats, plan.settings)),
        ("zones", lambda: check_dead(subjects, plan.settings, elements)),
        ("work", lambda: check_work(plan, flats, subjects, elements)),
        ("art", lambda: check_art(plan, flats, elements)),
        ("camera", lambda: check_camera(plan, flats)),
        ("transform", lambda: check_transform(plan.plates, flats)),
        ("coverage", lambda: check_coverage(plan, flats)),
        ("views", lambda: check_views(plan, folder)),
    ]
    return Proof((shapes.done(), *(_answer(name, check) for name, check in checks)))


def _answer(name: str, check: Callable[[], Check]) -> Check:
    """A check that the geometry library cannot finish has proven nothing, and says so."""
    try:
        return check()
    except (ShapelyError, ArithmeticError) as error:
        return Check(name, "the plan", 0, (f"The plan's figures cannot be examined: {error}.",))
