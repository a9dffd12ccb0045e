"""What the exact search answers: against complete enumeration, a second solver, and itself."""

import random
from time import monotonic

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_balancing_properties import FEW, lines
from textbook_lines import fewest_by_trying

from stationflow.balancing import bounds
from stationflow.balancing.arrows import closure, members, turned
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.methods.exact import Exact
from stationflow.balancing.methods.method import Answer, Options, Watch, loads
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.second.constraint_model import Verdict, ask_solver
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import Stopped

SOME = settings(max_examples=40)
LIMIT = 60


@st.composite
def tight_lines(draw: st.DrawFn, most: int = 10) -> LineWork:
    """Return a line of tasks around half of `LIMIT`, where filling by value often fails."""
    size = draw(st.integers(4, most))
    times = draw(st.lists(st.integers(12, 45), min_size=size, max_size=size))
    chance = draw(st.randoms(use_true_random=False))
    return LineWork(
        line="main",
        numbers=tuple(f"T{j}" for j in range(size)),
        times=tuple(times),
        predecessors=tuple(
            tuple(p for p in range(task) if chance.random() < 0.2) for task in range(size)
        ),
        ticks=1,
        time_unit="unit",
    )


def hard_problem(seed: int, size: int = 80) -> BalanceProblem:
    """Return a line whose tasks take 0.3 to 0.6 of the limit, with few arrows."""
    chance = random.Random(seed)
    predecessors = tuple(
        tuple(before for before in range(task) if chance.random() < 0.03) for task in range(size)
    )
    return BalanceProblem(
        times=tuple(chance.randint(300, 600) for _ in range(size)),
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=1000,
    )


def lowest(problem: BalanceProblem) -> int:
    return max(bound for _, bound in bounds.bounds(problem))


def asked(problem: BalanceProblem, watch: Watch | None = None, **options: int) -> Answer:
    """Return the answer to "fewest stations"."""
    solver = Exact(Options(**options))  # type: ignore[arg-type]
    return solver.fewest(problem, problem.limit or 0, lowest(problem), watch or Watch())


def proven(problem: BalanceProblem, **options: int) -> int:
    """Return the proven fewest stations."""
    answer = asked(problem, **options)
    assert answer.stopped is None
    assert answer.lower_bound == len(answer.stations)
    assert is_held(problem, answer)
    return len(answer.stations)


def proven_at(work: LineWork, limit: float) -> int:
    return proven(balance_problem(work, limit))


def is_held(problem: BalanceProblem, answer: Answer) -> bool:
    """Return whether a plan keeps limit and arrows, by the check that shares no code with it."""
    numbers = tuple(map(str, range(problem.size)))
    work = LineWork(
        line="main", numbers=numbers, times=problem.times, predecessors=problem.predecessors,
        ticks=1,
    )  # fmt: skip
    plan = [[numbers[position] for position in station] for station in answer.stations]
    return not verify(work, plan, limit=problem.limit)


def searched(problem: BalanceProblem, cores: int = 1) -> int:
    """Return the fewest stations by the tree search alone: no filling, no packing before."""
    hunt = Hunt(problem, problem.limit or 1, 1, problem.size + 1, Means(cores=cores))
    while not hunt.is_closed:
        hunt.step(lambda: False)
    assert len(hunt.best) == hunt.upper
    return hunt.upper


@SOME
@given(work=tight_lines())
def test_fewest_stations_equal_complete_enumeration(work: LineWork):
    assert proven_at(work, LIMIT) == fewest_by_trying(work, LIMIT)


@SOME
@given(work=st.one_of(tight_lines(), lines()))
def test_the_tree_search_alone_equals_complete_enumeration(work: LineWork):
    problem = balance_problem(work, LIMIT)
    if problem.total:
        assert searched(problem) == fewest_by_trying(work, LIMIT)


@FEW
@given(work=tight_lines())
def test_a_second_solver_finds_no_plan_of_fewer_stations(work: LineWork):
    problem = balance_problem(work, LIMIT)
    fewest, limit = proven(problem), problem.limit or 0
    assert ask_solver(problem, fewest - 1, limit, seconds=60).verdict == Verdict.IMPOSSIBLE
    assert ask_solver(problem, fewest, limit, seconds=60).verdict == Verdict.POSSIBLE


