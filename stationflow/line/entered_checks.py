"""Checks of what is entered about the whole line; what needs a plan is checked with the plan."""

from collections import Counter
from collections.abc import Iterator
from typing import Any

from stationflow.line.machines.machine_time import machine_findings
from stationflow.line.stop_times import stop_findings
from stationflow.model import (
    Fault,
    FaultCount,
    Finding,
    Machine,
    Product,
    QualityKind,
    QualityStep,
    Task,
    error,
    warning,
)
from stationflow.model.references import Thing, unknown_names
from stationflow.model.schema.cells import capital
from stationflow.model.schema.columns import ABOVE_ZERO, SOME, Kind, Table
from stationflow.model.schema.tables import TABLE
from stationflow.pace.figures import figure

NAMED = (Thing.LINE, Thing.TASK, Thing.FAULT)

OF_ZERO = {
    ABOVE_ZERO: "{said} is 0; it is above 0 where it is entered.",
    SOME: "{said}: 0. With none of them no unit gets through.",
}
"""What is said of a 0, by the code of its column."""

SHARES = ("quality", "parts")
"""Tables whose shares are checked here; those of demand and lines are checked with the pace."""


def check_flow(product: Product) -> tuple[Finding, ...]:
    """Return what is wrong with what is entered for the whole line, field by field."""
    machines = (finding for each in product.machines for finding in machine_findings(each))
    checks = (_unknown, _alike, _records, _faults)
    return (*(finding for check in checks for finding in check(product)), *machines)


def _unknown(product: Product) -> Iterator[Finding]:
    for mention, finding in unknown_names(product, NAMED):
        if isinstance(mention.records[0][0], Machine | Fault | FaultCount):
            yield finding


def _alike(product: Product) -> Iterator[Finding]:
    """Name machines and faults whose name is used twice."""
    for code, what, names in (
        ("duplicate-machine", "Machine", [machine.name for machine in product.machines]),
        ("duplicate-fault", "Fault", [fault.code for fault in product.faults]),
    ):
        for name, count in Counter(names).items():
            if count > 1:
                yield error(code, f"{what} {name}", f"{count} rows bear the name {name!r}.")


def _records(product: Product) -> Iterator[Finding]:
    """Check lines, stations, equipment, tests, parts, packing and costs one by one."""
    for line in product.lines:
        where = f"Line {line.name}"
        yield from _numbers(TABLE["lines"], line, where)
        for station in line.stations:
            place = f"{where}, station {station.number}"
            yield from _numbers(TABLE["stations"], station, place)
            yield from stop_findings(place, station.mtbf_min, station.mttr_min)
    for piece in product.equipment:
        yield from stop_findings(f"Equipment {piece.name}", piece.mtbf_min, piece.mttr_min)
    for task in product.tasks:
        if task.quality is not None:
            where = f"Task {task.number}"
            yield from _numbers(TABLE["quality"], task.quality, where)
            yield from _quality(task, task.quality)
    for part in product.parts:
        where = f"Part {part.number}"
        yield from _numbers(TABLE["parts"], part, where)
        if part.present_share < 1 and not part.shortage_min:
            message = (
                f"It is there in time for a share of {figure(part.present_share)} of the units "
                "only, and how long the line waits for it is not entered."
            )
            yield warning("shortage-half-entered", where, message)
    yield from _numbers(TABLE["packing"], product.packing, "Packing")
    yield from _numbers(TABLE["costs"], product.costs, "Costs")


def _numbers(table: Table, record: Any, where: str) -> Iterator[Finding]:
    """Name the numbers of a record that cannot be."""
    for column in table.columns:
        value: Any = getattr(record, column.field, None)
        said = capital(column.in_words)
        if value == 0 and column.zero:
            yield error(column.zero, where, OF_ZERO[column.zero].format(said=said))
        elif column.kind == Kind.SHARE and table.name in SHARES and not 0 <= (value or 0) <= 1:
            message = f"{said} is {figure(value)}; a share lies between 0 and 1."
            yield error("share-out-of-range", where, message)


def _quality(task: Task, step: QualityStep) -> Iterator[Finding]:
    """Check what the fields of a test, repair or soak say together."""
    where = f"Task {task.number}"
    if step.repeat_pass_share == 0 and not step.scrap_share and step.first_pass_share != 1:
        message = "None of its repaired units passes and none is scrapped: a reject never leaves."
        yield error("repair-without-exit", where, message)
    if step.first_pass_share == 0 and not step.repeat_pass_share:
        message = "Not one unit passes, the first time or later: the line makes no good unit."
        yield error("nothing-passes", where, message)
    if step.kind == QualityKind.SOAK and not step.process_ms:
        said = "is not entered" if step.process_ms is None else "is 0 s"
        yield error("soak-without-time", where, f"It is a soak, and its time {said}.")
    if step.empty_share == 1:
        message = "Every place of the line is to be left empty: no unit can be started."
        yield error("no-place-left", where, message)
    given = (step.lot, step.sample_level, step.aql_percent)
    if any(each is not None for each in given) and None in given:
        names = ("the lot", "the inspection level", "the acceptance quality limit")
        missing = [name for name, each in zip(names, given, strict=True) if each is None]
        verb = "is" if len(missing) == 1 else "are"
        message = f"Samples are to be taken of lots; {' and '.join(missing)} {verb} not entered."
        yield warning("sampling-half-entered", where, message)


def _faults(product: Product) -> Iterator[Finding]:
    """Name faults that are found at a task which tests nothing."""
    idle = {task.number for task in product.tasks if task.quality is None}
    for fault in product.faults:
        if fault.gate in idle:
            message = f"It is found at task {fault.gate}, which is no test, inspection or soak."
            yield warning("fault-without-test", f"Fault {fault.code}", message)
