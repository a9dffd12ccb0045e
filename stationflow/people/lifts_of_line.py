"""The lifts of a line's tasks: weight limit, lifting index and composite index, opened."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from math import inf

from stationflow.balancing.time_words import count
from stationflow.model import (
    BalanceResult,
    Coupling,
    Explained,
    Finding,
    Lift,
    LiftDuration,
    Line,
    Product,
    Task,
    warning,
)
from stationflow.model.unread import Use
from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Formula, Value, Written, plain
from stationflow.people.lifting import (
    Hands,
    Lifting,
    Often,
    composite_index,
    counted_minutes,
    duration_class,
    lifting_index,
    multipliers,
    weight_limit,
)

SOURCE = "Waters, Putz-Anderson and Garg, DHHS (NIOSH) Publication 94-110, revised 2021"
NOT_MEDICAL = "It is no medical judgement; local law may set other limits and goes before it."
ROUNDED = "Worksheets round each multiplier to two digits. " + NOT_MEDICAL
MOST_INDEX = 1
FACTORS = ("reach", "height", "travel", "turn", "frequency", "coupling")
HOURS = {LiftDuration.SHORT: 1, LiftDuration.MODERATE: 2, LiftDuration.LONG: 8}


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskLift:
    """What the equation says of the lifts of a task."""

    task: str
    numbers: tuple[Explained, ...] = ()
    finding: Finding | None = None  # why it is too much, not covered, or was not read
    of_job: Lifting | None = None  # as one of several at a station; None: there is no index

    @property
    def is_too_much(self) -> bool:
        """Whether two people or a lifting aid are needed."""
        return self.finding is not None and self.finding.code == "lifting-index-high"


def task_lift(product: Product, task: Task, cycle_s: float) -> TaskLift | None:
    """Return what the equation says of a task's lifts; None: nothing is entered of them.

    `cycle_s`: the time from unit to unit at a station, in seconds.
    """
    mass, lift = task.limits.lift_kg, task.lift
    lifts = 1 if task.limits.lifts is None else task.limits.lifts
    if lift is None or not lifts or not cycle_s:
        return None
    if not_read := product.stopped((), Use.LIFTING, tasks=[task.number]):
        return TaskLift(task=task.number, finding=not_read[0])
    duration = lift.duration or _of_shifts(product)
    minutes = counted_minutes(lifts, Fraction(task.time_ms or 0, 60_000), fraction(cycle_s) / 60)
    why = next(_not_covered(mass, lift, duration, minutes), None)
    if why or duration is None or minutes is None or mass is None:
        found = warning("lift-not-covered", f"Task {task.number}", why or "")
        return TaskLift(task=task.number, finding=found)
    rate, often = _rate(task, lifts, minutes)
    return _opened(task, lift, fraction(mass), rate, Often(
        a_minute=often, duration=duration, coupling=lift.coupling or Coupling.POOR
    ))  # fmt: skip


def plan_cycle_s(result: BalanceResult, line: Line) -> float:
    """Return the time from unit to unit on a line that is worked by a plan, in seconds."""
    return (result.limit or result.cycle_time) + line.repositioning_ms / 1000


def check_lifts(product: Product, line: str, cycle_s: float | None) -> Iterator[Finding]:
    """Yield the lifts of a line that are too much for one, or that the equation does not cover."""
    for task in product.tasks_of(line):
        lift = task_lift(product, task, cycle_s or 0)
        if lift and lift.finding:
            yield lift.finding


def station_lifting(
    product: Product, tasks: Sequence[Task], station: int, cycle_s: float
) -> tuple[Explained, ...]:
    """Return the composite lifting index of a station; nothing where nothing is lifted there.

    Nor where something of a lift there was not read.
    """
    lifted = [task.number for task in tasks if task.lift]
    if product.stopped((), Use.LIFTING, tasks=lifted):
        return ()
    known = [lift for task in tasks if (lift := task_lift(product, task, cycle_s))]
    parts = [lift.of_job for lift in known if lift.of_job]
    if not parts:
        return ()
    index = composite_index(parts)
    named = ", ".join(lift.task for lift in known if lift.of_job)
    said = f"{count(len(parts), 'lifting task')} ({named})"
    said += ": nothing should be lifted so" if index is None else f": {figure(index, 2)}"
    return (
        Explained(
            name="composite lifting index",
            value=None if index is None else float(index),
            unit="",
            formula="composite lifting index = largest index of one task + for each other task, "
            "its mass / its weight limit at any rate x (1 / frequency multiplier with its lifts - "
            "1 / frequency multiplier before)",
            worked=said,
            source=SOURCE,
            other=NOT_MEDICAL,
            key=f"station-{station}-composite-lifting-index",
            where=f"station {station}",
        ),
    )


def highest_lifting(product: Product, result: BalanceResult) -> tuple[int, float] | None:
    """Return the station with the highest composite lifting index, and this index.

    Infinite: nothing should be lifted so. None: nothing is lifted on the line, or not all is read.
    """
    line = product.line(result.line)
    if line is None or not result.has_plan:
        return None
    tasks = {task.number: task for task in product.tasks_of(line.name) if task.lift}
    if product.stopped((), Use.LIFTING, tasks=tasks):
        return None
    cycle_s, found = plan_cycle_s(result, line), list[tuple[int, float]]()
    for station in result.stations:
        here = [tasks[number] for number in station.tasks if number in tasks]
        for index in station_lifting(product, here, station.number, cycle_s):
            found.append((station.number, inf if index.value is None else index.value))
    return max(found, key=lambda each: each[1], default=None)


def _of_shifts(product: Product) -> LiftDuration | None:
    """Return the class of the longest shift; its breaks are too short to recover from lifting."""
    shifts = product.calendar.shifts
    longest = max((shift.length_min - shift.break_min for shift in shifts), default=0)
    return duration_class([(longest, 0)]) if longest else LiftDuration.LONG


def _not_covered(
    mass: float | None, lift: Lift, duration: LiftDuration | None, minutes: Fraction | None
) -> Iterator[str]:
    """Yield, in sentences, why the equation says nothing of a lift."""
    if lift.outside is not None:
        yield f"The lifting equation does not cover what is lifted {lift.outside}."
    missing = [
        said
        for said, value in (
            ("mass lifted", mass),
            ("reach at the start", lift.from_reach_mm),
            ("height at the start", lift.from_height_mm),
            ("reach at the end", 0 if lift.let_go else lift.to_reach_mm),
            ("height at the end", lift.to_height_mm),
        )
        if value is None
    ]
    if missing:
        yield f"Its lift has no {', no '.join(missing)}: no lifting index is computed."
    if duration is None:
        yield "The longest shift has more than 8 h of work; the lifting equation goes to 8 h."
    if minutes is None:
        yield "It lifts faster than 15 times a minute; the lifting equation does not cover that."


def _rate(task: Task, lifts: int, minutes: Fraction) -> tuple[Explained, Fraction]:
    row = Formula(
        name="lifts a minute",
        right="lifts in one unit / minutes counted",
        source=SOURCE,
        other="Beyond 15 min from unit to unit, over the task's own time, at least 15 min.",
    )
    values = {"lifts in one unit": plain(lifts), "minutes counted": plain(minutes)}
    rate, opened = row.opened(values)
    return _placed(opened, task, "lifts-a-minute"), rate


def _placed(number: Explained, task: Task, key: str) -> Explained:
    return replace(number, where=f"task {task.number}", key=f"task-{task.number}-{key}")


def _opened(task: Task, lift: Lift, mass: Fraction, rate: Explained, often: Often) -> TaskLift:
    """Return weight limit and index at the start, and at the end where it counts."""
    start = _hands(lift.from_reach_mm, lift.from_height_mm, lift.from_turn_deg)
    end = _hands(lift.to_reach_mm, lift.to_height_mm, lift.to_turn_deg)
    numbers, indices, freely = [rate], list[tuple[Fraction | None, str]](), list[Fraction]()
    for word, at in (("start", start), ("end", end))[: 1 if lift.let_go else 2]:
        factors = multipliers(at, start, end, often)
        limit, opened = _weight_limit(task, word, factors, _notes(at, start, end, often))
        index = lifting_index(mass, limit)
        numbers += [opened, _index(task, word, mass, limit, index)]
        said = f"at the {word} ({figure(mass)} kg, {figure(limit, 1)} kg recommended)"
        if index is None:
            zero = next(name for name in FACTORS if not factors[name])
            said = f"at the {word}: nothing should be lifted so, by its {zero}"
        indices.append((index, said))
        freely.append(weight_limit(factors | {"frequency": Fraction(1)}))
    finding, none = None, next((said for index, said in indices if index is None), None)
    worst, said = max(((i, s) for i, s in indices if i is not None), default=(Fraction(0), ""))
    if none is not None:
        finding = _high(task, f"No lifting index {none}.")
    elif worst > MOST_INDEX:
        finding = _high(task, f"The lifting index is {figure(worst, 2)} {said}, more than 1.")
    job = Lifting(
        load=mass,
        at_any_rate=min(freely),
        a_minute=fraction(rate.value or 0),
        duration=often.duration,
        is_low=start.height < 75,
    )
    return TaskLift(task=task.number, numbers=tuple(numbers), finding=finding, of_job=job)


def _high(task: Task, message: str) -> Finding:
    return warning("lifting-index-high", f"Task {task.number}", message)


def _hands(reach_mm: float | None, height_mm: float | None, turn_deg: float | None) -> Hands:
    return Hands(
        reach=fraction(reach_mm or 0) / 10,
        height=fraction(height_mm or 0) / 10,
        turn_deg=fraction(turn_deg or 0),
    )


def _notes(at: Hands, start: Hands, end: Hands, often: Often) -> dict[str, str]:
    """Return what each multiplier comes from."""
    travel = abs(fraction(end.height) - fraction(start.height))
    return {
        "reach": f"reach {figure(at.reach)} cm",
        "height": f"height {figure(at.height)} cm",
        "travel": f"travel {figure(travel)} cm",
        "turn": f"turn {figure(at.turn_deg)} deg",
        "frequency": f"{figure(often.a_minute, 2)} lifts a minute, up to {HOURS[often.duration]} h",
        "coupling": f"{often.coupling} hold",
    }


def _weight_limit(
    task: Task, word: str, factors: dict[str, Fraction], notes: dict[str, str]
) -> tuple[Fraction, Explained]:
    row = Formula(
        name=f"recommended weight limit at the {word}",
        left="recommended weight limit",
        right="load constant x " + " x ".join(f"{name} multiplier" for name in FACTORS),
        unit="kg",
        source=SOURCE,
        other=ROUNDED,
    )
    values = {
        f"{name} multiplier": Value(factors[name], Written(places=4), notes[name])
        for name in FACTORS
    }
    constant = {"load constant": Value(Fraction(23), Written(unit="kg"))}
    limit, opened = row.opened(constant | values, written=Written(places=2, unit="kg"))
    return limit, _placed(opened, task, f"weight-limit-{word}")


def _index(
    task: Task, word: str, mass: Fraction, limit: Fraction, index: Fraction | None
) -> Explained:
    row = Formula(
        name=f"lifting index at the {word}",
        left="lifting index",
        right="mass lifted / recommended weight limit",
        source=SOURCE,
        other=NOT_MEDICAL,
    )
    if index is None:
        opened = row.told(None, "nothing should be lifted so: the recommended weight limit is 0")
    else:
        kg = Written(places=2, unit="kg")
        values = {"mass lifted": Value(mass, kg), "recommended weight limit": Value(limit, kg)}
        opened = row.opened(values, written=Written(places=2))[1]
    return _placed(opened, task, f"lifting-index-{word}")
