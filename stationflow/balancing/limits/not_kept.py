"""What is entered and kept, and what is entered and not kept: named, never silently dropped."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Form
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.balancing.task_check import shortened
from stationflow.model import LineForm, StationSetting, TaskLimits

WORDS = {
    "side": "side of the line",
    "attitude": "how the unit lies",
    "space_mm": "width at the line",
    "lift_kg": "mass lifted",
    "static_safe": "static-protected area",
    "guarded": "high-voltage guard",
    "independent_of": "independent check",
    "while_moving": "work while the unit moves",
    "crossing": "crossing the limit of a station",
    "operators": "operators at a station",
    "copies": "parallel stations",
    "target_share": "target load",
}
"""What has no kind of limit yet in the engineer's words, where its name does not say it."""


def kept_limits(entered: EnteredLimits, keeps: frozenset[Form]) -> tuple[str, ...]:
    """Return, in words, the limits that are entered and that a method keeps."""
    kinds = [kind for kind in LIMITS if kind.kept_by(entered, keeps)]
    words = {name: said for kind in kinds for name, said in kind.task_fields.items()}
    return tuple(said for name, said in words.items() if _having(entered, name))


def not_kept_by_method(entered: EnteredLimits, keeps: frozenset[Form]) -> tuple[str, ...]:
    """Return, in words, the limits that are entered and that other methods keep."""
    kinds = [kind for kind in LIMITS if not kind.kept_by(entered, keeps)]
    words = {name: said for kind in kinds for name, said in kind.task_fields.items()}
    return tuple(_named(entered, words))


def not_kept_by_any(entered: EnteredLimits) -> tuple[str, ...]:
    """Return, in words, all that is entered and that no method keeps yet."""
    known = {name for kind in LIMITS for name in kind.task_fields}
    open_fields = [field.name for field in fields(TaskLimits) if field.name not in known]
    words = {name: WORDS.get(name, _plain(name)) for name in open_fields}
    return (*_named(entered, words), *_lags(entered), *_settings(entered))


def _plain(name: str) -> str:
    """Return the name of a field in words, without its unit."""
    return name.removesuffix("_mm").removesuffix("_kg").replace("_", " ")


def _having(entered: EnteredLimits, name: str) -> list[str]:
    """Return the tasks that have a limit."""
    unset = getattr(TaskLimits(), name)
    tasks = zip(entered.numbers, entered.tasks, strict=True)
    return [number for number, limits in tasks if getattr(limits, name) != unset]


def _named(entered: EnteredLimits, words: dict[str, str]) -> Iterator[str]:
    """Yield each limit with the tasks that have it."""
    for name, said in words.items():
        if having := _having(entered, name):
            yield f"{said} (task {shortened(having)})"


def _lags(entered: EnteredLimits) -> Iterator[str]:
    """Yield the times between tasks."""
    if entered.lags:
        pairs = shortened([f"{lag.before} to {lag.after}" for lag in entered.lags])
        yield f"time between tasks ({pairs})"


def _settings(entered: EnteredLimits) -> Iterator[str]:
    """Yield what is special about stations, and the form of the line."""
    known = {"number", *(name for kind in LIMITS for name in kind.station_fields)}
    having: dict[str, list[str]] = defaultdict(list)
    for setting in entered.stations:
        plain = StationSetting(number=setting.number)
        for name in (field.name for field in fields(StationSetting) if field.name not in known):
            if getattr(setting, name) != getattr(plain, name):
                having[name].append(str(setting.number))
    for name, stations in having.items():
        yield f"{WORDS.get(name, _plain(name))} (station {shortened(stations)})"
    if entered.line_form != LineForm.STRAIGHT:
        yield f"form of the line ({entered.line_form})"
