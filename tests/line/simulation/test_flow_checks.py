"""What holds in every run is seen to be broken when the loop is broken."""

from statistics import NormalDist
from types import SimpleNamespace

import numpy as np
import pytest

from stationflow.line.simulation import flow_kernel
from stationflow.line.simulation.flow_model import Duration, Law, unpaced_line
from stationflow.line.simulation.flow_run import FlowRun, check_flow
from tests.line.simulation.small_flows import (
    drawn_times,
    exponential,
    joined_line,
    line_with_float,
    run_plain,
)


def checked(model, until: float = 3_000.0) -> None:
    check_flow(run_plain(model, until), until, flow_kernel.present_units)


@pytest.mark.parametrize(
    "model",
    [joined_line(), line_with_float(0.1, 0.1, 0.1), unpaced_line((exponential(20),) * 4, 1)],
)
def test_plain_and_compiled_functions_do_the_same(model):
    until = 300.0 if model.paced else 3_000.0
    plain = run_plain(model, until)
    run = FlowRun(model, 1)
    run.run([until])
    assert np.array_equal(plain.stations["done"], run.tables.stations["done"])
    assert np.allclose(plain.spent, run.tables.spent, rtol=1e-9)
    assert plain.lines["time_gone"] == pytest.approx(run.tables.lines["time_gone"])


def lost_unit(monkeypatch):
    """Lose every 30th unit that is put into a buffer."""
    put, calls = flow_kernel.put, SimpleNamespace(number=0)

    def losing(f, b, u, t):
        calls.number += 1
        if calls.number % 30:
            put(f, b, u, t)

    monkeypatch.setattr(flow_kernel, "put", losing)


def not_counted(monkeypatch):
    """Forget to count units that are used in others."""
    unit_leaves = flow_kernel.unit_leaves

    def silent(f, k, u, t, to):
        unit_leaves(f, k, u, t, to)
        if to == flow_kernel.USED_UP:
            f.lines[f.units[u].line].consumed -= 1

    monkeypatch.setattr(flow_kernel, "unit_leaves", silent)


def time_forgotten(monkeypatch):
    """Forget the time of a state that ends in a wait for a feeder."""
    show = flow_kernel.show

    def forgetful(f, v, t):
        if f.servers[v].under == flow_kernel.FEEDER:
            f.servers[v].since = t
        show(f, v, t)

    monkeypatch.setattr(flow_kernel, "show", forgetful)


def late_start(monkeypatch):
    """Units begin to count one second late."""
    new_unit = flow_kernel.new_unit

    def late(f, k, t):
        u = new_unit(f, k, t)
        f.units[u].start = t + 1
        return u

    monkeypatch.setattr(flow_kernel, "new_unit", late)


@pytest.mark.parametrize("broken", [lost_unit, not_counted, time_forgotten, late_start])
def test_a_broken_loop_is_seen(broken, monkeypatch):
    checked(joined_line())
    broken(monkeypatch)
    with pytest.raises(RuntimeError):
        checked(joined_line())


def test_a_unit_that_is_in_two_places_is_seen():
    tables = run_plain(joined_line(), 3_000.0)
    check_flow(tables, 3_000.0, flow_kernel.present_units)
    at_work = next(server.unit for server in tables.servers if server.unit >= 0)
    tables.buffers[4].head = at_work
    with pytest.raises(RuntimeError, match="units started"):
        check_flow(tables, 3_000.0, flow_kernel.present_units)


LAWS = {
    Law.NORMAL: (10.0, 2.0),
    Law.GAMMA: (10.0, 5.0),
    Law.LOGNORMAL: (10.0, 5.0),
    Law.UNIFORM: (10.0, 3.0),
    Law.EXPONENTIAL: (10.0, 10.0),
}


@pytest.mark.parametrize("law", LAWS)
def test_drawn_times_have_the_mean_and_scatter_of_their_law(law):
    mean, sd = LAWS[law]
    duration = Duration(mean_s=mean, sd_s=sd, law=law)
    times = np.array(drawn_times(unpaced_line((duration,)), 0, 20_000))
    # Four standard errors: of the mean sd / root n; of the standard deviation less than
    # 2 sd / root n for these laws (kurtosis below 9).
    assert abs(times.mean() - mean) < 4 * sd / 20_000**0.5
    assert abs(times.std() - sd) < 8 * sd / 20_000**0.5


def test_normal_times_follow_their_curve_to_its_ends():
    times = drawn_times(unpaced_line((Duration(mean_s=100, sd_s=10),)), 0, 40_000)
    curve = NormalDist(100, 10)
    # Kolmogorov: the greatest gap lies below 1.95 / root n in 999 of 1000 samples; and of 40,000
    # some 54 lie more than 3.2 standard deviations off, where the ziggurat has its tail in part.
    steps = [abs(curve.cdf(t) - i / 40_000) for i, t in enumerate(sorted(times))]
    assert max(steps) < 1.95 / 40_000**0.5
    assert 30 < sum(abs(t - 100) > 32 for t in times) < 85
