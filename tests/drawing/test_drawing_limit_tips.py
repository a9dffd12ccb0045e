"""What is said of the limits of a task or station that is pointed at."""

from dataclasses import replace

import pytest
from small_products import LAMP

from stationflow.drawing.limit_tips import LimitTips, limit_tips
from stationflow.model import Line, StationSetting, StationTime, TaskLimits, TimeLag

FIRST, SECOND = (task.number for task in LAMP.tasks_of("main")[:2])


def tips(*stations: StationSetting, lags: tuple[TimeLag, ...] = (), **of_first) -> LimitTips:
    """Return the tips of the lamp with settings of its first task and of stations."""
    tasks = [replace(task, **of_first) if task.number == FIRST else task for task in LAMP.tasks]
    return limit_tips(
        replace(LAMP, tasks=tuple(tasks), lags=lags, lines=(Line(stations=stations),)), "main"
    )


def test_a_task_or_station_without_limits_is_left_out():
    assert tips(StationSetting(number=2, operators=2)) == LimitTips()


def test_the_limits_of_a_task_are_named():
    limits = TaskLimits(latest_station=2, guarded=True)
    assert tips(limits=limits).tasks == {FIRST: "latest station 2; high-voltage guard"}


def test_a_time_of_its_own_at_a_station_is_named():
    there = (StationTime(station=3, time_ms=12_000),)
    assert tips(station_times=there).tasks == {FIRST: "12.0 s at station 3"}


@pytest.mark.parametrize(
    ("lag", "said"),
    [
        ({"shortest_ms": 30_000}, "at least 30.0 s"),
        ({"longest_ms": 90_000, "most_stations": 1}, "at most 90.0 s and at most 1 station"),
    ],
)
def test_what_lies_between_two_tasks_is_named_at_both(lag: dict[str, int], said: str):
    shown = tips(lags=(TimeLag(before=FIRST, after=SECOND, **lag),)).tasks
    assert shown == {FIRST: f"{said} before task {SECOND}", SECOND: f"{said} after task {FIRST}"}


def test_what_a_station_has_and_may_not_have_is_named():
    station = StationSetting(
        number=2, target_share=0.95, zone="wet", equipment=("press",), equipment_barred=("oven",)
    )
    assert tips(station).stations == {
        2: "target share 95 %; zone wet; equipment press; equipment it may not get oven"
    }
