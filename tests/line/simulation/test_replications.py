"""Replications, warm-up, limits, shares, loss tree, trace."""

from dataclasses import replace

import numpy as np
import pytest

from stationflow.balancing.exact import one_at_a_time
from stationflow.line.simulation import flow_compiled
from stationflow.line.simulation.flow_model import (
    Duration,
    FlowBuffer,
    FlowModel,
    FlowStation,
    Law,
    Need,
    PacedLine,
    Stop,
    StopKind,
    gate_of_test,
    unpaced_line,
)
from stationflow.line.simulation.replications import simulate_flow
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.line.simulation.student import more_per_h, student
from stationflow.line.simulation.warm_up import settled_after
from tests.line.simulation.small_flows import (
    exponential,
    joined_line,
    line_with_float,
    paced_line,
    queue,
    with_stops,
)

SHORT = SimulationSettings(hours=20, replications=4)
STOPPING = with_stops(joined_line(), Stop(mtbf_s=3_000, mttr_s=200), Stop(mtbf_s=9_000, mttr_s=300))
MODELS = {
    "by hand": unpaced_line((exponential(60),) * 5, 2),
    "paced": paced_line((Duration(mean_s=50, sd_s=8),) * 5, 60.0),
    "halting": with_stops(
        paced_line((Duration(mean_s=50, sd_s=8),) * 5, 60.0, halts=True),
        Stop(mtbf_s=3_600, mttr_s=120, kind=StopKind.TIME_DEPENDENT),
        Stop(mtbf_s=3_600, mttr_s=120),
    ),
    "joined": joined_line(),
    "stopping": STOPPING,
    "with a float": line_with_float(0.1, 0.1, 0.05),
}


@pytest.mark.parametrize("name", MODELS)
def test_what_each_station_did_adds_up_to_all_of_the_time(name):
    for station in simulate_flow(MODELS[name], SHORT).stations:
        parts = (station.worked, station.blocked, station.starved, station.stopped)
        assert sum(parts) == pytest.approx(1.0, abs=1e-9)
        assert min(parts) >= 0


@pytest.mark.parametrize("name", MODELS)
def test_the_loss_tree_adds_up(name):
    answer = simulate_flow(MODELS[name], SHORT)
    top, *parts = answer.losses
    assert sum(part.per_h for part in parts) == pytest.approx(top.per_h)
    assert parts[-1].name == "output"
    assert parts[-1].per_h == answer.output_per_h.mean
    assert {part.part_of for part in parts} == {top.name}


def test_the_same_seed_gives_the_same_answer_and_another_seed_another():
    once = simulate_flow(STOPPING, SHORT)
    assert once == simulate_flow(STOPPING, SHORT)
    assert once != simulate_flow(STOPPING, replace(SHORT, seed=2))


def test_a_line_without_scatter_gives_what_arithmetic_gives():
    # Five stations of 50, 40, 60, 30 and 20 s passed by hand with a place between: one unit each
    # 60 s. A unit spends 50 s at the first, waits there for the place 10 s (60 s in all), is 60 s
    # on the place and 60 s at the second (which waits for the slowest), 60 s on the next place,
    # then 60, 30 and 20 s: 350 s.
    times = (50, 40, 60, 30, 20)
    line = unpaced_line(tuple(Duration(mean_s=t) for t in times), 1)
    answer = simulate_flow(line, replace(SHORT, warm_up_h=1))
    assert answer.output_per_h.mean == pytest.approx(60.0)
    assert answer.output_per_h.high == pytest.approx(60.0)
    assert answer.time_in_system_s.mean == pytest.approx(350.0)
    assert answer.wip.mean == pytest.approx(350 / 60)
    worked = [station.worked for station in answer.stations]
    assert worked == pytest.approx([t / 60 for t in times])


