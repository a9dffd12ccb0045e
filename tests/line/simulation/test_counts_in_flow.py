"""The flow has as many machines, testers, positions and benches as the page counts."""

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from stationflow import read_product
from stationflow.balancing.balance import balance_product
from stationflow.line.simulation.flow_model import FlowModel, FlowStation
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.simulation.product_simulation import simulate
from stationflow.line.simulation.simulated import SimulationSettings
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    BalanceSettings,
    Conveyor,
    Demand,
    Equipment,
    Line,
    LinePlan,
    Machine,
    MachineKind,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Reentry,
    Task,
    TaskLimits,
)
from tests.small_plans import answer, station
from tests.small_products import A_MINUTE, ONE_SHIFT

LINE = Line()
OVEN = Machine(
    name="Oven", kind=MachineKind.BATCH, task="10", batch=4, load_ms=40_000, process_ms=160_000
)
"""50 s a unit."""


def made(*steps: QualityStep | None, line: Line = LINE, **more: object) -> Product:
    """Return tasks 10, 20 ... of 50 s each, one unit wanted in 60 s."""
    tasks = tuple(
        Task(number=f"{at}0", time_ms=50_000, quality=step) for at, step in enumerate(steps, 1)
    )
    lines = (line,)
    return Product(code="P", calendar=ONE_SHIFT, demand=A_MINUTE, lines=lines, tasks=tasks, **more)


def planned(product: Product, limit: float = 60.0) -> ProductPlan:
    """Return a plan in which each task has a station of its own."""
    stations = (
        station(at, [task.number], (task.time_ms or 0) / 1000)
        for at, task in enumerate(product.tasks, 1)
    )
    return ProductPlan(lines=(LinePlan(line="main", result=answer(*stations, limit=limit)),))


def flow(product: Product, plan: ProductPlan) -> FlowModel:
    model = planned_flow(product, plan).model
    assert model is not None
    return model


def called(model: FlowModel, name: str) -> list[FlowStation]:
    """Return what bears a name, in each copy of the line."""
    return [s for s in model.stations if s.label == name or s.label.startswith(f"{name}, copy ")]


def differences(product: Product, plan: ProductPlan) -> Iterator[tuple[str, int, int]]:
    """Yield what is another number on the page than in the flow: its name and both."""
    whole, model = whole_line(product, plan), flow(product, plan)
    counts = [(f"soak {each.task}", each.positions) for each in whole.soaks if each.soak_s]
    counts += [(f"test {each.task}", each.testers) for each in whole.gates]
    benches: dict[str, int | None] = {}
    for each in whole.gates:
        at = next((n for n in ("soak", "test") if called(model, f"{n} {each.task}")), "")
        name = f"{at} {each.task}" if at else f"{each.line} {each.station}"
        if each.repairs_per_unit and benches.get(name) is None:  # the first that has one
            benches[name] = each.benches
    counts += [(f"repair of {name}", count) for name, count in benches.items()]
    for name, count in counts:
        for each in called(model, name):
            # Where nothing comes none is needed; a flow has one at least.
            if count is not None and each.servers != max(1, count):
                yield each.label, count, each.servers
    for machine, told in zip(product.machines, whole.machines, strict=True):
        in_flow = called(model, machine.name)
        inside = 1
        if in_flow and machine.kind == MachineKind.IN_LINE and machine.length_m:
            inside = max(1, round(in_flow[0].work.mean_s / (told.cycle_s or 1)))
        there = sum(each.servers for each in in_flow) // inside
        if in_flow and there != told.machines:
            yield machine.name, told.machines or 0, there


def not_counted(step: QualityStep | None) -> QualityStep | None:
    if step is None:
        return None
    repair = None if step.repair_ms is None else 8 * step.repair_ms
    return replace(step, positions=None, repairers=None, repair_ms=repair)


@pytest.fixture(scope="module")
def appliance() -> tuple[Product, ProductPlan]:
    product, _ = read_product(Path(__file__).parents[3] / "demo_products" / "air_purifier")
    asked = BalanceSettings(method="ranked-positional-weight")
    results = [balance_product(product, line.name, asked) for line in product.made_lines]
    return product, ProductPlan(lines=tuple(LinePlan(line=r.line, result=r) for r in results))


