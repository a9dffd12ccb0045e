"""Whatever changes what a balance of a line reads makes its plans old, and little else does.

Every value of a product in which everything is entered is changed, one at a time, and what a
balance then reads, by the code of the balance itself, is held against the facts kept with plans.
"""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass, replace
from enum import Enum
from functools import cache
from typing import Any, get_args, get_type_hints

import pytest

from stationflow.balancing.assignment import assignment
from stationflow.balancing.limits.forms import forms_of
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.balancing.limits.not_kept import kept_limits, not_kept_by_any
from stationflow.balancing.limits_findings import forms_kept
from stationflow.balancing.plan_inputs import (
    curve_differences,
    curve_inputs_checksum,
    plan_differences,
    plan_inputs_checksum,
)
from stationflow.balancing.verify import verify
from stationflow.balancing.work import NOTHING, line_work
from stationflow.model import (
    Break,
    Calendar,
    Demand,
    Equipment,
    FurtherJoin,
    Line,
    Machine,
    MachineKind,
    Model,
    ModelTime,
    Part,
    PartUse,
    Product,
    Shift,
    StationSetting,
    StationTime,
    Step,
    Task,
    TaskLimits,
    TimeLag,
)
from stationflow.pace.takt import line_pace
from stationflow.units import TimeUnit

ALL_LIMITS = TaskLimits(
    earliest_station=1,
    latest_station=9,
    zone="wet",
    together="a",
    apart=("40",),
    equipment=("press",),
    attitude="up",
    working_height_mm=900.0,
    space_mm=400.0,
    lift_kg=5.0,
    skill="solder",
    static_safe=True,
    guarded=True,
    independent_of=("40",),
)
STATIONS = (
    StationSetting(
        number=1,
        target_share=0.9,
        zone="wet",
        equipment=("press",),
        equipment_possible=("oven",),
        equipment_barred=("saw",),
        skills=("solder",),
        width_mm=900.0,
        static_safe=True,
        guarded=True,
        length_m=2.0,
        places_after=1,
        mtbf_min=600.0,
        mttr_min=5.0,
    ),
    StationSetting(number=3, width_mm=800.0),
)
LIMITED = {
    "pitch_m": 1.0,
    "turn_ms": 1_000,
    "height_range_mm": 100.0,
    "lift_kg": 20.0,
    "lifts_per_min": 30.0,
    "lifted_kg_per_min": 100.0,
    "stations": STATIONS,
    "repositioning_ms": 2_000,
}
FAN = Product(
    code="F",
    calendar=Calendar(
        shifts=(
            Shift(name="early", start="06:00", end="14:00", breaks=(Break(name="b", minutes=30),)),
            Shift(name="late", start="14:00", end="22:00"),
        )
    ),
    demand=Demand(quantity=2000, yield_share=0.98, availability=0.95),
    lines=(
        Line(name="main", title="Assembly", **LIMITED),  # type: ignore[arg-type]
        Line(name="motor", feeds="main", join="20", quantity=2, yield_share=0.97,
             replacement_share=0.01, buffer_places=3, **LIMITED),  # type: ignore[arg-type]
        Line(name="coil", feeds="motor", join="M2", yield_share=0.99),
    ),
    joins=(FurtherJoin(line="coil", feeds="main", join="40", quantity=3),),
    models=(Model(name="A", share=0.6), Model(name="B", share=0.4)),
    tasks=(
        Task(number="10", time_ms=8_000, limits=ALL_LIMITS, time_sd_ms=500,
             model_times=(ModelTime(model="A", time_ms=7_000),),
             station_times=(StationTime(station=1, time_ms=6_000),),
             steps=(Step(text="Place it"),), parts=(PartUse(part="P1"),)),
        Task(number="20", time_ms=9_000, predecessors=("10",),
             limits=TaskLimits(equipment=("press",), attitude="down", working_height_mm=1100.0,
                               space_mm=500.0, lift_kg=2.0, lifts=2, together="a", zone="dry")),
        Task(number="40", time_ms=5_000, predecessors=("20",)),
        Task(number="M1", line="motor", time_ms=6_000, limits=replace(ALL_LIMITS, apart=("M2",))),
        Task(number="M2", line="motor", time_ms=4_000, predecessors=("M1", "C1"),
             limits=TaskLimits(equipment=("press",), attitude="down")),
        Task(number="C1", line="coil", time_ms=3_000),
    ),
    equipment=(Equipment(name="press", cost=100.0), Equipment(name="oven", quantity=2)),
    lags=(
        TimeLag(before="10", after="40", shortest_ms=4_000, most_stations=4),
        TimeLag(before="M1", after="M2", longest_ms=90_000, least_stations=0),
        TimeLag(before="C1", after="40", shortest_ms=1_000),
    ),
    parts=(Part(number="P1"),),
    machines=(Machine(name="oven", kind=MachineKind.BATCH, line="motor", task="M1"),),
)  # fmt: skip
LINES = ("main", "motor", "coil")
NAMES = ("40", "M1", "wet", "press", "new")
EARLIER = {"start": "05:00", "end": "13:00"}  # clock times


