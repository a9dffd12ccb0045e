"""The parts of the exact search: weights, packing, exchanges, tails, growth, stretches."""

import importlib
from collections.abc import Iterator, Sequence
from itertools import combinations, pairwise

import numba
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_balancing_exact_search import LIMIT, hard_problem, is_held, tight_lines
from test_balancing_properties import lines
from textbook_lines import all_plans, fewest_by_trying

from stationflow.balancing.arrows import closure, members, turned
from stationflow.balancing.exact import preparation
from stationflow.balancing.exact import tree as tree_module
from stationflow.balancing.exact.both_ends import both_ends, made_ready, with_last_time
from stationflow.balancing.exact.hunt import Hunt, Means
from stationflow.balancing.exact.idle_time import Turns, Walk, with_last_task
from stationflow.balancing.exact.learning import learn
from stationflow.balancing.exact.packing import Packing, find_partners
from stationflow.balancing.exact.search_line import search_line
from stationflow.balancing.exact.tree import Tree, nodes_within
from stationflow.balancing.exact.weights import Weights, most, strongest, time_weights
from stationflow.balancing.methods.method import Answer, Stations, turned_round
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.work import LineWork

SOME = settings(max_examples=40)


def never() -> bool:
    return False


def plain(work: LineWork) -> tuple[BalanceProblem, int]:
    """Return a line as a problem at `LIMIT`, and its limit in whole units."""
    problem = balance_problem(work, LIMIT)
    return problem, problem.limit or 0


def shared(problem: BalanceProblem, limit: int) -> Iterator[tuple[int, ...]]:
    """Yield every set of tasks that can be in one station load, by trying all of them.

    What must be done between two tasks of a load has to be in the load as well.
    """
    after, before = closure(problem.successors), closure(problem.predecessors)
    for size in range(1, problem.size + 1):
        for chosen in combinations(range(problem.size), size):
            if sum(problem.times[task] for task in chosen) > limit:
                continue
            held = sum(1 << task for task in chosen)
            between = 0
            for first in chosen:
                for last in chosen:
                    between |= after[first] & before[last]
            if not between & ~held:
                yield chosen


def is_kept(weights: Weights, loads: Sequence[Sequence[int]]) -> bool:
    """Return whether no load weighs more than the capacity."""
    return all(weights.tasks[list(load)].sum() <= weights.capacity for load in loads)


# Weights


@SOME
@given(
    limit=st.integers(1, 200),
    shares=st.lists(st.fractions(0, 1, max_denominator=12), min_size=1, max_size=8),
)
def test_no_load_weighs_more_than_a_station(limit: int, shares: list):
    # Shares such as 1/2, 1/3 and 2/3 are where the rounding functions jump.
    times = np.array([int(share * limit) for share in shares], dtype=np.int64)
    loads = [
        load
        for size in range(1, times.size + 1)
        for load in combinations(range(times.size), size)
        if times[list(load)].sum() <= limit
    ]
    for weights in time_weights(times, limit):
        assert is_kept(weights, loads)


def test_weights_of_tasks_longer_than_half_and_third_of_the_limit():
    # By hand, limit 12: tasks of 7 need a station each, two of 6 share one: 2 + 1 stations.
    # Of tasks of 5 (longer than a third) two share a station: five need three, and the
    # work content of 25 would fit into three as well.
    halves = time_weights(np.array([7, 7, 6, 6]), 12)[1]
    assert (list(halves.tasks), halves.capacity, halves.bound) == ([2, 2, 1, 1], 2, 3)
    thirds = time_weights(np.array([5] * 5), 12)[2]
    assert (list(thirds.tasks), thirds.capacity, thirds.bound) == ([3] * 5, 6, 3)


def test_the_weights_searched_with_begin_with_the_times():
    found = time_weights(np.array([7, 7, 6, 6, 1]), 12)
    kept = strongest(found, 4)
    assert list(kept[0].tasks) == [7, 7, 6, 6, 1]
    assert len(kept) == 4
    assert max(each.ratio for each in kept) == max(each.ratio for each in found)
    assert most(found) == 3


