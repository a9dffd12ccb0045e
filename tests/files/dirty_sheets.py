"""A stranger's workbook of 80 tasks with twenty kinds of dirt, and the truth behind it.

The truth is written down beside each dirt, by hand; nothing of it comes from the reader.
"""

import io
from dataclasses import dataclass, field, replace
from datetime import datetime

import xlsxwriter

from stationflow.model import PartUse, Step, Task, ToolUse

TASKS = 80
FIRST_ROW = 6  # sheet row of the first task: title, blank, blank, headings, units
VERBS = ("Place", "Press", "Screw", "Solder", "Check", "Clip", "Route", "Glue")
THINGS = ("base", "motor", "cover", "board", "cable", "fan", "switch", "label", "foot", "hinge")
NAMES = ("Number", "Operation", "Time", "Predecessors", "Station", "Step", "Parts", "Tools")


@dataclass(frozen=True)
class DirtySheet:
    """A stranger's file, what it should become, and the answers that make it so."""

    content: bytes
    name: str
    truth: tuple[Task, ...]
    answers: dict[str, str]
    stations: tuple[tuple[str, tuple[str, ...]], ...]
    kinds: tuple[str, ...]


@dataclass
class _Line:
    """A row to be written: cells by column; a row of the truth unless it is no task."""

    cells: dict[int, object]
    task: Task | None = None
    below: list[dict[int, object]] = field(default_factory=list)
    formats: dict[int, str] = field(default_factory=dict)
    is_hidden: bool = False


def clean_tasks() -> list[Task]:
    """Return 80 tasks: 10, 20, ... 800, each after the one before it."""
    return [
        Task(
            number=str(10 * n),
            name=f"{VERBS[n % 8]} {THINGS[n % 10]} {n}",
            time_ms=10_000 + n % 7 * 2500,
            predecessors=(str(10 * n - 10),) if n > 1 else (),
        )
        for n in range(1, TASKS + 1)
    ]


def dirty_workbook() -> DirtySheet:
    """Return the workbook of 80 tasks."""
    lines = [_clean_line(task) for task in clean_tasks()]
    kinds = _spoil(lines)
    truth = tuple(line.task for line in lines if line.task is not None)
    stations = _stations(truth)
    lines = _with_foreign_rows(lines)
    return DirtySheet(
        content=_written(lines),
        name="line 4 time study (final) v3.xlsx",
        truth=truth,
        answers={
            "dates:D": "range",  # "10-30" meant all from 10 to 30
            "zeros:D": "match",
            "typo:D:999": "leave-out",
            "duplicate:500": "renumber",
            "hidden-rows": "read",
            "clock:C": "m:ss",
        },
        stations=stations,
        kinds=("title above the headings", "blank rows", "units in a row of their own", *kinds),
    )


def _clean_line(task: Task) -> _Line:
    """Return a task as the stranger writes it when nothing is wrong."""
    before = int(task.predecessors[0]) if task.predecessors else None
    return _Line(
        cells={0: int(task.number), 1: task.name, 2: (task.time_ms or 0) / 1000, 3: before},
        task=task,
    )


def _set(line: _Line, column: int, cell: object, **truth: object) -> None:
    """Spoil one cell; `truth` is what the task must be in spite of it."""
    line.cells[column] = cell
    if truth and line.task:
        line.task = replace(line.task, **truth)