def others(value: Any, hint: Any, name: str) -> Iterator[Any]:
    """Yield other values of a field."""
    if is_dataclass(value):
        yield from (changed for _, changed in variants(value))
    elif isinstance(value, bool) or hint is bool:
        yield not value
    elif isinstance(value, Enum):
        yield from (each for each in type(value) if each != value)
    elif isinstance(value, int | float):
        yield from (value + 1, value / 2 if isinstance(value, float) else max(0, value - 1))
    elif isinstance(value, tuple):
        if value and is_dataclass(value[0]):
            for at, record in enumerate(value):
                rest = value[:at], value[at + 1 :]
                yield rest[0] + rest[1]
                for _, changed in variants(record):
                    yield (*rest[0], changed, *rest[1])
        elif get_args(hint)[:1] == (str,):
            yield from ((), *((*value, name) for name in NAMES))
    elif isinstance(value, str):
        yield from (("", *NAMES) if name not in EARLIER else (EARLIER[name],))
    elif value is None:
        kinds = [kind for kind in get_args(hint) if kind is not type(None)]
        if kinds[0] in (int, float, bool):
            yield from (kinds[0](1), kinds[0](0))
        elif issubclass(kinds[0], Enum):
            yield from kinds[0]


def variants(record: Any) -> Iterator[tuple[str, Any]]:
    """Yield a record with one value changed, and the field it is in."""
    hints = get_type_hints(type(record))
    for field in fields(record):
        value = getattr(record, field.name)
        for other in others(value, hints[field.name], field.name):
            try:
                changed = replace(record, **{field.name: other})
            except ValueError:  # what this record refuses by itself
                continue
            if changed != record:
                yield field.name, changed


def in_order(product: Product) -> Product:
    """Return a product with its lists sorted, in seconds: neither is part of a question."""

    def ordered(thing: Any) -> Any:
        if is_dataclass(thing) and not isinstance(thing, type):
            values = {f.name: ordered(getattr(thing, f.name)) for f in fields(thing)}
            return replace(thing, **values)
        return tuple(sorted(map(ordered, thing), key=repr)) if isinstance(thing, tuple) else thing

    return replace(
        product,
        time_unit=TimeUnit.SECOND,
        tasks=ordered(product.tasks),
        lags=ordered(product.lags),
        equipment=ordered(product.equipment),
        models=ordered(product.models),
        lines=tuple(replace(line, stations=ordered(line.stations)) for line in product.lines),
    )


def asked_of(product: Product, line: str) -> Any:
    """Return all that a balance of a line reads; None: its data have errors."""
    ordered = in_order(product)
    work, _ = line_work(ordered, line)
    if work is None:
        return None
    numbers = sorted(work.numbers)
    plans = (numbers, [[n] for n in numbers], [[n] for n in reversed(numbers)])
    plans = (*plans[1:], [plans[0]], [[], [], plans[0]], [plans[0][:1], [], [], plans[0][1:]])
    return (
        replace(work, limits=NOTHING),
        forms_of(work.limits, LIMITS),
        kept_limits(work.limits, forms_kept("exact")),
        not_kept_by_any(work.limits),
        [verify(work, plan, limit=limit) for plan in plans for limit in (None, 9.0, 20.0)],
        [assignment(work, enumerate(plan, 1)) for plan in plans],
        line_pace(product, line).in_plan,
    )


