"""A plan with a rack from beginning to end: the house with its pieces, the offcuts named, rack and folder written.

Without a rack everything stays as it is; only a plan that was made with one must not be added to without it.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping
from pathlib import Path

from planner.forms import InputError, Problem
from planner.house import House
from planner.orders import Orders
from planner.plan import LARGEST_PLAN, Plan, plan_text
from planner.rack.days import Day, Kept, begin_day, begin_late, day_name, kept
from planner.rack.keeping import check_place, write_with_folder
from planner.rack.looking import refuse_without_rack
from planner.rack.page import rack_page
from planner.rack.reading import read_rack
from planner.rack.records import text_digest
from planner.rack.stock import house_with
from planner.rack.telling import day_lines
from planner.reading import read_text
from planner.sheets.estimate import estimate_sheet
from planner.writing import write_folder


class RackUse:
    """What one run of the planner does with the rack, if it was given one."""

    def __init__(
        self,
        path: Path | None,
        day: str | None,
        folder: Path,
        orders: Orders,
        stem: str,
        house: House,
        onto: Plan | None = None,
        onto_path: Path | None = None,
        finished: Collection[int] = (),
    ) -> None:
        """Read the rack and see what may be used of it.

        Raises:
            InputError: it cannot be used; see `planner.rack.days`.
        """
        self._path = path
        self._folder = folder
        self._day: Day | None = None
        self._kept: Kept | None = None
        self.house = house
        self.gone: Collection[str] = ()
        if path is None:
            refuse_without_rack(onto)
            if day is not None:
                raise _refusal("--day is what the rack calls this day; give --rack as well")
            return
        check_place(path, folder)
        rack = read_rack(path)
        if onto is None or onto_path is None:
            self._day = begin_day(rack, day_name(orders, stem, day), orders, house)
        elif day is not None:
            raise _refusal("late jobs belong to the day of their plan; leave --day out")
        else:
            self._day = begin_late(rack, orders, house, onto, text_digest(read_text(onto_path, LARGEST_PLAN)), finished)
        self.house = house_with(house, self._day.offered)
        self.gone = self._day.gone

    def named(self, plan: Plan) -> Plan:
        """Give the plan with its offcuts named as the rack knows them."""
        if self._day is None:
            return plan
        self._kept = kept(self._day, plan)
        return self._kept.plan

    def text(self, plan: Plan) -> str:
        """Give the text of the named plan, which takes some seconds to write for a large day, once."""
        return plan_text(plan) if self._kept is None else self._kept.text

    def pages(self, plan: Plan) -> dict[str, str]:
        """Draw what to fetch from the rack and what to cut and keep."""
        if self._day is None or self._kept is None:
            return {}
        return {"rack.svg": estimate_sheet(rack_page(plan, self._day.name, self._kept.entry, self.house))}

    def write(self, files: Mapping[str, str | bytes]) -> None:
        """Write the folder, and the rack with it.

        Raises:
            InputError: one of them cannot be written; then neither is.
        """
        if self._path is None or self._kept is None:
            write_folder(self._folder, files)
        else:
            write_with_folder(self._path, self._kept.rack, self._folder, files)

    def lines(self) -> Iterator[str]:
        """Say what became of the rack."""
        if self._path is not None and self._day is not None and self._kept is not None:
            yield from day_lines(self._path, self._day, self._kept)


def _refusal(message: str) -> InputError:
    return InputError("", [Problem("", message)])
