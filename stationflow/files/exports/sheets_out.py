"""Tables that go out to other programs, as CSV or as a workbook, safe to open there."""

import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from stationflow.files.csv_text import write_csv
from stationflow.files.product.workbook_writing import HEADING, OPTIONS, SOME_DAY, TEXT, storable
from stationflow.model import Finding, error
from stationflow.units import TimeUnit

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.worksheet import Worksheet

Value = str | int | float | None

ENDINGS = ("csv", "xlsx")
WIDEST = 56  # characters of a column; longer texts are wrapped
NARROWEST = 8
MOST_COLUMNS = 16_384  # of a sheet
MOST_ROWS = 1_048_576
ROW_POINTS = 15  # height of one line of text
MOST_LINES = 20  # of one row; what is longer is cut on the screen, not in the file
MOST_ON_PAPER = 240  # characters that still read when they are fitted to the width of a page
LARGEST_IN_HEADER = 200  # characters of the 255 that a printed header may have
CHART_SHEET = "Load chart"
CHART_WIDTH, CHART_HEIGHT = 1120, 600  # pixels
LOAD_FILL, IDLE_FILL, LIMIT_INK = "#4C78A8", "#D9DEE3", "#B22222"


@dataclass(frozen=True, slots=True)
class SheetColumn:
    """One column of a table that goes out."""

    title: str  # the heading without its unit
    unit: str = ""  # unit of the numbers; empty: none
    # places shown in a workbook, where the number is kept whole; None: as it is
    decimals: int | None = None
    # whether it holds 1 or 0 only: a narrow column, whose zeros stay empty in a workbook
    is_mark: bool = False

    @property
    def heading(self) -> str:
        """The heading with its unit: "Load (s)"."""
        return f"{self.title} ({self.unit})" if self.unit else self.title


@dataclass(frozen=True, slots=True, kw_only=True)
class LoadColumns:
    """Places of the columns, from 0, that a load chart in a workbook is drawn from."""

    station: int
    load: int
    idle: int
    limit: int


def titled(*titles: str) -> tuple[SheetColumn, ...]:
    """Return columns that have a title alone."""
    return tuple(SheetColumn(title) for title in titles)


def time_columns(unit: TimeUnit | str, *titles: str) -> tuple[SheetColumn, ...]:
    """Return columns of times; those of a published instance are in its own unit."""
    if isinstance(unit, TimeUnit):
        return tuple(SheetColumn(title, unit.label, unit.decimals) for title in titles)
    return tuple(SheetColumn(title, unit) for title in titles)


@dataclass(frozen=True, slots=True)
class SheetTable:
    """One table that goes out."""

    name: str  # what it holds, in one word: "stations"
    title: str  # name of its sheet
    columns: tuple[SheetColumn, ...]
    rows: tuple[tuple[Value, ...], ...]
    about: str = ""  # what it belongs to, for the head of a printed page: product, line, plan
    chart: LoadColumns | None = None  # the columns of a load chart beside the table; None: no chart


def table_csv(table: SheetTable) -> bytes:
    """Return a table as CSV that spreadsheet programs open with every text as text.

    UTF-8 with its mark in front, commas, decimal points.
    """
    grid: list[tuple[Value, ...]] = [tuple(column.heading for column in table.columns)]
    return write_csv([*grid, *table.rows], byte_order_mark=True, errors="replace")


def tables_xlsx(tables: Sequence[SheetTable]) -> bytes:
    """Return tables as a workbook, one on each sheet: numbers are numbers, no text is a formula.

    The same tables give the same bytes.

    Raises `ValueError` if there is no table.
    """
    from xlsxwriter import Workbook

    if not tables:
        raise ValueError("a workbook needs at least one table")
    out = io.BytesIO()
    with Workbook(out, OPTIONS) as book:
        book.set_properties({"title": storable(tables[0].about)[0][:200], "created": SOME_DAY})
        formats = _formats(book)
        for table in tables:
            sheet = book.add_worksheet(table.title)
            _set_up(sheet, table)
            _write_table(sheet, table, formats)
            if table.chart and table.rows:
                drawn = book.add_worksheet(CHART_SHEET)  # of its own, which prints on one page
                drawn.hide_gridlines(2)
                _set_up(drawn, table)
                drawn.fit_to_pages(1, 1)
                drawn.insert_chart(0, 0, _load_chart(book, table, table.chart))
    return out.getvalue()


def lost_in(tables: Sequence[SheetTable]) -> tuple[Finding, ...]:
    """Return what a workbook cannot hold of tables: too long texts, too many rows or columns."""
    findings = []
    for table in tables:
        where = f"sheet {table.title}"
        size = f"{len(table.rows)} rows and {len(table.columns)} columns"
        if len(table.columns) > MOST_COLUMNS or len(table.rows) >= MOST_ROWS:
            message = f"The table has {size}; a sheet holds {MOST_ROWS} rows and {MOST_COLUMNS}."
            findings.append(error("text-not-stored", where, message, "Export it as CSV."))
        texts = [(at, each) for at, each in enumerate(table.columns) if not each.is_mark]
        for number, row in enumerate(table.rows, start=2):
            for place, column in texts:
                value = row[place]
                if isinstance(value, str) and (problem := storable(value)[1]):
                    cell = f"{where}, row {number}, column {column.title}"
                    findings.append(error("text-not-stored", cell, problem))
    return tuple(findings)


