"""The exact method stopped, repeated, bounded in memory, and on two cores."""

from dataclasses import replace

import numpy as np
from hypothesis import given
from hypothesis import strategies as st
from test_balancing_properties import FEW, lines

from stationflow.balancing.balance import balance
from stationflow.balancing.constraint_model import Verdict, ask_solver
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, Ending, Stopped


def made_line(size: int, seed: int) -> LineWork:
    """Return a line with times around 500: about two tasks fit into a station of 1000."""
    chance = np.random.default_rng(seed)
    times = np.clip(np.rint(chance.normal(500, 110, size)), 50, 950)
    arrows = [[j for j in range(max(0, k - 12), k) if chance.random() < 0.06] for k in range(size)]
    return LineWork(
        line="main",
        numbers=tuple(f"T{k}" for k in range(size)),
        times=tuple(int(t) for t in times),
        predecessors=tuple(map(tuple, arrows)),
        ticks=1,
        time_unit="unit",
    )


def holds(work: LineWork, result: BalanceResult) -> bool:
    plan = [station.tasks for station in result.stations]
    return not verify(work, plan, takt=result.takt) and result.lower_bound <= len(plan)


def without_time(result: BalanceResult) -> BalanceResult:
    return replace(result, runtime_s=0.0)


def test_the_same_seed_and_nodes_on_one_core_give_the_same_answer():
    work = made_line(90, 3)
    settings = BalanceSettings(takt=1000, nodes=3000, seconds=600)
    one, other = (balance(work, settings) for _ in range(2))
    assert without_time(one) == without_time(other)


def test_a_limit_of_nodes_is_said_and_plan_and_bound_hold():
    work = made_line(120, 4)
    result = balance(work, BalanceSettings(takt=1000, nodes=1, seconds=600))
    assert result.stopped == Stopped.NODES or result.ending == Ending.OPTIMAL
    assert holds(work, result)


def test_a_memory_bound_is_kept():
    work = made_line(140, 9)
    result = balance(work, BalanceSettings(takt=1000, memory_mb=64, seconds=30))
    assert 0 < result.memory_mb <= 64
    assert holds(work, result)


def test_a_search_that_fills_its_memory_says_so():
    problem = balance_problem(made_line(200, 12), 1000)
    hunt = Hunt(problem, 1000, 1, 201, Means(memory_bytes=4 << 20))
    for part in (hunt.start, hunt.pack):
        part(lambda: False)
    for _ in range(500):
        if hunt.is_closed or hunt.is_full:
            break
        hunt.step(lambda: False)
    assert hunt.is_closed or hunt.is_full
    assert hunt.peak_bytes <= 8 << 20  # two pairs of searches, each within the bound
    assert hunt.lower <= len(hunt.best) == hunt.upper


def test_a_stop_keeps_the_best():
    class AtOnce(Progress):
        def should_stop(self) -> bool:
            return True

    work = made_line(120, 6)
    result = balance(work, BalanceSettings(takt=1000), AtOnce())
    assert holds(work, result)
    assert result.stopped == Stopped.REQUEST or result.ending == Ending.OPTIMAL


def test_a_stop_of_a_short_cycle_is_said():
    class AtOnce(Progress):
        def should_stop(self) -> bool:
            return True

    result = balance(made_line(60, 7), BalanceSettings(stations=31), AtOnce())
    assert result.stopped == Stopped.REQUEST
    assert result.ending in (Ending.FOUND, Ending.NOTHING_FOUND)


@FEW
@given(work=lines(), takt=st.integers(20, 40))
def test_two_cores_prove_the_same(work: LineWork, takt: int):
    one = balance(work, BalanceSettings(takt=takt))
    two = balance(work, BalanceSettings(takt=takt, cores=2))
    assert one.ending == two.ending == Ending.OPTIMAL
    assert len(one.stations) == len(two.stations)


def test_two_cores_prove_the_same_where_it_takes_a_search():
    work = made_line(60, 8)
    one, two = (
        balance(work, BalanceSettings(takt=1000, cores=cores, seconds=60)) for cores in (1, 2)
    )
    assert one.ending == two.ending == Ending.OPTIMAL
    assert len(one.stations) == len(two.stations)
    assert one.nodes > 0


@FEW
@given(work=lines(8), stations=st.integers(1, 5), takt=st.integers(20, 60))
def test_what_is_possible_is_what_the_second_solver_says(work: LineWork, stations: int, takt: int):
    ours = balance(work, BalanceSettings(stations=stations, takt=takt)).ending
    problem = balance_problem(work, takt)
    reply = ask_solver(problem, stations, problem.limit or 0, seconds=30)
    assert reply.verdict == (Verdict.POSSIBLE if ours == Ending.OPTIMAL else Verdict.IMPOSSIBLE)
