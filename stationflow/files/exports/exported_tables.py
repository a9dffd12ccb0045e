"""Each table that goes out, defined once for pages and commands: its columns and its rows."""

from collections.abc import Sequence
from decimal import Decimal

from stationflow.balancing.load_rows import Row, in_shown_unit
from stationflow.balancing.metrics import cycle_time
from stationflow.balancing.work import LineWork
from stationflow.files.exports.sheets_out import (
    LoadColumns,
    SheetColumn,
    SheetTable,
    Value,
    time_columns,
    titled,
)
from stationflow.files.product.product_rows import Values, rows_of
from stationflow.model import BalanceResult, Explained, Finding, Product
from stationflow.model.schema.cells import join_list, written_value
from stationflow.model.schema.columns import Column, Kind, Table
from stationflow.model.schema.tables import TABLE
from stationflow.pace.takt import LinePace
from stationflow.supply.parts_list import fitting_tasks, quantities_used
from stationflow.units import TimeUnit, exact, in_unit, seconds_in_unit

# Places of a time in the unit shown: even hours are finer than the millisecond it is kept to.
KEPT_DECIMALS = 9
NUMBER_COLUMNS = titled(
    "Number", "Value", "Unit", "Formula", "With values", "Source", "Other definition"
)


def tasks_table(product: Product, line: str | None = None) -> SheetTable:
    """Return the tasks of one line, or of all, with the headings that are read back.

    Times are in the unit the product shows.
    """
    rows = [row for row in rows_of(product)["tasks"] if line is None or row["line"] == line]
    columns, cells = _schema(TABLE["tasks"], rows, product.time_unit)
    return SheetTable("tasks", "Tasks", columns, cells, _about(product, line))


def work_table(
    work: LineWork, predecessors: Sequence[Sequence[str]], about: str = ""
) -> SheetTable:
    """Return the tasks of a published instance, times in file units."""
    columns = (*titled("Number"), *time_columns(work.time_unit, "Time"), *titled("Predecessors"))
    rows = tuple(
        (number, time / work.ticks, join_list(list(before)) or None)
        for number, time, before in zip(work.numbers, work.times, predecessors, strict=True)
    )
    return SheetTable("tasks", "Tasks", columns, rows, about)


def parts_table(product: Product) -> SheetTable:
    """Return the parts list, with what the tasks fit into one product and which tasks do."""
    columns, cells = _schema(TABLE["parts"], rows_of(product)["parts"], product.time_unit)
    fitted, by = quantities_used(product), fitting_tasks(product)

    def quantity(part: str) -> float | None:  # None: it cannot be known
        return None if part in by and part not in fitted else float(fitted.get(part, 0))

    rows = tuple(
        (*row, quantity(part.number), join_list(by.get(part.number, [])) or None)
        for row, part in zip(cells, product.parts, strict=True)
    )
    columns = (*columns, *titled("Fitted by the tasks", "Fitted by"))
    return SheetTable("parts", "Parts", columns, rows, _about(product))


def findings_table(findings: Sequence[Finding], about: str = "") -> SheetTable:
    """Return findings as a table."""
    columns = titled("Severity", "Where", "What is so", "What to do", "Code")
    rows = tuple((f.severity.value, f.where, f.message, f.hint, f.code) for f in findings)
    return SheetTable("findings", "Findings", columns, rows, about)


def stations_table(
    result: BalanceResult, rows: Sequence[Row], unit: TimeUnit | str, about: str = ""
) -> SheetTable:
    """Return the stations of a plan with their loads, and the chart a spreadsheet program draws.

    Times of the result and of its load chart's `rows` are in seconds, or file units of a published
    instance. Loaded = load / limit; without a limit the longest load takes its place.
    """

    def shown(time: float) -> Decimal:
        return exact(_kept(seconds_in_unit(time, unit)))

    limit = shown(cycle_time(result.loads) if result.limit is None else result.limit)
    names = {(row["station"], row["task"]): row["name"] for row in rows}
    cells = []
    for station, work in zip(result.stations, result.loads, strict=True):
        load = shown(work)
        cells.append(
            (
                station.number,
                float(load),
                float(limit),
                float(max(limit - load, Decimal(0))),
                float(max(load - limit, Decimal(0))),
                float(100 * load / limit) if limit else None,
                len(station.operators),
                len(station.tasks),
                join_list(station.tasks) or None,
                "; ".join(filter(None, (names.get((station.number, t)) for t in station.tasks))),
            )
        )
    ceiling = "Limit" if result.limit is not None else "Cycle time"
    columns = (
        *titled("Station"),
        *time_columns(unit, "Load", ceiling, "Idle", "Over"),
        SheetColumn("Loaded", "%", 1),
        *titled("Operators", "Number of tasks", "Tasks", "Task names"),
    )
    chart = LoadColumns(station=0, load=1, idle=3, limit=2)
    return SheetTable("stations", "Stations", columns, tuple(cells), about, chart)


