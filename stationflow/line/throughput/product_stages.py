"""The lines of a product with their plans as stages: times, scatter, stops, places."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import pairwise
from math import sqrt

from stationflow.line.stop_times import StopCause, equipment_at, stops_of
from stationflow.line.throughput.expected_longest import longest_of_normal
from stationflow.line.throughput.stages import Stage
from stationflow.model import (
    BalanceResult,
    Conveyor,
    Line,
    Period,
    Product,
    ProductPlan,
    Station,
    StationSetting,
)
from stationflow.pace.takt import line_pace

LEAST_S = 1e-6
"""A station without work takes so long: no line is endlessly fast."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StationFlow:
    """A station of a plan as the flow sees it."""

    number: int
    time_s: float  # mean time of one unit, its copies together
    sd_s: float
    stops: tuple[StopCause, ...] = ()
    places_after: int = 0
    copies: int = 1

    @property
    def stop_ratio(self) -> float:
        """Time stopped in one unit of running time."""
        return sum(stop.ratio for stop in self.stops)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFlow:
    """A line with its plan as the flow sees it."""

    name: str
    stations: tuple[StationFlow, ...]
    step_s: float | None  # pace at which all its units move; None: by hand, no common pace
    # units of it for one unit of one copy of the main line, all copies together
    per_unit: float = 1.0
    waits: bool = False  # whether the step waits for the slowest station
    feeds: str = ""
    join: int = 0  # number of the station of the fed line that takes its units
    places: int = 0  # for units waiting before that station


@dataclass(slots=True)
class StageTree:
    """Lines as stages, and which stage holds which station."""

    lines: Sequence[LineFlow]
    stages: list[Stage] = field(init=False, default_factory=list)
    at: dict[tuple[str, int], int] = field(init=False, default_factory=dict)
    without_waiting: list[float] = field(init=False, default_factory=list)  # time of each stage

    def __post_init__(self) -> None:
        """Write the stages of all lines, then join the lines."""
        ends: dict[str, int] = {}
        for line in self.lines:
            for group in _stretches(line):
                for station in group:
                    self.at[line.name, station.number] = len(self.stages)
                first = len(self.stages)
                self._add(line, group)
                if group[0] is not line.stations[0]:
                    self.stages[first - 1] = replace(self.stages[first - 1], feeds=first)
            ends[line.name] = len(self.stages) - 1
        for line in self.lines:
            if line.feeds:
                end = ends[line.name]
                target = self.at[line.feeds, line.join]
                places = line.places / line.per_unit  # in units of the main line
                self.stages[end] = replace(self.stages[end], feeds=target, places=places)

    def _add(self, line: LineFlow, group: Sequence[StationFlow]) -> None:
        slowest = max(station.time_s for station in group)
        time = max(slowest, line.step_s or 0.0, LEAST_S)
        self.without_waiting.append(time * line.per_unit)
        if line.step_s is None:
            cv = group[0].sd_s / time
        else:
            cv = 0.0
            if line.waits:
                means = [time, *(station.time_s for station in group)]
                time = longest_of_normal(means, [0.0, *(station.sd_s for station in group)])
        ratio = sum(station.stop_ratio for station in group)
        stops = [stop for station in group for stop in station.stops]
        rate = sum(stop.ratio / stop.mttr_s for stop in stops) / ratio if ratio else 0.0
        self.stages.append(
            Stage(
                time=time * line.per_unit,
                cv=cv,
                mtbf=1 / (rate * ratio) if ratio else None,
                mttr=1 / rate if ratio else 0.0,
                places=group[-1].places_after / line.per_unit,
                name=line.name,
            )
        )


def _stretches(line: LineFlow) -> Iterator[list[StationFlow]]:
    """Yield the stations that are one stage: those that step together without a place between."""
    group = [line.stations[0]]
    for before, station in pairwise(line.stations):
        if line.step_s is None or before.places_after:
            yield group
            group = []
        group.append(station)
    yield group


def flow_lines(product: Product, plan: ProductPlan) -> tuple[LineFlow, ...]:
    """Return all lines that lead to the main line and have a plan, the main line first.

    Empty: the main line has no plan, or the calendar tells no pace.
    """
    asked = replace(product, demand=replace(product.demand, quantity=1, period=Period.WEEK))
    main = product.main_line
    per_main = main and line_pace(asked, main.name).starts_per_week
    if main is None or not per_main:
        return ()
    found: dict[str, LineFlow] = {}
    lines = [main]
    for line in lines:  # grows meanwhile
        planned = plan.of(line.name)
        starts = line_pace(asked, line.name).starts_per_week
        if line.name in found or planned is None or not planned.result.stations or not starts:
            continue
        per_unit = starts / per_main * main.copies / line.copies
        flow = _line_flow(product, line, planned.result, per_unit)
        if line is not main:
            fed = plan.of(line.feeds)
            stations = fed.result.stations if fed else ()
            join = next((each.number for each in stations if line.join in each.tasks), 0)
            if not join:
                continue
            flow = replace(flow, feeds=line.feeds, join=join, places=line.buffer_places)
        found[line.name] = flow
        lines += [each for each in product.lines if each.feeds == line.name]
    return tuple(found.values())


def _line_flow(product: Product, line: Line, result: BalanceResult, per_unit: float) -> LineFlow:
    lost = line.repositioning_ms / 1000
    settings = {setting.number: setting for setting in line.stations}
    stations = tuple(
        _station_flow(product, line, result, station, settings.get(station.number))
        for station in result.stations
    )
    return LineFlow(
        name=line.name,
        stations=stations,
        step_s=(result.limit or result.cycle_time) + lost if line.conveyor.is_paced else None,
        per_unit=per_unit,
        waits=line.conveyor == Conveyor.INDEXED,
    )


def _station_flow(
    product: Product,
    line: Line,
    result: BalanceResult,
    station: Station,
    setting: StationSetting | None,
) -> StationFlow:
    work = result.in_time_unit(station.work_ticks)
    tasks = [task for task in product.tasks if task.number in station.tasks]
    machines = [m for m in product.machines if m.line == line.name and m.task in station.tasks]
    spread = sqrt(sum(((task.time_sd_ms or 0) / 1000) ** 2 for task in tasks))
    copies = max(1, station.copies)
    return StationFlow(
        number=station.number,
        time_s=work / copies + line.repositioning_ms / 1000,
        sd_s=spread / copies**1.5,  # of the time of one unit, divided among as many
        stops=stops_of(setting, equipment_at(product, setting, tasks), machines),
        places_after=line.places_after(station.number, is_last=station is result.stations[-1]),
        copies=copies,
    )
