"""What is entered and kept, and what is entered and not kept: named, never silently dropped."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import fields

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Form
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.balancing.task_check import shortened
from stationflow.model import LineForm, StationSetting, TaskLimits
from stationflow.model.schema.tables import TABLE
from stationflow.model.unread import Use


def kept_limits(entered: EnteredLimits, keeps: frozenset[Form]) -> tuple[str, ...]:
    """Return, in words, the limits that are entered and that a method keeps."""
    kept = [kind for kind in LIMITS if kind.kept_by(entered, keeps)]
    names = [name for kind in kept for name in kind.task_fields if _having(entered, name)]
    by_name = (kind.name for kind in kept if kind.name and any(kind.forms(entered)))
    return (*(_words("limits", name) for name in names), *by_name)


def not_kept_by_method(entered: EnteredLimits, keeps: frozenset[Form]) -> tuple[str, ...]:
    """Return, in words, the limits that are entered and that other methods keep."""
    kinds = [kind for kind in LIMITS if not kind.kept_by(entered, keeps)]
    said = (form.said for kind in kinds if kind.name for form in kind.forms(entered))
    return (*_named(entered, (name for kind in kinds for name in kind.task_fields)), *said)


def not_kept_by_any(entered: EnteredLimits) -> tuple[str, ...]:
    """Return, in words, all that is entered and that no method keeps yet."""
    known = {name for kind in LIMITS for name in kind.task_fields}
    others = (field.name for field in fields(TaskLimits) if field.name not in known)
    return (*_named(entered, others), *_lags(entered), *_settings(entered), *entered.unread)


def _words(table: str, field: str) -> str:
    return next(column.in_words for column in TABLE[table].columns if column.field == field)


def _having(entered: EnteredLimits, name: str) -> list[str]:
    unset = getattr(TaskLimits(), name)
    tasks = zip(entered.numbers, entered.tasks, strict=True)
    return [number for number, limits in tasks if getattr(limits, name) != unset]


def _named(entered: EnteredLimits, names: Iterable[str]) -> Iterator[str]:
    """Yield each limit with the tasks that have it."""
    for name in names:
        if having := _having(entered, name):
            yield f"{_words('limits', name)} (task {shortened(having)})"


def _lags(entered: EnteredLimits) -> Iterator[str]:
    """Yield the times between tasks of two lines: no plan of one line can keep them."""
    here = set(entered.numbers)
    if foreign := [lag for lag in entered.lags if not {lag.before, lag.after} <= here]:
        pairs = shortened([f"{lag.before} to {lag.after}" for lag in foreign])
        yield f"time between tasks of two lines ({pairs})"


def _settings(entered: EnteredLimits) -> Iterator[str]:
    """Yield what is special about the work of stations, and the form of the line."""
    known = {"number", *(name for kind in LIMITS for name in kind.station_fields)}
    others = [name for name in TABLE["stations"].fields_for(Use.WORK) if name not in known]
    having: dict[str, list[str]] = defaultdict(list)
    for setting in entered.stations:
        plain = StationSetting(number=setting.number)
        for name in others:
            if getattr(setting, name) != getattr(plain, name):
                having[name].append(str(setting.number))
    for name, stations in having.items():
        yield f"{_words('stations', name)} (station {shortened(stations)})"
    if entered.line_form != LineForm.STRAIGHT:
        yield f"form of the line ({entered.line_form})"
