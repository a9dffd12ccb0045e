"""Yields, the repair loop and its float; published values stand in `published_quality`."""

import random
from heapq import heappop, heappush

import pytest

from stationflow.line.quality.repair_loop import (
    bench_quantile,
    place_waiting,
    poisson_quantile,
    repair_loop,
    units_to_reach,
)
from stationflow.line.quality.yields import defects_per_unit, normalised_yield


def test_a_step_that_nothing_passes_leaves_nothing():
    assert normalised_yield([0.9, 0.0]) == 0
    assert defects_per_unit(0.0) is None


def test_the_repair_loop_is_that_of_units_sent_round_one_by_one():
    draw, tests, repairs, scrapped, units = random.Random(3), 0, 0, 0, 100_000
    for _ in range(units):
        tests, passes = tests + 1, 0.92
        while draw.random() >= passes:
            repairs += 1
            if draw.random() < 0.05:
                scrapped += 1
                break
            tests, passes = tests + 1, 0.85
    loop = repair_loop(0.92, 0.85, 0.05)
    got = (tests / units, repairs / units, scrapped / units)
    assert got == pytest.approx((loop.tests, loop.repairs, loop.scrapped), abs=0.003)


def test_a_repair_that_never_helps_has_no_exit():
    assert repair_loop(0.9, 0.0, 0.0) is None
    assert repair_loop(1.0, 0.0, 0.0).repairs == 0
    assert repair_loop(0.9, 0.0, 1.0).good == pytest.approx(0.9)


def test_few_benches_need_a_larger_float_than_the_poisson_law_says():
    # M/M/1 at load 0.9: P(N <= n) = 1 - 0.9^(n+1) >= 0.99 first at n = 43
    assert bench_quantile(0.9, 1, 0.99) == 43
    assert bench_quantile(5.0, 60, 0.99) == poisson_quantile(5.0, 0.99)
    assert bench_quantile(2.0, 2, 0.99) is None


def test_no_empty_place_is_left_over_without_scrap_and_without_planned_ones():
    assert place_waiting(0.08, 0.08) is None


@pytest.mark.parametrize(
    ("empty", "simulated"), [(0.0, 6.0), (0.01, 3.3), (0.02, 2.3), (0.05, 1.2)]
)
def test_fewer_wait_for_a_place_than_the_upper_estimate_says(empty, simulated):
    # pitch by pitch, repair 200 pitches on average, 400 000 pitches; the values are of a
    # simulation of the same law by others, its scatter at 0.0 about one unit
    draw, ends, waiting, total = random.Random(11), [], 0, 0
    for pitch in range(400_000):
        while ends and ends[0] <= pitch:
            heappop(ends)
            waiting += 1
        is_free = draw.random() < empty
        if not is_free and draw.random() < 0.08:
            is_free = True
            if draw.random() >= 0.05:
                heappush(ends, pitch + draw.expovariate(1 / 200))
        if is_free and waiting:
            waiting -= 1
        total += waiting
    mean = total / 400_000
    assert mean == pytest.approx(simulated, abs=1.5 if not empty else 0.35)
    assert mean < place_waiting(0.076 * (1 - empty), 1 - (1 - empty) * (1 - 0.08))


def test_units_off_the_line_are_the_running_maximum_of_those_in_repair():
    # pitch by pitch: a reject opens one place, which a waiting unit takes at once
    draw, in_repair, waiting, off, most = random.Random(1), [], 0, 0, 0
    for pitch in range(50_000):
        done = [end for end in in_repair if end <= pitch]
        in_repair = [end for end in in_repair if end > pitch]
        waiting += len(done)
        if draw.random() < 0.08:
            in_repair.append(pitch + 1 + draw.expovariate(1 / 200))
            if waiting:
                waiting -= 1
        most = max(most, len(in_repair))
        off = len(in_repair) + waiting
        assert off == most


def test_the_float_grows_as_fast_as_the_running_maximum_is_expected_to():
    # 30 runs of the same law (0.08 arrivals a pitch, 200 pitches in repair, all at once served):
    # mean of the largest number within 20 000 pitches
    most = []
    for seed in range(30):
        draw, clock, here, top = random.Random(seed), 0.0, 0, 0
        while True:
            rate = 0.08 + here / 200
            clock += draw.expovariate(rate)
            if clock > 20_000:
                break
            here += 1 if draw.random() < 0.08 / rate else -1
            top = max(top, here)
        most.append(top)
    reached, _ = units_to_reach(0.08, lambda k: k / 200, 20_000)
    assert sum(most) / 30 == pytest.approx(reached, abs=1.5)
    assert [units_to_reach(0.08, lambda k: k / 200, t)[0] for t in (1e4, 1e5, 1e6)] == [27, 32, 35]
