"""Queues against published values; exact fractions where the source prints one."""

import random
from fractions import Fraction
from heapq import heappop, heappush

import pytest

from stationflow.line.queues import (
    best_case,
    erlang_b,
    erlang_c,
    finite_population,
    finite_room,
    general_queue,
    kingman_wait,
    markov_queue,
    practical_worst_case,
    worst_case,
)

HEIZER = "Heizer and Render, Operations Management, waiting-line module"
EXACT = "Erlang (1917), formula in exact fractions"


def near(published: float, digits: int) -> object:
    """Half a unit of the last printed digit."""
    return pytest.approx(published, abs=0.5000001 * 10**-digits)


# lambda, mu, servers, then what the source prints with its digits
PUBLISHED_QUEUES = [
    (HEIZER, 2, 3, 1, "load", 0.6667, 4),
    (HEIZER, 2, 3, 1, "empty_share", 0.3333, 4),
    (HEIZER, 2, 3, 1, "waiting", 1.3333, 4),
    (HEIZER, 2, 3, 1, "present", 2, 9),
    (HEIZER, 2, 3, 1, "wait", 0.6667, 4),
    (HEIZER, 2, 3, 1, "time", 1, 9),
    (HEIZER, 2, 3, 2, "empty_share", 0.5, 9),
    (HEIZER, 2, 3, 2, "wait_share", 0.1667, 4),
    (HEIZER, 2, 3, 2, "waiting", 0.08333, 5),
    (HEIZER, 2, 3, 2, "present", 0.75, 9),
    (HEIZER, 2, 3, 2, "wait", 0.041667, 6),
    (HEIZER, 2, 3, 2, "time", 0.375, 9),
    ("course note: '1.93', '39 minutes'", 3, 2, 2, "waiting", 1.93, 2),
    ("course note, M/M/1 near saturation", 49, 55, 1, "waiting", 7.2758, 4),
    ("course note, M/M/1 near saturation", 49, 55, 1, "wait", 0.1485, 4),
]


@pytest.mark.parametrize(("source", "arrivals", "service", "servers", "what", "value", "digits"),
                         PUBLISHED_QUEUES)  # fmt: skip
def test_a_queue_is_as_published(source, arrivals, service, servers, what, value, digits):
    queue = markov_queue(float(arrivals), float(service), servers)
    assert getattr(queue, what) == near(value, digits), source


def test_two_servers_at_three_quarters_wait_38_57_minutes():
    # the course note prints 39 minutes; C = 9/14, Lq = 27/14, Wq = 9/14 h = 38.57 min
    queue = markov_queue(Fraction(3), Fraction(2), 2)
    assert (queue.wait_share, queue.wait) == (Fraction(9, 14), Fraction(9, 14))


ERLANG_C = {
    (1, "0.5"): Fraction(1, 2),
    (2, "1"): Fraction(1, 3),
    (3, "2"): Fraction(4, 9),
    (4, "3"): Fraction(27, 53),
    (5, "4"): Fraction(128, 231),
    (3, "2.5"): Fraction(125, 178),
    (8, "6"): Fraction(5832, 16337),
    (2, "1.9"): Fraction(361, 390),
    (10, "6"): Fraction(1458, 14393),  # a text prints "about 0.10"
}


@pytest.mark.parametrize(("servers", "offered"), ERLANG_C)
def test_erlang_c_is_the_exact_fraction(servers, offered):
    assert erlang_c(servers, Fraction(offered)) == ERLANG_C[servers, offered], EXACT


@pytest.mark.parametrize(("servers", "offered", "share"), [(10, 8.0, 0.40918), (20, 18.0, 0.55077)])
def test_erlang_c_of_many_servers_loses_no_digits(servers, offered, share):
    assert erlang_c(servers, offered) == near(share, 5)


@pytest.mark.parametrize(
    ("servers", "offered", "waiting"),
    [
        (1, 0.5, 0.5),
        (2, 1, 0.33333),
        (3, 2, 0.88889),
        (4, 3, 1.52830),
        (5, 4, 2.21645),
        (3, 2.5, 3.51124),
        (8, 6, 1.07094),
        (10, 8, 1.63672),
        (2, 1.9, 17.58718),
        (20, 18, 4.95692),
    ],
)
def test_so_many_wait_by_erlang_c(servers, offered, waiting):
    assert markov_queue(float(offered), 1.0, servers).waiting == near(waiting, 5)


@pytest.mark.parametrize(
    ("servers", "offered", "share"),
    [(1, 0.5, 0.33333), (2, 1, 0.2), (3, 2, 0.21053), (4, 3, 0.20611), (5, 4, 0.19907),
     (10, 8, 0.12166)],
)  # fmt: skip
def test_so_many_are_lost_by_erlang_b(servers, offered, share):
    assert erlang_b(servers, float(offered)) == near(share, 5)


def test_a_constant_service_time_halves_the_queue():
    # Pollaczek and Khinchine: half of the 4/3 of M/M/1
    assert general_queue(Fraction(2), Fraction(1, 3), service_scatter=Fraction(0)).waiting == (
        Fraction(2, 3)
    )


@pytest.mark.parametrize(("room", "lost"), [(1, 0.47368), (5, 0.12602), (10, 0.05081)])
def test_finite_room_loses_so_many(room, lost):
    # (1 - r) r^K / (1 - r^(K+1)) at r = 0.9 (Gross and Harris): K 5 is 0.059049 / 0.468559
    assert finite_room(0.9, 1.0, 1, room).lost_share == near(lost, 5)


def test_five_machines_and_one_repairer():
    # machine-repair model, lambda / mu = 0.1, worked out in exact fractions
    queue = finite_population(5, 1, 0.1, 1.0)
    got = (queue.empty_share, queue.present, queue.waiting, 5 - queue.present)
    assert got == (near(0.56395, 5), near(0.63952, 5), near(0.20347, 5), near(4.36048, 5))


@pytest.mark.parametrize(("scatter", "wait"), [(1.0, 9), (0.5, 4.5)])
def test_kingman_at_nine_tenths(scatter, wait):
    # Hopp and Spearman, VUT equation: V x 0.9 / 0.1 x 1
    assert kingman_wait(0.9, 1.0, scatter, scatter) == pytest.approx(wait)


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


@pytest.mark.parametrize(
    ("units", "output"), [(1, 0.125), (2, 0.2), (4, 0.2857), (8, 0.3636), (12, 0.4)]
)
def test_the_practical_worst_case_of_the_first_penny_line(units, output):
    # Hopp and Spearman, Factory Physics: four stations of 2 h, rb 0.5, T0 8 h
    assert practical_worst_case(0.5, 8.0, units).output == near(output, 4)


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
