"""What would the rack offer these orders if they were planned now? For quotes and comparisons, which write nothing."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from planner.forms import InputError, Problem
from planner.house import House
from planner.orders import Orders
from planner.plan import LARGEST_PLAN, Plan
from planner.rack.days import begin_late, check_house, without
from planner.rack.history import replay
from planner.rack.reading import read_rack
from planner.rack.records import Piece, Rack, text_digest
from planner.rack.stock import house_with
from planner.reading import read_text


@dataclass(frozen=True, slots=True)
class OnOffer:
    """The house with what may be used of the rack among its sheets."""

    house: House
    pieces: frozenset[str] = frozenset()
    """Names of the sheets that are pieces of the rack."""
    gone: frozenset[str] = frozenset()
    """Names of offcuts of the plan's flats that lie on the rack no more."""


def on_offer(
    path: Path | None, orders: Orders, house: House, onto: Plan | None = None, onto_path: Path | None = None
) -> OnOffer:
    """Look at a rack for orders of a day, or for late jobs that would be added to a plan; without one, the house's own.

    Raises:
        InputError: the rack is not there or cannot be used, or the plan was made with one and none is given.
    """
    if path is None:
        refuse_without_rack(onto)
        return OnOffer(house)
    read_text(path)  # only a plan begins a rack that is not there
    rack = read_rack(path)
    if onto is None or onto_path is None:
        pieces, gone = offered_to(rack, orders, house), frozenset[str]()
    else:
        digest = text_digest(read_text(onto_path, LARGEST_PLAN))
        day = begin_late(rack, orders, house, onto, digest, ())
        pieces, gone = day.offered, frozenset(day.gone)
    return OnOffer(house_with(house, pieces), frozenset(piece.name for piece in pieces), gone)


def offered_to(rack: Rack, orders: Orders, house: House) -> tuple[Piece, ...]:
    """Give the pieces that a day may use: all, or what lay there before it where the rack knows its jobs already.

    Raises:
        InputError: the currencies differ, or what these jobs added to the rack has been used.
    """
    check_house(rack, house)
    place = _last_plan_of(rack, {job.number for job in orders.jobs})
    if place is None:
        return rack.pieces
    base = without(rack, place)
    lay_there = set(replay(base.history[:place], rack.source).values())
    return tuple(piece for piece in base.pieces if piece in lay_there)


def refuse_without_rack(onto: Plan | None) -> None:
    """Refuse to add to a plan that was made with a rack as if there were none.

    Raises:
        InputError: the plan was made with a rack.
    """
    if onto is not None and onto.rack is not None:
        says = f'the plan of "{onto.rack.day}" was made with a rack, where its offcuts lie; give --rack'
        raise InputError("", [Problem("", says)])


def _last_plan_of(rack: Rack, jobs: Collection[str]) -> int | None:
    places = [place for place, entry in enumerate(rack.history) if entry.by == "plan" and set(entry.jobs) & set(jobs)]
    return places[-1] if places else None
