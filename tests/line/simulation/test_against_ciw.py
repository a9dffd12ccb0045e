"""Networks of queues give the means that Ciw gives, within the limits of both."""

import ciw
import pytest

from stationflow.line.simulation.flow_model import (
    GOOD,
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    Gate,
    Law,
)
from stationflow.line.simulation.student import estimate, student
from tests.line.simulation.small_flows import exponential, windows

RUNS = 10
SECONDS, WARM_UP = 4_000.0, 500.0


def network() -> FlowModel:
    """Return arrivals each second to three queues; after the third, 3 in 10 go round again.

    Erlang (gamma) times at the first, uniform ones at the second, exponential at the third.
    """
    again = Gate(pass_share=0.7, repeat_pass=0.7, reject_share=0.3, repeat_reject=0.3, reject_to=0)
    stations = (
        FlowStation(work=exponential(1.0), to=0, arrivals=True),
        FlowStation(
            work=Duration(mean_s=1.1, sd_s=1.1 / 2, law=Law.GAMMA),
            number=1,
            input=0,
            servers=2,
            to=1,
        ),
        FlowStation(
            work=Duration(mean_s=0.5, sd_s=0.4 / 3**0.5, law=Law.UNIFORM), number=2, input=1, to=2
        ),
        FlowStation(work=exponential(1.5), number=3, input=2, servers=3, to=GOOD, gate=again),
    )
    return FlowModel(stations=stations, buffers=(FlowBuffer(),) * 3)


def in_ciw(seed: int) -> tuple[list[float], float]:
    """Return the mean time at each queue, waiting included, and the units out a second."""
    given = ciw.create_network(
        arrival_distributions=[ciw.dists.Exponential(rate=1.0), None, None],
        service_distributions=[
            ciw.dists.Gamma(shape=4.0, scale=1.1 / 4),
            ciw.dists.Uniform(lower=0.1, upper=0.9),
            ciw.dists.Exponential(rate=1 / 1.5),
        ],
        number_of_servers=[2, 1, 3],
        routing=[[0.0, 1.0, 0.0], [0.0, 0.0, 1.0], [0.3, 0.0, 0.0]],
    )
    ciw.seed(seed)
    simulation = ciw.Simulation(given)
    simulation.simulate_until_max_time(WARM_UP + SECONDS)
    records = [r for r in simulation.get_all_records() if r.exit_date >= WARM_UP]
    times = []
    for node in (1, 2, 3):
        here = [r.exit_date - r.arrival_date for r in records if r.node == node]
        times.append(sum(here) / len(here))
    out = [r for r in records if r.node == 3 and r.destination == -1]
    return times, len(out) / SECONDS


@pytest.fixture(scope="module")
def both():
    """Return the values of each run: ours and those of Ciw, a list for each measure."""
    ours, theirs = [], []
    for window in windows(network(), SECONDS, WARM_UP, runs=RUNS):
        ours.append([*times_at(window), window.of_main("good") / window.seconds])
    for seed in range(RUNS):
        times, out = in_ciw(seed)
        theirs.append([*times, out])
    return list(zip(*ours, strict=True)), list(zip(*theirs, strict=True))


def times_at(window) -> list[float]:
    """Return the mean time at each queue, by Little's law: units there / units through a second."""
    return [
        float(
            (window.waiting[k] + window.spent[k + 1, 0] / window.seconds)
            / (window.done[k + 1] / window.seconds)
        )
        for k in range(3)
    ]


@pytest.mark.parametrize("measure", range(4), ids=["first", "second", "third", "units out"])
def test_means_agree_within_the_limits_of_both(both, measure):
    ours, theirs = (estimate(values[measure]) for values in both)
    assert ours.low is not None
    assert theirs.low is not None
    wider = student(0.999, RUNS - 1) / student(0.95, RUNS - 1)
    limits = ((ours.mean - ours.low) ** 2 + (theirs.mean - theirs.low) ** 2) ** 0.5
    assert abs(ours.mean - theirs.mean) <= wider * limits
    assert limits < 0.15 * theirs.mean  # close enough to say something
