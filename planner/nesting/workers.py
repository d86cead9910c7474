"""Several searches with different seeds, of which the best is taken."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from concurrent.futures import Executor, ProcessPoolExecutor, wait
from dataclasses import replace

from .problem import Options, Piece, Progress, Solution, Stock

Solver = Callable[[Sequence[Piece], Sequence[Stock], Options], Solution]

# Seeds of one run lie this far apart, so that runs with neighbouring seeds share none.
_APART = 1_000_003
# Seconds that interrupted workers are given to hand in their best.
_GRACE = 2.0


def best_of(
    solver: Solver,
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    options: Options,
    progress: Callable[[Progress], None] | None,
    executor: Executor | None,
) -> Solution:
    """Run one search per worker and return the best plan; of equals, the one with the lowest number.

    An interrupt while waiting takes the best of those that have ended, if any has.
    """
    seeds = [options.seed + number * _APART for number in range(options.workers)]
    orders = [replace(options, seed=seed, workers=1) for seed in seeds]
    if executor is not None:
        return _gathered(executor, solver, pieces, stocks, orders, progress)
    with ProcessPoolExecutor(options.workers) as own:
        return _gathered(own, solver, pieces, stocks, orders, progress)


def _gathered(
    executor: Executor,
    solver: Solver,
    pieces: Sequence[Piece],
    stocks: Sequence[Stock],
    orders: Sequence[Options],
    progress: Callable[[Progress], None] | None,
) -> Solution:
    waiting = [executor.submit(solver, list(pieces), list(stocks), order) for order in orders]
    ended: list[Solution] = []
    try:
        for future in waiting:
            ended.append(future.result())
            if progress is not None:
                progress(_told(min(ended, key=lambda each: _merit(each, pieces))))
    except KeyboardInterrupt:
        for future in waiting:
            future.cancel()
        done = wait(waiting, timeout=_GRACE).done
        whole = [future for future in waiting if future in done and not future.cancelled() and not future.exception()]
        ended = [future.result() for future in whole]
        if not ended:
            raise
        ended = [replace(solution, stopped="interrupted") for solution in ended]
    return min(ended, key=lambda solution: _merit(solution, pieces))


def _merit(solution: Solution, pieces: Sequence[Piece]) -> tuple[list[int], float, int, list[list[int]]]:
    named = {piece.name: piece for piece in pieces}
    out = dict.fromkeys(sorted({piece.due_rank for piece in pieces}), 0)
    for left in solution.left_out:
        piece = named[left.piece]
        out[piece.due_rank] += piece.width * piece.height
    return (
        list(out.values()),
        math.fsum(bound.spent for bound in solution.bounds),
        len(solution.layouts),
        [sorted(named[placement.piece].due_rank for placement in layout.placements) for layout in solution.layouts],
    )


def _told(solution: Solution) -> Progress:
    cost = math.fsum(bound.cost for bound in solution.bounds)
    spent = math.fsum(bound.spent for bound in solution.bounds)
    return Progress(solution.iterations, len(solution.layouts), spent, cost, 0.0)
