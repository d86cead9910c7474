"""What to buy: the same day laid on every choice of sheets, and the cheapest mix.

Metals and gauges have nothing to do with each other, so each is compared by itself and the cheapest mixes are added up.
Only blanks are laid: what the camera and the router do is the same on any sheet. Straight cuts are reckoned with. What
is charged to the day is what has to be paid for it: sheets on hand at their own price, bought ones in whole packs, and
the making up of every flat. Pieces of the rack count for what a plan would count them, and every mix may use them.
"""

from __future__ import annotations

import functools
import signal
from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, as_completed, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace
from decimal import Decimal
from multiprocessing import active_children, get_context
from typing import Final, cast

from planner.blanks import GRID, Blank, blanks_for
from planner.crew import crew_of
from planner.estimate.choices import Choice, choices_of
from planner.estimate.laying_mixes import LaidMix, MixWork, lay_mix, lay_mix_in_a_process
from planner.estimate.mixes import Mix, MixSearch, Tried
from planner.flats import Search, keep_of, options_for, pieces_of
from planner.forms import InputError, Problem
from planner.house import BuyableSheet, House
from planner.orders import MetalName, Orders
from planner.plates import plates_of
from planner.rules import RuleFailure, Rules
from planner.stock import material_of

ROUNDS: Final = 200
"""Of the search for each mix."""
_GRACE: Final = 2.0
"""Seconds that interrupted processes are given to hand in their best."""


@dataclass(frozen=True, slots=True)
class Offer:
    """What one mix of sheets comes to for one material."""

    used: tuple[tuple[str, int], ...]
    """Sheets by name and number, in the order of the choices."""
    cost: Decimal | None
    """Of sheets, whole packs and making up; None where the metal has no price."""
    paid: Decimal
    """What of it is to be bought."""
    flats: int
    metal: float
    """Square inches of all sheets."""
    plates: float
    """Square inches of the blanks that were laid."""
    kept: float
    """Square inches of offcuts that are worth keeping."""
    lead: int
    """Days until all of it is here."""
    left_out: int
    """Plates for which there was no sheet."""
    on_hand: bool
    """Whether nothing is to be bought."""

    @property
    def waste(self) -> float:
        """Square inches that are neither plates nor kept."""
        return self.metal - self.plates - self.kept


@dataclass(frozen=True, slots=True)
class MaterialOffers:
    """One metal and gauge: every mix that was laid, the cheapest first."""

    material: str
    plates: int
    choices: tuple[Choice, ...]
    offers: tuple[Offer, ...]
    mixes: int
    laid: int
    ruled_out: int
    exhaustive: bool
    proven: bool
    finished: bool
    """Whether the search came to its end."""
    held: tuple[str, ...]
    """Plates that none of the sheets could hold."""

    @property
    def best(self) -> Offer:
        """The cheapest."""
        return self.offers[0]

    @property
    def without_buying(self) -> Offer | None:
        """The cheapest of what is on hand; None if nothing is."""
        return next((offer for offer in self.offers if offer.on_hand), None)


@dataclass(frozen=True, slots=True)
class Comparison:
    """A day on every choice of sheets."""

    title: str
    house: str
    currency: str
    materials: tuple[MaterialOffers, ...]
    missing: tuple[str, ...]
    """Plates of metal of which there is no sheet at all."""
    interrupted: bool


@dataclass(frozen=True, slots=True)
class Look:
    """A look at a comparison under way."""

    done: int
    known: int
    """Mixes that are to be laid, as far as that is known yet."""


