"""Time at a certain station: a task that takes another time there than elsewhere."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, TimeAt


def _times(entered: EnteredLimits) -> Iterator[TimeAt]:
    for task, times in enumerate(entered.station_times):
        for at in {at.station: at for at in times}.values():
            number, time_s = entered.numbers[task], at.time_ms / 1000
            said = f"task {number} takes {time_s:g} s at station {at.station}"
            yield TimeAt(task, at.station, at.time_ms, said)


LIMIT = Limit(name="time at a station", forms=_times)
