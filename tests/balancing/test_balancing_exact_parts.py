"""The parts of the exact search: each claim is tried against complete enumeration."""

from itertools import combinations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_balancing_properties import FEW, lines
from textbook_lines import fewest_by_trying

from stationflow.balancing.arrows import closure, topological_order
from stationflow.balancing.exact import tree
from stationflow.balancing.exact.both_ends import both_ends, made_ready
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.exact.packing import Packing, find_partners
from stationflow.balancing.exact.search_line import search_line
from stationflow.balancing.exact.stretches import stretch_shortened
from stationflow.balancing.exact.weights import Weights, most, strongest, time_weights
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.work import LineWork

LIMITS = st.integers(20, 40)


def problem_of(work: LineWork, takt: int) -> BalanceProblem | None:
    """Return the problem, or None for a line without work."""
    problem = balance_problem(work, takt)
    return problem if problem.total else None


def possible_loads(problem: BalanceProblem) -> list[tuple[int, ...]]:
    """Return all sets of tasks that a station can hold, with all that lies between them."""
    before, after = closure(problem.predecessors), closure(problem.successors)
    found = []
    for count in range(1, problem.size + 1):
        for chosen in combinations(range(problem.size), count):
            inside = sum(1 << task for task in chosen)
            between = 0
            for first in chosen:
                for last in chosen:
                    between |= after[first] & before[last]
            fits = sum(problem.times[task] for task in chosen) <= (problem.limit or 0)
            if fits and not between & ~inside:
                found.append(chosen)
    return found


def never() -> bool:
    return False


@FEW
@given(work=lines(7), takt=LIMITS)
def test_no_load_weighs_more_than_a_station_holds(work: LineWork, takt: int):
    problem = problem_of(work, takt)
    if problem is None or problem.limit is None:
        return
    loads = possible_loads(problem)
    times = np.array(problem.times, dtype=np.int64)
    for weights in time_weights(times, problem.limit):
        for load in loads:
            assert int(weights.tasks[list(load)].sum()) <= weights.capacity


@FEW
@given(work=lines(7), takt=LIMITS, counted=st.lists(st.booleans(), min_size=7, max_size=7))
def test_no_load_weighs_more_than_its_packing_allows(
    work: LineWork, takt: int, counted: list[bool]
):
    problem = problem_of(work, takt)
    if problem is None or problem.limit is None:
        return
    ends = both_ends(problem)
    known = time_weights(ends.times, problem.limit)[0]
    packing = Packing(find_partners(ends, problem.limit), known, never)
    whole = packing.weights(problem.size + 1)
    part = packing.weights(problem.size + 1, np.array(counted[: problem.size]))
    optimum = fewest_by_trying(work, takt)
    for weights in (whole, part):
        assert weights is not None
        assert weights.bound <= optimum
        for load in possible_loads(problem):
            assert int(weights.tasks[list(load)].sum()) <= weights.capacity


@FEW
@given(work=lines(7), takt=LIMITS)
def test_windows_leave_room_for_a_best_plan(work: LineWork, takt: int):
    problem = problem_of(work, takt)
    if problem is None or problem.limit is None:
        return
    optimum = fewest_by_trying(work, takt)
    ends = both_ends(problem)
    simple = time_weights(ends.times, problem.limit)
    ready = made_ready(ends, problem.limit, strongest(simple, 4))
    assert most(simple) <= optimum
    assert ready.bound <= optimum
    assert (ready.earliest <= ready.latest(optimum)).all()


def test_the_packing_bound_counts_what_cannot_be_paired():
    # Five tasks of 6 and five of 5 at a limit of 10: no two of 6, nor 6 with 5, fit together,
    # two of 5 do. 5 stations and 5 / 2 more are 8 stations; the work content alone says 6.
    problem = BalanceProblem(
        times=(6,) * 5 + (5,) * 5, predecessors=((),) * 10, successors=((),) * 10, limit=10
    )
    ends = both_ends(problem)
    content = time_weights(ends.times, 10)[0]
    found = Packing(find_partners(ends, 10), content, never).weights(11)
    assert (content.bound, found.bound if found else 0) == (6, 8)