def compare(
    orders: Orders,
    house: House,
    rules: Rules,
    sizes: Sequence[BuyableSheet] = (),
    search: Search = Search(iterations=ROUNDS),  # noqa: B008 - frozen, so safe to share
    within: int | None = None,
    every_mix: bool = False,
    processes: int = 1,
    told: Callable[[Look], None] | None = None,
    source: str = "the sizes",
    on_rack: Collection[str] = (),
) -> Comparison:
    """Lay a day on every choice of sheets; the number of processes changes nothing but the time.

    Sheets of the house whose names are ``on_rack`` are pieces of its rack, which every mix may use.

    A KeyboardInterrupt after every material was laid once gives what is known by then.

    Raises:
        InputError: art cannot be used, a rule failed, sheets cannot be compared, or there are none to compare.
    """
    choices = choices_of(house, sizes, within, source, on_rack)
    by_material: dict[str, list[Blank]] = {}
    for blank in _blanks(orders, house, rules, processes):
        by_material.setdefault(material_of(blank.plate.metal, blank.plate.gauge), []).append(blank)
    missing = [blank.plate.id for material, own in by_material.items() if material not in choices for blank in own]
    days = [
        _Material(material, own, choices[material], house, search, every_mix)
        for material, own in by_material.items()
        if material in choices
    ]
    days = [day for day in days if day.search is not None]
    if not days:
        raise InputError(orders.source, [Problem("", "none of its plates fits a sheet on hand or to be bought")])
    interrupted = _searched(days, processes, told)
    return Comparison(
        title=orders.title, house=house.name, currency=house.prices.currency,
        materials=tuple(day.offers() for day in days), missing=tuple(missing), interrupted=interrupted,
    )  # fmt: skip


def _blanks(orders: Orders, house: House, rules: Rules, processes: int) -> list[Blank]:
    rules.refuse_broken()
    with crew_of(processes) as crew:
        plates = plates_of(orders, house, (), crew)
    while True:
        try:
            return list(blanks_for(plates, rules, house).values())
        except RuleFailure as failure:
            rules = rules.without(failure)


class _Material:
    """One material's plates, and the search for its cheapest mix (None if no sheet holds any of them)."""

    def __init__(
        self, material: str, blanks: Sequence[Blank], choices: Sequence[Choice], house: House, search: Search,
        every_mix: bool,
    ) -> None:  # fmt: skip
        self.material = material
        self.choices = [choice for choice in choices if not choice.from_rack]
        self.on_rack = [choice for choice in choices if choice.from_rack]
        self.options = replace(
            options_for(house, search), workers=1, keep=keep_of(house, cast(MetalName, blanks[0].plate.metal))
        )
        # Wishes change no cost, and pieces without them are more alike, which is quicker.
        pieces = [replace(piece, wishes=()) for piece in pieces_of(blanks)]
        first = lay_mix(MixWork(pieces, tuple(one.stock for one in choices), replace(self.options, iterations=0)))
        self.held = first.unfit
        self.pieces = [piece for piece in pieces if piece.name not in first.unfit]
        self.areas = {piece.name: piece.width * piece.height for piece in self.pieces}
        self.search = MixSearch(self.choices, self.areas, every_mix, self.on_rack) if self.pieces else None

    def work(self, mix: Mix) -> MixWork:
        choices = (*(self.choices[place] for place in sorted(mix)), *self.on_rack)
        return MixWork(self.pieces, tuple(choice.stock for choice in choices), self.options)

    def offers(self) -> MaterialOffers:
        search = self.search
        assert search is not None, "materials without a search are left out"
        found: dict[tuple[tuple[str, int], ...], tuple[tuple[int, int], Offer]] = {}
        for tried in search.tried.values():
            if not tried.flats:
                continue  # the pieces of the rack hold none of the plates
            offer = self._offer(tried)
            before = found.get(offer.used)
            if before is None or (tried.merit, offer.waste) < (before[0], before[1].waste):
                found[offer.used] = (tried.merit, offer)
        ranked = sorted(
            found.values(), key=lambda entry: (entry[0], entry[1].flats, entry[1].waste, entry[1].lead, entry[1].used)
        )
        return MaterialOffers(
            self.material, len(self.pieces), (*self.choices, *self.on_rack), tuple(offer for _, offer in ranked),
            max(1, 2 ** len(self.choices) - 1), len(search.tried), search.ruled_out, search.exhaustive,
            search.is_proven(), not search.batch, self.held,
        )  # fmt: skip

    def _offer(self, tried: Tried) -> Offer:
        counts = dict(tried.laid.used)
        choices = (*self.choices, *self.on_rack)
        used = [choice for choice in choices if choice.name in counts]
        priced = all(choice.price is not None for choice in choices)
        left = set(tried.laid.left_out)
        return Offer(
            used=tuple((choice.name, counts[choice.name]) for choice in used),
            cost=Decimal(tried.merit[1]) / 100 if priced else None,
            paid=sum((choice.paid(counts[choice.name]) for choice in used), Decimal(0)),
            flats=tried.flats,
            metal=sum(choice.width * choice.height * counts[choice.name] for choice in used),
            plates=sum(area for name, area in self.areas.items() if name not in left) / GRID**2,
            kept=tried.laid.kept / GRID**2,
            lead=max((choice.lead for choice in used if choice.to_buy), default=0),
            left_out=len(left),
            on_hand=not any(choice.to_buy for choice in used),
        )


