"""What stations state, and what tasks name: kinds of limits are read alike by it."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Pairs, StationSet, station_set
from stationflow.balancing.task_check import shortened
from stationflow.model import StationSetting, TaskLimits


def stating(
    entered: EnteredLimits, has: Callable[[StationSetting], Iterable[str]]
) -> dict[str, list[int]]:
    """Return the numbers of the stations that state each thing."""
    stated: dict[str, list[int]] = defaultdict(list)
    for setting in entered.stations:
        for thing in has(setting):
            stated[thing].append(setting.number)
    return stated


def where_stated(
    entered: EnteredLimits,
    asks: Callable[[TaskLimits], Iterable[str]],
    has: Callable[[StationSetting], Iterable[str]],
) -> Iterator[StationSet]:
    """Yield the stations of each task that asks for what some station has.

    What no station states is no limit: the station that gets the task gets it too.
    """
    stated = stating(entered, has)
    for task, limits in enumerate(entered.tasks):
        for thing in asks(limits):
            if thing in stated:
                named = shortened([str(number) for number in stated[thing]])
                said = f"task {entered.numbers[task]} needs {thing} (station {named})"
                yield StationSet(task, station_set(stated[thing]), said)


def pairs_named(
    entered: EnteredLimits, others: Callable[[TaskLimits], Iterable[str]], said: str
) -> Iterator[Pairs]:
    """Yield a task and each other that it names, which never share a station."""
    position = {number: task for task, number in enumerate(entered.numbers)}
    for task, limits in enumerate(entered.tasks):
        for other in others(limits):
            if position.get(other, task) != task:
                words = said.format(task=entered.numbers[task], other=other)
                yield Pairs((task,), (position[other],), words)