def test_tasks_with_too_much_between_them_are_no_partners():
    # 1 - 2 - 3 with 4, 5 and 4 at a limit of 10: 4 + 4 fit, but the 5 between them does not.
    chain = ((), (0,), (1,))
    problem = BalanceProblem(
        times=(4, 5, 4), predecessors=chain, successors=((1,), (2,), ()), limit=10
    )
    pairs = find_partners(both_ends(problem), 10).pairs
    assert pairs.tolist() == [[False, True, False], [True, False, True], [False, True, False]]


@FEW
@given(work=lines(8))
def test_exchanges_are_those_of_the_definition(work: LineWork):
    problem = balance_problem(work)
    line = search_line(problem)
    after = closure(problem.successors)
    for task in range(problem.size):
        here = int(line.order[task])
        listed = line.better[line.better_starts[task] : line.better_starts[task + 1]]
        times = [int(line.times[other]) for other in listed]
        assert times == sorted(times)
        for other in map(int, line.order[listed]):
            assert problem.times[other] >= problem.times[here]
            assert not after[here] & ~after[other]
            assert not after[here] >> other & 1
            assert not after[other] >> here & 1


@FEW
@given(work=lines(9), takt=LIMITS)
def test_a_search_in_small_arrays_that_grow_finds_the_same(work: LineWork, takt: int):
    problem = problem_of(work, takt)
    if problem is None or problem.limit is None:
        return
    ends = both_ends(problem)
    ready = made_ready(ends, problem.limit, strongest(time_weights(ends.times, problem.limit), 4))
    optimum = fewest_by_trying(work, takt)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(tree, "FIRST_NODES", 3 * problem.size + 4)
        for arrays in (ready.forwards, ready.backwards):
            search = tree.Tree(arrays, problem.size + 1, 1 << 14)
            while not search.is_done and not search.is_full:
                search.search(50, 2, 1)
            assert search.is_done
            assert search.best == optimum


@FEW
@given(work=lines(9), takt=LIMITS)
def test_a_stretch_made_shorter_keeps_limit_and_arrows(work: LineWork, takt: int):
    problem = problem_of(work, takt)
    if problem is None or problem.limit is None:
        return
    loose = tuple((task,) for task in topological_order(problem.predecessors))
    better = stretch_shortened(
        problem, problem.limit, loose, 0, len(loose), Means(memory_bytes=1 << 20), never
    )
    shortest = fewest_by_trying(work, takt)
    assert (better is None) == (shortest == len(loose))
    if better is not None:
        at = {task: k for k, station in enumerate(better) for task in station}
        assert len(at) == problem.size
        assert all(sum(problem.times[t] for t in s) <= problem.limit for s in better)
        assert all(at[p] <= at[t] for t in at for p in problem.predecessors[t])


def test_weights_learned_on_the_way_prove_what_is_true():
    # Times around half the limit: the pairs that fit are few, and partial plans differ in what
    # they leave over. The plan found is checked by hand; the proof by the second solver.
    chance = np.random.default_rng(5)
    times = tuple(int(t) for t in chance.integers(20, 28, 40))
    arrows = tuple(
        tuple(int(j) for j in range(max(0, k - 9), k) if chance.random() < 0.15) for k in range(40)
    )
    successors: list[list[int]] = [[] for _ in times]
    for task, row in enumerate(arrows):
        for before in row:
            successors[before].append(task)
    problem = BalanceProblem(
        times=times,
        predecessors=arrows,
        successors=tuple(map(tuple, successors)),
        limit=47,
    )
    hunt = Hunt(problem, 47, 1, 41, Means())
    hunt.start(never)
    hunt.pack(never)
    for _ in range(4000):
        if hunt.is_closed:
            break
        hunt.step(never)
    assert hunt.is_closed
    assert hunt.lower == len(hunt.best)
    ends = both_ends(problem)
    assert most(time_weights(ends.times, 47)) <= hunt.lower
    assert isinstance(time_weights(ends.times, 47)[0], Weights)
