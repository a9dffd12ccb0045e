"""Stations of task numbers become an assignment, measured on the work of the line."""

from collections.abc import Iterable, Sequence
from itertools import accumulate

from stationflow.balancing.work import LineWork
from stationflow.model import Assignment, OperatorWork, Station


def assignment(work: LineWork, stations: Iterable[tuple[int, Sequence[str]]]) -> Assignment:
    """Return an assignment of one operator a station, who does the tasks one after another.

    Stations are in line order; a task that is not on the line takes no time.
    """
    mean = dict(zip(work.numbers, work.times, strict=True))
    models = [(m, dict(zip(work.numbers, times, strict=True))) for m, times in work.model_times]

    def station(number: int, tasks: Sequence[str]) -> Station:
        *starts, end = accumulate((mean.get(task, 0) for task in tasks), initial=0)
        return Station(
            number=number,
            operators=(OperatorWork(tasks=tuple(zip(tasks, starts, strict=True))),),
            work_ticks=end,
            model_ticks=tuple((m, sum(time.get(t, 0) for t in tasks)) for m, time in models),
        )

    return Assignment(stations=tuple(station(number, tasks) for number, tasks in stations))
