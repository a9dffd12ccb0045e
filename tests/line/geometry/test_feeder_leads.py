"""Leads of feeders: when they start, before the main line or after it. By hand."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from printed_formulas import misses
from small_plans import answer, station
from small_products import ONE_SHIFT

from stationflow.line.whole_line import WholeLine, whole_line
from stationflow.model import (
    BalanceResult,
    Demand,
    FurtherJoin,
    Line,
    LinePlan,
    Period,
    Product,
    ProductPlan,
    Task,
)

# 480 minutes a day and 640 units: one in 45 s.
DEMAND = Demand(quantity=640, period=Period.DAY)


def line_of(name: str, stations: int) -> tuple[tuple[Task, ...], BalanceResult]:
    """Return the tasks of a line, one at each station, and their plan; each takes 40 s."""
    numbers = [f"{name}{at}" for at in range(1, stations + 1)]
    tasks = tuple(Task(number=number, line=name, time_ms=40_000) for number in numbers)
    held = (station(at, (number,), 40) for at, number in enumerate(numbers, 1))
    return tasks, answer(*held, line=name)


def plant(
    stations: dict[str, int],
    *feeders: Line,
    joins: tuple[FurtherJoin, ...] = (),
    main: Line | None = None,
    demand: Demand = DEMAND,
) -> WholeLine:
    """Return the figures of a main line and feeders with so many stations each."""
    made = {name: line_of(name, count) for name, count in stations.items()}
    product = Product(
        code="P",
        calendar=ONE_SHIFT,
        demand=demand,
        lines=(main or Line(), *feeders),
        joins=joins,
        tasks=tuple(task for tasks, _ in made.values() for task in tasks),
    )
    plans = tuple(LinePlan(line=name, result=result) for name, (_, result) in made.items())
    return whole_line(product, ProductPlan(lines=plans))


def feeder(name: str = "board", feeds: str = "main", join: str = "main8", **facts: Any) -> Line:
    return Line(name=name, feeds=feeds, join=join, **facts)


def lead(figures: WholeLine, line: str = "board") -> float | None:
    told = figures.line(line)
    return told.lead_s if told else None


def units(figures: WholeLine, line: str = "board") -> float | None:
    told = figures.line(line)
    return told.lead_units if told else None


def test_a_long_feeder_starts_before_the_main_line():
    # (12 stations + 6 buffer places - 7 stations before the join) x 45 s = 495 s.
    told = plant({"main": 10, "board": 12}, feeder(buffer_places=6))
    assert (lead(told), units(told)) == (495, 11)


def test_a_short_feeder_of_a_late_join_starts_after_the_main_line():
    # (5 + 4 - 29) x 45 s = -900 s.
    told = plant({"main": 30, "board": 5}, feeder(buffer_places=4, join="main30"))
    assert (lead(told), units(told)) == (-900, -20)


def test_transport_is_added():
    told = plant({"main": 10, "board": 12}, feeder(buffer_places=6, transport_ms=30_000))
    assert lead(told) == 525


def test_leads_of_feeders_of_feeders_are_summed():
    # Coil: 3 stations, joins at station 2 of the board: (3 - 1) x 45 s before it.
    told = plant(
        {"main": 10, "board": 12, "coil": 3},
        feeder(buffer_places=6),
        feeder("coil", "board", "board2"),
    )
    assert lead(told, "coil") == 495 + 90


def test_a_set_is_complete_with_its_last_unit():
    # Two boards a unit, one in 22.5 s: (4 + 1) x 22.5 s - 1 x 45 s.
    told = plant({"main": 3, "board": 4}, feeder(quantity=2, join="main2"))
    assert lead(told) == 67.5


def test_of_several_joins_the_one_that_asks_for_most_decides():
    # At station 8 or at station 2, two units an assembly in 22.5 s: 12 x 22.5 s - 45 s.
    joins = (FurtherJoin(line="board", feeds="main", join="main2"),)
    assert lead(plant({"main": 10, "board": 12}, feeder(), joins=joins)) == 225


def test_a_bought_in_feeder_is_there_when_its_buffer_asks_for_it():
    # 10 places of 45 s - 7 x 45 s.
    told = plant({"main": 10}, feeder(bought_in=True, buffer_places=10))
    assert lead(told) == 135


def test_a_bought_in_feeder_has_no_stations():
    told = plant({"main": 10}, feeder(bought_in=True)).line("board")
    assert (told and told.stations, told and told.is_planned) == (0, False)


def test_the_copies_of_a_feeder_are_slower_each():
    # Two copies start every 90 s: 12 x 90 s - 7 x 45 s.
    assert lead(plant({"main": 10, "board": 12}, feeder(copies=2))) == 765


def test_the_copies_of_a_feeder_fill_one_buffer_together():
    told = plant({"main": 10, "board": 12}, feeder(copies=2, buffer_places=6))
    assert lead(told) == 765 + 6 * 45


def test_a_feeder_without_a_plan_has_no_lead():
    assert lead(plant({"main": 10}, feeder())) is None


def test_a_feeder_that_joins_at_no_station_has_no_lead():
    assert lead(plant({"main": 10, "board": 2}, feeder(join="main99"))) is None


def test_filling_begins_with_the_first_feeder():
    # 495 s of lead and 10 stations of 45 s.
    assert plant({"main": 10, "board": 12}, feeder(buffer_places=6)).filling_s == 945


def test_the_first_unit_passes_the_join_after_the_stations_before_it():
    told = plant({"main": 10, "board": 12}, feeder(buffer_places=6))
    first = {(row.line, row.station): row.first_s for row in told.schedule}
    assert (first["main", 8], first["board", 1], first["board", None]) == (315, -495, 45)


def test_the_last_unit_leaves_each_station_a_takt_after_it_comes():
    told = plant({"main": 10, "board": 12}, feeder(buffer_places=6))
    last = {(row.line, row.station): row.last_s for row in told.schedule}
    assert (last["main", 8], last["main", 10]) == (360, 450)


def test_every_text_gives_its_number():
    told = plant(
        {"main": 10, "board": 12, "coil": 3},
        feeder(buffer_places=6, quantity=2, yield_share=0.97, transport_ms=12_340),
        feeder("coil", "board", "board2", replacement_share=0.03),
        main=Line(pitch_m=1.37, repositioning_ms=1_500, carriers=4, carrier_return_ms=77_000),
        demand=replace(DEMAND, quantity=637),
    )
    opened = [number for line in told.lines for number in (*line.numbers, *told.own_numbers)]
    assert [miss for number in opened for miss in misses(number)] == []


def test_what_is_bought_in_does_not_fill_the_line():
    # The ten stations of the main line alone.
    told = plant({"main": 10}, feeder(bought_in=True, buffer_places=99))
    assert told.filling_s == 450


@given(
    st.integers(1, 20),
    st.integers(0, 6),
    st.integers(1, 8),
    st.integers(1, 4),
    st.integers(1, 3),
    st.integers(0, 500_000),
)
def test_the_set_of_every_unit_is_there_when_it_comes_to_the_join_and_not_before(
    stations: int, buffer: int, join: int, quantity: int, copies: int, transport_ms: int
):
    """Counted unit by unit: arrivals of the feeder against what the join has taken."""
    line = feeder(
        buffer_places=buffer,
        join=f"main{join}",
        quantity=float(quantity),
        copies=copies,
        transport_ms=transport_ms,
    )
    told = plant({"main": 8, "board": stations}, line)
    takt, ahead = (
        Fraction(45 * copies, quantity),
        Fraction(str(lead(told))).limit_denominator(10**6),
    )
    way = stations * takt + Fraction(transport_ms, 1000)
    arrive = sorted(-ahead + way + turn * takt / copies for turn in range(quantity * 30 + buffer))
    waiting = []  # of the units that have come when one comes to the join, those not yet taken
    for unit in range(12):
        at = (join - 1 + unit) * 45 + Fraction(1, 1000)
        waiting.append(sum(when <= at for when in arrive) - quantity * unit)
    assert set(waiting) == {quantity + buffer}


@given(st.integers(1, 40), st.integers(0, 9), st.integers(1, 8), st.integers(1, 20))
def test_a_pace_times_k_makes_every_lead_k_times_as_long(
    stations: int, buffer: int, join: int, k: int
):
    """And changes none in units of the main line."""
    of = {"main": 8, "board": stations}
    line = feeder(buffer_places=buffer, join=f"main{join}")
    one = plant(of, line)
    other = plant(of, line, demand=Demand(quantity=640 / k, period=Period.DAY))
    assert (lead(other), units(other)) == pytest.approx((k * (lead(one) or 0), units(one)))