def test_the_appliance_flows_as_it_is_counted_on_the_page(appliance):
    assert list(differences(*appliance)) == []


def test_the_appliance_without_counts_flows_as_it_is_counted_on_the_page(appliance):
    """Repair takes eight times as long and machines stand for half of the time."""
    product, plan = appliance
    tasks = (replace(task, quality=not_counted(task.quality)) for task in product.tasks)
    machines = (replace(m, count=None, mtbf_min=60, mttr_min=60) for m in product.machines)
    product = replace(product, tasks=tuple(tasks), machines=tuple(machines))
    assert list(differences(product, plan)) == []
    model = flow(product, plan)
    # A unit starts in 64.286 x .985 x .95 = 60.155 s and .9983 come so far: 931 s of soak are 15.5,
    # the outage of 300 s 4.98, each rounded up, and two spares.
    assert called(model, "soak 390")[0].servers == 16 + 5 + 2
    # What stands for half of the time is needed twice from 30 s a unit on.
    for oven in ("Board washer BW1", "Coater CO1", "Board oven OV1"):
        assert called(model, oven)[0].servers == 2


def test_machines_are_counted_with_the_time_they_stand():
    # 50 s of 60 s, of which the oven runs 45 s: two.
    product = made(None, machines=(replace(OVEN, mtbf_min=90, mttr_min=30),))
    assert called(flow(product, planned(product)), "Oven")[0].servers == 2


def test_what_is_not_counted_is_counted_at_the_pace_of_the_demand_not_of_the_plan():
    # 630 s in 60 s: eleven; at the 40 s of the plan it would be sixteen.
    soak = QualityStep(kind=QualityKind.SOAK, process_ms=580_000, handling_ms=50_000)
    product = made(soak)
    assert called(flow(product, planned(product, 40)), "soak 10")[0].servers == 11


def test_without_a_demand_it_is_counted_at_the_pace_of_the_plan():
    soak = QualityStep(kind=QualityKind.SOAK, process_ms=580_000, handling_ms=50_000)
    product = replace(made(soak), demand=Demand())
    assert called(flow(product, planned(product, 40)), "soak 10")[0].servers == 16


def test_positions_bridge_the_outage_of_the_test_behind_the_soak():
    # 300 s in 60 s: five, and five for five minutes.
    soak = QualityStep(kind=QualityKind.SOAK, process_ms=250_000, handling_ms=50_000, outage_min=5)
    product = made(soak)
    assert called(flow(product, planned(product)), "soak 10")[0].servers == 10


def test_benches_are_not_busy_all_the_time():
    # One of ten fails, once: 540 s of repair in 600 s are 90 %, more than the 85 % of one bench.
    step = QualityStep(
        kind=QualityKind.INSPECTION, first_pass_share=0.9, repeat_pass_share=1.0, repair_ms=540_000
    )
    product = made(step)
    assert called(flow(product, planned(product)), "repair of main 1")[0].servers == 2


def test_the_repair_task_behind_a_gate_that_cannot_be_is_nobodys_bench():
    gate = QualityStep(kind=QualityKind.INSPECTION, first_pass_share=0.9)
    wrong = replace(gate, first_pass_share=95.0)
    repair = QualityStep(kind=QualityKind.REPAIR, repair_ms=540_000, repairers=3)
    product = made(gate, wrong, repair)
    plan = planned(product)
    (told,) = whole_line(product, plan).gates
    assert (told.task, told.repair_s, told.benches) == ("10", None, None)
    (bench,) = called(flow(product, plan), "repair of main 1")
    assert (bench.servers, bench.work.mean_s) == (1, 0.001)


def test_copies_of_a_line_take_from_the_machines_ahead_of_it():
    # Each copy starts a unit in 120 s: 50 s in 60 s for both, one oven.
    oven = replace(OVEN, task="", places_after=4)
    product = made(None, line=Line(copies=2), machines=(oven,))
    model = flow(product, planned(product))
    (oven,) = called(model, "Oven")
    assert oven.servers == 1
    assert [s.input for s in called(model, "main 1")] == [oven.to, oven.to]
    asked = SimulationSettings(hours=10, replications=1, warm_up_h=2, trace=0)
    # The copies step in 60 s each, the oven gives one in 50 s: 72 an hour.
    assert simulate(product, planned(product), asked).output_per_h.mean == pytest.approx(72)


