"""The numbers of gates, soak and lines, worked out by hand at one start in 45 s or 60 s."""

from dataclasses import replace

import pytest
from small_products import ONE_SHIFT

from stationflow.line.entered_checks import check_flow
from stationflow.line.quality.gates import GateFigures
from stationflow.line.quality.product_quality import QualityFigures, quality_figures
from stationflow.line.quality.repair_loop import units_to_reach
from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    Conveyor,
    Demand,
    Equipment,
    Line,
    LinePlan,
    OperatorWork,
    Period,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Reentry,
    Station,
    Task,
    TaskLimits,
)
from tests.printed_formulas import misses

TEST = QualityStep(
    kind=QualityKind.FUNCTION_TEST,
    process_ms=40_000,
    first_pass_share=0.92,
    repeat_pass_share=0.85,
    scrap_share=0.05,
    repair_ms=720_000,
    empty_share=0.1,
)
"""Passes 92 %, after repair 85 %, 5 % of the rejects scrapped, repair 12 min: r .0932945,
v 1.0886297; 80 units an hour bring 7.4636 visits."""
LINE = Line()
SOAK = QualityStep(kind=QualityKind.SOAK, process_ms=7_200_000)


def product(*steps: QualityStep, per_day: float = 640, line: Line = LINE, **more) -> Product:
    """Return tasks 10, 20 ... of these kinds, 10 s of hand time each; 640 starts a day are 45 s.

    99 % of the starts are entered as good.
    """
    tasks = tuple(
        Task(number=f"{number * 10}", name=f"Gate {number}", time_ms=10_000, quality=step)
        for number, step in enumerate(steps, start=1)
    )
    demand = Demand(quantity=0.99 * per_day, period=Period.DAY, yield_share=0.99)
    return Product(code="Q", calendar=ONE_SHIFT, demand=demand, lines=(line,), tasks=tasks, **more)


def figures(*steps: QualityStep, **more) -> QualityFigures:
    return quality_figures(product(*steps, **more))


def gate(**changed: object) -> GateFigures:
    return figures(replace(TEST, **changed)).gates[0]


def codes(found: QualityFigures) -> list[str]:
    return [finding.code for finding in found.findings]


def test_a_gate_has_the_visits_scrap_and_yield_of_its_loop():
    got = gate()
    shares = (got.repairs_per_unit, got.tests_per_unit, got.scrap_per_unit, got.final_yield)
    assert shares == pytest.approx((0.0932945, 1.0886297, 0.0046647, 0.9953353), abs=5e-8)


def test_two_benches_do_eighty_units_an_hour():
    # 7.4636 x 720 / 3600 / .85 = 1.756: 2 benches; load .7464, wait 15.09 min, 3.37 in repair
    got = gate()
    assert got.failed_per_h == pytest.approx(7.4636, abs=5e-5)
    assert (got.benches_needed, got.benches) == (2, 2)
    assert got.bench_load == pytest.approx(0.7464, abs=5e-5)
    assert got.bench_wait_s / 60 == pytest.approx(15.09, abs=5e-3)
    assert got.in_repair == pytest.approx(3.37, abs=5e-3)


def test_constant_repair_times_halve_the_wait():
    # Allen and Cunneen: (1 + 0) / 2
    assert gate(repair_cv=0.0).bench_wait_s == pytest.approx(gate().bench_wait_s / 2)


def test_one_bench_would_never_be_done():
    got = figures(replace(TEST, repairers=1))
    assert codes(got) == ["load-too-high"]
    assert "149.3 % of the time" in got.findings[0].message
    assert (got.gates[0].bench_wait_s, got.gates[0].in_repair, got.gates[0].float_p99) == (
        (None,) * 3
    )


