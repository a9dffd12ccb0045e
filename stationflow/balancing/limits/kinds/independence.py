"""Independence: who checks did not do the work, so the two tasks never share a station."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, Pairs


def _pairs(entered: EnteredLimits) -> Iterator[Pairs]:
    position = {number: task for task, number in enumerate(entered.numbers)}
    for task, limits in enumerate(entered.tasks):
        for other in limits.independent_of:
            if position.get(other, task) != task:
                said = f"task {entered.numbers[task]} has another operator than task {other}"
                yield Pairs((task,), (position[other],), said)


LIMIT = Limit(task_fields=("independent_of",), forms=_pairs)
