"""Operators and stations of a manual line: manning level and labour efficiency."""

from collections.abc import Iterator
from fractions import Fraction

from stationflow.model import BalanceResult, Explained
from stationflow.pace.formula import Formula, Written, computed_time, entered_time, plain
from stationflow.pace.pace_explained import GROOVER

MANNING = Formula(name="manning level", right="operators / stations", source=GROOVER)
LABOUR = Formula(
    name="labour efficiency",
    right="work content / (operators x takt time)",
    source=GROOVER,
    other="Groover writes availability x E_r x E_b, with workers before rounding; on the operating "
    "takt in place of the takt time stops are left out of it.",
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
