"""What one more buffer place, spare or empty place is worth: output gained, and per cost."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

from stationflow.line.stop_times import StopCause
from stationflow.line.throughput.long_lines import LineOutput, line_output
from stationflow.line.throughput.product_stages import (
    LineFlow,
    StageTree,
    StationFlow,
)
from stationflow.model import Product
from stationflow.pace.working_time import exact_time_per_week

NOISE = 1e-6
"""A gain of less than this share of the output is none: the rounds end about there."""


class BufferKind(StrEnum):
    """What there may be one more of."""

    PLACE = "place"  # for a waiting unit
    SPARE_STATION = "spare-station"  # a further copy of a station
    SPARE_EQUIPMENT = "spare-equipment"  # that steps in when its fellow stops
    EMPTY_PLACE = "empty-place"  # on the line, planned, for a unit that comes back from repair


@dataclass(frozen=True, slots=True, kw_only=True)
class BufferValue:
    """The worth of one more of something."""

    kind: BufferKind
    line: str
    number: int  # the station it stands behind, or copies; 0: at the start of the line
    what: str  # in words: "a place behind station 4"
    gain_per_h: float  # good units an hour more; below 0: it costs output
    cost: float | None = None  # of one, in the currency of the plant; None: not entered
    is_weekly: bool = True  # whether the cost comes every week; False: once
    gain_per_cost: float | None = None  # good units for each unit of money; None: no cost

    @property
    def where(self) -> str:
        """Where it would stand."""
        return f"station {self.number} of line {self.line}" if self.number else f"line {self.line}"


def buffer_values(
    product: Product,
    lines: Sequence[LineFlow],
    base: LineOutput,
    good_per_h: float,
    empty_share: float = 0.0,
) -> tuple[BufferValue, ...]:
    """Return what one more of each is worth, what gains most first.

    `good_per_h`: good units an hour that `base`, the output of these lines, stands for;
    `empty_share`: of the places of the main line that are planned empty. Each is tried by itself,
    on the whole line.
    """
    scale = good_per_h / base.output
    week_h = float(exact_time_per_week(product.calendar)) / 3600

    def gain(changed: Sequence[LineFlow]) -> float:
        stages = StageTree(changed).stages
        more = (line_output(stages, base).output - base.output) * scale
        return more if abs(more) > NOISE * good_per_h else 0.0

    found = []
    for value in (*_places(product, lines, gain), *_spares(product, lines, gain)):
        found.append(_per_cost(value, week_h))
    found.append(_empty_place(lines[0], good_per_h, empty_share))
    return tuple(sorted(found, key=lambda value: -value.gain_per_h))


Gain = Callable[[Sequence[LineFlow]], float]


def _with(lines: Sequence[LineFlow], changed: LineFlow) -> tuple[LineFlow, ...]:
    return tuple(changed if line.name == changed.name else line for line in lines)


def _with_station(line: LineFlow, station: StationFlow) -> LineFlow:
    stations = (station if s.number == station.number else s for s in line.stations)
    return replace(line, stations=tuple(stations))


def _places(product: Product, lines: Sequence[LineFlow], gain: Gain) -> Iterator[BufferValue]:
    """Yield a place behind each station but the last, and one before each join."""
    for line in lines:
        entered = product.line(line.name)
        pitch, across = entered.pitch_m if entered else None, product.costs.line_width_m
        rent = product.costs.space_cost_m2_week
        cost = None if None in (pitch, across, rent) else pitch * across * rent  # type: ignore[operator]
        for station, following in pairwise(line.stations):
            more = replace(station, places_after=station.places_after + 1)
            yield BufferValue(
                kind=BufferKind.PLACE,
                line=line.name,
                number=station.number,
                what=f"a place between stations {station.number} and {following.number}",
                gain_per_h=gain(_with(lines, _with_station(line, more))),
                cost=cost,
            )
        if line.feeds:
            yield BufferValue(
                kind=BufferKind.PLACE,
                line=line.name,
                number=line.stations[-1].number,
                what=f"a place between the end of line {line.name} and station {line.join} of "
                f"line {line.feeds}",
                gain_per_h=gain(_with(lines, replace(line, places=line.places + 1))),
                cost=cost,
            )


def _spares(product: Product, lines: Sequence[LineFlow], gain: Gain) -> Iterator[BufferValue]:
    """Yield a further copy of each station, and of each piece of equipment that stops."""
    for line in lines:
        for station in line.stations:
            copies = station.copies
            more = replace(
                station,
                time_s=station.time_s * copies / (copies + 1),
                sd_s=station.sd_s * (copies / (copies + 1)) ** 1.5,
                copies=copies + 1,
                stops=tuple(stop.with_spare() for stop in station.stops),
            )
            yield BufferValue(
                kind=BufferKind.SPARE_STATION,
                line=line.name,
                number=station.number,
                what=f"a further copy of station {station.number}",
                gain_per_h=gain(_with(lines, _with_station(line, more))),
                cost=product.costs.station_cost_week,
            )
            for at, stop in enumerate(station.stops):
                if stop.what:
                    yield _spare_equipment(lines, line, station, at, stop, gain)


def _spare_equipment(
    lines: Sequence[LineFlow],
    line: LineFlow,
    station: StationFlow,
    at: int,
    stop: StopCause,
    gain: Gain,
) -> BufferValue:
    stops = (*station.stops[:at], stop.with_spare(), *station.stops[at + 1 :])
    return BufferValue(
        kind=BufferKind.SPARE_EQUIPMENT,
        line=line.name,
        number=station.number,
        what=f"a spare {stop.what} at station {station.number}",
        gain_per_h=gain(_with(lines, _with_station(line, replace(station, stops=stops)))),
        cost=stop.cost,
        is_weekly=False,
    )


def _empty_place(main: LineFlow, good_per_h: float, empty_share: float) -> BufferValue:
    """Return what one empty place more in a hundred costs.

    Every place of a paced line that starts empty and that no repaired unit takes is a unit less:
    it pays by the units that wait for a place, never by output.
    """
    return BufferValue(
        kind=BufferKind.EMPTY_PLACE,
        line=main.name,
        number=0,
        what="one more of a hundred places planned empty",
        gain_per_h=-0.01 * good_per_h / (1 - empty_share),
    )


def _per_cost(value: BufferValue, week_h: float) -> BufferValue:
    """Return a value with what it gains for its cost: units of a week for a weekly cost."""
    if not value.cost:
        return value
    gained = value.gain_per_h * (week_h if value.is_weekly else 1)
    return replace(value, gain_per_cost=gained / value.cost)
