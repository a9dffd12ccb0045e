"""Rows of a load chart where a station has times of its own or turns the unit over."""

from dataclasses import replace

from limited_lines import limited, line

from stationflow.balancing.balance import balance
from stationflow.balancing.load_rows import load_chart_rows
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceSettings, StationTime, TaskLimits


def rows(work: LineWork) -> list[tuple[str, float]]:
    result = balance(work, BalanceSettings(method="largest-candidate", limit=20))
    return [(r["task"], r["time"]) for r in load_chart_rows(result, work.times_by_number)]


def test_a_task_has_its_time_at_the_station():
    # 4 elsewhere, 6 at station 1.
    work = limited(line((4, 3), (0, 1)))
    own = ((StationTime(station=1, time_ms=6),), ())
    work = replace(work, limits=replace(work.limits, station_times=own))
    assert rows(work) == [("T0", 6), ("T1", 3)]


def test_turning_the_unit_over_is_in_the_last_task():
    work = limited(line((4, 3), (0, 1)), T0=TaskLimits(attitude="up"), T1=TaskLimits(attitude="on"))
    turning = replace(work.limits.line, turn_ms=2)
    work = replace(work, limits=replace(work.limits, line=turning))
    assert rows(work) == [("T0", 4), ("T1", 5)]
