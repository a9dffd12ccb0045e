"""Yields and the repair loop against published and recomputed values."""

import random
from heapq import heappop, heappush

import pytest

from stationflow.line.quality.repair_loop import (
    bench_quantile,
    place_waiting,
    poisson_quantile,
    repair_loop,
    units_to_reach,
    vacancy,
)
from stationflow.line.quality.yields import (
    defects_per_unit,
    normalised_yield,
    rolled_yield,
    throughput_yield,
)
from stationflow.line.queues import markov_queue


@pytest.mark.parametrize(
    ("dpu", "share"), [(0.10, 0.904834), (0.05, 0.951229), (0.008, 0.992032), (0.14, 0.8694)]
)
def test_the_throughput_yield_follows_from_the_defects_per_unit(dpu, share):
    # Harry (2004) prints .904834 .951229 .992032 (the first rounds to .904837); 7 defects in 50
    # units: e^-.14 = .8694
    assert throughput_yield(dpu) == pytest.approx(share, abs=5e-6 if dpu != 0.14 else 5e-5)


def test_the_rolled_yield_is_that_of_all_defects_together():
    # Harry (2004): RTY .853850 = e^-.158
    steps = [throughput_yield(dpu) for dpu in (0.10, 0.05, 0.008)]
    assert rolled_yield(steps) == pytest.approx(throughput_yield(0.158))
    assert rolled_yield(steps) == pytest.approx(0.853850, abs=5e-6)


@pytest.mark.parametrize(
    ("shares", "rolled"),
    [
        ([0.87, 0.93, 0.95], 0.768645),
        ([0.995, 0.989, 0.987, 0.993, 0.979, 0.940], 0.88756),
        ([0.99] * 10, 0.90438),
        ([0.99] * 50, 0.60501),
        ([0.99] * 100, 0.36603),
        ([0.995] * 50, 0.77831),
        ([0.999] * 100, 0.90479),
    ],
)
def test_the_rolled_yield_is_the_product_of_the_steps(shares, rolled):
    assert rolled_yield(shares) == pytest.approx(rolled, abs=5.1e-6)


def test_six_steps_have_this_normalised_yield_and_defects():
    # exercise: normalised .98032, normalised DPU .01988, total DPU .11928
    steps = [0.995, 0.989, 0.987, 0.993, 0.979, 0.940]
    each = normalised_yield(steps)
    assert each == pytest.approx(0.98032, abs=5e-6)
    assert defects_per_unit(each) == pytest.approx(0.01988, abs=5e-6)
    assert defects_per_unit(rolled_yield(steps)) == pytest.approx(0.11928, abs=5e-6)


def test_a_step_that_nothing_passes_leaves_nothing():
    assert (rolled_yield([0.9, 0.0]), normalised_yield([0.9, 0.0])) == (0, 0)
    assert defects_per_unit(0.0) is None


def test_the_repair_loop_of_92_and_85_percent_with_5_percent_scrap():
    # r = .08 / (1 - .15 x .95) = .0932945; v = 1 + .95 r; scrap .05 r
    loop = repair_loop(0.92, 0.85, 0.05)
    got = (loop.repairs, loop.tests, loop.scrapped, loop.good, 1 / loop.good)
    assert got == pytest.approx((0.0932945, 1.0886297, 0.0046647, 0.9953353, 1.0046866), abs=5e-8)


def test_the_repair_loop_without_scrap_gives_back_every_unit():
    # .05 / (1 - .05) = .0526316
    loop = repair_loop(0.95, 0.95, 0.0)
    assert (loop.repairs, loop.tests) == pytest.approx((0.0526316, 1.0526316), abs=5e-8)
    assert loop.good == 1


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


def test_benches_for_eighty_units_an_hour_with_twelve_minutes_of_repair():
    # the loop above: 7.4636 rejects an hour; M/M/c: 2 benches load .7464, C .6380, 15.09 min,
    # 3.37 units; 3: .4976 .2342 1.86 1.725; 4: .3732 .0735 .35 1.536
    rejects = 80 * repair_loop(0.92, 0.85, 0.05).repairs
    assert rejects == pytest.approx(7.4636, abs=5e-5)
    got = []
    for benches in (2, 3, 4):
        queue = markov_queue(rejects, 60 / 12, benches)
        got.append((queue.load, queue.wait_share, queue.wait * 60, queue.present))
    assert got[0] == pytest.approx((0.7464, 0.6380, 15.09, 3.37), abs=5e-3)
    assert got[1] == pytest.approx((0.4976, 0.2342, 1.86, 1.725), abs=5e-3)
    assert got[2] == pytest.approx((0.3732, 0.0735, 0.35, 1.536), abs=5e-3)


@pytest.mark.parametrize(("mean", "p99", "p999"), [(5, 11, 13), (10, 18, 21), (16, 26, 30)])
def test_the_poisson_float(mean, p99, p999):
    # Poisson tables
    assert (poisson_quantile(mean, 0.99), poisson_quantile(mean, 0.999)) == (p99, p999)


def test_few_benches_need_a_larger_float_than_the_poisson_law_says():
    # M/M/1 at load 0.9: P(N <= n) = 1 - 0.9^(n+1) >= 0.99 first at n = 43
    assert bench_quantile(0.9, 1, 0.99) == 43
    assert bench_quantile(5.0, 60, 0.99) == poisson_quantile(5.0, 0.99)
    assert bench_quantile(2.0, 2, 0.99) is None


def test_no_empty_place_is_left_over_without_scrap_and_without_planned_ones():
    assert place_waiting(0.08, vacancy(0.0, 0.08)) is None


@pytest.mark.parametrize(
    ("empty", "waiting"), [(0.0, 17.6), (0.01, 5.0), (0.02, 2.9), (0.05, 1.25)]
)
def test_planned_empty_places_shorten_the_wait_for_a_place(empty, waiting):
    # independent returns a (1 - a) / (q - a) at f .08, 5 % of the rejects scrapped
    back = 0.08 * 0.95 * (1 - empty)
    assert place_waiting(back, vacancy(empty, 0.08)) == pytest.approx(waiting, abs=0.06)


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
    assert mean < place_waiting(0.076 * (1 - empty), vacancy(empty, 0.08))


def test_vacancy_is_what_is_left_empty_and_what_is_taken_off():
    # 1 - 0.95 x 0.92
    assert vacancy(0.05, 0.08) == pytest.approx(0.126)


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
