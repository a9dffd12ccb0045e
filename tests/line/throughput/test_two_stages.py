"""Closed forms of two stages, held against published values and against chains solved whole."""

from itertools import product

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from stationflow.line.throughput.expected_longest import expected_longest, longest_of_normal
from stationflow.line.throughput.stages import (
    Stage,
    availability_by_operation,
    availability_by_time,
)
from stationflow.line.throughput.two_stages import (
    Stops,
    queue_rate,
    scattering_pair,
    stopping_pair,
)


@pytest.mark.parametrize("places", range(7))
def test_two_equal_exponential_stages_give_b_plus_2_of_b_plus_3(places: int):
    # Hunt (1956): (b + 2) / (b + 3)
    assert queue_rate(1, 1, places + 2) == pytest.approx((places + 2) / (places + 3))


@pytest.mark.parametrize(
    ("places", "rate"), [(0, 0.857143), (1, 0.933333), (2, 0.967742), (5, 0.996078)]
)
def test_two_unequal_exponential_stages_give_the_published_rate_from_either_end(
    places: int, rate: float
):
    # Hunt (1956), rates 1 and 2: r = 1/2, (1 - r^(b+2)) / (1 - r^(b+3)); reversed it is the same
    assert queue_rate(1, 0.5, places + 2) == pytest.approx(rate, abs=5e-7)
    assert queue_rate(0.5, 1, places + 2) == pytest.approx(rate, abs=5e-7)


def test_two_uniform_stages_give_one_in_the_mean_of_the_longer():
    # 1 / E[max], E[max] of two uniform times from 0 to 2 = 4/3
    assert 1 / expected_longest([lambda t: t / 2] * 2, 0, 2) == pytest.approx(0.75)


@pytest.mark.parametrize(("cv", "rate"), [(0.1, 0.94659), (0.2, 0.89860), (0.3, 0.85524)])
def test_two_normal_stages_give_one_in_1_plus_cv_over_root_pi(cv: float, rate: float):
    # 1 / (1 + c / sqrt(pi)): E[max] of two standard normal numbers is 1 / sqrt(pi)
    assert 1 / longest_of_normal([1, 1], [cv, cv]) == pytest.approx(rate, abs=5e-6)


@pytest.mark.parametrize(
    ("stations", "longest"),
    [(2, 0.56419), (3, 0.84628), (5, 1.16296), (10, 1.53875), (20, 1.86748), (30, 2.04276)],
)
def test_the_longest_of_normal_numbers_is_as_in_the_tables(stations: int, longest: float):
    # expected largest of n standard normal numbers: Teichroew (1956), Annals of Mathematical
    # Statistics 27, 410-426
    assert longest_of_normal([0] * stations, [1] * stations) == pytest.approx(longest, abs=5e-6)


def test_times_that_do_not_scatter_hold_the_longest_from_below():
    # Of 10 and 7 +- 0.5 the longest is 10, six standard deviations above the other.
    assert longest_of_normal([10, 7], [0, 0.5]) == pytest.approx(10)


def test_twenty_stages_without_buffers_run_by_both_kinds_of_stops_as_published():
    # Buzacott (1967): 1 / (1 + 20 x 5/500) and (1 / 1.01)^20
    stages = [Stage(mtbf=500, mttr=5)] * 20
    assert availability_by_operation(stages) == pytest.approx(0.83333, abs=5e-6)
    assert availability_by_time(stages) == pytest.approx(0.81954, abs=5e-6)


SMALL = st.floats(0.005, 0.3)


@given(st.tuples(SMALL, SMALL), st.tuples(SMALL, SMALL), st.integers(1, 6))
def test_two_stages_of_one_cycle_that_stop_by_chance_give_what_their_chain_gives(
    stop: tuple[float, float], repair: tuple[float, float], places: int
):
    assert geometric_pair(stop, repair, places) == pytest.approx(
        _chain(stop, repair, places + 2), rel=1e-8
    )


