"""The JSON document of a balanced line, and plans read from such documents."""

import json
from collections import Counter
from collections.abc import Callable
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, TypeGuard

from stationflow.balancing.given_stations import GIVEN, GivenStation
from stationflow.balancing.metrics import balance_delay, balance_efficiency, smoothness_index
from stationflow.model import (
    MAIN_LINE,
    BalanceResult,
    BalanceSettings,
    Confirmation,
    Direction,
    Effort,
    Finding,
    Goal,
    Pins,
    Rebalanced,
    Side,
    Station,
    error,
)
from stationflow.model.plan import MOVES_ALONE, REBALANCE
from stationflow.model.size_limits import MOST_OPERATORS

LARGEST_DOCUMENT = 20_000_000  # bytes
LATEST_START = 1e9  # in the time unit, as long as a time may be


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanDocument:
    """A plan as it was written by `balance --json`, or made elsewhere."""

    line: str  # name of the line
    stations: tuple[GivenStation, ...]  # in line order
    # the question it answers; neither limit nor stations: the demand is to set the limit
    asked: BalanceSettings
    effort: Effort  # what it says was done for it


def plan_document(
    source: str, result: BalanceResult, confirmation: Confirmation | None = None
) -> dict[str, Any]:
    """Return the document of one balanced line, ready for JSON.

    `source` says what was balanced, as the command line named it. Times stay in the result's
    `time_unit`.

    ``nodes`` counts the partial plans that the exact method looked at, ``memory_mb`` is the
    memory of its search in MiB, ``stopped`` says why the search ended before its proof.

    Balance efficiency = work content / (stations x limit); without a limit the
    cycle time takes its place. The smoothness index is taken from the largest load.
    """
    loads, has_plan = result.loads, result.has_plan
    return {
        "source": source,
        "line": result.line,
        "goal": (Goal.FEWEST_MOVES if result.method == REBALANCE else result.goal).value,
        "method": result.method,
        "engine": result.effort.engine,
        "direction": result.effort.direction.value if result.effort.direction else None,
        "ending": result.ending.value if result.ending else None,
        "limits_kept": list(result.proof.limits_kept),
        "stations": [
            _station_document(station, result) | _was(result, at)
            for at, station in enumerate(result.stations)
        ],
        "station_count": len(result.stations) if has_plan else None,
        "limit": result.limit,
        "stations_asked": result.asked.stations,
        "stations_asked_from": result.asked.stations_from,
        "pins": {
            "tasks": dict(result.asked.pins.tasks),
            "stations": list(result.asked.pins.stations),
        },
        "takt_time": result.pace.takt_time,
        "operating_takt": result.pace.operating_takt,
        "cycle_time": result.cycle_time if has_plan else None,
        "lower_bound": _lower_bound(result),
        "balance_efficiency": balance_efficiency(loads, result.limit) if has_plan else None,
        "balance_delay": balance_delay(loads, result.limit) if has_plan else None,
        "smoothness_index": smoothness_index(loads) if has_plan else None,
        "time_unit": result.time_unit,
        "seed": result.asked.seed,
        "trials": result.effort.trials,
        "cores": result.asked.cores or 1,
        "nodes": result.effort.nodes,
        "memory_mb": result.effort.memory_mb,
        "stopped": result.proof.stopped.value if result.proof.stopped else None,
        "then": [
            {"goal": r.goal.value, "value": r.value, "least": r.least, "proved": r.is_proven}
            for r in result.proof.reached
        ],
        "runtime_s": result.effort.runtime_s,
        "confirmation": asdict(confirmation) if confirmation else None,
        **_moves_document(result),
        "findings": [asdict(finding) for finding in result.findings],
    }


def _was(result: BalanceResult, at: int) -> dict[str, int | None]:
    """Return the old number of a station; nothing where there is no old plan."""
    return {} if result.rebalanced is None else {"was": result.rebalanced.was[at]}


def _lower_bound(result: BalanceResult) -> float:
    """Return what is proven of the goal: of a rebalanced plan the least upheaval."""
    if result.method != REBALANCE:
        return result.proof.lower_bound
    return result.rebalanced.least if result.rebalanced else 0


