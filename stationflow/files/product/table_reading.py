"""Tables as they come from a file: headings are matched with the schema, rows are read."""

import re
from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches

from stationflow.model import Finding, error, note, warning
from stationflow.model.schema.cells import read_cell, tidy
from stationflow.model.schema.columns import Column, Kind, Table
from stationflow.model.size_limits import LONGEST_TEXT, MOST_ARROWS, MOST_ITEMS, most_rows
from stationflow.model.unread import Unread, UnreadCell
from stationflow.units import TimeUnit

MOST_COLUMNS = 64
ALIKE = 0.8  # "predecesors" is like "predecessors"
UNIT_LIKE = re.compile(r"[smhct]\w{0,3}\.?")  # "sekk", "mn"
LISTED = re.compile(r"[;,/\s]+")
MOST_ALIKE = 50  # findings of one code in one place that are listed one by one

UNIT_WORDS: dict[str, TimeUnit] = {  # how the unit of a time may be written in a heading
    **{unit.value: unit for unit in TimeUnit},
    "sec": TimeUnit.SECOND,
    "seconds": TimeUnit.SECOND,
    "minutes": TimeUnit.MINUTE,
    "1/100_min": TimeUnit.CENTIMINUTE,
    "hours": TimeUnit.HOUR,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One row that was read: values by field of the model, and its place for findings."""

    values: Mapping[str, object]
    where: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """A heading that the schema knows."""

    text: str
    column: Column
    unit: TimeUnit = TimeUnit.SECOND


@dataclass(slots=True)
class Found:
    """Findings collected while reading; of very many alike only the first are listed."""

    _listed: list[Finding] = field(default_factory=list)
    _alike: Counter[tuple[str, str]] = field(default_factory=Counter)
    _numbers_left: int = MOST_ARROWS
    _unread: list[Unread] = field(default_factory=list)

    def has_room(self, text: str, row: "Row", table: Table, column: Column) -> bool:
        """Return whether the task numbers a cell lists are read; note when they are too many."""
        count = len(LISTED.findall(text)) + 1
        self._numbers_left -= count
        if count <= MOST_ITEMS and self._numbers_left >= 0:
            return True
        message = (
            f"It lists some {count} task numbers; at most {MOST_ITEMS} are read in a cell and "
        )
        message += f"{MOST_ARROWS} in all cells of the product. The cell was left empty."
        hint = "Leave out numbers that follow from others."
        place = f"{row.where}, column {column.name}"
        finding = error("value-not-read", place, message, hint)
        self.miss(finding, table, column=column, values=row.values)
        return False

    def add(self, finding: Finding) -> int:
        """Keep a finding; return how many alike there are by now."""
        place = finding.where.partition(",")[0]
        self._alike[place, finding.code] += 1
        if self._alike[place, finding.code] <= MOST_ALIKE:
            self._listed.append(finding)
        return self._alike[place, finding.code]

    def miss(
        self,
        finding: Finding,
        *tables: Table,
        column: Column | None = None,
        values: Mapping[str, object] | None = None,
        raw: object = None,
    ) -> None:
        """Keep a finding about what is there and was not read, and what must not be made of it.

        `column`: None: whole rows or tables. `values`: what was read of the row. `raw`: what stands
        in the one cell it is about.
        """
        count = self.add(finding)
        uses = tuple(dict.fromkeys(use for table in tables for use in table.uses_of(column)))
        is_told = values is not None and count <= MOST_ALIKE
        owner = _owner(tables[0], column, values) if is_told and values is not None else {}
        cell = None
        if is_told and raw is not None and column is not None and values is not None:
            cell = _cell(tables[0], column, values, raw)
        if (uses or cell) and count <= MOST_ALIKE + 1:
            self._unread.append(Unread(finding=finding, uses=uses, **owner, cell=cell))

    def unread(self, lines: Collection[str], tasks: Collection[str]) -> tuple[Unread, ...]:
        """Return what was not read; what belongs to no line or task that is there, to any."""
        return tuple(
            each
            if each.of_line in lines or each.of_task in tasks
            else replace(each, of_line="", of_task="")
            for each in self._unread
        )

    @property
    def findings(self) -> tuple[Finding, ...]:
        """All findings, in the order they were met."""
        more = [
            warning(code, place, f"{count - MOST_ALIKE} more places like those named.")
            for (place, code), count in self._alike.items()
            if count > MOST_ALIKE
        ]
        return (*self._listed, *more)


def _owner(table: Table, column: Column | None, values: Mapping[str, object]) -> dict[str, str]:
    """Return whose value it is: a line's or a task's; nothing where that is not known."""
    name = table.parent or (table.keys[0] if table.keys else "")
    name = "line" if table.name == "machines" else name
    kinds = {"tasks": "task", "lags": "task", "lines": "line", "joins": "line", "machines": "line"}
    kind = kinds.get(table.name, table.parent)
    if kind not in ("task", "line") or (column is not None and column.name in ("line", "feeds")):
        return {}
    return {f"of_{kind}": str(values.get(name) or "")}


def _cell(
    table: Table, column: Column, values: Mapping[str, object], raw: object
) -> UnreadCell | None:
    """Return which value of the product a cell would be; None: its record cannot be told."""
    owner = str(values.get(table.parent) or "") if table.parent else ""
    key = tuple(str(values.get(name) or "") for name in table.keys)
    is_told = (table.is_single or all(key)) and bool(table.keys or table.is_single)
    is_key = column.field in (table.parent, *table.keys)
    text = str(raw)
    if not is_told or is_key or (table.parent and not owner) or len(text) > LONGEST_TEXT:
        return None
    return UnreadCell(table=table.name, field=column.field, owner=owner, key=key, text=text)


def read_table(
    table: Table, grid: Iterable[Sequence[object]], where: str, found: Found
) -> list[Row]:
    """Read a table whose first row that is not blank holds the headings."""
    headings: tuple[Heading | None, ...] | None = None
    rows: list[Row] = []
    for number, cells in enumerate(grid, start=1):
        if not cells or all(map(_is_blank, cells)):
            continue
        if headings is None:
            headings = read_headings(table, cells, where, found)
            if not _has_needed(table, headings, where, found):
                return []
        elif len(rows) >= most_rows(table.name):
            found.miss(too_many_rows(table.name, where), table)
            break
        elif row := read_row(table, headings, cells, f"{where}, row {number}", found):
            rows.append(row)
    return rows


def too_many_rows(table: str, where: str, count: int | None = None) -> Finding:
    """Return the finding for a table with more rows than are read; `count`: where it is known."""
    most = most_rows(table)
    message = f"It has {count or f'more than {most}'} rows; at most {most} are read, and those "
    message += "after them were left out."
    hint = "Take out what is not needed, or plan parts of it as products of their own."
    return error("file-too-large", where, message, hint)


def read_headings(
    table: Table, cells: Sequence[object], where: str, found: Found
) -> tuple[Heading | None, ...]:
    """Return what stands in each column; None: not read."""
    headings: list[Heading | None] = []
    taken: set[str] = set()
    for cell in cells[:MOST_COLUMNS]:
        text = "" if cell is None else tidy(str(cell))
        heading = _heading(table, text, where, found) if text else None
        if heading and heading.column.name in taken:
            message = f"The column {text[:40]!r} stands twice; the first one was read."
            hint = "Delete the one that does not hold."
            found.miss(error("unknown-column", where, message, hint), table, column=heading.column)
            heading = None
        if heading:
            taken.add(heading.column.name)
        headings.append(heading)
    return tuple(headings)


def heading_key(text: str) -> str:
    """Return a heading as the schema writes it: "time_s" for "Time (s)".

    >>> heading_key("Key point"), heading_key("Time [1/100 min]")
    ('key_point', 'time_1/100_min')
    """
    words = re.sub(r"[()\[\]]", " ", text.casefold())
    return "_".join(re.split(r"[\s_\-]+", words.strip(" _-")))


def _heading(table: Table, text: str, where: str, found: Found) -> Heading | None:
    """Return what a heading stands for, or note why nothing."""
    key = heading_key(text)
    if column := table.column(key):
        return Heading(text=text, column=column)
    for column in table.columns:
        if column.kind != Kind.TIME:
            continue
        if key == column.stem:
            choices = ", ".join(f"{column.stem}_{unit.value}" for unit in TimeUnit)
            message = f"The times in column {text!r} have no unit; they were not read."
            hint = f"Name the unit in the heading: {choices}."
            found.miss(error("time-without-unit", where, message, hint), table, column=column)
            return None
        unit = UNIT_WORDS.get(key.removeprefix(f"{column.stem}_"))
        if unit and key.startswith(f"{column.stem}_"):
            return Heading(text=text, column=column, unit=unit)
    names = ", ".join(column.name for column in table.columns)
    message = f"The column {text[:40]!r} is not one of this table ({names})."
    meant = _alike(table, key)
    if meant is None or not table.uses_of(meant):
        found.add(warning("unknown-column", where, message))
    else:
        hint = f"Call it {meant.name!r} if that is meant; else rename or delete it."
        found.miss(error("unknown-column", where, message, hint), table, column=meant)
    return None


def _alike(table: Table, key: str) -> Column | None:
    """Return the column that a heading nearly names: misspelt, or with a unit that is none."""
    names = {column.name: column for column in table.columns}
    names |= {column.stem: column for column in table.columns if column.kind == Kind.TIME}
    for column in table.columns:
        unit = key.removeprefix(f"{column.stem}_")
        if column.kind == Kind.TIME and unit != key and UNIT_LIKE.fullmatch(unit):
            return column
    near = get_close_matches(key, names, 1, ALIKE)
    return names[near[0]] if near else None


def _has_needed(table: Table, headings: Sequence[Heading | None], where: str, found: Found) -> bool:
    """Return whether the columns are there without which no row can be read."""
    there = {heading.column.name for heading in headings if heading}
    missing = [c.name for c in table.columns if c.is_required and c.name not in there]
    if missing:
        message = f"There is no column {' and no column '.join(missing)}; nothing was read."
        found.miss(error("missing-column", where, message), table)
    return not missing


def read_row(
    table: Table,
    headings: Sequence[Heading | None],
    cells: Sequence[object],
    where: str,
    found: Found,
) -> Row | None:
    """Read one row; None: it lacks what it needs."""
    read = [
        (heading, raw, read_cell(heading.column, raw, heading.unit))
        for heading, raw in zip(headings, cells, strict=False)
        if heading
    ]
    values = {heading.column.field: cell.value for heading, _, cell in read}
    for heading, raw, cell in read:
        place = f"{where}, column {heading.text}"
        if cell.problem:
            is_long = isinstance(raw, str) and len(raw) > LONGEST_TEXT
            code = "text-not-stored" if is_long else "value-not-read"
            finding = error(code, place, f"{shown(raw)} was not read: {cell.problem}.")
            found.miss(finding, table, column=heading.column, values=values, raw=raw)
        elif cell.is_rounded and isinstance(cell.value, int):
            message = f"{shown(raw)} {heading.unit.label} is kept as {cell.value / 1000} s."
            found.add(note("time-rounded", place, message))
    if not all(map(_is_blank, cells[len(headings) :])):
        message = "The row has more cells than the table has headings; what is beyond was not read."
        found.miss(error("value-not-read", where, message), table, values=values)
    for column in table.columns:
        if column.is_required and values.get(column.field) in (None, ""):
            code = "task-without-number" if table.name == "tasks" else "row-left-out"
            finding = error(code, where, f"The row has no {column.stem.replace('_', ' ')}.")
            found.miss(finding, table, values=values)
            return None
    return Row(values=values, where=where)


def shown(raw: object) -> str:
    """Return a value as it is quoted in a finding."""
    text = raw if isinstance(raw, str) else str(raw)[:60]
    return repr(text if len(text) <= 40 else f"{text[:37]}...")


def _is_blank(cell: object) -> bool:
    return cell is None or cell == "" or (isinstance(cell, str) and not tidy(cell))
