"""The arithmetic of the whole line against its simulation, where nothing scatters or stops."""

from dataclasses import replace

import pytest
from small_plans import answer, station
from small_products import ONE_SHIFT

from stationflow.line.simulation.product_simulation import simulate
from stationflow.line.simulation.simulated import Simulated, SimulationSettings
from stationflow.line.whole_line import WholeLine, whole_line
from stationflow.model import (
    Conveyor,
    Demand,
    Line,
    LinePlan,
    Machine,
    MachineKind,
    Period,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    Task,
)

TAKT = 60
BOARD = Line(name="board", feeds="main", join="30", buffer_places=3)
PRODUCT = Product(
    code="P",
    calendar=ONE_SHIFT,
    demand=Demand(quantity=480, period=Period.DAY),
    lines=(Line(), BOARD),
    tasks=(
        *(Task(number=f"{at}0", time_ms=50_000) for at in range(1, 6)),
        *(Task(number=f"b{at}", line="board", time_ms=40_000) for at in range(1, 4)),
    ),
)
RESULTS = (
    answer(*(station(at, (f"{at}0",), 50) for at in range(1, 6)), limit=60.0),
    answer(*(station(at, (f"b{at}",), 40) for at in range(1, 4)), line="board", limit=60.0),
)
PLANS = ProductPlan(lines=tuple(LinePlan(line=each.line, result=each) for each in RESULTS))
WAVE = Machine(
    name="Wave", kind=MachineKind.IN_LINE, task="20", length_m=3, speed_m_per_min=1, spacing_m=0.5
)
PRESS = Machine(name="Press", kind=MachineKind.PRESS, line="board", piece_ms=30_000)
SOAK = QualityStep(kind=QualityKind.SOAK, process_ms=1_000_000, positions=30)


def soaked(product: Product) -> Product:
    tasks = (replace(t, quality=SOAK) if t.number == "40" else t for t in product.tasks)
    return replace(product, tasks=tuple(tasks))


CASES = {
    "paced": PRODUCT,
    "moving": replace(PRODUCT, lines=(Line(conveyor=Conveyor.CONTINUOUS, pitch_m=1.5), BOARD)),
    "with a machine on the way": replace(PRODUCT, machines=(WAVE,)),
    "with soak": soaked(PRODUCT),
    "with both": replace(soaked(PRODUCT), machines=(WAVE, PRESS)),
}


def both(product: Product) -> tuple[WholeLine, Simulated]:
    settings = SimulationSettings(hours=10, replications=1, warm_up_h=2)
    return whole_line(product, PLANS), simulate(product, PLANS, settings)


@pytest.mark.parametrize("name", CASES)
def test_the_time_in_the_system_is_the_time_through_the_line(name: str):
    """Within two takts: a unit leaves with its last work, and out of soak waits for a step."""
    told, simulated = both(CASES[name])
    main = told.line("main")
    assert simulated.time_in_system_s.mean == pytest.approx((main and main.through_s), abs=2 * TAKT)


@pytest.mark.parametrize("name", CASES)
def test_the_output_is_that_of_the_operating_takt(name: str):
    _, simulated = both(CASES[name])
    assert simulated.output_per_h.mean == pytest.approx(3600 / TAKT, rel=0.01)


def test_the_share_a_machine_works_is_its_utilisation():
    told, simulated = both(CASES["with both"])
    used = {machine.machine: machine.utilisation for machine in told.machines}
    shares = {each.name: each.worked for each in simulated.stations if each.name}
    assert shares["Press"] == pytest.approx(used["Press"], abs=0.01)
