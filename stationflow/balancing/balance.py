"""Balance a line: from its work and what is asked to a verified, measured answer."""

from dataclasses import dataclass, replace
from time import monotonic
from typing import Any

from stationflow.balancing.balance_check import (
    check_settings,
    impossible,
    tasks_longer_than,
    work_findings,
)
from stationflow.balancing.bounds import lb1
from stationflow.balancing.goals import Outcome, reach_goal
from stationflow.balancing.limits_findings import (
    are_all_kept,
    clash_finding,
    limits_broken,
    limits_not_kept,
)
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import Options, Watch
from stationflow.balancing.mix_loads import model_overloads
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import LineWork, in_time_unit, line_work
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Direction,
    Ending,
    Finding,
    Goal,
    Product,
    StationLoad,
    by_severity,
    error,
    has_errors,
    warning,
)
from stationflow.pace.takt import line_pace

DEFAULTS = Options()


def balance(
    work: LineWork,
    settings: BalanceSettings,
    progress: Progress | None = None,
    *,
    by_demand: bool = False,
) -> BalanceResult:
    """Balance the work of a line.

    Parameters
    ----------
    work
        The work of the line.
    settings
        What is asked, by which method.
    progress
        Hears of progress and may stop; None: nobody listens.
    by_demand
        Whether demand sets the takt of the settings; else it was given by hand.

    Returns
    -------
    BalanceResult
        With a plan that was verified, or with findings that say why there is none.

    Raises
    ------
    ValueError
        If `check_settings` finds anything wrong.
    RuntimeError
        If a method gave a plan that does not hold, which is a mistake in the method.

    Examples
    --------
    >>> work = LineWork(line="main", numbers=("10", "20", "30"), times=(30_000, 20_000, 25_000),
    ...                 predecessors=((), (0,), (1,)))
    >>> rule = "ranked-positional-weight"
    >>> result = balance(work, BalanceSettings(method=rule, takt=50))
    >>> [station.tasks for station in result.stations], result.direction
    ([('10',), ('20', '30')], <Direction.BACKWARDS: 'backwards'>)
    """
    started = monotonic()
    if wrong := check_settings(settings):
        raise ValueError(" ".join(wrong))
    if stops := work_findings(work):
        return refused(work.line, settings, stops, time_unit=work.time_unit)
    problem = balance_problem(work, settings.takt)
    if settings.takt is not None and (
        long := tasks_longer_than(work, settings.takt, by_demand=by_demand)
    ):
        return _too_long(work, problem, settings, long, started)
    run = _Run(work, settings, problem, started)
    return run.result(progress or Progress())


def balance_line(
    product: Product,
    *,
    line: str | None = None,
    takt_s: float | None = None,
    stations: int | None = None,
    method: str = "exact",
    **options: Any,
) -> BalanceResult:
    """Balance one line of a product.

    Parameters
    ----------
    product
        The product.
    line
        Name of the line; None: the main line.
    takt_s
        Limit of a station in seconds; None: the cycle time is to be short.
    stations
        Number of stations; with a takt, at most so many; None: as few as possible.
    method
        Name of the method.
    options
        Further settings: `stations_from`, `direction`, `seconds`, `trials`, `seed`,
        `cores`, `memory_mb`, `nodes`, as in `BalanceSettings`; and `progress`.

    Raises
    ------
    ValueError
        If the settings are out of range, or the method does not use one of them.

    Examples
    --------
    >>> from stationflow.model import Product, Task
    >>> tasks = (Task(number="10", time_ms=30_000), Task(number="20", time_ms=20_000))
    >>> product = Product(code="P", tasks=tasks)
    >>> balance_line(product, takt_s=50, method="largest-candidate").ending
    <Ending.OPTIMAL: 'optimal'>
    """
    progress = options.pop("progress", None)
    settings = BalanceSettings(method=method, takt=takt_s, stations=stations, **options)
    if wrong := check_settings(settings):
        raise ValueError(" ".join(wrong))
    if line is None:
        if product.main_line is None:
            message = "Every line feeds another; none is the main line."
            return refused("", settings, (error("no-main-line", "Lines", message),))
        line = product.main_line.name
    return balance_product(product, line, settings, progress)


def balance_product(
    product: Product, line: str, settings: BalanceSettings, progress: Progress | None = None
) -> BalanceResult:
    """Balance one line of a product; with neither takt nor stations, at the line's own pace.

    The demand then sets the limit: the station time of the line. With data errors the
    ending is None, and the findings say what to cure.
    """
    pace = None
    is_at_pace = settings.takt is None and settings.stations is None
    if is_at_pace and product.line(line) is not None:  # an unknown line is named below, once
        pace = line_pace(product, line)
        if pace.station_time_s is not None:
            settings = replace(settings, takt=pace.station_time_s)
    work, findings = line_work(product, line)
    findings = (*findings, *(pace.findings if pace else ()))
    if work is None or has_errors(findings) or (is_at_pace and settings.takt is None):
        result = refused(line, settings, by_severity(findings))
    else:
        result = balance(work, settings, progress, by_demand=is_at_pace)
        result = with_told(product, result, findings)
    if pace is None:
        return result
    return replace(result, takt_time=pace.takt_time_s, operating_takt=pace.operating_takt_s)


def with_told(
    product: Product, result: BalanceResult, findings: tuple[Finding, ...]
) -> BalanceResult:
    """Return a result with all that should be known: of its line, and what it does not keep."""
    limits = limits_not_kept(product, result.line, result.method)
    more = (*findings, *((limits,) if limits else ()), *model_overloads(product, result))
    return replace(result, findings=by_severity((*result.findings, *more)))


