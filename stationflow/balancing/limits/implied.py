"""Stations that a task can be at by itself: what its limits say, and what they imply for it."""

from collections.abc import Iterator, Sequence

from stationflow.balancing.limits.forms import ALL_STATIONS, StationSet
from stationflow.balancing.problem import BalanceProblem


def station_sets(problem: BalanceProblem, limit: int | None) -> Iterator[StationSet]:
    """Yield the stations of tasks: entered ones, and those where one task alone is too much.

    `limit`: of a station; None: there is none, and any time is short enough.
    """
    forms = problem.forms
    yield from forms.stations
    for measure in forms.measures:
        for task, amount in enumerate(measure.amounts):
            usual = ALL_STATIONS if measure.usual is None or amount <= measure.usual else 0
            bits = _with_bits(usual, [(k, amount <= room) for k, room in measure.at])
            if amount and bits != ALL_STATIONS:
                yield StationSet(task, bits, measure.said)
    if limit is None:
        return
    for rate in forms.rates:
        for task, amount in enumerate(rate.amounts):
            if amount > limit + rate.lost:
                yield StationSet(task, 0, rate.said)
    own = {(form.task, form.station): form for form in forms.times}
    for form in forms.times:
        usual = ALL_STATIONS if problem.times[form.task] <= limit else 0
        bits = _with_bits(usual, [(form.station, form.time <= limit)])
        if usual and bits != ALL_STATIONS:
            yield StationSet(form.task, bits, form.said)
    for target in forms.targets:
        for station, _ in target.at:
            most = target.most(station, limit)
            for task, time in enumerate(problem.times):
                there = own[task, station].time if (task, station) in own else time
                if there > most:
                    yield StationSet(
                        task, _with_bits(ALL_STATIONS, [(station, False)]), target.said
                    )


def _with_bits(stations: int, bits: Sequence[tuple[int, bool]]) -> int:
    for station, is_in in bits:
        stations = stations | 1 << station if is_in else stations & ~(1 << station)
    return stations
