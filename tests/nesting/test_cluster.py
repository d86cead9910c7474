"""The same plan, whichever executor runs the searches: threads, processes, or a cluster on loopback."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from typing import Any

import pytest
from distributed import Client, LocalCluster

from planner.nesting import Options, Piece, Solution, Stock, solve

PIECES = [Piece(f"p{number}", 2 + number * 7 % 11, 3 + number * 5 % 8) for number in range(24)]
STOCKS = [Stock("sheet", 24, 24, None, 5.0)]
OPTIONS = Options(iterations=40, workers=3, seed=4)


class Inline(Executor):
    """Runs what it is given at once, in place."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        future: Future[Any] = Future()
        future.set_result(fn(*args, **kwargs))
        return future


def planned(executor: Executor | None) -> Solution:
    return solve(PIECES, STOCKS, OPTIONS, executor=executor)


def test_threads_processes_and_running_in_place_give_the_same_plan() -> None:
    wanted = planned(Inline())
    with ThreadPoolExecutor(2) as threads, ProcessPoolExecutor(2) as processes:
        assert planned(threads) == wanted
        assert planned(processes) == wanted


# The cluster library opens sockets and loops of its own, and warns of its own affairs.
@pytest.mark.filterwarnings("default")
def test_a_cluster_on_loopback_gives_the_same_plan() -> None:
    with (
        LocalCluster(
            n_workers=1, threads_per_worker=2, processes=False, protocol="tcp", host="127.0.0.1", dashboard_address=":0"
        ) as cluster,
        Client(cluster, set_as_default=False) as client,
    ):
        assert planned(client.get_executor()) == planned(Inline())
