"""Many simulations at the same time: on this machine, or on a cluster whose address is given."""

import asyncio
import signal
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import (
    FIRST_COMPLETED,
    CancelledError,
    Executor,
    ProcessPoolExecutor,
    wait,
)
from contextlib import contextmanager
from multiprocessing import get_context
from multiprocessing.synchronize import Event
from os import cpu_count
from typing import Any

from stationflow.errors import ClusterError
from stationflow.line.simulation.flow_compiled import prepare
from stationflow.line.simulation.flow_model import FlowModel
from stationflow.line.simulation.replications import no_answer, simulate_flow
from stationflow.line.simulation.simulated import Simulated, SimulationSettings
from stationflow.model import note

Job = tuple[FlowModel, SimulationSettings]
Running = tuple[Executor, int, Callable[[], None]]
STOPS: list[Event] = []
"""Of a process that simulates: what tells it to stop."""
ANSWER_S = 5.0
"""How long a scheduler may take to answer."""
LOOK_S = 0.5
"""How often it is looked whether somebody asked to stop."""
PORTIONS = 8
"""Portions of work for each process, so that none waits long for the last."""


def simulate_at_once(
    jobs: Sequence[Job],
    *,
    processes: int | None = None,
    address: str = "",
    progress: Callable[[int, int], bool] = lambda done, of: True,
) -> tuple[Simulated, ...]:
    """Simulate many flows, each with its own settings; the answers come in the same order.

    `processes` on this machine (None: one for each core), or all workers of the Dask cluster whose
    scheduler has this address ("tcp://10.0.0.5:8786"), where this package has to be installed. The
    answers do not depend on who computed them. `progress` is told again and again how many are
    done; when it returns False, what is not begun is left out and says so, and what this machine is
    at answers with the replications that are done.
    """
    answers: list[Simulated | None] = [None] * len(jobs)
    with _executor(processes, address) as (executor, workers, stop):
        size = max(1, -(-len(jobs) // (PORTIONS * workers)))
        portions = {
            executor.submit(_simulate_all, jobs[at : at + size]): at
            for at in range(0, len(jobs), size)
        }
        pending, goes_on = set(portions), True
        while pending:
            done, pending = wait(pending, LOOK_S, FIRST_COMPLETED)
            for future in done:
                at = portions[future]
                answers[at : at + size] = future.result()
            if goes_on and not progress(sum(a is not None for a in answers), len(jobs)):
                goes_on = False
                stop()
                left = {future for future in pending if not future.cancel()}
                pending = set() if address else left
    left_out = note("simulation-stopped", "Simulation", "It was stopped before its turn.")
    return tuple(
        no_answer(settings, left_out) if answer is None else answer
        for answer, (_, settings) in zip(answers, jobs, strict=True)
    )


def _simulate_all(jobs: Sequence[Job]) -> list[Simulated]:
    return [
        simulate_flow(model, settings, lambda done, of: not any(stop.is_set() for stop in STOPS))
        for model, settings in jobs
    ]


@contextmanager
def _executor(processes: int | None, address: str) -> Iterator[Running]:
    """Yield what runs the portions, how many run side by side, and what stops them."""
    if address:
        with _cluster(address) as found:
            yield found
        return
    prepare()  # so that the processes find it on disk
    workers = processes or cpu_count() or 1
    # Started anew: a copy of a process with threads may hold a lock that none gives back.
    context = get_context("spawn")
    stop = context.Event()
    with ProcessPoolExecutor(workers, context, _begin, (stop,)) as pool:
        yield pool, workers, stop.set


def _begin(stop: Event) -> None:
    """Begin a process: it hears of a stop, and an interrupt at the terminal is for the first."""
    STOPS.append(stop)
    signal.signal(signal.SIGINT, signal.SIG_IGN)


@contextmanager
def _cluster(address: str) -> Iterator[Running]:
    from distributed import Client, KilledWorker
    from distributed.comm import CommClosedError

    # Asked first: the client itself may wait without end for what is no scheduler.
    try:
        found = asyncio.run(_identity(address))
    except TimeoutError as cause:
        raise ClusterError(address, f"nobody answers there within {ANSWER_S:g} s") from cause
    except (OSError, ValueError) as cause:
        raise ClusterError(address, str(cause)) from cause
    if found.get("type") != "Scheduler":
        raise ClusterError(address, "what answers there is no scheduler")
    if not found["workers"]:
        raise ClusterError(address, "its scheduler has no workers")
    try:
        with Client(address, set_as_default=False) as client:
            workers = max(1, sum(client.nthreads().values()))
            yield client.get_executor(pure=False), workers, lambda: None
    except (CancelledError, CommClosedError, ImportError, KilledWorker) as cause:
        raise ClusterError(address, f"{type(cause).__name__} {cause}".strip()) from cause


async def _identity(address: str) -> dict[str, Any]:
    """Return what answers at an address says of itself."""
    from distributed.core import rpc

    async with asyncio.timeout(ANSWER_S), rpc(address, timeout=ANSWER_S) as asked:
        said: dict[str, Any] = await asked.identity()
        return said
