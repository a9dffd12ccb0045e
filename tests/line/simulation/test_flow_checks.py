"""What holds in every run is seen to be broken when the loop is broken."""

from types import SimpleNamespace

import numpy as np
import pytest

from stationflow.line.simulation import flow_kernel
from stationflow.line.simulation.flow_model import unpaced_line
from stationflow.line.simulation.flow_run import FlowRun, check_flow
from tests.line.simulation.small_flows import (
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
    plain = run_plain(model, 3_000.0)
    run = FlowRun(model, 1)
    run.run([3_000.0])
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
