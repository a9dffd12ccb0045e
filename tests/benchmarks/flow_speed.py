# ruff: noqa: T201 (a script that prints a table)
"""Simulated units a second on one core, as a ratio to the same model in SimPy; growth with size.

Run: python tests/benchmarks/flow_speed.py [--chart FILE.svg]
Processor time is measured, so that other work on the machine counts little.
"""

import argparse
import sys
from collections.abc import Callable, Iterable, Iterator, Sequence
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


def growth(models: Iterable[tuple[int, FlowModel, float]]) -> list[tuple[int, int, float]]:
    """Return stations, units and seconds of each model run so long."""
    rows = []
    for stations, model, until in models:
        seconds, units = min(ours(model, until) for _ in range(3))
        rows.append((stations, units, seconds))
    return rows


def chart(by_stations: Iterable[Sequence[float]], by_units: Iterable[Sequence[float]]) -> str:
    """Return two charts as SVG, all axes logarithmic."""
    import vl_convert

    def panel(rows: list[tuple[float, float]], x: str, y: str) -> dict[str, Any]:
        def axis(field: str, title: str) -> dict[str, Any]:
            return {
                "field": field,
                "type": "quantitative",
                "scale": {"type": "log"},
                "axis": {"title": title, "tickCount": 4, "grid": False},
            }

        return {
            "data": {"values": [{"x": a, "y": b} for a, b in rows]},
            "mark": {"type": "line", "point": {"color": "black"}, "color": "black"},
            "encoding": {"x": axis("x", x), "y": axis("y", y)},
            "width": 260,
            "height": 200,
        }

    per_unit = [(stations, seconds / units * 1e6) for stations, units, seconds in by_stations]
    whole = [(units, seconds) for _, units, seconds in by_units]
    return str(
        vl_convert.vegalite_to_svg(
            {
                "hconcat": [
                    panel(per_unit, "stations", "microseconds for a unit"),
                    panel(whole, "units through 20 stations", "seconds"),
                ]
            }
        )
    )


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--chart", type=Path, help="write the growth as SVG")
    options = parser.parse_args()
    FlowRun(line_of(2), 1).run([1.0])  # compiled, or loaded
    line, whole = line_of(20), appliance()
    rate = row("20 stations by hand, 3 places between", lambda: ours(line, 100_000))
    row("the same in SimPy, general", lambda: in_simpy(line, 5_000), rate)
    row("the same in SimPy, plainest", lambda: lean_simpy(20, 5_000), rate)
    rate = row(f"the appliance, {len(whole.stations)} stations", lambda: ours(whole, 1e6))
    row("the same in SimPy, general", lambda: in_simpy(whole, 1e5), rate)
    sizes = (1, 2, 5, 10, 20, 50, 100, 200, 500)
    by_stations = growth((n, line_of(n), 2e6 / n) for n in sizes)
    by_units = growth((20, line, until) for until in (1e3, 1e4, 1e5, 1e6))
    print("\nstations   units/s   microseconds for a unit at a station")
    for stations, units, seconds in by_stations:
        print(f"{stations:8}{units / seconds:10,.0f}{seconds / units / stations * 1e6:10.3f}")
    print("\n   units   seconds (20 stations)")
    for _, units, seconds in by_units:
        print(f"{units:8,}{seconds:10.4f}")
    if options.chart:
        options.chart.write_text(chart(by_stations, by_units), "utf-8")


if __name__ == "__main__":
    main()