# Packing


@SOME
@given(work=tight_lines(8))
def test_packing_weights_hold_and_their_bound_is_not_above_the_optimum(work: LineWork):
    problem, limit = plain(work)
    ends = both_ends(problem)
    known = time_weights(ends.times, limit)[0]
    found = Packing(find_partners(ends, limit), known, never).weights(problem.size)
    assert found is not None
    assert is_kept(found, list(shared(problem, limit)))
    assert known.bound <= found.bound <= fewest_by_trying(work, LIMIT)


@SOME
@given(work=tight_lines(7), more=st.integers(0, 1))
def test_packing_weights_hold_for_the_loads_of_every_plan_within_the_windows(
    work: LineWork, more: int
):
    problem, limit = plain(work)
    target = fewest_by_trying(work, LIMIT) + more
    ends = both_ends(problem)
    known = time_weights(ends.times, limit)
    ready = made_ready(ends, limit, known)
    partners = find_partners(ends, limit, ready.earliest, ready.latest(target))
    found = Packing(partners, known[0], never).weights(problem.size)
    assert found is not None
    for stations in range(1, target + 1):
        for plan in all_plans(work, LIMIT, stations):
            assert is_kept(found, [list(load) for load in plan])


@SOME
@given(work=tight_lines(7))
def test_pairs_are_partners_where_a_load_can_hold_both(work: LineWork):
    problem, limit = plain(work)
    pairs = find_partners(both_ends(problem), limit).pairs
    expected = np.zeros_like(pairs)
    for load in shared(problem, limit):
        for one, other in combinations(load, 2):
            expected[one, other] = expected[other, one] = True
    assert np.array_equal(pairs, expected)


def test_the_packing_bound_of_a_case_worked_by_hand():
    # Limit 100, six tasks of 51, six of 27, six of 26, twelve of 23: six loads of 51 + 26 + 23
    # and three of 27 + 27 + 23 + 23 are full, and 900 units need nine stations.
    times = [51] * 6 + [27] * 6 + [26] * 6 + [23] * 12
    assert bound_of(times, 100) == 9
    # Nine tasks of 34 and nine of 40 at 100: at most two to a station, whatever they are
    # (34 x 3 = 102), so eighteen need nine; the work content of 666 would fit into seven.
    assert bound_of([34] * 9 + [40] * 9, 100) == 9
    # Three tasks of 60 and three of 45 at 100: no task fits beside one of 60, two of 45 share
    # a station: three stations and one and a half, five altogether.
    assert bound_of([60] * 3 + [45] * 3, 100) == 5


def bound_of(times: list[int], limit: int) -> int:
    rows: tuple[tuple[int, ...], ...] = ((),) * len(times)
    ends = both_ends(BalanceProblem(times=tuple(times), predecessors=rows, successors=rows))
    known = time_weights(ends.times, limit)[0]
    found = Packing(find_partners(ends, limit), known, never).weights(len(times))
    assert found is not None
    return found.bound


def test_tasks_do_not_fit_together_with_what_must_be_done_between_them():
    # By hand: 40, 30, 40 in a row at 100. The outer two take 80, and 110 with what must be done
    # between them.
    times = (40, 30, 40)
    row = ((), (0,), (1,))
    problem = BalanceProblem(times=times, predecessors=row, successors=turned(row))
    pairs = find_partners(both_ends(problem), 100).pairs
    assert pairs.tolist() == [
        [False, True, False],
        [True, False, True],
        [False, True, False],
    ]


# The line as it is searched


@SOME
@given(work=st.one_of(tight_lines(), lines()))
def test_the_line_searched_keeps_all_arrows_and_no_detour(work: LineWork):
    problem, _ = plain(work)
    line = search_line(problem, closure(problem.successors))
    place = {int(task): at for at, task in enumerate(line.order)}
    assert sorted(place) == list(range(problem.size))
    assert [problem.times[task] for task in line.order] == list(line.times)
    rows = [tuple(map(int, row)) for row in split(line.starts, line.followers)]
    assert all(other > task for task, row in enumerate(rows) for other in row)
    after = closure(problem.successors)
    expected = [{place[other] for other in members(after[task])} for task in line.order]
    assert [set(members(bits)) for bits in closure(rows)] == expected
    for row in rows:
        beyond = {later for other in row for later in expected[other]}
        assert not beyond & set(row)
    assert [{at for at in range(problem.size) if held(bits, at)} for bits in line.later] == expected


