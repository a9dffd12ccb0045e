"""A product and the plans of its lines become the flow that an engineer would draw."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stationflow.line.simulation.flow_model import GOOD, NONE, FlowModel, Law, Need, Stop
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.simulation.product_simulation import simulate
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.model import (
    Conveyor,
    Equipment,
    FurtherJoin,
    Line,
    LineForm,
    LinePlan,
    Machine,
    MachineKind,
    Model,
    OperatorWork,
    Part,
    PartUse,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Reentry,
    Station,
    StationSetting,
    Task,
    TaskLimits,
)
from tests.small_plans import answer, station

HOURS = SimulationSettings(hours=20, replications=3, warm_up_h=4, trace=0)
MAIN = Line(conveyor=Conveyor.INDEXED)
HAND = Line(conveyor=Conveyor.HAND, between_places=2)
TEST = QualityStep(
    kind=QualityKind.FUNCTION_TEST,
    first_pass_share=0.9,
    repeat_pass_share=0.8,
    scrap_share=0.1,
    repair_ms=300_000,
    repairers=2,
)


def task(number: str, seconds: float = 50, line: str = "main", **more: object) -> Task:
    return Task(number=number, time_ms=round(seconds * 1000), line=line, **more)


def made(*tasks: Task, line: Line = MAIN, lines: tuple[Line, ...] = (), **more: object) -> Product:
    return Product(code="P", tasks=tasks, lines=(line, *lines), **more)


def each_its_station(product: Product, limit: float = 60.0) -> ProductPlan:
    """Return plans in which each task has a station of its own."""
    return ProductPlan(
        lines=tuple(
            LinePlan(
                line=line.name,
                result=answer(
                    *(
                        station(k, [t.number], (t.time_ms or 0) / 1000)
                        for k, t in enumerate(product.tasks_of(line.name), 1)
                    ),
                    line=line.name,
                    limit=limit,
                ),
            )
            for line in product.lines
        )
    )


def flow(product: Product, limit: float = 60.0) -> FlowModel:
    model = planned_flow(product, each_its_station(product, limit)).model
    assert model is not None
    return model


def labels(model: FlowModel) -> list[str]:
    return [station.label for station in model.stations]


def test_an_indexed_line_steps_at_its_limit_and_what_repositioning_takes():
    model = flow(made(task("10"), task("20"), line=replace(MAIN, repositioning_ms=3_000)))
    (paced,) = model.paced
    assert (paced.first, paced.last, paced.pace_s, paced.halts) == (0, 1, 63.0, False)
    assert [s.work.mean_s for s in model.stations] == [53.0, 53.0]


def test_a_stop_of_a_moving_line_stops_all_of_it():
    moving = replace(MAIN, conveyor=Conveyor.CONTINUOUS)
    assert flow(made(task("10"), line=moving)).paced[0].halts


def test_a_line_by_hand_has_the_places_of_the_line_and_of_each_station():
    line = replace(HAND, stations=(StationSetting(number=2, places_after=5),))
    model = flow(made(task("10"), task("20"), task("30"), line=line))
    assert model.paced == ()
    assert [buffer.places for buffer in model.buffers] == [2, 5]
    assert [s.input for s in model.stations] == [NONE, 0, 1]
    assert [s.to for s in model.stations] == [0, 1, GOOD]


def test_places_behind_a_station_cut_a_paced_line():
    line = replace(MAIN, stations=(StationSetting(number=1, places_after=4),))
    model = flow(made(task("10"), task("20"), line=line))
    assert [(p.first, p.last) for p in model.paced] == [(0, 0), (1, 1)]
    assert model.buffers[0].places == 4


def test_the_scatter_of_tasks_adds_up_as_squares():
    product = made(task("10", 20, time_sd_ms=3_000), task("20", 30, time_sd_ms=4_000))
    plan = ProductPlan(
        lines=(LinePlan(line="main", result=answer(station(1, ["10", "20"], 50), limit=60)),)
    )
    model = planned_flow(product, plan).model
    assert model is not None
    assert model.stations[0].work.sd_s == 5.0
    assert model.stations[0].work.law == Law.NORMAL


def test_models_of_a_mix_scatter_the_time_of_a_station():
    # 40 and 60 s with equal shares: 50 s, 10 s off the mean.
    product = made(task("10"), models=(Model(name="A", share=0.5), Model(name="B", share=0.5)))
    mixed = replace(station(1, ["10"], 50), model_ticks=(("A", 40_000), ("B", 60_000)))
    plan = ProductPlan(lines=(LinePlan(line="main", result=answer(mixed, limit=60)),))
    model = planned_flow(product, plan).model
    assert model is not None
    assert model.stations[0].work.sd_s == pytest.approx(10.0)


def test_two_operators_are_done_when_the_later_one_is():
    # One does 30 s from the start, the other 20 s from second 15: 35 s.
    pair = Station(
        number=1,
        operators=(OperatorWork(tasks=(("10", 0),)), OperatorWork(tasks=(("20", 15_000),))),
        work_ticks=50_000,
    )
    product = made(task("10", 30), task("20", 20))
    plan = ProductPlan(lines=(LinePlan(line="main", result=answer(pair, limit=60)),))
    model = planned_flow(product, plan).model
    assert model is not None
    assert model.stations[0].work.mean_s == 35.0


def test_stops_of_a_station_are_its_own_those_of_its_equipment_and_of_its_machine():
    product = made(
        task("10", limits=TaskLimits(equipment=("Press",))),
        line=replace(MAIN, stations=(StationSetting(number=1, mtbf_min=100, mttr_min=2),)),
        equipment=(Equipment(name="Press", mtbf_min=200, mttr_min=3),),
        machines=(Machine(name="M", kind=MachineKind.PRESS, task="10", mtbf_min=300, mttr_min=4),),
    )
    assert flow(product).stations[0].stops == (
        Stop(mtbf_s=6_000, mttr_s=120),
        Stop(mtbf_s=12_000, mttr_s=180),
        Stop(mtbf_s=18_000, mttr_s=240),
    )


def test_a_missing_part_is_waited_for_at_the_station_that_fits_it():
    # 10 % and 20 % missing: 28 % of the units wait; (0.1 x 2 + 0.2 x 5) / 0.3 min on the mean.
    product = made(
        task("10", parts=(PartUse(part="a"), PartUse(part="b"))),
        task("20", parts=(PartUse(part="c"), PartUse(part="no time"))),
        parts=(
            Part(number="a", present_share=0.9, shortage_min=2),
            Part(number="b", present_share=0.8, shortage_min=5),
            Part(number="no time", present_share=0.5, shortage_min=-5),
            Part(number="c"),
        ),
    )
    first, second = flow(product).stations
    assert first.shortage_share == pytest.approx(0.28)
    assert first.shortage_s == pytest.approx(240.0)
    assert second.shortage_share == 0


def board(**more: object) -> Line:
    return replace(HAND, name="board", feeds="main", join="20", **more)


def test_a_feeder_joins_at_the_station_of_its_task_with_its_quantity():
    feeder = board(quantity=2.0, replacement_share=0.01, buffer_places=6)
    model = flow(made(task("10"), task("20"), task("B1", 20, "board"), lines=(feeder,)))
    assert labels(model) == ["main 1", "main 2", "board 1"]
    assert model.stations[1].needs == (Need(buffer=0, quantity=2.02),)
    assert model.stations[2].to == 0
    assert model.buffers[0].places == 6
    assert model.stations[2].per_unit == 2.0


def test_a_feeder_that_serves_two_joins_fills_one_buffer_for_both():
    join = FurtherJoin(line="board", feeds="main", join="10", quantity=3.0)
    tasks = (task("10"), task("20"), task("B1", 10, "board"))
    model = flow(made(*tasks, lines=(board(),), joins=(join,)))
    assert model.stations[0].needs == (Need(buffer=0, quantity=3.0),)
    assert model.stations[1].needs == (Need(buffer=0, quantity=1.0),)


def test_a_feeder_without_a_plan_is_taken_as_always_there_and_named():
    product = made(task("10"), task("20"), task("B1", 20, "board"), lines=(board(),))
    only_main = ProductPlan(lines=each_its_station(product).lines[:1])
    planned = planned_flow(product, only_main)
    assert planned.model is not None
    assert planned.model.stations[1].needs == ()
    assert [(f.code, f.where) for f in planned.findings] == [("no-plan", "Line board")]


def test_bought_in_units_are_always_there_and_need_no_plan():
    product = made(task("10"), task("20"), lines=(board(bought_in=True),))
    planned = planned_flow(product, ProductPlan(lines=each_its_station(product).lines[:1]))
    assert planned.findings == ()


def test_without_a_plan_of_the_main_line_there_is_no_answer_but_a_finding():
    found = simulate(made(task("10")), ProductPlan())
    assert found.replications == 0
    assert [finding.code for finding in found.findings] == ["no-plan"]


def test_the_transport_of_a_feeder_takes_its_time():
    feeder = board(transport_ms=180_000)
    model = flow(made(task("10"), task("20"), task("B1", 20, "board"), lines=(feeder,)))
    assert labels(model)[-1] == "transport of board"
    assert model.stations[-1].work.mean_s == 180.0
    assert model.stations[-1].servers == 7  # twice the three that are on the way, and one


def test_copies_of_a_line_share_their_feeder():
    tasks = (task("10"), task("20"), task("B1", 20, "board"))
    product = made(*tasks, line=replace(MAIN, copies=2), lines=(board(),))
    model = flow(product)
    assert labels(model) == ["main 1", "main 2", "main 1, copy 2", "main 2, copy 2", "board 1"]
    assert [s.needs for s in model.stations[1:4:2]] == [(Need(buffer=0),), (Need(buffer=0),)]
    # 60 an hour each.
    assert simulate(product, each_its_station(product), HOURS).output_per_h.mean == 120.0


def test_units_that_fail_go_to_the_bench_and_back_before_the_test():
    model = flow(made(task("10"), task("20", quality=TEST), line=HAND))
    test, bench = model.stations[1], model.stations[2]
    assert test.gate is not None
    assert bench.gate is not None
    assert (test.gate.pass_share, test.gate.repeat_pass) == (0.9, 0.8)
    assert test.gate.reject_to == bench.input
    assert bench.to == test.returns
    assert bench.gate.pass_share == pytest.approx(0.9)
    assert (bench.servers, bench.work.mean_s, bench.work.law) == (2, 300.0, Law.EXPONENTIAL)


def test_units_that_come_back_after_the_test_are_tested_at_the_bench():
    step = replace(TEST, reentry=Reentry.AFTER_TEST)
    model = flow(made(task("10", quality=step), task("20")))
    test, after, bench = model.stations
    assert bench.gate is not None
    assert bench.to == after.returns
    assert test.returns == NONE
    # 90 % are not scrapped; of them 80 % pass and 20 % go round again.
    assert bench.gate.pass_share == pytest.approx(0.72)
    assert bench.gate.reject_share == pytest.approx(0.18)
    assert bench.gate.reject_to == bench.input


def test_a_repair_task_is_the_bench_of_the_test_before_it():
    step = replace(TEST, repair_ms=None, repairers=None)
    repair = QualityStep(kind=QualityKind.REPAIR, repair_ms=120_000, positions=3, repair_cv=0.5)
    model = flow(made(task("10", quality=step), task("20", quality=repair)))
    bench = model.stations[-1]
    assert (bench.servers, bench.work.mean_s, bench.work.sd_s) == (3, 120.0, 60.0)


def test_a_repair_without_an_exit_scraps():
    step = replace(TEST, repeat_pass_share=0.0, scrap_share=0.0)
    model = flow(made(task("10", quality=step)))
    assert len(model.stations) == 1
    assert simulate(
        made(task("10", quality=step)), each_its_station(made(task("10"))), HOURS
    ).output_per_h.mean == pytest.approx(54, abs=2)


@pytest.mark.parametrize("wrong", [95.0, -0.1])
def test_a_share_that_cannot_be_is_no_test(wrong):
    step = replace(TEST, first_pass_share=wrong)
    assert flow(made(task("10", quality=step))).stations[0].gate is None


def test_soak_stands_behind_its_station_with_its_positions():
    soak = QualityStep(kind=QualityKind.SOAK, process_ms=3_600_000, handling_ms=30_000)
    model = flow(made(task("10"), task("20", quality=soak), task("30")))
    assert labels(model) == ["main 1", "main 2", "soak 20", "main 3"]
    # 3630 s at 60 s a unit: 60.5, rounded up.
    assert (model.stations[2].servers, model.stations[2].work.mean_s) == (61, 3_630.0)
    assert [(p.first, p.last) for p in model.paced] == [(0, 1), (3, 3)]


def test_a_test_that_fits_into_the_pace_is_done_at_its_station():
    step = replace(TEST, process_ms=8_000, reentry=Reentry.AFTER_TEST)
    model = flow(made(task("10", quality=step)))
    assert model.stations[0].work.mean_s == 58.0


def test_a_test_that_fits_only_without_its_repaired_units_has_testers_of_its_own():
    # 0.1 x 0.9 / (1 - 0.2 x 0.9) = 0.10976 tests more: 58 s x 1.10976 / 60 s: two testers.
    model = flow(made(task("10", quality=replace(TEST, process_ms=8_000))))
    assert (model.stations[1].label, model.stations[1].servers) == ("test 10", 2)


def test_a_test_longer_than_the_pace_has_testers_of_its_own():
    # 20 s by hand and 130 s at 60 s a unit: three testers.
    step = replace(TEST, process_ms=130_000)
    model = flow(made(task("10", 20, quality=step)))
    assert labels(model)[:2] == ["main 1", "test 10"]
    assert (model.stations[1].servers, model.stations[1].work.mean_s) == (3, 130.0)
    assert model.stations[0].gate is None
    assert model.stations[1].gate is not None


def test_a_sample_of_each_lot_holds_no_unit_back():
    assert flow(made(task("10", quality=replace(TEST, lot=500)))).stations[0].gate is None


def test_places_left_empty_are_taken_once_for_the_line():
    step = replace(TEST, empty_share=0.05)
    model = flow(made(task("10", quality=step), task("20"), task("30", quality=step)))
    assert [paced.empty_share for paced in model.paced] == [0.05]


def test_what_is_lost_beyond_the_tests_is_lost_at_the_end():
    # 0.9 + 0.1 x 0.8 x 0.9 ... : of 0.1 rejects 0.1 / (1 - 0.2 x 0.9) is scrapped: 0.987805 pass.
    feeder = board(yield_share=0.95)
    tasks = (task("10"), task("20"), task("B1", 20, "board", quality=TEST))
    model = flow(made(*tasks, lines=(feeder,)))
    end = next(s for s in model.stations if s.name == "rejects of board")
    assert end.gate is not None
    assert end.gate.pass_share == pytest.approx(0.95 / 0.9878049, abs=1e-6)


def test_an_oven_that_units_pass_through_stands_behind_its_station():
    # 3 m at 0.6 m/min: 300 s, of which the first 30 s, one place of 0.3 m, are the task.
    oven = Machine(
        name="Oven",
        kind=MachineKind.IN_LINE,
        task="10",
        length_m=3.0,
        speed_m_per_min=0.6,
        spacing_m=0.3,
        count=1,
    )
    model = flow(made(task("10", 30), task("20"), machines=(oven,)))
    assert labels(model) == ["main 1", "Oven", "main 2"]
    assert (model.stations[1].servers, model.stations[1].work.mean_s) == (9, 270.0)


def test_a_load_of_a_batch_machine_waits_in_front_of_it():
    washer = Machine(
        name="Washer",
        kind=MachineKind.BATCH,
        task="10",
        batch=12,
        load_ms=60_000,
        process_ms=600_000,
        places_after=12,
        count=1,
    )
    model = flow(made(task("10", 30), task("20"), line=HAND, machines=(washer,)))
    assert labels(model) == ["main 1", "Washer", "main 2"]
    assert (model.stations[1].batch, model.stations[1].work.mean_s) == (12, 660.0)
    assert [buffer.places for buffer in model.buffers] == [12, 12]


def test_a_machine_without_a_task_works_ahead_of_the_line():
    cutter = Machine(
        name="Cutter", kind=MachineKind.CUTTER, process_ms=80_000, batch=8, places_after=20
    )
    model = flow(made(task("10"), line=HAND, machines=(cutter,)))
    assert labels(model) == ["Cutter", "main 1"]
    assert model.stations[0].work.mean_s == 10.0
    assert model.buffers[0].places == 20


def test_carriers_are_taken_at_the_first_station_and_given_back_at_the_last():
    line = replace(MAIN, carriers=10, carrier_return_ms=60_000)
    model = flow(made(task("10"), task("20"), task("30"), line=line))
    assert [s.takes_carrier for s in model.stations] == [0, NONE, NONE]
    assert [s.gives_carrier for s in model.stations] == [False, False, True]
    assert (model.carriers[0].count, model.carriers[0].return_s) == (10, 60.0)


def test_a_plan_without_scatter_gives_its_pace():
    product = made(task("10", 40), task("20", 55), task("30", 50))
    found = simulate(product, each_its_station(product), HOURS)
    assert found.output_per_h.mean == pytest.approx(60.0)
    assert found.time_in_system_s.mean == pytest.approx(180.0)


def test_tasks_without_time_do_not_make_a_line_endlessly_fast():
    product = made(task("10", 0), task("20", 0), line=HAND)
    plan = each_its_station(product, limit=1.0)
    found = simulate(product, plan, replace(HOURS, hours=1, warm_up_h=0))
    assert 0 < found.output_per_h.mean <= 3_600


ODD = st.sampled_from([None, -5, 0, 1, 7, 95])
SHARE = st.sampled_from([None, -0.5, 0.0, 0.3, 1.0, 95.0])


def said(**values: object) -> dict[str, object]:
    """Leave out what was not drawn, so that the usual stands."""
    return {name: value for name, value in values.items() if value is not None}


@st.composite
def odd_products(draw: st.DrawFn) -> Product:
    """Return a product whose numbers are as wrong as they come from a file."""
    kind = draw(st.sampled_from([QualityKind.SOAK, QualityKind.FUNCTION_TEST]))
    step = QualityStep(
        kind=kind,
        first_pass_share=draw(SHARE),
        repeat_pass_share=draw(SHARE),
        scrap_share=draw(SHARE),
        **said(
            process_ms=draw(ODD),
            repair_ms=draw(ODD),
            positions=draw(ODD),
            repairers=draw(ODD),
            repair_cv=draw(ODD),
            empty_share=draw(SHARE),
            handling_ms=draw(ODD),
            reentry=draw(st.sampled_from(Reentry)),
        ),
    )
    machine = Machine(
        name="M",
        kind=draw(st.sampled_from(MachineKind)),
        task=draw(st.sampled_from(["10", ""])),
        **said(
            pieces=draw(ODD),
            piece_ms=draw(ODD),
            process_ms=draw(ODD),
            load_ms=draw(ODD),
            batch=draw(ODD),
            length_m=draw(ODD),
            speed_m_per_min=draw(ODD),
            spacing_m=draw(ODD),
            yield_share=draw(SHARE),
            magazine=draw(ODD),
            change_ms=draw(ODD),
            count=draw(ODD),
            places_before=draw(ODD),
            places_after=draw(ODD),
            mtbf_min=draw(ODD),
            mttr_min=draw(ODD),
        ),
    )
    line = Line(
        conveyor=draw(st.sampled_from(Conveyor)),
        **said(
            carriers=draw(ODD),
            carrier_return_ms=draw(ODD),
            between_places=draw(ODD),
            repositioning_ms=draw(ODD),
        ),
    )
    feeder = Line(
        name="board",
        feeds="main",
        join="20",
        conveyor=draw(st.sampled_from(Conveyor)),
        **said(
            quantity=draw(st.sampled_from([None, -1.0, 0.0, 2.5])),
            yield_share=draw(SHARE),
            buffer_places=draw(ODD),
            transport_ms=draw(ODD),
        ),
    )
    tasks = (
        task("10", draw(st.sampled_from([0, 50])), quality=step),
        task("20", parts=(PartUse(part="a"),)),
        task("B1", 20, "board"),
    )
    part = Part(number="a", **said(present_share=draw(SHARE), shortage_min=draw(ODD)))
    return made(*tasks, line=line, lines=(feeder,), machines=(machine,), parts=(part,))


def test_a_test_without_time_at_the_start_that_nothing_passes_comes_to_an_end():
    step = replace(TEST, first_pass_share=0.0)
    product = made(task("10", 0, quality=step), task("20"), line=Line(conveyor=Conveyor.HAND))
    assert flow(product).stations[0].work.mean_s == 1.0


@settings(max_examples=150)
@given(odd_products())
def test_whatever_was_entered_flows_or_stands_still(product):
    found = simulate(product, each_its_station(product), replace(HOURS, hours=2, warm_up_h=0))
    assert found.replications == 3
    assert found.output_per_h.mean >= 0


@pytest.mark.parametrize(
    ("form", "operators", "said"),
    [
        (LineForm.STRAIGHT, 1, []),
        (LineForm.U_LINE, 1, ["U-line"]),
        (LineForm.TWO_SIDED, 1, ["two-sided"]),
        (LineForm.STRAIGHT, 2, ["Several operators work at station 1;"]),
        (LineForm.TWO_SIDED, 2, ["two-sided", "Several operators work at station 1;"]),
    ],
)
def test_what_is_simulated_as_a_straight_line_says_so(form, operators, said):
    product = made(task("10"), line=replace(MAIN, form=form))
    result = answer(station(1, ["10"], 50, operators), limit=60.0)
    plan = ProductPlan(lines=(LinePlan(line="main", result=result),))
    found = simulate(product, plan, HOURS).findings
    assert [f.code for f in found] == ["simulated-straight"] * len(said)
    assert all(words in f.message for words, f in zip(said, found, strict=True))