def refused(
    line: str,
    settings: BalanceSettings,
    findings: tuple[Finding, ...],
    *,
    time_unit: str = "s",
) -> BalanceResult:
    """Return the result of a line that cannot be balanced until its findings are cured."""
    return BalanceResult(
        line=line,
        goal=settings.goal,
        ending=None,
        method=settings.method,
        takt=settings.takt,
        time_unit=time_unit,
        findings=findings,
    )


def _too_long(
    work: LineWork,
    problem: BalanceProblem,
    settings: BalanceSettings,
    findings: tuple[Finding, ...],
    started: float,
) -> BalanceResult:
    """Return the result of a line with tasks that fit into no station."""
    return BalanceResult(
        line=work.line,
        goal=settings.goal,
        ending=Ending.IMPOSSIBLE,
        method=settings.method,
        takt=settings.takt,
        lower_bound=float(lb1(problem.times, problem.limit) if problem.limit else 1),
        time_unit=work.time_unit,
        runtime_s=monotonic() - started,
        findings=findings,
    )


@dataclass(frozen=True, slots=True)
class _Run:
    """One balance: the line, what is asked, and when it began."""

    work: LineWork
    settings: BalanceSettings
    problem: BalanceProblem
    started: float

    def result(self, progress: Progress) -> BalanceResult:
        """Ask the method, verify, and return the result."""
        settings, work = self.settings, self.work
        info = METHODS[settings.method]
        options = Options(
            direction=Direction(settings.direction or DEFAULTS.direction),
            seconds=settings.seconds if settings.seconds is not None else info.seconds,
            trials=settings.trials or DEFAULTS.trials,
            seed=settings.seed if settings.seed is not None else DEFAULTS.seed,
            cores=settings.cores or DEFAULTS.cores,
            memory_mb=settings.memory_mb or DEFAULTS.memory_mb,
            nodes=settings.nodes,
        )
        progress.on_start(info.name, self.problem.size)
        begun = self.started
        if info.prepare is not None:
            info.prepare(progress.on_prepare)
            begun = monotonic()
        deadline = None if options.seconds is None else begun + options.seconds
        solver = info.make(options)
        watch = Watch(progress, work.ticks / self.problem.scale, deadline)
        outcome = reach_goal(self.problem, settings, solver, watch, info.keeps)
        all_kept = are_all_kept(work.limits, info.keeps)
        stations = self._stations(outcome)
        broken = self._broken(stations, all_kept=all_kept)
        ending = outcome.ending
        if ending == Ending.OPTIMAL and not all_kept:
            ending = Ending.FOUND  # best for all limits entered is not proven
        return BalanceResult(
            line=work.line,
            goal=settings.goal,
            ending=ending,
            method=info.name,
            engine=solver.engine,
            direction=outcome.answer.direction,
            stations=stations,
            takt=settings.takt,
            lower_bound=self._shown(outcome.answer.lower_bound),
            bounds=tuple((name, self._shown(bound)) for name, bound in outcome.bounds),
            time_unit=work.time_unit,
            seed=options.seed if "seed" in info.uses else None,
            trials=outcome.answer.trials,
            cores=options.cores,
            nodes=outcome.answer.nodes,
            memory_mb=outcome.answer.memory_mb,
            stopped=outcome.answer.stopped,
            runtime_s=monotonic() - self.started,
            findings=(*broken, *self._why_none(outcome)),
        )

    def _shown(self, bound: int) -> float:
        """Return a bound as people see it: stations as they are, times in the time unit."""
        if self.settings.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
            return float(bound)
        return in_time_unit(self.work, bound * self.problem.scale)

    def _stations(self, outcome: Outcome) -> tuple[StationLoad, ...]:
        """Return the assignment with task numbers and loads in the time unit."""
        work = self.work
        return tuple(
            StationLoad(
                number=number,
                tasks=tuple(work.numbers[position] for position in station),
                work=in_time_unit(work, sum(work.times[position] for position in station)),
            )
            for number, station in enumerate(outcome.answer.stations, 1)
        )

    def _broken(self, stations: tuple[StationLoad, ...], *, all_kept: bool) -> tuple[Finding, ...]:
        """Let nothing leave that does not hold; return what is broken of limits not kept."""
        if not stations:
            return ()
        broken = verify(
            self.work,
            [station.tasks for station in stations],
            takt=self.settings.takt,
            most_stations=self.settings.stations,
        )
        if any(all_kept or finding.code not in LIMIT_CODES for finding in broken):
            said = " ".join(f"{finding.where}: {finding.message}" for finding in broken)
            raise RuntimeError(f"the method {self.settings.method} gave a plan that fails: {said}")
        warned = limits_broken(self.work.line, broken)
        return (warned,) if warned else ()

    def _why_none(self, outcome: Outcome) -> tuple[Finding, ...]:
        """Return what to say when there is no plan."""
        most, takt = self.settings.stations or 0, self.settings.takt or 0.0
        if outcome.clash:
            return (clash_finding(self.work.line, outcome.clash),)
        if outcome.ending == Ending.IMPOSSIBLE:
            low = outcome.answer.lower_bound
            return (impossible(self.work, self.problem, takt, most, low),)
        if outcome.ending == Ending.NOTHING_FOUND:
            asked = f"plan of at most {count(most, 'station')}" if most else "plan"
            kept = " that keeps the limits of the line" if self.problem.forms else ""
            message = (
                f"The method {self.settings.method} found no {asked}{kept}; "
                f"whether there is one is not proven (bound: {outcome.answer.lower_bound})."
            )
            return (warning("nothing-found", f"Line {self.work.line}", message),)
        return ()