@cache
def asked_of_fan(line: str) -> Any:
    return asked_of(FAN, line)


FIELDS = [field.name for field in fields(Product) if field.name not in ("code", "unread")]


@pytest.mark.parametrize("field", FIELDS)
def test_what_changes_the_question_makes_plans_old_and_in_words(field: str):
    value, hint = getattr(FAN, field), get_type_hints(Product)[field]
    for other in others(value, hint, field):
        now = replace(FAN, **{field: other})
        for line in LINES[:2] if field == "tasks" else LINES:
            is_old = plan_inputs_checksum(now, line) != plan_inputs_checksum(FAN, line)
            assert is_old == bool(plan_differences(FAN, now, line))
            if not is_old:
                assert asked_of(now, line) in (None, asked_of_fan(line)), (line, other)


OF_PACE = {"feeds", "quantity", "yield_share", "replacement_share", "copies"}
OF_WORK = {
    "form", "pitch_m", "turn_ms", "height_range_mm", "lifts_per_min", "lifted_kg_per_min",
    "repositioning_ms",
}  # fmt: skip
OF_STATION = {
    "operators", "copies", "target_share", "zone", "equipment", "equipment_possible",
    "equipment_barred", "skills", "width_mm", "static_safe", "guarded", "number",
}  # fmt: skip


def making_old(of: str, line: str) -> set[str]:
    """Return the fields of a line, by name, with which the plan of a line gets old."""
    at = [each.name for each in FAN.lines].index(of)
    found = set()
    for name, changed in variants(FAN.lines[at]):
        if name in ("name", "stations"):
            continue
        now = replace(FAN, lines=(*FAN.lines[:at], changed, *FAN.lines[at + 1 :]))
        if plan_inputs_checksum(now, line) != plan_inputs_checksum(FAN, line):
            found.add(name)
    return found


@pytest.mark.parametrize(
    ("of", "line", "expected"),
    [
        ("main", "main", {"feeds", "copies"} | OF_WORK),  # nothing takes units of the main line
        ("motor", "motor", OF_PACE | OF_WORK),
        # Of two copies each has twice the takt, and feeders their pace; none is no line.
        ("main", "motor", {"feeds", "copies"}),
        ("motor", "coil", OF_PACE),
        ("motor", "main", set()),
    ],
)
def test_of_a_line_that_is_fed_a_plan_rests_on_its_pace_alone(of: str, line: str, expected: set):
    assert making_old(of, line) == expected


def with_station(line: str, station: StationSetting) -> Product:
    """Return FAN with another first station of a line."""
    return replace(
        FAN,
        lines=tuple(
            replace(each, stations=(station, *STATIONS[1:])) if each.name == line else each
            for each in FAN.lines
        ),
    )


@pytest.mark.parametrize("field", [field.name for field in fields(StationSetting)])
def test_of_stations_a_plan_rests_on_the_work_at_those_of_its_own_line(field: str):
    changed = [station for name, station in variants(STATIONS[0]) if name == field]
    for line in LINES:
        nows = [with_station("motor", station) for station in changed]
        old = {plan_inputs_checksum(n, line) != plan_inputs_checksum(FAN, line) for n in nows}
        old |= {curve_inputs_checksum(n, line) != curve_inputs_checksum(FAN, line) for n in nows}
        assert old == {line == "motor" and field in OF_STATION}


@pytest.mark.parametrize("field", sorted(OF_WORK))
def test_a_curve_rests_on_what_the_limits_of_its_line_count(field: str):
    for name, changed in variants(FAN.lines[0]):
        now = replace(FAN, lines=(changed, *FAN.lines[1:]))
        if name == field:
            assert curve_differences(FAN, now, "main")
            assert curve_inputs_checksum(now, "main") != curve_inputs_checksum(FAN, "main")
            assert not curve_differences(FAN, now, "motor")
