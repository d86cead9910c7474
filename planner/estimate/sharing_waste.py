"""Whose is what a flat wastes? Its kerf, grip margin, scrap and making up, given out to the jobs that lie on it.

Trim belongs to its plate. Offcuts go back to the rack and stay the house's, unless the house lets the jobs pay for
them. Three methods, each of which gives out the flat's bill to the cent:

* **area**: the waste in proportion to the square inches of a job's blanks;
* **alone**: the waste in proportion to the waste that each job would make on sheets of its own, which is what those
  would cost less the job's own metal;
* **marginal**: the whole bill by what each job adds to it, on average over all orders of arrival
  (`planner.estimate.marginal`). A job that finds room beside others may so pay less than its metal by area.

Where the house asks for it, no job pays more than it would alone; what it would pay beyond goes to the others by the
room that they have. That cannot hold where the jobs' own sheets would cost less together than the flat did.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction
from typing import Final

from planner.crew import Crew, crew_of
from planner.estimate.account import Account, Line
from planner.estimate.coalitions import Coalitions, coalitions_of
from planner.estimate.marginal import coalitions_wanted, marginal_shares
from planner.estimate.rounding import CENT, give_out
from planner.house import House
from planner.plan import Plan
from planner.prices import Method

_NOTHING: Final = Decimal(0)
_HEAVY: Final = 6
"""Jobs on a flat from which its coalitions are worth processes of their own."""
_AT_ONCE: Final = 8
"""Coalitions that a process is handed at once; each takes about a hundredth of a second."""


@dataclass(frozen=True, slots=True)
class JobShare:
    """What one job pays for one flat, before what its own chips and trim bring."""

    job: str
    own: Decimal
    """Its plates' metal at the sheet's price."""
    waste: Decimal
    """Its share of what the flat wastes, less what that brings as scrap; may be less than nothing."""
    alone: Decimal | None
    """What it would pay on sheets of its own; None where nobody asked."""
    capped: bool = False
    """Whether it pays less than its share, so as not to pay more than alone."""

    @property
    def bill(self) -> Decimal:
        """What it pays for the flat."""
        return self.own + self.waste


@dataclass(frozen=True, slots=True)
class FlatShare:
    """One flat's bill by one method."""

    flat: int
    method: Method
    jobs: tuple[JobShare, ...]
    kept: Decimal
    """Worth of the offcuts that the house takes back, in no job's bill."""
    orders: int | None
    """How many orders of arrival were tried; None: all, or another method."""
    error: Decimal
    """Largest standard error of a job's share, from trying some orders only."""
    says: str
    """What is to be known: that the promise of never more than alone cannot hold; else empty."""

    @property
    def bill(self) -> Decimal:
        """What all jobs pay together."""
        return sum((share.bill for share in self.jobs), _NOTHING)


def shares_of(account: Account, plan: Plan, house: House, method: Method) -> tuple[FlatShare, ...]:
    """Give out the waste of every flat whose metal has a price, by one method.

    ``account`` is that of the plan with this house.
    """
    return all_shares(account, plan, house, (method,))[method]


def all_shares(
    account: Account,
    plan: Plan,
    house: House,
    methods: Sequence[Method],
    processes: int = 1,
    told: Callable[[int, int], None] | None = None,
) -> dict[Method, tuple[FlatShare, ...]]:
    """Give the same by several methods, which work out what jobs would take without each other only once.

    Flats with many jobs are worked out in at most so many ``processes``; their number changes nothing. ``told`` is
    called with how many of how many sets of jobs have been looked at, where marginal shares take long.
    """
    works = list(_works(account, plan, house, methods))
    if "marginal" in methods:
        with crew_of(processes) as crew:
            _look_ahead(works, house, crew, told)
    found = [_flat_shares(work) for work in works]
    return {method: tuple(flat[method] for flat in found) for method in methods}


@dataclass(frozen=True, slots=True)
class _Work:
    entry: _Entry
    blanks: list[float]
    """Square inches of each job's blanks."""
    coalitions: Coalitions
    house: House
    methods: tuple[Method, ...]


@dataclass(frozen=True, slots=True)
class _Batch:
    """Some coalitions of one flat."""

    place: int
    coalitions: Coalitions
    masks: tuple[int, ...]


def _look_ahead(works: Sequence[_Work], house: House, crew: Crew, told: Callable[[int, int], None] | None) -> None:
    """Work out the coalitions of flats with many jobs, side by side: they take nearly all of the time."""
    batches = []
    for place, work in enumerate(works):
        if len(work.entry.jobs) >= _HEAVY:
            masks = coalitions_wanted(len(work.entry.jobs), house.prices.sharing.orders)
            batches += [
                _Batch(place, work.coalitions, tuple(masks[first : first + _AT_ONCE]))
                for first in range(0, len(masks), _AT_ONCE)
            ]
    ends = list(itertools.accumulate(len(batch.masks) for batch in batches))
    tell = None if told is None else (lambda done: told(ends[done - 1], ends[-1]))
    for batch, costs in zip(batches, crew.does(_costs, batches, [True] * len(batches), tell), strict=True):
        works[batch.place].coalitions.learn(costs)