def _moves_document(result: BalanceResult) -> dict[str, Any]:
    """Return what a plan made from an old one turns over; nothing for others."""
    made = result.rebalanced or Rebalanced()
    if result.method != REBALANCE:
        return {}
    return {
        "moves": [{"task": move.task, "from": move.old, "to": move.new} for move in made.moves],
        "move_count": len(made.moves),
        "fewest_moves_proved": made.is_least and made.weights == MOVES_ALONE,
        "upheaval": asdict(made.upheaval),
        "weights": asdict(made.weights),
        "closed": list(made.closed),
        "added": list(made.added),
        "gone": list(made.gone),
    }


def _station_document(station: Station, result: BalanceResult) -> dict[str, Any]:
    return {
        "number": station.number,
        "place": station.place or str(station.number),
        "side": station.side,
        "copies": station.copies,
        "tasks": list(station.tasks),
        "work": result.in_time_unit(station.work_ticks),
        "work_by_model": {m: result.in_time_unit(t) for m, t in station.model_ticks},
        "operators": len(station.operators),
        "operator_work": [
            {
                "operator": number,
                "tasks": [
                    {"task": task, "start": result.in_time_unit(start)}
                    for task, start in operator.tasks
                ],
            }
            for number, operator in enumerate(station.operators, 1)
        ],
    }


def read_plan_document(
    source: str | Path, line: str | None = None, main: str = MAIN_LINE
) -> tuple[PlanDocument | None, tuple[Finding, ...]]:
    """Read a plan from the JSON document of one line, or of all lines.

    Of each line only its name and the stations with number and tasks are needed; place, side,
    copies and operators of a station are read where they are given. What the stations take is
    measured anew by whoever uses them, and other keys are not looked at.

    Of several lines that of `line` is taken; None: the only one, or the main line. The plan is
    None if a finding says why not.
    """
    where = str(source) if isinstance(source, Path) else "plan"
    document = _read_json(source, where)
    if isinstance(document, Finding):
        return None, (document,)
    if isinstance(document.get("lines"), list):
        lines = [each for each in document["lines"] if isinstance(each, dict)]
        of_line = [each for each in lines if each.get("line") == (line or main)]
        document = next(iter(of_line or lines), {}) if of_line or len(lines) == 1 else {}
        if not document:
            names = ", ".join(str(each.get("line"))[:40] for each in lines) or "none"
            said = f"It has no plan for line {line or main}; its lines are: {names}."
            return None, (_broken(where, said, "Give the plan of the line asked for."),)
    return _line_plan(document, where, line)


def lines_of_document(source: Path) -> tuple[str, ...]:
    """Return the names of the lines that a document has plans of; none where it cannot be read."""
    document = _read_json(source, str(source))
    if isinstance(document, Finding):
        return ()
    several = document.get("lines")
    each = several if isinstance(several, list) else [document]
    names = (one.get("line") for one in each if isinstance(one, dict))
    return tuple(dict.fromkeys(name for name in names if isinstance(name, str)))


def _read_json(source: str | Path, where: str) -> dict[str, Any] | Finding:
    """Return the document of a file or a text; what is no object is an empty one."""
    try:
        if isinstance(source, Path):
            with source.open("rb") as file:
                data = file.read(LARGEST_DOCUMENT + 1)
            if len(data) > LARGEST_DOCUMENT:
                most = LARGEST_DOCUMENT // 1_000_000
                return _broken(where, f"It is larger than {most} MB; no plan is.")
            source = data.decode("utf-8-sig")
        document = json.loads(source)
    except OSError as cause:
        return _broken(where, f"It cannot be read ({cause.strerror}).")
    except (ValueError, RecursionError) as cause:
        return _broken(where, _why_not_json(cause))
    return document if isinstance(document, dict) else {}