def split(starts: np.ndarray, packed: np.ndarray) -> list[list[int]]:
    return [packed[a:b].tolist() for a, b in pairwise(starts)]


def held(bits: np.ndarray, at: int) -> bool:
    return bool(int(bits[at >> 6]) >> (at & 63) & 1)


@SOME
@given(work=lines())
def test_exchanges_are_those_of_jackson(work: LineWork):
    problem, _ = plain(work)
    line = search_line(problem, closure(problem.successors))
    times = line.times.tolist()
    size = problem.size
    later = [{at for at in range(size) if held(bits, at)} for bits in line.later]
    for task, row in enumerate(split(line.better_starts, line.better)):
        # At least as long, at least the same tasks wait for it, neither waits for the other;
        # of twins only the one with the lower number takes the place of the other.
        expected = {
            other
            for other in range(size)
            if other != task
            and times[other] >= times[task]
            and later[other] >= later[task]
            and other not in later[task]
            and task not in later[other]
            and ((times[other], later[other]) != (times[task], later[task]) or other < task)
        }
        assert set(row) == expected
        assert [times[other] for other in row] == sorted(times[other] for other in row)


@SOME
@given(work=tight_lines(7))
def test_no_plan_has_a_task_outside_its_windows(work: LineWork):
    problem, limit = plain(work)
    ends = both_ends(problem)
    weights = time_weights(ends.times, limit)
    packed = Packing(find_partners(ends, limit), weights[0], never).weights(problem.size)
    ready = made_ready(ends, limit, weights if packed is None else [*weights, packed])
    fewest = fewest_by_trying(work, LIMIT)
    assert ready.bound <= fewest
    for stations in range(fewest, min(fewest + 2, problem.size + 1)):
        latest = ready.latest(stations)
        for plan in all_plans(work, LIMIT, stations):
            for number, load in enumerate(plan, 1):
                assert all(ready.earliest[task] <= number <= latest[task] for task in load)


def test_tails_worked_by_hand():
    # At 10, d (4), a (7), b (6), c (5) in a row: no two neighbours fit together, so each is a
    # station after the one before, though the work content of 22 would fit into three.
    rows = ((3,), (0,), (1,), ())
    problem = BalanceProblem(times=(7, 6, 5, 4), predecessors=rows, successors=turned(rows))
    ends = both_ends(problem)
    ready = made_ready(ends, 10, time_weights(ends.times, 10)[:1])
    assert ready.tails.tolist() == [3, 2, 1, 4]
    # From the start: d at 1, a at 2, b at 3, c at 4.
    assert ready.earliest.tolist() == [2, 3, 4, 1]
    assert ready.bound == 4


# Trees


def best_of(tree: Tree, budget: int, loads: int) -> int:
    while not tree.is_done:
        assert not tree.is_full
        tree.search(budget, loads, 5)
    return tree.best


@SOME
@given(
    work=st.one_of(tight_lines(), lines(8)),
    budget=st.sampled_from([1, 7, 1000]),
    loads=st.sampled_from([1, 3, 1000]),
    is_turned=st.booleans(),
)
def test_a_tree_of_either_end_finds_the_optimum_however_it_is_interrupted(
    work: LineWork, budget: int, loads: int, is_turned: bool
):
    problem, limit = plain(work)
    ends = both_ends(problem)
    ready = made_ready(ends, limit, time_weights(ends.times, limit)[:1])
    tree = Tree(ready.backwards if is_turned else ready.forwards, problem.size + 1, 100_000)
    assert best_of(tree, budget, loads) == fewest_by_trying(work, LIMIT)


