"""Fixed, earliest and latest station of a task."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import (
    Limit,
    StationSet,
    from_station,
    station_set,
    up_to_station,
)


def _stations(entered: EnteredLimits) -> Iterator[StationSet]:
    for task, limits in enumerate(entered.tasks):
        number = f"task {entered.numbers[task]}"
        if (fixed := limits.station) is not None:
            yield StationSet(task, station_set([fixed]), f"{number} is fixed at station {fixed}")
        if (first := limits.earliest_station) is not None:
            said = f"{number} is at station {first} or later"
            yield StationSet(task, from_station(first), said)
        if (last := limits.latest_station) is not None:
            said = f"{number} is at station {last} or earlier"
            yield StationSet(task, up_to_station(last), said)


LIMIT = Limit(task_fields=("station", "earliest_station", "latest_station"), forms=_stations)