def test_testers_count_the_tests_after_repair_and_their_own_stops():
    # (10 + 40) s x 1.0886297 / 45 s = 1.2096: 2 testers, load .6048
    # running 90 of 100 min: 1.3440, load .6720
    got = gate()
    assert (got.testers_needed, got.tester_load) == (2, pytest.approx(0.6048, abs=5e-5))
    stops = Equipment(name="tester", mtbf_min=90, mttr_min=10)
    with_stops = product(TEST, equipment=(stops,))
    task = replace(with_stops.tasks[0], limits=TaskLimits(equipment=("tester",)))
    (stopped,) = quality_figures(replace(with_stops, tasks=(task,))).gates
    assert stopped.tester_load == pytest.approx(0.6720, abs=5e-5)


def test_the_wait_for_a_tester_comes_from_repeated_tests_and_their_scatter():
    # 1.2096 testers busy of 2: B .24873, C .45586, M/M/2 waits .45586 x 50 / .7904 = 28.837 s;
    # scatter of arrivals 1 - 1 / 1.0886297 = .0814140, of the test (10 / 50)^2 = .04: half the sum
    whole = product(TEST)
    task = replace(whole.tasks[0], time_sd_ms=10_000)
    (got,) = quality_figures(replace(whole, tasks=(task,))).gates
    assert got.tester_wait_s == pytest.approx(28.837 * 0.060707, abs=2e-3)


def test_too_few_testers_are_named_with_those_needed():
    got = figures(replace(TEST, positions=1))
    assert codes(got) == ["load-too-high"]
    assert "2 are needed" in got.findings[0].message
    assert got.gates[0].tester_wait_s is None


def test_the_time_of_a_machine_holds_its_test():
    # 40 s of test within 50 s of machine: 50 s, not 90 s
    whole = product(TEST)
    task = replace(whole.tasks[0], machine=True, time_ms=50_000)
    assert quality_figures(replace(whole, tasks=(task,))).gates[0].test_s == 50


def test_units_back_before_the_test_need_empty_places_and_a_slower_launch():
    # r (1 - s) / (1 + r (1 - s)) = 0.0886297 / 1.0886297 = .0814140; launch 1 / v = .9185860;
    # 10 % left empty: a place each 40.5 s
    got = gate()
    assert got.empty_needed == pytest.approx(0.0814140, abs=5e-8)
    assert got.launch_share == pytest.approx(0.9185860, abs=5e-8)
    assert got.place_pace_s == pytest.approx(40.5)
    # returns .9 x .0886297 = .0797668 of the places, .1 come empty: .0797668 x .9202332 / .0202332
    assert got.place_waiting == pytest.approx(3.6279, abs=5e-4)


def test_with_fewer_empty_places_than_needed_the_line_is_named():
    got = figures(replace(TEST, empty_share=0.08))
    assert codes(got) == ["empty-places-too-few"]
    assert "8 % do, and more are needed, over 8.1 % for task 10" in got.findings[0].message
    assert got.gates[0].place_waiting is None


def test_units_back_after_the_test_find_the_places_of_rejects():
    # vacancy 1 - .9 x .92 = .172; returns .9 x (.08 - .0046647) = .0678017:
    # .0678017 x .9321983 / .1041983 = .60658
    got = gate(reentry=Reentry.AFTER_TEST)
    assert got.vacancy == pytest.approx(0.172)
    assert got.place_waiting == pytest.approx(0.60658, abs=5e-5)
    # by Little .60658 / .0678017 places of 40.5 s
    assert got.place_wait_s == pytest.approx(362.3, abs=0.05)
    assert (got.empty_needed, got.launch_share) == (None, None)


def test_units_tested_again_at_the_bench_do_not_load_the_testers_of_the_line():
    # 50 s / 45 s / 2; 80 x .0932945 x .95 = 7.0904 tests an hour at the bench
    got = gate(reentry=Reentry.AFTER_TEST)
    assert got.tester_load == pytest.approx(50 / 90)
    assert got.bench_tests_per_h == pytest.approx(7.0904, abs=5e-5)
    assert gate().bench_tests_per_h is None