def test_a_tree_that_grows_gives_the_same_answer(monkeypatch: pytest.MonkeyPatch):
    problem = hard_problem(1, 24)
    ends = both_ends(problem)
    ready = made_ready(ends, 1000, time_weights(ends.times, 1000)[:1])

    def searched() -> tuple[int, int, int]:
        tree = Tree(ready.forwards, problem.size + 1, 1 << 20)
        first = tree.memory_bytes
        return best_of(tree, 500, 20), first, tree.memory_bytes

    wide, _, _ = searched()
    monkeypatch.setattr(tree_module, "FIRST_NODES", 64)
    narrow, first, last = searched()
    assert narrow == wide
    assert last > 4 * first  # it grew more than once


def test_a_full_tree_says_so_and_stays_within_its_memory(monkeypatch: pytest.MonkeyPatch):
    monkeypatch.setattr(tree_module, "FIRST_NODES", 256)
    problem = hard_problem(1)
    ends = both_ends(problem)
    ready = made_ready(ends, 1000, time_weights(ends.times, 1000)[:1])
    tree = Tree(ready.forwards, 38, nodes_within(1 << 19, problem.size))
    while not tree.is_full:
        assert not tree.is_done
        tree.search(2000, 1000, 5)
    assert tree.memory_bytes <= 1 << 19


# Learned weights


def test_learned_weights_hold_for_what_can_share_a_station():
    learned = 0
    for seed in range(12):
        learned += learned_on(seed)
    assert learned  # the lines are such that something is learned


def learned_on(seed: int) -> int:
    """Learn while a line is searched, check what is learned, and return the vectors learned."""
    problem = hard_problem(seed, 40)
    ends = both_ends(problem)
    known = time_weights(ends.times, 1000)
    partners = find_partners(ends, 1000)
    packing = Packing(partners, known[0], never)
    ready = made_ready(ends, 1000, known[:1])
    target = known[0].bound
    tree = Tree(ready.forwards, target + 1, 1 << 20)
    before = tree.line.capacities.size
    chance = np.random.default_rng(seed)
    for _ in range(20):
        tree.search(2000, 100, 5)
        if tree.is_done:
            break
        learn(tree, ends.forwards, packing, target, chance)
    for kind in range(before, tree.line.capacities.size):
        weights = np.zeros(problem.size, np.int64)
        weights[ends.forwards.order] = tree.line.weights[kind]
        # Tasks take 0.3 to 0.6 of the limit: a load has three at most.
        for size in (1, 2, 3):
            for load in combinations(range(problem.size), size):
                fits = sum(problem.times[task] for task in load) <= 1000
                if fits and all(partners.pairs[a, b] for a, b in combinations(load, 2)):
                    assert weights[list(load)].sum() <= tree.line.capacities[kind]
    return tree.line.capacities.size - before


# Idle time carried along


def one_to_a_station(problem: BalanceProblem) -> Stations:
    return tuple((task,) for task in range(problem.size))  # arrows of these lines lead upwards


@pytest.mark.parametrize("is_turned", [False, True])
@pytest.mark.parametrize(("length", "first"), [(8, 0), (12, 11), (25, 200), (90, 0)])
def test_a_walk_leaves_a_plan_that_holds_in_no_more_stations(
    length: int, first: int, is_turned: bool
):
    problem = hard_problem(2)
    walk = Walk(problem, 1000, one_to_a_station(problem), length, first, is_turned=is_turned)
    count = walk.count
    while not walk.is_over:
        walk.step(Means(), never)
        assert is_held(problem, Answer(stations=walk.plan))
        assert walk.count <= count
        count = walk.count


