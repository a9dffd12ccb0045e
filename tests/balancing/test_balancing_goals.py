"""Goals, endings, edge cases and repeatability of `balance`."""

from dataclasses import replace

import pytest
from textbook_lines import JACKSON, SPREADER, TWELVE, WAGON, tasks_of

from stationflow.balancing import balance as balance_module
from stationflow.balancing.balance import balance, balance_line
from stationflow.balancing.balance_check import check_settings
from stationflow.balancing.goals import best_for_goal, reach_goal
from stationflow.balancing.methods import METHODS, comsoal
from stationflow.balancing.methods import method as method_module
from stationflow.balancing.methods.comsoal_kernel import plain_kernel
from stationflow.balancing.methods.method import Answer, MethodInfo, Options, Solver, Watch
from stationflow.balancing.methods.priority import list_first_fit, smallest_limit
from stationflow.balancing.methods.rules import by_positional_weight
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.work import LineWork
from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    Direction,
    Ending,
    Goal,
    Product,
    Station,
    Stopped,
    Task,
)

ALL = sorted(METHODS)
ONE = LineWork(line="main", numbers=("10",), times=(5_000,), predecessors=((),))


def test_the_methods_have_the_names_of_the_command_line():
    assert ALL == [
        "comsoal", "exact", "kilbridge-wester", "largest-candidate", "most-followers",
        "ranked-positional-weight",
    ]  # fmt: skip


@pytest.mark.parametrize("method", ALL)
def test_a_line_without_tasks_is_a_finding(method: str):
    empty = LineWork(line="main", numbers=(), times=(), predecessors=())
    result = balance(empty, BalanceSettings(method=method, limit=10))
    assert (result.ending, [f.code for f in result.findings]) == (None, ["empty-line"])


@pytest.mark.parametrize("method", ALL)
@pytest.mark.parametrize("asked", [{"limit": 5.0}, {"stations": 3}, {"limit": 5.0, "stations": 1}])
def test_a_single_task_takes_a_single_station(method: str, asked: dict[str, float]):
    result = balance(ONE, BalanceSettings(method=method, **asked))  # type: ignore[arg-type]
    assert (tasks_of(result.stations), result.ending) == (["10"], Ending.OPTIMAL)


@pytest.mark.parametrize("method", ALL)
@pytest.mark.parametrize(
    "asked", [{"limit": 0.5}, {"stations": 2}, {"stations_from": 2, "stations": 4}]
)
def test_tasks_of_time_zero_are_all_placed(method: str, asked: dict[str, float]):
    nothing = replace(SPREADER, times=(0,) * 9)
    result = balance(nothing, BalanceSettings(method=method, **asked))  # type: ignore[arg-type]
    assert sum(len(s.tasks) for s in result.stations) == 9


@pytest.mark.parametrize("method", ALL)
def test_equal_tasks_fill_equal_stations(method: str):
    # By hand: nine tasks of 10, three to a station of 30.
    same = replace(SPREADER, times=(10_000,) * 9, predecessors=((),) * 9)
    result = balance(same, BalanceSettings(method=method, limit=30))
    assert result.loads == (30, 30, 30)


def test_tasks_longer_than_the_takt_are_each_named():
    result = balance(WAGON, BalanceSettings(limit=40))
    assert [f.where for f in result.findings] == ["Task A", "Task D"]


def test_a_line_with_tasks_too_long_is_impossible():
    assert balance(WAGON, BalanceSettings(limit=40)).ending == Ending.IMPOSSIBLE


def test_the_ways_out_of_a_long_task_count_the_parallel_stations():
    # By hand: 45 s at a limit of 20 s need 3 places.
    hint = balance(WAGON, BalanceSettings(limit=20)).findings[0].hint
    assert "3 parallel stations" in hint


@pytest.mark.parametrize("method", ALL)
def test_too_few_stations_for_the_work_are_impossible(method: str):
    result = balance(SPREADER, BalanceSettings(method=method, limit=60, stations=4))
    assert [f.code for f in result.findings] == ["line-impossible"]


def test_the_clash_is_told_in_words():
    # By hand: 4 x 60 = 240 < 244.
    result = balance(SPREADER, BalanceSettings(limit=60, stations=4))
    assert "4 x 60 = 240 s, but the work content is 244 s" in result.findings[0].message


def test_what_no_bound_sees_the_exact_method_proves():
    # Four stations are not enough for the twelve elements at 1.0, though LB1 is 4.
    result = balance(TWELVE, BalanceSettings(limit=1.0, stations=4))
    assert (result.ending, result.proof.lower_bound) == (Ending.IMPOSSIBLE, 5)