def test_a_paced_line_gives_a_unit_each_pace():
    # 5 stations at 72 s: 50 an hour, each unit 360 s on the line; 50 of 72 s at work.
    line = paced_line((Duration(mean_s=50),) * 5, 72.0)
    answer = simulate_flow(line, replace(SHORT, warm_up_h=1))
    assert answer.output_per_h.mean == pytest.approx(50.0)
    assert answer.time_in_system_s.mean == pytest.approx(360.0)
    assert answer.wip.mean == pytest.approx(5.0)
    assert answer.stations[0].worked == pytest.approx(50 / 72)
    assert answer.stations[0].of_step == pytest.approx(22 / 72)
    assert "the pace of the line sets the output" in answer.limiter


def test_empty_places_take_their_share_of_the_output():
    # Every tenth of 50 places an hour.
    line = paced_line((Duration(mean_s=50),) * 5, 72.0)
    line = replace(line, paced=(replace(line.paced[0], empty_share=0.1),))
    assert simulate_flow(line, replace(SHORT, warm_up_h=1)).output_per_h.mean == pytest.approx(45)


def test_parallel_stations_share_the_work_on_a_paced_line():
    # A station of 100 s at a pace of 60 s with two copies: each has 120 s for its unit, which
    # stays two steps: 5 steps of 60 s on a line of four stations.
    works = tuple(Duration(mean_s=t) for t in (50, 100, 50, 50))
    line = paced_line(works, 60.0)
    second = replace(line.stations[1], servers=2)
    line = replace(line, stations=(line.stations[0], second, *line.stations[2:]))
    answer = simulate_flow(line, replace(SHORT, warm_up_h=1))
    assert answer.output_per_h.mean == pytest.approx(60.0)
    assert answer.time_in_system_s.mean == pytest.approx(300.0)
    assert answer.stations[1].worked == pytest.approx(100 / 120)


def test_a_step_waits_for_the_slowest():
    # At a pace of 60 s with one station of 90 s: 40 an hour.
    line = paced_line(tuple(Duration(mean_s=t) for t in (50, 90, 50)), 60.0)
    answer = simulate_flow(line, replace(SHORT, warm_up_h=1))
    assert answer.output_per_h.mean == pytest.approx(40.0)
    assert answer.limiter.startswith("main 2 limits the output")


def test_a_feeder_that_is_slower_limits_the_line_it_feeds():
    # Two boards of 40 s each go into each unit: 45 an hour, though the line could give 60.
    stations = (
        FlowStation(work=Duration(mean_s=60), number=1, needs=(Need(buffer=0, quantity=2),)),
        FlowStation(work=Duration(mean_s=40), line="board", number=1, to=0, per_unit=2),
    )
    model = FlowModel(stations=stations, buffers=(FlowBuffer(places=4, name="boards"),))
    answer = simulate_flow(model, replace(SHORT, warm_up_h=1))
    assert answer.output_per_h.mean == pytest.approx(45.0)
    assert answer.limiter.startswith("board 1 limits the output")
    assert answer.stations[0].of_feeder == pytest.approx(1 - 45 / 60, abs=0.01)


def test_missing_parts_hold_up_the_station_that_fits_them():
    # One unit in ten waits 300 s: 60 + 30 s on the mean.
    station = FlowStation(work=Duration(mean_s=60), number=1, shortage_share=0.1, shortage_s=300.0)
    answer = simulate_flow(FlowModel(stations=(station,)), SimulationSettings(hours=400))
    assert answer.output_per_h.low < 40.0 < answer.output_per_h.high
    assert answer.stations[0].of_part == pytest.approx(30 / 90, abs=0.01)


def test_a_load_is_worked_on_together():
    # Twelve boards of a load take 600 s at 40 s a board before it: 72 boards an hour at most.
    stations = (
        FlowStation(work=Duration(mean_s=40), number=1, to=0),
        FlowStation(work=Duration(mean_s=600), name="oven", input=0, batch=12),
    )
    model = FlowModel(stations=stations, buffers=(FlowBuffer(places=24),))
    answer = simulate_flow(model, replace(SHORT, warm_up_h=2))
    assert answer.output_per_h.mean == pytest.approx(72.0, abs=0.6)


