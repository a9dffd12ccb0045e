"""A stranger's sheet as tasks, with a report by cell and the questions that are open."""

from collections.abc import Collection, Mapping
from typing import Any

from stationflow.files.foreign.column_mapping import (
    TIME_TARGETS,
    ColumnMapping,
    MappedColumn,
    Target,
)
from stationflow.files.foreign.foreign_cells import Reading, read_key, read_text, read_yes_no
from stationflow.files.foreign.foreign_sheet import ForeignSheet
from stationflow.files.foreign.heading_words import MAIN_LINE_WORDS, simplified
from stationflow.files.foreign.import_report import (
    ImportedTask,
    Outcome,
    Report,
    TaskImport,
)
from stationflow.files.foreign.row_kinds import RowSorter
from stationflow.files.foreign.task_arrows import Arrows
from stationflow.files.foreign.task_content import Content
from stationflow.files.foreign.task_numbers import NumberedRow, Numbering
from stationflow.files.foreign.time_columns import TimeColumn
from stationflow.model import MAIN_LINE, ModelTime, Product, Task


def read_task_rows(
    sheet: ForeignSheet,
    mapping: ColumnMapping,
    choices: Mapping[str, str] | None = None,
    product: Product | None = None,
    *,
    left_out: Collection[int] = (),
) -> TaskImport:
    """Read tasks from a stranger's sheet.

    Nothing is decided silently: every cell that is not taken exactly as it stands is in
    the report, and what has two meanings is offered. The same call with the answers in
    `choices` gives the tasks as they will be.

    Parameters
    ----------
    mapping
        What each column holds.
    choices
        Answers by the id of the offer.
    product
        The product the tasks are for: its task numbers may be named as predecessors,
        its lines and part numbers are known.
    left_out
        Numbers of rows, from 1, that are not to be read.
    """
    return _TaskReader(sheet, mapping, dict(choices or {}), product).read(left_out)


