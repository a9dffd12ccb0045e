"""The work of one line as people see it: task numbers, whole times, arrows."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache

from stationflow.balancing.arrows import circles
from stationflow.balancing.limits.entered import NOTHING, EnteredLimits, entered_limits
from stationflow.balancing.task_check import circle_finding, line_findings
from stationflow.balancing.time_words import TimeWords, time_words
from stationflow.model import Finding, Pins, Product, Station, Task, TaskLimits, error, has_errors
from stationflow.model.plan import NO_PINS
from stationflow.model.unread import Use
from stationflow.network.joins import check_lines
from stationflow.units import TimeUnit, exact


@dataclass(frozen=True, slots=True, kw_only=True)
class LineWork:
    """The work of one line."""

    line: str  # name of the line
    numbers: tuple[str, ...]  # task numbers in listed order
    times: tuple[int, ...]  # task times in whole ticks
    # for each task the positions of its direct predecessors on the same line
    predecessors: tuple[tuple[int, ...], ...]
    # how many ticks one `time_unit` has: 1000 for seconds kept to the millisecond, 1 for published
    # instances
    ticks: int = 1000
    time_unit: str = "s"  # "s" for products, "unit" for published instances
    shown: TimeUnit = TimeUnit.SECOND  # the unit in which findings speak of the times of a product
    # for each model of the mix its name and the task times in whole ticks
    model_times: tuple[tuple[str, tuple[int, ...]], ...] = ()
    limits: EnteredLimits = NOTHING  # what is entered beyond times and order

    def __post_init__(self) -> None:
        """Refuse rows that do not belong together."""
        if not len(self.numbers) == len(self.times) == len(self.predecessors):
            raise ValueError("numbers, times and predecessors must have one row per task")
        if len(set(self.numbers)) < len(self.numbers):
            raise ValueError("each task must have its own number")
        if any(time < 0 for time in self.times):
            raise ValueError("times must not be negative")
        size = len(self.numbers)
        if any(not 0 <= p < size for row in self.predecessors for p in row):
            raise ValueError("predecessors must be positions of the same line")

    @property
    def total(self) -> float:
        """The work content in `time_unit`."""
        return in_time_unit(self, sum(self.times))

    @property
    def words(self) -> TimeWords:
        """How the times of the line are written."""
        return time_words(self.time_unit, self.shown)

    def pinned(self, pins: Pins) -> "LineWork":
        """Return the same work with what is to stay where it is."""
        if pins == NO_PINS:
            return self
        limits = self.limits
        if not limits.numbers:  # nothing is entered
            plain = (TaskLimits(),) * len(self.numbers)
            limits = replace(limits, numbers=self.numbers, tasks=plain)
        return replace(self, limits=replace(limits, pins=pins))

    @property
    def times_by_number(self) -> dict[str, float]:
        """The time of each task in `time_unit`."""
        return {n: t / self.ticks for n, t in zip(self.numbers, self.times, strict=True)}


def own_times(work: LineWork) -> dict[tuple[str, int], int]:
    """Return the ticks of tasks at the stations where they take another time than elsewhere."""
    rows = zip(work.numbers, work.limits.station_times, strict=False)  # none where none is entered
    return {(number, own.station): own.time_ms for number, row in rows for own in reversed(row)}


def turns_at(work: LineWork, tasks: Iterable[str]) -> int:
    """Return the ticks that a station with these tasks needs to turn the unit over."""
    if not work.limits.line.turn_ms:
        return 0
    there = set(tasks)
    entered = zip(work.limits.numbers, work.limits.tasks, strict=True)
    lying = {limits.attitude for number, limits in entered if number in there and limits.attitude}
    return work.limits.line.turn_ms * max(0, len(lying) - 1)


@dataclass(frozen=True, slots=True)
class TimesThere:
    """What the tasks of a plan take where they are, and turning the unit over, in time units."""

    of_task: Mapping[str, float]
    turns: Mapping[int, float]  # by station number, where there are any


def times_there(work: LineWork, stations: Iterable[Station]) -> TimesThere:
    """Return the times of the tasks of some stations, those of their station in their place."""
    of_task, turns = work.times_by_number, dict[int, float]()
    own = own_times(work)
    for station in stations:
        for task in station.tasks if own else ():
            if (time := own.get((task, station.number))) is not None:
                of_task[task] = in_time_unit(work, time)
        if turned := turns_at(work, station.tasks):
            turns[station.number] = in_time_unit(work, turned)
    return TimesThere(of_task, turns)


def in_time_unit(work: LineWork, ticks: int) -> float:
    """Return a number of ticks in the time unit of the work."""
    return float(Decimal(ticks) / work.ticks)


@lru_cache(maxsize=8)  # a page asks for it once for each plan of a line
def line_work(product: Product, line_name: str) -> tuple[LineWork | None, tuple[Finding, ...]]:
    """Return the work of one line of a product (None: a finding is an error), and what is wrong.

    With models the time of a task is the mean over the units built, sum(share x time) /
    sum(share), to the millisecond (half up). Arrows from tasks of other lines are left out: the
    join carries them. Errors on other lines do not count: each line is balanced by itself.
    """
    stopped = product.stopped([line_name], Use.WORK)
    work, findings = _own_work(product, line_name)
    places = {f"Line {line_name}", *(f"Task {task.number}" for task in product.tasks_of(line_name))}
    said = {finding.code for finding in findings}
    joins = tuple(f for f in check_lines(product) if f.where in places and f.code not in said)
    return (None if stopped or has_errors(joins) else work), (*stopped, *findings, *joins)


def _own_work(product: Product, line_name: str) -> tuple[LineWork | None, tuple[Finding, ...]]:
    """Return the work of one line without a look at the lines around it."""
    tasks = product.tasks_of(line_name)
    line = product.line(line_name)
    if line is None:
        names = ", ".join(line.name for line in product.lines) or "none"
        message = f"The product has no such line; its lines are: {names}."
        return None, (error("unknown-line", f"Line {line_name}", message),)
    if not tasks:
        message = "Its units are bought in." if line.bought_in else "It has no tasks."
        code = "line-bought-in" if line.bought_in else "empty-line"
        return None, (error(code, f"Line {line_name}", message),)
    findings = line_findings(product, line_name)
    if has_errors(findings):
        return None, findings
    position = {task.number: at for at, task in enumerate(tasks)}
    predecessors = tuple(
        tuple(dict.fromkeys(position[p] for p in task.predecessors if p in position))
        for task in tasks
    )
    if found := circles(predecessors):
        named = (circle_finding([tasks[at].number for at in circle]) for circle in found)
        return None, (*findings, *named)
    work = LineWork(
        line=line_name,
        numbers=tuple(position),
        times=tuple(mean_time_ms(product, task) for task in tasks),
        predecessors=predecessors,
        shown=product.time_unit,
        model_times=tuple(
            (model.name, tuple(task.time_ms_for(model.name) or 0 for task in tasks))
            for model in product.models
        ),
        limits=entered_limits(product, line),
    )
    return work, findings


def balanced_times(product: Product, line: str) -> dict[str, float]:
    """Return the time of each task of a line as it is balanced (mix-weighted), in seconds."""
    work, _ = line_work(product, line)
    if work is None:
        return {task.number: (task.time_ms or 0) / 1000 for task in product.tasks_of(line)}
    return work.times_by_number


def mean_time_ms(product: Product, task: Task) -> int:
    """Return the time of a task in ms, the mean over the models built (half up).

    Raises ValueError if the task is not timed for every model.
    """
    if not product.models:
        if task.time_ms is None:
            raise ValueError(f"task {task.number} is not timed")
        return task.time_ms
    shares = [exact(model.share) for model in product.models]
    if not sum(shares):
        shares = [Decimal(1)] * len(shares)  # shares not yet entered: all models alike
    weighted = Decimal(0)
    for share, model in zip(shares, product.models, strict=True):
        time_ms = task.time_ms_for(model.name)
        if time_ms is None:
            raise ValueError(f"task {task.number} is not timed for model {model.name}")
        weighted += share * time_ms
    mean = weighted / sum(shares)
    return int(mean.quantize(Decimal(1), rounding=ROUND_HALF_UP))
