"""Why it cannot be less: the simplest reason that is true. Lines are worked out by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from limited_lines import limited
from small_plans import answer, changed
from test_balancing_properties import FEW, lines
from textbook_lines import SPREADER, TWELVE, line

from stationflow.balancing.balance import balance
from stationflow.balancing.bounds import bounds, cycle_bounds
from stationflow.balancing.explained.bound_reasons import why_not_less
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceSettings, Ending, Stopped, TaskLimits

BIG = line("A40 B40 C30")
"""At 60 s: A and B are above half, C is half; 110 s would fit into two stations."""
THIRDS = line("A21 B21 C21 D21 E21 F1")
"""At 60 s: three of 21 s are 63 s, so only two fit; 106 s would fit into two stations."""
CHAIN = line("A82 B39:A C82:B")
"""At 120 s: no neighbours fit together; 203 s would fit into two stations."""


def why(work: LineWork, changes: dict | None = None, **asked) -> str:
    """Balance a line and return why it cannot be less."""
    result = balance(work, BalanceSettings(**asked))
    return why_not_less(work, changed(result, **(changes or {})))


def test_the_work_content_is_the_first_reason():
    # 244 / 60 = 4.07
    assert why(SPREADER, limit=60) == (
        "Not fewer than 5 stations: the work content of 244 s needs 5 at 60 s; 4 stations hold "
        "only 240 s."
    )


def test_what_times_can_fill_is_said_where_the_limit_alone_would_do():
    # Times in steps of 10 s fill 50 of 59 s: 2 x 50 < 110 <= 2 x 59.
    said = why(line("A20 B20 C20 D20 E30"), limit=59)
    assert said.endswith("of which times can fill 50 s; 2 stations hold only 100 s.")


def test_tasks_longer_than_half_are_named():
    said = why(BIG, limit=60)
    assert said.startswith("Not fewer than 3 stations: tasks A, B are longer than half of 60 s")
    assert "C takes exactly half, two to a station (1)" in said


def test_tasks_longer_than_a_third_are_named():
    said = why(THIRDS, limit=60)
    assert said.startswith("Not fewer than 3 stations: of the tasks of a third of 60 s and more,")
    assert "5 longer than a third share stations two by two (A, B, C, D, E)" in said


def test_what_comes_before_and_after_a_task_is_told():
    said = why(CHAIN, limit=120)
    assert "with all that comes before it, task A is at station 1 or later" in said
    assert "from it to the end 3 stations are needed" in said


def test_where_no_simple_bound_reaches_the_search_is_the_reason():
    # Four stations hold the 4.00 of twelve elements only if all are full, which trying shows
    # to be impossible; the bounds stop at 4.
    assert max(bound for _, bound in bounds(balance_problem(TWELVE, 1.0))) == 4
    searched = {"nodes": 1234, "runtime_s": 0.5, "bounds": ()}
    assert why(TWELVE, searched, limit=1.0) == (
        "Not fewer than 5 stations: no simple reason; the search tried every way of filling "
        "4 stations and found none (1 234 partial plans in 0.5 s)."
    )


def test_a_bound_of_another_name_is_said_in_its_words():
    result = balance(TWELVE, BalanceSettings(limit=1.0))
    more = changed(result, bounds=(*result.proof.bounds, ("packing", 5.0)))
    said = "the tasks, in any order but never two together that cannot share a station, need 5"
    assert said in why_not_less(TWELVE, more)


def test_what_is_not_decided_is_said():
    # Ranked positional weight gives five stations there, and 4.00 / 1.00 is the bound.
    said = why(TWELVE, method="ranked-positional-weight", limit=1.0)
    assert said.startswith("Between 4 and 5 stations is not decided. At least 4 stations: the work")


def test_what_stopped_the_search_is_said():
    said = why(TWELVE, {"stopped": Stopped.TIME}, method="ranked-positional-weight", limit=1.0)
    assert said.startswith("Between 4 and 5 stations is not decided: the time limit was reached.")


def test_too_few_stations_are_refused_with_a_reason():
    assert why(SPREADER, limit=60, stations=4).startswith("Not with 4 stations: the work content")


def test_a_task_longer_than_the_limit_is_named():
    said = why(SPREADER, limit=45)
    assert said == "No number of stations is enough: task C is longer than the limit."


def test_the_longest_task_bounds_the_cycle():
    assert why(SPREADER, stations=6) == "Not under 50 s: task C takes 50 s and is not split."


def test_the_work_content_bounds_the_cycle():
    # 4.00 in two halves of the twelve elements.
    said = why(TWELVE, stations=2)
    assert said == "Not under 2 s: the work content of 4 s over 2 stations is 2 s."


def test_the_search_bounds_the_cycle():
    named = cycle_bounds(balance_problem(TWELVE), 4)
    assert max(bound for _, bound in named) < 102  # one whole unit is 10 ms
    assert why(TWELVE, stations=4).startswith("Not under 1.02 s: no simple reason; the search")


def test_a_cycle_that_is_not_decided_is_said():
    result = balance(TWELVE, BalanceSettings(stations=4))
    loose = changed(result, ending=Ending.FOUND, lower_bound=1.0)
    said = why_not_less(TWELVE, loose)
    assert said.startswith("Between 1 s and 1.02 s is not decided. Not under 1 s: ")


def test_best_efficiency_has_a_reason():
    assert why(SPREADER, stations_from=4, stations=6).startswith("Stations x cycle time not under")


def test_a_plan_from_a_file_has_none():
    assert why_not_less(SPREADER, answer(method="given", limit=60.0, stations=5)) == ""


@FEW
@given(work=lines(), limit=st.integers(20, 40))
def test_what_is_proven_is_what_is_said(work: LineWork, limit: int):
    result = balance(work, BalanceSettings(limit=limit))
    many = len(result.stations)
    said = why_not_less(work, result)
    assert said.startswith(f"Not fewer than {many} station{'' if many == 1 else 's'}: ")


@pytest.mark.parametrize("stations", range(1, 10))
def test_every_cycle_of_the_spreader_has_a_reason(stations: int):
    result = balance(SPREADER, BalanceSettings(stations=stations))
    assert why_not_less(SPREADER, result).startswith(f"Not under {result.proof.lower_bound:g} s")


def test_the_limits_that_were_kept_are_the_reason():
    # 20 s fit into one station of 60 s, and B has to be at station 3.
    work = limited(line("A10 B10:A"), B=TaskLimits(station=3))
    assert why(work, limit=60) == (
        "Not fewer than 3 stations: the limits entered for tasks and stations need 3 stations "
        "(kept: fixed station)."
    )


def test_a_search_says_which_limits_it_kept():
    # Two by two 60 s would do for A B, C D; kept apart as they are, no two fit together.
    work = limited(
        line("A30 B30 C30 D30"),
        A=TaskLimits(apart=("B", "C", "D")),
        B=TaskLimits(apart=("C", "D")),
        C=TaskLimits(apart=("D",)),
    )
    assert "(kept: kept apart from)" in why(work, limit=60)


def test_a_search_for_a_short_cycle_says_which_limits_it_kept():
    # 20 s would do on two stations: A and B beside C; apart, one of them is with C, 30 s.
    work = limited(line("A10 B10 C20"), A=TaskLimits(apart=("B",)))
    said = why(work, stations=2)
    assert said.startswith("Not under 30 s")
    assert "(kept: kept apart from)" in said
