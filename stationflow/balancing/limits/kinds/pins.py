"""Pins: tasks that stay at their stations, and stations that no other task joins."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import ALL_STATIONS, Limit, StationSet, station_set


def _stations(entered: EnteredLimits) -> Iterator[StationSet]:
    pins = entered.pins
    station_of = dict(pins.tasks)
    free = ALL_STATIONS & ~station_set(pins.stations)
    for task, number in enumerate(entered.numbers):
        if number in station_of:
            at = station_of[number]
            yield StationSet(task, station_set([at]), f"task {number} is pinned at station {at}")
        elif pins.stations:
            named = ", ".join(map(str, pins.stations))
            yield StationSet(task, free, f"station {named} is locked for task {number}")


LIMIT = Limit(task_fields=(), forms=_stations)