def _line_plan(
    document: dict[str, Any], where: str, wanted: str | None
) -> tuple[PlanDocument | None, tuple[Finding, ...]]:
    findings: list[Finding] = []
    line, stations = document.get("line"), document.get("stations")
    if not isinstance(line, str) or not line:
        findings.append(_broken(where, "It does not name the line."))
    elif wanted is not None and line != wanted:
        other = f"The plan is for line {line}, not for line {wanted}."
        findings.append(_broken(where, other, "Give the plan of the line asked for."))
    if not isinstance(stations, list) or not stations:
        findings.append(_broken(where, "It has no list of stations."))
        stations = []
    read = [_station(station, f"{where}, station {n}") for n, station in enumerate(stations, 1)]
    findings += [station for station in read if isinstance(station, Finding)]
    given = (station for station in read if not isinstance(station, Finding))
    kept = sorted(given, key=lambda station: station.number)
    numbers = [station.number for station in kept]
    if twice := next((n for n in numbers if numbers.count(n) > 1), None):
        findings.append(_broken(where, f"Station {twice} stands there more than once."))
    for key, (holds, must) in QUESTION.items():
        if document.get(key) is not None and not holds(document[key]):
            message = f"Its {key} is {_shown(document[key])}; it must be null or {must}."
            findings.append(_broken(where, message))
    if findings:
        return None, tuple(findings)
    plan = PlanDocument(
        line=str(line),
        stations=tuple(kept),
        asked=_asked(document, len(kept)),
        effort=_effort(document),
    )
    return plan, ()


def _asked(document: dict[str, Any], used: int) -> BalanceSettings:
    """Return the question of a plan; that of one without a limit is of its number of stations."""
    limit = document.get("limit", document.get("takt"))  # the older word for it
    goal, stations = document.get("goal"), document.get("stations_asked") or used
    first = document.get("stations_asked_from") or 1
    says_limit = "limit" in document or "takt" in document
    has_none = says_limit or goal in (Goal.SHORTEST_CYCLE, Goal.BEST_EFFICIENCY)
    has_both = bool(document.get("stations_asked")) and goal == Goal.FEWEST_MOVES
    is_of_stations = has_none if limit is None else goal == Goal.FEASIBLE or has_both
    pins = document.get("pins") or {}
    return BalanceSettings(
        method=document.get("method") or GIVEN,
        limit=None if limit is None else float(limit),
        stations=stations if is_of_stations else None,
        stations_from=first if goal == Goal.BEST_EFFICIENCY and limit is None else None,
        direction=Direction(document["direction"]) if document.get("direction") else None,
        seed=document.get("seed"),
        cores=document.get("cores"),
        pins=Pins(
            tasks=tuple(pins.get("tasks", {}).items()), stations=tuple(pins.get("stations", ()))
        ),
    )


def _effort(document: dict[str, Any]) -> Effort:
    return Effort(
        engine=document.get("engine") or "",
        direction=Direction(document["direction"]) if document.get("direction") else None,
        trials=document.get("trials") or 0,
        nodes=document.get("nodes") or 0,
        memory_mb=document.get("memory_mb") or 0.0,
        runtime_s=document.get("runtime_s") or 0.0,
    )


def _why_not_json(cause: ValueError | RecursionError) -> str:
    if isinstance(cause, json.JSONDecodeError):
        if not cause.doc.strip():
            return "It is empty; a plan is a JSON document."
        return (
            f"It is not a JSON document: what stands in line {cause.lineno} from character "
            f"{cause.colno} on cannot be read."
        )
    if isinstance(cause, UnicodeDecodeError):
        return f"It is not a JSON document: it holds bytes that are not UTF-8 (at {cause.start})."
    if isinstance(cause, RecursionError):
        return "It is not a plan: its lists lie deeper inside each other than those of any plan."
    return "It is not a plan: it holds a number with more digits than can be read."


def _broken(where: str, message: str, hint: str = "") -> Finding:
    """Return the finding of a document that cannot be used."""
    return error("plan-file-broken", where, message, hint)


def _station(said: object, where: str) -> GivenStation | Finding:
    """Return one station, or what is wrong with it."""
    if not isinstance(said, dict):
        return _broken(where, "It must have a number and tasks.")
    number, tasks, place = said.get("number"), said.get("tasks"), said.get("place")
    side, copies = said.get("side"), said.get("copies", 1)
    if not _is_count(number):
        return _broken(where, f"Its number is {_shown(number)}; it must be whole, from 1.")
    if not isinstance(tasks, list) or not all(isinstance(task, str) for task in tasks):
        return _broken(where, 'Its tasks must be a list of task numbers in quotes: ["10", "20"].')
    if not isinstance(place, str | None):
        return _broken(where, f"Its place is {_shown(place)}; it must be text in quotes.")
    if side not in (None, *Side):
        known = ", ".join(Side)
        return _broken(where, f"Its side is {_shown(side)}; it must be null or one of {known}.")
    if not _is_count(copies):
        return _broken(where, f"Its copies are {_shown(copies)}; it must be whole, from 1.")
    operators = _operators(said, tasks)
    if isinstance(operators, str):
        return _broken(where, operators)
    return GivenStation(
        number,
        tuple(tasks),
        place="" if place is None or place == str(number) else place,
        side=None if side is None else Side(side),
        copies=copies,
        operators=operators,
    )