@SOME
@given(work=tight_lines(), most=st.integers(1, 8))
def test_what_is_possible_within_so_many_stations_equals_complete_enumeration(
    work: LineWork, most: int
):
    problem = balance_problem(work, LIMIT)
    limit = problem.limit or 0
    answer = Exact(Options()).fewest(problem, limit, 1, Watch(), most)
    assert answer.stopped is None
    if fewest_by_trying(work, LIMIT) <= most:
        assert 0 < len(answer.stations) <= most
        assert is_held(problem, answer)
    else:
        assert (answer.stations, answer.lower_bound) == ((), most + 1)


@FEW
@given(work=tight_lines(8), most=st.integers(1, 5))
def test_the_shortest_cycle_equals_complete_enumeration(work: LineWork, most: int):
    problem = balance_problem(work)
    low = max(bound for _, bound in bounds.cycle_bounds(problem, most))
    answer = Exact(Options()).shortest(problem, most, low, None, Watch())
    cycles = range(problem.longest, problem.total + 1)
    plain = LineWork(
        line="main", numbers=work.numbers, times=problem.times, predecessors=work.predecessors,
        ticks=1,
    )  # fmt: skip
    expected = next(c for c in cycles if fewest_by_trying(plain, c) <= most)
    assert (answer.stopped, answer.lower_bound) == (None, expected)
    assert max(loads(problem, answer.stations)) == expected
    assert len(answer.stations) <= most


@FEW
@given(work=tight_lines(8), most=st.integers(2, 5))
def test_no_cycle_is_found_where_only_shorter_ones_than_the_shortest_are_wanted(
    work: LineWork, most: int
):
    problem = balance_problem(work)
    low = max(bound for _, bound in bounds.cycle_bounds(problem, most))
    solver = Exact(Options())
    shortest = solver.shortest(problem, most, low, None, Watch()).lower_bound
    if shortest > low:
        answer = solver.shortest(problem, most, low, shortest - 1, Watch())
        assert (answer.stations, answer.lower_bound) == ((), shortest)


@SOME
@given(work=tight_lines())
def test_the_line_from_its_end_needs_as_many(work: LineWork):
    problem = balance_problem(work, LIMIT)
    assert proven(problem.reversed()) == proven(problem)
    assert searched(problem.reversed()) == searched(problem)


@SOME
@given(work=tight_lines(), data=st.data())
def test_the_listed_order_of_tasks_changes_nothing(work: LineWork, data: st.DataObject):
    problem = balance_problem(work, LIMIT)
    order = data.draw(st.permutations(range(problem.size)))
    place = {old: new for new, old in enumerate(order)}
    predecessors = tuple(tuple(place[p] for p in problem.predecessors[old]) for old in order)
    other = BalanceProblem(
        times=tuple(problem.times[old] for old in order),
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=problem.limit,
    )
    assert proven(other) == proven(problem)
    assert searched(other) == searched(problem)


@FEW
@given(work=tight_lines(), factor=st.integers(2, 1000))
def test_the_unit_of_time_changes_nothing(work: LineWork, factor: int):
    # Straight to the search: `balance_problem` would divide the factor out again.
    problem = balance_problem(work, LIMIT)
    other = BalanceProblem(
        times=tuple(time * factor for time in problem.times),
        predecessors=problem.predecessors,
        successors=problem.successors,
        limit=(problem.limit or 0) * factor + factor - 1,
    )
    assert proven(other) == proven(problem)


@FEW
@given(work=tight_lines())
def test_arrows_that_follow_from_others_change_nothing(work: LineWork):
    problem = balance_problem(work, LIMIT)
    predecessors = tuple(tuple(members(row)) for row in closure(problem.predecessors))
    other = BalanceProblem(
        times=problem.times,
        predecessors=predecessors,
        successors=turned(predecessors),
        limit=problem.limit,
    )
    assert proven(other) == proven(problem)


