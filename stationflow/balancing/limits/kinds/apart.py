"""Tasks kept apart: they never share a station."""

from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit, Pairs


def _pairs(entered: EnteredLimits) -> Iterator[Pairs]:
    position = {number: task for task, number in enumerate(entered.numbers)}
    for task, limits in enumerate(entered.tasks):
        for other in limits.apart:
            if position.get(other, task) != task:
                said = f"tasks {entered.numbers[task]} and {other} are kept apart"
                yield Pairs((task,), (position[other],), said)


LIMIT = Limit(task_fields=("apart",), forms=_pairs)
