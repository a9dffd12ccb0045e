"""What differs, in words, between two states of a product for the plan or curve of a line."""

from collections.abc import Iterable, Mapping
from typing import Any

from stationflow.balancing.plan_inputs import curve_inputs, plan_inputs
from stationflow.model import Product
from stationflow.network.line_tree import line_tree
from stationflow.units import TimeUnit, show_time

WORDS = {
    "models": "The mix of models differs.",
    "calendar": "The calendar differs.",
    "demand": "The demand differs.",
    "lags": "The times between tasks differ.",
}
OF_TASK = {"model_times": "times by model differ.", "limits": "limits differ."}


def plan_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return what differs for one line's plan; empty: the plan is up to date."""
    return _differences(plan_inputs(made_from, line), plan_inputs(now, line), now)


def curve_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return what differs for one line's curve; empty: the curve is up to date."""
    return _differences(curve_inputs(made_from, line), curve_inputs(now, line), now)


def _differences(
    before: Mapping[str, Any], after: Mapping[str, Any], now: Product
) -> tuple[str, ...]:
    return (
        *_task_differences(before["tasks"], after["tasks"], now.time_unit),
        *_line_differences(before.get("lines", {}), after.get("lines", {}), now),
        *(said for name, said in WORDS.items() if before.get(name) != after.get(name)),
    )


def _task_differences(
    before: Mapping[str, Any], after: Mapping[str, Any], unit: TimeUnit
) -> Iterable[str]:
    """Say which tasks of the line differ in what a balance uses."""
    yield from (f"Task {number} is gone." for number in before if number not in after)
    yield from (f"Task {number} is new." for number in after if number not in before)
    for number, is_now in after.items():
        if number in before:
            for said in _changes_of(before[number], is_now, unit):
                yield f"Task {number}: {said}"


def _changes_of(was: Mapping[str, Any], is_now: Mapping[str, Any], unit: TimeUnit) -> Iterable[str]:
    if was["time"] != is_now["time"]:
        yield f"time was {show_time(was['time'], unit)}, is {show_time(is_now['time'], unit)}."
    if was["predecessors"] != is_now["predecessors"]:
        old, new = (", ".join(each["predecessors"]) or "none" for each in (was, is_now))
        yield f"predecessors were {old}, are {new}."
    yield from (said for name, said in OF_TASK.items() if was[name] != is_now[name])


def _line_differences(
    before: Mapping[str, Any], after: Mapping[str, Any], now: Product
) -> Iterable[str]:
    """Say which lines on the way from this line to the main line differ."""
    for name in {**after, **before}:
        if name not in line_tree(now).lines:
            yield f"Line {name} is gone."
        elif name in after and before.get(name) != after[name]:
            yield f"Line {name}: its settings differ."
