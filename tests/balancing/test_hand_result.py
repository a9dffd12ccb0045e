"""What comes of moves by hand, worked out by hand."""

from dataclasses import replace

from limited_lines import limited, line
from small_plans import answer

from stationflow.balancing.balance import balance
from stationflow.balancing.by_hand.hand_board import hand_board
from stationflow.balancing.by_hand.hand_plan import HandPlan, hand_plan
from stationflow.balancing.by_hand.hand_result import hand_result, hand_sums
from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.metrics import balance_efficiency, gap
from stationflow.balancing.second.second_opinion import confirm
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Ending,
    Pins,
    Plan,
    TaskLimits,
    has_errors,
)

# 20 units of work in a row of four tasks; at a limit of 10 two stations are needed.
ROW = line((5, 5, 5, 5), (0, 1), (1, 2), (2, 3))
AT_TEN = BalanceSettings(limit=10)


def by_hand(*stations: str, known: tuple[Plan, ...] = (), **more: object) -> BalanceResult:
    return hand_result(hand_board(ROW, plan_of(*stations, **more), 10), known=known)


def plan_of(*stations: str, **more: object) -> HandPlan:
    held = tuple(GivenStation(n, tuple(tasks.split())) for n, tasks in enumerate(stations, 1))
    return HandPlan(stations=held, **more)  # type: ignore[arg-type]


def test_a_plan_by_hand_that_meets_the_bound_is_proven_best():
    assert by_hand("T0 T1", "T2 T3").ending == Ending.OPTIMAL


def test_a_plan_by_hand_above_the_bound_has_a_gap():
    assert gap(by_hand("T0", "T1 T2", "T3")) == 0.5  # three stations where two are needed


def test_an_empty_station_counts():
    assert balance_efficiency(by_hand("T0 T1", "", "T2 T3").loads, 10) == 20 / 30


def test_a_plan_by_hand_over_the_limit_says_so():
    result = by_hand("T0 T1 T2", "T3")
    assert [finding.code for finding in result.findings] == ["station-over-limit"]
    assert result.ending is None


def test_a_plan_by_hand_says_that_it_is_by_hand():
    assert by_hand("T0 T1", "T2 T3").method == "by-hand"


def test_a_task_at_no_station_is_named():
    assert has_errors(by_hand("T0 T1", "T2", loose=("T3",)).findings)


def test_what_is_proven_of_another_plan_on_the_same_question_is_proven_of_this_one():
    other = answer(lower_bound=3.0, limit=10, line="main")
    known = (Plan(product="P", result=other),)
    assert by_hand("T0", "T1 T2", "T3", known=known).ending == Ending.OPTIMAL


def test_what_is_proven_at_another_limit_is_not():
    other = answer(lower_bound=3.0, limit=9, line="main")
    known = (Plan(product="P", result=other),)
    assert by_hand("T0", "T1 T2", "T3", known=known).ending == Ending.FOUND


def test_a_plan_of_a_number_of_stations_keeps_its_own_question():
    result = hand_result(hand_board(ROW, plan_of("T0 T1", "T2 T3"), None))
    assert (result.limit, result.asked.stations, result.ending) == (None, 2, Ending.OPTIMAL)


def test_the_overrun_is_told_for_each_station():
    assert hand_sums(ROW, by_hand("T0 T1 T2", "T3")).over == ((1, 5.0),)


def test_equipment_is_counted_by_the_stations_that_need_it():
    needs = TaskLimits(equipment=("press",))
    work = limited(ROW, T0=needs, T1=needs, T3=needs)
    assert hand_sums(work, by_hand("T0 T1", "T2 T3")).equipment == (("press", 2),)


def test_the_station_that_lifts_most_is_named():
    heavy = {"T0": 8.0, "T2": 7.0, "T3": 4.5}
    work = limited(ROW, **{task: TaskLimits(lift_kg=kg) for task, kg in heavy.items()})
    sums = hand_sums(work, by_hand("T0 T1", "T2 T3"))
    assert (sums.most_lifted_kg, sums.most_lifted_at) == (11.5, 2)


def test_pinned_tasks_stay_where_they_are_and_the_method_shares_out_the_rest():
    # T1 alone at station 2: T0 before it, T2 and T3 after it fit together.
    settings = BalanceSettings(
        method="largest-candidate", limit=10, pins=Pins(tasks=(("T1", 2),), stations=(2,))
    )
    result = balance(ROW, settings)
    assert [station.tasks for station in result.stations] == [("T0",), ("T1",), ("T2", "T3")]


def test_a_second_solver_is_asked_with_the_same_pins():
    settings = BalanceSettings(method="largest-candidate", limit=10, pins=Pins(stations=(2,)))
    result = balance(ROW, settings)
    assert [s.tasks for s in result.stations] == [("T0", "T1"), (), ("T2", "T3")]
    assert confirm(ROW, result).agrees


def test_pins_that_cannot_all_hold_are_an_answer():
    settings = BalanceSettings(method="largest-candidate", limit=10, pins=Pins(tasks=(("T3", 1),)))
    result = balance(ROW, settings)
    assert result.ending == Ending.IMPOSSIBLE
    assert "task T3 is pinned at station 1" in result.findings[0].message


def test_a_plan_by_hand_begins_as_the_plan_it_came_from_with_its_pins():
    settings = BalanceSettings(
        method="largest-candidate", limit=10, pins=Pins(tasks=(("T1", 2),), stations=(2,))
    )
    made = balance(ROW, settings)
    begun = hand_plan(ROW, made.stations, made.asked.pins)
    assert begun.pins == settings.pins


def test_a_task_that_is_new_on_the_line_waits_beside_the_stations():
    made = balance(ROW, replace(AT_TEN, method="largest-candidate"))
    grown = line((5, 5, 5, 5, 1))
    assert hand_plan(grown, made.stations, Pins()).loose == ("T4",)
