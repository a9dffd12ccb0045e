"""Checks of the plans of all lines together. By hand."""

from dataclasses import replace
from typing import Any

import pytest
from small_plans import answer, station
from small_products import ONE_SHIFT

from stationflow.line.plan_checks import check_plans
from stationflow.line.whole_line import whole_line
from stationflow.model import (
    BalanceResult,
    Conveyor,
    Demand,
    Line,
    LinePlan,
    Period,
    Product,
    ProductPlan,
    StationSetting,
    Task,
)

# One lamp in 60 s, two boards in each: one in 30 s.
MAIN, BOARD = Line(), Line(name="board", feeds="main", join="20", quantity=2)
PRODUCT = Product(
    code="P",
    calendar=ONE_SHIFT,
    demand=Demand(quantity=480, period=Period.DAY),
    lines=(MAIN, BOARD),
    tasks=(
        Task(number="10", time_ms=50_000),
        Task(number="20", time_ms=55_000),
        Task(number="b1", line="board", time_ms=25_000),
    ),
)
OF_MAIN = answer(station(1, ("10",), 50), station(2, ("20",), 55), limit=60.0)
OF_BOARD = answer(station(1, ("b1",), 25), line="board", limit=30.0)


def plans(*results: BalanceResult) -> ProductPlan:
    return ProductPlan(lines=tuple(LinePlan(line=each.line, result=each) for each in results))


def codes(*results: BalanceResult, product: Product = PRODUCT) -> list[str]:
    return [finding.code for finding in check_plans(product, plans(*results))]


def with_line(name: str = "main", **facts: Any) -> Product:
    lines = tuple(replace(line, **facts) if line.name == name else line for line in PRODUCT.lines)
    return replace(PRODUCT, lines=lines)


def test_plans_at_one_pace_have_no_findings():
    assert codes(OF_MAIN, OF_BOARD) == []


def test_a_line_without_a_plan_is_named():
    assert codes(OF_MAIN) == ["no-plan"]


def test_a_bought_in_line_needs_no_plan():
    product = replace(with_line("board", bought_in=True), tasks=PRODUCT.tasks[:2])
    assert codes(OF_MAIN, product=product) == []


def test_a_line_that_is_slower_than_the_pace_is_named():
    slow = answer(station(1, ("b1",), 31), line="board", limit=30.0)
    assert codes(OF_MAIN, slow) == ["line-too-slow"]


def test_repositioning_counts_for_the_pace():
    product = with_line("board", repositioning_ms=5_001)
    assert "line-too-slow" in codes(OF_MAIN, OF_BOARD, product=product)


def test_plans_for_different_paces_are_named():
    # For a board in 28 s: a lamp in 56 s.
    assert codes(OF_MAIN, answer(*OF_BOARD.stations, line="board", limit=28.0)) == ["paces-differ"]


def test_the_two_paces_are_told_as_starts_on_the_main_line():
    other = answer(*OF_BOARD.stations, line="board", limit=28.0)
    (finding,) = check_plans(PRODUCT, plans(OF_MAIN, other))
    assert "a start on line main every 56 s, that of line main for one every 60 s" in (
        finding.message
    )


def test_a_plan_of_other_tasks_is_named():
    now = replace(PRODUCT, tasks=(*PRODUCT.tasks, Task(number="b2", line="board", time_ms=1)))
    assert codes(OF_MAIN, OF_BOARD, product=now) == ["plan-out-of-date"]


def test_a_join_that_is_at_no_station_is_named():
    of_main = answer(station(1, ("10",), 50), limit=60.0)
    assert "join-at-no-station" in codes(of_main, OF_BOARD)


def test_a_join_at_the_first_station_is_noted():
    assert codes(OF_MAIN, OF_BOARD, product=with_line("board", join="10")) == [
        "join-at-first-station"
    ]


def test_two_feeders_at_one_station_are_noted():
    product = replace(PRODUCT, lines=(MAIN, BOARD, replace(BOARD, name="loom", bought_in=True)))
    assert codes(OF_MAIN, OF_BOARD, product=product) == ["joins-share-station"]


MOVING = {"conveyor": Conveyor.CONTINUOUS, "pitch_m": 1.2}


@pytest.mark.parametrize(
    ("facts", "code"),
    [
        ({**MOVING, "hall_m": 2.3}, "line-too-long"),  # two stations of 1.2 m
        ({**MOVING, "hall_m": 2.4}, ""),
        ({**MOVING, "speed_limit_m_per_min": 1.1}, "conveyor-too-fast"),  # 1.2 m in 60 s
        ({**MOVING, "speed_limit_m_per_min": 1.2}, ""),
        # 1.2 m in 3 s of repositioning: 24 m/min.
        ({"pitch_m": 1.2, "repositioning_ms": 3_000, "speed_limit_m_per_min": 23},
         "conveyor-too-fast"),
        # Two places and 90 s back: 3.5 takts, rounded up.
        ({"carriers": 3, "carrier_return_ms": 90_000}, "carriers-short"),
        ({"carriers": 4, "carrier_return_ms": 90_000}, ""),
    ],
)  # fmt: skip
def test_what_hall_speed_and_carriers_do_not_allow_is_named(facts: dict[str, Any], code: str):
    found = whole_line(with_line(**facts), plans(OF_MAIN, OF_BOARD)).findings
    assert [f.code for f in found if f.where == "Line main"] == ([code] if code else [])


def test_own_station_lengths_count():
    settings = (StationSetting(number=2, length_m=3.0),)
    told = whole_line(with_line(**MOVING, stations=settings), plans(OF_MAIN, OF_BOARD)).line("main")
    # 1.2 m + 3.0 m, 4.2 m at 1.2 m in 60 s.
    assert (told and told.length_m, told and told.time_on_line_s) == (4.2, 210)
