"""One run of a flow, which can be gone on with, and what must hold in every run."""

from collections.abc import Callable, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from stationflow.line.simulation.flow_arrays import Tables, flow_tables, grown
from stationflow.line.simulation.flow_compiled import flow_kernels, prepare
from stationflow.line.simulation.flow_kernel import STATES
from stationflow.line.simulation.flow_model import FlowModel

EVENTS_AT_ONCE = 5_000_000
OF_LINE = ("area", "good", "time_good", "scrapped", "consumed", "lost")
OF_STATION = STATES + 2
"""Sums kept of a station: seconds in each state, units done, units rejected."""


class FlowRun:
    """One replication of a model."""

    def __init__(self, model: FlowModel, seed: int, replication: int = 0, trace: int = 0) -> None:
        self.model = model
        self.tables: Tables = flow_tables(model, seed, replication, trace)
        self.edges: list[float] = []
        self.rows: list[npt.NDArray[np.float64]] = []  # the sums at each edge

    def run(self, edges: Sequence[float], keep_going: Callable[[], bool] = lambda: True) -> bool:
        """Run to each of these times in seconds; False: it was told to stop before."""
        prepare()
        kernels = flow_kernels()
        columns = len(OF_LINE) * len(self.tables.lines) + OF_STATION * len(self.tables.stations)
        sums = np.zeros((len(edges), columns + len(self.tables.buffers)))
        times = np.array(edges, float)
        done = 0
        while True:
            done = kernels.run_through(self.tables, times, sums, done, EVENTS_AT_ONCE)
            if done == len(edges):
                break
            if not keep_going():
                return False
            self._make_room()
        self.edges += list(edges)
        self.rows += list(sums)
        self.check()
        return True

    def _make_room(self) -> None:
        world = self.tables.world[0]
        short_of_units = world["free_units"] < world["margin"]
        short_of_events = len(self.tables.heap) - world["heap"] < world["heap_margin"]
        if short_of_units or short_of_events:
            self.tables = grown(self.tables)

    @property
    def now(self) -> float:
        """The time it has come to, in seconds."""
        return float(self.tables.world[0]["now"])

    def check(self) -> None:
        """Raise RuntimeError unless nothing was lost: a mistake of the loop, not of the user."""
        check_flow(self.tables, self.now, flow_kernels().present_units)


def check_flow(
    tables: Tables, now: float, present_units: Callable[[Tables, int, float], tuple[int, float]]
) -> None:
    """Raise RuntimeError unless units, times and shares add up.

    Conservation: started = good + scrapped + used + turned away + what is found there, unit by
    unit. Little's law as the identity it is in any run: the sum over time of the units present is
    the sum of the times of all units, those still there up to now (Little, 1961).
    """
    for c, line in enumerate(tables.lines):
        found, time = present_units(tables, c, now)
        gone = sum(int(line[name]) for name in ("good", "scrapped", "consumed", "lost"))
        if int(line["created"]) != gone + found or found != int(line["present"]):
            raise RuntimeError(f"line {c}: {line['created']} units started, {gone + found} found")
        times = float(line["time_gone"]) + time
        if abs(float(line["area"]) - times) > 1e-6 * max(1.0, abs(times)):
            raise RuntimeError(f"line {c}: L = lambda W does not hold: {line['area']}, {times}")
    server_time = tables.stations["servers"] * now
    if len(server_time) and np.abs(tables.spent.sum(1) - server_time).max() > 1e-6 * max(1.0, now):
        raise RuntimeError("the states of a station do not add up to the time that passed")


class Window:
    """What a run summed up between two of its edges."""

    def __init__(self, run: FlowRun, first: int, last: int) -> None:
        self.seconds = run.edges[last] - run.edges[first]
        row = run.rows[last] - run.rows[first]
        lines, stations = len(run.tables.lines), len(run.tables.stations)
        split = len(OF_LINE) * lines
        self.lines = row[:split].reshape(lines, len(OF_LINE))
        rest = row[split : split + OF_STATION * stations].reshape(stations, OF_STATION)
        servers = run.tables.stations["servers"]
        self.spent = rest[:, :STATES]
        self.shares = self.spent / (servers * self.seconds)[:, None]
        self.done = rest[:, STATES]
        self.waiting = row[split + OF_STATION * stations :] / self.seconds

    def of_main(self, name: str) -> float:
        """Return a sum of the main line."""
        return float(self.lines[0, OF_LINE.index(name)])


def series(run: FlowRun, name: str) -> npt.NDArray[np.float64]:
    """Return what a sum of the main line grew by between its edges."""
    column: Any = np.array([row[OF_LINE.index(name)] for row in run.rows])
    grown_by: npt.NDArray[np.float64] = np.diff(column)
    return grown_by