def test_copies_of_a_line_share_the_machines_that_are_entered():
    product = made(None, line=Line(copies=2), machines=(replace(OVEN, count=3),))
    ovens = called(flow(product, planned(product)), "Oven")
    assert [oven.servers for oven in ovens] == [2, 1]


TIME = st.sampled_from([None, 2_000, 30_000, 400_000])
SHARE = st.sampled_from([None, 0.0, 0.5, 0.8, 0.97, 1.0])
STEP = st.none() | st.builds(
    QualityStep,
    kind=st.sampled_from([QualityKind.SOAK, QualityKind.FUNCTION_TEST, QualityKind.INSPECTION]),
    process_ms=TIME,
    first_pass_share=SHARE,
    repeat_pass_share=SHARE,
    scrap_share=SHARE,
    repair_ms=TIME,
    positions=st.none() | st.integers(1, 3),
    repairers=st.none() | st.integers(1, 3),
    reentry=st.sampled_from(Reentry),
    empty_share=st.sampled_from([0.0, 0.1]),
    handling_ms=st.sampled_from([0, 20_000]),
    spare_positions=st.integers(0, 2),
    outage_min=st.sampled_from([None, 5.0]),
)
MACHINE = st.builds(
    Machine,
    name=st.just("M"),
    kind=st.sampled_from(MachineKind),
    task=st.sampled_from(["", "10", "30"]),
    pieces=st.sampled_from([1.0, 7.5]),
    piece_ms=st.just(9_000),
    load_ms=st.sampled_from([0, 20_000]),
    process_ms=st.sampled_from([60_000, 900_000]),
    batch=st.sampled_from([1.0, 6.0]),
    length_m=st.sampled_from([None, 3.0]),
    speed_m_per_min=st.sampled_from([0.3, 1.0]),
    spacing_m=st.sampled_from([0.3, 0.8]),
    yield_share=st.sampled_from([0.9, 1.0]),
    count=st.sampled_from([None, None, 2]),
    mtbf_min=st.sampled_from([None, 60.0]),
    mttr_min=st.sampled_from([None, 60.0]),
)


@st.composite
def products(draw: st.DrawFn) -> Product:
    """Return a line of four stations with tests, soak, a machine, and copies."""
    tasks = tuple(
        Task(
            number=f"{at}0",
            time_ms=draw(st.sampled_from([0, 12_000, 50_000])),
            machine=draw(st.booleans()),
            quality=step,
            limits=TaskLimits(equipment=("Tester",) if draw(st.booleans()) else ()),
        )
        for at, step in enumerate(draw(st.tuples(STEP, STEP, STEP, STEP)), 1)
    )
    line = Line(copies=draw(st.integers(1, 2)), conveyor=draw(st.sampled_from(Conveyor)))
    tester = Equipment(name="Tester", mtbf_min=60.0, mttr_min=draw(st.sampled_from([None, 20.0])))
    machines = (draw(MACHINE),)
    return replace(made(line=line, machines=machines, equipment=(tester,)), tasks=tasks)


@settings(max_examples=200)
@given(products(), st.sampled_from([45.0, 60.0, 90.0]))
def test_whatever_is_entered_flows_as_it_is_counted_on_the_page(product: Product, limit: float):
    assert list(differences(product, planned(product, limit))) == []


@given(products())
def test_a_test_without_testers_of_its_own_needs_no_second_one(product: Product):
    plan = planned(product)
    model = flow(product, plan)
    timed = [g for g in whole_line(product, plan).gates if g.kind != QualityKind.SOAK]
    alone = [g for g in timed if not called(model, f"test {g.task}")]
    process = {task.number: task.quality and task.quality.process_ms for task in product.tasks}
    assert [g.task for g in alone if process[g.task] and (g.testers or 1) > 1] == []
