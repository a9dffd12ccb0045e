"""Static-protected areas and high-voltage guards: such a task goes to a station that has one.

Where no station states it, the station that gets the task gets the protection. Tasks that
need none may share the station.
"""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, StationSet
from stationflow.balancing.limits.stated import where_stated
from stationflow.model import StationSetting, TaskLimits


def _needs(what: TaskLimits | StationSetting) -> list[str]:
    words = {"a static-protected area": what.static_safe, "a high-voltage guard": what.guarded}
    return [word for word, is_so in words.items() if is_so]


def _stations(entered: EnteredLimits) -> Iterator[StationSet]:
    return where_stated(entered, _needs, _needs)


LIMIT = Limit(
    task_fields=("static_safe", "guarded"),
    station_fields=("static_safe", "guarded"),
    forms=_stations,
)
