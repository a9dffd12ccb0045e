"""Stations of task numbers become an assignment, measured on the work of the line."""

from collections.abc import Iterable, Sequence
from itertools import accumulate

from stationflow.balancing.cycle_needed import shortest_cycle
from stationflow.balancing.work import LineWork, own_times, turns_at
from stationflow.model import Assignment, OperatorWork, Station


def assignment(work: LineWork, stations: Iterable[tuple[int, Sequence[str]]]) -> Assignment:
    """Return an assignment of one operator a station, who does the tasks one after another.

    Stations are in line order; a task that is not on the line takes no time.
    """
    mean = dict(zip(work.numbers, work.times, strict=True))
    models = [(m, dict(zip(work.numbers, times, strict=True))) for m, times in work.model_times]

    own = own_times(work)

    def station(number: int, tasks: Sequence[str]) -> Station:
        times = [mean.get(task, 0) for task in tasks]
        there = [own.get((task, number), time) for task, time in zip(tasks, times, strict=True)]
        turns = turns_at(work, tasks)  # after all of them
        *starts, end = accumulate(there, initial=0)
        more = turns + sum(there) - sum(times)  # of each model as of the mean
        return Station(
            number=number,
            operators=(OperatorWork(tasks=tuple(zip(tasks, starts, strict=True))),),
            work_ticks=end + turns,
            model_ticks=tuple(
                (m, max(0, sum(time.get(t, 0) for t in tasks) + more)) for m, time in models
            ),
            cycle_ticks=shortest_cycle(work, number, tasks, end + turns),
        )

    return Assignment(stations=tuple(station(number, tasks) for number, tasks in stations))
