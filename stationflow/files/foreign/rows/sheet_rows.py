"""A stranger's sheet as tasks or parts, with a report by cell and the questions that are open."""

import re
from collections.abc import Callable, Collection, Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from stationflow.files.foreign.column_mapping import (
    TIME_TARGETS,
    ColumnMapping,
    MappedColumn,
    TableKind,
    Target,
)
from stationflow.files.foreign.columns.column_doubts import ColumnDoubts
from stationflow.files.foreign.columns.foreign_cells import (
    as_shown,
    decimal_sign,
    is_empty,
    plain_text,
    read_key,
    read_number,
    read_text,
    read_yes_no,
)
from stationflow.files.foreign.columns.piece_factors import Factors
from stationflow.files.foreign.columns.sheet_speech import Speech
from stationflow.files.foreign.columns.time_columns import TimeColumn
from stationflow.files.foreign.foreign_sheet import ForeignSheet, RawCell, stood
from stationflow.files.foreign.heading_words import MAIN_LINE_WORDS, PIECE_WORDS, simplified
from stationflow.files.foreign.import_report import (
    Answers,
    ImportedRow,
    Outcome,
    Reading,
    Report,
    SheetImport,
    changed,
    left_out,
    offered,
    refused,
)
from stationflow.files.foreign.rows.row_kinds import RowSorter, SheetRow
from stationflow.files.foreign.rows.summary_rows import Summaries, level_factors
from stationflow.files.foreign.rows.task_arrows import Arrows
from stationflow.files.foreign.rows.task_content import Content
from stationflow.files.foreign.rows.task_numbers import Numbering
from stationflow.model import MAIN_LINE, ModelTime, Part, Product, Task
from stationflow.model.schema.cells import tidy
from stationflow.model.size_limits import MOST_TASKS, most_rows

COUNTED = re.compile(r"(?P<number>[\d., /]*\d)\s*(?P<unit>[^\W\d]+|\u00d7)\.?")
GRAMS = {"kg": 1000, "g": 1}


def read_rows(
    sheet: ForeignSheet,
    mapping: ColumnMapping,
    choices: Mapping[str, str] | None = None,
    product: Product | None = None,
    *,
    ticked_off: Collection[int] = (),
) -> SheetImport:
    """Read tasks or parts from a stranger's sheet.

    Nothing is decided silently: every cell that is not taken exactly as it stands is in
    the report, and what has two meanings is offered. The same call with the answers in
    `choices` gives the tasks as they will be.

    Parameters
    ----------
    choices
        Answers by the id of the offer.
    product
        The product the rows are for: its task numbers may be named as predecessors,
        its lines and part numbers are known.
    ticked_off
        Numbers of rows, from 1, that are not to be read.
    """
    report = Report(sheet, mapping, choices or {})
    report.mapping = mapping = ColumnDoubts(report).settled()
    for row, place, text in sheet.comments:
        said = left_out("comment", f"A comment on the cell was not taken over: {text[:200]!r}.")
        if row >= mapping.first_data_row and place < len(mapping.columns):
            report.take(row, mapping.columns[place], said)
    sorter = RowSorter(report)
    rows = [] if report.is_closed else sorter.sort(ticked_off)
    if mapping.kind == TableKind.TASKS:
        summaries = Summaries(report, Numbering(report).number(rows))
        rows = _within(report, summaries.without(), MOST_TASKS, "tasks")
        gone = summaries.gone | _left_numbers(report, rows)
        read = _TaskReader(report, product, rows, sorter.totals, gone).read
    else:
        rows = Numbering(report).number(rows) if mapping.of(Target.PART_NUMBER) else []
        rows = _within(report, rows, most_rows("parts"), "parts")
        read = _PartReader(report, [row.row for row in rows]).read
    return report.finished([read(row) for row in rows], sorter.rows_read)


def _within(report: Report, rows: list[SheetRow], most: int, what: str) -> list[SheetRow]:
    """Return as many rows as are read; note in the report that there are more."""
    if len(rows) > most:
        message = f"The sheet has {len(rows)} {what}; at most {most} are read, the rest was left "
        hint = "Take out rows, or bring parts of it in as products of their own."
        report.take(rows[most].row, None, refused("too-many-rows", f"{message}out.", hint))
    return rows[:most]


def _left_numbers(report: Report, rows: Collection[SheetRow]) -> set[str]:
    """Return the numbers of rows that look like tasks but do not come in."""
    taken = {row.row for row in rows}
    column = report.mapping.of(Target.NUMBER)
    left = {tidy(stood(report.raw(row, column))) for row in report.record_rows - taken}
    return left - {row.number for row in rows} - {""}


def _given(fields: dict[str, Any]) -> dict[str, Any]:
    """Return the fields that the sheet really says."""
    return {name: value for name, value in fields.items() if value not in (None, "", ())}


