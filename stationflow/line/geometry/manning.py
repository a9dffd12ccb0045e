"""Operators and stations of a manual line: manning level, labour efficiency, a first design."""

from collections.abc import Iterator
from fractions import Fraction

from stationflow.model import BalanceResult, Explained
from stationflow.pace.figures import fraction
from stationflow.pace.formula import Formula, Value, Written, computed_time, entered_time, plain
from stationflow.pace.pace_explained import GROOVER

MANNING = Formula(name="manning level", right="operators / stations", source=GROOVER)
LABOUR = Formula(
    name="labour efficiency",
    right="work content / (operators x takt time)",
    source=GROOVER,
    other="Groover writes availability x E_r x E_b, with workers before rounding; on the operating "
    "takt in place of the takt time stops are left out of it.",
)
STATIONS = Formula(
    name="stations",
    right="workers / manning level",
    is_rounded_up=True,
    source=GROOVER,
)
LENGTH = Formula(
    name="line length", unit="m", right="stations x station length", source=GROOVER, key="length"
)
TIME_ON_LINE = Formula(
    name="time on the line",
    unit="min",
    right="line length / conveyor speed",
    source=GROOVER,
)


def manning_numbers(result: BalanceResult, takt_time: Fraction) -> Iterator[Explained]:
    """Yield manning level and labour efficiency of a plan; the takt time is in seconds.

    Labour efficiency = work content / (operators x takt time): the share of the paid time that is
    work on the product.
    """
    operators = sum(len(each.operators) * each.copies for each in result.stations)
    stations = sum(each.copies for each in result.stations)
    work = Fraction(sum(each.work_ticks for each in result.stations), result.ticks)
    yield MANNING.opened({"operators": plain(operators), "stations": plain(stations)})[1]
    if operators:
        values = {
            "work content": entered_time(work),
            "operators": plain(operators),
            "takt time": computed_time(takt_time),
        }
        yield LABOUR.opened(values, written=Written(places=4))[1]


def first_design(
    workers: int,
    *,
    manning_level: float = 1.0,
    station_length_m: float,
    speed_m_per_min: float,
) -> tuple[Explained, Explained, Explained]:
    """Return stations, length and time on a moving line before it is balanced.

    Stations = workers / manning level, rounded up; length = stations x station length; time on
    the line = length / speed, in minutes (Groover, manual assembly lines).

    >>> [n.value for n in first_design(150, manning_level=1.25, station_length_m=2.0,
    ...                                speed_m_per_min=1.6)]
    [120.0, 240.0, 150.0]
    """
    stations, of_stations = STATIONS.opened(
        {"workers": plain(workers), "manning level": plain(manning_level)}
    )
    metres = Written(places=3, unit="m")
    length, of_length = LENGTH.opened(
        {
            "stations": plain(stations),
            "station length": Value(fraction(station_length_m), metres),
        }
    )
    speed = fraction(speed_m_per_min)
    _, of_time = TIME_ON_LINE.opened(
        {"line length": Value(length, metres), "conveyor speed": plain(speed)}
    )
    return of_stations, of_length, of_time