def test_without_scrap_and_empty_places_the_float_grows_and_it_is_said():
    got = figures(replace(TEST, reentry=Reentry.AFTER_TEST, scrap_share=0, empty_share=0))
    assert codes(got) == ["float-never-drains"]
    (of_gate,) = got.gates
    assert of_gate.place_waiting is None
    # 8 h a day: the running maximum of M/M/2 with 80 x .08 / .85 = 7.5294 visits an hour, 5 an
    # hour done by each bench
    hours = [8, 40, 2000]
    expected = [units_to_reach(80 * 0.08 / 0.85, lambda k: min(k, 2) * 5, h)[0] for h in hours]
    assert of_gate.growth == tuple(zip(hours, expected, strict=True))
    assert of_gate.growth[0][1] < of_gate.growth[1][1] < of_gate.growth[2][1]
    assert f"{expected[2]} after a year" in got.findings[0].message


def test_what_an_earlier_gate_scraps_drains_the_float():
    scraps = QualityStep(kind=QualityKind.INSPECTION, first_pass_share=0.9, scrap_share=1)
    after = replace(TEST, reentry=Reentry.AFTER_TEST, scrap_share=0, empty_share=0)
    got = figures(scraps, after)
    assert "float-never-drains" not in codes(got)
    assert got.gates[1].place_waiting > 0


def test_a_line_passed_on_by_hand_has_no_places():
    got = figures(replace(TEST, empty_share=0), line=Line(conveyor=Conveyor.HAND))
    assert codes(got) == []
    assert got.gates[0].place_waiting is None


def test_what_fails_once_and_never_passes_goes_round_without_end():
    whole = product(replace(TEST, repeat_pass_share=0, scrap_share=None))
    got = quality_figures(whole)
    assert [f.code for f in check_flow(whole)] == ["repair-without-exit"]
    assert (got.gates[0].tests_per_unit, got.yields[0].final_yield) == (None, None)


@pytest.mark.parametrize(
    "wrong",
    [{"first_pass_share": 95}, {"repeat_pass_share": -1}, {"scrap_share": 5}, {"empty_share": 2}],
)
def test_a_share_of_95_is_named_and_the_gate_left_out(wrong):
    whole = product(replace(TEST, **wrong))
    assert [f.code for f in check_flow(whole)] == ["share-out-of-range"]
    assert quality_figures(whole).gates == ()


@pytest.mark.parametrize("first", [0.0, 1.0])
def test_the_ends_of_the_first_pass_share_have_numbers(first):
    got = gate(first_pass_share=first, repairers=50)
    assert got.tests_per_unit == pytest.approx(1 if first else 1 + 0.95 / (1 - 0.15 * 0.95))


def test_failing_units_without_a_repair_time_are_named():
    assert codes(figures(replace(TEST, repair_ms=None))) == ["quality-incomplete"]


def test_a_repair_task_is_the_bench_of_the_gate_before_it():
    bench = QualityStep(kind=QualityKind.REPAIR, repair_ms=720_000, positions=3, repair_cv=0.5)
    got = figures(replace(TEST, repair_ms=None), bench)
    assert len(got.gates) == 1
    # M/M/3 waits 1.86 min; (1 + .25) / 2 of it
    assert got.gates[0].benches == 3
    assert got.gates[0].bench_wait_s == pytest.approx(1.86 * 60 * 0.625, abs=0.2)


def test_carriers_bound_the_units_in_repair():
    got = figures(TEST, line=Line(carriers=4))
    (bounded,) = [n for n in got.numbers if n.key.endswith("in-repair-bounded")]
    assert bounded.value < got.gates[0].in_repair
    assert bounded.value < 4


def test_gates_one_after_the_other_multiply():
    got = figures(TEST, TEST)
    (line,) = got.yields
    assert line.rolled_yield == pytest.approx(0.92**2)
    assert line.normalised_yield == pytest.approx(0.92)
    assert line.final_yield == pytest.approx(0.9953353**2, abs=1e-7)
    assert line.starts_per_good == pytest.approx(1.0046866**2, abs=1e-7)
    assert got.gates[1].arriving_per_h == pytest.approx(80 * 0.9953353, abs=1e-5)


def test_a_yield_entered_above_that_of_the_gates_is_named():
    # three gates leave .9953353^3 = .98607
    got = figures(TEST, TEST, TEST)
    assert codes(got) == ["yield-above-gates"]
    assert "0.99, and the gates leave 0.986071" in got.findings[0].message