def test_a_rule_that_finds_nothing_does_not_call_it_impossible():
    asked = BalanceSettings(method="largest-candidate", limit=1.0, stations=4)
    assert balance(TWELVE, asked).ending in (Ending.NOTHING_FOUND, Ending.IMPOSSIBLE)


def test_best_efficiency_finds_the_smallest_product():
    # Reference tables: the spreader takes 70 on 4, 55 on 5 and 50 on 6 stations.
    result = balance(SPREADER, BalanceSettings(stations_from=4, stations=6))
    assert (result.goal, result.proof.lower_bound) == (Goal.BEST_EFFICIENCY, 275)


@pytest.mark.parametrize("name", ["ranked-positional-weight", "kilbridge-wester"])
@pytest.mark.parametrize("stations", [2, 3, 4, 5, 6])
def test_a_rule_finds_its_own_smallest_cycle(name: str, stations: int):
    # Against trying every limit of the same rule, one by one.
    problem = balance_problem(WAGON)
    order = by_positional_weight(problem)
    found = smallest_limit(problem, order, stations, problem.longest, None, Watch()).stations
    limits = range(problem.longest, problem.total + 1)
    tried = (list_first_fit(problem, order, limit, stations).stations for limit in limits)
    assert found == next(s for s in tried if s is not None)


def test_both_directions_keep_the_better_and_name_it():
    ways = {
        way: balance(WAGON, BalanceSettings(method="most-followers", limit=50.4, direction=way))
        for way in Direction
    }
    fewest = min(len(r.stations) for r in ways.values())
    assert len(ways[Direction.BOTH].stations) == fewest
    assert ways[Direction.BOTH].effort.direction in (Direction.FORWARDS, Direction.BACKWARDS)


def test_of_two_directions_the_shorter_cycle_wins_before_the_smoother_plan():
    # By hand, longest first on at most three stations: forwards 7 5 | 9 3 (12, all alike; at 11
    # there are four), backwards 5 | 9 | 7 3 (10).
    work = replace(CHAIN, numbers=tuple("abcd"), times=(7, 5, 9, 3), predecessors=UNEVEN)
    result = balance(work, BalanceSettings(method="largest-candidate", stations=3))
    assert (result.cycle_time, result.effort.direction) == (10, Direction.BACKWARDS)


def test_trials_that_meet_no_plan_of_so_few_stations_find_nothing():
    # Four stations are not enough for the twelve elements at 1.0, though LB1 is 4.
    result = balance(TWELVE, BalanceSettings(method="comsoal", limit=1.0, stations=4))
    assert (result.ending, result.stations) == (Ending.NOTHING_FOUND, ())


def test_trials_look_for_a_cycle_just_a_unit_shorter():
    # By hand: on two stations 3 2 | 2 takes 5, which most trials meet first; 3 | 2 2 takes 4.
    work = replace(CHAIN, times=(3, 2, 2), predecessors=((), (), ()))
    asked = [BalanceSettings(method="comsoal", stations=2, seed=seed) for seed in range(1, 11)]
    assert {balance(work, settings).cycle_time for settings in asked} == {4}


@pytest.mark.parametrize("method", ["comsoal", "exact"])
@pytest.mark.parametrize("asked", [{"limit": 10.0}, {"stations": 4}])
def test_the_same_seed_gives_the_same_plan(method: str, asked: dict[str, float]):
    settings = BalanceSettings(method=method, seed=7, **asked)  # type: ignore[arg-type]
    assert balance(JACKSON, settings).stations == balance(JACKSON, settings).stations


def test_the_compiled_kernel_does_what_the_plain_one_does():
    import numpy as np

    problem = balance_problem(TWELVE, 1.0)
    plans = [
        comsoal.Trials(problem, np.random.default_rng(3), 20, Watch(), kernel).better(100, 13)
        for kernel in (None, plain_kernel(0, limited=False))
    ]
    assert plans[0] == plans[1]


def test_trials_are_counted():
    # Nothing can be gained below the bound of 4 stations that no plan reaches.
    result = balance(TWELVE, BalanceSettings(method="comsoal", limit=1.0, trials=300))
    assert result.effort.trials == 300


def test_comsoal_stops_when_the_bound_is_reached():
    assert balance(SPREADER, BalanceSettings(method="comsoal", limit=60)).effort.trials < 1000


