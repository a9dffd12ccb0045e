"""The forms of a stored plan.

1. Every field written; settings beside a flat result.
2. What is as usual left out; the result says what was asked, the assignment, the proof and the
   effort, and what a second solver says stands beside it.
"""

from collections.abc import Callable
from typing import Any

Fields = dict[str, Any]
PROOF = ("ending", "lower_bound", "bounds", "stopped")
EFFORT = ("engine", "direction", "trials", "nodes", "memory_mb", "runtime_s")


def result_in_parts(plan: Fields) -> Fields:
    """Bring form 1 to form 2."""
    old, settings = plan["result"], plan["settings"]
    held = [_station(station) for station in old.get("stations", ())]
    limit, goal = old.get("takt"), old["goal"]
    is_at_pace = settings.get("takt") is None or old.get("operating_takt") is not None
    asked = settings | {"method": old["method"], "limit": None if is_at_pace else limit}
    del asked["takt"]
    if goal == "fewest-stations":
        asked["stations"] = None
    elif goal == "shortest-cycle":
        asked["stations"] = settings.get("stations") or len(held)
    result = {
        "line": old["line"],
        "asked": asked,
        "pace": {
            "takt_time": old.get("takt_time"),
            "operating_takt": old.get("operating_takt"),
            "station_time": limit if is_at_pace else None,
        },
        "assignment": {"stations": held} if held else None,
        "proof": {name: old[name] for name in PROOF if name in old},
        "effort": {name: old[name] for name in EFFORT if name in old},
        "findings": old.get("findings", []),
    }
    rest = {name: value for name, value in plan.items() if name not in ("settings", "result")}
    return rest | {"result": result, "confirmation": old.get("confirmation")}


def _station(old: Fields) -> Fields:
    """Return a station; when its tasks start was not kept, so their order alone is."""
    first = {"tasks": [[task, 0] for task in old["tasks"]]}
    return {
        "number": old["number"],
        "operators": [first, *[{}] * (old.get("operators", 1) - 1)],
        "work_ticks": round(old["work"] * 1000),
    }


STEPS: tuple[Callable[[Fields], Fields], ...] = (result_in_parts,)
