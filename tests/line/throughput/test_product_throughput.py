"""Output of the lines of a product by formula, the station that limits it, and what would help."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import pytest

from stationflow.balancing.assignment import assignment
from stationflow.balancing.work import line_work
from stationflow.line.throughput.buffer_values import BufferKind, BufferValue
from stationflow.line.throughput.product_throughput import throughput
from stationflow.line.throughput.stages import Stage
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Conveyor,
    Costs,
    Demand,
    Equipment,
    Line,
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
    TaskLimits,
)
from tests.line.throughput.markov_line import exact_line, in_series
from tests.small_products import A_MINUTE, ONE_SHIFT

HAND = Line(conveyor=Conveyor.HAND)


def a_product(times_s: Sequence[float], line: Line, **more: Any) -> Product:
    """Return a product of one line, a task for each station; 480 working minutes on five days."""
    tasks = tuple(
        Task(number=str(10 * at), time_ms=round(1000 * time)) for at, time in enumerate(times_s, 1)
    )
    given = {"code": "P", "calendar": ONE_SHIFT, "demand": A_MINUTE, "tasks": tasks}
    return Product(**{**given, "lines": (line,), **more})


def one_task_a_station(product: Product, limits: Mapping[str, float] = {}) -> ProductPlan:
    """Return plans with each task at a station of its own."""
    plans = []
    for line in product.lines:
        work, _ = line_work(product, line.name)
        assert work is not None
        stations = assignment(work, enumerate([(number,) for number in work.numbers], 1))
        asked = BalanceSettings(limit=limits.get(line.name))
        result = BalanceResult(line=line.name, asked=asked, assignment=stations)
        plans.append(LinePlan(line=line.name, result=result))
    return ProductPlan(lines=tuple(plans))


def scattering(product: Product, cv: float) -> Product:
    """Return a product whose times all scatter by this coefficient of variation."""
    tasks = (replace(t, time_sd_ms=round((t.time_ms or 0) * cv)) for t in product.tasks)
    return replace(product, tasks=tuple(tasks))


def worth(values: Sequence[BufferValue], kind: BufferKind, number: int) -> BufferValue:
    """Return what one more at a station is worth."""
    return next(v for v in values if v.kind == kind and v.number == number)


def test_a_paced_line_that_neither_stops_nor_scatters_gives_its_pace():
    product = a_product([50, 40], Line())
    # limit 60 s: 3600 / 60 units an hour
    assert throughput(product, one_task_a_station(product, {"main": 60})).output_per_h == 60


@pytest.mark.parametrize(
    # 60 units an hour are made; in 40 h 2,400 are 60 an hour, 2,880 are 72.
    ("quantity", "said"),
    [(2400, "60 are wanted: enough."), (2880, "72 are wanted: 12 too few.")],
)
def test_whether_the_lines_make_what_is_wanted_is_said(quantity: float, said: str):
    demand = replace(A_MINUTE, quantity=quantity, period=Period.WEEK)
    product = a_product([50, 40], Line(), demand=demand)
    answer = throughput(product, one_task_a_station(product, {"main": 60})).answer
    limiter = "Most likely the pace of line main limits the output."
    assert answer == f"By formula 60 good units an hour; {said} {limiter}"


def test_without_a_demand_it_cannot_be_said_whether_enough_is_made():
    product = a_product([50, 40], Line(), demand=Demand())
    made = throughput(product, one_task_a_station(product, {"main": 60}))
    assert (made.output_per_h, made.wanted_per_h, made.answer) == (60, None, "")


def test_what_is_lost_to_repositioning_is_part_of_the_pace():
    product = a_product([50, 40], Line(repositioning_ms=10_000))
    # 3600 / (50 + 10)
    assert throughput(product, one_task_a_station(product, {"main": 50})).output_per_h == 60


def test_a_stop_of_one_station_stops_a_paced_line():
    settings = (
        StationSetting(number=1, mtbf_min=100, mttr_min=5),
        StationSetting(number=2, equipment=("press",)),
    )
    press = Equipment(name="press", mtbf_min=50, mttr_min=2.5)
    glue = Machine(
        name="glue", kind=MachineKind.PRESS, task="30", mtbf_min=200, mttr_min=10, process_ms=1
    )
    product = a_product(
        [50, 50, 50],
        Line(stations=settings),
        equipment=(press,),
        machines=(glue,),
    )
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    # 60 / (1 + 0.05 + 0.05 + 0.05)
    assert found.output_per_h == pytest.approx(60 / 1.15)


def test_equipment_that_a_task_asks_for_stops_its_station():
    press = Equipment(name="press", mtbf_min=50, mttr_min=5)
    product = a_product([50, 50], Line(), equipment=(press,))
    task = replace(product.tasks[0], limits=TaskLimits(equipment=("press",)))
    product = replace(product, tasks=(task, product.tasks[1]))
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    assert found.output_per_h == pytest.approx(60 / 1.1)
    assert found.limiter == "station 1 of line main"


def test_an_indexed_line_waits_for_the_slowest_of_scattering_stations():
    product = scattering(a_product([60, 60], Line()), 0.1)
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    # E[max(0, X, Y)] of two standard normal numbers = (1 + 1/sqrt(2)) / sqrt(2 pi) = 0.681000;
    # a step of 60 + 6 x 0.681 = 64.086 s
    assert found.output_per_h == pytest.approx(3600 / 64.086, rel=1e-5)
    assert found.losses[0].name == "scatter"
    assert found.losses[0].share == pytest.approx(1 - 60 / 64.086, rel=1e-4)


def test_a_continuous_line_keeps_its_pace_whatever_scatters():
    product = scattering(a_product([60, 60], Line(conveyor=Conveyor.CONTINUOUS)), 0.1)
    assert throughput(product, one_task_a_station(product, {"main": 60})).output_per_h == 60


def test_two_unpaced_stations_with_a_place_give_the_exponential_pair():
    product = scattering(a_product([60, 60], replace(HAND, between_places=1)), 1)
    # Hunt (1956): (b + 2) / (b + 3) = 3/4 of 60 units an hour
    assert throughput(product, one_task_a_station(product)).output_per_h == pytest.approx(45)


def test_places_behind_a_station_count_more_than_those_of_the_line():
    settings = (StationSetting(number=1, places_after=2),)
    product = scattering(a_product([60, 60], replace(HAND, stations=settings)), 1)
    assert throughput(product, one_task_a_station(product)).output_per_h == pytest.approx(48)


def test_losses_lead_from_the_slowest_stage_to_the_output():
    settings = tuple(StationSetting(number=n, mtbf_min=60, mttr_min=2) for n in (1, 2, 3))
    product = scattering(a_product([60, 55, 58], replace(HAND, stations=settings)), 0.3)
    product = replace(product, demand=replace(product.demand, yield_share=0.97))
    found = throughput(product, one_task_a_station(product))
    assert found.ideal_per_h == pytest.approx(60)
    lost = sum(loss.per_h for loss in found.losses)
    assert found.ideal_per_h - lost == pytest.approx(found.output_per_h)
    assert all(loss.per_h > 0 for loss in found.losses if loss.name != "empty places")


def test_places_planned_empty_start_no_unit():
    product = a_product([50, 40], Line())
    gate = QualityStep(kind=QualityKind.INSPECTION, empty_share=0.05)
    product = replace(product, tasks=(product.tasks[0], replace(product.tasks[1], quality=gate)))
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    assert found.output_per_h == pytest.approx(57)


def test_two_lines_side_by_side_give_twice_as_much():
    product = a_product([50, 40], Line(copies=2))
    assert throughput(product, one_task_a_station(product, {"main": 60})).output_per_h == 120


def with_feeder(**feeder: Any) -> Product:
    """Return a main line of two stations, fed at the second one by a line of one station."""
    lines = (Line(), Line(name="board", feeds="main", join="20", **feeder))
    product = a_product([50, 50], Line(), lines=lines)
    return replace(product, tasks=(*product.tasks, Task(number="B1", line="board", time_ms=20_000)))


def test_a_feeder_of_two_for_one_sets_the_output_by_half_its_pace():
    product = with_feeder(quantity=2)
    found = throughput(product, one_task_a_station(product, {"main": 60, "board": 40}))
    # 3600 / (2 x 40)
    assert found.output_per_h == pytest.approx(45)
    assert found.limiter == "the pace of line board"


def test_two_copies_of_a_feeder_halve_its_time():
    product = with_feeder(quantity=2, copies=2)
    found = throughput(product, one_task_a_station(product, {"main": 60, "board": 40}))
    assert found.output_per_h == pytest.approx(60)


def test_a_feeder_without_places_stops_the_main_line_and_with_many_hardly():
    stops = (StationSetting(number=1, mtbf_min=100, mttr_min=5),)
    none, many = (with_feeder(stations=stops, buffer_places=places) for places in (0, 1000))
    both = [
        replace(product, lines=(Line(stations=stops), *product.lines[1:]))
        for product in (none, many)
    ]
    outputs = [
        throughput(each, one_task_a_station(each, {"main": 60, "board": 60})).output_per_h
        for each in both
    ]
    # 1 / (1 + 0.05 + 0.05); far apart each runs by itself, 1 / 1.05
    assert outputs[0] == pytest.approx(60 / 1.1)
    assert outputs[1] == pytest.approx(60 / 1.05, rel=0.002)


def test_a_feeder_without_a_plan_is_left_out():
    product = with_feeder(quantity=2)
    plan = ProductPlan(lines=one_task_a_station(product, {"main": 60}).lines[:1])
    assert throughput(product, plan).output_per_h == 60


def test_without_a_plan_of_the_main_line_there_is_no_output():
    product = a_product([50, 40], Line())
    assert throughput(product, ProductPlan()).output_per_h is None


def test_the_slowest_station_of_an_unpaced_line_limits_it():
    product = scattering(a_product([50, 60, 52, 55], HAND), 0.2)
    assert throughput(product, one_task_a_station(product)).limiter == "station 2 of line main"


@pytest.mark.parametrize(
    ("work", "spread", "limiter"),
    [
        ([50, 40], 0.0, "the pace of line main"),  # at 60 s each unit waits for the step
        ([50, 60], 0.0, "station 2 of line main"),
        ([50, 40], 0.2, "station 1 of line main"),  # often the step waits for it
    ],
)
def test_a_pace_that_leaves_every_station_time_is_the_limit(work, spread, limiter):
    line = Line(conveyor=Conveyor.INDEXED)
    product = scattering(a_product(work, line), spread)
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    assert found.limiter == limiter


def test_the_station_that_stops_most_limits_a_paced_line():
    settings = (
        StationSetting(number=1, mtbf_min=100, mttr_min=1),
        StationSetting(number=3, mtbf_min=100, mttr_min=5),
    )
    product = a_product([60, 50, 40], Line(stations=settings))
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    assert found.limiter == "station 3 of line main"


def test_the_best_place_for_one_more_buffer_place_is_where_the_exact_line_has_it():
    # The "bowl" of buffers: the middle of an equal line (Conway et al., 1988)
    product = scattering(a_product([60] * 4, HAND), 1)
    values = throughput(product, one_task_a_station(product)).values
    gains = [worth(values, BufferKind.PLACE, n).gain_per_h for n in (1, 2, 3)]
    line = in_series([Stage()] * 4)
    base = exact_line(line).rate
    exact = []
    for at in range(3):
        more = [0, 0, 0]
        more[at] = 1
        exact.append(60 * (exact_line(in_series(line, more)).rate - base))
    assert gains[1] > gains[0] == pytest.approx(gains[2], rel=1e-3)
    assert exact[1] > exact[0] == pytest.approx(exact[2])
    assert gains == pytest.approx(exact, rel=0.25)


def test_what_gains_most_is_named_first():
    product = scattering(a_product([60, 55, 58, 60], HAND), 0.4)
    values = throughput(product, one_task_a_station(product)).values
    assert [v.gain_per_h for v in values] == sorted((v.gain_per_h for v in values), reverse=True)
    assert {v.kind for v in values} >= {BufferKind.PLACE, BufferKind.SPARE_STATION}


def test_a_place_within_a_paced_line_lets_one_half_run_while_the_other_stops():
    settings = tuple(StationSetting(number=n, mtbf_min=100, mttr_min=2) for n in (1, 2))
    product = a_product([60, 60], Line(stations=settings))
    place = worth(
        throughput(product, one_task_a_station(product, {"main": 60})).values, BufferKind.PLACE, 1
    )
    # Two stages of one speed, stop rate 1/100 and repair 1/2 a minute, room 1: d = 0, so that both
    # work for (2/l + C (A+B)/A) / (2/l + 2A/(l m) + C (A+B)^2/(A B)), A = 0.02, B = 1
    works = (200 + 51) / (200 + 8 + 1.02**2 / 0.02)
    assert place.gain_per_h == pytest.approx(60 * works - 60 / 1.04, rel=1e-4)


def test_spare_equipment_stops_the_line_only_when_both_are_down():
    press = Equipment(name="press", mtbf_min=90, mttr_min=10, cost=5000)
    settings = (StationSetting(number=2, equipment=("press",)),)
    product = a_product([60, 60], Line(stations=settings), equipment=(press,))
    found = throughput(product, one_task_a_station(product, {"main": 60}))
    spare = worth(found.values, BufferKind.SPARE_EQUIPMENT, 2)
    # down 10 of 100 minutes: 54 units an hour; both down 1 % of the time: 59.4
    assert spare.gain_per_h == pytest.approx(5.4)
    assert spare.gain_per_cost == pytest.approx(5.4 / 5000)
    assert spare.what == "a spare press at station 2"


def test_the_gain_of_a_place_is_held_against_its_rent():
    line = replace(HAND, pitch_m=1.5)
    costs = Costs(space_cost_m2_week=4, line_width_m=3)
    product = scattering(a_product([60, 60], line, costs=costs), 1)
    found = throughput(product, one_task_a_station(product))
    place = worth(found.values, BufferKind.PLACE, 1)
    # 1.5 m x 3 m x 4 = 18 a week; from 40 to 45 units in each of 40 working hours
    assert place.cost == pytest.approx(18)
    assert place.gain_per_h == pytest.approx(5)
    assert place.gain_per_cost == pytest.approx(5 * 40 / 18)
    assert found.values_by_cost == (place,)


def test_a_further_copy_of_the_slowest_station_lets_the_next_one_limit():
    product = a_product([50, 80, 40], HAND)
    copy = worth(
        throughput(product, one_task_a_station(product)).values, BufferKind.SPARE_STATION, 2
    )
    # 3600 / 80 = 45 an hour becomes 3600 / 50 = 72
    assert copy.gain_per_h == pytest.approx(27)


def test_an_empty_place_in_a_hundred_costs_a_hundredth_of_the_output():
    product = a_product([50, 40], Line())
    values = throughput(product, one_task_a_station(product, {"main": 60})).values
    assert worth(values, BufferKind.EMPTY_PLACE, 0).gain_per_h == pytest.approx(-0.6)


def test_the_numbers_open_into_their_formulas():
    settings = (StationSetting(number=1, mtbf_min=100, mttr_min=5),)
    product = a_product([50, 40], Line(stations=settings))
    numbers = {
        number.key: number
        for number in throughput(product, one_task_a_station(product, {"main": 60})).numbers
    }
    assert numbers["output-of-the-slowest-stage"].worked == "3600 s / 60 s = 60 units/h"
    # 1 / 1.05
    unbuffered = numbers["share-of-time-running-without-buffers"]
    assert unbuffered.worked == "1 / (1 + 0.05) = 0.9524"
    assert "product of 1 / (1 + MTTR / MTBF) = 0.9524" in unbuffered.other
    assert numbers["output-by-formula"].worked.endswith("= 57.143 units/h")