def _searched(days: Sequence[_Material], processes: int, told: Callable[[Look], None] | None) -> bool:
    """Lay batch after batch of all materials side by side; say whether that was interrupted."""
    searches = [(day, day.search) for day in days if day.search is not None]
    done = 0
    with _pool(processes) as pool:
        while any(search.batch for _, search in searches):
            works = [(place, mix) for place, (_, search) in enumerate(searches) for mix in search.batch]
            laid: dict[tuple[int, Mix], LaidMix] = {}
            tell = None if told is None else functools.partial(_tell, told, done, len(works))
            try:
                _lay_all(pool, {work: searches[work[0]][0].work(work[1]) for work in works}, laid, tell)
            except KeyboardInterrupt:
                for place, (_, search) in enumerate(searches):
                    search.note({mix: found for (at, mix), found in laid.items() if at == place})
                if all(search.tried for _, search in searches):
                    return True
                raise
            done += len(works)
            for place, (_, search) in enumerate(searches):
                if search.batch:
                    search.take({mix: found for (at, mix), found in laid.items() if at == place})
    return False


def _tell(told: Callable[[Look], None], before: int, works: int, done: int) -> None:
    told(Look(before + done, before + works))


def _lay_all(
    pool: Executor | None,
    works: Mapping[tuple[int, Mix], MixWork],
    laid: dict[tuple[int, Mix], LaidMix],
    tell: Callable[[int], None] | None,
) -> None:
    """Put what every work comes to into ``laid``; a KeyboardInterrupt leaves there what is known by then."""
    given = {} if pool is None else {pool.submit(lay_mix_in_a_process, work): key for key, work in works.items()}
    try:
        if pool is None:
            for key, work in works.items():
                laid[key] = lay_mix(work)
                if laid[key].interrupted:
                    raise KeyboardInterrupt
                if tell is not None:
                    tell(len(laid))
        for future in as_completed(given):
            laid[given[future]] = future.result()
            if tell is not None:
                tell(len(laid))
    except KeyboardInterrupt:
        for future in given:
            future.cancel()
        for future in wait(given, timeout=_GRACE).done:
            if not future.cancelled() and future.exception() is None:
                laid[given[future]] = future.result()
        raise


@contextmanager
def _pool(processes: int) -> Iterator[Executor | None]:
    """Processes that leave Ctrl-C to us while they wait for work, and that end with us whatever they are at."""
    if processes < 2:
        yield None
        return
    before = set(active_children())
    pool = ProcessPoolExecutor(
        processes, mp_context=get_context("spawn"), initializer=signal.signal,
        initargs=(signal.SIGINT, signal.SIG_IGN),
    )  # fmt: skip
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)
        for process in set(active_children()) - before:
            process.terminate()
        pool.shutdown()