def test_carriers_limit_the_units_under_way():
    line = unpaced_line((Duration(mean_s=60),) * 4, 10)
    first = replace(line.stations[0], takes_carrier=0)
    line = replace(line, stations=(first, *line.stations[1:]), carriers=(carriers(2, 0),))
    # Two carriers over four stations of 60 s: two units in 240 s.
    assert simulate_flow(line, replace(SHORT, warm_up_h=1)).output_per_h.mean == pytest.approx(30)
    slower = replace(line, carriers=(carriers(2, 60),))  # and 60 s back: two in 300 s
    assert simulate_flow(slower, replace(SHORT, warm_up_h=1)).output_per_h.mean == pytest.approx(24)


def carriers(count: int, return_s: float):
    from stationflow.line.simulation.flow_model import Carriers

    return Carriers(count=count, return_s=return_s)


def test_common_random_numbers_make_the_difference_of_two_plans_surer():
    asked = SimulationSettings(hours=20, replications=12, warm_up_h=2)
    fewer, more = (simulate_flow(unpaced_line((exponential(60),) * 5, p), asked) for p in (1, 2))
    found = more_per_h(more, fewer)
    # 5 exponential stations with 1 and 2 places: 0.6076 and 0.6805 of 60 an hour (Hillier and
    # Boling 1967).
    assert found.low < 60 * (0.6805 - 0.6076) < found.high
    # With random numbers of their own the variances would add.
    apart = np.var(more.outputs, ddof=1) + np.var(fewer.outputs, ddof=1)
    paired = np.var(np.subtract(more.outputs, fewer.outputs), ddof=1)
    assert paired < 0.5 * apart


def test_plans_simulated_otherwise_are_not_compared():
    one = simulate_flow(MODELS["by hand"], SHORT)
    with pytest.raises(ValueError, match="same settings"):
        more_per_h(one, simulate_flow(MODELS["by hand"], replace(SHORT, hours=10)))


def test_the_warm_up_is_found_where_the_line_has_filled():
    # A soak of 5 h: no unit leaves before, and the line has filled then.
    stations = (
        FlowStation(work=Duration(mean_s=60, sd_s=10), number=1, to=0),
        FlowStation(work=Duration(mean_s=5 * 3600), name="soak", input=0, servers=320),
    )
    model = FlowModel(stations=stations, buffers=(FlowBuffer(places=1),))
    answer = simulate_flow(model, SimulationSettings(hours=40))
    assert 5.0 <= answer.warm_up_h <= 10.0
    assert answer.output_per_h.mean == pytest.approx(60, rel=0.01)
    assert answer.findings == ()


@pytest.mark.parametrize("warm_up_h", [None, 5])
def test_units_that_pile_up_are_told(warm_up_h):
    busy = queue(50, exponential(60))
    answer = simulate_flow(busy, SimulationSettings(hours=40, warm_up_h=warm_up_h))
    assert [finding.code for finding in answer.findings] == ["warm-up-short"]


def test_a_warm_up_that_is_too_short_is_told():
    # A soak of 8 h, of which none is left out, in 10 h.
    stations = (
        FlowStation(work=Duration(mean_s=60), number=1, to=0),
        FlowStation(work=Duration(mean_s=8 * 3600, sd_s=60), name="soak", input=0, servers=500),
    )
    model = FlowModel(stations=stations, buffers=(FlowBuffer(places=1),))
    answer = simulate_flow(model, SimulationSettings(hours=10, warm_up_h=0))
    assert [finding.code for finding in answer.findings] == ["warm-up-short"]


def test_one_replication_has_no_limits_and_says_so():
    answer = simulate_flow(MODELS["by hand"], replace(SHORT, replications=1))
    assert answer.output_per_h.low is None
    assert [finding.code for finding in answer.findings] == ["one-replication"]


