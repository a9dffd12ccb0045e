"""How good a balanced line is, with both bases where books differ."""

from collections.abc import Sequence
from math import fsum, sqrt

from stationflow.model import BalanceResult, Goal


def cycle_time(loads: Sequence[float]) -> float:
    """Return the cycle time: the load of the slowest station, in the unit of the loads."""
    return max(loads, default=0.0)


def balance_efficiency(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the balance efficiency as a ratio: work content / (stations x limit).

    Without a limit the largest load is the base. Raises ValueError if the limit is negative.

    >>> round(balance_efficiency([40, 50, 55, 55, 44], 60), 4)
    0.8133
    """
    base = _base(loads, limit)
    return fsum(loads) / (len(loads) * base) if loads and base else 1.0


def balance_delay(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the balance delay as a ratio: 1 - balance efficiency on the same base.

    >>> round(balance_delay([40, 50, 55, 55, 44], 60), 4)
    0.1867
    """
    return 1.0 - balance_efficiency(loads, limit)


def smoothness_index(loads: Sequence[float]) -> float:
    """Return the smoothness index in the unit of the loads; 0: all stations alike.

    Square root of the sum over stations of (largest load - load) squared.

    >>> round(smoothness_index([40, 50, 55, 55, 44]), 3)
    19.261
    """
    return sqrt(fsum((cycle_time(loads) - load) ** 2 for load in loads))


def idle_time(loads: Sequence[float], limit: float | None = None) -> float:
    """Return the idle time of all stations in one cycle: sum of (base - load).

    >>> idle_time([40, 50, 55, 55, 44], 60)
    56.0
    """
    base = _base(loads, limit)
    return fsum(base - load for load in loads)


def gap(result: BalanceResult) -> float | None:
    """Return how far a plan is above its lower bound, as a share; 0: it is proven best.

    Gap = reached / lower bound - 1: of stations, cycle time or stations x cycle time, by the goal.
    None without a plan that holds or a bound, and where only possible or not was asked.
    """
    holds = result.has_plan and result.ending is not None
    if not holds or not result.proof.lower_bound or result.goal == Goal.FEASIBLE:
        return None
    stations = len(result.stations)
    cycle = result.cycle_time
    reached = {
        Goal.FEWEST_STATIONS: stations,
        Goal.SHORTEST_CYCLE: cycle,
        Goal.BEST_EFFICIENCY: cycle * stations,
    }[result.goal]
    return reached / result.proof.lower_bound - 1


def _base(loads: Sequence[float], limit: float | None) -> float:
    if limit is not None and limit < 0:
        raise ValueError(f"limit must not be negative, got {limit}")
    return cycle_time(loads) if limit is None else limit
