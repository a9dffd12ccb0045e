"""What comes of a plan that is moved by hand: its figures, its bound, and what is wrong."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, replace

from stationflow.balancing.by_hand.hand_board import HandBoard
from stationflow.balancing.given_stations import BY_HAND, given_result
from stationflow.balancing.limits.not_kept import not_kept_by_any
from stationflow.balancing.work import LineWork
from stationflow.model import BalanceResult, BalanceSettings, Ending, Goal, Plan
from stationflow.pace.takt import LinePace
from stationflow.units import exact


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSums:
    """What the stations need beside time."""

    over: tuple[tuple[int, float], ...] = ()  # stations over the limit, by how much
    equipment: tuple[tuple[str, int], ...] = ()  # what tasks need, at how many stations
    most_lifted_kg: float = 0.0  # at one station in one unit
    most_lifted_at: int = 0  # this station


def hand_result(
    board: HandBoard, pace: LinePace | None = None, *, known: Iterable[Plan] = ()
) -> BalanceResult:
    """Return a plan by hand as a result: measured, verified, with bound and gap.

    It is asked for the fewest stations at the limit of the board, without one for the shortest
    cycle of as many. `known` are other plans on the same facts: what is proven of them for the
    same question is proven of this one.
    """
    pins = board.plan.pins
    pinned = board.work.pinned(pins)
    asked = BalanceSettings(method=BY_HAND, pins=pins)
    limit = board.limit
    result = given_result(pinned, board.plan.stations, limit=limit, pace=pace, asked=asked)
    return _with_known_bound(pinned, result, known)


def _with_known_bound(
    work: LineWork, result: BalanceResult, known: Iterable[Plan]
) -> BalanceResult:
    """Return a result with the best bound that is proven of its question."""
    if result.goal != Goal.FEWEST_STATIONS:
        return result
    proven = [
        other.result.proof.lower_bound
        for other in known
        if other.result.goal == Goal.FEWEST_STATIONS
        and other.result.limit == result.limit
        and other.asked.pins in (result.asked.pins, BalanceSettings().pins)
    ]
    proof = result.proof
    bound = max([proof.lower_bound, *proven])
    is_best = proof.ending == Ending.FOUND and len(result.stations) <= bound
    is_proven = is_best and not not_kept_by_any(work.limits)
    ending = Ending.OPTIMAL if is_proven else proof.ending
    return replace(result, proof=replace(proof, lower_bound=bound, ending=ending))


def hand_sums(work: LineWork, result: BalanceResult) -> HandSums:
    """Return what the stations of a plan need beside time."""
    limits = dict(zip(work.limits.numbers, work.limits.tasks, strict=True))
    most = None if result.limit is None else exact(result.limit) * work.ticks
    over, lifted = [], dict[int, float]()
    needing: dict[str, set[int]] = defaultdict(set)
    for station in result.stations:
        if most is not None and station.work_ticks > most:
            over.append((station.number, float((station.work_ticks - most) / work.ticks)))
        of_tasks = [limits[task] for task in station.tasks if task in limits]
        for each in of_tasks:
            for name in each.equipment:
                needing[name].add(station.number)
        lifted[station.number] = sum(each.lift_kg or 0.0 for each in of_tasks)
    most_at = max(lifted, key=lifted.__getitem__, default=0)
    kg = lifted.get(most_at, 0.0)
    return HandSums(
        over=tuple(over),
        equipment=tuple((name, len(needing[name])) for name in sorted(needing)),
        most_lifted_kg=kg,
        most_lifted_at=most_at if kg else 0,
    )
