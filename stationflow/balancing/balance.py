"""Balance a line: from its work and what is asked to a verified, measured answer."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from time import monotonic
from typing import Any

from stationflow.balancing.assignment import assignment
from stationflow.balancing.balance_check import (
    check_settings,
    impossible,
    tasks_longer_than,
    work_findings,
)
from stationflow.balancing.bounds import lb1
from stationflow.balancing.finer_goals import with_finer_goals
from stationflow.balancing.goals import Outcome, reach_goal
from stationflow.balancing.limits.not_kept import kept_limits
from stationflow.balancing.limits_findings import (
    are_all_kept,
    limits_broken,
    limits_not_kept,
)
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import (
    MethodInfo,
    Options,
    Watch,
    engine_name,
)
from stationflow.balancing.mix_loads import model_overloads
from stationflow.balancing.problem import BalanceProblem, balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.time_words import count
from stationflow.balancing.verify import LIMIT_CODES, verify
from stationflow.balancing.work import LineWork, in_time_unit, line_work
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    DemandPace,
    Effort,
    Ending,
    Finding,
    FinerGoal,
    Goal,
    Product,
    Proof,
    by_severity,
    error,
    has_errors,
    warning,
)
from stationflow.model.unread import Use
from stationflow.pace.takt import line_pace

NO_PACE = DemandPace()


def balance(
    work: LineWork,
    settings: BalanceSettings,
    progress: Progress | None = None,
    *,
    pace: DemandPace = NO_PACE,
) -> BalanceResult:
    """Balance the work of a line.

    `pace` sets the limit where the settings state neither limit nor stations. The result has a
    plan that was verified, or findings that say why there is none.

    Raises ValueError if `check_settings` finds anything wrong, and RuntimeError if a method gave
    a plan that does not hold, which is a mistake in the method.

    >>> work = LineWork(line="main", numbers=("10", "20", "30"), times=(30_000, 20_000, 25_000),
    ...                 predecessors=((), (0,), (1,)))
    >>> rule = "ranked-positional-weight"
    >>> result = balance(work, BalanceSettings(method=rule, limit=50))
    >>> [station.tasks for station in result.stations], result.effort.direction
    ([('10',), ('20', '30')], <Direction.BACKWARDS: 'backwards'>)
    """
    started = monotonic()
    work = work.pinned(settings.pins)
    limit = pace.station_time if settings.limit is None else settings.limit
    if wrong := check_settings(replace(settings, limit=limit)):
        raise ValueError(" ".join(wrong))
    empty = BalanceResult(
        line=work.line,
        asked=complete_settings(settings),
        pace=pace,
        time_unit=work.time_unit,
        ticks=work.ticks,
    )
    if stops := work_findings(work):
        return replace(empty, findings=stops)
    problem = balance_problem(work, limit)
    if limit is not None and (
        long := tasks_longer_than(work, limit, by_demand=settings.limit is None)
    ):
        low = float(lb1(problem.times, problem.limit) if problem.limit else 1)
        return replace(
            empty,
            proof=Proof(ending=Ending.IMPOSSIBLE, lower_bound=low),
            effort=Effort(runtime_s=monotonic() - started),
            findings=long,
        )
    progress = progress or Progress()
    result = _Run(work, empty, problem, started).result(progress)
    return with_finer_goals(work, result, problem, progress.should_stop)


def balance_line(
    product: Product,
    *,
    line: str | None = None,
    limit_s: float | None = None,
    stations: int | None = None,
    method: str = "exact",
    **options: Any,
) -> BalanceResult:
    """Balance one line of a product (None: the main line).

    `limit_s` is the limit of a station in seconds (None: the cycle time is to be short);
    `stations` their number: with a limit, at most so many (None: as few as possible). `options`
    are the further settings of `BalanceSettings`: `stations_from`, `direction`, `seconds`,
    `trials`, `seed`, `cores`, `memory_mb`, `nodes`; and `progress`.

    Raises ValueError if the settings are out of range, or the method does not use one of them.

    >>> from stationflow.model import Product, Task
    >>> tasks = (Task(number="10", time_ms=30_000), Task(number="20", time_ms=20_000))
    >>> product = Product(code="P", tasks=tasks)
    >>> balance_line(product, limit_s=50, method="largest-candidate").ending
    <Ending.OPTIMAL: 'optimal'>
    """
    progress = options.pop("progress", None)
    settings = BalanceSettings(method=method, limit=limit_s, stations=stations, **options)
    if wrong := check_settings(settings):
        raise ValueError(" ".join(wrong))
    if line is None:
        if product.main_line is None:
            message = "Every line feeds another; none is the main line."
            found = (error("no-main-line", "Lines", message),)
            return BalanceResult(line="", asked=settings, findings=found)
        line = product.main_line.name
    return balance_product(product, line, settings, progress)


def balance_product(
    product: Product, line: str, settings: BalanceSettings, progress: Progress | None = None
) -> BalanceResult:
    """Balance one line of a product; with neither limit nor stations, at the line's own pace.

    The demand then sets the limit: the station time of the line. With data errors the
    ending is None, and the findings say what to cure.
    """
    is_at_pace = settings.limit is None and settings.stations is None
    work, pace, findings = line_at_pace(product, line, is_at_pace=is_at_pace)
    findings += not_read_for_goals(product, line, settings)
    if work is None or has_errors(findings) or (is_at_pace and pace.station_time is None):
        return BalanceResult(line=line, asked=settings, pace=pace, findings=by_severity(findings))
    return with_told(product, balance(work, settings, progress, pace=pace), findings)


def not_read_for_goals(
    product: Product, line: str, settings: BalanceSettings
) -> tuple[Finding, ...]:
    """Return what was not read and a second goal rests on."""
    is_asked = FinerGoal.LEAST_EQUIPMENT in settings.then
    return product.stopped([line], Use.PRICES) if is_asked else ()


def line_at_pace(
    product: Product, line: str, *, is_at_pace: bool
) -> tuple[LineWork | None, DemandPace, tuple[Finding, ...]]:
    """Return the work of a line, the pace that is to set its limit, and what is wrong with both."""
    work, findings = line_work(product, line)
    if not is_at_pace or product.line(line) is None:  # an unknown line is named once
        return work, NO_PACE, findings
    of_line = line_pace(product, line)
    return work, of_line.in_plan, (*findings, *of_line.findings)


def complete_settings(settings: BalanceSettings) -> BalanceSettings:
    """Return settings with every option that the method uses written out.

    A stored plan then says all it needs to be made again, whatever the defaults become.
    """
    info = METHODS[settings.method]
    usual = replace(Options(), seconds=info.seconds)
    unsaid = {name for name in info.uses if getattr(settings, name) is None}
    return replace(settings, **{name: getattr(usual, name) for name in unsaid})


def with_told(
    product: Product, result: BalanceResult, findings: tuple[Finding, ...]
) -> BalanceResult:
    """Return a result with all that should be known: of its line, and what it does not keep."""
    limits = limits_not_kept(product, result.line, result.method)
    told = (*((limits,) if limits else ()), *model_overloads(result, product.time_unit))
    return replace(result, findings=by_severity((*result.findings, *findings, *told)))


@dataclass(frozen=True, slots=True)
class _Run:
    """One balance: the line, the answer as far as it is known, and when it began."""

    work: LineWork
    empty: BalanceResult
    problem: BalanceProblem
    started: float

    def result(self, progress: Progress) -> BalanceResult:
        settings, work = self.empty.asked, self.work
        info = METHODS[settings.method]
        options = Options(**{name: getattr(settings, name) for name in info.uses})
        progress.on_start(info.name, self.problem.size)
        watch = Watch(progress, work.ticks / self.problem.scale)
        outcome = self._easily(settings, info, watch)
        if outcome is None:
            begun = self.started
            if info.prepare is not None:
                info.prepare(progress.on_prepare, limited=bool(self.problem.forms))
                begun = monotonic()
            watch.deadline = None if options.seconds is None else begun + options.seconds
            outcome = reach_goal(self.problem, settings, info.make(options), watch, info.keeps)
        answer, ending = outcome.answer, outcome.ending
        all_kept = are_all_kept(work.limits, info.keeps)
        if ending == Ending.OPTIMAL and not all_kept:
            ending = Ending.FOUND  # best for all limits entered is not proven
        named = [[work.numbers[position] for position in station] for station in answer.stations]
        broken = self._broken(named, all_kept=all_kept)
        return replace(
            self.empty,
            assignment=assignment(work, enumerate(named, 1)) if named else None,
            proof=Proof(
                ending=ending,
                lower_bound=self._shown(answer.lower_bound),
                bounds=tuple((name, self._shown(bound)) for name, bound in outcome.bounds),
                limits_kept=kept_limits(work.limits, info.keeps),
                stopped=answer.stopped,
            ),
            effort=Effort(
                engine=answer.engine or engine_name(),
                direction=answer.direction,
                trials=answer.trials,
                nodes=answer.nodes,
                memory_mb=answer.memory_mb,
                runtime_s=monotonic() - self.started,
            ),
            findings=(*broken, *self._why_none(outcome)),
        )

    def _easily(self, settings: BalanceSettings, info: MethodInfo, watch: Watch) -> Outcome | None:
        """Return what is proven before the method has to be made ready; None: nothing is."""
        if info.first is None or settings.goal == Goal.BEST_EFFICIENCY:
            return None
        found = reach_goal(self.problem, settings, info.first, Watch(), info.keeps)
        if found.ending not in (Ending.OPTIMAL, Ending.IMPOSSIBLE):
            return None
        stations, bound = found.answer.stations, found.answer.lower_bound
        limit = self.problem.limit
        if stations:
            watch.better(len(stations), self.problem.cycle_of(stations) if limit is None else limit)
        (watch.cycle_bound if limit is None else watch.station_bound)(bound)
        return found

    def _shown(self, bound: int) -> float:
        """Return a bound as people see it: stations as they are, times in the time unit."""
        if self.empty.goal in (Goal.FEWEST_STATIONS, Goal.FEASIBLE):
            return float(bound)
        return in_time_unit(self.work, bound * self.problem.scale)

    def _broken(self, stations: Sequence[Sequence[str]], *, all_kept: bool) -> tuple[Finding, ...]:
        """Let nothing leave that does not hold; return what is broken of limits not kept."""
        if not stations:
            return ()
        most = self.empty.asked.stations
        broken = verify(self.work, stations, limit=self.empty.limit, most_stations=most)
        if any(all_kept or finding.code not in LIMIT_CODES for finding in broken):
            said = " ".join(f"{finding.where}: {finding.message}" for finding in broken)
            raise RuntimeError(f"the method {self.empty.method} gave a plan that fails: {said}")
        warned = limits_broken(self.work.line, broken)
        return (warned,) if warned else ()

    def _why_none(self, outcome: Outcome) -> tuple[Finding, ...]:
        most, limit = self.empty.asked.stations or 0, self.empty.limit or 0.0
        if outcome.clash:
            message = f"These cannot all hold: {'; '.join(outcome.clash)}."
            return (error("limits-clash", f"Line {self.work.line}", message),)
        if outcome.ending == Ending.IMPOSSIBLE:
            low = outcome.answer.lower_bound
            if outcome.answer.is_ruled_out:
                few = f" on {count(most, 'station')}" if most else ""
                at = f" at {self.work.words.show(limit)}" if limit else ""
                message = (
                    f"No plan{few}{at} keeps all limits of the line: there is none left to try."
                )
                return (error("limits-clash", f"Line {self.work.line}", message),)
            return (impossible(self.work, self.problem, limit, most, low),)
        if outcome.ending == Ending.NOTHING_FOUND:
            asked = f"plan of at most {count(most, 'station')}" if most else "plan"
            kept = " that keeps the limits of the line" if self.problem.forms else ""
            message = (
                f"The method {self.empty.method} found no {asked}{kept}; "
                f"whether there is one is not proven (bound: {outcome.answer.lower_bound})."
            )
            return (warning("nothing-found", f"Line {self.work.line}", message),)
        return ()
