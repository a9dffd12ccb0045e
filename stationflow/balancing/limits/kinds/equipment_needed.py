"""Equipment: a task that asks for it goes to a station that has it, or may get it.

Where stations state that they have the equipment or may get it, the task goes to one of
them; where none does, to any station that does not bar it. A station needs it once for all
its tasks, and no more stations than the plant has pieces, where the equipment is listed;
a shared piece does for two stations next to each other. One piece that is not shared keeps
its tasks together; one that is, at two stations next to each other.
"""

from collections.abc import Iterator
from itertools import combinations

from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import (
    ALL_STATIONS,
    AnyForm,
    Distance,
    Group,
    Limit,
    SetUp,
    StationSet,
    station_set,
)
from stationflow.balancing.limits.stated import stating, where_stated
from stationflow.model import StationSetting


def _has(setting: StationSetting) -> tuple[str, ...]:
    return (*setting.equipment, *setting.equipment_possible)


def _forms(entered: EnteredLimits) -> Iterator[AnyForm]:
    yield from where_stated(entered, lambda limits: limits.equipment, _has)
    barred = stating(entered, lambda setting: setting.equipment_barred)
    for task, limits in enumerate(entered.tasks):
        for name in (name for name in limits.equipment if name in barred):
            free = ALL_STATIONS & ~station_set(barred[name])
            said = f"task {entered.numbers[task]} needs {name}, which some stations may not get"
            yield StationSet(task, free, said)
    for piece in entered.equipment:
        tasks = tuple(t for t, limits in enumerate(entered.tasks) if piece.name in limits.equipment)
        cost = round((piece.cost or 0) * 100)
        if not tasks:
            continue
        said = f"of {piece.name} there {'is' if piece.quantity == 1 else 'are'} {piece.quantity}"
        # Enough for every task alone: no limit.
        most = piece.quantity if piece.quantity < len(tasks) else None
        if most == 1:
            most = None  # said in simpler forms
            if piece.shared:
                yield from (Distance(a, b, -1, 1, said) for a, b in combinations(tasks, 2))
            else:
                yield Group(tasks, said)
        if most is not None or cost:
            yield SetUp(tasks, most, piece.shared, cost, said)


LIMIT = Limit(
    task_fields=("equipment",),
    station_fields=("equipment", "equipment_possible", "equipment_barred"),
    forms=_forms,
)
