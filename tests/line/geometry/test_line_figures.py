"""Places, speed, length, times, carriers, manning of a line. By hand unless a source is named."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from small_plans import answer, station
from small_products import ONE_SHIFT

from stationflow.line.geometry.line_figures import LineFigures
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    Conveyor,
    Demand,
    Line,
    LineForm,
    LinePlan,
    Machine,
    MachineKind,
    Period,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    StationSetting,
    Task,
)

# 480 minutes a day, 640 units: one in 45 s. Six stations with 40 s of work each.
DEMAND = Demand(quantity=640, period=Period.DAY)
TASKS = tuple(Task(number=f"{at}0", time_ms=40_000) for at in range(1, 7))


def figures(
    demand: Demand = DEMAND,
    tasks: tuple[Task, ...] = TASKS,
    machines: tuple[Machine, ...] = (),
    operators: int = 1,
    **facts: Any,
) -> LineFigures:
    product = Product(
        code="P",
        calendar=ONE_SHIFT,
        demand=demand,
        lines=(Line(**facts),),
        tasks=tasks,
        machines=machines,
    )
    held = (station(at, (f"{at}0",), 40, operators) for at in range(1, 7))
    plans = ProductPlan(lines=(LinePlan(line="main", result=answer(*held)),))
    (told,) = whole_line(product, plans).lines
    return told


def per_day(seconds: float) -> Demand:
    return Demand(quantity=28_800 / seconds, period=Period.DAY)


@pytest.mark.parametrize(
    ("pitch_m", "speed"), [(1.2, 1.6), (0.6, 0.8), (0.9, 1.2), (4 * 0.3048, 1.6256)]
)
def test_the_conveyor_moves_one_pitch_in_a_takt(pitch_m: float, speed: float):
    told = figures(conveyor=Conveyor.CONTINUOUS, pitch_m=pitch_m)
    assert told.speed_m_per_min == pytest.approx(speed)


def test_a_line_that_is_pushed_by_hand_has_no_speed():
    assert figures(conveyor=Conveyor.HAND, pitch_m=1.2).speed_m_per_min is None


def test_a_line_without_a_pitch_has_no_length():
    assert (figures().length_m, figures().speed_m_per_min) == (None, None)


def test_the_length_is_that_of_all_stations():
    assert figures(pitch_m=1.5).length_m == 9


def test_own_lengths_take_the_place_of_the_pitch():
    assert figures(pitch_m=1.5, stations=(StationSetting(number=3, length_m=4),)).length_m == 11.5


def test_a_long_station_of_an_indexed_line_is_whole_places():
    # 4 m are 2.67 pitches: three places beside five.
    told = figures(pitch_m=1.5, stations=(StationSetting(number=3, length_m=4),))
    assert told.places == 8


def test_a_long_station_of_a_moving_line_takes_the_time_of_its_length():
    setting = (StationSetting(number=3, length_m=4),)
    told = figures(conveyor=Conveyor.CONTINUOUS, pitch_m=1.5, stations=setting)
    assert told.time_on_line_s == pytest.approx(11.5 / 1.5 * 45)


def test_length_over_speed_confirms_the_time_on_a_moving_line():
    told = figures(conveyor=Conveyor.CONTINUOUS, pitch_m=1.5)
    checks = {number.key: number.check for number in told.numbers}
    assert checks["time-on-the-line"] == "Agrees: length / speed gives the same."


def test_a_folded_line_is_half_as_long():
    assert figures(pitch_m=1.5, form=LineForm.U_LINE).length_m == 4.5


def test_waiting_places_between_stations_count_on_an_unpaced_line():
    told = figures(conveyor=Conveyor.HAND, between_places=2)
    assert (told.places, told.time_on_line_s) == (6 + 5 * 2, 720)


def test_a_station_may_have_other_places_behind_it():
    settings = (StationSetting(number=3, places_after=0), StationSetting(number=6, places_after=1))
    assert figures(conveyor=Conveyor.HAND, between_places=2, stations=settings).places == 6 + 8 + 1


def test_waiting_places_do_not_count_on_a_paced_line():
    assert figures(between_places=2).places == 6


def test_the_first_unit_waits_nowhere_on_an_unpaced_line():
    told = figures(conveyor=Conveyor.HAND, between_places=2)
    assert told.schedule[-1].first_s == 240  # six times 40 s of work


def test_carriers_are_those_on_the_line_and_on_their_way_back():
    # 6 places and 100 s back: 8.22 takts.
    assert figures(carrier_return_ms=100_000).carriers_needed == 9


def test_each_copy_of_a_line_has_its_own_carriers():
    # Two lines in 90 s each: 6 + 100 / 90, rounded up.
    assert figures(carrier_return_ms=100_000, copies=2).carriers_needed == 16


def soaked(hours: float) -> tuple[Task, ...]:
    step = QualityStep(kind=QualityKind.SOAK, process_ms=round(hours * 3_600_000))
    return (*TASKS[:3], replace(TASKS[3], quality=step), *TASKS[4:])


@pytest.mark.parametrize(("hours", "takt", "units"), [(2, 45, 160), (4, 30, 480), (1, 60, 60)])
def test_units_in_soak_are_rate_times_time(hours: float, takt: int, units: int):
    """Little (1961), L = lambda W: carriers beyond the six places of the line."""
    told = figures(demand=per_day(takt), tasks=soaked(hours), carriers=9999)
    assert told.carriers_needed == 6 + units


def test_a_soldering_machine_at_a_station_keeps_the_unit_for_its_length():
    wave = Machine(
        name="Wave",
        kind=MachineKind.IN_LINE,
        task="30",
        length_m=2.4,
        speed_m_per_min=1.2,
        spacing_m=0.4,
    )
    told = figures(machines=(wave,), pitch_m=1.0)
    assert (told.through_s, told.length_m) == (6 * 45 + 120, 8.4)


def test_a_batch_at_a_station_is_gathered_and_taken_apart():
    # Four units of 45 s: three takts of waiting for each, and 100 s inside.
    washer = Machine(
        name="Washer", kind=MachineKind.BATCH, task="30", batch=4, process_ms=90_000, load_ms=10_000
    )
    assert figures(machines=(washer,)).through_s == 6 * 45 + 3 * 45 + 100


def test_the_manning_level_is_operators_a_station():
    assert figures(operators=2).manning_level == 2


def test_the_labour_efficiency_is_the_share_of_paid_time_that_is_work():
    # 6 x 40 s of work, 6 operators for 45 s.
    assert figures().labour_efficiency == pytest.approx(240 / 270)


def test_groovers_labour_efficiency():
    """Groover, problem: 120 min of work, 60 units an hour, 150 workers: 80.0 %.

    Here as 150 operators on 120 stations whose work adds up to 120 minutes: 48 s at each of 150.
    """
    tasks = tuple(Task(number=f"{at}", time_ms=60_000) for at in range(1, 121))
    product = Product(
        code="P", calendar=ONE_SHIFT, demand=Demand(quantity=60, period=Period.HOUR), tasks=tasks
    )
    held = (station(at, (f"{at}",), 60, 2 if at <= 30 else 1) for at in range(1, 121))
    plans = ProductPlan(lines=(LinePlan(line="main", result=answer(*held)),))
    (told,) = whole_line(product, plans).lines
    assert (told.labour_efficiency, told.manning_level) == (0.8, 1.25)


@given(
    st.sampled_from(Conveyor),
    st.integers(1, 4000).map(lambda mm: mm / 1000),
    st.integers(1, 200),
    st.integers(0, 3),
)
def test_units_on_the_line_are_rate_times_time(
    conveyor: Conveyor, pitch_m: float, takt: int, between: int
):
    """Little's law: places = time on the line / operating takt."""
    told = figures(per_day(takt), conveyor=conveyor, pitch_m=pitch_m, between_places=between)
    assert (told.time_on_line_s or 0) / (told.operating_takt_s or 1) == pytest.approx(told.places)


@given(st.sampled_from([1, 2, 4, 5, 8, 10, 16, 20, 32, 40]), st.integers(0, 200_000))
def test_all_times_and_the_pace_scaled_change_no_count(k: int, back_ms: int):
    one = figures(carrier_return_ms=back_ms, carriers=1)
    other = figures(per_day(45 * k), carrier_return_ms=back_ms * k, carriers=1)
    assert (one.carriers_needed, one.places) == (other.carriers_needed, other.places)
