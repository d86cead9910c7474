"""What may a day's plan use of the rack, and what did it take and add?

The rack knows a plan by its day's name. Planned again, a day first gives back what it took, and what it added is taken
off, as long as nobody has used that; so no offcut is added twice. A day sees only what lay there before it and lies
there still. Late jobs (``--onto``) are an entry of their own: they may cut up offcuts of their plan's flats that nobody
has taken yet.
"""

from __future__ import annotations

import itertools
import math
import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Final

from planner.house import House
from planner.offcuts import named_offcuts, slug_of
from planner.orders import Orders
from planner.plan import Flat, OffcutRecord, Plan, RackRecord, plan_text
from planner.rack.history import replay, sealed, sorted_pieces
from planner.rack.records import Entry, Piece, Rack, refusal, text_digest
from planner.rack.stock import part_of
from planner.stock import stock_of

_LONGEST_NAME: Final = 80
"""Letters of a day's name, as of any label."""


@dataclass(frozen=True, slots=True)
class Day:
    """A day about to be planned with a rack."""

    rack: Rack
    """Without what this day took and added when it was planned before."""
    name: str
    jobs: tuple[str, ...]
    place: int
    """Where its entry stands in the history."""
    replaced: bool
    """Whether it was planned before."""
    offered: tuple[Piece, ...]
    """What it may use as sheets."""
    slug: str
    currency: str
    onto: Plan | None = None
    onto_digest: str = ""

    @property
    def gone(self) -> set[str]:
        """Names of offcuts of the plan's flats that lie on the rack no more."""
        there = {piece.name for piece in self.rack.pieces}
        return {offcut.name for offcut in self.onto.offcuts if offcut.name not in there} if self.onto else set()


@dataclass(frozen=True, slots=True)
class Kept:
    """A planned day with what it did to the rack."""

    plan: Plan
    text: str
    """Of the plan."""
    rack: Rack
    entry: Entry


def day_name(orders: Orders, stem: str, given: str | None) -> str:
    """Give the name under which the rack keeps a day: as given, else its title, else the order file's name."""
    words = " ".join((given or orders.title or stem).split())
    return "".join(sign for sign in words if sign.isprintable())[:_LONGEST_NAME].strip() or "day"


def begin_day(rack: Rack, name: str, orders: Orders, house: House) -> Day:
    """Get the rack ready for a day.

    Raises:
        InputError: the currencies differ, another plan has this name, or what the day added before has been used.
    """
    jobs = tuple(job.number for job in orders.jobs)
    check_house(rack, house)
    place = _place_of(rack, name, "")
    if place is not None and not set(rack.history[place].jobs) & set(jobs):
        known = ", ".join(rack.history[place].jobs[:5])
        raise refusal(
            rack.source,
            f'knows another plan called "{name}" (jobs {known}); give this one a name of its own with --day',
        )
    return _day(rack, name, jobs, house, place)


def begin_late(
    rack: Rack, orders: Orders, house: House, onto: Plan, onto_digest: str, finished: Collection[int]
) -> Day:
    """Get the rack ready for late jobs that are added to a plan.

    Raises:
        InputError: the currencies differ, the rack does not know the plan or knows a later one, or what these late jobs
            added before has been used.
    """
    jobs = tuple(job.number for job in orders.jobs)
    check_house(rack, house)
    name = onto.rack.day if onto.rack else ""
    if not any(entry.by == "plan" and (entry.day, entry.plan) == (name, onto_digest) for entry in rack.history):
        raise refusal(
            rack.source, "does not know the plan that is added to; plan its day with this rack first, or again" if not
            onto.rack else f'knows the day "{name}", if at all, by another plan than the one that is added to',
        )  # fmt: skip
    place = _place_of(rack, name, onto_digest)
    if place is not None and not set(rack.history[place].jobs) & set(jobs):
        raise refusal(
            rack.source, f'knows that other late jobs ({", ".join(rack.history[place].jobs[:5])}) were added to this '
            f'plan of "{name}"; add these to the plan that came of that',
        )  # fmt: skip
    day = _day(rack, name, jobs, house, place)
    uncut = {offcut.name for offcut in onto.offcuts if offcut.flat not in finished}
    offered = tuple(piece for piece in day.offered if piece.name not in uncut)
    return replace(day, offered=offered, onto=onto, onto_digest=onto_digest)


def kept(day: Day, plan: Plan) -> Kept:
    """Name a plan's offcuts, and give the rack as it will be after the day."""
    onto = day.onto
    known: tuple[OffcutRecord, ...] = onto.offcuts if onto else ()
    old = {flat.number for flat in onto.flats} if onto else set()
    offcuts = named_offcuts(plan.flats, day.slug, known, day.rack.names)
    offered = {piece.name: piece for piece in day.offered}
    sheets = [flat.sheet.name for flat in plan.flats if flat.number not in old and flat.sheet.name in offered]
    before = onto.rack.taken if onto and onto.rack else ()
    plan = plan.model_copy(update={"offcuts": offcuts, "rack": RackRecord(day=day.name, taken=(*before, *sheets))})
    text = plan_text(plan)
    left = {offcut.name for offcut in offcuts}
    own = {offcut.name for offcut in known}
    # Offcuts of the plan that late jobs were cut from.
    cut_up = [piece for piece in day.rack.pieces if piece.name in own - left]
    pieces = {piece.name: piece for entry in day.rack.history for piece in (*entry.added, *entry.taken)}
    flats = {flat.number: flat for flat in plan.flats}
    added = tuple(_piece(offcut, flats[offcut.flat], pieces) for offcut in offcuts if offcut.name not in own)
    entry = Entry(
        by="plan", day=day.name, plan=text_digest(text), onto=day.onto_digest, jobs=day.jobs,
        taken=(*(offered[name] for name in sheets), *cut_up), added=added,
    )  # fmt: skip
    history = (*day.rack.history[: day.place], entry, *day.rack.history[day.place :])
    there = tuple(sorted_pieces(replay(history, day.rack.source).values()))
    after = replace(day.rack, currency=day.currency, pieces=there, history=sealed(history))
    return Kept(plan, text, after, entry)


