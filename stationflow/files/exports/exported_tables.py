"""Each table that goes out, defined once for pages and commands: its columns and its rows."""

from collections.abc import Mapping, Sequence
from decimal import Decimal

from stationflow.balancing.load_rows import Row, in_shown_unit, unit_label
from stationflow.balancing.metrics import cycle_time
from stationflow.balancing.work import LineWork
from stationflow.files.exports.sheets_out import LoadColumns, SheetColumn, SheetTable, Value
from stationflow.files.product.product_rows import Values, rows_of
from stationflow.model import BalanceResult, Explained, Finding, Product
from stationflow.model.schema.cells import join_list, written_value
from stationflow.model.schema.columns import Column, Kind, Table
from stationflow.model.schema.tables import TABLE
from stationflow.pace.takt import LinePace
from stationflow.supply.parts_list import fitting_tasks, quantities_used
from stationflow.units import TimeUnit, exact, in_unit, seconds_in_unit

KEPT_DECIMALS = 9
"""Places of a time in the unit shown: even hours are finer than the millisecond it is kept to."""


def tasks_table(product: Product, line: str | None = None) -> SheetTable:
    """Return the tasks of one line, or of all, with the headings that are read back.

    Times are in the unit the product shows.
    """
    rows = [row for row in rows_of(product)["tasks"] if line is None or row["line"] == line]
    columns, cells = _schema(TABLE["tasks"], rows, product.time_unit)
    return SheetTable(name="tasks", title="Tasks", columns=columns, rows=cells,
                      about=_about(product, line))  # fmt: skip


def work_table(
    work: LineWork, predecessors: Sequence[Sequence[str]], about: str = ""
) -> SheetTable:
    """Return the tasks of a published instance, times in file units."""
    columns = (
        SheetColumn(title="Number"),
        SheetColumn(title="Time", unit=work.time_unit),
        SheetColumn(title="Predecessors"),
    )
    rows = tuple(
        (number, time / work.ticks, join_list(list(before)) or None)
        for number, time, before in zip(work.numbers, work.times, predecessors, strict=True)
    )
    return SheetTable(name="tasks", title="Tasks", columns=columns, rows=rows, about=about)


def parts_table(product: Product) -> SheetTable:
    """Return the parts list, with what the tasks fit into one product and which tasks do."""
    columns, cells = _schema(TABLE["parts"], rows_of(product)["parts"], product.time_unit)
    fitted = quantities_used(product)
    by = fitting_tasks(product)
    more = (SheetColumn(title="Fitted by the tasks"), SheetColumn(title="Fitted by"))
    rows = tuple(
        (*row, _fitted(part.number, fitted, by), join_list(by.get(part.number, [])) or None)
        for row, part in zip(cells, product.parts, strict=True)
    )
    return SheetTable(name="parts", title="Parts", columns=(*columns, *more), rows=rows,
                      about=_about(product))  # fmt: skip


def findings_table(findings: Sequence[Finding], about: str = "") -> SheetTable:
    """Return findings as a table."""
    titles = ("Severity", "Where", "What is so", "What to do", "Code")
    return SheetTable(
        name="findings",
        title="Findings",
        columns=tuple(SheetColumn(title=title) for title in titles),
        rows=tuple((f.severity.value, f.where, f.message, f.hint, f.code) for f in findings),
        about=about,
    )


def stations_table(
    result: BalanceResult, rows: Sequence[Row], unit: TimeUnit | str, about: str = ""
) -> SheetTable:
    """Return the stations of a plan with their loads, and the chart a spreadsheet program draws.

    Parameters
    ----------
    result
        The plan; its times are in seconds, or file units of a published instance.
    rows
        The load chart's rows of the plan, from `load_chart_rows`.

    Notes
    -----
    Loaded = load / limit. Without a limit the longest load takes its place.
    """
    longest = cycle_time(result.loads)
    limit = exact(_in(unit, longest if result.limit is None else result.limit))
    names = {(row["station"], row["task"]): row["name"] for row in rows}
    shown = unit_label(unit)
    decimals = unit.decimals if isinstance(unit, TimeUnit) else None
    cells = []
    for station, work in zip(result.stations, result.loads, strict=True):
        load = exact(_in(unit, work))
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
    times = ["Load", "Limit" if result.limit is not None else "Cycle time", "Idle", "Over"]
    columns = (
        SheetColumn(title="Station"),
        *(SheetColumn(title=title, unit=shown, decimals=decimals) for title in times),
        SheetColumn(title="Loaded", unit="%", decimals=1),
        SheetColumn(title="Operators"),
        SheetColumn(title="Number of tasks"),
        SheetColumn(title="Tasks"),
        SheetColumn(title="Task names"),
    )
    chart = LoadColumns(station=0, load=1, idle=3, limit=2)
    return SheetTable(name="stations", title="Stations", columns=columns, rows=tuple(cells),
                      about=about, chart=chart)  # fmt: skip


