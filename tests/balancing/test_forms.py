"""The forms of limits: what each refuses, how each is seen from the end, grouped and written."""

import pytest
from formed_lines import every_formed_plan, formed, formed_lines, holds
from hypothesis import given, settings
from hypothesis import strategies as st

from stationflow.balancing.limits.clashes import find_clash
from stationflow.balancing.limits.contraction import contracted
from stationflow.balancing.limits.forms import (
    WHOLE_LIMIT,
    Distance,
    Form,
    Group,
    Lag,
    Measure,
    SetUp,
    Target,
    TimeAt,
    Turns,
    refusal,
)
from stationflow.balancing.second.constraint_model import Verdict, ask_solver

SAID = "said so"
TRIED = settings(max_examples=120, deadline=None)
HALF = WHOLE_LIMIT // 2


@pytest.mark.parametrize("form", Form)
@TRIED
@given(data=st.data(), most=st.integers(1, 4))
def test_what_is_written_into_the_solver_agrees_with_trying(
    form: Form, data: st.DataObject, most: int
):
    problem = data.draw(formed_lines(forms=(form, form, Form.TIMES, Form.TURNS)))
    verdict = ask_solver(problem, most, problem.limit or 0, seconds=60).verdict
    is_possible = next(every_formed_plan(problem, most), None) is not None
    assert verdict == (Verdict.POSSIBLE if is_possible else Verdict.IMPOSSIBLE)


@TRIED
@given(problem=formed_lines(most=4, forms=[f for f in Form if f != Form.LAGS]), data=st.data())
def test_a_plan_seen_from_the_end_keeps_the_limits_seen_from_there(problem, data):
    station_of = [data.draw(st.integers(1, 4)) for _ in problem.times]
    seen = [5 - station for station in station_of]
    assert holds(problem, station_of) == holds(problem.reversed(4), seen)


@TRIED
@given(problem=formed_lines(), data=st.data())
def test_a_whole_plan_that_holds_refuses_none_of_its_tasks(problem, data):
    station_of = [data.draw(st.integers(1, 3)) for _ in problem.times]
    if holds(problem, station_of):
        where = dict(enumerate(station_of))
        assert not [
            refusal(problem, t, k, where) for t, k in where.items() if refusal(problem, t, k, where)
        ]


@TRIED
@given(problem=formed_lines(forms=[f for f in Form if f != Form.LAGS]), most=st.integers(1, 4))
def test_a_line_whose_groups_became_tasks_has_the_same_plans(problem, most):
    line = contracted(problem)
    plans = {
        tuple(at[[task in row for row in line.members].index(True)] for task in range(problem.size))
        for at in every_formed_plan(line.problem, most)
        if not find_clash(line, problem.limit)
    }
    assert plans == set(every_formed_plan(problem, most))


REFUSED = {
    "a measure above what a station takes": (Measure((2, 3), 4, (), SAID), True),
    "a measure at a station that takes more": (Measure((2, 3), 4, ((1, 5),), SAID), False),
    "work above the target load": (Target(((1, HALF),), SAID), True),
    "work below the target load of another station": (Target(((2, HALF),), SAID), False),
    "more set-ups than there are": (SetUp((0, 1), 1, False, 0, SAID), False),
    "too near": (Distance(0, 1, 1, None, SAID), True),
    "not too far": (Distance(0, 1, 0, 2, SAID), False),
    "a time that no order at the station gives": (Lag(0, 1, 5, None, 0, SAID), True),
    "a time that some order gives": (Lag(0, 1, 4, None, 0, SAID), False),
}


@pytest.mark.parametrize("name", REFUSED)
def test_a_form_refuses_a_task(name: str):
    # Two tasks of 3 at a limit of 10; the first is at station 1, the second would join it.
    form, is_refused = REFUSED[name]
    assert (refusal(formed((3, 3), form), 1, 1, {0: 1}) == SAID) == is_refused


def test_a_third_station_needs_a_second_tool_that_two_neighbours_share():
    tool = SetUp((0, 1, 2), 1, True, 0, SAID)
    assert refusal(formed((3, 3, 3), tool), 1, 2, {0: 1}) is None
    assert refusal(formed((3, 3, 3), tool), 2, 3, {0: 1, 1: 2}) == SAID


def test_the_work_of_a_station_has_its_own_times_and_the_turns():
    # 5 at station 2 instead of 3; the second kind costs 2 more.
    problem = formed((3, 3), TimeAt(0, 2, 5, SAID), Turns(((0,), (1,)), 2, SAID))
    assert (problem.work_at(1, (0, 1)), problem.work_at(2, (0, 1))) == (8, 10)


def test_amounts_of_a_group_add_up():
    line = contracted(formed((1, 1, 1), Measure((1, 2, 3), 4, (), SAID), Group((0, 2), SAID)))
    assert line.problem.forms.measures[0].amounts == (4, 2)


def test_stations_between_two_tasks_of_a_group_clash():
    line = contracted(formed((1, 1), Distance(0, 1, 1, None, "one apart"), Group((0, 1), "one")))
    assert find_clash(line, 10) == ("one apart", "one")


def test_between_groups_less_time_is_left_than_between_their_tasks():
    # Behind task 0 its group does task 1, of 3; before task 3 the other group does task 2, of 4.
    lag = Lag(0, 3, 20, 30, 0, SAID)
    line = contracted(formed((2, 3, 4, 5), lag, Group((0, 1), ""), Group((2, 3), "")))
    assert (line.problem.forms.lags[0].least, line.problem.forms.lags[0].most) == (13, 23)
