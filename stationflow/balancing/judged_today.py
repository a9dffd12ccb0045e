"""A plan measured on the line as it is today, not as it was when the plan was made."""

from dataclasses import replace
from functools import lru_cache

from stationflow.balancing.given_stations import GivenStation, given_result
from stationflow.balancing.mix_loads import model_overloads
from stationflow.balancing.verify import verify
from stationflow.balancing.work import LineWork, line_work
from stationflow.model import (
    BalanceResult,
    DemandPace,
    Product,
    Proof,
    Station,
    by_severity,
    has_errors,
)
from stationflow.pace.takt import line_pace


@lru_cache(maxsize=64)
def judged_today(product: Product, made: BalanceResult) -> BalanceResult | None:
    """Return the stations of a plan on today's tasks and times, against today's limit.

    Where demand set the limit it is today's station time; a limit that was given stays. Tasks that
    are gone are left out. The findings are all that speaks against the plan today. None: the
    tasks of the line have errors.
    """
    work, findings = line_work(product, made.line)
    if work is None:
        return None
    pace = line_pace(product, made.line)
    by_demand = made.asked.limit is None and made.pace.station_time is not None
    limit = pace.station_time_s if by_demand else made.asked.limit
    result = given_result(
        work,
        [_of_today(work, made, station) for station in made.stations],
        limit=limit,
        asked=made.asked,
        effort=made.effort,
    )
    verdict = verify(
        work,
        [station.tasks for station in made.stations],
        limit=limit,
        most_stations=made.asked.stations,
    )
    proof = result.proof
    if by_demand and limit is None:
        proof = Proof(ending=proof.ending)  # its bound was of another question
    judged = replace(
        result,
        asked=made.asked,
        pace=pace.in_plan if by_demand else DemandPace(),
        rebalanced=made.rebalanced,
        proof=replace(proof, ending=None if has_errors(verdict) else proof.ending),
    )
    said = (*verdict, *findings, *model_overloads(judged, product.time_unit))
    return replace(judged, findings=by_severity(said))


def _of_today(work: LineWork, made: BalanceResult, station: Station) -> GivenStation:
    """Return a station with the tasks that are still on the line."""
    known = set(work.numbers)
    operators = tuple(
        tuple((task, made.in_time_unit(start)) for task, start in operator.tasks if task in known)
        for operator in station.operators
    )
    return GivenStation(
        number=station.number,
        tasks=tuple(task for task in station.tasks if task in known),
        place=station.place,
        side=station.side,
        copies=station.copies,
        operators=operators,
    )
