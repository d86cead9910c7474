"""What does a plate cost by the house's price table? Each step of the price is a line, and the lines add up to it.

By the inch go the rate or the scale, times the factors, and the extras by the square inch; the house's least price is
for all of that, or for the rate alone (``[prices.counting] minimum_on``). Then comes what is charged for each.
A colour set is one piece: all its plates together, by the size of one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from typing import Final, Literal, TypeAlias

from planner.blanks import Blank
from planner.estimate.counting import Counted, counted
from planner.estimate.rounding import THOUSANDTH, cents
from planner.forms import InputError, Problem
from planner.plan import ChargeRecord
from planner.plates import OrderedPlate
from planner.prices import Extra, Extras, Prices, Rate

Kind: TypeAlias = Literal["line", "halftone", "combination", "colour set"]

_TABLES: Final[Mapping[Kind, str]] = {
    "line": "line", "halftone": "halftone", "combination": "combination", "colour set": "colour_set",
}  # fmt: skip
_NOTHING: Final = Decimal(0)


@dataclass(frozen=True, slots=True)
class ChargeLine:
    """One step of a price."""

    what: str
    how: str
    """How it comes about, like ``20 sq in at 0.20``."""
    amount: Decimal


@dataclass(frozen=True, slots=True)
class PricedPlate:
    """Plates that are alike and cost the same: how many, and the price of each in lines."""

    job: str
    name: str
    kind: Kind
    metal: str
    size: Counted
    count: int
    lines: tuple[ChargeLine, ...]

    @property
    def each(self) -> Decimal:
        """The price of one."""
        return sum((line.amount for line in self.lines), _NOTHING)

    @property
    def price(self) -> Decimal:
        """The price of all of them."""
        return self.count * self.each


def kind_of(plate: OrderedPlate) -> Kind:
    """Say what a plate is to the price table, by the films of its base."""
    if plate.colour is not None:
        return "colour set"
    kinds = {film.kind for film in plate.films if not film.is_overlay}
    if kinds <= {"line"}:
        return "line"
    return "combination" if "line" in kinds or "combination" in kinds else "halftone"


def priced(
    blanks: Sequence[Blank], charges: Mapping[str, Sequence[ChargeRecord]], prices: Prices, source: str = "the orders"
) -> list[PricedPlate]:
    """Price plates by the house's table, and by what its rules charge (by the plate's id).

    A house without a table charges what its rules charge, and nothing else.

    Raises:
        InputError: the house has a table, and it says nothing of a kind of plate that is here.
    """
    pieces: dict[tuple[str, str, int], list[Blank]] = {}
    for blank in blanks:
        plate = blank.plate
        pieces.setdefault((plate.job, plate.name, plate.copy_number), []).append(blank)
    found: dict[tuple[str, str, tuple[ChargeLine, ...]], PricedPlate] = {}
    problems: dict[tuple[str, str], Problem] = {}
    for (job, name, _), piece in pieces.items():
        plate = piece[0].plate
        kind = kind_of(plate)
        if prices.has_table and not _rate(prices, kind).is_made:
            table = _TABLES[kind]
            problems[job, name] = Problem(
                f'job {job}, plate "{name}"', f"has no price: the house file prices no {_words(kind)}; write rate "
                f"under [prices.{table}]",
            )  # fmt: skip
            continue
        rules = [charge for blank in piece for charge in charges.get(blank.plate.id, ())]
        lines = tuple(_lines(piece, kind, prices, rules))
        one = PricedPlate(job, name, kind, plate.metal, counted(piece[0], prices.counting), 1, lines)
        key = (job, name, lines)
        before = found.get(key)
        found[key] = one if before is None else PricedPlate(
            job, name, kind, plate.metal, one.size, before.count + 1, lines
        )  # fmt: skip
    if problems:
        raise InputError(source, list(problems.values()))
    return list(found.values())


def _words(kind: Kind) -> str:
    return {
        "line": "line plates", "halftone": "halftones", "combination": "combinations", "colour set": "colour sets",
    }[kind]  # fmt: skip


def _rate(prices: Prices, kind: Kind) -> Rate:
    rate: Rate = getattr(prices, _TABLES[kind])
    return rate


@dataclass
class _Bill:
    """A price in the making. ``exact`` is not rounded; every line is what it moves the rounded price by."""

    lines: list[ChargeLine] = field(default_factory=list)
    exact: Decimal = _NOTHING

    def add(self, what: str, how: str, amount: Decimal) -> None:
        if amount:
            before = cents(self.exact)
            self.exact += amount
            self.lines.append(ChargeLine(what, how, cents(self.exact) - before))

    def times(self, what: str, factor: Decimal) -> None:
        self.add(what, f"times {factor.normalize():f}", self.exact * (factor - 1))

    def at_least(self, minimum: Decimal) -> None:
        if self.exact < minimum:
            self.add("least price", f"{minimum:.2f}", minimum - self.exact)


@dataclass(frozen=True, slots=True)
class _Asked:
    """An extra that applies to a piece: how often, and to how many square inches of it."""

    what: str
    extra: Extra
    times: int
    area: Decimal


def _lines(piece: Sequence[Blank], kind: Kind, prices: Prices, rules: Iterable[ChargeRecord]) -> list[ChargeLine]:
    bill = _Bill()
    plate = piece[0].plate
    rate = _rate(prices, kind)
    if rate.is_made:
        area = max(counted(piece[0], prices.counting).area, rate.minimum_area)
        asked = list(_asked(piece, area, prices.extras))
        bill.add(f"{kind}, {plate.metal}", _rate_words(rate, area), rate.price_of(area))
        bill.times(f"on {plate.metal}", getattr(rate, f"{plate.metal}_factor"))
        if prices.counting.minimum_on == "rate":
            bill.at_least(rate.minimum)
        for one in asked:
            bill.add(one.what, f"{_plain(one.area)} sq in at {one.extra.per_sq_in}", one.extra.per_sq_in * one.area)
        for one in asked:
            bill.times(one.what, one.extra.factor)
        if prices.counting.minimum_on == "total":
            bill.at_least(rate.minimum)
        if plate.copy_number > 1:
            further = prices.extras.further_original
            bill.times("further identical original", further.factor)
            asked.append(_Asked("further identical original", further, 1, area))
            bill.add("further identical original", f"{_plain(area)} sq in at {further.per_sq_in}",
                     further.per_sq_in * area)  # fmt: skip
        bill.add(f"each {kind}", "", rate.each)
        for one in asked:
            bill.add(one.what, f"{one.times} at {one.extra.each}", one.extra.each * one.times)
    for charge in rules:
        quantity = Decimal(repr(charge.quantity)).quantize(THOUSANDTH)
        bill.add(f"{charge.what} ({charge.rule})", f"{_plain(quantity)} {charge.unit} at {charge.rate}",
                 quantity * Decimal(charge.rate))  # fmt: skip
    return bill.lines


def _asked(piece: Sequence[Blank], area: Decimal, extras: Extras) -> Iterator[_Asked]:
    plates = [blank.plate for blank in piece]
    plate = plates[0]
    base = [film.kind for film in plate.films if not film.is_overlay]
    screened = any(kind != "line" for kind in base)
    finer = extras.fine_screen.finer_than
    tints = sum(tint.area.area for tint in plate.tints)
    tint_area = Decimal(repr(tints)).quantize(THOUSANDTH)
    every: list[_Asked] = [
        _Asked(f"screen finer than {finer}", extras.fine_screen,
               int(screened and finer is not None and (plate.screen or 0) > finer), area),
        _Asked("tint", extras.tint, len(plate.tints), tint_area),
        _Asked("double print", extras.double_print, sum(film.is_overlay for film in plate.films), area),
        _Asked("silhouette", extras.silhouette, base.count("silhouette"), area),
        _Asked("drop-out", extras.drop_out, base.count("drop-out"), area),
        _Asked("bevel", extras.bevel, sum(one.mounting == "bevelled" for one in plates), area),
        _Asked("flush mounting", extras.flush, sum(one.mounting == "flush" for one in plates), area),
        _Asked("block", extras.block, sum(one.mounting != "unmounted" for one in plates), area),
        *(
            _Asked(colour, getattr(extras, colour), sum(one.colour == colour for one in plates), area)
            for colour in ("yellow", "red", "blue", "black")
        ),
    ]  # fmt: skip
    return (one for one in every if one.times)


def _rate_words(rate: Rate, area: Decimal) -> str:
    if rate.rate is not None:
        return f"{_plain(area)} sq in at {rate.rate}"
    step = next((step for step, _ in rate.steps if area <= step), None)
    last = rate.steps[-1]
    if step is not None:
        return f"{_plain(area)} sq in, by the scale up to {_plain(step)}"
    return f"{_plain(area)} sq in, at the inch of the scale's last, {_plain(last[0])} for {last[1]}"


def _plain(value: Decimal) -> str:
    """A decimal without needless digits."""
    return f"{value.quantize(THOUSANDTH).normalize():f}"
