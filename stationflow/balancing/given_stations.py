"""Stations that somebody gave, measured on the line's own times."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from stationflow.balancing.assignment import assignment
from stationflow.balancing.bounds import bounds, cycle_bounds
from stationflow.balancing.limits.forms import ALL_FORMS
from stationflow.balancing.limits.not_kept import kept_limits, not_kept_by_any
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, in_time_unit
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    DemandPace,
    Effort,
    Ending,
    Goal,
    OperatorWork,
    Proof,
    Side,
    Station,
    has_errors,
)
from stationflow.pace.takt import LinePace

GIVEN = "given"
"""What stands for the method of stations that no method made."""
BY_HAND = "by-hand"
"""What stands for the method of a plan that was moved by hand."""


@dataclass(frozen=True, slots=True)
class GivenStation:
    """A station as somebody gave it; what it takes is measured, never taken over."""

    number: int
    tasks: tuple[str, ...]
    place: str = ""
    side: Side | None = None
    copies: int = 1
    # of several operators the tasks of each with their starts, in the time unit of the work;
    # empty: one operator does all tasks, one after another
    operators: tuple[tuple[tuple[str, float], ...], ...] = ()


def given_result(
    work: LineWork,
    stations: Iterable[GivenStation],
    *,
    limit: float | None,
    pace: LinePace | None = None,
    asked: BalanceSettings | None = None,
    effort: Effort | None = None,
) -> BalanceResult:
    """Return given stations as a result: loads, what `verify` says, and what is proven.

    What speaks against them stands in the findings, and the ending is then None. `limit` is in
    the time unit of the work (None: there is none); `asked` is the question they answer (None: at
    the limit, or the shortest cycle of as many stations), `effort` what is said to have been done.
    """
    asked = asked or BalanceSettings(method=GIVEN)
    given = tuple(stations)
    measured = assignment(work, ((station.number, station.tasks) for station in given))
    held = tuple(map(_as_given, [work] * len(given), given, measured.stations))
    made = replace(measured, stations=held)
    if limit is None and asked.stations is None:
        asked = replace(asked, stations=len(held))
    asked = replace(asked, limit=limit)
    tasks, most = [station.tasks for station in held], asked.stations
    verdict = verify(work, tasks, limit=limit, most_stations=most)
    proved, is_best = _proved(work, [s.work_ticks for s in held], asked)
    # `verify` knows every kind of limit that some method keeps; more may be entered.
    is_proven = is_best and not not_kept_by_any(work.limits)
    ending = Ending.OPTIMAL if is_proven else Ending.FOUND
    is_at_pace = pace is not None and limit is not None and limit == pace.station_time_s
    return BalanceResult(
        line=work.line,
        asked=replace(asked, limit=None) if is_at_pace else asked,
        pace=pace.in_plan if pace and is_at_pace else DemandPace(),
        assignment=made,
        proof=Proof(
            ending=None if has_errors(verdict) else ending,
            lower_bound=max((bound for _, bound in proved), default=0.0),
            bounds=proved,
            limits_kept=() if has_errors(verdict) else kept_limits(work.limits, ALL_FORMS),
        ),
        effort=effort or Effort(),
        time_unit=work.time_unit,
        ticks=work.ticks,
        findings=verdict,
    )


def _as_given(work: LineWork, given: GivenStation, measured: Station) -> Station:
    operators = measured.operators
    if len(given.operators) > 1:
        operators = tuple(_operator_work(work, tasks) for tasks in given.operators)
    return replace(
        measured,
        place=given.place,
        side=given.side,
        copies=given.copies,
        operators=operators,
    )


def _operator_work(work: LineWork, tasks: Iterable[tuple[str, float]]) -> OperatorWork:
    """Return the tasks of one operator at their starts, or later where the one before lasts."""
    times = dict(zip(work.numbers, work.times, strict=True))
    begun: list[tuple[str, int]] = []
    end = 0
    for task, start in sorted(tasks, key=lambda each: each[1]):
        begin = max(end, round(Decimal(str(start)) * work.ticks))
        begun.append((task, begin))
        end = begin + times.get(task, 0)
    return OperatorWork(tasks=tuple(begun))


def _proved(
    work: LineWork, loads: Sequence[int], asked: BalanceSettings
) -> tuple[tuple[tuple[str, float], ...], bool]:
    """Return the bounds by name, in stations or time, and whether the plan reaches one."""
    if asked.goal == Goal.BEST_EFFICIENCY:  # what counting says of a range is not recomputed
        return (), False
    problem = balance_problem(work, asked.limit)
    if problem.limit is None:
        named = cycle_bounds(problem, asked.stations or len(loads))
        is_best = any(bound * problem.scale >= max(loads) for _, bound in named)
        return tuple((n, in_time_unit(work, b * problem.scale)) for n, b in named), is_best
    if problem.longest > problem.limit:  # it fits into no station, however many there are
        return (), False
    named = bounds(problem)
    is_best = any(bound >= len(loads) for _, bound in named)
    return tuple((name, float(bound)) for name, bound in named), is_best