def _spoil(lines: list[_Line]) -> list[str]:
    """Spoil cells here and there; return the kinds of dirt."""
    by = {line.cells[0]: line for line in lines}
    _set(by[40], 2, "7,5", time_ms=7500)  # decimal comma
    _set(by[50], 2, "45 s", time_ms=45_000)
    _set(by[60], 2, "1:15", time_ms=75_000)
    _set(by[70], 2, "2'30", time_ms=150_000)
    _set(by[80], 2, "12.5", time_ms=12_500)  # number stored as text
    _set(by[90], 2, "clock 1:15", time_ms=75_000)  # kept as 1 h 15 min: see `_written`
    _set(by[100], 3, "60\u201390", predecessors=("60", "70", "80", "90"))  # range, long dash
    _set(by[110], 3, datetime(2026, 10, 30), predecessors=("10", "20", "30"))  # "10-30"  # noqa: DTZ001
    _set(by[120], 3, 40.5, predecessors=("40", "50"))  # "40,50" as a number
    _set(by[130], 3, "110;120", predecessors=("110", "120"))
    _set(by[140], 3, "130\u00a0", predecessors=("130",))  # non-breaking blank
    _set(by[150], 3, "120 / 140, 130", predecessors=("120", "140", "130"))
    _set(by[160], 3, "op. 150 and 140", predecessors=("150", "140"))
    _set(by[170], 3, "160; 999", predecessors=("160",))  # there is no 999
    _set(by[180], 3, "170;180", predecessors=("170",))  # itself
    _set(by[190], 2, "error", time_ms=None)  # #DIV/0!: see `_written`
    _set(by[200], 2, -4, time_ms=None)
    _set(by[210], 1, "  Place base 21\u00a0", name="Place base 21")
    _set(by[220], 0, "220 ")
    _set(by[230], 3, "-", predecessors=())
    by[240].cells[5] = "Lift the board"
    by[240].below = [{5: "Turn it"}, {5: "Set it down", 7: "Gloves"}]
    _set(by[240], 7, "Jig 4",
         steps=(Step(text="Lift the board"), Step(text="Turn it"), Step(text="Set it down")),
         tools=(ToolUse(tool="Jig 4"), ToolUse(tool="Gloves")))  # fmt: skip
    _set(by[250], 6, "P-100 x2; 3x P-200",
         parts=(PartUse(part="P-100", quantity=2), PartUse(part="P-200", quantity=3)))  # fmt: skip
    by[260].is_hidden = True
    _set(by[270], 0, "0270", number="0270")  # its follower names 270: zeros are lost
    _set(by[280], 3, 270, predecessors=("0270",))
    _set(by[510], 0, 500, number="500-2", predecessors=("500",))  # the second 500
    _set(by[510], 3, 500)
    _set(by[520], 3, 500, predecessors=("500",))
    _set(by[600], 2, "formula", time_ms=17_500)  # =10+7.5: see `_written`
    return [
        "decimal comma", "unit in the cell", "minutes:seconds", "minutes'seconds",
        "number stored as text", "clock time for minutes and seconds", "range with a long dash",
        "list turned into a date", "list turned into a number", "lists parted in four ways",
        "non-breaking blanks", "unknown predecessor", "own predecessor", "failed formula",
        "negative time", "rows that add steps and tools", "parts with quantities in the cell",
        "hidden row", "lost leading zero", "duplicate number", "formula with result",
        "subtotals and total", "headings again", "merged station cells",
    ]  # fmt: skip


def _stations(truth: tuple[Task, ...]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Return the stations of today: ten tasks each."""
    return tuple(
        (f"ST{n // 10 + 1}", tuple(task.number for task in truth[n : n + 10]))
        for n in range(0, TASKS, 10)
    )


def _with_foreign_rows(lines: list[_Line]) -> list[_Line]:
    """Put subtotals, blank rows and repeated headings between the tasks."""
    rows: list[_Line] = []
    for place, line in enumerate(lines, start=1):
        rows.append(line)
        if place == 30:
            rows.append(_Line({1: "Subtotal", 2: 400.0}))
        if place == 40:
            rows += [_Line({}), _Line(dict(enumerate(NAMES)))]
    return [*rows, _Line({}), _Line({1: "Total", 2: 1500.0})]


def _written(lines: list[_Line]) -> bytes:
    """Return the workbook as a spreadsheet program would save it."""
    out = io.BytesIO()
    with xlsxwriter.Workbook(out, {"in_memory": True}) as book:
        notes = book.add_worksheet("Notes")
        notes.write(0, 0, "Ask Eve about the hinge.")
        sheet = book.add_worksheet("Study")
        sheet.merge_range(0, 0, 0, 7, "Line 4, time study", book.add_format({"bold": True}))
        sheet.write_row(3, 0, NAMES)
        sheet.write(4, 2, "[s]")
        date = book.add_format({"num_format": "d-mmm"})
        clock = book.add_format({"num_format": "h:mm"})
        row, station, first = FIRST_ROW - 1, 0, FIRST_ROW - 1
        count = 0
        for line in lines:
            for column, cell in line.cells.items():
                if cell == "error":
                    sheet.write_formula(row, column, "=1/0", None, "#DIV/0!")
                elif cell == "formula":
                    sheet.write_formula(row, column, "=10+7.5", None, 17.5)
                elif cell == "clock 1:15":
                    sheet.write_number(row, column, 75 / 1440, clock)
                elif isinstance(cell, datetime):
                    sheet.write_datetime(row, column, cell, date)
                elif isinstance(cell, str):
                    sheet.write_string(row, column, cell)
                elif cell is not None:
                    sheet.write(row, column, cell)
            if line.is_hidden:
                sheet.set_row(row, None, None, {"hidden": True})
            for below in line.below:
                row += 1
                for column, cell in below.items():
                    sheet.write(row, column, cell)
            if line.task is not None:
                count += 1
                if count % 10 == 0:
                    station += 1
                    sheet.merge_range(first, 4, row, 4, f"ST{station}")
                    first = row + 1
            elif count % 10 == 0:
                first = row + 1
            row += 1
    return out.getvalue()
