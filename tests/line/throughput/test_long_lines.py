"""Exact small lines against published values; decompositions against exact and simulated lines."""

import random
from dataclasses import replace

import pytest

from stationflow.line.throughput.long_lines import line_output
from stationflow.line.throughput.stages import Stage
from stationflow.line.throughput.two_stages import queue_rate
from tests.line.throughput.markov_line import exact_line, in_series
from tests.line.throughput.published_lines_of_stages import (
    GAMMA,
    GAMMA_PLACES,
    HILLIER_BOLING,
    HUNT,
)

WITH_PLACES = [
    (stages, places, rate)
    for stages, rates in HILLIER_BOLING.items()
    for places, rate in enumerate(rates)
]
SCATTERED = [
    (cv, stages, places, rate)
    for cv, rows in GAMMA.items()
    for stages, rates in rows.items()
    for places, rate in zip(GAMMA_PLACES, rates, strict=True)
]


def alike(stages: int, places: int = 0, cv: float = 1.0, **stops: float) -> tuple[Stage, ...]:
    """Return equal stages with as many places between all of them."""
    return in_series([Stage(cv=cv, **stops)] * stages, [places] * (stages - 1))


@pytest.mark.parametrize("stages", HUNT)
def test_a_line_without_places_gives_the_rate_of_hunt_from_as_many_states(stages: int):
    rate, states = HUNT[stages]
    found = exact_line(alike(stages))
    assert (found.rate, found.states) == (pytest.approx(rate, abs=5e-7), states)


def test_four_stages_give_hunts_fraction_to_the_last_digit():
    assert exact_line(alike(4)).rate == pytest.approx(4024 / 7817, rel=1e-12)


def test_three_stages_with_a_place_give_their_fraction_to_the_last_digit():
    # 8529/12721, the exact value behind 0.6705 of Hillier and Boling (1967)
    assert exact_line(alike(3, 1)).rate == pytest.approx(8529 / 12721, rel=1e-12)


@pytest.mark.parametrize(("stages", "places", "rate"), WITH_PLACES)
def test_a_line_with_places_gives_the_rate_of_hillier_and_boling(
    stages: int, places: int, rate: float
):
    assert exact_line(alike(stages, places)).rate == pytest.approx(rate, abs=5.1e-5)


def test_an_unequal_line_gives_the_same_from_its_end():
    # Reversibility: Yamazaki and Sakasegawa (1975), Annals of the Institute of Statistical
    # Mathematics 27, 53-57
    times, places = (1.0, 0.6, 0.9, 0.7), (0, 2, 1)
    along = in_series([Stage(time=time) for time in times], places)
    back = in_series([Stage(time=time) for time in reversed(times)], places[::-1])
    assert exact_line(along).rate == pytest.approx(exact_line(back).rate, rel=1e-11)


def test_a_stage_alone_that_stops_gives_its_availability():
    assert exact_line([Stage(time=0.5, mtbf=20, mttr=5)]).rate == pytest.approx(2 / 1.25)


def test_stages_that_stop_at_any_time_give_less_than_those_that_stop_while_they_work():
    stages = alike(3, 1, mtbf=20, mttr=5)
    at_any_time = exact_line(stages, stops_at_any_time=True).rate
    assert at_any_time < exact_line(stages).rate


def test_a_pair_taken_apart_is_the_pair_itself():
    pair = in_series([Stage(cv=1), Stage(time=0.5, cv=1)], [2])
    assert line_output(pair).without_stops == pytest.approx(queue_rate(1, 0.5, 4))


@pytest.mark.parametrize(("stages", "places", "rate"), WITH_PLACES)
def test_an_exponential_line_taken_apart_is_at_most_1_percent_off(
    stages: int, places: int, rate: float
):
    assert line_output(alike(stages, places)).without_stops == pytest.approx(rate, rel=0.01)


@pytest.mark.parametrize(("cv", "stages", "places", "rate"), SCATTERED)
def test_a_line_with_gamma_times_taken_apart_is_at_most_2_and_a_half_percent_off(
    cv: float, stages: int, places: int, rate: float
):
    assert line_output(alike(stages, places, cv)).without_stops == pytest.approx(rate, rel=0.025)


def test_unequal_exponential_lines_taken_apart_are_at_most_4_percent_off():
    chosen, errors = random.Random(1), []
    for _ in range(25):
        size = chosen.choice((3, 4, 5))
        stages = [Stage(time=chosen.uniform(0.5, 1), cv=1) for _ in range(size)]
        line = in_series(stages, [chosen.choice((0, 1, 2, 3)) for _ in range(size - 1)])
        errors.append(abs(line_output(line).without_stops / exact_line(line).rate - 1))
    assert max(errors) < 0.04
    assert sum(errors) / len(errors) < 0.012


def test_exponential_lines_that_stop_taken_apart_are_1_percent_off_in_the_mean():
    chosen, errors = random.Random(1), []
    for _ in range(20):
        size = chosen.choice((2, 3, 4))
        stages = [
            Stage(cv=1, mtbf=chosen.choice((20, 50, 100, 500)), mttr=chosen.choice((1, 5, 10)))
            for _ in range(size)
        ]
        line = in_series(stages, [chosen.choice((0, 1, 2, 4)) for _ in range(size - 1)])
        errors.append(abs(line_output(line).output / exact_line(line).rate - 1))
    assert max(errors) < 0.08  # where a stage stops for a third of its time
    assert sum(errors) / len(errors) < 0.012


def test_a_line_that_stops_without_places_runs_as_published():
    # Buzacott (1967): 1 / (1 + 20 x 5/500)
    assert line_output(alike(20, cv=0, mtbf=500, mttr=5)).running == pytest.approx(1 / 1.2)


def test_the_first_few_places_win_most():
    # Conway et al. (1988): of what places can win, three of them win more than four fifths
    none, three = (line_output(alike(10, places, 0.3)).without_stops for places in (0, 3))
    assert three - none > 0.8 * (1 - none)


def test_two_feeders_of_one_stage_are_a_line_where_one_of_them_never_waits():
    # A feeder without stops and scatter, and twice as fast, takes nothing away.
    stages = (
        Stage(cv=0.3, mtbf=100, mttr=5, feeds=2, places=2),
        Stage(time=0.5, feeds=2, places=2),
        Stage(cv=0.3, mtbf=100, mttr=5),
    )
    assert line_output(stages).output == pytest.approx(
        line_output(in_series([stages[0]] * 2, [2])).output
    )


def test_feeders_without_buffers_stop_the_line_like_stations_of_it():
    # 1 / (1 + 0.05 + 0.02 + 0.01)
    stages = (
        Stage(mtbf=100, mttr=5, feeds=2),
        Stage(mtbf=100, mttr=2, feeds=2),
        Stage(mtbf=100, mttr=1),
    )
    assert line_output(stages).running == pytest.approx(1 / 1.08)


def test_the_order_of_a_line_does_not_matter_from_its_end():
    times, places = (1.0, 0.6, 0.9, 0.7), (0, 2, 1)
    stages = [Stage(time=t, cv=t / 2, mtbf=90 * t, mttr=4) for t in times]
    back = in_series(stages[::-1], places[::-1])
    along = line_output(in_series(stages, places)).output
    assert along == pytest.approx(line_output(back).output, rel=1e-6)


def test_the_rounds_may_begin_from_a_line_that_differs_little():
    stages = alike(8, 2, 0.3, mtbf=200, mttr=4)
    more = (*stages[:3], replace(stages[3], places=3), *stages[4:])
    begun = line_output(more, line_output(stages)).output
    assert begun == pytest.approx(line_output(more).output, rel=1e-6)
