"""Parallel main lines against one fast line: stations, operators, length, cost, robustness."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.balancing.balance import balance_product
from stationflow.line.geometry.line_places import line_places
from stationflow.line.left_out import is_left_out
from stationflow.model import BalanceResult, BalanceSettings, Costs, Explained, Finding, Product
from stationflow.model.unread import Use
from stationflow.pace.figures import figure, fraction
from stationflow.pace.formula import Formula, Value, Written, computed_time, plain
from stationflow.pace.takt import pace_facts
from stationflow.pace.working_time import exact_time_per_week

MOST = 3
QUICK = BalanceSettings(method="ranked-positional-weight")
SOURCE = "definition"
STATIONS = Formula(name="stations", right="lines x stations of one", source=SOURCE)
OPERATORS = Formula(name="operators", right="lines x operators of one", source=SOURCE)
EFFICIENCY = Formula(
    name="balance efficiency",
    right="work content / (stations of one x station time)",
    source="Chase and Jacobs, Operations Management, assembly-line balancing",
    other="On the cycle time reached in place of the station time it is higher.",
)
LENGTH = Formula(
    name="length of all lines",
    unit="m",
    right="lines x length of one",
    source=SOURCE,
    key="length",
)
SPACE = Formula(name="space", unit="m²", right="length of all lines x width", source=SOURCE)
COST = Formula(
    name="cost of a week",
    right="",
    source="sum of what is entered: people, stations, space",
    other="Tools, setting up and training for the further lines are not in it.",
    key="cost-week",
)
LEFT = Formula(
    name="output left when one station stops",
    right="(lines - 1) / lines",
    source="a line without buffers stands when one of its stations does",
    other="With buffer places the other stations go on for a while.",
    key="output-left",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ParallelOption:
    """So many lines side by side. None: it cannot be computed from what is entered."""

    lines: int
    operating_takt_s: float | None = None  # of one line
    stations: int | None = None  # of all lines; None: no plan was found
    least_stations: int | None = None  # proven: no plans have fewer, all lines together
    operators: int | None = None
    balance_efficiency: float | None = None
    length_m: float | None = None  # of all lines
    space_m2: float | None = None
    cost_week: float | None = None
    output_left: float = 0.0  # share that still comes when one station stops
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()  # why there is no plan

    @property
    def name(self) -> str:
        """The option as it is called."""
        return "1 line" if self.lines == 1 else f"{self.lines} lines"

    @property
    def row(self) -> dict[str, str]:
        """The option as a row of a table, by the titles of its columns."""
        efficiency = self.balance_efficiency
        return {
            "Lines": str(self.lines),
            "A start on each every": _told(self.operating_takt_s, 1, "s"),
            "Stations": _told(self.stations),
            "At least": _told(self.least_stations),
            "Operators": _told(self.operators),
            "Balance efficiency": _told(efficiency and 100 * efficiency, 1, "%"),
            "Length": _told(self.length_m, 1, "m"),
            "Space": _told(self.space_m2, 1, "m²"),
            "Cost of a week": _told(self.cost_week, 0),
            "Left when a station stops": f"{figure(100 * self.output_left, 0)} %",
        }


def _told(value: float | None, places: int = 0, unit: str = "") -> str:
    return "-" if value is None else f"{figure(value, places)} {unit}".strip()


def parallel_lines(product: Product) -> tuple[ParallelOption, ...]:
    """Return one fast main line beside two and three slower ones for the same demand.

    Each number of lines is balanced anew at its own pace. A slower line has longer stations with
    fewer people walking and larger tasks allowed; of n lines (n - 1) / n of the output is left
    when a station stops. Empty without a main line.
    """
    if product.main_line is None:
        return ()
    return tuple(_option(product, number) for number in range(1, MOST + 1))


def _option(product: Product, number: int) -> ParallelOption:
    main = product.main_line
    assert main is not None
    lines = tuple(replace(line, copies=number) if line is main else line for line in product.lines)
    changed = replace(product, lines=lines)
    facts, findings = pace_facts(changed, main.name)
    option = ParallelOption(
        lines=number, output_left=float(Fraction(number - 1, number)), findings=findings
    )
    if facts is None or facts.station_time <= 0:
        return option
    result = balance_product(changed, main.name, QUICK)
    option = replace(
        option,
        operating_takt_s=float(facts.operating_takt),
        findings=(*findings, *result.findings),
    )
    if not result.has_plan:
        return option
    places = line_places(facts.line, result, facts.operating_takt)
    limit = fraction(result.limit or 0) * result.ticks / 1000
    length_m = None if is_left_out(changed, main.name) else places.length_m
    numbers = tuple(_numbers(changed, number, result, limit or facts.station_time, length_m))
    of = {each.key: each.value for each in numbers}
    return replace(
        option,
        stations=int(of["stations"] or 0),
        least_stations=number * int(result.proof.lower_bound),
        operators=int(of["operators"] or 0),
        balance_efficiency=of["balance-efficiency"],
        length_m=of.get("length"),
        space_m2=of.get("space"),
        cost_week=of.get("cost-week"),
        numbers=tuple(
            replace(each, where=option.name, key=f"lines-{number}-{each.key}") for each in numbers
        ),
    )


def _numbers(
    product: Product,
    number: int,
    result: BalanceResult,
    limit: Fraction,
    length_m: Fraction | None,
) -> Iterator[Explained]:
    lines, costs = plain(number), product.costs
    each = sum(station.copies for station in result.stations)
    people = sum(len(station.operators) * station.copies for station in result.stations)
    stations, opened = STATIONS.opened({"lines": lines, "stations of one": plain(each)})
    yield opened
    operators, opened = OPERATORS.opened({"lines": lines, "operators of one": plain(people)})
    yield opened
    work = Fraction(sum(station.work_ticks for station in result.stations), result.ticks)
    yield EFFICIENCY.opened(
        {
            "work content": computed_time(work),
            "stations of one": plain(each),
            "station time": computed_time(limit),
        },
        written=Written(places=4),
    )[1]
    space = None
    if length_m is not None:
        values = {"lines": lines, "length of one": _metres(length_m)}
        length, opened = LENGTH.opened(values)
        yield opened
        if costs.line_width_m:
            values = {
                "length of all lines": _metres(length),
                "width": _metres(fraction(costs.line_width_m)),
            }
            space, opened = SPACE.opened(values)
            yield opened
    if not product.stopped([result.line], Use.FLOW, Use.COSTS):
        yield from _cost(product, costs, stations, operators, space)
    yield LEFT.opened({"lines": lines}, written=Written(places=4))[1]


def _cost(
    product: Product,
    costs: Costs,
    stations: Fraction,
    operators: Fraction,
    space: Fraction | None,
) -> Iterator[Explained]:
    """Yield the cost of a week, of what costs are entered for; nothing when none is."""
    hours = exact_time_per_week(product.calendar) / 3600
    terms: list[str] = []
    values: dict[str, Value] = {}
    if costs.operator_cost_h is not None:
        terms.append("operators x cost of an hour x hours")
        values |= {
            "operators": plain(operators),
            "cost of an hour": plain(costs.operator_cost_h),
            "hours": plain(hours),
        }
    if costs.station_cost_week is not None:
        terms.append("stations x cost of a station")
        values |= {"stations": plain(stations), "cost of a station": plain(costs.station_cost_week)}
    if costs.space_cost_m2_week is not None and space is not None:
        terms.append("space x cost of a square metre")
        values |= {
            "space": plain(space),
            "cost of a square metre": plain(costs.space_cost_m2_week),
        }
    if terms:
        yield replace(COST, right=" + ".join(terms)).opened(values, written=Written(places=2))[1]


def _metres(length: Fraction) -> Value:
    return Value(length, Written(places=6, unit="m"))
