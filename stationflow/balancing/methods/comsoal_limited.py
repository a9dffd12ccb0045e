"""Trials of COMSOAL on a line with limits that the compiled loops do not know."""

from collections.abc import Sequence
from random import Random

from stationflow.balancing.limits.joining import SHARES
from stationflow.balancing.limits.station_filling import Bars, StationFilling, keeps_all
from stationflow.balancing.methods.method import Stations


def run_limited_trials(
    bars: Bars, limit: int, best: int, seeds: Sequence[int], *, at_limit: bool
) -> tuple[int, Stations]:
    """Fill stations once for each seed, until a trial needs fewer than `best` stations.

    Return how many seeds were used and the stations of the last (none: it was not better).
    `at_limit`: whether a plan is judged at the limit, not at the cycle that it needs itself.
    """
    for used, seed in enumerate(seeds, 1):
        filling = StationFilling(bars, limit, SHARES[used % len(SHARES)])
        stations = _filled(bars, filling, Random(seed), best - 1)
        if stations and keeps_all(bars.problem, stations, limit if at_limit else None):
            return used, stations
    return len(seeds), ()


def _filled(bars: Bars, filling: StationFilling, draw: Random, most: int) -> Stations:
    """Return stations filled by drawing among the tasks that may join; none: too many."""
    problem = bars.problem
    missing = [len(row) for row in problem.predecessors]
    available = [task for task, count in enumerate(missing) if not count]
    stations: list[tuple[int, ...]] = []
    while filling.unplaced:
        if filling.is_lost or len(stations) == most:
            return ()
        filling.open()
        tried: set[int] = set()
        while not filling.is_lost:
            able = [t for t in available if t not in tried and filling.has_turn(t)]
            if not able:
                if not filling.next_turn():
                    break
                tried = set()
                continue
            task = draw.choice(able)
            if not filling.fits(task):
                tried.add(task)
                continue
            available.remove(task)
            filling.join(task)
            for after in problem.successors[task]:
                missing[after] -= 1
                if not missing[after]:
                    available.append(after)
        if filling.late:
            return ()
        stations.append(tuple(filling.here))
    return tuple(stations)
