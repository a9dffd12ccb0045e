"""Each kind of limit by itself: it never helps, every method keeps it, `verify` refuses its breach.

The line is T0, T1, T2, T3 one after the other, 3 s each: at a limit of 6 s two stations, T0 T1 and
T2 T3. All expected codes follow from that by hand.
"""

from dataclasses import dataclass, field, replace

import pytest
from limited_lines import line

from stationflow.balancing.balance import balance
from stationflow.balancing.limits import kinds
from stationflow.balancing.limits.entered import EnteredLimits
from stationflow.balancing.limits.forms import Limit
from stationflow.balancing.limits.kinds import LIMITS
from stationflow.balancing.methods import METHODS
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork
from stationflow.model import (
    BalanceSettings,
    Ending,
    Equipment,
    Line,
    Pins,
    StationSetting,
    StationTime,
    TaskLimits,
    TimeLag,
)

ROW = replace(line([3_000] * 4, (0, 1), (1, 2), (2, 3)), ticks=1000, time_unit="s")
PLAN = [["T0", "T1"], ["T2", "T3"]]


def entered(*tasks: TaskLimits, **more: object) -> EnteredLimits:
    """Return limits of the first tasks, and more of the line."""
    padded = (*tasks, *[TaskLimits()] * (4 - len(tasks)))
    return EnteredLimits(numbers=ROW.numbers, tasks=padded, **more)  # type: ignore[arg-type]


def at(number: int, **more: object) -> Line:
    """Return a line with a setting of one station."""
    return Line(stations=(StationSetting(number=number, **more),))  # type: ignore[arg-type]


@dataclass(frozen=True)
class Case:
    """A kind of limit where it bites, and where nobody hits it."""

    module: str  # of the kind
    biting: EnteredLimits
    idle: EnteredLimits
    code: str  # of what is wrong with `broken`
    broken: list[list[str]] = field(default_factory=lambda: PLAN)
    limit: float = 6.0

    def work(self, limits: EnteredLimits) -> LineWork:
        """Return the line with limits."""
        return replace(ROW, limits=limits)


NONE = TaskLimits()
PRESS = TaskLimits(equipment=("press",))


def presses(limits: tuple[TaskLimits, ...], **more: object) -> EnteredLimits:
    """Return limits where the plant counts its presses."""
    return entered(*limits, equipment=(Equipment(name="press", **more),))  # type: ignore[arg-type]


def lag(before: str, after: str, **more: int) -> EnteredLimits:
    """Return what is between two tasks."""
    return entered(lags=(TimeLag(before=before, after=after, **more),))


