"""The whole line as one thing, whatever is entered: figures or findings, never infinity."""

import math
from dataclasses import fields, replace
from fractions import Fraction
from typing import Any

from hypothesis import given
from hypothesis import strategies as st
from small_plans import answer, station
from small_products import ONE_SHIFT

from stationflow.line.whole_line import WholeLine, whole_line
from stationflow.model import (
    Conveyor,
    Demand,
    FurtherJoin,
    Line,
    LinePlan,
    Machine,
    MachineKind,
    Period,
    Product,
    ProductPlan,
    QualityKind,
    QualityStep,
    StationSetting,
    Task,
    error,
)
from stationflow.model.unread import Unread, Use

BOARD = Line(name="board", feeds="main", join="20", quantity=2, pitch_m=0.6)
COIL = Line(name="coil", feeds="board", join="b1", bought_in=True)
PRODUCT = Product(
    code="P",
    calendar=ONE_SHIFT,
    demand=Demand(quantity=480, period=Period.DAY),
    lines=(Line(pitch_m=1.2), BOARD, COIL),
    joins=(FurtherJoin(line="coil", feeds="main", join="10"),),
    tasks=(
        Task(number="10", time_ms=50_000),
        Task(
            number="20",
            time_ms=55_000,
            quality=QualityStep(
                kind=QualityKind.FUNCTION_TEST, process_ms=9_000, first_pass_share=0.9
            ),
        ),
        Task(number="b1", line="board", time_ms=25_000),
    ),
    machines=(
        Machine(
            name="Inserter",
            kind=MachineKind.INSERTER,
            line="board",
            piece_ms=250,
            pieces=80,
            magazine=4000,
            magazines=20,
        ),
        Machine(
            name="Wave",
            kind=MachineKind.IN_LINE,
            line="board",
            task="b1",
            length_m=2,
            speed_m_per_min=1.1,
            spacing_m=0.4,
        ),
    ),
)
RESULTS = (
    answer(station(1, ("10",), 50), station(2, ("20",), 55), limit=60.0),
    answer(station(1, ("b1",), 25), line="board", limit=30.0),
)
PLANS = ProductPlan(lines=tuple(LinePlan(line=each.line, result=each) for each in RESULTS))

floats = st.sampled_from(
    [0.0, -1.0, 0.95, 95.0, 0.1 + 0.2, 1e-12, 1e-300, 1e9, 1e300, math.inf, math.nan]
)
counts = st.sampled_from([0, -1, 1, 2, 3, 10**6])
times = st.sampled_from([0, 1, 999, 10**9, 10**13])
ODD = {"float": floats, "int": counts, "float | None": st.none() | floats}
ODD["int | None"] = st.none() | counts


def odd(record: Any) -> st.SearchStrategy[Any]:
    """Return records in which some numbers are such as nobody should enter."""
    of = {
        each.name: times if each.name.endswith("_ms") else ODD[str(each.type)]
        for each in fields(record)
        if str(each.type) in ODD or each.name.endswith("_ms")
    }
    some = st.fixed_dictionaries({}, optional=of)
    return some.map(lambda facts: replace(record, **facts))


def numbers_of(thing: Any) -> list[float]:
    """Return every number in the figures of a whole line, however deep."""
    if isinstance(thing, float | int | Fraction):
        return [float(thing)]
    if isinstance(thing, tuple | list):
        return [number for each in thing for number in numbers_of(each)]
    if hasattr(thing, "__dataclass_fields__") and not isinstance(thing, FurtherJoin):
        return [n for each in fields(thing) for n in numbers_of(getattr(thing, each.name))]
    return []


def is_finite(told: WholeLine) -> bool:
    figures = (told.lines, told.machines, told.filling_s, told.clearing_s, told.own_numbers)
    return all(math.isfinite(number) for number in numbers_of(figures))


def test_the_chain_begins_with_the_demand_and_ends_with_the_filling():
    keys = [number.key for number in whole_line(PRODUCT, PLANS).chain]
    assert (keys[0], keys[-1]) == ("takt-time", "clearing-time")


def test_every_number_says_what_it_is_of():
    told = whole_line(PRODUCT, PLANS)
    lines_and_machines = (*told.lines, *told.machines)
    assert all(number.where for each in lines_and_machines for number in each.numbers)


def test_without_plans_the_machines_are_counted_all_the_same():
    told = whole_line(PRODUCT, ProductPlan())
    # 80 x 0.25 s on a board in 30 s.
    assert [machine.needed for machine in told.machines] == [1, 1]


def test_the_schedule_is_in_order_of_time():
    first = [row.first_s for row in whole_line(PRODUCT, PLANS).schedule]
    assert first == sorted(first)


@given(st.data())
def test_odd_numbers_never_give_infinity(data: st.DataObject):
    settings = (data.draw(odd(StationSetting(number=1))), data.draw(odd(StationSetting(number=2))))
    settings = tuple(replace(each, number=at) for at, each in enumerate(settings, 1))
    lines = tuple(
        replace(data.draw(odd(line)), conveyor=data.draw(st.sampled_from(Conveyor)))
        for line in PRODUCT.lines
    )
    product = replace(
        PRODUCT,
        lines=(replace(lines[0], stations=settings), *lines[1:]),
        joins=tuple(data.draw(odd(join)) for join in PRODUCT.joins),
        machines=tuple(data.draw(odd(machine)) for machine in PRODUCT.machines),
        costs=data.draw(odd(PRODUCT.costs)),
    )
    assert is_finite(whole_line(product, PLANS))


def test_what_rests_on_a_value_that_was_not_read_is_left_out_and_what_does_not_stays():
    finding = error("value-not-read", "Machine Inserter, loading time", "'9.3s' was not read.")
    open_value = Unread(finding=finding, uses=(Use.FLOW,), of_line="board")
    read, whole = (whole_line(p, PLANS) for p in (PRODUCT, replace(PRODUCT, unread=(open_value,))))
    assert whole.line("main") == read.line("main")
    assert (whole.gates, whole.of_pace) == (read.gates, read.of_pace)
    assert [m.utilisation for m in whole.machines] == [None, None]  # both stand on the feeder
    board, coil = whole.line("board"), whole.line("coil")
    assert (board.stations, board.through_s, board.lead_s) == (1, None, None)
    assert coil.lead_s is None  # it joins the board too
    assert (whole.filling_s, whole.clearing_s) == (None, None)
    assert finding in whole.findings
