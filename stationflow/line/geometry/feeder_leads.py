"""When each feeder has to start, before the main line starts or after it."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from stationflow.line.geometry.line_places import LinePlaces
from stationflow.model import Explained, FurtherJoin, ProductPlan
from stationflow.network.line_tree import LineTree
from stationflow.pace.formula import Formula, Written, computed_time, entered_time, plain
from stationflow.units import exact

LEAD = Formula(
    name="lead",
    unit="s",
    right="",
    source="arrival at the join: what starts on the feeder is there when the unit it belongs to "
    "comes to the join",
    other="Between lines of one takt, with nothing else on the way, it is ((stations + buffer "
    "places) - (station of the join - 1)) x operating takt. Negative: the feeder may start later.",
)
LEAD_UNITS = Formula(
    name="lead in units of the main line",
    unit="units",
    right="lead / operating takt of the main line",
    source="definition: by so many units the sequence of models on the feeder is ahead",
    key="lead-units",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class JoinLead:
    """A join of a feeder, and by how much the feeder is ahead of the main line there."""

    join: FurtherJoin
    station: int | None  # of the fed line, at which the unit is consumed; None: in no plan
    lead: Fraction | None  # in seconds before the main line starts; negative: after it


@dataclass(frozen=True, slots=True, kw_only=True)
class FeederLead:
    """By how much a line starts before the main line: the most that one of its joins asks for."""

    joins: tuple[JoinLead, ...] = ()
    lead: Fraction | None = Fraction(0)  # None: a plan on its way is missing
    numbers: tuple[Explained, ...] = ()


def feeder_leads(
    tree: LineTree, plans: ProductPlan, places: Mapping[str, LinePlaces]
) -> dict[str, FeederLead]:
    """Return the lead of every line that leads to the main line, and of the main line itself.

    Lead = time through the feeder + buffer places x its operating takt + transport - time on the
    fed line until the join + lead of the fed line; several units in one set are complete after so
    many takts more. `places` has the lines whose pace is known.
    """
    found: dict[str, FeederLead] = {}
    for name in tree.lines:
        way = tree.way_to_main(name)
        if not way:
            continue
        main = way[-1].name
        for line in reversed(way):
            if line.name not in found:
                joins = tree.joins[line.name]
                found[line.name] = (
                    _lead(joins, line.name, main, plans, places, found) if joins else FeederLead()
                )
    return found


def join_station(join: FurtherJoin, plans: ProductPlan) -> int | None:
    """Return the station at which a join consumes its unit; None: no plan has its task."""
    plan = plans.of(join.feeds)
    stations = plan.result.stations if plan else ()
    return next((station.number for station in stations if join.join in station.tasks), None)


def _lead(
    joins: tuple[FurtherJoin, ...],
    name: str,
    main: str,
    plans: ProductPlan,
    places: Mapping[str, LinePlaces],
    found: Mapping[str, FeederLead],
) -> FeederLead:
    own = places.get(name)
    told: list[JoinLead] = []
    opened: list[tuple[Fraction, Explained]] = []
    for join in joins:
        number, lead = join_station(join, plans), None
        fed, of_fed = places.get(join.feeds), found[join.feeds].lead
        at = fed.station(number) if fed and number is not None else None
        is_planned = own is not None and (own.stations or own.line.bought_in)
        if own is not None and is_planned and at is not None and of_fed is not None:
            lead, number_opened = _opened(join, own, at.reached, of_fed)
            opened.append((lead, number_opened))
        told.append(JoinLead(join=join, station=number, lead=lead))
    if len(opened) < len(joins):
        return FeederLead(joins=tuple(told), lead=None)
    lead, number_opened = max(opened, key=lambda each: each[0])
    in_units = LEAD_UNITS.opened(
        {
            "lead": computed_time(lead),
            "operating takt of the main line": computed_time(places[main].operating_takt),
        },
        written=Written(places=2, unit="units"),
    )[1]
    return FeederLead(joins=tuple(told), lead=lead, numbers=(number_opened, in_units))


def _opened(
    join: FurtherJoin, own: LinePlaces, reached: Fraction, of_fed: Fraction
) -> tuple[Fraction, Explained]:
    line = own.line
    in_set = math.ceil(exact(join.quantity)) - 1
    right, values = "time through the line", {"time through the line": computed_time(own.through)}
    takt = {"operating takt": computed_time(own.operating_takt), "copies": plain(line.copies)}
    each = "operating takt" if line.copies == 1 else "operating takt / copies"
    if line.buffer_places:
        right += f" + buffer places x {each}"
        values |= {"buffer places": plain(line.buffer_places), **takt}
    if in_set > 0:
        right += f" + further units of a set x {each}"
        values |= {"further units of a set": plain(in_set), **takt}
    if line.transport_ms:
        right += " + transport"
        values["transport"] = entered_time(Fraction(line.transport_ms, 1000))
    right += " - time until the join"
    values["time until the join"] = computed_time(reached)
    if of_fed:
        right += f" + lead of {join.feeds}"
        values[f"lead of {join.feeds}"] = computed_time(of_fed)
    return replace(LEAD, right=right).opened(values)