def _operators(
    station: dict[str, Any], tasks: list[str]
) -> tuple[tuple[tuple[str, float], ...], ...] | str:
    """Return the tasks of each operator with their starts, or what is wrong with them."""
    count, given = station.get("operators"), station.get("operator_work")
    if count is not None and not 1 <= (count if _is_count(count) else 0) <= MOST_OPERATORS:
        return f"Its operators are {_shown(count)}; it must be whole, from 1 to {MOST_OPERATORS}."
    if given is None:  # who does what is not said
        return (tuple((task, 0.0) for task in tasks), *[()] * ((count or 1) - 1))
    operators: list[tuple[tuple[str, float], ...]] = []
    for operator in given if isinstance(given, list) else [given]:
        listed = operator.get("tasks") if isinstance(operator, dict) else None
        begun = [_begun(each) for each in listed] if isinstance(listed, list) else [None]
        if None in begun:
            return (
                "Its operator_work must be a list that says the tasks of each operator with "
                'their starts, from 0: [{"tasks": [{"task": "10", "start": 0}]}].'
            )
        operators.append(tuple(each for each in begun if each))
    if count is not None and count != len(operators):
        return f"Its operators are {count}, but its operator_work is of {len(operators)}."
    done = Counter(task for operator in operators for task, _ in operator)
    if other := next(iter((done - Counter(tasks)) + (Counter(tasks) - done)), None):
        return (
            f"Task {_shown(other)} must stand once in its tasks and once in its operator_work: "
            "both say what is done there."
        )
    return tuple(operators)


def _begun(said: object) -> tuple[str, float] | None:
    """Return a task with its start; None: it is not readable."""
    if not isinstance(said, dict):
        return None
    task, start = said.get("task"), said.get("start")
    if not isinstance(task, str) or isinstance(start, bool) or not isinstance(start, int | float):
        return None
    return (task, float(start)) if 0 <= start <= LATEST_START else None


def _is_count(said: object) -> TypeGuard[int]:
    return type(said) is int and said >= 1


def _is_whole(said: object) -> bool:
    return type(said) is int and said >= 0


def _is_amount(said: object) -> bool:
    return type(said) in (int, float) and 0 <= said < LATEST_START  # type: ignore[operator]


def _is_text(said: object) -> bool:
    return isinstance(said, str)


def _is_pins(said: object) -> bool:
    if not isinstance(said, dict):
        return False
    tasks, stations = said.get("tasks", {}), said.get("stations", [])
    if not (isinstance(tasks, dict) and isinstance(stations, list)):
        return False
    return all(_is_count(number) for number in (*tasks.values(), *stations))


A_LIMIT = (lambda said: _is_amount(said) and said > 0, "a number above 0")
A_COUNT = (_is_count, "a whole number from 1")
A_WHOLE = (_is_whole, "a whole number from 0")
AN_AMOUNT = (_is_amount, "a number from 0")
A_TEXT = (_is_text, "text in quotes")
QUESTION: dict[str, tuple[Callable[[Any], bool], str]] = {
    "limit": A_LIMIT,
    "takt": A_LIMIT,
    "goal": (lambda said: said in list(Goal), f"one of {', '.join(Goal)}"),
    "method": A_TEXT,
    "engine": A_TEXT,
    "direction": (lambda said: said in list(Direction), f"one of {', '.join(Direction)}"),
    "stations_asked": A_COUNT,
    "stations_asked_from": A_COUNT,
    "pins": (_is_pins, 'like {"tasks": {"10": 3}, "stations": [2]}: each a station, from 1'),
    "seed": (lambda said: type(said) is int, "a whole number"),
    "cores": A_COUNT,
    "trials": A_WHOLE,
    "nodes": A_WHOLE,
    "memory_mb": AN_AMOUNT,
    "runtime_s": AN_AMOUNT,
}
"""What a document may say of question and effort: what holds of it, and the same in words."""


def _shown(said: object) -> str:
    return repr(str(said)[:40])
