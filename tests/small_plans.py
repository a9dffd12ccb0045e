"""Plans made by hand, for tests of what shows, writes and keeps them."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from stationflow.model import (
    Assignment,
    BalanceResult,
    BalanceSettings,
    DemandPace,
    Effort,
    Ending,
    OperatorWork,
    Proof,
    Station,
)

PROOF = ("ending", "lower_bound", "bounds", "limits_kept", "stopped")
EFFORT = ("engine", "direction", "trials", "nodes", "memory_mb", "runtime_s")
PACE = ("takt_time", "operating_takt", "station_time")
REST = ("line", "asked", "time_unit", "ticks", "findings")


def station(number: int, tasks: Sequence[str], work: float = 0.0, operators: int = 1) -> Station:
    """Return a station of so much work in seconds; the first operator does all tasks."""
    busy = OperatorWork(tasks=tuple((task, at) for at, task in enumerate(tasks)))
    return Station(
        number=number,
        operators=(busy, *[OperatorWork()] * (operators - 1)),
        work_ticks=round(work * 1000),
    )


def answer(*stations: Station, line: str = "main", **said: Any) -> BalanceResult:
    """Return a result with these stations; what else is said goes where it belongs."""

    def part(names: Sequence[str]) -> dict[str, Any]:
        return {name: said.pop(name) for name in names if name in said}

    said = {"ending": Ending.FOUND if stations else None, **said}
    proof, effort, pace, rest = (part(names) for names in (PROOF, EFFORT, PACE, REST))
    rest = {"asked": BalanceSettings(**said), **rest}
    return BalanceResult(
        line=line,
        pace=DemandPace(**pace),
        assignment=Assignment(stations=stations) if stations else None,
        proof=Proof(**proof),
        effort=Effort(**effort),
        **rest,
    )


def changed(result: BalanceResult, **said: Any) -> BalanceResult:
    """Return a result in which something else is said, wherever that belongs."""
    for part, names in (("proof", PROOF), ("effort", EFFORT), ("pace", PACE)):
        mine = {name: said.pop(name) for name in names if name in said}
        result = replace(result, **{part: replace(getattr(result, part), **mine)})
    if "stations" in said and isinstance(said["stations"], tuple):
        held = said.pop("stations")
        result = replace(result, assignment=Assignment(stations=held) if held else None)
    rest = {name: said.pop(name) for name in REST if name in said}
    return replace(result, **{"asked": replace(result.asked, **said), **rest})