def _formats(book: "Workbook") -> dict[int | str | None, Any]:
    """Return the cell formats: by decimals for numbers, else by name."""
    return {
        "heading": book.add_format({**HEADING, "align": "right"}),
        "text heading": book.add_format({**HEADING, "align": "left", "indent": 1}),
        "text": book.add_format({**TEXT, "align": "left", "indent": 1}),
        "mark": book.add_format({"align": "center"}),
        None: book.add_format({"valign": "top"}),
        **{n: book.add_format({"valign": "top", "num_format": f"{0:.{n}f}"}) for n in range(10)},
    }


def _set_up(sheet: "Worksheet", table: SheetTable) -> None:
    """Set how a sheet is printed."""
    sheet.set_landscape()
    sheet.set_paper(9)  # A4
    about = " ".join(storable(table.about)[0].split())[:LARGEST_IN_HEADER].replace("&", "&&")
    sheet.set_header(f"&L{about}&R{table.title}"[:255])
    sheet.set_footer("&RPage &P of &N")


def _write_table(
    sheet: "Worksheet", table: SheetTable, formats: Mapping[int | str | None, Any]
) -> None:
    columns, rows = table.columns[:MOST_COLUMNS], table.rows[: MOST_ROWS - 1]
    sheet.freeze_panes(1, 1)
    sheet.repeat_rows(0)
    total, lines = 0, [1] * (len(rows) + 1)
    for place, column in enumerate(columns):
        values = [row[place] for row in rows]
        if column.is_mark:
            total += _write_marks(sheet, place, column, values, formats)
            continue
        is_number = any(isinstance(value, int | float) for value in values)
        of_numbers = formats[column.decimals]
        width = _width(column, values)
        total += width
        sheet.set_column(place, place, width, of_numbers if is_number else formats["text"])
        for number, value in enumerate((column.heading, *values)):
            if isinstance(value, str):
                lines[number] = max(lines[number], _lines(value, width))
        heading = formats["heading" if is_number else "text heading"]
        sheet.write_string(0, place, storable(column.heading)[0], heading)
        for number, value in enumerate(values, start=1):
            if value is None:
                continue
            if isinstance(value, str):
                if stored := storable(value)[0]:
                    sheet.write_string(number, place, stored, formats["text"])
            elif math.isfinite(value):
                sheet.write_number(number, place, value, of_numbers)
            else:
                sheet.write_string(number, place, str(value), formats["text"])
    if total <= MOST_ON_PAPER:
        sheet.fit_to_pages(1, 0)
    for number, count in enumerate(lines):
        if count > 1:
            sheet.set_row(number, ROW_POINTS * min(count, MOST_LINES))
    if rows:
        sheet.autofilter(0, 0, len(rows), len(columns) - 1)


def _write_marks(
    sheet: "Worksheet",
    place: int,
    column: SheetColumn,
    values: Sequence[Value],
    formats: Mapping[int | str | None, Any],
) -> int:
    """Write a narrow column of 1 where a mark is, else nothing; return its width."""
    width = max(1, min(len(column.heading), 6)) + 2
    sheet.set_column(place, place, width, formats["mark"])
    sheet.write_string(0, place, storable(column.heading)[0], formats["heading"])
    for number, value in enumerate(values, start=1):
        if value:
            sheet.write_number(number, place, value, formats["mark"])
    return width


def _width(column: SheetColumn, values: Sequence[Value]) -> int:
    """Return the width of a column in characters."""
    longest = max((_longest_line(value, column.decimals) for value in values), default=0)
    # The heading's button of the filter takes the room of some three characters.
    words = max(map(len, column.heading.split()), default=0) + 4
    return min(max(longest + 2, words, NARROWEST), WIDEST)


def _lines(text: str, width: int) -> int:
    """Return how many lines a text takes in a column, at most a little over `MOST_LINES`."""
    return sum(-(-(len(line) + 2) // width) for line in text[:4_000].splitlines()[:MOST_LINES])


def _longest_line(value: Value, decimals: int | None) -> int:
    """Return how many characters the longest line of a cell has."""
    if isinstance(value, str):
        return max(map(len, value[:4_000].splitlines()), default=0)
    if isinstance(value, float) and decimals is not None:
        return len(f"{value:.{decimals}f}")
    return 0 if value is None else len(f"{value:g}")


def _load_chart(book: "Workbook", table: SheetTable, at: LoadColumns) -> Any:
    """Return a chart of the spreadsheet program: load and idle time of each station, the limit."""
    last = len(table.rows)
    chart = book.add_chart({"type": "column", "subtype": "stacked"})
    line = book.add_chart({"type": "line"})
    looks: tuple[tuple[Any, int, dict[str, Any]], ...] = (
        (chart, at.load, {"fill": {"color": LOAD_FILL}, "gap": 40}),
        (chart, at.idle, {"fill": {"color": IDLE_FILL}, "gap": 40}),
        (line, at.limit, {"line": {"color": LIMIT_INK, "width": 2.25}, "marker": {"type": "none"}}),
    )
    for drawn, place, look in looks:
        drawn.add_series(
            {
                "name": [table.title, 0, place],
                "categories": [table.title, 1, at.station, last, at.station],
                "values": [table.title, 1, place, last, place],
                **look,
            }
        )
    chart.combine(line)
    chart.set_title({"name": "Load of the stations", "name_font": {"size": 13}})
    chart.set_x_axis({"name": table.columns[at.station].heading})
    chart.set_y_axis({"name": table.columns[at.load].heading, "min": 0})
    chart.set_legend({"position": "bottom"})
    chart.set_size({"width": CHART_WIDTH, "height": CHART_HEIGHT})
    return chart