ONE_EACH = [["T0"], ["T1"], ["T2"], ["T3"]]
CASES = {
    "fixed station": Case(
        "station_numbers",
        entered(NONE, NONE, NONE, TaskLimits(station=3)),
        entered(NONE, NONE, NONE, TaskLimits(station=2)),
        "station-not-allowed",
    ),
    "earliest station": Case(
        "station_numbers",
        entered(NONE, NONE, TaskLimits(earliest_station=3)),
        entered(NONE, NONE, TaskLimits(earliest_station=2)),
        "station-not-allowed",
    ),
    "latest station": Case(
        "station_numbers",
        entered(NONE, TaskLimits(latest_station=1)),
        entered(NONE, TaskLimits(latest_station=9)),
        "station-not-allowed",
        ONE_EACH,
    ),
    "pin": Case(
        "pins",
        entered(pins=Pins(tasks=(("T3", 3),))),
        entered(pins=Pins(tasks=(("T3", 2),))),
        "station-not-allowed",
    ),
    "together": Case(
        "together",
        entered(NONE, TaskLimits(together="a"), TaskLimits(together="a")),
        entered(TaskLimits(together="a"), TaskLimits(together="a")),
        "group-split",
    ),
    "apart": Case(
        "apart",
        entered(TaskLimits(apart=("T1",))),
        entered(TaskLimits(apart=("T3",))),
        "tasks-not-apart",
    ),
    "zone": Case(
        "zone",
        entered(TaskLimits(zone="wet"), TaskLimits(zone="dry")),
        entered(TaskLimits(zone="wet"), NONE, NONE, TaskLimits(zone="dry")),
        "zones-mixed",
    ),
    "equipment": Case(
        "equipment_needed",
        entered(PRESS, line=at(2, equipment=("press",))),
        entered(PRESS, line=at(1, equipment=("press",))),
        "equipment-missing",
    ),
    "equipment barred": Case(
        "equipment_needed",
        entered(PRESS, line=at(1, equipment_barred=("press",))),
        entered(PRESS, line=at(2, equipment_barred=("press",))),
        "equipment-barred",
    ),
    "pieces": Case(
        "equipment_needed",
        presses((PRESS, NONE, PRESS), quantity=1),
        presses((PRESS, NONE, PRESS), quantity=2),
        "equipment-short",
        limit=9.0,
    ),
    "shared piece": Case(
        "equipment_needed",
        presses((PRESS, NONE, PRESS), quantity=1, shared=True),
        presses((PRESS, NONE, PRESS), quantity=2, shared=True),
        "equipment-short",
        ONE_EACH,
    ),
    "independence": Case(
        "independence",
        entered(NONE, TaskLimits(independent_of=("T0",))),
        entered(NONE, NONE, NONE, TaskLimits(independent_of=("T0",))),
        "own-work-checked",
    ),
    "how the unit lies": Case(
        "attitude",  # a turn of 1 s: 3 + 3 + 1
        entered(TaskLimits(attitude="up"), TaskLimits(attitude="down"), line=Line(turn_ms=1_000)),
        entered(
            TaskLimits(attitude="up"),
            NONE,
            NONE,
            TaskLimits(attitude="down"),
            line=Line(turn_ms=1_000),
        ),
        "station-over-limit",
    ),
    "working height": Case(
        "working_height",
        entered(
            TaskLimits(working_height_mm=800),
            TaskLimits(working_height_mm=1000),
            line=Line(height_range_mm=100),
        ),
        entered(
            TaskLimits(working_height_mm=800),
            TaskLimits(working_height_mm=1000),
            line=Line(height_range_mm=300),
        ),
        "heights-apart",
    ),
    "width": Case(
        "space_at_line",
        entered(TaskLimits(space_mm=400), TaskLimits(space_mm=400), line=at(1, width_mm=600)),
        entered(TaskLimits(space_mm=400), TaskLimits(space_mm=400), line=at(1, width_mm=900)),
        "width-exceeded",
    ),
    "skill": Case(
        "skill",
        entered(TaskLimits(skill="solder"), line=at(2, skills=("solder",))),
        entered(TaskLimits(skill="solder"), line=at(1, skills=("solder",))),
        "skill-missing",
    ),
    "static-protected area": Case(
        "protection",
        entered(TaskLimits(static_safe=True), line=at(2, static_safe=True)),
        entered(TaskLimits(static_safe=True), line=at(1, static_safe=True)),
        "no-static-protection",
    ),
    "guard": Case(
        "protection",
        entered(TaskLimits(guarded=True), line=at(2, guarded=True)),
        entered(TaskLimits(guarded=True), line=at(1, guarded=True)),
        "no-guard",
    ),
    "target load": Case(
        "target_load",
        entered(line=at(1, target_share=0.5)),
        entered(line=at(1, target_share=1.0)),
        "target-load-exceeded",
    ),
    "lifts a minute": Case(
        "lifts_a_minute",  # 2 in 6 s are 20 a minute
        entered(TaskLimits(lift_kg=4), TaskLimits(lift_kg=4), line=Line(lifts_per_min=10)),
        entered(TaskLimits(lift_kg=4), TaskLimits(lift_kg=4), line=Line(lifts_per_min=20)),
        "lifted-too-much",
    ),
    "kg a minute": Case(
        "lifts_a_minute",  # 8 kg in 6 s are 80 a minute
        entered(TaskLimits(lift_kg=4), TaskLimits(lift_kg=4), line=Line(lifted_kg_per_min=60)),
        entered(TaskLimits(lift_kg=4), TaskLimits(lift_kg=4), line=Line(lifted_kg_per_min=80)),
        "lifted-too-much",
    ),
    "least stations between": Case(
        "between_tasks",
        lag("T0", "T1", least_stations=1),
        lag("T0", "T3", least_stations=0),
        "stations-between",
    ),
    "most stations between": Case(
        "between_tasks",
        lag("T0", "T3", most_stations=1),
        lag("T0", "T3", most_stations=9),
        "stations-between",
        ONE_EACH,
    ),
    "least time between": Case(
        "between_tasks",
        lag("T0", "T1", shortest_ms=15_000),
        lag("T0", "T3", shortest_ms=1_000),
        "time-between",
    ),
    "most time between": Case(
        "between_tasks",
        lag("T0", "T3", longest_ms=9_000),
        lag("T0", "T3", longest_ms=90_000),
        "time-between",
        ONE_EACH,
    ),
    "time at a station": Case(
        "time_at_station",
        entered(station_times=((StationTime(station=1, time_ms=5_000),), (), (), ())),
        entered(station_times=((StationTime(station=9, time_ms=5_000),), (), (), ())),
        "station-over-limit",
    ),
}
EACH = pytest.mark.parametrize("name", CASES)


