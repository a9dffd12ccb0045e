"""The limits of tasks and stations in a few words, for whoever points at them."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field

from stationflow.balancing.limits.kinds import LIMITS
from stationflow.model import Product, StationSetting, Task, TaskLimits, TimeLag
from stationflow.model.schema.cells import join_list, one_line, plain_number
from stationflow.model.schema.columns import Kind
from stationflow.model.schema.tables import TABLE
from stationflow.units import TimeUnit, show_seconds

UNSET, USUAL = TaskLimits(), StationSetting(number=1)
TASK_FIELDS = {column.field for column in TABLE["limits"].columns[1:]}
STATION_FIELDS = {name for kind in LIMITS for name in kind.station_fields}


@dataclass(frozen=True, slots=True)
class LimitTips:
    """What is entered among the limits of a line; what has none is left out."""

    tasks: Mapping[str, str] = field(default_factory=dict)  # by the number of the task
    stations: Mapping[int, str] = field(default_factory=dict)


def limit_tips(product: Product, line: str) -> LimitTips:
    """Return the limits of the tasks and stations of a line in words, each on one line."""
    unit, lags = product.time_unit, product.lags
    tasks = {task.number: _of_task(task, lags, unit) for task in product.tasks_of(line)}
    known = product.line(line)
    stations = {
        station.number: _said("stations", station, USUAL, STATION_FIELDS)
        for station in (known.stations if known else ())
    }
    return LimitTips(
        {number: one_line(said) for number, said in tasks.items() if said},
        {number: one_line(said) for number, said in stations.items() if said},
    )


def limit_tip(limits: TaskLimits) -> str:
    """Return what is entered among the limits of a task, each with its name.

    >>> limit_tip(TaskLimits(station=3, apart=("10", "20"), guarded=True))
    'fixed station 3; kept apart from 10; 20; high-voltage guard'
    """
    return _said("limits", limits, UNSET, TASK_FIELDS)


def _of_task(task: Task, lags: tuple[TimeLag, ...], unit: TimeUnit) -> str:
    own = limit_tip(task.limits)
    said = [own] if own else []
    said += [
        f"{show_seconds(one.time_ms / 1000, unit)} at station {one.station}"
        for one in task.station_times
    ]
    said += [words for lag in lags if (words := _lag_words(task.number, lag, unit))]
    return "; ".join(said)


def _lag_words(number: str, lag: TimeLag, unit: TimeUnit) -> str:
    if number not in (lag.before, lag.after):
        return ""
    times = (("at least", lag.shortest_ms), ("at most", lag.longest_ms))
    stations = (("at least", lag.least_stations), ("at most", lag.most_stations))
    asked = [f"{how} {show_seconds(ms / 1000, unit)}" for how, ms in times if ms is not None]
    asked += [f"{how} {n} station{'s' * (n != 1)}" for how, n in stations if n is not None]
    way, other = ("after", lag.before) if number == lag.after else ("before", lag.after)
    return f"{' and '.join(asked)} {way} task {other}" if asked else ""


def _said(table: str, record: object, unset: object, asked: Collection[str]) -> str:
    """Return the fields of a record that are asked for and filled, each with its name."""
    if record == unset:
        return ""
    said = []
    for column in TABLE[table].columns:
        if column.field not in asked:
            continue
        value = getattr(record, column.field)
        if value == getattr(unset, column.field):
            continue
        words = join_list(value) if isinstance(value, tuple) else str(value)
        if isinstance(value, bool):
            said.append(column.in_words if value else f"no {column.in_words}")
        elif column.kind == Kind.SHARE:
            said.append(f"{column.in_words} {plain_number(100 * value)} %")
        elif isinstance(value, (int, float)):
            unit = f" {column.unit}" if column.unit else ""
            said.append(f"{column.in_words} {plain_number(value)}{unit}")
        else:
            said.append(f"{column.in_words} {words}")
    return "; ".join(said)