def assignment_table(
    rows: Sequence[Row], unit: TimeUnit | str, line: str, about: str = ""
) -> SheetTable:
    """Return which task is done at which station, in the order of work.

    Parameters
    ----------
    rows
        The load chart's rows of the plan, in seconds (or file units of a published instance).
    """
    shown, _ = in_shown_unit(rows, None, unit)
    decimals = unit.decimals if isinstance(unit, TimeUnit) else None
    times = ("Time", "Begins at", "Ends at")
    columns = (
        *(SheetColumn(title=title) for title in ("Line", "Station", "Place", "Task", "Name")),
        *(SheetColumn(title=t, unit=unit_label(unit), decimals=decimals) for t in times),
        SheetColumn(title="Over the limit"),
    )
    cells = tuple(
        (
            line,
            row["station"],
            row["order"],
            row["task"],
            row["name"] or None,
            *(round(row[key], KEPT_DECIMALS) for key in ("time", "start", "end")),
            "yes" if row["over"] else "no",
        )
        for row in shown
        if row["order"]
    )
    return SheetTable(name="assignment", title="Assignment", columns=columns, rows=cells,
                      about=about)  # fmt: skip


def numbers_table(
    numbers: Sequence[Explained], about: str = "", *, name: str = "numbers", title: str = "Numbers"
) -> SheetTable:
    """Return numbers with the way each came about."""
    return SheetTable(
        name=name, title=title, columns=NUMBER_COLUMNS, rows=_numbers(numbers), about=about
    )


def pace_table(product: Product, paces: Sequence[LinePace]) -> SheetTable:
    """Return the pace of every line, number by number with the way each came about."""
    labels = {line.name: line.label for line in product.lines}
    rows = tuple(
        (labels.get(pace.line, pace.line), *row) for pace in paces for row in _numbers(pace.numbers)
    )
    columns = (SheetColumn(title="Line"), *NUMBER_COLUMNS)
    return SheetTable(name="pace", title="Pace", columns=columns, rows=rows, about=_about(product))


def matrix_table(
    numbers: Sequence[str], predecessors: Sequence[Sequence[str]], about: str = ""
) -> SheetTable:
    """Return the precedence matrix: 1 where the task of the row comes directly before the column's.

    Parameters
    ----------
    predecessors
        For each task the numbers of its direct predecessors; those not in `numbers` are left out.

    References
    ----------
    .. [1] Hoffmann, T. R. (1963). Assembly line balancing with a precedence matrix.
       Management Science 9(4), 551-562.
    """
    before = [frozenset(row) for row in predecessors]
    columns = (
        SheetColumn(title="Task"),
        *(SheetColumn(title=number, is_mark=True) for number in numbers),
    )
    rows: tuple[tuple[Value, ...], ...] = tuple(
        (number, *(int(number in row) for row in before)) for number in numbers
    )
    return SheetTable(name="matrix", title="Precedence matrix", columns=columns, rows=rows,
                      about=about)  # fmt: skip


NUMBER_COLUMNS = tuple(
    SheetColumn(title=title)
    for title in ("Number", "Value", "Unit", "Formula", "With values", "Source", "Other definition")
)


def _numbers(numbers: Sequence[Explained]) -> tuple[tuple[Value, ...], ...]:
    """Return one row for each number."""
    return tuple(
        (e.name, e.value, e.unit or None, e.formula, e.worked, e.source, e.other or None)
        for e in numbers
    )


def _about(product: Product, line: str | None = None) -> str:
    """Return what a table belongs to."""
    said = f"{product.code} {product.name}".strip()
    return said if line is None else f"{said}, line {line}"


def _in(unit: TimeUnit | str, time: float) -> float:
    """Return a time in the unit shown; times of instances stay as they are."""
    return round(seconds_in_unit(time, unit), KEPT_DECIMALS) if isinstance(unit, TimeUnit) else time


def _fitted(
    part: str, fitted: Mapping[str, Decimal], by: Mapping[str, Sequence[str]]
) -> float | None:
    """Return how much of a part the tasks fit into one product; None: it cannot be known."""
    return None if part in by and part not in fitted else float(fitted.get(part, 0))


def _schema(
    table: Table, rows: Sequence[Values], unit: TimeUnit
) -> tuple[tuple[SheetColumn, ...], tuple[tuple[Value, ...], ...]]:
    """Return columns and cells of a table of the product."""
    columns = tuple(_column(column, unit) for column in table.columns)
    cells = tuple(tuple(_cell(c, row[c.field], unit) for c in table.columns) for row in rows)
    return columns, cells


def _column(column: Column, unit: TimeUnit) -> SheetColumn:
    """Return a column of a table of the product, times in the unit shown."""
    title = column.stem.replace("_", " ").capitalize()
    if column.kind == Kind.TIME:
        return SheetColumn(title=title, unit=unit.label, decimals=unit.decimals)
    return SheetColumn(title=title, unit=column.unit)


def _cell(column: Column, value: object, unit: TimeUnit) -> Value:
    """Return one cell of a table of the product."""
    if column.kind == Kind.TIME and isinstance(value, int):
        return round(in_unit(value, unit), KEPT_DECIMALS)
    return written_value(column, value)
