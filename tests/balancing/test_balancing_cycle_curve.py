"""For each number of stations the shortest cycle time: what the points must keep to."""

from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from published_lines import scholl_cases, scholl_lines
from test_balancing_properties import FEW, lines
from textbook_lines import BOOKS, SPREADER, TWELVE, WAGON, fewest_by_trying

from stationflow.balancing.curve.curve_frontier import Frontier, merge_least, split_longest
from stationflow.balancing.curve.cycle_curve import MOST_EARLY, cycle_curve
from stationflow.balancing.methods.exact import Exact
from stationflow.balancing.methods.method import Answer, Watch
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import CurvePoint, CurveSettings

QUICK = CurveSettings(seconds=None, seconds_each=20)
RULES_ONLY = CurveSettings(method="largest-candidate", seconds=None)
"""A method that proves nothing by itself."""


def shortest_by_trying(work: LineWork) -> list[float]:
    """Return the shortest cycle of 1, 2, ... stations until the longest task, by trying all."""
    found: list[float] = []
    limit = max(work.times)
    fewest = {c: fewest_by_trying(work, c) for c in range(limit, sum(work.times) + 1)}
    while not found or found[-1] > limit:
        found.append(min(c for c, m in fewest.items() if m <= len(found) + 1))
    return found


@FEW
@given(work=lines(7))
def test_proven_points_are_what_trying_all_plans_gives(work: LineWork):
    curve = cycle_curve(work, QUICK)
    assert not curve.open_points
    assert [point.cycle for point in curve.points] == shortest_by_trying(work)


@FEW
@given(work=lines())
def test_more_stations_never_take_longer(work: LineWork):
    for before, after in pairwise(cycle_curve(work, RULES_ONLY).points):
        assert before.cycle >= after.cycle
        assert before.lower_bound >= after.lower_bound


@FEW
@given(work=lines())
def test_the_bound_is_never_above_the_cycle(work: LineWork):
    assert all(p.lower_bound <= p.cycle for p in cycle_curve(work, RULES_ONLY).points)


@FEW
@given(work=lines())
def test_every_plan_keeps_its_cycle_and_its_stations(work: LineWork):
    for point in cycle_curve(work, RULES_ONLY).points:
        kept = verify(work, point.plan, limit=point.cycle, most_stations=point.stations)
        assert kept == ()


@FEW
@given(work=lines(7))
def test_a_method_without_proofs_never_contradicts_the_truth(work: LineWork):
    truth = shortest_by_trying(work)
    for point in cycle_curve(work, RULES_ONLY).points[: len(truth)]:
        assert point.lower_bound <= truth[point.stations - 1] <= point.cycle


@FEW
@given(work=lines())
def test_the_curve_ends_at_the_longest_task(work: LineWork):
    curve = cycle_curve(work, RULES_ONLY)
    assert curve.points[-1].cycle == max(work.times)
    assert all(point.cycle > max(work.times) for point in curve.points[:-1])


@pytest.mark.parametrize("book", BOOKS)
def test_lines_of_textbooks_agree_with_trying_all_limits(book: str):
    # Fewest stations at a limit is asked by trying all sets of finished tasks.
    work, _ = BOOKS[book]
    for point in cycle_curve(work, QUICK).points:
        assert fewest_by_trying(work, point.cycle) <= point.stations
        tick = 1 / work.ticks
        shorter = point.cycle - tick
        if shorter * work.ticks >= max(work.times):
            assert fewest_by_trying(work, shorter) > point.stations


# Proved for the reference tables with another program.
@pytest.mark.parametrize(
    ("work", "stations", "cycle"),
    [
        (WAGON, 3, 65), (WAGON, 4, 50), (WAGON, 5, 50),
        (SPREADER, 4, 70), (SPREADER, 5, 55), (SPREADER, 6, 50),
        (TWELVE, 4, 1.02), (TWELVE, 5, 0.9), (TWELVE, 6, 0.7),
    ],
)  # fmt: skip
def test_short_cycles_of_textbook_lines(work: LineWork, stations: int, cycle: float):
    assert cycle_curve(work, QUICK).at(stations).cycle == cycle


def test_the_answer_to_a_demand_is_the_fewest_stations_that_keep_it():
    # By the values above: four stations take 70 s, five 55 s.
    answer = cycle_curve(SPREADER, QUICK).answer(60)
    assert answer is not None
    assert (answer.stations, answer.cycle) == (5, 55)


