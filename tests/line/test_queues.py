"""What holds for every queue; published values stand in `published_quality`."""

import random
from fractions import Fraction
from heapq import heappop, heappush

import pytest

from stationflow.line.queues import (
    best_case,
    finite_room,
    general_queue,
    kingman_wait,
    markov_queue,
    practical_worst_case,
    worst_case,
)


def near(published: float, digits: int) -> object:
    """Half a unit of the last printed digit."""
    return pytest.approx(published, abs=0.5000001 * 10**-digits)


@pytest.mark.parametrize(
    "queue",
    [
        markov_queue(3.0, 1.0, 3),
        general_queue(2.0, 1.0, service_scatter=0.0),
        general_queue(Fraction(1), Fraction(1)),
    ],
)
def test_a_load_of_one_or_more_has_no_numbers_but_the_load(queue):
    assert not queue.is_stable
    assert (queue.wait, queue.time, queue.present, queue.wait_longer_share(1)) == (None,) * 4
    assert kingman_wait(1.0, 1.0, 1.0, 1.0) is None


def test_units_that_come_in_step_wait_half_as_long_as_those_at_random():
    # Allen and Cunneen: (0 + 1) / 2 of M/M/2
    in_step = general_queue(3.0, 0.5, 2, arrival_scatter=0.0)
    assert in_step.wait == pytest.approx(markov_queue(3.0, 2.0, 2).wait / 2)


def test_little_holds_for_every_kind_of_queue():
    for queue, entering in [
        (markov_queue(3.0, 2.0, 2), 3.0),
        (general_queue(3.0, 0.5, 2, service_scatter=0.2), 3.0),
        (finite_room(3.0, 1.0, 2, 6), 3.0 * (1 - finite_room(3.0, 1.0, 2, 6).lost_share)),
    ]:
        assert queue.present == pytest.approx(entering * queue.time)


def test_waits_longer_than_a_time_by_the_exponential_law():
    # M/M/1 at 2 and 3: P(wait > t) = 2/3 e^-t, here e^-1 x 2/3 = 0.2453
    assert markov_queue(2.0, 3.0).wait_longer_share(1.0) == near(0.2453, 4)


def test_a_simulated_queue_of_two_servers_waits_as_computed():
    # an event loop of its own, 200 000 units: 38.57 min within 4 %
    draw = random.Random(5)
    free, clock, waited = [0.0, 0.0], 0.0, 0.0
    for _ in range(200_000):
        clock += draw.expovariate(3.0)
        start = max(clock, heappop(free))
        waited += start - clock
        heappush(free, start + draw.expovariate(2.0))
    assert waited / 200_000 == pytest.approx(markov_queue(3.0, 2.0, 2).wait, rel=0.04)


@pytest.mark.parametrize("units", [1, 2, 4, 8, 12])
def test_the_practical_worst_case_is_that_of_exponential_stations(units):
    # exact mean-value analysis of four closed exponential stations of 2 h
    lengths, output = [0.0] * 4, 0.0
    for present in range(1, units + 1):
        times = [2 * (1 + length) for length in lengths]
        output = present / sum(times)
        lengths = [output * time for time in times]
    assert practical_worst_case(0.5, 8.0, units).output == pytest.approx(output)


def test_best_and_worst_case_of_the_first_penny_line():
    # Hopp and Spearman: below W0 = 4 units nobody waits in the best case; above, w / rb
    assert [best_case(0.5, 8.0, w).time for w in (2, 4, 8)] == [8, 8, 16]
    assert [best_case(0.5, 8.0, w).output for w in (2, 4, 8)] == [0.25, 0.5, 0.5]
    assert (worst_case(8.0, 4).time, worst_case(8.0, 4).output) == (32, 0.125)


def test_the_second_penny_line_is_held_by_its_two_machines_of_five_hours():
    # Hopp and Spearman: 1 of 2 h, 2 of 5 h, 6 of 10 h, 2 of 3 h: rb 0.4 an hour, T0 20 h, W0 8
    rate = min(1 / 2, 2 / 5, 6 / 10, 2 / 3)
    raw = 2.0 + 5 + 10 + 3
    assert (rate, raw, rate * raw) == (0.4, 20, 8)
    assert best_case(rate, raw, 8).output == pytest.approx(0.4)
