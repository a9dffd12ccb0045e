"""Where a part, tool or equipment is used: tasks and stations."""

from dataclasses import dataclass

from stationflow.actions.opening.opened import Opened
from stationflow.model import Line, StationSetting, Task
from stationflow.model.references import LISTS, Thing, listed, mentions


@dataclass(frozen=True, slots=True)
class Use:
    """One place where a thing is used."""

    line: str
    task: str  # its number; empty: the station itself has the thing
    name: str  # of the task
    station: str  # by the plan in force; empty: no plan says


def used_names(opened: Opened, thing: Thing) -> list[str]:
    """Return the names of all things of one kind, listed or used."""
    known = listed(opened.product, thing) if thing in LISTS else []
    return sorted({*known, *(mention.name for mention in mentions(opened.product, thing))})


def where_used(opened: Opened, thing: Thing, name: str) -> tuple[Use, ...]:
    """Return the tasks that use a thing, with their stations, and the stations that have it."""
    stations: dict[tuple[str, str], str] = {}
    for line in opened.lines:
        plan = opened.plan_in_force(line)
        for station in plan.result.stations if plan else ():
            stations |= {(line, task): str(station.number) for task in station.tasks}
    uses = []
    for mention in mentions(opened.product, thing, name):
        match [record for record, _ in mention.records]:
            case [Task() as task, *_]:
                at = stations.get((task.line, task.number), "")
                uses.append(Use(task.line, task.number, task.name, at))
            case [Line() as line_of, StationSetting() as setting, *_]:
                uses.append(Use(line_of.name, "", "", str(setting.number)))
    return tuple(dict.fromkeys(uses))