@FEW
@given(work=tight_lines(), data=st.data())
def test_a_further_arrow_never_lowers_the_stations(work: LineWork, data: st.DataObject):
    problem = balance_problem(work, LIMIT)
    later = data.draw(st.integers(1, problem.size - 1))
    sooner = data.draw(st.integers(0, later - 1))  # arrows of these lines lead upwards
    rows = list(problem.predecessors)
    rows[later] = tuple({*rows[later], sooner})
    other = BalanceProblem(
        times=problem.times,
        predecessors=tuple(rows),
        successors=turned(rows),
        limit=problem.limit,
    )
    assert proven(other) >= proven(problem)


@FEW
@given(work=tight_lines(), more=st.integers(1, 40))
def test_a_higher_limit_never_raises_the_stations(work: LineWork, more: int):
    assert proven_at(work, LIMIT + more) <= proven_at(work, LIMIT)


def test_the_same_seed_and_node_limit_on_one_core_give_the_same_answer():
    first, second = (asked(hard_problem(1), seed=3, nodes=30_000) for _ in range(2))
    assert first.stopped == Stopped.NODES
    assert first == second


@pytest.mark.parametrize("seed", range(4))
def test_two_cores_prove_what_one_does(seed: int):
    problem = hard_problem(seed, 20)
    assert proven(problem, cores=2) == proven(problem)
    assert searched(problem, cores=2) == searched(problem)


@FEW
@given(work=tight_lines())
def test_two_cores_equal_complete_enumeration(work: LineWork):
    problem = balance_problem(work, LIMIT)
    assert searched(problem, cores=2) == fewest_by_trying(work, LIMIT)


@pytest.mark.parametrize("nodes", [1, 20_000])
def test_a_limit_on_partial_plans_leaves_a_plan_and_a_bound_that_hold(nodes: int):
    problem = hard_problem(1)
    answer = asked(problem, nodes=nodes)
    assert answer.stopped == Stopped.NODES
    assert is_held(problem, answer)
    assert lowest(problem) <= answer.lower_bound < len(answer.stations)


@pytest.mark.parametrize("memory_mb", [8, 64])
def test_no_more_memory_is_used_than_told(memory_mb: int):
    # A deadline as well, so that a search that forgot its bound ends; it must not be why.
    problem = hard_problem(1)
    answer = asked(problem, Watch(deadline=monotonic() + 300), memory_mb=memory_mb)
    assert answer.stopped in (None, Stopped.MEMORY)
    assert answer.memory_mb <= memory_mb
    assert is_held(problem, answer)
    if answer.stopped is None:
        assert answer.lower_bound == len(answer.stations)


class StopsAfter(Progress):
    """Stops when it was asked so many times."""

    def __init__(self, times: int) -> None:
        self.left = times
        self.heard: list[int] = []

    def on_better(self, stations: int, limit: float) -> None:
        self.heard.append(stations)

    def should_stop(self) -> bool:
        self.left -= 1
        return self.left < 0


@pytest.mark.parametrize("asked_times", [0, 40])
def test_when_somebody_stops_it_the_best_so_far_is_kept(asked_times: int):
    problem = hard_problem(1)
    progress = StopsAfter(asked_times)
    answer = asked(problem, Watch(progress))
    assert answer.stopped == Stopped.REQUEST
    assert is_held(problem, answer)
    assert progress.heard[-1] == len(answer.stations) == min(progress.heard)
    assert answer.lower_bound < len(answer.stations)


def test_a_stopped_search_for_the_shortest_cycle_keeps_its_plan_and_bound():
    problem = hard_problem(1)
    low = max(bound for _, bound in bounds.cycle_bounds(problem, 40))
    answer = Exact(Options(nodes=5_000)).shortest(problem, 40, low, None, Watch())
    cycle = max(loads(problem, answer.stations))
    assert len(answer.stations) <= 40
    assert low <= answer.lower_bound <= cycle
    assert (answer.stopped is None) == (answer.lower_bound == cycle)


def test_a_line_without_work_is_one_station():
    work = LineWork(line="main", numbers=("a", "b"), times=(0, 0), predecessors=((1,), ()), ticks=1)
    assert asked(balance_problem(work, 10)).stations == ((1, 0),)
