"""Stations that somebody gave, measured on the line's own times."""

from collections.abc import Iterable, Sequence

from stationflow.balancing.bounds import bounds, cycle_bounds
from stationflow.balancing.limits.not_kept import not_kept_by_any
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import BalanceResult, Ending, Goal, StationLoad, has_errors
from stationflow.pace.takt import LinePace

GIVEN = "given"
"""What stands for the method of stations that no method made."""


def given_result(
    work: LineWork,
    stations: Iterable[tuple[int, Sequence[str]]],
    *,
    limit: float | None,
    pace: LinePace | None = None,
    method: str = GIVEN,
    most_stations: int | None = None,
) -> BalanceResult:
    """Return given stations as a result: loads, what `verify` says, and what is proven.

    What speaks against them stands in the findings, and the ending is then None.

    Parameters
    ----------
    work
        The work of the line.
    stations
        Numbers of the stations, each with the numbers of its tasks.
    limit
        Limit of a station in the time unit of the work; None: the cycle is to be short.
    pace
        Of the line, where it has one.
    method
        What is said to have made them.
    most_stations
        How many stations the bounds on the cycle allow; None: as many as are given.
    """
    time = dict(zip(work.numbers, work.times, strict=True))
    held = [(number, tuple(tasks)) for number, tasks in stations]
    loads = [sum(time.get(task, 0) for task in tasks) for _, tasks in held]
    verdict = verify(work, [tasks for _, tasks in held], takt=limit)
    proved, is_best = _proved(work, loads, limit, most_stations or len(held))
    # `verify` knows every kind of limit that some method keeps; more may be entered.
    is_proven = is_best and not not_kept_by_any(work.limits)
    ending = Ending.OPTIMAL if is_proven else Ending.FOUND
    return BalanceResult(
        line=work.line,
        goal=Goal.FEWEST_STATIONS if limit else Goal.SHORTEST_CYCLE,
        ending=None if has_errors(verdict) else ending,
        method=method,
        stations=tuple(
            StationLoad(number=number, tasks=tasks, work=in_time_unit(work, load))
            for (number, tasks), load in zip(held, loads, strict=True)
        ),
        takt=limit,
        takt_time=pace.takt_time_s if pace else None,
        operating_takt=pace.operating_takt_s if pace else None,
        lower_bound=max((bound for _, bound in proved), default=0.0),
        bounds=proved,
        time_unit=work.time_unit,
        findings=verdict,
    )


def _proved(
    work: LineWork, loads: Sequence[int], limit: float | None, stations: int
) -> tuple[tuple[tuple[str, float], ...], bool]:
    """Return the bounds by name, in stations or time, and whether the plan reaches one."""
    problem = balance_problem(work, limit)
    if problem.limit is None:
        named = cycle_bounds(problem, stations)
        is_best = any(bound * problem.scale >= max(loads) for _, bound in named)
        return tuple((n, in_time_unit(work, b * problem.scale)) for n, b in named), is_best
    if problem.longest > problem.limit:  # it fits into no station, however many there are
        return (), False
    named = bounds(problem)
    is_best = any(bound >= len(loads) for _, bound in named)
    return tuple((name, float(bound)) for name, bound in named), is_best