def asked(limit: float, method: str = "exact") -> BalanceSettings:
    return BalanceSettings(method=method, limit=limit, trials=60 if method == "comsoal" else None)


def test_every_kind_of_limit_has_a_case():
    names = {module.__name__.rpartition(".")[2] for module in kinds._MODULES}
    assert ({case.module for case in CASES.values()}, len(LIMITS)) == (names, len(names))


class Read:
    """A record that notes which of its fields are looked at."""

    def __init__(self, record: object, seen: set[str]) -> None:
        self._record, self._seen = record, seen

    def __getattr__(self, name: str) -> object:
        self._seen.add(name)
        return getattr(self._record, name)


@pytest.mark.parametrize("module", sorted({case.module for case in CASES.values()}))
def test_a_kind_of_limit_names_all_the_fields_that_it_reads(module: str):
    of_tasks, of_stations, of_line = set[str](), set[str](), set[str]()
    kind: Limit = getattr(kinds, module).LIMIT
    for case in CASES.values():
        if case.module != module:
            continue
        told = case.biting
        settings = (*told.stations, StationSetting(number=9))
        seen = replace(
            told,
            tasks=tuple(Read(limits, of_tasks) for limits in told.tasks),  # type: ignore[misc]
            line=Read(
                replace(told.line, stations=tuple(Read(s, of_stations) for s in settings)),  # type: ignore[misc]
                of_line,
            ),  # type: ignore[arg-type]
        )
        assert list(kind.forms(seen)) == list(kind.forms(told))
    assert of_tasks == set(kind.task_fields)
    assert of_stations - {"number"} == set(kind.station_fields)
    assert of_line - {"stations"} == set(kind.line_fields)


@EACH
def test_a_plan_broken_by_hand_is_refused_for_its_own_reason(name: str):
    case = CASES[name]
    found = verify(case.work(case.biting), case.broken, limit=case.limit)
    assert {finding.code for finding in found} == {case.code}


@EACH
def test_without_the_limit_the_same_plan_holds(name: str):
    case = CASES[name]
    assert verify(ROW, case.broken, limit=case.limit) == ()
    assert verify(case.work(case.idle), case.broken, limit=case.limit) == ()


@EACH
def test_a_limit_never_improves_the_optimum(name: str):
    case = CASES[name]
    plain = balance(ROW, asked(case.limit))
    result = balance(case.work(case.biting), asked(case.limit))
    assert result.ending == Ending.OPTIMAL
    assert len(result.stations) >= len(plain.stations) == 2


@EACH
@pytest.mark.parametrize("method", METHODS)
def test_every_method_keeps_it(method: str, name: str):
    case = CASES[name]
    work = case.work(case.biting)
    result = balance(work, asked(case.limit, method))
    stations = [station.tasks for station in result.stations]
    assert stations
    assert verify(work, stations, limit=case.limit) == ()


@EACH
@pytest.mark.parametrize("method", METHODS)
def test_a_limit_that_nobody_hits_changes_nothing(method: str, name: str):
    case = CASES[name]
    plain = balance(ROW, asked(case.limit, method))
    result = balance(case.work(case.idle), asked(case.limit, method))
    assert len(result.stations) == len(plain.stations)
    assert method != "exact" or (result.ending, plain.ending) == (Ending.OPTIMAL, Ending.OPTIMAL)
