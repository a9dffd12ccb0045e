"""The same drawn times give the same events as an independent model in SimPy."""

import pytest

from stationflow.line.simulation.flow_model import Duration, FlowModel, Law, unpaced_line
from stationflow.line.simulation.replications import simulate_flow
from stationflow.line.simulation.simulated import SimulationSettings
from tests.line.simulation.independent_lines import Log, joined_with_a_bench, passed_by_hand
from tests.line.simulation.small_flows import (
    drawn_judgements,
    drawn_times,
    joined_line,
    with_servers,
)

HOURS = 2.0


def events(model: FlowModel) -> Log:
    """Return when each unit starts and ends at each station."""
    settings = SimulationSettings(hours=HOURS, replications=1, warm_up_h=0, trace=100_000)
    return [
        (event.at_s, event.line, event.station, event.unit, event.what)
        for event in simulate_flow(model, settings).trace
        if event.what in ("starts", "ends")
    ]


def assert_same(ours: Log, theirs: Log) -> None:
    assert len(ours) > 500
    # What happens at one moment has no order that means anything.
    for (t, *what), (other_t, *other) in zip(sorted(ours), sorted(theirs), strict=True):
        assert t == pytest.approx(other_t, abs=1e-6)
        assert what == other


@pytest.mark.parametrize("places", [(0, 0, 0, 0), (1, 2, 0, 3), (5, 5, 5, 5)])
@pytest.mark.parametrize("law", [Law.EXPONENTIAL, Law.GAMMA, Law.LOGNORMAL, Law.NORMAL])
def test_a_line_passed_by_hand(places, law):
    works = tuple(Duration(mean_s=m, sd_s=0.4 * m, law=law) for m in (20, 25, 22, 24, 21))
    model = unpaced_line(works, places)
    times = [drawn_times(model, k, 1_000) for k in range(5)]
    theirs = passed_by_hand(times, places, (1,) * 5, HOURS * 3600)
    assert_same(events(model), theirs)


def test_a_line_with_parallel_stations():
    works = tuple(Duration(mean_s=m, sd_s=9, law=Law.GAMMA) for m in (20, 60, 42, 19))
    servers = (1, 3, 2, 1)
    model = with_servers(unpaced_line(works, (1, 0, 2)), servers)
    times = [drawn_times(model, k, 1_000) for k in range(4)]
    theirs = passed_by_hand(times, (1, 0, 2), servers, HOURS * 3600)
    assert_same(events(model), theirs)


def test_a_line_with_a_feeder_a_test_and_a_bench():
    model = joined_line()
    times = [drawn_times(model, k, 1_000) for k in range(6)]
    judged = {k: drawn_judgements(model, k, 1_000) for k in (2, 5)}
    assert_same(events(model), joined_with_a_bench(times, judged, HOURS * 3600))