def test_a_line_from_which_nothing_comes_is_told():
    # Nothing passes the test.
    model = FlowModel(stations=(FlowStation(work=Duration(mean_s=60), gate=gate_of_test(0.0)),))
    answer = simulate_flow(model, SHORT)
    assert answer.output_per_h.mean == 0
    assert "no-output" in [finding.code for finding in answer.findings]


def test_it_can_be_stopped_and_answers_with_what_was_done():
    answer = simulate_flow(MODELS["by hand"], SHORT, lambda done, of: done < 2)
    assert answer.replications == 2
    assert [finding.code for finding in answer.findings] == ["simulation-stopped"]
    whole = simulate_flow(MODELS["by hand"], replace(SHORT, replications=2))
    assert answer.output_per_h == whole.output_per_h


def test_it_tells_how_far_it_is():
    told = []
    simulate_flow(MODELS["by hand"], SHORT, lambda done, of: not told.append((done, of)))
    assert told == [(1, 4), (2, 4), (3, 4), (4, 4)]


def test_the_first_events_can_be_read():
    line = unpaced_line((Duration(mean_s=60), Duration(mean_s=90.5)))
    answer = simulate_flow(line, SimulationSettings(hours=1, replications=2, trace=13))
    assert [event.words for event in answer.trace] == [
        "0:00:00.0  main 1: unit 1 enters",
        "0:00:00.0  main 1: unit 1 starts",
        "0:01:00.0  main 1: unit 1 ends",
        "0:01:00.0  main 2: unit 1 enters",
        "0:01:00.0  main 2: unit 1 starts",
        "0:01:00.0  main 1: unit 2 enters",
        "0:01:00.0  main 1: unit 2 starts",
        "0:02:00.0  main 1: unit 2 ends",
        "0:02:00.0  main 1: unit 2 waits",
        "0:02:30.5  main 2: unit 1 ends",
        "0:02:30.5  main 2: unit 1 done",
        "0:02:30.5  main 2: unit 2 enters",
        "0:02:30.5  main 2: unit 2 starts",
    ]


def test_the_limits_are_those_of_student():
    # Two-sided 95 %: 12.706, 2.262, 1.984 with 1, 9 and 99 degrees of freedom (table of Student).
    assert student(0.95, 1) == pytest.approx(12.706, abs=5e-4)
    assert student(0.95, 9) == pytest.approx(2.262, abs=5e-4)
    assert student(0.95, 99) == pytest.approx(1.984, abs=5e-4)
    assert student(0.99, 4) == pytest.approx(4.604, abs=5e-4)


def test_a_series_that_rises_to_its_end_has_not_settled():
    assert settled_after(np.arange(100.0)) is None


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        (lambda: Duration(mean_s=-1), "0 or more"),
        (lambda: Duration(mean_s=1, sd_s=1, law=Law.UNIFORM), "below 0"),
        (lambda: Stop(mtbf_s=100, mttr_s=0), "above 0"),
        (lambda: gate_of_test(95), "between 0 and 1"),
        (lambda: FlowModel(stations=(FlowStation(work=exponential(1), to=3),)), "not there"),
        (lambda: FlowModel(stations=(FlowStation(work=exponential(1), servers=0),)), "1 or more"),
        (
            lambda: replace(
                paced_line((exponential(1),)), paced=(PacedLine(first=0, last=0, empty_share=1.0),)
            ),
            "empty places",
        ),
        (
            lambda: FlowModel(
                stations=(FlowStation(work=exponential(1), shortage_share=0.1, shortage_s=-5.0),)
            ),
            "parts go missing",
        ),
    ],
)
def test_what_cannot_flow_is_refused(wrong, said):
    with pytest.raises(ValueError, match=said):
        wrong()


def test_the_loop_is_made_ready_while_another_process_compiles_the_search(own_lock):
    waited = []
    flow_compiled.prepare()  # whatever has to be compiled for it
    flow_compiled._run_once.cache_clear()
    with one_at_a_time.alone("search", lambda: None):  # as the app holds it after its start
        flow_compiled.prepare(lambda: waited.append("waited"))
    assert waited == []
