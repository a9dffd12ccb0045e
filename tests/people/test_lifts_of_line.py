"""What the lifting equation says of the tasks of a line."""

from dataclasses import replace

import pytest

from stationflow.model import (
    Calendar,
    Coupling,
    Lift,
    LiftDuration,
    LiftOutside,
    Line,
    Product,
    Shift,
    Task,
    TaskLimits,
)
from stationflow.people.lifts_of_line import highest_lifting, station_lifting, task_lift
from tests.printed_formulas import misses
from tests.small_plans import answer, station

# 12 kg, once a minute for up to 8 h, good hold: with both hands 350 mm away, from 750 to 1150 mm.
# Start: 23 x 25/35 x 1 x (.82 + 4.5/40) x 1 x .75 x 1 = 11.49 kg; 12 / 11.49 = 1.0445.
# End: the height 1 - .003 x 40 = .88, so 10.11 kg and 1.187.
LIFT = Lift(
    from_reach_mm=350,
    from_height_mm=750,
    to_reach_mm=350,
    to_height_mm=1150,
    coupling=Coupling.GOOD,
)
BOX = Task(number="40", time_ms=20_000, lift=LIFT, limits=TaskLimits(lift_kg=12))
MINUTE = 60.0


def lifted(lift: Lift = LIFT, kg: float | None = 12, cycle_s: float = MINUTE, **limits: int):
    task = replace(BOX, lift=lift, limits=TaskLimits(lift_kg=kg, **limits))
    return task_lift(Product(code="X", tasks=(task,)), task, cycle_s)


def values(found) -> dict[str, float]:
    return {n.key.removeprefix("task-40-"): n.value for n in found.numbers}


def test_limit_and_index_are_those_worked_out_by_hand():
    assert values(lifted()) == pytest.approx(
        {
            "lifts-a-minute": 1,
            "weight-limit-start": 11.49,
            "lifting-index-start": 1.0445,
            "weight-limit-end": 10.11,
            "lifting-index-end": 1.187,
        },
        abs=0.005,
    )


@pytest.mark.parametrize("at", range(5))
def test_every_number_of_a_lift_follows_from_the_values_put_in(at: int):
    assert misses(lifted().numbers[at]) == []


def test_an_index_above_1_is_told():
    finding = lifted().finding
    assert (finding.code, finding.where) == ("lifting-index-high", "Task 40")
    assert "1.19 at the end (12 kg, 10.1 kg recommended)" in finding.message


def test_an_index_of_1_or_less_is_not_told():
    assert lifted(kg=10).finding is None


def test_an_end_that_is_let_go_does_not_count():
    assert "lifting-index-end" not in values(lifted(replace(LIFT, let_go=True)))


def test_what_may_not_be_lifted_at_all_has_no_index():
    # hands 700 mm away: beyond 630 mm the multiplier is 0
    found = lifted(replace(LIFT, from_reach_mm=700))
    assert values(found)["lifting-index-start"] is None
    assert found.is_too_much
    assert "nothing should be lifted so, by its reach" in found.finding.message


@pytest.mark.parametrize("outside", LiftOutside)
def test_what_the_equation_was_not_made_for_gets_a_sentence_and_no_number(outside: LiftOutside):
    found = lifted(replace(LIFT, outside=outside))
    assert (found.finding.code, found.numbers) == ("lift-not-covered", ())
    assert outside in found.finding.message


@pytest.mark.parametrize(
    ("lift", "kg", "said"),
    [
        (replace(LIFT, to_reach_mm=None), 12, "no reach at the end"),
        (Lift(), None, "no mass lifted, no reach at the start"),
    ],
)
def test_what_is_missing_is_named(lift: Lift, kg: float | None, said: str):
    assert said in lifted(lift, kg).finding.message


def test_a_shift_of_more_than_8_hours_is_not_covered():
    calendar = Calendar(shifts=(Shift(name="long", start="06:00", end="18:00"),))
    found = task_lift(Product(code="X", tasks=(BOX,), calendar=calendar), BOX, MINUTE)
    assert "more than 8 h" in found.finding.message


def test_a_hold_that_is_not_stated_counts_as_poor():
    known = values(lifted(replace(LIFT, coupling=Coupling.POOR)))
    assert values(lifted(replace(LIFT, coupling=None))) == known


def test_an_hour_of_lifting_allows_more_than_a_shift():
    # .94 instead of .75 at one lift a minute: 11.49 x .94 / .75 = 14.40 kg
    found = values(lifted(replace(LIFT, duration=LiftDuration.SHORT)))
    assert found["weight-limit-start"] == pytest.approx(14.40, abs=0.01)


def test_a_slower_pace_allows_more():
    # every 5 minutes: .85 instead of .75
    found = values(lifted(cycle_s=300))
    assert found["weight-limit-start"] == pytest.approx(11.49 * 0.85 / 0.75, abs=0.01)


@pytest.mark.parametrize(
    ("lift", "lifts", "cycle_s"), [(None, 1, MINUTE), (LIFT, 0, MINUTE), (LIFT, 1, 0)]
)
def test_without_a_lift_or_a_pace_there_is_nothing_to_say(lift, lifts: int, cycle_s: float):
    assert lifted(lift, cycle_s=cycle_s, lifts=lifts) is None


def test_the_index_of_a_station_is_that_of_its_only_lift():
    product = Product(code="X", tasks=(BOX, Task(number="50")))
    (index,) = station_lifting(product, product.tasks, 3, MINUTE)
    assert (index.where, round(index.value, 3)) == ("station 3", 1.187)


def test_two_lifts_at_a_station_add_up_by_their_frequency():
    # both alike, at any rate 12 / (10.11 / .75) = .890: 1.187 + .890 x (1/.65 - 1/.75) = 1.370
    product = Product(code="X", tasks=(BOX, replace(BOX, number="50")))
    (index,) = station_lifting(product, product.tasks, 3, MINUTE)
    assert round(index.value, 2) == 1.37


def test_a_station_without_lifts_has_no_index():
    assert station_lifting(Product(code="X"), (Task(number="50"),), 3, MINUTE) == ()


def test_the_highest_index_of_a_plan_is_told_with_its_station():
    # At 60 s: alone 1.187, both together 1.370, as above.
    product = Product(
        code="X", lines=(Line(),), tasks=(BOX, replace(BOX, number="50"), Task(number="60"))
    )
    apart = answer(station(1, ["60"]), station(2, ["40"]), limit=MINUTE)
    both = answer(station(1, ["60"]), station(2, ["40", "50"]), limit=MINUTE)
    nothing = answer(station(1, ["60"]), limit=MINUTE)
    found = [highest_lifting(product, plan) for plan in (apart, both, nothing)]
    assert [told and (told[0], round(told[1], 2)) for told in found] == [(2, 1.19), (2, 1.37), None]
