"""Zones: a task that asks for one is done there.

Where stations state the zone, the task goes to one of them. Where none states it, a
station that states no other takes the zone of its first zoned task. Two zones never
share a station; a task without a zone goes anywhere.
"""

from collections import defaultdict
from collections.abc import Iterator
from itertools import combinations

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import (
    ALL_STATIONS,
    Limit,
    Pairs,
    StationSet,
    station_set,
)
from stationflow.balancing.task_check import shortened


def _forms(entered: EnteredLimits) -> Iterator[StationSet | Pairs]:
    stated: dict[str, list[int]] = defaultdict(list)
    for setting in entered.stations:
        if setting.zone:
            stated[setting.zone].append(setting.number)
    free = ALL_STATIONS & ~station_set(n for numbers in stated.values() for n in numbers)
    asking: dict[str, list[int]] = defaultdict(list)
    for task, limits in enumerate(entered.tasks):
        if zone := limits.zone:
            asking[zone].append(task)
            if zone in stated:
                named = shortened([str(number) for number in stated[zone]])
                said = f"task {entered.numbers[task]} needs zone {zone} (station {named})"
                yield StationSet(task, station_set(stated[zone]), said)
            elif stated:
                said = f"task {entered.numbers[task]} needs zone {zone}, other stations have theirs"
                yield StationSet(task, free, said)
    for one, other in combinations(asking, 2):
        said = f"zones {one} and {other} do not share a station"
        yield Pairs(tuple(asking[one]), tuple(asking[other]), said)


LIMIT = Limit(task_fields=("zone",), station_fields=("zone",), forms=_forms)