def assignment_table(
    rows: Sequence[Row], unit: TimeUnit | str, line: str, about: str = ""
) -> SheetTable:
    """Return which task is done at which station, in the order of work.

    `rows` are the load chart's rows of the plan, in seconds (or file units of an instance).
    """
    columns = (
        *titled("Line", "Station", "Place", "Task", "Name"),
        *time_columns(unit, "Time", "Begins at", "Ends at"),
        *titled("Over the limit"),
    )
    cells = tuple(
        (
            line,
            row["station"],
            row["order"],
            row["task"],
            row["name"] or None,
            *(_kept(row[key]) for key in ("time", "start", "end")),
            "yes" if row["over"] else "no",
        )
        for row in in_shown_unit(rows, None, unit)[0]
        if row["order"]
    )
    return SheetTable("assignment", "Assignment", columns, cells, about)


def numbers_table(numbers: Sequence[Explained], about: str = "") -> SheetTable:
    """Return numbers with the way each came about."""
    return SheetTable("numbers", "Numbers", NUMBER_COLUMNS, _numbers(numbers), about)


def pace_table(product: Product, paces: Sequence[LinePace]) -> SheetTable:
    """Return the pace of every line, number by number with the way each came about."""
    labels = {line.name: line.label for line in product.lines}
    rows = tuple(
        (labels.get(pace.line, pace.line), *row) for pace in paces for row in _numbers(pace.numbers)
    )
    return SheetTable("pace", "Pace", (*titled("Line"), *NUMBER_COLUMNS), rows, _about(product))


def matrix_table(
    numbers: Sequence[str], predecessors: Sequence[Sequence[str]], about: str = ""
) -> SheetTable:
    """Return the precedence matrix: 1 where the task of the row comes directly before the column's.

    Of the direct predecessors of each task those not in `numbers` are left out.

    Source: Hoffmann, T. R. (1963). Assembly line balancing with a precedence matrix.
    Management Science 9(4), 551-562.
    """
    columns = (*titled("Task"), *(SheetColumn(number, is_mark=True) for number in numbers))
    after: dict[str, list[int]] = {number: [] for number in numbers}  # places of the marks in a row
    for column, before in enumerate(predecessors, start=1):
        for number in before:
            if number in after:
                after[number].append(column)
    return SheetTable(
        "matrix",
        "Precedence matrix",
        columns,
        tuple(_marked(number, after[number], len(columns)) for number in numbers),
        about,
    )


def _marked(number: str, places: Sequence[int], length: int) -> tuple[Value, ...]:
    """Return a row of the matrix: the task, then 1 at each of the places and 0 elsewhere."""
    row: list[Value] = [number, *[0] * (length - 1)]
    for place in places:
        row[place] = 1
    return tuple(row)


def _numbers(numbers: Sequence[Explained]) -> tuple[tuple[Value, ...], ...]:
    return tuple(
        (e.name, e.value, e.unit or None, e.formula, e.worked, e.source, e.other or None)
        for e in numbers
    )


def _about(product: Product, line: str | None = None) -> str:
    said = f"{product.code} {product.name}".strip()
    return said if line is None else f"{said}, line {line}"


def _kept(time: float) -> float:
    return round(time, KEPT_DECIMALS)


def _schema(
    table: Table, rows: Sequence[Values], unit: TimeUnit
) -> tuple[tuple[SheetColumn, ...], tuple[tuple[Value, ...], ...]]:
    """Return columns and cells of a table of the product, times in the unit shown."""
    columns: list[SheetColumn] = []
    for column in table.columns:
        title = column.stem.replace("_", " ").capitalize()
        is_time = column.kind == Kind.TIME
        columns += time_columns(unit, title) if is_time else [SheetColumn(title, column.unit)]
    cells = tuple(tuple(_cell(c, row[c.field], unit) for c in table.columns) for row in rows)
    return tuple(columns), cells


def _cell(column: Column, value: object, unit: TimeUnit) -> Value:
    if column.kind == Kind.TIME and isinstance(value, int):
        return _kept(in_unit(value, unit))
    return written_value(column, value)