class _TaskReader:
    """Reads the fields of tasks."""

    def __init__(
        self,
        report: Report,
        product: Product | None,
        rows: list[SheetRow],
        totals: list[int],
        gone: Collection[str],
    ) -> None:
        self.report = report
        self.mapping = report.mapping
        product = product or Product(code="new")
        self.content = Content(report, frozenset(part.number for part in product.parts))
        main = product.main_line
        self.main_line = main.name if main else MAIN_LINE
        self.lines = {line.name: line.name for line in product.lines}
        self.lines |= {line.title.casefold(): line.name for line in product.lines if line.title}
        tasks = [row.row for row in rows]
        speech = Speech(report)
        self.times = {
            column.position: TimeColumn(report, column, tasks, totals, speech)
            for column in self.mapping.columns
            if column.target in TIME_TARGETS
        }
        others = [task.number for task in product.tasks]
        self.before = Arrows(report, rows, others, gone).read()
        self.merged = {
            target: report.sheet.merged_above(column.position)
            for target in (Target.LINE, Target.STATION)
            if (column := self.mapping.of(target))
        }

    def read(self, row: SheetRow) -> ImportedRow:
        """Return one task."""
        self._name_times_below(row)
        before = self.before[row.number]
        fields = _given(
            {
                "name": self._name(row),
                "line": self._line(row.row),
                "time_ms": self._time(row.row, Target.TIME),
                "time_sd_ms": self._time(row.row, Target.TIME_SD),
                "machine": self._read(row.row, Target.MACHINE, read_yes_no),
                "model_times": self._model_times(row.row),
                "time_source": self.content.joined(row, Target.TIME_SOURCE),
                "remark": self.content.joined(row, Target.REMARK),
                "steps": self.content.steps(row),
                "parts": self.content.part_uses(row),
                "tools": self.content.tools(row),
                "checks": self.content.checks(row),
                "cautions": self.content.cautions(row),
            }
        )
        has_arrows = bool(before) or self.mapping.of(Target.PREDECESSORS) is not None
        given = frozenset(fields) | ({"predecessors"} if has_arrows else set())
        fields.setdefault("line", self.main_line)
        return ImportedRow(
            record=Task(number=row.number, predecessors=before, **fields),
            row=row.row,
            given=given,
            station=self._filled(row.row, Target.STATION),
        )

    def _time(self, row: int, target: Target) -> int | None:
        """Return the time of a task in ms; of several columns that are meant, their sum."""
        columns = self.mapping.all_of(target)
        if len(columns) > 1:
            columns = tuple(c for c in columns if not is_empty(self.report.raw(row, c)))
        times = [self.times[column.position].read(row) for column in columns]
        return sum(filter(None, times)) if times and None not in times else None

    def _model_times(self, row: int) -> tuple[ModelTime, ...]:
        """Return the times for single models; of a model named twice the first counts."""
        times: dict[str, ModelTime] = {}
        for column in self.mapping.all_of(Target.MODEL_TIME):
            ms = self.times[column.position].read(row) if column.model else None
            if ms is not None:
                times.setdefault(column.model, ModelTime(model=column.model, time_ms=ms))
        return tuple(times.values())

    def _name(self, task: SheetRow) -> str:
        """Return the name; what the rows below add to it is joined, unless it is the same."""
        texts: dict[str, None] = {}
        for row, column, text in self.content.texts(task, Target.NAME):
            if texts and text not in texts:
                message = "It stands below a task without a number of its own; joined to its name."
                self.report.take(row, column, changed(text, "name-joined", message))
            texts[text] = None
        return " ".join(texts)

    def _read(self, row: int, target: Target, read: Callable[[RawCell], Reading]) -> object:
        """Return what stands in a column, and note what was not taken as it stands."""
        column = self.mapping.of(target)
        raw = self.report.raw(row, column)
        reading = read(raw)
        if reading.severity == Outcome.OFFERED:  # a date where a word should stand
            reading = changed(str(raw), reading.code, reading.message)
        return self.report.take(row, column, reading)

    def _line(self, row: int) -> str:
        """Return the line of a task by a name of the product; empty: the sheet names none."""
        text = self._filled(row, Target.LINE)
        known = self.lines.get(text) or self.lines.get(text.casefold())
        if text and known is None:
            alike = [name for name in self.lines.values() if name.casefold() == text.casefold()]
            is_main = simplified(text) in MAIN_LINE_WORDS
            known = alike[0] if alike else self.main_line if is_main else None
        if known is None or known == text:
            return text
        said = changed(known, "line-name", f"Read as the line {known!r}.")
        self.report.take(row, self.mapping.of(Target.LINE), said)
        return known

    def _filled(self, row: int, target: Target) -> str:
        """Return a number or name; a cell merged over several rows counts for all of them."""
        value = self._read(row, target, read_key)
        if not value and (upper := self.merged.get(target, {}).get(row)):
            value = read_key(self.report.raw(upper, self.mapping.of(target))).value
        return value if isinstance(value, str) else ""

    def _name_times_below(self, task: SheetRow) -> None:
        """Note times in rows that only add to the task above: they are not read."""
        message = f"A time in a row that adds to task {task.number} was left out."
        said = left_out(
            "time-below", message, "Add it to the time of the task, or give the row a number."
        )
        for row in task.further:
            for reader in self.times.values():
                if self.report.raw(row, reader.column) is not None:
                    self.report.take(row, reader.column, said)


