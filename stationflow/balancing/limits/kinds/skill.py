"""Skills and certificates: a task that asks for one goes to a station whose operator has it.

Where no station states the skill, whoever works at the task's station is taught it.
"""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, StationSet
from stationflow.balancing.limits.stated import where_stated


def _stations(entered: EnteredLimits) -> Iterator[StationSet]:
    return where_stated(
        entered,
        lambda limits: [f"the skill {limits.skill}"] if limits.skill else [],
        lambda setting: [f"the skill {skill}" for skill in setting.skills],
    )


LIMIT = Limit(task_fields=("skill",), station_fields=("skills",), forms=_stations)
