"""Numbers of plans, bounds and tasks, opened, against values that textbooks print."""

from dataclasses import replace

import pytest
from small_plans import changed
from textbook_lines import BOOKS, SPREADER, TWELVE, WAGON, line

from stationflow.balancing.balance import balance
from stationflow.balancing.explained.bounds_explained import bound_numbers, station_bounds
from stationflow.balancing.explained.order_explained import (
    mean_time_number,
    order_facts,
    order_number,
    task_numbers,
)
from stationflow.balancing.explained.plan_explained import plan_numbers, station_numbers
from stationflow.balancing.time_words import TimeWords, time_words
from stationflow.balancing.work import LineWork, times_there
from stationflow.model import BalanceSettings, Explained, Model, ModelTime, Product, Task
from stationflow.units import TimeUnit

SECONDS = TimeWords()
RULE = "ranked-positional-weight"


def opened(work: LineWork, **asked: float) -> dict[str, Explained]:
    """Return all numbers of a balanced line by key."""
    settings = BalanceSettings(**asked)  # type: ignore[arg-type]
    result = balance(work, settings)
    words = time_words(work.time_unit)
    there = times_there(work, result.stations)
    found = [*plan_numbers(result, words, there), order_number(work)]
    found += bound_numbers(work, result, words)
    for station in result.stations:
        found += station_numbers(result, station.number, there, words)
    facts = order_facts(work, result.limit)
    at = {n: s.number for s in result.stations for n in s.tasks}
    for number in work.numbers:
        found += task_numbers(facts, number, words, len(result.stations), at[number])
    return {number.key: number for number in found}


WAGON_NUMBERS = opened(WAGON, limit=50.4)
SPREADER_NUMBERS = opened(SPREADER, limit=60)


def test_the_work_content_needs_four_stations():
    # Chase and Jacobs, wagon: 195 s / 50.4 s = 3.87, so 4 stations.
    worked = WAGON_NUMBERS["bound-work-content"].worked
    assert worked == "the work content needs 4 stations: 195 / 50.4 = 3.869, rounded up 4"


def test_the_spreader_needs_five_stations_for_its_work():
    # Krajewski, fertilizer spreader: 244 s / 60 s = 4.067, so 5.
    assert "244 / 60 = 4.067, rounded up 5" in SPREADER_NUMBERS["bound-work-content"].worked


def test_the_spreader_reaches_the_efficiency_of_the_book():
    # Krajewski: 244 / (5 x 60) = 81.3 %.
    assert SPREADER_NUMBERS["balance-efficiency-on-the-limit"].value == pytest.approx(
        0.8133, abs=5e-5
    )


def test_the_spreader_is_idle_as_the_book_says():
    # Krajewski: 5 x 60 - 244 = 56 s.
    assert SPREADER_NUMBERS["idle-time-on-the-limit"].worked == "5 x 60 - 244 = 56 s"


def test_the_long_tasks_are_named_with_their_count():
    # By hand: half of 50.4 is 25.2; only A (45 s) and D (50 s) are longer.
    assert "longer than half the limit, one station each: A, D (2)" in (
        WAGON_NUMBERS["bound-half-limit"].worked
    )


def test_tasks_of_exactly_half_the_limit_share_a_station():
    # By hand: 40 above half, two of exactly 30: 1 + 2 / 2 = 2.
    found = station_bounds(line("A40 B30 C30"), 60, SECONDS)[1]
    assert (found.value, "exactly half, two share one: B, C (2)" in found.worked) == (2, True)


def test_a_positional_weight_is_the_sum_of_what_waits():
    # By hand on the wagon: D 50 + E 15 + H 12 + I 12 + J 8 + K 9 = 106.
    assert WAGON_NUMBERS["task-d-positional-weight"].value == 106


def test_the_first_weight_of_the_twelve_elements():
    # By hand on Groover's data (minutes): element 3 = 0.7 + 0.11 + 0.32 + 0.6 + 0.27 + 0.38 + 0.5
    # + 0.12 = 3.0.
    facts = order_facts(TWELVE, 1.0)
    assert task_numbers(facts, "3", SECONDS)[0].value == pytest.approx(3.0)


@pytest.mark.parametrize("book", BOOKS)
def test_no_cross_check_differs(book: str):
    work, limit = BOOKS[book]
    differing = [n.key for n in opened(work, limit=limit).values() if n.check.startswith("Differs")]
    assert differing == []


@pytest.mark.parametrize("asked", [{"stations": 4}, {"stations": 5, "stations_from": 3}])
def test_no_cross_check_of_a_shortest_cycle_differs(asked: dict[str, float]):
    settings = BalanceSettings(**asked)  # type: ignore[arg-type]
    result = balance(WAGON, settings)
    found = (
        *plan_numbers(result, SECONDS, times_there(WAGON, result.stations)),
        *bound_numbers(WAGON, result),
    )
    assert [n.key for n in found if n.check.startswith("Differs")] == []


def test_a_plan_that_says_more_work_than_its_tasks_have_is_caught():
    result = balance(WAGON, BalanceSettings(limit=50.4, method=RULE))
    first = replace(result.stations[0], work_ticks=result.stations[0].work_ticks + 1000)
    wrong = changed(result, stations=(first, *result.stations[1:]))
    assert station_numbers(wrong, 1, times_there(WAGON, wrong.stations))[0].check.startswith(
        "Differs"
    )


def test_work_that_steps_of_the_times_cannot_fill_is_explained():
    # By hand: times of 10 s fill 50 of 55 s; 110 / 50 = 2.2, so 3 stations, not 110 / 55 = 2.
    found = station_bounds(line("A50 B50 C10"), 55, SECONDS)[0]
    assert (found.value, found.worked.endswith("110 / 50 = 2.2, rounded up 3")) == (3, True)


def test_a_level_line_has_a_smoothness_of_zero_that_agrees():
    result = balance(line("A30 B30"), BalanceSettings(stations=2))
    smooth = next(n for n in plan_numbers(result) if n.name.startswith("smoothness"))
    assert (smooth.value, smooth.check.startswith("Differs")) == (0, False)


def test_numbers_speak_in_the_unit_of_the_product():
    result = balance(WAGON, BalanceSettings(limit=50.4))
    cycle = next(
        n
        for n in plan_numbers(result, TimeWords(unit=TimeUnit.CENTIMINUTE))
        if n.key == "cycle-time"
    )
    assert (cycle.value, cycle.unit) == (pytest.approx(50 / 0.6), "1/100 min")


def test_the_window_of_a_task_holds_the_station_of_the_plan():
    at = {k: n for k, n in WAGON_NUMBERS.items() if k.endswith("est-station")}
    assert all(n.check.startswith("Agrees") for n in at.values())


def test_a_mean_time_over_the_mix_is_weighted():
    # By hand: 0.25 x 20 + 0.75 x 40 = 35.
    task = Task(
        number="10",
        model_times=(ModelTime(model="A", time_ms=20_000), ModelTime(model="B", time_ms=40_000)),
    )
    models = (Model(name="A", share=0.25), Model(name="B", share=0.75))
    product = Product(code="P", models=models, tasks=(task,))
    found = mean_time_number(product, task)
    assert found is not None
    assert (found.value, found.check.startswith("Agrees")) == (35, True)


def test_a_station_that_is_not_there_has_no_numbers():
    result = balance(WAGON, BalanceSettings(limit=50.4))
    assert station_numbers(result, 99, times_there(WAGON, result.stations)) == ()


def test_a_limit_shorter_than_a_task_has_no_bounds():
    assert station_bounds(WAGON, 49, SECONDS) == ()