class _PartReader:
    """Reads the fields of parts."""

    TEXTS = (
        ("name", Target.PART_NAME, read_text),
        ("unit", Target.UNIT, read_key),
        ("container", Target.CONTAINER, read_key),
    )
    NUMBERS = (
        ("quantity", Target.QUANTITY),
        ("container_quantity", Target.CONTAINER_QUANTITY),
        ("weight_g", Target.WEIGHT),
    )

    def __init__(self, report: Report, rows: list[int]) -> None:
        self.report = report
        self.answers: dict[Target, Answers] = {}
        for _, target in self.NUMBERS:
            if column := report.mapping.of(target):
                sign = decimal_sign(report.raw(row, column) for row in rows)
                known = {"comma": sign} if sign else {}
                if column.weight_unit:
                    known["weight-unit"] = column.weight_unit
                read = _read_weight if target == Target.WEIGHT else _read_quantity
                self.answers[target] = report.settle(column, rows, read, known)
        self.levels: dict[int, Fraction] = {}
        self.factors: Factors | None = None
        if quantity := report.mapping.of(Target.QUANTITY):
            self.levels = level_factors(report, rows, quantity)
            self.factors = Factors(report, quantity, rows, Speech(report), "quantities")

    def read(self, row: SheetRow) -> ImportedRow:
        """Return the part in a row."""
        fields: dict[str, Any] = {}
        for name, target, read in self.TEXTS:
            column = self.report.mapping.of(target)
            fields[name] = self.report.take(row.row, column, read(self.report.raw(row.row, column)))
        if str(fields["unit"]).casefold() in PIECE_WORDS:
            fields["unit"] = None  # pieces need no word
        for name, target in self.NUMBERS:
            if column := self.report.mapping.of(target):
                fields[name] = self._number(row.row, column)
        given = _given(fields)
        return ImportedRow(
            record=Part(number=row.number, **given), row=row.row, given=frozenset(given)
        )

    def _number(self, row: int, column: MappedColumn) -> float | None:
        """Return a quantity, or a weight in grams."""
        read = _read_weight if column.target == Target.WEIGHT else _read_quantity
        reading = read(self.report.raw(row, column), self.answers[column.target])
        if isinstance(reading.value, Decimal) and reading.value < 0:
            reading = refused("negative", "It cannot be negative; it was left empty.")
        elif column.target == Target.QUANTITY and isinstance(reading.value, Decimal):
            reading = self._in_one_product(row, reading, reading.value)
        value = self.report.take(row, column, reading)
        return float(value) if isinstance(value, Decimal) else None

    def _in_one_product(self, row: int, reading: Reading, number: Decimal) -> Reading:
        """Return the quantity in one product, by levels and bases."""
        level = self.levels.get(row, Fraction(1))
        if level == 0:
            return offered("", "levels", "Whether it counts in the part above is not said.")

        def scaled(factor: Fraction) -> Decimal:
            whole = Fraction(str(number)) * factor * level
            return Decimal(whole.numerator) / whole.denominator

        if self.factors is not None:
            reading = self.factors.applied(row, reading, scaled)
        if level != 1 and reading.code != "for-one-product" and reading.value is not None:
            message = f"Counted in one product: times {float(level):.6g}."
            return changed(scaled(Fraction(1)), "for-one-product", message)
        return reading


def _read_quantity(raw: RawCell, answers: Answers) -> Reading:
    """Read a quantity; a word for pieces behind it says nothing more."""
    if isinstance(meant := as_shown(raw, answers), Reading):
        return meant
    raw = meant
    match = COUNTED.fullmatch(plain_text(raw)) if isinstance(raw, str) else None
    if match and match["unit"].casefold() in PIECE_WORDS | {"x", "\u00d7"}:
        reading = read_number(match["number"], answers.get("comma", ""))
        if isinstance(reading.value, Decimal):
            return changed(reading.value, "pieces", "Read without the word for pieces.")
        return reading
    return read_number(raw, answers.get("comma", ""))


def _read_weight(raw: RawCell, answers: Answers) -> Reading:
    """Read a weight in grams; a unit in the cell goes before that of the column."""
    text = tidy(raw).casefold() if isinstance(raw, str) else ""
    unit = next((unit for unit in GRAMS if text.endswith(unit)), "")
    reading = _read_quantity(text.removesuffix(unit) if unit else raw, answers)
    if not isinstance(reading.value, Decimal):
        return reading
    unit = unit or answers.get("weight-unit", "")
    if not unit:
        message = "The unit of the weight is not said."
        return offered("weight-unit", "weight-unit", message, "Choose the unit.")
    value = reading.value * GRAMS[unit]
    return Reading(value, reading.severity, reading.code, reading.message, reading.hint)
