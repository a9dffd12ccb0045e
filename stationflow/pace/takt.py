"""Takt time, operating takt and station time of a line, each with the way it came about."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from stationflow.model import (
    DemandPace,
    Explained,
    Finding,
    FurtherJoin,
    Line,
    Period,
    Product,
    Severity,
    error,
    warning,
)
from stationflow.model.unread import Use
from stationflow.network.line_tree import line_tree
from stationflow.pace.figures import figure, fraction, is_number
from stationflow.pace.pace_explained import LineFacts, feeder_facts, main_facts
from stationflow.pace.working_time import (
    check_calendar,
    check_stops,
)

NO_PACE = ("no-demand", "no-working-time", "share-out-of-range", "line-number-impossible")
"""Errors of demand, calendar and lines with which no pace can be computed."""


def takt_time_s(working_time_s: float, good_units: float, copies: int = 1) -> float:
    """Return the takt time in seconds per good unit, not rounded.

    Takt time = working time x copies of the line / good units wanted, both in the same period
    (Chase and Jacobs, "Operations Management", assembly-line balancing). Raises ValueError if
    `good_units` is not above 0.

    >>> takt_time_s(27_000, 450)
    60.0
    """
    if good_units <= 0:
        raise ValueError(f"good_units must be above 0, got {good_units}")
    return float(fraction(working_time_s) * copies / fraction(good_units))


def operating_takt_s(takt_s: float, yield_share: float = 1.0, availability: float = 1.0) -> float:
    """Return the operating takt in seconds per started unit.

    Operating takt = takt time x yield x availability, both shares from 0 to 1: more units are
    started than become good, and the line stands for a part of the working time (Groover, manual
    assembly lines: T_c = 60 E / R_p).

    >>> operating_takt_s(72, availability=0.94)
    67.68
    """
    return float(fraction(takt_s) * fraction(yield_share) * fraction(availability))


def station_time_s(operating_takt: float, repositioning_s: float = 0.0) -> float:
    """Return the station time in seconds: the limit of the work at one station.

    Station time = operating takt - repositioning time (Groover's T_s = T_c - T_r). It is zero or
    negative when nothing is left for work.

    >>> station_time_s(67.68, 6)
    61.68
    """
    return float(fraction(operating_takt) - fraction(repositioning_s))


@dataclass(frozen=True, slots=True, kw_only=True)
class LinePace:
    """The pace of one line. Times are in seconds; None: it cannot be computed."""

    line: str  # name of the line
    takt_time_s: float | None = None  # working time / good units wanted of this line
    operating_takt_s: float | None = None  # takt time less what stops and rejects take
    station_time_s: float | None = None  # operating takt less repositioning: the limit of a station
    # units to be started on the line in a week, all copies together
    starts_per_week: float | None = None
    # every number opened: formula, values put in, source, other definition
    numbers: tuple[Explained, ...] = ()
    # what is wrong with calendar, demand or lines, as far as this pace needs them
    findings: tuple[Finding, ...] = ()

    @property
    def in_plan(self) -> DemandPace:
        """The pace as a plan made at it keeps it."""
        return DemandPace(
            takt_time=self.takt_time_s,
            operating_takt=self.operating_takt_s,
            station_time=self.station_time_s,
        )


def line_pace(product: Product, line_name: str) -> LinePace:
    """Return the pace of one line; a feeder's follows from the lines it feeds.

    For the main line: takt time = working time x copies / good units; operating takt = takt time
    x yield x availability. For a feeder the good units wanted are the starts of the line it feeds
    x quantity x (1 + replacement), so that its operating takt = operating takt of the fed line x
    copies / copies of the fed line x yield / (quantity x (1 + replacement)). Where it serves
    several lines, the units they all take are added. Numbers that cannot be computed are None,
    with a finding that says why.
    """
    facts, findings = pace_facts(product, line_name)
    if facts is None:
        return LinePace(line=line_name, findings=findings)
    return LinePace(
        line=line_name,
        takt_time_s=float(facts.takt_time),
        operating_takt_s=float(facts.operating_takt),
        station_time_s=float(facts.station_time) if facts.station_time > 0 else None,
        starts_per_week=None if facts.starts is None else float(facts.starts),
        numbers=facts.numbers,
        findings=findings,
    )


@lru_cache(maxsize=64)  # a page asks for all lines of a product again and again
def pace_facts(product: Product, line_name: str) -> tuple[LineFacts | None, tuple[Finding, ...]]:
    """Return the exact pace of one line (None: there is none) and what is wrong with it."""
    chain, findings = _chain_to_main(product, line_name)
    stopped = product.stopped([line_name, *(line.name for line in chain)], Use.PACE)
    findings += (*stopped, *_check_demand(product))
    tree = line_tree(product)
    findings += tuple(f for line in chain for f in _check_line(line, tree.joins[line.name]))
    if chain and chain[0].is_main:
        findings += _not_used(chain[0])
    has_no_pace = any(f.code in NO_PACE and f.severity == Severity.ERROR for f in findings)
    if stopped or not chain or has_no_pace:
        return None, findings
    of: dict[str, LineFacts] = {}
    for line in reversed(chain):  # a draft may have two main lines
        fed = [(join, of[join.feeds]) for join in tree.joins[line.name]]
        of[line.name] = feeder_facts(product, line, fed) if fed else main_facts(product, line)
    facts = of[line_name]
    if facts.station_time <= 0:
        lost = figure(chain[0].repositioning_ms / 1000)
        message = (
            f"Repositioning takes {lost} s of the operating takt of "
            f"{figure(facts.operating_takt, 3)} s; nothing is left for work."
        )
        findings += (error("no-station-time", f"Line {line_name}", message),)
    return facts, findings


def check_pace(product: Product) -> tuple[Finding, ...]:
    """Return every finding about calendar, demand and the pace of all lines, each once.

    A broken chain of lines is left to the check of the lines, which names it once.
    """
    found = list(_check_demand(product))
    for line in product.lines:
        own = line_pace(product, line.name).findings
        found += [f for f in own if f.code not in ("unknown-line", "line-circle")]
    return tuple(dict.fromkeys(found))


def _chain_to_main(
    product: Product, line_name: str
) -> tuple[tuple[Line, ...], tuple[Finding, ...]]:
    """Return the lines from this one to the main line; nothing when the chain is broken."""
    tree = line_tree(product)
    if way := tree.way_to_main(line_name):
        return way, ()
    if line_name not in tree.lines:
        last, missing = line_name, line_name
    elif unknown := tree.unknown(line_name):
        last, missing = unknown
    else:
        on = next(line.name for line in tree.ways[line_name] if tree.circle(line.name))
        circle = " -> ".join((*tree.circle(on), on))
        message = f"The lines feed in a circle: {circle}."
        return (), (error("line-circle", f"Line {on}", message),)
    return (), (error("unknown-line", f"Line {last}", f"There is no line {missing!r}."),)


def _check_demand(product: Product) -> tuple[Finding, ...]:
    demand = product.demand
    found = list(check_calendar(product.calendar))
    if demand.period == Period.HOUR:  # the demand per hour sets the pace without working time
        found = [
            replace(f, severity=Severity.WARNING) if f.code == "no-working-time" else f
            for f in found
        ]
    found += check_stops(product.calendar, demand)
    if not demand.quantity or not is_number(demand.quantity):
        entered = "nothing" if demand.quantity is None else f"{demand.quantity:g}"
        found.append(
            error(
                "no-demand",
                "Demand",
                f"Good units wanted per {demand.period}: {entered} is entered; without a demand "
                "there is no takt time.",
            )
        )
    shares = {"yield": demand.yield_share, "availability": demand.availability}
    found += [_share_out_of_range("Demand", name, s) for name, s in shares.items() if _is_bad(s)]
    return tuple(found)


def _check_line(line: Line, joins: Sequence[FurtherJoin]) -> tuple[Finding, ...]:
    where = f"Line {line.name}"
    found = []
    if not line.is_main and _is_bad(line.yield_share):
        found.append(_share_out_of_range(where, "yield", line.yield_share))
    found += [
        _share_out_of_range(where, "replacement", join.replacement_share)
        for join in joins
        if not 0 <= join.replacement_share <= 1
    ]
    wrong = [j.quantity for j in joins if not (is_number(j.quantity) and j.quantity > 0)]
    if wrong or line.repositioning_ms < 0 or line.copies < 1:
        found.append(
            error(
                "line-number-impossible",
                where,
                f"Quantity {(wrong or [line.quantity])[0]:g}, copies {line.copies}, repositioning "
                f"{line.repositioning_ms / 1000:g} s: a line has a quantity above 0, at least one "
                "copy and no negative time.",
            )
        )
    return tuple(found)


def _not_used(line: Line) -> tuple[Finding, ...]:
    """Name what is entered for the main line and has a meaning for feeders only."""
    entered = {
        "quantity": (line.quantity, 1),
        "yield": (line.yield_share, 1),
        "replacement": (line.replacement_share, 0),
    }
    return tuple(
        warning(
            "line-number-not-used",
            f"Line {line.name}",
            f"Its {name} is {number:g} and is not used: it is the main line, which feeds no other.",
        )
        for name, (number, usual) in entered.items()
        if number != usual
    )


def _is_bad(share: float) -> bool:
    return not (is_number(share) and 0 < share <= 1)


def _share_out_of_range(where: str, name: str, share: float) -> Finding:
    return error(
        "share-out-of-range", where, f"The {name} is {share:g}; a share lies above 0 and up to 1."
    )
