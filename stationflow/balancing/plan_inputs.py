"""What the balance of a line rests on, as one set of facts.

The product is reduced to what a plan rests on, with its lists in an order of their own. The
checksum of the facts in it is kept with a plan, and the words for what has changed are made
from it too, so that the two never disagree. What is as usual (the default of its field) is no
fact: a field that comes new to a class, or rows that change places, make no plan out of date.
"""

import hashlib
import json
from collections import Counter
from dataclasses import MISSING, fields, is_dataclass, replace
from functools import cache, lru_cache
from typing import Any

from stationflow.model import (
    MAIN_LINE,
    Calendar,
    Demand,
    Equipment,
    Line,
    Product,
    StationSetting,
    Task,
    TaskLimits,
)
from stationflow.model.changes.change_words import change_words
from stationflow.model.changes.differences import differences
from stationflow.network.line_tree import line_tree
from stationflow.units import TimeUnit


@lru_cache(maxsize=256)  # a page asks for all plans of a line each time it is drawn
def plan_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return, in sentences, what differs for a line's plan; empty: the plan is up to date."""
    return _said(_of_plan(made_from, line), _of_plan(now, line), now.time_unit)


def curve_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return, in sentences, what differs for a line's curve; empty: the curve is up to date."""
    return _said(_of_curve(made_from, line), _of_curve(now, line), now.time_unit)


def _said(before: Product, after: Product, unit: TimeUnit) -> tuple[str, ...]:
    changes = (c for c in differences(before, after) if c.path not in (("tasks",), ("lines",)))
    return tuple(f"{change_words(change, unit)}." for change in changes)  # a mere order is none


def _of_plan(product: Product, line: str) -> Product:
    """Return what a plan of a line rests on: its work, the lines it feeds, and the pace."""
    way = line_tree(product).ways.get(line, ())
    names = {each.name for each in way}
    return replace(
        _of_curve(product, line),
        lines=tuple(_in_order(replace(_without_flow(each), title="")) for each in way),
        joins=_in_order(tuple(join for join in product.joins if join.line in names)),
        calendar=_in_order(product.calendar),
        demand=product.demand,
    )


@lru_cache(maxsize=8)
def _of_curve(product: Product, line: str) -> Product:
    """Return what a curve of a line rests on: its tasks, the lags and the mix of models."""
    tasks = tuple(
        Task(
            number=task.number,
            time_ms=task.time_ms,
            predecessors=_in_order(tuple(set(task.predecessors))),
            model_times=_in_order(task.model_times),
            station_times=_in_order(task.station_times),
            limits=_limits_in_order(task.limits),
        )
        for task in product.tasks_of(line)
    )
    numbers = {task.number for task in tasks}
    needed = {name for task in tasks for name in task.limits.equipment}
    equipment = tuple(
        Equipment(name=piece.name, quantity=piece.quantity, shared=piece.shared, cost=piece.cost)
        for piece in product.equipment
        if piece.name in needed
    )
    lags = (lag for lag in product.lags if lag.before in numbers or lag.after in numbers)
    return Product(
        code="",
        tasks=tasks,
        models=_in_order(tuple(replace(model, title="") for model in product.models)),
        lags=_in_order(tuple(lags)),
        equipment=_in_order(equipment),
        calendar=Calendar(),
        demand=Demand(),
        lines=(_limits_of(product.line(line) or Line(name=line)),),
    )


FLOW_OF_LINE = {
    "conveyor", "between_places", "hall_m", "speed_limit_m_per_min", "carriers",
    "carrier_return_ms", "transport_ms", "bought_in",
}  # fmt: skip
FLOW_OF_STATION = {"length_m", "places_after", "mtbf_min", "mttr_min"}
"""What is entered of lines and stations for their flow, on which no balance rests."""


def _without_flow(line: Line) -> Line:
    """Return a line without what is only entered for its flow."""
    settings = (replace(each, **_usual_of(each, FLOW_OF_STATION)) for each in line.stations)
    stations = tuple(each for each in settings if each != StationSetting(number=each.number))
    return replace(line, **_usual_of(line, FLOW_OF_LINE), stations=stations)


