"""What the balance of a line rests on, as one set of facts.

The checksum of these facts is kept with a plan, and the words for what has changed are
made from the same facts (`plan_age`), so that the two never disagree. What is as usual
(the default of its field) is left out, and lists are in no order: a field that comes new
to a class, or rows that change places, make no plan out of date.
"""

import hashlib
import json
from collections import Counter
from dataclasses import MISSING, fields, is_dataclass, replace
from functools import cache, lru_cache
from typing import Any

from stationflow.model import Product, Task
from stationflow.network.line_tree import line_tree


def plan_inputs(product: Product, line: str) -> dict[str, Any]:
    """Return what a plan of a line rests on: its work, the lines it feeds, and the pace."""
    way = line_tree(product).ways.get(line, ())
    return {
        **curve_inputs(product, line),
        "lines": {each.name: _facts(replace(each, title="")) for each in way},
        "calendar": _facts(product.calendar),
        "demand": _facts(product.demand),
    }


def curve_inputs(product: Product, line: str) -> dict[str, Any]:
    """Return what a curve of a line rests on: its tasks, the lags and the mix of models."""
    tasks: dict[str, Any] = {}
    numbers = Counter[str]()
    for task in product.tasks_of(line):
        numbers[task.number] += 1  # a draft may have a number twice
        again = f" ({numbers[task.number]})" if numbers[task.number] > 1 else ""
        tasks[task.number + again] = _of_task(task)
    lags = [lag for lag in product.lags if lag.before in tasks or lag.after in tasks]
    return {
        "tasks": tasks,
        "models": _facts([(model.name, model.share) for model in product.models]),
        "lags": _facts(lags),
    }


@lru_cache(maxsize=64)
def plan_inputs_checksum(product: Product, line: str) -> str:
    """Return the SHA-256 of what a plan of a line rests on, in hexadecimal."""
    return hashlib.sha256(_text(plan_inputs(product, line)).encode()).hexdigest()


@lru_cache(maxsize=64)
def curve_inputs_checksum(product: Product, line: str) -> str:
    """Return the SHA-256 of what a curve of a line rests on, in hexadecimal."""
    return hashlib.sha256(_text(curve_inputs(product, line)).encode()).hexdigest()


def _of_task(task: Task) -> dict[str, Any]:
    return {
        "time": task.time_ms,
        "predecessors": _facts(set(task.predecessors)),
        "model_times": _facts(task.model_times),
        "limits": _facts(task.limits),
    }


def _facts(thing: Any) -> Any:
    """Return a thing of the model as JSON has it: without what is as usual, lists in order."""
    if is_dataclass(thing):
        told = ((name, getattr(thing, name), usual) for name, usual in _usual(thing.__class__))
        return {name: _facts(value) for name, value, usual in told if value != usual}
    if isinstance(thing, list | tuple | set | frozenset):
        return sorted(map(_facts, thing), key=_text)
    if isinstance(thing, float) and thing.is_integer():
        return int(thing)
    return thing


@cache
def _usual(kind: Any) -> tuple[tuple[str, Any], ...]:
    """Return the fields of a class with what is as usual."""
    return tuple(
        (f.name, f.default if f.default_factory is MISSING else f.default_factory())
        for f in fields(kind)
    )


_text = json.JSONEncoder(sort_keys=True, separators=(",", ":")).encode
"""Returns facts as text that is the same for equal facts."""