def test_gates_stand_in_the_order_of_the_plan():
    asked = BalanceSettings(limit=45)
    stations = (
        Station(number=1, operators=(OperatorWork(tasks=(("20", 0),)),)),
        Station(number=2, operators=(OperatorWork(tasks=(("10", 0),)),)),
    )
    result = BalanceResult(line="main", asked=asked, assignment=Assignment(stations=stations))
    plan = ProductPlan(lines=(LinePlan(line="main", result=result),))
    got = quality_figures(product(TEST, replace(TEST, first_pass_share=1.0)), plan)
    assert [(g.task, g.station) for g in got.gates] == [("20", 1), ("10", 2)]


@pytest.mark.parametrize(("hours", "takt", "units"), [(2, 45, 160), (4, 30, 480), (1, 60, 60)])
def test_soak_holds_what_comes_in_its_time(hours, takt, units):
    # Little (1961): 7200 / 45, 14 400 / 30, 3600 / 60
    whole = product(replace(SOAK, process_ms=hours * 3_600_000), per_day=28_800 / takt)
    whole = replace(whole, tasks=(replace(whole.tasks[0], time_ms=0),))
    (soak,) = quality_figures(whole).soaks
    assert (soak.in_soak, soak.positions_needed) == (units, units)


def test_soak_positions_count_handling_outage_and_spares():
    # (7200 + 90) / 45 = 162; 20 min / 45 s = 26.7: 27; 3 spares: 192
    step = replace(SOAK, handling_ms=90_000, outage_min=20, spare_positions=3, power_w=50,
                   pitch_m=0.4)  # fmt: skip
    (soak,) = figures(step).soaks
    assert (soak.outage_positions, soak.positions_needed) == (27, 192)
    # 160 under power x 50 W = 8 kW; 192 x 50 W = 9.6 kW; 192 x 0.4 m = 76.8 m
    assert (soak.power_kw, soak.connected_kw, soak.length_m) == pytest.approx((8, 9.6, 76.8))


def test_too_few_soak_positions_are_named():
    got = figures(replace(SOAK, positions=100))
    assert codes(got) == ["positions-too-few"]
    assert got.soaks[0].positions == 100


@pytest.mark.parametrize("time", [None, 0])
def test_a_soak_without_time_is_named(time):
    whole = product(replace(SOAK, process_ms=time))
    got = quality_figures(whole)
    assert [f.code for f in check_flow(whole)] == ["soak-without-time"]
    assert got.soaks[0].positions_needed is None


def test_soak_that_finds_rejects_is_a_gate_without_testers():
    got = figures(replace(TEST, kind=QualityKind.SOAK, process_ms=7_200_000))
    assert (len(got.gates), len(got.soaks)) == (1, 1)
    assert got.gates[0].testers_needed is None
    # what failed soaks again: 7210 x 1.0886297 / 45 = 174.4
    assert got.soaks[0].positions_needed == 175


def test_without_demand_there_are_shares_and_no_rates():
    whole = replace(product(TEST, SOAK), demand=Demand())
    got = quality_figures(whole)
    assert got.gates[0].tests_per_unit is not None
    assert (got.gates[0].testers_needed, got.soaks[0].positions_needed) == (None, None)


def test_every_formula_gives_the_number_that_is_printed():
    step = replace(SOAK, handling_ms=90_000, outage_min=20, spare_positions=3, power_w=50)
    got = figures(TEST, replace(TEST, reentry=Reentry.AFTER_TEST), step)
    worked = [n for n in got.numbers if "^" not in n.worked and "ln(" not in n.worked]
    assert len(worked) > 40
    assert [miss for number in worked for miss in misses(number)] == []
    assert [n.key for n in got.numbers if n.check.startswith("Differs")] == []


def test_every_number_has_its_own_key_and_a_source():
    got = figures(TEST, replace(TEST, reentry=Reentry.AFTER_TEST), SOAK)
    keys = [number.key for number in got.numbers]
    assert len(keys) == len(set(keys))
    assert all(number.source for number in got.numbers)
