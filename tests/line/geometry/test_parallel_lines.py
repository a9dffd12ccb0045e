"""One fast line beside parallel ones. By hand."""

from dataclasses import replace

import pytest
from printed_formulas import misses
from small_products import LAMP

from stationflow.line.geometry.parallel_lines import ParallelOption, parallel_lines
from stationflow.model import Costs, Line, Product

COSTS = Costs(operator_cost_h=30, station_cost_week=100, space_cost_m2_week=5, line_width_m=3)
# 150 s of work: at 60 s three stations; at 120 s two on each of two lines (110 + 40 s); at 180 s
# one on each of three.
PRODUCT = replace(LAMP, lines=(Line(pitch_m=2.0),), costs=COSTS)


def options(product: Product = PRODUCT) -> list[ParallelOption]:
    return list(parallel_lines(product))


def test_parallel_lines_are_slower_each():
    assert [option.operating_takt_s for option in options()] == [60, 120, 180]


def test_each_number_of_lines_is_balanced_at_its_pace():
    assert [option.stations for option in options()] == [3, 4, 3]


def test_the_fewest_stations_there_can_be_are_told():
    assert [option.least_stations for option in options()] == [3, 4, 3]


def test_the_lengths_of_all_lines_are_added():
    assert [option.length_m for option in options()] == [6, 8, 6]


def test_a_week_costs_people_stations_and_space():
    # 3 x 30 x 40 h + 3 x 100 + 6 m x 3 m x 5; four stations: 4 800 + 400 + 120.
    assert [option.cost_week for option in options()] == [3990, 5320, 3990]


def test_of_parallel_lines_the_others_go_on_when_a_station_stops():
    left = [option.output_left for option in options()]
    assert left == [0, pytest.approx(1 / 2), pytest.approx(2 / 3)]


def test_without_costs_there_is_no_cost():
    assert [option.cost_week for option in options(replace(PRODUCT, costs=Costs()))] == [None] * 3


def test_without_a_pitch_there_is_no_length():
    assert [option.length_m for option in options(LAMP)] == [None] * 3


def test_a_task_that_is_too_long_for_the_fast_line_leaves_the_slow_ones():
    tasks = (replace(LAMP.tasks[0], time_ms=70_000), *LAMP.tasks[1:])
    held = [option.stations for option in options(replace(PRODUCT, tasks=tasks))]
    # 190 s of work: at 120 s two stations a line (70 + 25, 35 + 20 + 40), at 180 s two.
    assert held == [None, 4, 6]


def test_without_a_demand_there_is_no_plan():
    product = replace(PRODUCT, demand=replace(LAMP.demand, quantity=None))
    assert [option.operating_takt_s for option in options(product)] == [None] * 3


def test_every_text_gives_its_number():
    opened = [number for option in options() for number in option.numbers]
    assert [miss for number in opened for miss in misses(number)] == []
