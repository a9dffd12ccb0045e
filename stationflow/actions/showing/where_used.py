"""Where a part, tool or equipment is used, and what else names it: a station, a fault."""

from dataclasses import dataclass

from stationflow.actions.opening.opened import Opened
from stationflow.model import Line, StationSetting, Task
from stationflow.model.references import LISTS, Thing, listed, mentions
from stationflow.model.schema.tables import TABLE_AT


@dataclass(frozen=True, slots=True)
class Use:
    """One place where a thing is used."""

    line: str
    task: str  # its number; empty: it is not a task that names the thing
    name: str  # of the task, or as what the thing is named: "equipment it may get"
    station: str  # by the plan in force; empty: no plan says


def used_names(opened: Opened, thing: Thing) -> list[str]:
    """Return the names of all things of one kind, listed or used."""
    known = listed(opened.product, thing) if thing in LISTS else []
    return sorted({*known, *(mention.name for mention in mentions(opened.product, thing))})


def where_used(opened: Opened, thing: Thing, name: str) -> tuple[Use, ...]:
    """Return the tasks that use a thing, with their stations, and all else that names it."""
    stations: dict[tuple[str, str], str] = {}
    for line in opened.lines:
        plan = opened.plan_in_force(line)
        for station in plan.result.stations if plan else ():
            stations |= {(line, task): str(station.number) for task in station.tasks}
    uses = []
    for mention in mentions(opened.product, thing, name):
        where, _, field = mention.reference.path.rpartition(".")
        named_as = next(c.in_words for c in TABLE_AT[where].columns if c.field == field)
        match [record for record, _ in mention.records]:
            case [Task() as task, *_]:
                at = stations.get((task.line, task.number), "")
                uses.append(Use(task.line, task.number, task.name, at))
            case [Line() as line_of, StationSetting() as setting, *_]:
                uses.append(Use(line_of.name, "", named_as, str(setting.number)))
            case _:
                uses.append(Use("", "", f"{mention.words}: {named_as}", ""))
    return tuple(dict.fromkeys(uses))