def _usual_of(thing: Any, names: set[str]) -> dict[str, Any]:
    return {name: usual for name, usual in _usual(thing.__class__) if name in names}


def _limits_of(line: Line) -> Line:
    """Return a line with nothing but what its own limits are."""
    names = ("stations", "turn_ms", "height_range_mm", "lifts_per_min", "lifted_kg_per_min")
    line = _without_flow(line)
    told = {name: getattr(line, name) for name in names}
    return _in_order(Line(name=line.name, **told))  # type: ignore[no-any-return]


def plan_inputs(product: Product, line: str) -> dict[str, Any]:
    """Return the facts that a plan of a line rests on."""
    plan = _of_plan(product, line)
    return {
        **_curve_facts(plan),
        "lines": {each.name: _facts(each) for each in plan.lines},
        **({"joins": _facts(plan.joins)} if plan.joins else {}),
        "calendar": _facts(plan.calendar),
        "demand": _facts(plan.demand),
    }


def _curve_facts(curve: Product) -> dict[str, Any]:
    tasks: dict[str, Any] = {}
    numbers = Counter[str]()
    for task in curve.tasks:
        numbers[task.number] += 1  # a draft may have a number twice
        again = f" ({numbers[task.number]})" if numbers[task.number] > 1 else ""
        tasks[task.number + again] = {
            "time": task.time_ms,
            "predecessors": _facts(task.predecessors),
            "model_times": _facts(task.model_times),
            "limits": _facts(task.limits),
            **({"station_times": _facts(task.station_times)} if task.station_times else {}),
        }
    return {
        **({"equipment": _facts(curve.equipment)} if curve.equipment else {}),
        "tasks": tasks,
        "models": sorted(([model.name, _facts(model.share)] for model in curve.models), key=_text),
        "lags": _facts(curve.lags),
    }


@lru_cache(maxsize=64)
def plan_inputs_checksum(product: Product, line: str) -> str:
    """Return the SHA-256 of what a plan of a line rests on, in hexadecimal."""
    return hashlib.sha256(_text(plan_inputs(product, line)).encode()).hexdigest()


@lru_cache(maxsize=64)
def curve_inputs_checksum(product: Product, line: str) -> str:
    """Return the SHA-256 of what a curve of a line rests on, in hexadecimal."""
    curve = _of_curve(product, line)
    own = _facts(replace(curve.lines[0], name=MAIN_LINE))
    facts = {**_curve_facts(curve), **({"limits": own} if own else {})}
    return hashlib.sha256(_text(facts).encode()).hexdigest()


def _in_order(thing: Any) -> Any:
    """Return a thing of the model with its lists in an order of their own."""
    if is_dataclass(thing) and not isinstance(thing, type):
        values = {name: getattr(thing, name) for name, _ in _usual(thing.__class__)}
        lists = {name: _in_order(it) for name, it in values.items() if isinstance(it, tuple)}
        return replace(thing, **lists) if lists else thing
    if isinstance(thing, tuple):
        ordered = map(_in_order, thing)
        if len(thing) < 2:
            return tuple(ordered)
        return tuple(sorted(ordered, key=lambda each: _text(_facts(each))))
    return thing


@lru_cache(maxsize=64)  # most tasks have none, or the same as others
def _limits_in_order(limits: TaskLimits) -> TaskLimits:
    ordered: TaskLimits = _in_order(limits)
    return ordered


def _facts(thing: Any) -> Any:
    """Return a thing of the model, in order, as JSON has it: without what is as usual."""
    if is_dataclass(thing):
        told = ((name, getattr(thing, name), usual) for name, usual in _usual(thing.__class__))
        return {name: _facts(value) for name, value, usual in told if value != usual}
    if isinstance(thing, tuple):
        return [_facts(each) for each in thing]
    if isinstance(thing, float) and thing.is_integer():
        return int(thing)
    return thing


@cache
def _usual(kind: Any) -> tuple[tuple[str, Any], ...]:
    """Return the fields of a class with what is as usual."""
    return tuple(
        (f.name, _in_order(f.default if f.default_factory is MISSING else f.default_factory()))
        for f in fields(kind)
    )


_text = json.JSONEncoder(sort_keys=True, separators=(",", ":")).encode
"""Returns facts as text that is the same for equal facts."""
