"""Whole lines give the means of an independent model in SimPy, within the limits of both."""

from pathlib import Path

import pytest

from stationflow import read_product
from stationflow.balancing.balance import balance_product
from stationflow.line.simulation.flow_model import (
    Carriers,
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    PacedLine,
    Stop,
)
from stationflow.line.simulation.flow_run import Window
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.simulation.student import estimate, student
from stationflow.model import BalanceSettings, LinePlan, ProductPlan
from tests.line.simulation.independent_flow import SimpyFlow
from tests.line.simulation.small_flows import joined_line, line_with_float, windows, with_stops

RUNS = 10


def loads_on_carriers() -> FlowModel:
    """Return a paced part, an oven of loads, and a part by hand, on 20 carriers; parts lack."""
    work = Duration(mean_s=50, sd_s=6)
    stations = (
        FlowStation(work=work, number=1, takes_carrier=0, shortage_share=0.02, shortage_s=120),
        FlowStation(work=work, number=2, to=0),
        FlowStation(work=Duration(mean_s=400, sd_s=20), name="oven", input=0, batch=8, to=1),
        FlowStation(work=work, number=3, input=1, to=2),
        FlowStation(work=work, number=4, input=2, gives_carrier=True),
    )
    return FlowModel(
        stations=stations,
        buffers=(FlowBuffer(places=10), FlowBuffer(places=4), FlowBuffer(places=0)),
        paced=(PacedLine(first=0, last=1, pace_s=55.0),),
        carriers=(Carriers(count=20, return_s=120),),
    )


def copies_behind_an_oven() -> FlowModel:
    """Return two copies of a line by hand that take from the same oven of loads."""
    work = Duration(mean_s=110, sd_s=20)
    stations = (
        FlowStation(work=Duration(mean_s=400, sd_s=20), name="oven", to=0, batch=8),
        FlowStation(work=work, number=1, input=0, to=1),
        FlowStation(work=work, number=2, input=1),
        FlowStation(work=work, number=1, name="copy of 1", input=0, to=2),
        FlowStation(work=work, number=2, name="copy of 2", input=2),
    )
    places = (8, 2, 0)
    return FlowModel(stations=stations, buffers=tuple(FlowBuffer(places=p) for p in places))


MODELS = {
    "feeder, test and stops": with_stops(joined_line(), Stop(mtbf_s=3_000, mttr_s=200)),
    "empty places": line_with_float(0.1, 0.1, 0.05, delay_s=50.0),
    "loads on carriers": loads_on_carriers(),
    "copies behind an oven": copies_behind_an_oven(),
}


def measures(model: FlowModel, seconds: float, warm_up: float):
    """Return output a second and time in the line, of ours and of SimPy, a list each."""
    ours = [_ours(window) for window in windows(model, seconds, warm_up, runs=RUNS)]
    theirs = []
    for seed in range(RUNS):
        run = SimpyFlow(model, seed).run(warm_up)
        good, time = run.good, run.time_good
        run.run(warm_up + seconds)
        good, time = run.good - good, run.time_good - time
        theirs.append((good / seconds, time / good))
    return list(zip(*ours, strict=True)), list(zip(*theirs, strict=True))


def _ours(window: Window) -> tuple[float, float]:
    good = window.of_main("good")
    return good / window.seconds, window.of_main("time_good") / good


def assert_agree(model: FlowModel, seconds: float, warm_up: float) -> None:
    for ours, theirs in zip(*measures(model, seconds, warm_up), strict=True):
        one, other = estimate(ours), estimate(theirs)
        assert one.low is not None
        assert other.low is not None
        limits = ((one.mean - one.low) ** 2 + (other.mean - other.low) ** 2) ** 0.5
        wider = student(0.999, RUNS - 1) / student(0.95, RUNS - 1)
        assert abs(one.mean - other.mean) <= wider * limits + 1e-9
        assert limits < 0.1 * other.mean  # close enough to say something


@pytest.mark.parametrize("name", MODELS)
def test_means_agree(name):
    model = MODELS[name]
    if model.paced and model.paced[0].pace_s == 1.0:
        assert_agree(model, 5_000, 500)
    else:
        assert_agree(model, 20_000, 4_000)


@pytest.mark.campaign
def test_the_demo_appliance_agrees():
    folder = Path(__file__).parents[3] / "demo_products" / "air_purifier"
    product = read_product(folder)[0]
    settings = BalanceSettings(method="ranked-positional-weight")
    results = [balance_product(product, line.name, settings) for line in product.lines]
    plans = tuple(LinePlan(line=r.line, result=r) for r in results if r.stations)
    model = planned_flow(product, ProductPlan(lines=plans)).model
    assert model is not None
    assert_agree(model, 144_000, 20_000)