def test_a_demand_below_the_longest_task_has_no_answer():
    assert cycle_curve(SPREADER, QUICK).answer(49.999) is None


def test_a_demand_is_kept_to_the_last_tick():
    curve = cycle_curve(TWELVE, QUICK)
    assert curve.answer(0.9) == curve.at(5)


def test_beyond_the_last_point_the_curve_is_flat():
    curve = cycle_curve(WAGON, QUICK)
    assert curve.at(11) == curve.points[-1]


def test_a_single_task_has_a_single_point():
    one = LineWork(line="main", numbers=("10",), times=(5_000,), predecessors=((),))
    assert [(p.stations, p.cycle) for p in cycle_curve(one).points] == [(1, 5.0)]


def test_a_line_without_tasks_has_no_curve():
    empty = LineWork(line="main", numbers=(), times=(), predecessors=())
    with pytest.raises(ValueError, match="It has no tasks"):
        cycle_curve(empty)


class Listener(Progress):
    """Keeps every point, and stops after so many."""

    def __init__(self, most: int | None = None) -> None:
        self.heard: list[CurvePoint] = []
        self.most = most

    def on_point(self, point: CurvePoint) -> None:
        self.heard.append(point)

    def should_stop(self) -> bool:
        return self.most is not None and len(self.heard) >= self.most


def test_the_last_word_on_each_point_is_the_curve():
    listener = Listener()
    curve = cycle_curve(TWELVE, QUICK, listener)
    last = {point.stations: point for point in listener.heard}
    assert [last[point.stations] for point in curve.points] == list(curve.points)


def test_what_is_told_of_a_point_only_gets_better():
    listener = Listener()
    cycle_curve(TWELVE, QUICK, listener)
    for stations in {point.stations for point in listener.heard}:
        of_it = [point for point in listener.heard if point.stations == stations]
        for before, after in pairwise(of_it):
            assert before.cycle >= after.cycle
            assert before.lower_bound <= after.lower_bound


def test_a_curve_that_is_stopped_at_once_still_has_sound_points():
    curve = cycle_curve(TWELVE, QUICK, Listener(most=0))
    assert curve.points[0].is_proven
    for point in curve.points:
        assert point.lower_bound <= point.cycle
        assert not verify(TWELVE, point.plan, limit=point.cycle, most_stations=point.stations)


def test_no_time_at_all_gives_a_curve_too():
    assert cycle_curve(TWELVE, CurveSettings(seconds=0)).points[0].cycle == 4.0


