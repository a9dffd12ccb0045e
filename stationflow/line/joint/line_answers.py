"""What is known of each line with the tasks it might have: plans, and how few stations are proven.

Three ways, the cheap ones first. A line without what hangs on the order inside a station (times
between tasks become stations between them, equipment there is some of goes) is balanced by our own
search; what is proven of it holds for every line with more tasks and more arrows. Its plan may hold
for the whole line. A plan of the line as it is entered may do with tasks taken out and put in.
At last the whole line is asked whether fewer stations will do.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from time import monotonic

from stationflow.balancing.arrows import topological_order
from stationflow.balancing.assignment import assignment
from stationflow.balancing.balance import balance, balance_product, complete_settings, with_told
from stationflow.balancing.bounds import bounds
from stationflow.balancing.limits.not_kept import kept_limits
from stationflow.balancing.limits_findings import are_all_kept, limits_broken
from stationflow.balancing.methods import METHODS
from stationflow.balancing.methods.method import engine_name
from stationflow.balancing.problem import balance_problem
from stationflow.balancing.progress import Progress
from stationflow.balancing.solver.solver_answers import is_for_solver
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.model import (
    BalanceResult,
    BalanceSettings,
    Effort,
    Ending,
    Product,
    Proof,
    Stopped,
    TimeLag,
)
from stationflow.pace.takt import LinePace, line_pace

SHARE = 0.25
"""Share of the time left that one question may take."""
LEAST_S = 0.5
NONE = 10**6
"""More stations than any plan has: a line that cannot be done."""

Plan = tuple[tuple[str, ...], ...]
"""The task numbers of each station."""


class StopOnly(Progress):
    """Passes on to the balance of a line nothing but the wish to stop."""

    def __init__(self, progress: Progress) -> None:
        self._progress = progress

    def should_stop(self) -> bool:
        """Return whether somebody wants to stop."""
        return self._progress.should_stop()


@dataclass(slots=True)
class Known:
    """What is known of a line with some tasks."""

    work: LineWork
    plan: Plan = ()  # empty: none is known
    least: int = 1  # stations, proven; `NONE`: there is no plan
    is_stuck: bool = False  # whether a question about it was left without an answer

    @property
    def stations(self) -> int:
        """The stations of the best plan known."""
        return len(self.plan) or NONE


@dataclass
class LineAnswers:
    """What is known of the lines of one product, each with several sets of tasks."""

    product: Product  # as it is entered
    settings: BalanceSettings
    progress: Progress
    deadline: float | None  # monotonic; None: none
    memory: dict[LineWork, Known] = field(default_factory=dict)
    first: dict[str, Known] = field(default_factory=dict)  # the lines as they are entered
    _relaxed: dict[LineWork, tuple[Plan, int]] = field(default_factory=dict)
    # for each line: tasks, arrows, and the stations that are proven for them
    _proven: dict[str, list[tuple[frozenset[str], frozenset[tuple[str, str]], int]]] = field(
        default_factory=dict
    )

    @cached_property
    def paces(self) -> dict[str, LinePace]:
        """The pace of each line, which does not hang on who has which task."""
        return {line.name: line_pace(self.product, line.name) for line in self.product.lines}

    def limit(self, name: str) -> float:
        """Return the limit of a station of a line, in seconds."""
        return self.paces[name].station_time_s or 0.0

    def balance_as_entered(self, name: str) -> BalanceResult:
        """Balance a line with its own tasks, as it is balanced by itself."""
        result = balance_product(
            self.product, name, self._in_time(self.settings), StopOnly(self.progress)
        )
        work, _ = line_work(self.product, name)
        assert work is not None
        known = self.first[name] = self.memory[work] = Known(work, plan_of(result))
        known.least = max(1, int(result.proof.lower_bound))
        if result.ending == Ending.IMPOSSIBLE:
            known.least = NONE
        self.prove(work)
        return result

    def least(self, work: LineWork) -> int:
        """Return how few stations are proven for a line, without balancing it."""
        if (known := self.memory.get(work)) is not None:
            return known.least
        relaxed = self._without_order(work)
        if relaxed in self._relaxed:
            return self._relaxed[relaxed][1]
        tasks, arrows = _shape(work)
        told = (
            low
            for fewer, some, low in self._proven.get(work.line, ())
            if fewer <= tasks and some <= arrows
        )
        problem = balance_problem(relaxed, self.limit(work.line))
        if not problem.limit or problem.longest > problem.limit:
            return max((1, *told))
        return max((1, *told, *(bound for _, bound in bounds(problem))))

    def prove(self, work: LineWork) -> tuple[Plan, int]:
        """Balance a line without what hangs on the order inside a station; keep what is proven."""
        relaxed = self._without_order(work)
        if relaxed not in self._relaxed:
            known = self.memory.get(work)
            if relaxed == work and known is not None and known.stations == known.least:
                found = (known.plan, known.least)
            else:
                pace = self.paces[work.line].in_plan
                settings = self._in_time(self.settings)
                result = balance(relaxed, settings, StopOnly(self.progress), pace=pace)
                least = max(self.least(work), int(result.proof.lower_bound))
                if result.ending == Ending.IMPOSSIBLE:
                    least = NONE
                found = (plan_of(result), least)
            self._relaxed[relaxed] = found
            self._proven.setdefault(work.line, []).append((*_shape(work), found[1]))
        return self._relaxed[relaxed]

    def look(self, work: LineWork) -> Known:
        """Return what is known of a line, after the cheap ways."""
        if work not in self.memory:
            plan, least = self.prove(work)
            self.memory[work] = known = Known(work, least=least)
            for tried in (plan, self._changed(work)):
                if tried and len(tried) < known.stations and self._holds(work, tried):
                    known.plan = tried
        return self.memory[work]

    def ask(self, product: Product, known: Known, most: int) -> None:
        """Ask whether a line can do with so many stations; keep what is said."""
        name = known.work.line
        ample = balance_problem(known.work, self.limit(name)).most_stations
        most = min(most, ample)
        settings = replace(
            self._in_time(self.settings), limit=self.limit(name), stations=most, then=()
        )
        result = balance_product(product, name, settings, StopOnly(self.progress))
        if result.has_plan:
            known.plan = plan_of(result)
        elif result.ending == Ending.IMPOSSIBLE:
            known.least = NONE if most == ample else most + 1
        else:
            known.is_stuck = True

    def result(self, product: Product, known: Known) -> BalanceResult:
        """Return the plan of a line as the answer of a balance."""
        work, info = known.work, METHODS[self.settings.method]
        pace = self.paces[work.line]
        problem = balance_problem(work, self.limit(work.line))
        is_best = known.stations == known.least and are_all_kept(work.limits, info.keeps)
        broken = verify(work, known.plan, limit=self.limit(work.line))
        warned = limits_broken(work.line, broken)
        result = BalanceResult(
            line=work.line,
            asked=complete_settings(self.settings),
            pace=pace.in_plan,
            assignment=assignment(work, enumerate(known.plan, 1)),
            proof=Proof(
                ending=Ending.OPTIMAL if is_best else Ending.FOUND,
                lower_bound=float(known.least),
                bounds=tuple((told, float(bound)) for told, bound in bounds(problem)),
                limits_kept=kept_limits(work.limits, info.keeps),
                stopped=None if known.stations == known.least else Stopped.TIME,
            ),
            effort=Effort(engine=engine_name()),
            time_unit=work.time_unit,
            ticks=work.ticks,
            findings=(warned,) if warned else (),
        )
        _, findings = line_work(product, work.line)
        return with_told(product, result, (*findings, *pace.findings))

    def _in_time(self, settings: BalanceSettings) -> BalanceSettings:
        if self.deadline is None or "seconds" not in METHODS[settings.method].uses:
            return settings
        left = max(0.0, self.deadline - monotonic())
        return replace(settings, seconds=max(LEAST_S, SHARE * left))

    def _without_order(self, work: LineWork) -> LineWork:
        """Return a line without what hangs on the order inside a station, where our search fails.

        Of tasks k stations apart, at a pace of c, at most k c + limit - both times lie between the
        end of the one and the start of the other, and at least k c - limit.
        """
        limit = int(self.limit(work.line) * 1000)
        if not is_for_solver(balance_problem(work, self.limit(work.line))):
            return work
        step = limit + work.limits.line.repositioning_ms
        times = dict(zip(work.numbers, work.times, strict=True))
        if any(work.limits.station_times):
            times = dict.fromkeys(times, 0)
        lags = []
        for lag in work.limits.own_lags:
            least, most = lag.least_stations, lag.most_stations
            if lag.shortest_ms is not None:
                inside = max(0, limit - times[lag.before] - times[lag.after])
                apart = -((inside - lag.shortest_ms) // step)
                least = apart if least is None else max(least, apart)
            if lag.longest_ms is not None:
                apart = (lag.longest_ms + limit) // step
                most = apart if most is None else min(most, apart)
            lags.append(
                TimeLag(
                    before=lag.before, after=lag.after, least_stations=least, most_stations=most
                )
            )
        needing = [name for limits in work.limits.tasks for name in limits.equipment]
        equipment = tuple(
            piece
            for piece in work.limits.equipment
            if piece.quantity <= 1 or piece.quantity >= needing.count(piece.name)
        )
        return replace(work, limits=replace(work.limits, lags=tuple(lags), equipment=equipment))

    def _holds(self, work: LineWork, plan: Plan) -> bool:
        """Return whether a plan keeps all that the plan of the line as it is entered keeps."""
        broken = verify(work, plan, limit=self.limit(work.line))
        first = self.first[work.line]
        allowed = verify(first.work, first.plan, limit=self.limit(work.line))
        return {f.code for f in broken} <= {f.code for f in allowed if first.plan}

    def _changed(self, work: LineWork) -> Plan:
        """Return the plan of the line as it is entered with tasks taken out and put in, or ()."""
        first = self.first[work.line]
        if not first.plan:
            return ()
        there = set(work.numbers)
        plan: Plan = tuple(tuple(t for t in station if t in there) for station in first.plan)
        placed = {task for station in plan for task in station}
        for task in _in_order(work):
            if task not in placed:
                plan = next((p for p in self._with(work, plan, task) if p), ())
                if not plan:
                    return ()
        shorter = tuple(station for station in plan if station)
        return shorter if self._holds(work, shorter) else plan

    def _with(self, work: LineWork, plan: Plan, task: str) -> Iterator[Plan]:
        """Yield plans with one task more that hold, but for the tasks that are still to come."""
        for at in range(len(plan) + 1):
            stations = [*plan, ()] if at == len(plan) else list(plan)
            for place in range(len(stations[at]), -1, -1):
                row = stations[at]
                tried = (*row[:place], task, *row[place:])
                changed = (*stations[:at], tried, *stations[at + 1 :])
                held = {number for station in changed for number in station}
                if self._holds(_only(work, held), changed):
                    yield changed


def plan_of(result: BalanceResult) -> Plan:
    """Return the task numbers of each station; empty: there is no plan."""
    return tuple(station.tasks for station in result.stations)


def _shape(work: LineWork) -> tuple[frozenset[str], frozenset[tuple[str, str]]]:
    """Return the tasks of a line and its arrows."""
    arrows = frozenset(
        (work.numbers[before], number)
        for number, row in zip(work.numbers, work.predecessors, strict=True)
        for before in row
    )
    return frozenset(work.numbers), arrows


def _in_order(work: LineWork) -> Sequence[str]:
    """Return the tasks of a line so that none comes before one it waits for."""
    return [work.numbers[at] for at in topological_order(work.predecessors)]


def _only(work: LineWork, held: set[str]) -> LineWork:
    """Return a line with some of its tasks alone."""
    at = [position for position, number in enumerate(work.numbers) if number in held]
    new: Mapping[int, int] = {position: index for index, position in enumerate(at)}
    limits = work.limits
    if limits.numbers:
        limits = replace(
            limits,
            numbers=tuple(limits.numbers[k] for k in at),
            tasks=tuple(limits.tasks[k] for k in at),
            station_times=tuple(limits.station_times[k] for k in at)
            if limits.station_times
            else (),
        )
    return replace(
        work,
        numbers=tuple(work.numbers[k] for k in at),
        times=tuple(work.times[k] for k in at),
        predecessors=tuple(tuple(new[p] for p in work.predecessors[k] if p in new) for k in at),
        model_times=tuple((m, tuple(row[k] for k in at)) for m, row in work.model_times),
        limits=limits,
    )
