"""Equipment: a task that asks for it goes to a station that has it.

Where stations state the equipment, the task goes to one of them; where none states it,
the station that gets the task gets the equipment.
"""

from collections import defaultdict
from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, StationSet, station_set
from stationflow.balancing.task_check import shortened


def _stations(entered: EnteredLimits) -> Iterator[StationSet]:
    stated: dict[str, list[int]] = defaultdict(list)
    for setting in entered.stations:
        for name in setting.equipment:
            stated[name].append(setting.number)
    for task, limits in enumerate(entered.tasks):
        for name in limits.equipment:
            if name in stated:
                named = shortened([str(number) for number in stated[name]])
                said = f"task {entered.numbers[task]} needs {name} (station {named})"
                yield StationSet(task, station_set(stated[name]), said)


LIMIT = Limit(task_fields=("equipment",), station_fields=("equipment",), forms=_stations)