@pytest.fixture
def limits(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Let the method give up at once; return at which limits it is asked for fewest stations."""
    heard: list[int] = []

    def fewest(self: Exact, problem: BalanceProblem, limit: int, low: int, watch: Watch) -> Answer:
        heard.append(limit)
        return Answer(lower_bound=low)

    monkeypatch.setattr(Exact, "fewest", fewest)
    return heard


@pytest.fixture
def asked(monkeypatch: pytest.MonkeyPatch) -> list[tuple[int, int, int]]:
    """Let the method give up at once; return what it is asked: stations, bound, cycle known."""
    heard: list[tuple[int, int, int]] = []

    def shortest(
        self: Exact, problem: BalanceProblem, most: int, low: int, high: int, watch: Watch
    ) -> Answer:
        heard.append((most, low, high + 1))
        return Answer(lower_bound=low)

    monkeypatch.setattr(Exact, "shortest", shortest)
    return heard


# Forty tasks in any order that leave the rules with several open points.
LOOSE = LineWork(
    line="main",
    numbers=tuple(str(n) for n in range(40)),
    times=tuple(31 + n * 7 % 23 + n * n % 11 for n in range(40)),
    predecessors=((),) * 40,
    ticks=1,
    time_unit="unit",
)


@pytest.mark.usefixtures("limits")
def test_the_widest_relative_gap_is_searched_first(asked):
    cycle_curve(LOOSE, QUICK)
    gaps = [(cycle - low) / low for _, low, cycle in asked]
    assert gaps[0] == max(gaps) > 0


@pytest.mark.usefixtures("limits")
def test_whether_the_demand_is_kept_by_one_station_fewer_is_searched_first(asked):
    answer = cycle_curve(LOOSE, QUICK, near=200).answer(200)
    assert answer is not None
    assert [most for most, _, _ in asked[:2]] == [answer.stations - 1, answer.stations]


def test_the_memory_allowed_reaches_the_method(monkeypatch):
    heard = set()

    def shortest(self: Exact, *_: object) -> Answer:
        heard.add(self.options.memory_mb)
        return Answer()

    monkeypatch.setattr(Exact, "shortest", shortest)
    cycle_curve(LOOSE, CurveSettings(seconds=5, memory_mb=300))
    assert heard == {300}


def test_a_method_that_gives_up_is_not_asked_for_ever(asked, limits):
    curve = cycle_curve(LOOSE, CurveSettings(seconds=None))
    still_open = [point for point in curve.points if not point.is_proven]
    assert sorted(most for most, _, _ in asked) == [point.stations for point in still_open]
    assert Counter(limits) == {point.cycle - 1: MOST_EARLY for point in still_open}


@pytest.mark.usefixtures("asked")
@pytest.mark.parametrize("work", [WAGON, SPREADER, TWELVE])
def test_the_fewest_stations_at_limits_alone_decide_every_point(work: LineWork):
    curve = cycle_curve(work, CurveSettings(seconds=None))
    for point in curve.points:
        assert point.is_proven
        assert fewest_by_trying(work, point.cycle) <= point.stations
        shorter = point.cycle - 1 / work.ticks
        if shorter >= max(work.times) / work.ticks:
            assert fewest_by_trying(work, shorter) > point.stations


def test_a_plan_below_a_bound_is_refused():
    frontier = Frontier(balance_problem(WAGON))
    frontier.take_bound(4, 60)
    with pytest.raises(RuntimeError, match="below the bound"):
        frontier.take_plan(((3,), (0,), (4, 7, 8, 1), (2, 5, 6, 9, 10)))  # 50 s


def test_a_bound_above_a_plan_is_refused():
    frontier = Frontier(balance_problem(WAGON))
    with pytest.raises(RuntimeError, match="there is a plan"):
        frontier.take_bound(11, 51)


def test_a_plan_serves_all_larger_numbers_of_stations():
    frontier = Frontier(balance_problem(WAGON))
    frontier.take_plan(((3,), (0,), (4, 7, 8, 1), (2, 5, 6, 9, 10)))
    assert set(frontier.cycles[4:]) == {50}


def test_a_bound_serves_all_smaller_numbers_of_stations():
    frontier = Frontier(balance_problem(WAGON))
    frontier.take_bound(3, 65)
    assert min(frontier.low[1:4]) == 65


def test_the_longest_station_is_split_where_it_is_most_even():
    # By hand: D 50 + E 15 | F to K 12 + 12 + 12 + 12 + 8 + 9, 65 and 65.
    split = split_longest(balance_problem(WAGON), ((0, 1, 2), (3, 4, 5, 6, 7, 8, 9, 10)))
    assert split == ((0, 1, 2), (3, 4), (5, 6, 7, 8, 9, 10))


def test_a_single_task_is_not_split():
    assert split_longest(balance_problem(WAGON), ((3,), (0,))) is None


def test_the_neighbours_of_least_work_are_merged():
    # By hand: A 45 | B C 20 | D E 65 | F to K 65: A and B C are 65, the others more.
    merged = merge_least(balance_problem(WAGON), ((0,), (1, 2), (3, 4), (5, 6, 7, 8, 9, 10)))
    assert merged == ((0, 1, 2), (3, 4), (5, 6, 7, 8, 9, 10))


def test_a_single_station_is_not_merged():
    assert merge_least(balance_problem(WAGON), (tuple(range(11)),)) is None


@pytest.mark.instances
def test_no_point_contradicts_the_published_fewest_stations(instances: Path):
    """A limit whose fewest stations are published brackets the curve on both sides."""
    cases = scholl_cases(instances)
    for name, work in scholl_lines(instances).items():
        if len(work.numbers) > 30:
            continue
        curve = cycle_curve(work, CurveSettings(seconds=5))
        for graph, limit, fewest in cases:
            if graph == name:
                assert curve.at(fewest).lower_bound <= limit, (name, limit)
                assert fewest == 1 or curve.at(fewest - 1).cycle > limit, (name, limit)
