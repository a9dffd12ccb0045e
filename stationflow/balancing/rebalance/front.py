"""A few plans between least upheaval and fewest, smoothest stations: the choice of the engineer."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from stationflow.balancing.given_stations import GivenStation
from stationflow.balancing.metrics import smoothness_index
from stationflow.balancing.progress import Progress
from stationflow.balancing.rebalance.rebalancing import rebalance_product
from stationflow.model import BalanceResult, BalanceSettings, Product, RebalanceSettings

MORE_STATIONS = 2
"""So many stations above the fewest are tried, beside as many as the old plan has."""


def rebalance_front(
    product: Product,
    line: str,
    given: Sequence[GivenStation],
    asked: RebalanceSettings,
    progress: Progress | None = None,
) -> tuple[BalanceResult, ...]:
    """Return plans of which none is worse in everything than another, least upheaval first.

    The first one made is what `asked` says. Where that is the fewest stations at a limit, more
    stations follow, up to those of the old plan, each with the least upheaval; and at the fewest
    stations the shortest cycle, as the smoothest line. Without a plan, the one answer says why.
    """
    progress = progress or Progress()
    first = BalanceSettings(
        limit=asked.limit, stations=asked.stations, seconds=asked.seconds, pins=asked.pins
    )
    made = [rebalance_product(product, line, given, first, progress, asked.weights)]
    if made[0].has_plan:
        for wanted in _others(made[0], asked, len(given)):
            if progress.should_stop():
                break
            made.append(rebalance_product(product, line, given, wanted, progress, asked.weights))
    plans = [result for result in made if result.has_plan]
    worths = [_worth(result) for result in plans]
    kept = [
        result
        for at, result in enumerate(plans)
        if not any(
            all(a <= b for a, b in zip(other, worths[at], strict=True))
            and (other != worths[at] or before < at)
            for before, other in enumerate(worths)
            if before != at
        )
    ]
    return tuple(sorted(kept, key=_worth)) or (made[0],)


def _others(
    first: BalanceResult, asked: RebalanceSettings, old_stations: int
) -> Iterator[BalanceSettings]:
    """Yield what else is asked, once the first answer is there."""
    limit, fewest, same = first.limit, len(first.stations), first.asked
    if asked.stations is not None or limit is None:
        return
    more = {fewest + n for n in range(1, MORE_STATIONS + 1)} | {old_stations}
    for stations in sorted(n for n in more if n > fewest):
        yield replace(same, limit=limit, stations=stations)
    yield replace(same, limit=None, stations=fewest)


def _worth(result: BalanceResult) -> tuple[int, int, float]:
    """Return upheaval, stations and smoothness of a plan, less being better."""
    made = result.rebalanced
    assert made is not None  # it has a plan
    upheaval = made.upheaval.weighed(made.weights)
    return upheaval, len(result.stations), round(smoothness_index(result.loads), 6)
