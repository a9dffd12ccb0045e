"""Every form of a limit kept by the rules and by COMSOAL, against every plan by trying."""

from dataclasses import replace

import pytest
from formed_lines import every_formed_plan, formed, formed_lines, holds, needed_cycle, orders_hold
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from stationflow.balancing.goals import reach_goal
from stationflow.balancing.limits.forms import Distance, Form
from stationflow.balancing.limits.station_filling import keeps_all
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import Options, Stations, Watch
from stationflow.balancing.methods.priority import AGAIN, list_first_fit
from stationflow.balancing.methods.rules import by_positional_weight, by_time
from stationflow.balancing.problem import BalanceProblem
from stationflow.model import BalanceSettings, Ending
from tests.benchmarks.limits_exact import made_line

TRIED = settings(max_examples=25, deadline=None)
KEEPING = [name for name in METHODS if name != "exact"]


def asked(method: str, problem: BalanceProblem, **more: int):
    """Return what a method finds for a problem in the machine's own numbers."""
    if problem.limit is not None:  # a task that is too long anywhere never reaches a method
        assume(max(problem.least_times) <= problem.limit)
    info = METHODS[method]
    wanted = BalanceSettings(method=method, **more)  # type: ignore[arg-type]
    return reach_goal(problem, wanted, info.make(Options(trials=60)), Watch(), info.keeps)


def station_of(problem: BalanceProblem, stations: tuple[tuple[int, ...], ...]) -> list[int]:
    where = {task: at for at, tasks in enumerate(stations, 1) for task in tasks}
    return [where[task] for task in range(problem.size)]


@pytest.mark.parametrize("method", KEEPING)
@pytest.mark.parametrize("form", Form)
@TRIED
@given(data=st.data())
def test_a_plan_of_few_stations_keeps_the_form(form: Form, method: str, data: st.DataObject):
    problem = data.draw(formed_lines(forms=(form, form, Form.TIMES, Form.TURNS)))
    outcome = asked(method, problem, limit=problem.limit)
    if stations := outcome.answer.stations:
        assert holds(problem, station_of(problem, stations))
        assert orders_hold(problem, stations)


@pytest.mark.parametrize("method", KEEPING)
@TRIED
@given(problem=formed_lines(), most=st.integers(1, 4))
def test_a_plan_of_short_cycle_keeps_all_forms_at_its_own_cycle(
    method: str, problem: BalanceProblem, most: int
):
    outcome = asked(method, replace(problem, limit=None), stations=most)
    if stations := outcome.answer.stations:
        where = station_of(problem, stations)
        own = replace(problem, limit=needed_cycle(problem, where))
        assert max(where) <= most
        assert holds(own, where)
        assert orders_hold(own, stations)


@pytest.mark.parametrize("method", KEEPING)
@TRIED
@given(problem=formed_lines(), most=st.integers(1, 4))
def test_what_is_called_impossible_is_impossible_and_optimal_is_best(
    method: str, problem: BalanceProblem, most: int
):
    outcome = asked(method, problem, limit=problem.limit, stations=most)
    if outcome.ending == Ending.IMPOSSIBLE:
        assert next(every_formed_plan(problem, most), None) is None
    few = asked(method, problem, limit=problem.limit)
    if few.ending == Ending.OPTIMAL and (fewer := len(few.answer.stations) - 1):
        assert next(every_formed_plan(problem, min(fewer, 4)), None) is None


@pytest.mark.parametrize("form", Form)
def test_most_lines_with_a_form_are_balanced_where_a_plan_exists(form: Form):
    """The rules find a plan for at least two of three lines that have one of few stations."""
    found = {True: 0, False: 0}

    # The same lines each time: of lines drawn anew a share comes out by chance.
    @settings(max_examples=150, deadline=None, derandomize=True)
    @given(problem=formed_lines(forms=(form,)))
    def count(problem: BalanceProblem) -> None:
        if next(every_formed_plan(problem, 3), None) is not None:
            outcome = asked("ranked-positional-weight", problem, limit=problem.limit)
            found[bool(outcome.answer.stations)] += 1

    count()
    assert found[True] >= 2 * found[False]


def filled(line: BalanceProblem, again: int = 0) -> Stations | None:
    """Return the plan of the longest task first."""
    stations = list_first_fit(line, by_time(line), line.limit or 0, None, again).stations
    assert stations is None or keeps_all(line, stations, line.limit)
    return stations


def test_a_rule_lets_a_task_wait_for_another_that_must_be_stations_before():
    # 1 is listed before 4, and could be at station 3; but 0 waits for 2, 3 and 4.
    line = formed(
        (2, 9, 9, 9, 9), Distance(0, 1, 2, None, "it cures"), arrows=[(2, 3), (3, 4), (4, 0)]
    )
    assert filled(line) == ((2,), (3,), (4,), (0,), (), (1,))


def test_a_rule_puts_off_a_task_that_another_could_not_follow_soon():
    # 1 waits for 2 of 8 and is at the station of 0: of limit 10 the second, as 8 + 2 + 3 > 10.
    near = Distance(0, 1, None, 0, "it is hot")
    assert filled(formed((2, 3, 8), near, arrows=[(2, 1)])) == ((2,), (1, 0))


def test_a_long_line_whose_tasks_come_too_late_is_filled_anew():
    line = made_line(3, 250)
    order = by_positional_weight(line)
    assert list_first_fit(line, order, line.limit).stations is None
    again = list_first_fit(line, order, line.limit, None, AGAIN).stations
    assert again is not None
    assert keeps_all(line, again, line.limit)
