"""Places where units wait between stations mean the same to all who count, draw and simulate."""

import pytest

from stationflow.balancing.assignment import assignment
from stationflow.balancing.work import line_work
from stationflow.drawing.line_drawing.line_content import DrawnLine, drawn_lines
from stationflow.line.simulation.flow_model import NONE
from stationflow.line.simulation.from_plan import planned_flow
from stationflow.line.throughput.product_stages import flow_lines
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Conveyor,
    Line,
    LinePlan,
    Product,
    ProductPlan,
    StationSetting,
    Task,
)
from tests.small_products import A_MINUTE, ONE_SHIFT

BEHIND = {
    Conveyor.INDEXED: [0, 1, 0],
    Conveyor.CONTINUOUS: [0, 1, 0],
    Conveyor.REMOVABLE: [2, 1, 0],
    Conveyor.HAND: [2, 1, 0],
}
"""Of a line with two places between stations and one behind its second; all at once: its own."""
# Three stations of 1.5 m with the places behind them; those of units taken off lie beside it.
LENGTH_M = {
    Conveyor.INDEXED: 6.0,
    Conveyor.CONTINUOUS: 6.0,
    Conveyor.REMOVABLE: 4.5,
    Conveyor.HAND: 9.0,
}

each_conveyor = pytest.mark.parametrize("conveyor", list(Conveyor))


def made(conveyor: Conveyor) -> tuple[Product, ProductPlan]:
    """Return a line of three stations with its plan."""
    settings = (StationSetting(number=2, places_after=1),)
    line = Line(conveyor=conveyor, between_places=2, pitch_m=1.5, stations=settings)
    tasks = tuple(Task(number=number, time_ms=40_000) for number in ("10", "20", "30"))
    product = Product(code="P", calendar=ONE_SHIFT, demand=A_MINUTE, lines=(line,), tasks=tasks)
    work, _ = line_work(product, "main")
    assert work is not None
    stations = assignment(work, enumerate([(number,) for number in work.numbers], 1))
    result = BalanceResult(line="main", asked=BalanceSettings(limit=60), assignment=stations)
    return product, ProductPlan(lines=(LinePlan(line="main", result=result),))


def drawn(conveyor: Conveyor) -> DrawnLine:
    """Return the line as it is drawn."""
    (line,) = drawn_lines(*made(conveyor))
    return line


@each_conveyor
def test_the_formulas_have_the_places(conveyor: Conveyor):
    (line,) = flow_lines(*made(conveyor))
    assert [station.places_after for station in line.stations] == BEHIND[conveyor]
    assert (line.step_s is None) == (conveyor in (Conveyor.REMOVABLE, Conveyor.HAND))


@each_conveyor
def test_the_simulation_has_the_places(conveyor: Conveyor):
    model = planned_flow(*made(conveyor)).model
    assert model is not None
    before = [0 if s.input == NONE else model.buffers[s.input].places for s in model.stations]
    assert [*before[1:], 0] == BEHIND[conveyor]


@each_conveyor
def test_the_drawing_has_the_places(conveyor: Conveyor):
    assert [s.places_after for s in drawn(conveyor).stations] == BEHIND[conveyor]


@each_conveyor
def test_drawing_and_figures_have_one_length(conveyor: Conveyor):
    (figures,) = whole_line(*made(conveyor)).lines
    assert (drawn(conveyor).length_m, figures.length_m) == (LENGTH_M[conveyor],) * 2
