"""The figures of each line: places, length, speed, time, lead, carriers, manning, filling."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.line.geometry.feeder_leads import FeederLead, JoinLead, feeder_leads
from stationflow.line.geometry.line_places import LinePlaces, Stay, length_of, line_places
from stationflow.line.geometry.manning import manning_numbers
from stationflow.model import (
    Conveyor,
    Explained,
    Finding,
    Line,
    LineForm,
    Product,
    ProductPlan,
    warning,
)
from stationflow.network.line_tree import line_tree
from stationflow.pace.figures import figure
from stationflow.pace.formula import (
    Formula,
    Value,
    Written,
    computed_time,
    entered_time,
    plain,
)
from stationflow.pace.pace_explained import GROOVER, LineFacts

METRES = Written(places=3, unit="m")
SPEED_WRITTEN = Written(places=4, unit="m/min")
PLACES = Formula(
    name="places",
    right="places at stations + places behind them",
    source="definition: a place is one pitch of the conveyor, or one spot that holds a unit",
)
LENGTH = Formula(
    name="line length",
    unit="m",
    right="",
    source=GROOVER,
    other="Aisles and turns of the conveyor are not in it.",
    key="length",
)
SPEED = Formula(
    name="conveyor speed",
    unit="m/min",
    right="pitch / operating takt x 60",
    source=GROOVER,
    other="Of a line that steps it is the mean; while it steps it is faster.",
    key="speed",
)
STEP_SPEED = Formula(
    name="speed of a step",
    unit="m/min",
    right="pitch / repositioning x 60",
    source="definition of speed",
    key="step-speed",
)
TIME_ON_LINE = Formula(
    name="time on the line",
    unit="s",
    right="places x operating takt",
    source=GROOVER,
    other="In factory physics this is the cycle time; here cycle time is that of the slowest "
    "station.",
    how="length / speed",
)
THROUGH = Formula(
    name="time through the line",
    unit="s",
    right="time on the line + time in machines, tests and soak",
    source="sum of the places and positions on the way",
    key="through",
)
CARRIERS = Formula(
    name="carriers needed",
    right="(time through the line + way back) / operating takt",
    is_rounded_up=True,
    source="Little (1961): carriers = rate x time of one round",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class ScheduleRow:
    """When the first unit comes by while the line fills, and the last while it clears."""

    line: str
    station: int | None  # None: the end of the line, or of a bought-in one the delivery
    first_s: float  # when the first unit comes there, from the first start on the main line
    last_s: float  # when the last unit leaves it, from the last start on the main line


@dataclass(frozen=True, slots=True, kw_only=True)
class LineFigures:
    """The figures of one line of a product. None: it cannot be computed from what is entered."""

    line: str
    is_planned: bool = False  # whether a plan gives it stations
    operating_takt_s: float | None = None  # of one copy of the line
    stations: int = 0  # of one copy
    operators: int = 0
    places: float | None = None  # for units on one copy
    length_m: float | None = None  # of one copy, along the hall
    speed_m_per_min: float | None = None  # None: the line keeps no pace, or has no pitch
    time_on_line_s: float | None = None
    through_s: float | None = None  # with machines, tests and soak
    lead_s: float | None = None  # it starts so much before the main line; negative: after it
    lead_units: float | None = None  # the same in units of the main line
    carriers_needed: int | None = None  # of all copies
    manning_level: float | None = None  # operators at a station
    labour_efficiency: float | None = None
    joins: tuple[JoinLead, ...] = ()
    schedule: tuple[ScheduleRow, ...] = ()
    numbers: tuple[Explained, ...] = ()
    findings: tuple[Finding, ...] = ()


def all_line_figures(
    product: Product,
    plans: ProductPlan,
    paces: Mapping[str, LineFacts],
    stays: Mapping[str, Mapping[int, Stay]],
) -> tuple[LineFigures, ...]:
    """Return the figures of every line, in listed order.

    `paces` are the exact paces of the lines that have one, `stays` what keeps a unit at a station
    beyond its place, by line and station.
    """
    tree = line_tree(product)
    places = {}
    for name, facts in paces.items():
        plan = plans.of(name)
        result = plan.result if plan else None
        places[name] = line_places(facts.line, result, facts.operating_takt, stays.get(name))
    leads = feeder_leads(tree, plans, places)
    return tuple(
        _figures(line, places.get(name), leads.get(name), plans, paces)
        for name, line in tree.lines.items()
    )


def _figures(
    line: Line,
    places: LinePlaces | None,
    lead: FeederLead | None,
    plans: ProductPlan,
    paces: Mapping[str, LineFacts],
) -> LineFigures:
    plan, ahead = plans.of(line.name), lead.lead if lead else None
    stations = plan.result.stations if plan else ()
    told = LineFigures(
        line=line.name,
        is_planned=bool(stations),
        stations=len(stations),
        operators=sum(len(each.operators) * each.copies for each in stations),
        joins=lead.joins if lead else (),
    )
    if places is None:
        return told
    numbers = [*(lead.numbers if lead else ())]
    findings: list[Finding] = []
    told = replace(
        told,
        operating_takt_s=float(places.operating_takt),
        lead_s=None if ahead is None else float(ahead),
        lead_units=next((n.value for n in numbers if n.key == "lead-units"), 0.0 if lead else None),
        schedule=tuple(_schedule(places, ahead)),
    )
    if plan is not None and places.stations:
        manned = manning_numbers(plan.result, paces[line.name].takt_time)
        of_places = (*_geometry(places), *_length(places))
        numbers += [*of_places, *_carriers(places), *manned]
        found = {number.key: number.value for number in numbers}
        carriers = found.get("carriers-needed")
        told = replace(
            told,
            places=float(places.places),
            length_m=found.get("length"),
            speed_m_per_min=found.get("speed"),
            time_on_line_s=found.get("time-on-the-line"),
            through_s=float(places.through),
            carriers_needed=None if carriers is None else int(carriers),
            manning_level=found.get("manning-level"),
            labour_efficiency=found.get("labour-efficiency"),
        )
        findings += _too_much(line, found)
    where = f"line {line.name}"
    named = tuple(replace(number, where=where) for number in numbers)
    return replace(told, numbers=named, findings=tuple(findings))


def _geometry(places: LinePlaces) -> Iterator[Explained]:
    """Yield places, speed and times."""
    line, takt = places.line, computed_time(places.operating_takt)
    waiting = sum(each.waiting for each in places.stations)
    total, opened = PLACES.opened(
        {
            "places at stations": plain(places.places - waiting),
            "places behind them": plain(waiting),
        }
    )
    yield opened
    speed = None
    pitch_m = length_of(line.pitch_m)
    if pitch_m is not None and line.conveyor != Conveyor.HAND:
        pitch = Value(pitch_m, Written(places=6, unit="m"))
        speed, of_speed = SPEED.opened(
            {"pitch": pitch, "operating takt": takt}, written=SPEED_WRITTEN
        )
        yield of_speed
        if line.conveyor == Conveyor.INDEXED and line.repositioning_ms > 0:
            step = {"pitch": pitch, "repositioning": entered_time(_seconds(line.repositioning_ms))}
            yield STEP_SPEED.opened(step, written=SPEED_WRITTEN)[1]
    is_moving = line.conveyor in (Conveyor.CONTINUOUS, Conveyor.REMOVABLE)
    length = places.length_m
    again = (
        float(length / speed) * 60 if speed and length and is_moving and not places.stay else None
    )
    on_line, of_time = TIME_ON_LINE.opened({"places": plain(total), "operating takt": takt}, again)
    yield of_time
    values = {
        "time on the line": computed_time(on_line),
        "time in machines, tests and soak": entered_time(places.stay),
    }
    yield THROUGH.opened(values)[1]


def _length(places: LinePlaces) -> Iterator[Explained]:
    """Yield the length along the hall, stations of one length counted together."""
    if places.length_m is None:
        return
    counted = Counter(each.length_m or Fraction(0) for each in places.stations)
    terms: list[str] = []
    values: dict[str, Value] = {}
    for at, (length, count) in enumerate(sorted(counted.items(), reverse=True)):
        terms.append(f"number {at}. x length {at}.")
        values |= {f"number {at}.": plain(count), f"length {at}.": Value(length, METRES)}
    right, words = " + ".join(terms), "sum over the stations of their length"
    if places.line.form == LineForm.U_LINE:
        right, words = f"({right}) / 2", f"{words} / 2, as it is folded"
    opened = replace(LENGTH, right=right).opened(values, written=METRES)[1]
    yield replace(opened, formula=f"{LENGTH.name} = {words}")


def _carriers(places: LinePlaces) -> Iterator[Explained]:
    line = places.line
    if line.carriers is None and not line.carrier_return_ms:
        return
    values = {
        "time through the line": computed_time(places.through),
        "way back": entered_time(_seconds(line.carrier_return_ms)),
        "operating takt": computed_time(places.operating_takt),
    }
    formula = CARRIERS
    if line.copies > 1:
        right = f"copies x rounded up({CARRIERS.right})"
        formula = replace(CARRIERS, right=right, is_rounded_up=False)
        values["copies"] = plain(line.copies)
    yield formula.opened(values)[1]


def _too_much(line: Line, found: Mapping[str, float | None]) -> Iterator[Finding]:
    """Name what the hall, the limit of speed and the carriers do not allow."""
    where = f"Line {line.name}"
    length, carriers = found.get("length"), found.get("carriers-needed")
    if line.hall_m and length is not None and length > line.hall_m:
        message = (
            f"It is {figure(length, 3)} m long, and the hall has room for {figure(line.hall_m)} m."
        )
        yield warning("line-too-long", where, message)
    speed = found.get("step-speed") or found.get("speed")
    limit = line.speed_limit_m_per_min
    if limit and speed is not None and speed > limit:
        message = f"It moves at {figure(speed, 3)} m/min, more than {figure(limit)} m/min."
        yield warning("conveyor-too-fast", where, message)
    if line.carriers is not None and carriers is not None and carriers > line.carriers:
        message = f"{int(carriers)} carriers are on their way at once; there are {line.carriers}."
        yield warning("carriers-short", where, message)


def _schedule(places: LinePlaces, ahead: Fraction | None) -> Iterator[ScheduleRow]:
    """Yield when the first unit comes to each station, and the last one leaves it."""
    if ahead is None:
        return
    for station in places.stations:
        yield ScheduleRow(
            line=places.line.name,
            station=station.number,
            first_s=float(station.first_reached - ahead),
            last_s=float(station.first_left - ahead),
        )
    end = places.stations[-1].first_left if places.stations else Fraction(0)
    end += _seconds(places.line.transport_ms)
    yield ScheduleRow(
        line=places.line.name,
        station=None,
        first_s=float(end - ahead),
        last_s=float(end - ahead),
    )


def _seconds(ms: int) -> Fraction:
    return Fraction(ms, 1000)