def test_idle_time_comes_together_until_a_station_is_saved():
    # Four stations of 10 with 6, 7, 7 and 6 of work in pieces of 1 to 3: by hand 26 of work
    # are three stations: in their order 9 and 4, the 4 with 6 more, and 7 are left.
    times = (3, 3, 3, 2, 2, 3, 3, 1, 3, 3)
    problem = BalanceProblem(
        times=times,
        predecessors=((), *((at,) for at in range(9))),
        successors=(*((at + 1,) for at in range(9)), ()),
        limit=10,
    )
    plan = ((0, 1), (2, 3, 4), (5, 6, 7), (8, 9))
    walk = Walk(problem, 10, plan, 2, 0, is_turned=False)
    while not walk.is_over:
        walk.step(Means(), never)
    assert walk.plan == ((0, 1, 2), (3, 4, 5, 6), (7, 8, 9))


def test_a_plan_of_fewest_stations_stays_as_long():
    problem = hard_problem(2, 20)
    hunt = Hunt(problem, 1000, 1, problem.size + 1, Means())
    hunt.start(never)
    while not hunt.is_closed:
        hunt.step(never)
    walk = Walk(problem, 1000, hunt.best, 8, 0, is_turned=False)
    while not walk.is_over:
        walk.step(Means(), never)
    assert walk.count == len(hunt.best)


@SOME
@given(work=tight_lines(), time=st.integers(0, LIMIT))
def test_a_last_task_of_another_time_is_the_same_line_made_anew(work: LineWork, time: int):
    problem, limit = plain(work)
    part = with_last_task(problem, list(range(problem.size)))
    time = min(time, limit)
    anew = BalanceProblem(
        times=(*part.times[:-1], time),
        predecessors=part.predecessors,
        successors=part.successors,
        limit=part.limit,
    )
    changed, made = with_last_time(both_ends(part), time), both_ends(anew)
    assert changed.times.tolist() == made.times.tolist()
    for one, other in ((changed.forwards, made.forwards), (changed.backwards, made.backwards)):
        assert sorted(one.order) == sorted(other.order)
        weights = dict(zip(one.order, one.positional, strict=True))
        assert weights == dict(zip(other.order, other.positional, strict=True))
        assert [anew.times[task] for task in one.order] == one.times.tolist()


def test_a_plan_turned_round_twice_is_itself():
    plan = ((2, 0), (1,), (3, 4))
    assert turned_round(plan) == ((4, 3), (1,), (0, 2))
    assert turned_round(turned_round(plan)) == plan


def test_walks_and_the_search_of_a_long_line_have_turns():
    problem = hard_problem(2, 160)
    hunt = Hunt(problem, 1000, 1, problem.size + 1, Means())
    hunt.start(never)
    turns = Turns(hunt)
    while not hunt.is_closed and turns.is_walking:
        turns.step(never)
    assert turns.walks
    assert is_held(problem, Answer(stations=hunt.best))
    assert len(hunt.best) <= len(hunt.filled)


def test_a_short_line_is_left_to_the_search():
    problem = hard_problem(2, 60)
    hunt = Hunt(problem, 1000, 1, problem.size + 1, Means())
    hunt.start(never)
    assert not Turns(hunt).is_walking


@pytest.fixture
def double(monkeypatch, own_lock):
    """Let a function that is not compiled yet, and lies nowhere on disk, be all of the search."""
    function = numba.njit(lambda number: 2 * number)
    monkeypatch.setattr(preparation, "_search_once", lambda: [function(1), function(0.5)])
    return function


def test_compiling_is_announced_once(double):
    told = []
    preparation.prepare(lambda: told.append("compiling"))
    assert (told, len(double.signatures)) == (["compiling"], 2)


def test_what_is_compiled_already_is_not_announced(double):
    preparation.prepare(lambda: None)
    told = []
    preparation.prepare(lambda: told.append("compiling"))
    assert told == []


def test_what_lies_on_disk_is_loaded_without_a_word(monkeypatch, tmp_path, own_lock):
    (tmp_path / "halved.py").write_text("def halve(number):\n    return number / 2\n", "utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    halve = importlib.import_module("halved").halve
    said = []
    for _ in range(2):  # as two processes would, one after the other
        function = numba.njit(cache=True)(halve)
        monkeypatch.setattr(preparation, "_search_once", lambda f=function: f(3))
        preparation.prepare(lambda: said.append("compiling"))
    assert said == ["compiling"]