def _costs(batch: _Batch) -> dict[int, int]:
    return {mask: batch.coalitions.cost(mask) for mask in batch.masks}


def _works(account: Account, plan: Plan, house: House, methods: Sequence[Method]) -> Iterator[_Work]:
    plates = {plate.id: plate for plate in plan.plates}
    lines: dict[int, list[Line]] = {}
    for line in account.lines:
        lines.setdefault(line.flat, []).append(line)
    for flat in plan.flats:
        if flat.sheet.price is None:
            continue
        entry = _Entry(flat.number, lines[flat.number], [job.number for job in plan.jobs], house)
        blanks = [
            sum(placement.blank[2] * placement.blank[3] for placement in flat.placements
                if plates[placement.plate].job == job)
            for job in entry.jobs
        ]  # fmt: skip
        coalitions = coalitions_of(flat, entry.jobs, plates, house, entry.bill)
        yield _Work(entry, blanks, coalitions, house, tuple(methods))


def _flat_shares(work: _Work) -> dict[Method, FlatShare]:
    return {method: _share(work.entry, method, work.blanks, work.coalitions, work.house) for method in work.methods}


class _Entry:
    """A flat's lines as its jobs see them; jobs in the order of the plan."""

    def __init__(self, flat: int, lines: Sequence[Line], jobs: Sequence[str], house: House) -> None:
        self.flat = flat
        here = {line.job for line in lines}
        self.jobs = [job for job in jobs if job in here]
        self.own = [sum((line.cost or _NOTHING for line in lines if line.job == job), _NOTHING) for job in self.jobs]
        shared = [line for line in lines if line.job is None]
        kept = house.prices.sharing.offcuts == "house"
        self.kept = sum((line.cost or _NOTHING for line in shared if kept and line.item == "offcut"), _NOTHING)
        self.waste = sum((line.cost or _NOTHING for line in shared), _NOTHING) - self.kept
        self.waste -= sum((line.credit for line in shared), _NOTHING)
        self.bill = sum(self.own, _NOTHING) + self.waste


def _share(entry: _Entry, method: Method, blanks: Sequence[float], coalitions: Coalitions, house: House) -> FlatShare:
    habits = house.prices.sharing
    places = range(len(entry.jobs))
    wants_alone = method != "area" or habits.never_more_than_alone
    alone = [Decimal(coalitions.cost(1 << place)) * CENT for place in places] if wants_alone else None
    orders, error = None, _NOTHING
    if method == "area" or len(entry.jobs) == 1:
        waste = give_out(entry.waste, blanks)
    elif method == "alone" and alone is not None:
        waste = give_out(
            entry.waste,
            [max(_NOTHING, cost - own) for cost, own in zip(alone, entry.own, strict=True)],
        )
    else:
        marginal = marginal_shares(len(entry.jobs), coalitions.cost, habits.orders)
        orders, error = marginal.orders, Decimal(repr(round(max(marginal.errors) / 100, 4)))
        bills = give_out(entry.bill, [_weight(share) for share in marginal.shares])
        waste = [bill - own for bill, own in zip(bills, entry.own, strict=True)]
    shares = [
        JobShare(job, entry.own[place], waste[place], None if alone is None else alone[place])
        for place, job in enumerate(entry.jobs)
    ]
    says = ""
    if habits.never_more_than_alone and alone is not None:
        shares, says = never_more_than_alone(shares)
    return FlatShare(entry.flat, method, tuple(shares), entry.kept, orders, error, says)


def _weight(share: Fraction) -> Decimal:
    return Decimal(share.numerator) / Decimal(share.denominator)


def never_more_than_alone(shares: Sequence[JobShare]) -> tuple[list[JobShare], str]:
    """Let no job pay more than it would alone, at the others' cost by the room that each has; the sum stays.

    Gives the shares as they were, and a sentence, where all jobs' own sheets would cost less together than they pay.

    Raises:
        ValueError: it is not known what a job would pay alone.
    """
    limits = []
    for share in shares:
        if share.alone is None:
            raise ValueError(f"It is not known what job {share.job} would pay alone.")
        limits.append(share.alone)
    total, together = sum((share.bill for share in shares), _NOTHING), sum(limits, _NOTHING)
    if total > together:
        return list(shares), (
            f"that no job pays more than alone cannot hold: the flat takes {total} of its jobs, and on sheets of their "
            f"own they would pay {together} together"
        )
    beyond = [max(_NOTHING, share.bill - limit) for share, limit in zip(shares, limits, strict=True)]
    room = [max(_NOTHING, limit - share.bill) for share, limit in zip(shares, limits, strict=True)]
    more = give_out(sum(beyond, _NOTHING), room) if any(beyond) else [_NOTHING] * len(shares)
    return [
        replace(share, waste=share.waste - over + extra, capped=over > 0)
        for share, over, extra in zip(shares, beyond, more, strict=True)
    ], ""
