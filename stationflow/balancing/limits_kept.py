"""What the engineer entered and no method keeps yet is named, never silently dropped."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields

from stationflow.balancing.task_check import shortened
from stationflow.balancing.time_words import time_words
from stationflow.model import (
    BalanceResult,
    Finding,
    Line,
    LineForm,
    Product,
    StationSetting,
    Task,
    TaskLimits,
    warning,
)
from stationflow.units import TimeUnit

WORDS = {
    "station": "fixed station",
    "zone": "zone",
    "together": "tasks kept together",
    "apart": "tasks kept apart",
    "equipment": "equipment needed",
    "side": "side of the line",
    "attitude": "how the unit lies",
    "working_height_mm": "working height",
    "space_mm": "width at the line",
    "lift_kg": "mass lifted",
    "skill": "skill",
    "static_safe": "static-protected area",
    "guarded": "high-voltage guard",
    "independent_of": "independent check",
    "while_moving": "work while the unit moves",
    "crossing": "crossing the limit of a station",
}
"""Each attribute of `TaskLimits` in the engineer's words."""

SETTING_WORDS = {
    "operators": "operators at a station",
    "copies": "parallel stations",
    "target_share": "target load",
    "zone": "zone of a station",
    "equipment": "equipment of a station",
}
"""Each attribute of `StationSetting` in the engineer's words."""


def limits_not_kept(product: Product, line: str | Line) -> Finding | None:
    """Return one warning that names all that was entered and no method keeps yet.

    Parameters
    ----------
    product
        The product.
    line
        The line, or its name.

    Returns
    -------
    Finding or None
        None if nothing of the kind is entered for this line.
    """
    name = line if isinstance(line, str) else line.name
    here = line if isinstance(line, Line) else product.line(name)
    tasks = product.tasks_of(name)
    named = [*_task_limits(tasks), *_lags(product, tasks), *(_settings(here) if here else ())]
    if not named:
        return None
    message = f"Entered, but not kept by any method yet: {'; '.join(named)}."
    return warning("limits-not-kept", f"Line {name}", message)


def _task_limits(tasks: tuple[Task, ...]) -> Iterator[str]:
    """Yield each limit of tasks with the tasks that have it."""
    empty = TaskLimits()
    for field in fields(TaskLimits):
        unset = getattr(empty, field.name)
        having = [t.number for t in tasks if getattr(t.limits, field.name) != unset]
        if having:
            yield f"{WORDS[field.name]} (task {shortened(having)})"


def _lags(product: Product, tasks: tuple[Task, ...]) -> Iterator[str]:
    """Yield the times between tasks, if one of the tasks is on the line."""
    numbers = {task.number for task in tasks}
    pairs = [
        f"{lag.before} to {lag.after}"
        for lag in product.lags
        if lag.before in numbers or lag.after in numbers
    ]
    if pairs:
        yield f"time between tasks ({shortened(pairs)})"


def _settings(line: Line) -> Iterator[str]:
    """Yield what is special about stations, and the form of the line."""
    having: dict[str, list[str]] = defaultdict(list)
    for setting in line.stations:
        plain = StationSetting(number=setting.number)
        for name in SETTING_WORDS:
            if getattr(setting, name) != getattr(plain, name):
                having[name].append(str(setting.number))
    for name, stations in having.items():
        yield f"{SETTING_WORDS[name]} (station {shortened(stations)})"
    if line.form != LineForm.STRAIGHT:
        yield f"form of the line ({line.form})"


def model_overloads(result: BalanceResult, unit: TimeUnit) -> tuple[Finding, ...]:
    """Return a warning for each station where one model exceeds the limit.

    The mean over all models keeps the limit at every station; a single model may not.
    Without a limit the cycle time takes its place. `unit`: in which times are written.
    """
    limit = result.cycle_time if result.limit is None else result.limit
    words = time_words(result.time_unit, unit)
    findings = []
    for station, mean in zip(result.stations, result.loads, strict=True):
        loads = ((model, result.in_time_unit(ticks)) for model, ticks in station.model_ticks)
        over = [f"{model} with {words.show(load)}" for model, load in loads if load > limit]
        if over:
            message = (
                f"The work is longer than the limit {words.show(limit)} for model "
                f"{', '.join(over)}; the mean over the mix is {words.show(mean)}."
            )
            findings.append(warning("model-over-takt", f"Station {station.number}", message))
    return tuple(findings)
