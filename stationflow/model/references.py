"""What may name what: every field that holds the name of something else stands here once.

Renames, what becomes of a mention when its task is split, merged or taken out, where a thing
is used, and the findings about unknown names follow from this table.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import Any

from stationflow.model.fault import Fault, FaultCount
from stationflow.model.finding import Finding, Severity
from stationflow.model.line import FurtherJoin, Line, StationSetting
from stationflow.model.machine import Machine
from stationflow.model.product import Part, Product, TimeLag
from stationflow.model.schema.cells import capital
from stationflow.model.task import Step, Task


class Thing(StrEnum):
    """What can be named."""

    TASK = "task"
    PART = "part"
    TOOL = "tool"
    EQUIPMENT = "equipment"
    ZONE = "zone"
    SKILL = "skill"
    LINE = "line"
    MODEL = "model"
    PICTURE = "picture"
    CONTAINER = "container"
    FAULT = "fault"


LISTS = {
    Thing.TASK: "tasks.number",
    Thing.PART: "parts.number",
    Thing.EQUIPMENT: "equipment.name",
    Thing.ZONE: "lines.stations.zone",
    Thing.LINE: "lines.name",
    Thing.MODEL: "models.name",
    Thing.PICTURE: "pictures.name",
    Thing.FAULT: "faults.code",
}
"""Where each thing is listed; tools, skills and containers are known by their name alone."""

MAY_BE_UNLISTED = frozenset({Thing.EQUIPMENT, Thing.ZONE})
"""Things of which no name is unknown as long as none is listed."""


class AtSplit(StrEnum):
    """Which parts of a split task are meant from then on."""

    FIRST = "first"
    LAST = "last"
    ALL = "all"


class WhenGone(StrEnum):
    """What becomes of a mention when what it names is taken out."""

    STAYS = "stays"  # a finding names it
    CLEARED = "cleared"
    TAKES_RECORD = "takes its record along"


@dataclass(frozen=True, slots=True)
class Unknown:
    """The finding about a name that is not there; `{name}` stands for it."""

    code: str
    message: str
    severity: Severity = Severity.ERROR


@dataclass(frozen=True, slots=True)
class Reference:
    """One field that names a thing."""

    path: str  # the way to it from the product, through lists and records
    thing: Thing
    # what is said of an unknown name; None: it is said elsewhere, with more to it, or no name can
    # be unknown
    unknown: Unknown | None = None
    at_split: AtSplit = AtSplit.ALL
    when_gone: WhenGone = WhenGone.STAYS
    is_needed: bool = False  # whether an empty name is unknown too; else it names nothing


NO_LINE = Unknown("unknown-line", "It is on line {name!r}, which the product has not.")
NO_TASK = Unknown("unknown-predecessor", "It names the predecessor {name!r}, which is no task.")
NO_MODEL = Unknown("unknown-model", "It has a time for model {name!r}, which is not entered.")
NO_PART = Unknown("unknown-part", "It fits part {name!r}, which the parts list does not hold.")
(
    NO_PICTURE,
    NOT_APART,
    NOT_INDEPENDENT,
    NO_END,
    NO_START,
    NEEDED,
    STANDING,
    POSSIBLE,
    BARRED,
    NO_ZONE,
    NOT_THERE,
    DOES,
    FOUND_AT,
    CAUSED_BY,
    BLAMED,
    COUNTED,
) = (
    Unknown(code, message, Severity.WARNING)
    for code, message in (
        ("picture-missing", 'the picture "{name}" is not among the pictures.'),
        ("unknown-apart", "It is to be kept apart from {name!r}, which is no task."),
        (
            "unknown-independent-of",
            "Its operator is to be another than that of {name!r}, which is no task.",
        ),
        ("unknown-lag", "It counts from the end of {name!r}, which is no task."),
        ("unknown-lag", "It counts to the start of {name!r}, which is no task."),
        ("unknown-equipment", "It needs {name!r}, which the list of equipment does not hold."),
        ("unknown-equipment", "It has {name!r}, which the list of equipment does not hold."),
        ("unknown-equipment", "It may get {name!r}, which the list of equipment does not hold."),
        (
            "unknown-equipment",
            "It may not get {name!r}, which is not on the list of equipment.",
        ),
        ("unknown-zone", "It is to be done in zone {name!r}, and no station lies there."),
        ("unknown-line", "It may be done on line {name!r} too, which the product has not."),
        ("unknown-task", "It does {name!r}, which is no task."),
        ("unknown-task", "It is found at {name!r}, which is no task."),
        ("unknown-task", "It is caused by {name!r}, which is no task."),
        ("unknown-part", "It blames part {name!r}, which the parts list does not hold."),
        ("unknown-fault", "It counts {name!r}, which the list of faults does not hold."),
    )
)

FIRST, LAST, ALL = AtSplit.FIRST, AtSplit.LAST, AtSplit.ALL
CLEARED, TAKES_RECORD = WhenGone.CLEARED, WhenGone.TAKES_RECORD

REFERENCES = (
    Reference("tasks.line", Thing.LINE, NO_LINE, is_needed=True),
    Reference("tasks.predecessors", Thing.TASK, NO_TASK, LAST, CLEARED),
    Reference("tasks.model_times.model", Thing.MODEL, NO_MODEL, is_needed=True),
    Reference("tasks.limits.apart", Thing.TASK, NOT_APART, ALL, CLEARED),
    Reference("tasks.limits.independent_of", Thing.TASK, NOT_INDEPENDENT, ALL, CLEARED),
    Reference("tasks.limits.equipment", Thing.EQUIPMENT, NEEDED),
    Reference("tasks.limits.zone", Thing.ZONE, NO_ZONE),
    Reference("tasks.limits.skill", Thing.SKILL),
    Reference("tasks.parts.part", Thing.PART, NO_PART, is_needed=True),
    Reference("tasks.tools.tool", Thing.TOOL),
    Reference("tasks.picture", Thing.PICTURE, NO_PICTURE, ALL, CLEARED),
    Reference("tasks.steps.picture", Thing.PICTURE, NO_PICTURE, ALL, CLEARED),
    Reference("lags.before", Thing.TASK, NO_END, LAST, TAKES_RECORD),
    Reference("lags.after", Thing.TASK, NO_START, FIRST, TAKES_RECORD),
    # Whether a line or join is unknown is said with the tree of lines.
    Reference("lines.feeds", Thing.LINE),
    Reference("lines.join", Thing.TASK, None, FIRST),
    Reference("lines.stations.equipment", Thing.EQUIPMENT, STANDING),
    Reference("lines.stations.equipment_possible", Thing.EQUIPMENT, POSSIBLE),
    Reference("lines.stations.equipment_barred", Thing.EQUIPMENT, BARRED),
    Reference("lines.stations.skills", Thing.SKILL),
    Reference("lines.stations.zone", Thing.ZONE),
    Reference("parts.container", Thing.CONTAINER),
    Reference("tasks.other_lines", Thing.LINE, NOT_THERE),
    # Whether a further join is unknown is said with the tree of lines.
    Reference("joins.line", Thing.LINE),
    Reference("joins.feeds", Thing.LINE),
    Reference("joins.join", Thing.TASK, None, FIRST),
    Reference("machines.line", Thing.LINE, NO_LINE, is_needed=True),
    Reference("machines.task", Thing.TASK, DOES, FIRST),
    Reference("faults.gate", Thing.TASK, FOUND_AT, LAST),
    Reference("faults.task", Thing.TASK, CAUSED_BY, FIRST),
    Reference("faults.part", Thing.PART, BLAMED),
    Reference("tally.fault", Thing.FAULT, COUNTED, is_needed=True),
)
"""Every field that names something."""

THING_AT = {reference.path: reference.thing for reference in REFERENCES}
"""What is named at the end of a path."""

SAID: dict[type, Callable[[Any, int], str]] = {
    Task: lambda task, _: f"task {task.number}",
    Step: lambda _, place: f"step {place}",
    Line: lambda line, _: f"line {line.name}",
    StationSetting: lambda station, _: f"station {station.number}",
    TimeLag: lambda lag, _: f"time between tasks {lag.before} and {lag.after}",
    Part: lambda part, _: f"part {part.number}",
    FurtherJoin: lambda join, _: f"further join of line {join.line}",
    Machine: lambda machine, _: f"machine {machine.name}",
    Fault: lambda fault, _: f"fault {fault.code}",
    FaultCount: lambda count, _: f"tally of {count.date or 'no day'}",
}
"""How a record is named in a place; a record of another kind is left out."""


@dataclass(frozen=True, slots=True)
class Mention:
    """A name that stands somewhere."""

    reference: Reference
    # the records on the way to it from the product, each with its place from 1
    records: tuple[tuple[Any, int], ...]
    name: str

    @property
    def _said(self) -> list[str]:
        return [SAID[type(record)](record, n) for record, n in self.records if type(record) in SAID]

    @property
    def where(self) -> str:
        """The place as a finding names it: "Task 30, step 2"."""
        return capital(", ".join(self._said))

    @property
    def words(self) -> str:
        """The place within a sentence: "step 2 of task 30"."""
        return " of ".join(reversed(self._said))


def mentions(product: Product, thing: Thing, name: str | None = None) -> Iterator[Mention]:
    """Yield where things of one kind, or one of them, are named."""
    for reference in REFERENCES:
        if reference.thing == thing:
            for records, found in _names(product, reference.path.split("."), ()):
                if found and name in (None, found):
                    yield Mention(reference, records, found)


def listed(product: Product, thing: Thing) -> list[str]:
    """Return the names of all things of one kind that are listed, each once."""
    names = (name for _, name in _names(product, LISTS[thing].split("."), ()) if name)
    return list(dict.fromkeys(names))


def unknown_names(product: Product, things: Iterable[Thing]) -> Iterator[tuple[Mention, Finding]]:
    """Yield each name of something that is not there, with its finding."""
    for thing in things:
        known = frozenset(listed(product, thing))
        if not known and thing in MAY_BE_UNLISTED:
            continue
        said = set[Finding]()
        for reference in REFERENCES:
            unknown = reference.unknown
            if reference.thing != thing or unknown is None:
                continue
            fine = known if reference.is_needed else {*known, ""}
            for records, name in _names(product, reference.path.split("."), ()):
                if name in fine:
                    continue
                mention = Mention(reference, records, name)
                message = unknown.message.format(name=name) if name else f"It names no {thing}."
                finding = Finding(
                    severity=unknown.severity,
                    code=unknown.code,
                    where=mention.where,
                    message=message,
                )
                if finding not in said:
                    said.add(finding)
                    yield mention, finding


def renamed(
    product: Product, thing: Thing, new: Callable[[Reference], Mapping[str, tuple[str, ...]]]
) -> Product:
    """Return the product with the mentions of some things changed; the things themselves stay.

    `new`: what a mention names from now on, by its name so far; nothing: the mention goes. In a
    list of names each stands once.
    """
    for reference in REFERENCES:
        if reference.thing == thing and (names := new(reference)):
            product = _changed(product, reference.path.split("."), names, reference.when_gone)
    return product


def without(product: Product, thing: Thing, names: Iterable[str]) -> Product:
    """Return the product without the mentions of things that were taken out."""
    gone = dict[str, tuple[str, ...]].fromkeys(names, ())
    return renamed(product, thing, lambda r: {} if r.when_gone == WhenGone.STAYS else gone)


Records = tuple[tuple[Any, int], ...]


def _names(value: Any, steps: list[str], records: Records) -> Iterator[tuple[Records, str]]:
    """Yield what stands at the end of a path, with the records on the way."""
    if isinstance(value, tuple):
        for place, item in enumerate(value, start=1):
            way = (*records, (item, place)) if steps else records
            yield from _names(item, steps, way)
    elif not steps:
        yield records, value
    elif value is not None:
        yield from _names(getattr(value, steps[0]), steps[1:], records)


def _changed(
    value: Any, steps: list[str], new: Mapping[str, tuple[str, ...]], gone: WhenGone
) -> Any:
    """Return a value with the names at the end of a path changed; itself when none is."""
    if value is None:
        return None
    if not steps:
        if isinstance(value, str):
            return next(iter(new[value]), "") if value in new else value
        if new.keys().isdisjoint(value):
            return value
        return tuple(dict.fromkeys(n for name in value for n in new.get(name, (name,))))
    if isinstance(value, tuple):
        items = [_changed(item, steps, new, gone) for item in value]
        if all(map(lambda a, b: a is b, items, value)):
            return value
        if gone == WhenGone.TAKES_RECORD:
            items = [
                now
                for now, was in zip(items, value, strict=True)
                if now is was or getattr(now, steps[0])
            ]
        return tuple(items)
    now = getattr(value, steps[0])
    then = _changed(now, steps[1:], new, gone)
    return value if then is now else replace(value, **{steps[0]: then})