class Stopping(Progress):
    """Stops at once and notes what it heard."""

    def __init__(self) -> None:
        self.better: list[int] = []

    def on_better(self, stations: int, limit: float) -> None:
        self.better.append(stations)

    def should_stop(self) -> bool:
        return True


@pytest.mark.parametrize("method", ["comsoal", "exact"])
def test_a_method_that_is_stopped_keeps_what_it_found(method: str):
    result = balance(TWELVE, BalanceSettings(method=method, limit=1.0), Stopping())
    assert result.has_plan


@pytest.mark.parametrize("method", ["comsoal", "exact"])
def test_a_plan_says_that_its_method_was_stopped(method: str):
    # So many trials that the first look at the clock comes before the last of them.
    trials = 100_000 if method == "comsoal" else None
    asked = BalanceSettings(method=method, limit=1.0, trials=trials)
    assert balance(TWELVE, asked, Stopping()).proof.stopped == Stopped.REQUEST


def test_progress_hears_of_the_plan():
    listener = Stopping()
    result = balance(TWELVE, BalanceSettings(method="exact", limit=1.0), listener)
    assert listener.better[-1] == len(result.stations)


def test_a_plan_that_fails_its_check_never_leaves(monkeypatch: pytest.MonkeyPatch):
    class Broken:
        def fewest(self, *_: object) -> Answer:
            return Answer(stations=((1,), (0, 2)))

    info = replace(METHODS["exact"], make=lambda _: Broken(), first=None)
    monkeypatch.setattr(balance_module, "METHODS", {"exact": info})
    chain = replace(SPREADER, numbers=("a", "b", "c"), times=(1, 1, 1), predecessors=((), (0,), ()))
    with pytest.raises(RuntimeError, match="fails"):
        balance(chain, BalanceSettings(limit=2))


@pytest.mark.parametrize(
    "settings",
    [
        BalanceSettings(method="unknown", limit=1),
        BalanceSettings(method="largest-candidate", limit=1, seed=1),
        BalanceSettings(method="exact", limit=1, direction=Direction.BOTH),
        BalanceSettings(method="exact", limit=1, trials=5),
        BalanceSettings(method="comsoal", limit=1, cores=2),
        BalanceSettings(method="comsoal", limit=1, memory_mb=512),
        BalanceSettings(method="comsoal", limit=1, nodes=10),
        BalanceSettings(method="exact", limit=1, memory_mb=63),
        BalanceSettings(method="exact", limit=1, nodes=0),
        BalanceSettings(method="comsoal", limit=1, trials=0),
        BalanceSettings(limit=1, seconds=-1),
        BalanceSettings(stations=0),
        BalanceSettings(stations_from=4, stations=3),
        BalanceSettings(),
    ],
)
def test_settings_that_do_not_fit_are_told(settings: BalanceSettings):
    assert len(check_settings(settings)) == 1


def searching(*answers: Answer) -> MethodInfo:
    """Return a method that gives these answers in turn."""
    waiting = list(answers)

    class Searching:
        def fewest(self, *_: object) -> Answer:
            return waiting.pop(0)

        def shortest(self, *_: object) -> Answer:
            return waiting.pop(0)

    return replace(METHODS["exact"], make=lambda _: Searching(), first=None)


CHAIN = LineWork(
    line="main", numbers=("a", "b", "c"), times=(4, 3, 5), predecessors=((), (0,), (1,)), ticks=1
)
A_STATION_EACH = ((0,), (1,), (2,))
UNEVEN = ((), (), (1,), (1, 2))


def test_how_far_a_search_went_is_said(monkeypatch: pytest.MonkeyPatch):
    answer = Answer(stations=A_STATION_EACH, nodes=70, memory_mb=5.5, stopped=Stopped.MEMORY)
    monkeypatch.setattr(balance_module, "METHODS", {"exact": searching(answer)})
    result = balance(CHAIN, BalanceSettings(limit=8))  # 12 s of work: LB1 is 2
    assert (result.ending, result.effort.nodes, result.effort.memory_mb, result.proof.stopped) == (
        Ending.FOUND, 70, 5.5, Stopped.MEMORY,
    )  # fmt: skip


def test_nothing_stopped_what_is_proven(monkeypatch: pytest.MonkeyPatch):
    answer = Answer(stations=A_STATION_EACH, lower_bound=3, stopped=Stopped.TIME)
    monkeypatch.setattr(balance_module, "METHODS", {"exact": searching(answer)})
    result = balance(CHAIN, BalanceSettings(limit=6))
    assert (result.ending, result.proof.stopped) == (Ending.OPTIMAL, None)


