"""The forms of a stored plan.

1. Every field written; settings beside a flat result.
2. What is as usual left out; the result says what was asked, the assignment, the proof and the
   effort, and what a second solver says stands beside it.
3. Findings about the limit are named after it, no longer after the takt.
"""

from collections.abc import Callable
from typing import Any

Fields = dict[str, Any]
PROOF = ("ending", "lower_bound", "bounds", "stopped")
EFFORT = ("engine", "direction", "trials", "nodes", "memory_mb", "runtime_s")
PACE = ("takt_time", "operating_takt")


def result_in_parts(plan: Fields) -> Fields:
    """Bring form 1 to form 2; what is not known stays where it is, to be refused."""
    asked, result = dict(plan.pop("settings")), dict(plan["result"])
    proof, effort, pace = (
        {name: result.pop(name) for name in names if name in result}
        for names in (PROOF, EFFORT, PACE)
    )
    held = [_station(dict(station)) for station in result.pop("stations")]
    given, limit, goal = asked.pop("takt"), result.pop("takt"), result.pop("goal")
    if given is None or pace["operating_takt"] is not None:
        pace["station_time"], limit = limit, None
    asked |= {"method": result.pop("method"), "limit": limit}
    if goal == "fewest-stations":
        asked["stations"] = None
    elif goal == "shortest-cycle":
        asked["stations"] = asked["stations"] or len(held)
    for copied in ("seed", "cores"):  # they stand in what was asked
        result.pop(copied, None)
    said = result.pop("confirmation", None)
    parts = {"asked": asked, "pace": pace, "proof": proof, "effort": effort}
    if held:
        parts["assignment"] = {"stations": held}
    return plan | {"result": result | parts, "confirmation": said}


def _station(station: Fields) -> Fields:
    """Return a station; when its tasks start was not kept, so their order alone is."""
    first = {"tasks": [(task, 0) for task in station.pop("tasks")]}
    return station | {
        "operators": [first, *[{}] * (station["operators"] - 1)],
        "work_ticks": round(station.pop("work") * 1000),
    }


RENAMED = {
    "task-longer-than-takt": "task-longer-than-limit",
    "model-over-takt": "model-over-limit",
}


def findings_named_anew(plan: Fields) -> Fields:
    """Bring form 2 to form 3."""
    findings = plan["result"].get("findings", [])
    said = [f | {"code": RENAMED.get(f["code"], f["code"])} for f in findings]
    return plan | {"result": plan["result"] | ({"findings": said} if said else {})}


STEPS: tuple[Callable[[Fields], Fields], ...] = (result_in_parts, findings_named_anew)