class _TaskReader:
    """Reads one sheet of tasks."""

    def __init__(
        self,
        sheet: ForeignSheet,
        mapping: ColumnMapping,
        choices: dict[str, str],
        product: Product | None,
    ) -> None:
        self.sheet = sheet
        self.mapping = mapping
        self.product = product
        self.report = Report(sheet, choices)
        parts = frozenset(part.number for part in product.parts) if product else frozenset()
        self.content = Content(sheet, mapping, self.report, parts)
        main = product.main_line if product else None
        self.main_line = main.name if main else MAIN_LINE
        self.lines = {line.name: line.name for line in product.lines} if product else {}
        if product:
            self.lines |= {line.title.casefold(): line.name for line in product.lines if line.title}
        self.times: dict[int, TimeColumn] = {}
        self._merged: dict[int, dict[int, int]] = {}

    def read(self, left_out: Collection[int]) -> TaskImport:
        """Return the tasks and the report."""
        sorter = RowSorter(self.sheet, self.mapping, self.report, left_out)
        rows = sorter.sort()
        sorter.say_totals()
        tasks = Numbering(self.sheet, self.mapping, self.report).number(rows)
        for column in self.mapping.columns:
            if column.target in TIME_TARGETS:
                reader = TimeColumn(
                    self.sheet, self.mapping, column, [t.row for t in tasks], sorter.totals,
                    self.report,
                )  # fmt: skip
                reader.ask()
                self.times[column.position] = reader
        others = (task.number for task in self.product.tasks) if self.product else ()
        before = Arrows(self.sheet, self.mapping, tasks, self.report, others).read()
        imported = tuple(self._task(task, before[task.number]) for task in tasks)
        return TaskImport(
            rows=imported,
            report=self.report.sorted_entries,
            offers=tuple(self.report.offers.values()),
            unanswered=self.report.unanswered,
            models=tuple(dict.fromkeys(c.model for c in self._model_columns())),
            lines=tuple(dict.fromkeys(row.task.line for row in imported)),
            rows_read=sorter.rows_read,
        )

    def _task(self, numbered: NumberedRow, before: tuple[str, ...]) -> ImportedTask:
        """Return one task."""
        self._name_times_below(numbered)
        fields: dict[str, Any] = {
            "name": self._text(numbered, Target.NAME),
            "line": self._line(numbered.row),
            "time_ms": self._time(numbered.row, Target.TIME),
            "time_sd_ms": self._time(numbered.row, Target.TIME_SD),
            "machine": self._read(numbered.row, Target.MACHINE, read_yes_no),
            "model_times": self._model_times(numbered.row),
            "time_source": self.content.remarks(numbered, (Target.TIME_SOURCE, Target.REMARK)),
            "steps": self.content.steps(numbered),
            "parts": self.content.part_uses(numbered),
            "tools": self.content.tools(numbered),
            "checks": self.content.checks(numbered),
            "cautions": self.content.cautions(numbered),
        }
        given = {name: value for name, value in fields.items() if value not in (None, "", ())}
        has_arrows = self._has_predecessors() or bool(before)
        return ImportedTask(
            task=Task(number=numbered.number, predecessors=before, **self._with_line(given)),
            row=numbered.row,
            given=frozenset(given) | ({"predecessors"} if has_arrows else set()),
            station=self._filled(numbered.row, Target.STATION),
        )

    def _with_line(self, given: dict[str, Any]) -> dict[str, Any]:
        """Return the fields with the main line where the sheet names none."""
        return given if "line" in given else {**given, "line": self.main_line}

    def _has_predecessors(self) -> bool:
        """Return whether the sheet says what comes before each task."""
        return self.mapping.of(Target.PREDECESSORS) is not None

    def _model_columns(self) -> tuple[MappedColumn, ...]:
        """Return the columns of times for one model."""
        return tuple(c for c in self.mapping.all_of(Target.MODEL_TIME) if c.model)

    def _time(self, row: int, target: Target) -> int | None:
        """Return the time of a task in ms."""
        column = self.mapping.of(target)
        return self.times[column.position].read(row) if column else None

    def _model_times(self, row: int) -> tuple[ModelTime, ...]:
        """Return the times for single models; of a model named twice the first counts."""
        times: dict[str, ModelTime] = {}
        for column in self._model_columns():
            ms = self.times[column.position].read(row)
            if ms is not None and column.model not in times:
                times[column.model] = ModelTime(model=column.model, time_ms=ms)
        return tuple(times.values())

    def _text(self, numbered: NumberedRow, target: Target) -> str:
        """Return a text; what the rows below add to a name is joined, unless it is the same."""
        texts: dict[str, None] = {}
        column = self.mapping.of(target)
        for row in (numbered.row, *numbered.further):
            value = self._read(row, target, read_text)
            if not isinstance(value, str) or not value:
                continue
            if texts and value not in texts and column:
                place = (row, column.position)
                message = "It stands below a task without a number of its own; joined to its name."
                self.report.cell(Outcome.CHANGED, "name-joined", place, message, became=value)
            texts[value] = None
        return " ".join(texts)

    def _read(self, row: int, target: Target, read: Any) -> object:
        """Return what stands in a column, and note what was not taken as it stands."""
        column = self.mapping.of(target)
        if column is None:
            return None
        raw = self.sheet.cell(row, column.position)
        reading: Reading = read(raw)
        if reading.severity == Outcome.OFFERED:  # a date where a word should stand
            reading = Reading(str(raw), Outcome.CHANGED, reading.code, reading.message)
        if reading.severity:
            became = "" if reading.value is None else str(reading.value)
            self.report.cell(
                reading.severity, reading.code, (row, column.position), reading.message,
                became=became, hint=reading.hint,
            )  # fmt: skip
        return reading.value

    def _line(self, row: int) -> str | None:
        """Return the line of a task by a name of the product; None: the sheet names none."""
        column = self.mapping.of(Target.LINE)
        text = self._filled(row, Target.LINE)
        if column is None or not text:
            return None
        known = self.lines.get(text) or self.lines.get(text.casefold())
        if known is None:
            alike = [name for name in self.lines.values() if name.casefold() == text.casefold()]
            is_main = simplified(text) in MAIN_LINE_WORDS
            known = alike[0] if alike else self.main_line if is_main else None
        if known is None or known == text:
            return text
        place = (row, column.position)
        message = f"Read as the line {known!r}."
        self.report.cell(Outcome.CHANGED, "line-name", place, message, became=known)
        return known

    def _filled(self, row: int, target: Target) -> str:
        """Return a number or name; a cell merged over several rows counts for all of them."""
        column = self.mapping.of(target)
        if column is None:
            return ""
        value = self._read(row, target, read_key)
        if isinstance(value, str) and value:
            return value
        upper = self._merged_above(column.position).get(row)
        if upper is None:
            return ""
        filled = read_key(self.sheet.cell(upper, column.position)).value
        return filled if isinstance(filled, str) else ""

    def _merged_above(self, place: int) -> dict[int, int]:
        """Return the rows of a column that are merged with a row above, and that row."""
        if place not in self._merged:
            self._merged[place] = {
                row: m.first_row
                for m in self.sheet.merged
                if m.first_column <= place <= m.last_column
                for row in range(m.first_row + 1, min(m.last_row, len(self.sheet.rows)) + 1)
            }
        return self._merged[place]

    def _name_times_below(self, numbered: NumberedRow) -> None:
        """Note times in rows that only add to the task above: they are not read."""
        for row in numbered.further:
            for place, reader in self.times.items():
                if self.sheet.cell(row, place) is None:
                    continue
                message = f"A time in a row that adds to task {numbered.number} was left out."
                hint = "Add it to the time of the task, or give the row a number."
                self.report.cell(
                    Outcome.LEFT_OUT,
                    "time-below",
                    (row, reader.column.position),
                    message,
                    hint=hint,
                )
