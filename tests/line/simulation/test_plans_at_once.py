"""Many plans at the same time give what each gives alone, whoever runs them."""

from dataclasses import replace

import pytest

from stationflow.line.simulation.flow_model import Duration, FlowModel, Law, unpaced_line
from stationflow.line.simulation.plans_at_once import simulate_at_once
from stationflow.line.simulation.replications import simulate_flow
from stationflow.line.simulation.simulated import SimulationSettings

SETTINGS = SimulationSettings(hours=8, replications=3, trace=0)


def plan(number: int) -> FlowModel:
    """Return a line of five stations, another for each number up to 500."""
    times = [50 + (number * step) % 11 for step in (1, 3, 5, 7, 9)]
    works = tuple(Duration(mean_s=t, sd_s=0.2 * t, law=Law.GAMMA) for t in times)
    return unpaced_line(works, (number % 3, number % 4, number % 5, number // 100))


PLANS = [(plan(number), replace(SETTINGS, seed=number % 7)) for number in range(500)]


@pytest.fixture(scope="module")
def local():
    return simulate_at_once(PLANS, processes=2)


def test_two_processes_give_what_each_plan_gives_alone(local):
    assert len(local) == 500
    for at in range(0, 500, 25):
        assert local[at] == simulate_flow(*PLANS[at])


def test_a_cluster_gives_the_same(local):
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, worker_dashboard_address=None
    ) as cluster:
        assert simulate_at_once(PLANS, address=cluster.scheduler_address) == local


def test_what_was_stopped_says_so():
    answers = simulate_at_once(PLANS[:40], processes=1, progress=lambda done, of: not done)
    assert answers[0].replications == 3
    assert [finding.code for finding in answers[-1].findings] == ["simulation-stopped"]


def test_a_stop_does_not_wait_for_the_end_of_long_runs():
    """A million runs of a plan take hours."""
    long = replace(SETTINGS, hours=100, replications=10**6)
    answers = simulate_at_once(
        [(plan(1), long), (plan(2), long)], processes=1, progress=lambda done, of: False
    )
    assert all(answer.replications < 10**6 for answer in answers)
    assert {f.code for a in answers for f in a.findings} >= {"simulation-stopped"}
