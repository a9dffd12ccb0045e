"""Tasks kept together: all tasks of one label share a station."""

from collections import defaultdict
from collections.abc import Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Group, Limit
from stationflow.balancing.task_check import shortened


def _groups(entered: EnteredLimits) -> Iterator[Group]:
    having: dict[str, list[int]] = defaultdict(list)
    for task, limits in enumerate(entered.tasks):
        if limits.together:
            having[limits.together].append(task)
    for label, tasks in having.items():
        if len(tasks) > 1:
            named = shortened([entered.numbers[task] for task in tasks])
            yield Group(tuple(tasks), f"tasks {named} are kept together ({label})")


LIMIT = Limit(task_fields=("together",), forms=_groups)
