"""The account's lines added up: by plate, by job, by flat, for what belongs to no plate, and for the day."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import TypeVar

from planner.estimate.account import ITEMS, Item, Line

_Key = TypeVar("_Key")


@dataclass(frozen=True, slots=True)
class Sum:
    """Lines added up: square inches by class, pounds, money."""

    areas: dict[Item, Decimal]
    weights: dict[Item, Decimal]
    chips: Decimal
    scrap: Decimal
    cost: Decimal | None
    """None where no metal of it has a price."""
    credit: Decimal
    unpriced: bool
    """Whether some metal of it has no price, and is not in the cost."""

    @property
    def area(self) -> Decimal:
        """Square inches of all classes."""
        return sum(self.areas.values(), Decimal(0))

    @property
    def weight(self) -> Decimal:
        """Pounds of all classes at full gauge."""
        return sum(self.weights.values(), Decimal(0))

    @property
    def net(self) -> Decimal | None:
        """What the metal costs less what its waste brings; None where no metal of it has a price."""
        return None if self.cost is None else self.cost - self.credit


def sum_of(lines: Iterable[Line]) -> Sum:
    """Add up lines."""
    areas = dict.fromkeys(ITEMS, Decimal(0))
    weights = dict.fromkeys(ITEMS, Decimal(0))
    chips = scrap = credit = cost = Decimal(0)
    priced = unpriced = False
    for line in lines:
        areas[line.item] += line.area
        weights[line.item] += line.weight
        chips += line.chips
        scrap += line.scrap
        credit += line.credit
        if line.cost is None:
            unpriced = True
        else:
            priced = True
            cost += line.cost
    return Sum(areas, weights, chips, scrap, cost if priced or not unpriced else None, credit, unpriced)


def sums_by(lines: Iterable[Line], key: Callable[[Line], _Key]) -> dict[_Key, Sum]:
    """Add up lines with the same key, in the order in which keys first come."""
    groups: dict[_Key, list[Line]] = {}
    for line in lines:
        groups.setdefault(key(line), []).append(line)
    return {name: sum_of(group) for name, group in groups.items()}


def by_plate(lines: Iterable[Line]) -> dict[str, Sum]:
    """Add up what belongs to each plate."""
    return {
        plate: found
        for plate, found in sums_by((line for line in lines if line.plate is not None), lambda line: line.plate).items()
        if plate is not None
    }


def by_job(lines: Iterable[Line]) -> dict[str, Sum]:
    """Add up what belongs to the plates of each job."""
    return {
        job: found
        for job, found in sums_by((line for line in lines if line.job is not None), lambda line: line.job).items()
        if job is not None
    }


def by_flat(lines: Iterable[Line]) -> dict[int, Sum]:
    """Add up each flat."""
    return sums_by(lines, lambda line: line.flat)


def shared(lines: Iterable[Line]) -> Sum:
    """Add up what belongs to no plate."""
    return sum_of(line for line in lines if line.plate is None)