def test_a_range_of_stations_adds_up_what_was_searched(monkeypatch: pytest.MonkeyPatch):
    # Bounds by hand: 2 stations x 7 (4 + 3 | 5), 3 x 5; the best is 2 x 7 = 14.
    answers = (
        Answer(stations=((0,), (1, 2)), nodes=10, memory_mb=8.0, stopped=Stopped.NODES),
        Answer(stations=A_STATION_EACH, nodes=5, memory_mb=3.0),
    )
    monkeypatch.setattr(balance_module, "METHODS", {"exact": searching(*answers)})
    result = balance(CHAIN, BalanceSettings(stations_from=2, stations=3))
    assert (result.ending, result.effort.nodes, result.effort.memory_mb, result.proof.stopped) == (
        Ending.FOUND, 15, 8.0, Stopped.NODES,
    )  # fmt: skip


def test_the_numbers_of_a_range_share_the_time_that_is_left(monkeypatch: pytest.MonkeyPatch):
    # By hand: a third of 90 s for the first of three; no time passes, so half of 90 s for the next.
    monkeypatch.setattr(method_module, "monotonic", lambda: 0.0)
    deadlines = []

    class Timed:
        def shortest(self, _problem, _most, _low, _high, watch: Watch) -> Answer:
            deadlines.append(watch.deadline)
            return Answer()

    settings = BalanceSettings(stations_from=1, stations=3)
    reach_goal(balance_problem(CHAIN), settings, Timed(), Watch(deadline=90.0))
    assert deadlines == [30.0, 45.0, 90.0]


def test_bounds_on_a_search_reach_the_method(monkeypatch: pytest.MonkeyPatch):
    given: list[Options] = []

    def make(options: Options) -> Solver:
        given.append(options)
        return METHODS["exact"].make(options)

    info = replace(METHODS["exact"], make=make, first=None)
    monkeypatch.setattr(balance_module, "METHODS", {"exact": info})
    balance(CHAIN, BalanceSettings(limit=8, memory_mb=99, nodes=7))
    balance(CHAIN, BalanceSettings(limit=8))
    assert [(o.memory_mb, o.nodes) for o in given] == [(99, 7), (2048, None)]


def test_wrong_settings_are_a_mistake_of_the_caller():
    with pytest.raises(ValueError, match="limit"):
        balance(ONE, BalanceSettings(limit=-1))


def test_balance_line_takes_the_main_line():
    product = Product(code="P", tasks=(Task(number="10", time_ms=30_000),))
    assert tasks_of(balance_line(product, limit_s=30).stations) == ["10"]


def test_a_product_that_cannot_be_balanced_says_why():
    product = Product(code="P", tasks=(Task(number="10"),))
    assert [f.code for f in balance_line(product, limit_s=30).findings] == ["task-without-time"]


def test_a_thousand_tasks_in_a_row_are_balanced():
    chain = LineWork(
        line="main",
        numbers=tuple(str(j) for j in range(1000)),
        times=(7,) * 1000,
        predecessors=((), *((j,) for j in range(999))),
    )
    # By hand: 3 tasks of 7 ms to a station of 21 ms.
    result = balance(chain, BalanceSettings(method="ranked-positional-weight", limit=0.021))
    assert len(result.stations) == 334


def a_plan(asked: BalanceSettings, *loads: int) -> BalanceResult:
    stations = tuple(Station(number=n, work_ticks=load) for n, load in enumerate(loads, 1))
    made = Assignment(stations=stations) if stations else None
    return BalanceResult(line="main", asked=asked, assignment=made, ticks=1)


@pytest.mark.parametrize(
    ("asked", "best"),
    [
        (BalanceSettings(limit=60), 1),  # 2 stations, and 55 is shorter than 60
        (BalanceSettings(stations=4), 2),  # 30
        (BalanceSettings(stations=4, stations_from=2), 1),  # 2 x 55 = 110 < 4 x 30 = 120 = 2 x 60
    ],
    ids=lambda value: value.goal if isinstance(value, BalanceSettings) else "",
)
def test_of_several_plans_the_best_is_that_for_the_goal(asked: BalanceSettings, best: int):
    loads = [(60, 50), (55, 55), (30, 30, 25, 25), ()]
    results = [a_plan(asked, *each) for each in loads]
    assert best_for_goal(results) is results[best]
    assert best_for_goal(results[3:]) is None