def geometric_pair(stop: tuple[float, float], repair: tuple[float, float], places: int) -> float:
    """Return the output of two stages of one fixed cycle that stop and start by chance.

    Buzacott, J. A. (1967). "Automatic transfer lines with buffer stocks". International Journal of
    Production Research 5, 183-200. Gershwin, S. B. and Schick, I. C. (1983). "Modeling and analysis
    of three-stage transfer lines with unreliable machines and finite buffers". Operations Research
    31, 354-380.

    `stop`, `repair`: chance of each stage that it stops in a cycle in which it works, and that a
    stopped one works again; `places` of the buffer, 1 or more. With n of N = places + 2 units
    behind the first stage, and stages up (1) or down (0), p(n, a1, a2) = X^n Y1^a1 Y2^a2 holds
    inside; at the ends the balance of each state gives the rest.
    """
    (p1, p2), (r1, r2) = stop, repair
    both_r, both_p = r1 + r2 - r1 * r2, p1 + p2 - p1 * p2
    up1, up2 = both_r - r1 * p2, both_r - r2 * p1
    y1, y2 = up1 / (both_p - p1 * r2), up2 / (both_p - p2 * r1)
    x = y2 / y1
    last = x ** (places + 1)
    starved, blocked = x * up1 / (r1 * p2), last * up2 / (p1 * r2)
    at_low = x / p2 * up1 / (both_p - p2 * r1)  # one unit left, both up
    at_high = last / p1 * up2 / (both_p - p1 * r2)  # one place left, both up
    inner = sum(x**n for n in range(2, places + 1))
    inside = x + x * y2 + at_low + inner * (1 + y1) * (1 + y2) + last + last * y1 + at_high
    works = x * y2 + at_low + inner * y2 * (1 + y1) + at_high
    return works / (starved + inside + blocked)


def _chain(stop: tuple[float, float], repair: tuple[float, float], room: int) -> float:
    """Return the same from all states: stages change first, then the buffer; Gershwin (1994)."""
    states = list(product(range(room + 1), (0, 1), (0, 1)))
    index = {state: at for at, state in enumerate(states)}
    chance = np.zeros((len(states), len(states)))
    gives = np.zeros(len(states))
    for (level, *up), at in index.items():
        can_work = (level < room, level > 0)
        to = [
            {1: repair[i], 0: 1 - repair[i]}
            if not up[i]
            else ({1: 1 - stop[i], 0: stop[i]} if can_work[i] else {1: 1.0})
            for i in (0, 1)
        ]
        for (one, p), (two, q) in product(to[0].items(), to[1].items()):
            more, less = one and can_work[0], two and can_work[1]
            chance[at, index[level + more - less, one, two]] += p * q
            gives[at] += p * q * less
    rows = np.vstack([chance.T - np.eye(len(states)), np.ones(len(states))])
    right = np.r_[np.zeros(len(states)), 1]
    return float(np.linalg.lstsq(rows, right, rcond=None)[0] @ gives)


def test_two_stopping_stages_without_a_buffer_are_a_line_without_buffers():
    # 1 / (1 + 0.1 + 0.25), Buzacott (1967)
    assert stopping_pair(Stops(0.01, 0.1), Stops(0.02, 0.08), 0).works == pytest.approx(1 / 1.35)


def test_two_stopping_stages_with_a_large_buffer_give_what_the_worse_gives():
    # 1 / (1 + 0.02/0.08)
    assert stopping_pair(Stops(0.01, 0.1), Stops(0.02, 0.08), 2000).works == pytest.approx(0.8)


def test_two_stopping_stages_work_wait_and_stop_all_of_the_time():
    pair = stopping_pair(Stops(0.01, 0.1), Stops(0.02, 0.08), 7)
    assert pair.works * 1.1 + pair.blocked == pytest.approx(1)
    assert pair.works * 1.25 + pair.starved == pytest.approx(1)


@given(SMALL, SMALL, SMALL, SMALL, st.floats(0, 50))
def test_two_stopping_stages_give_the_same_from_either_end(
    l1: float, l2: float, m1: float, m2: float, room: float
):
    one, other = Stops(l1, m1), Stops(l2, m2)
    back = stopping_pair(other, one, room)
    assert stopping_pair(one, other, room).works == pytest.approx(back.works)


def test_short_cycles_that_stop_by_chance_are_nearly_a_flow_that_stops():
    # A thousandth of the cycle: the chain tends to the flow with the same buffer in time.
    flow = stopping_pair(Stops(0.01, 0.1), Stops(0.02, 0.08), 10).works
    fine = geometric_pair((0.0001, 0.0002), (0.001, 0.0008), 1000)
    assert fine == pytest.approx(flow, rel=2e-3)


@pytest.mark.parametrize("places", [0, 1, 4])
def test_a_pair_with_any_scatter_is_the_exponential_pair_where_it_scatters_so(places: int):
    assert scattering_pair(1, 1, 0.5, 1, places) == pytest.approx(queue_rate(1, 0.5, places + 2))


def test_a_pair_without_scatter_gives_what_the_slower_gives():
    assert scattering_pair(2, 0, 4, 0) == 0.25


@pytest.mark.parametrize("cv", [0.1, 0.2, 0.3])
def test_a_pair_with_some_scatter_is_less_than_1_percent_off_that_of_normal_times(cv: float):
    exact = 1 / longest_of_normal([1, 1], [cv, cv])
    assert scattering_pair(1, cv, 1, cv) == pytest.approx(exact, rel=0.006)
