"""Limits that our own search leaves to CP-SAT: worked out by hand, in a process of its own."""

import subprocess

import pytest

from stationflow.balancing.arrows import turned
from stationflow.balancing.goals import Outcome, reach_goal
from stationflow.balancing.limits.forms import AnyForm, Lag, SetUp, forms_in
from stationflow.balancing.methods.exact import Exact
from stationflow.balancing.methods.method import Options, Watch
from stationflow.balancing.problem import BalanceProblem
from stationflow.balancing.solver import solver_process
from stationflow.balancing.solver.solver_process import solver_name
from stationflow.model import BalanceSettings, Ending, Stopped


def asked(
    times: tuple[int, ...], *forms: AnyForm, arrows: tuple[tuple[int, ...], ...] = (), **more: int
) -> Outcome:
    before = arrows or ((),) * len(times)
    problem = BalanceProblem(
        times=times,
        predecessors=before,
        successors=turned(before),
        limit=more.get("limit"),
        forms=forms_in(forms),
    )
    settings = BalanceSettings(method="exact", **more)  # type: ignore[arg-type]
    return reach_goal(problem, settings, Exact(Options()), Watch())


def test_one_press_stands_at_one_station():
    # 5 5 5 at a limit of 9 is three stations; with one press for all three tasks there is no plan.
    found = asked((5, 5, 5), SetUp((0, 1, 2), 1, False, 0, "one press"), limit=9)
    assert (found.ending, found.answer.engine) == (Ending.IMPOSSIBLE, solver_name())


def test_a_shared_tool_does_for_two_neighbours():
    # 5 5 5: of three stations two neighbours share one tool; the third task needs none.
    found = asked((5, 5, 5), SetUp((0, 1), 1, True, 0, "one tool"), limit=9)
    at = {task: number for number, row in enumerate(found.answer.stations) for task in row}
    assert (found.ending, len(found.answer.stations)) == (Ending.OPTIMAL, 3)
    assert abs(at[0] - at[1]) == 1


def test_a_set_up_counts_for_the_shortest_cycle():
    # 4 3 2 on two stations is 5 (4 | 3 2); with one press for the first two it is 7 (4 3 | 2).
    press = SetUp((0, 1), 1, False, 0, "one press")
    found = asked((4, 3, 2), press, stations=2)
    assert (found.ending, found.answer.lower_bound) == (Ending.OPTIMAL, 7)


def test_a_time_between_tasks_is_counted_at_the_pace_of_the_line():
    # Limit 10. A of 4 ends at 4 at the earliest; B has to begin 9 after it or later. With C of 5
    # between them it begins 5 after; one station later it begins 10 - 4 = 6 after A, and with C
    # before it 11 after: A | C B.
    lag = Lag(0, 1, 9, None, 0, "it cures")
    found = asked((4, 4, 5), lag, limit=10, arrows=((), (0,), ()))
    assert (found.ending, found.answer.stations) == (Ending.OPTIMAL, ((0,), (2, 1)))


def test_a_longest_time_between_tasks_is_kept():
    # Limit 10: A of 6 and B of 6 do not share a station, so B begins 4 after A at the earliest.
    least = Lag(0, 1, 0, 3, 0, "it stays hot")
    assert asked((6, 6), least, limit=10).ending == Ending.IMPOSSIBLE
    assert asked((6, 6), Lag(0, 1, 0, 4, 0, "hot"), limit=10).ending == Ending.OPTIMAL


def test_a_solver_that_breaks_off_leaves_the_answer_open(monkeypatch: pytest.MonkeyPatch):
    started = subprocess.Popen

    def broken(_command: object, **streams: object) -> object:
        return started(["false"], **streams)  # type: ignore[call-overload]

    monkeypatch.setattr(solver_process.subprocess, "Popen", broken)
    found = asked((5, 5, 5), SetUp((0, 1, 2), 1, False, 0, "one press"), limit=9)
    assert (found.ending, found.answer.stopped) == (Ending.NOTHING_FOUND, Stopped.TIME)
