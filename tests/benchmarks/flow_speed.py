# ruff: noqa: T201 (a script that prints a table)
"""Simulated units a second on one core, as a ratio to the same model in SimPy; growth with size.

Run: python tests/benchmarks/flow_speed.py
Processor time is measured, so that other work on the machine counts little.
"""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from time import process_time
from typing import Any

sys.path.insert(0, str(Path(__file__).parents[2]))

import numpy as np
import simpy

from stationflow import read_product
from stationflow.balancing.balance import balance_product
from stationflow.line.simulation.flow_model import Duration, FlowModel, Law, unpaced_line
from stationflow.line.simulation.flow_run import FlowRun
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.model import BalanceSettings, LinePlan, ProductPlan
from tests.line.simulation.independent_flow import SimpyFlow

ROOT = Path(__file__).parents[2]


def line_of(stations: int) -> FlowModel:
    """Return a line by hand of gamma times (cv 0.3) with three places between stations."""
    return unpaced_line((Duration(mean_s=1, sd_s=0.3, law=Law.GAMMA),) * stations, 3)


def appliance() -> FlowModel:
    """Return the air purifier of the demo with all its lines, planned by a rule."""
    product, _ = read_product(ROOT / "demo_products" / "air_purifier")
    settings = BalanceSettings(method="ranked-positional-weight")
    results = [balance_product(product, line.name, settings) for line in product.lines]
    plans = tuple(LinePlan(line=r.line, result=r) for r in results if r.stations)
    model = planned_flow(product, ProductPlan(lines=plans)).model
    assert model is not None
    return model


def ours(model: FlowModel, seconds: float) -> tuple[float, int]:
    """Return processor time and good units."""
    run = FlowRun(model, 1)
    started = process_time()
    run.run([seconds])
    return process_time() - started, int(run.tables.lines["good"][0])


def in_simpy(model: FlowModel, seconds: float) -> tuple[float, int]:
    """Return the same of the model written as processes."""
    started = process_time()
    run = SimpyFlow(model, 1).run(seconds)
    return process_time() - started, run.good


def lean_simpy(stations: int, seconds: float) -> tuple[float, int]:
    """Return the same of the plainest line in SimPy: times drawn beforehand, nothing counted."""
    times = np.random.default_rng(1).gamma(11.1, 0.09, (stations, int(1.2 * seconds))).tolist()
    started = process_time()
    env = simpy.Environment()
    stores = [simpy.Store(env, capacity=3) for _ in range(stations - 1)]
    done = [0]

    def station(k: int) -> Iterator[Any]:
        for time in times[k]:
            if k:
                yield stores[k - 1].get()
            yield env.timeout(time)
            if k < stations - 1:
                yield stores[k].put(1)
            else:
                done[0] += 1

    for k in range(stations):
        env.process(station(k))
    env.run(until=seconds)
    return process_time() - started, done[0]


def row(name: str, measure: Callable[[], tuple[float, int]], base: float | None = None) -> float:
    """Print units a second, and the ratio to a base; return them."""
    seconds, units = min(measure() for _ in range(3))
    rate = units / seconds
    ratio = "" if base is None else f"{base / rate:8.1f} times"
    print(f"{name:60}{rate:12,.0f} units/s  {ratio}")
    return rate


def main() -> None:
    """Measure and print."""
    FlowRun(line_of(2), 1).run([1.0])  # compiled, or loaded
    line, whole = line_of(20), appliance()
    rate = row("20 stations by hand, 3 places between", lambda: ours(line, 100_000))
    row("the same in SimPy, general", lambda: in_simpy(line, 5_000), rate)
    row("the same in SimPy, plainest", lambda: lean_simpy(20, 5_000), rate)
    rate = row(f"the appliance, {len(whole.stations)} stations", lambda: ours(whole, 1e6))
    row("the same in SimPy, general", lambda: in_simpy(whole, 1e5), rate)
    print("\nstations   units/s   microseconds for a unit at a station")
    for stations in (1, 2, 5, 10, 20, 50, 100, 200, 500):
        model = line_of(stations)
        seconds, units = min(ours(model, 2e6 / stations) for _ in range(3))
        print(f"{stations:8}{units / seconds:10,.0f}{seconds / units / stations * 1e6:10.3f}")
    print("\n   units   seconds (20 stations)")
    for seconds in (1e3, 1e4, 1e5, 1e6):
        time, units = min(ours(line, seconds) for _ in range(2))
        print(f"{units:8,}{time:10.4f}")


if __name__ == "__main__":
    main()
