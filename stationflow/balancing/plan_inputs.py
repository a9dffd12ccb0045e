"""What the balance of a line rests on, as one set of facts.

The product is reduced to what a plan rests on, with its lists in an order of their own. The
checksum of the facts in it is kept with a plan, and the words for what has changed are made
from it too, so that the two never disagree. Of the calendar, the demand and the other lines a
plan rests on nothing but the pace that follows from them; what a line is called is no fact.
What is as usual (the default of its field) is none either: a field that comes new to a class, or
rows that change places, make no plan out of date.
"""

import hashlib
import json
from collections import Counter
from collections.abc import Collection
from dataclasses import MISSING, fields, is_dataclass, replace
from functools import cache, lru_cache
from typing import Any

from stationflow.balancing.limits.kinds import LINE_FIELDS
from stationflow.model import (
    MAIN_LINE,
    Calendar,
    Demand,
    DemandPace,
    Equipment,
    Line,
    Plan,
    Product,
    StationSetting,
    Task,
    TaskLimits,
)
from stationflow.model.changes.change_words import became, change_words
from stationflow.model.changes.differences import differences
from stationflow.model.schema.tables import TABLE_OF
from stationflow.model.unread import Use
from stationflow.network.line_tree import line_tree
from stationflow.pace.takt import line_pace
from stationflow.units import TimeUnit, show_seconds

OF_STATION = frozenset(TABLE_OF[StationSetting].fields_for(Use.WORK))
"""What the work of a station rests on; the rest is entered for the flow."""
OF_OWN_LINE = frozenset({"name", "form", "stations", *LINE_FIELDS})
OF_PACE = frozenset({"name", *TABLE_OF[Line].fields_for(Use.PACE)})
"""What the work on a line rests on, and what the pace of it and of its feeders does."""


def is_made_from(plan: Plan, product: Product) -> bool:
    """Return whether what a plan was made from is what the product says now."""
    kept = plan.inputs
    return bool(kept) and (
        kept == plan_inputs_checksum(product, plan.line)
        or kept == _checksum_of_before(product, plan.line)
    )


@lru_cache(maxsize=256)  # a page asks for all plans of a line each time it is drawn
def plan_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return, in sentences, what differs for a line's plan; empty: the plan is up to date."""
    was, is_now = _pace(made_from, line), _pace(now, line)
    if was == is_now:
        return curve_differences(made_from, now, line)
    unit = now.time_unit
    if said := _said(_of_plan(made_from, line), _of_plan(now, line), unit):
        return said
    takts = (each.takt_time for each in (was, is_now))  # a value is there and cannot be read
    before, after = ("empty" if t is None else show_seconds(t, unit) for t in takts)
    return (f"{became('Takt time', before, after)}.",)


def curve_differences(made_from: Product, now: Product, line: str) -> tuple[str, ...]:
    """Return, in sentences, what differs for a line's curve; empty: the curve is up to date."""
    return _said(_of_curve(made_from, line), _of_curve(now, line), now.time_unit)


def _said(before: Product, after: Product, unit: TimeUnit) -> tuple[str, ...]:
    changes = (c for c in differences(before, after) if c.path not in (("tasks",), ("lines",)))
    return tuple(f"{change_words(change, unit)}." for change in changes)  # a mere order is none


def _pace(product: Product, line: str) -> DemandPace:
    return line_pace(product, line).in_plan


def _of_plan(product: Product, line: str) -> Product:
    """Return what a plan of a line rests on: its work, and all that its pace follows from."""
    way = line_tree(product).ways.get(line, ())
    names = {each.name for each in way}
    return replace(
        _of_curve(product, line),
        lines=tuple(
            _only_of_line(each, OF_PACE | OF_OWN_LINE if each.name == line else OF_PACE)
            for each in way
        ),
        joins=_in_order(tuple(join for join in product.joins if join.line in names)),
        calendar=_in_order(product.calendar),
        demand=product.demand,
    )


@lru_cache(maxsize=8)
def _of_curve(product: Product, line: str) -> Product:
    """Return what a curve of a line rests on: its tasks, limits and lags, and the mix of models."""
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
        lines=(_only_of_line(product.line(line) or Line(name=line), OF_OWN_LINE),),
    )


def _only_of_line(line: Line, names: Collection[str]) -> Line:
    """Return a line with some of its fields, and with nothing of its stations but their work."""
    settings = (_only(setting, OF_STATION) for setting in line.stations)
    stations = tuple(each for each in settings if each != StationSetting(number=each.number))
    return _in_order(_only(replace(line, stations=stations), names))  # type: ignore[no-any-return]


def _only(thing: Any, names: Collection[str]) -> Any:
    """Return a thing of the model with what is as usual in all but some of its fields."""
    others = {name: usual for name, usual in _usual(thing.__class__) if name not in names}
    return replace(thing, **others)


def plan_inputs(product: Product, line: str) -> dict[str, Any]:
    """Return the facts that a plan of a line rests on."""
    return {**_curve_inputs(product, line), "pace": _facts(_pace(product, line))}


def _curve_inputs(product: Product, line: str) -> dict[str, Any]:
    """Return the facts that a curve of a line rests on."""
    curve = _of_curve(product, line)
    own = _facts(replace(curve.lines[0], name=MAIN_LINE))
    return {**_work_facts(curve), **({"limits": own} if own else {})}


def _work_facts(curve: Product) -> dict[str, Any]:
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
    return _checksum(plan_inputs(product, line))


@lru_cache(maxsize=64)
def curve_inputs_checksum(product: Product, line: str) -> str:
    """Return the SHA-256 of what a curve of a line rests on, in hexadecimal."""
    return _checksum(_curve_inputs(product, line))


FLOW_OF_BEFORE = (
    "title", "conveyor", "between_places", "hall_m", "speed_limit_m_per_min", "carriers",
    "carrier_return_ms", "transport_ms", "bought_in",
)  # fmt: skip


@lru_cache(maxsize=64)
def _checksum_of_before(product: Product, line: str) -> str:
    """Return the checksum as plans kept it before December 2026, with more than they rest on.

    Files hold no earlier state to compare with: it may go when no folder or workbook of then is
    brought in any more. Where it agrees, nothing has changed that a plan rests on.
    """
    way = line_tree(product).ways.get(line, ())
    names = {each.name for each in way}
    of_line = [field.name for field in fields(Line) if field.name not in FLOW_OF_BEFORE]
    joins = _in_order(tuple(join for join in product.joins if join.line in names))
    facts = {
        **_work_facts(_of_curve(product, line)),
        "lines": {each.name: _facts(_only_of_line(each, of_line)) for each in way},
        **({"joins": _facts(joins)} if joins else {}),
        "calendar": _facts(_in_order(product.calendar)),
        "demand": _facts(product.demand),
    }
    return _checksum(facts)


def _checksum(facts: dict[str, Any]) -> str:
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
