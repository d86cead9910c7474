"""Average marginal shares: what each of several adds to a cost, averaged over all orders in which they may arrive.

This is the Shapley value (L. S. Shapley, "A Value for n-Person Games", Contributions to the Theory of Games II, 1953).
Players are numbered from 0; a coalition is a whole number whose bit ``1 << player`` says whether a player is in it.
Costs are whole cents, so that exact values are fractions and add up exactly.
"""

from __future__ import annotations

import math
import random
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

MOST_EXACT: Final = 8
"""Players up to which every coalition is looked at: 255 of them."""

_SEED: Final = 0
_FEWEST_DRAWS: Final = 4
"""Fewer would say nothing of their error."""


@dataclass(frozen=True, slots=True)
class Marginal:
    """Shares that add up to the cost of all. ``errors`` are standard errors; 0 for all where every order counts."""

    shares: tuple[Fraction, ...]
    errors: tuple[float, ...]
    orders: int | None
    """How many orders of arrival were tried; None: all."""


def marginal_shares(players: int, cost: Callable[[int], int], orders: int) -> Marginal:
    """Give the average marginal shares: exact up to eight players, beyond from about so many orders.

    ``cost`` gives the cost of a coalition; it is asked once for each. No coalition is counted dearer than one that
    holds it: what serves the larger one serves the smaller.
    """
    if players <= MOST_EXACT:
        costs = never_dearer(players, {mask: cost(mask) for mask in range(1, 1 << players)})
        return Marginal(exact_shares(players, costs), (0.0,) * players, None)
    return _sampled(players, cost, orders)


def exact_shares(players: int, costs: Mapping[int, int]) -> tuple[Fraction, ...]:
    """Give the exact shares from the costs of all coalitions (that of nobody is nothing).

    A player's share is the sum over all coalitions S without him of |S|! (n - |S| - 1)! / n! times what he adds to S.
    """
    weight = [
        Fraction(math.factorial(size) * math.factorial(players - size - 1), math.factorial(players))
        for size in range(players)
    ]
    return tuple(
        sum(
            (
                weight[mask.bit_count()] * (costs[mask | 1 << player] - costs.get(mask, 0))
                for mask in range(1 << players)
                if not mask & 1 << player
            ),
            Fraction(0),
        )
        for player in range(players)
    )


def never_dearer(players: int, costs: Mapping[int, int]) -> dict[int, int]:
    """Lower each coalition's cost to that of the cheapest coalition that holds it; all coalitions must be given."""
    lowered = dict(costs)
    for mask in sorted(lowered, key=lambda mask: -mask.bit_count()):
        larger = [mask | 1 << player for player in range(players) if not mask & 1 << player]
        lowered[mask] = min([lowered[mask], *(lowered[one] for one in larger)])
    return lowered


def coalitions_wanted(players: int, orders: int) -> list[int]:
    """Give every coalition whose cost `marginal_shares` asks for, in the order in which it does."""
    if players <= MOST_EXACT:
        return list(range(1, 1 << players))
    return list(dict.fromkeys(mask for chain in _chains(players, orders) for _, mask in chain))


def _sampled(players: int, cost: Callable[[int], int], orders: int) -> Marginal:
    """Of each random order all rotations are tried, so that everybody comes first, second, ... equally often.

    Much depends on when somebody comes, so that this errs far less than as many orders that have nothing to do with
    each other. The rotations of one order are one draw, and the standard error is that of the draws' mean.
    """
    chains = _chains(players, orders)
    costs = {mask: cost(mask) for mask in coalitions_wanted(players, orders)}
    _lower_along(chains, costs)
    added: list[list[int]] = [[] for _ in range(players)]
    for chain in chains:
        before = 0
        for player, mask in chain:
            added[player].append(costs[mask] - before)
            before = costs[mask]
    shares = tuple(Fraction(sum(found), len(chains)) for found in added)
    return Marginal(shares, tuple(_standard_error(found, players) for found in added), len(chains))


def _chains(players: int, orders: int) -> list[list[tuple[int, int]]]:
    dice = random.Random(_SEED)
    chains = []
    for _ in range(max(_FEWEST_DRAWS, round(orders / players))):
        arrivals = list(range(players))
        dice.shuffle(arrivals)
        chains += [_chain(arrivals[place:] + arrivals[:place]) for place in range(players)]
    return chains


def _chain(arrivals: list[int]) -> list[tuple[int, int]]:
    """Who arrives, and the coalition that is there then."""
    chain, mask = [], 0
    for player in arrivals:
        mask |= 1 << player
        chain.append((player, mask))
    return chain


def _lower_along(chains: list[list[tuple[int, int]]], costs: dict[int, int]) -> None:
    """Let no coalition of a chain cost more than a later one of it; chains share coalitions, so until nothing moves."""
    moved = True
    while moved:
        moved = False
        for chain in chains:
            least = costs[chain[-1][1]]
            for _, mask in reversed(chain):
                if costs[mask] > least:
                    costs[mask], moved = least, True
                least = costs[mask]


def _standard_error(found: list[int], size: int) -> float:
    """Of the mean of draws of this size, in cents: their standard deviation over the root of their number."""
    draws = [sum(found[place : place + size]) / size for place in range(0, len(found), size)]
    mean = sum(draws) / len(draws)
    return math.sqrt(sum((one - mean) ** 2 for one in draws) / (len(draws) - 1) / len(draws))