def without(rack: Rack, place: int) -> Rack:
    """Give a rack as if one plan had never been made.

    Raises:
        InputError: what the plan added has been used, or changed by hand.
    """
    entry = rack.history[place]
    for later in rack.history[place + 1 :]:
        if later.by == "plan" and later.day == entry.day and later.onto == entry.plan:
            raise refusal(
                rack.source, f'cannot take back the plan "{entry.who}": late jobs ({", ".join(later.jobs[:5])}) were '
                "added to it since",
            )  # fmt: skip
    there = set(rack.pieces)
    for piece in entry.added:
        if piece not in there:
            taker = next(later for later in rack.history[place + 1 :] if piece in later.taken)
            by = f'used by "{taker.who}"' if taker.by == "plan" else "taken away or changed by hand"
            raise refusal(
                rack.source, f'cannot take back the plan "{entry.who}": its offcut {piece.name} has been {by} since'
            )
    history = (*rack.history[:place], *rack.history[place + 1 :])
    return replace(rack, pieces=tuple(sorted_pieces(replay(history, rack.source).values())), history=history)


def forgotten(rack: Rack, name: str) -> Rack:
    """Give a rack without the last plan of a day, which was planned but not worked.

    Raises:
        InputError: the rack does not know the day, or what its plan added has been used.
    """
    places = [place for place, entry in enumerate(rack.history) if entry.by == "plan" and entry.day == name]
    if not places:
        known = ", ".join(f'"{day}"' for day in dict.fromkeys(entry.day for entry in rack.history if entry.day))
        raise refusal(rack.source, f'knows no day "{name}"; it knows {known or "none"}')
    less = without(rack, places[-1])
    return replace(less, history=sealed(less.history))


def _day(rack: Rack, name: str, jobs: tuple[str, ...], house: House, place: int | None) -> Day:
    base = rack if place is None else without(rack, place)
    at = len(base.history) if place is None else place
    lay_there = set(replay(base.history[:at], rack.source).values())
    offered = tuple(piece for piece in base.pieces if piece in lay_there)
    own = {piece.name for entry in base.history if entry.day == name for piece in entry.added}
    others = (base.names - own) | set(stock_of(house).records)
    return Day(base, name, jobs, at, place is not None, offered, _free_slug(name, others), house.prices.currency)


def _place_of(rack: Rack, name: str, onto: str) -> int | None:
    found = [
        place
        for place, entry in enumerate(rack.history)
        if entry.by == "plan" and entry.day == name and entry.onto == onto
    ]
    return found[0] if found else None


def check_house(rack: Rack, house: House) -> None:
    """Refuse a rack that does not go with a house.

    Raises:
        InputError: the currencies differ, or a piece bears the name of one of the house's sheets.
    """
    if rack.currency is not None and rack.currency != house.prices.currency:
        raise refusal(
            rack.source,
            f"counts in {rack.currency}, the house file in {house.prices.currency}; use the house's own rack",
        )
    sheets = stock_of(house).records
    for piece in rack.pieces:
        if piece.name in sheets:
            raise refusal(
                rack.source, "is what the house file calls a sheet; give the piece another name",
                f'piece "{piece.name}"',
            )  # fmt: skip


def _free_slug(name: str, others: Collection[str]) -> str:
    base = slug_of(name)
    for number in itertools.count(1):
        slug = base if number == 1 else f"{base}-{number}"
        pattern = re.compile(re.escape(slug) + r"-\d+[a-z]+")
        if not any(pattern.fullmatch(other) for other in others):
            return slug
    raise AssertionError("there is always another number")


def _piece(offcut: OffcutRecord, flat: Flat, pieces: dict[str, Piece]) -> Piece:
    """The piece that an offcut becomes, its sides rounded down to 1/64 in."""
    sheet = flat.sheet
    width, height = (math.floor(side * 64 + 1e-6) / 64 for side in offcut.box[2:])
    # An offcut of a piece of the rack is worth its part of what the piece was, not of what the piece counted for.
    mother = pieces.get(sheet.name)
    worth = mother.worth if mother else None if sheet.price is None else Decimal(sheet.price)
    return Piece.model_construct(
        name=offcut.name, metal=sheet.metal, gauge=sheet.gauge, size=(width, height),
        worth=part_of(worth, width * height, sheet.width * sheet.height),
    )  # fmt: skip


def flats_from_rack(plan: Plan) -> Sequence[Flat]:
    """Give the flats of a plan that lie on pieces of the rack."""
    taken = set(plan.rack.taken) if plan.rack else set()
    return [flat for flat in plan.flats if flat.sheet.name in taken]
