"""One table of a product from a file of its own: rows that are there are changed, others added."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any

from stationflow.files.foreign.foreign_sheet import ForeignFile
from stationflow.files.product.product_rows import record_of, with_line
from stationflow.files.product.table_reading import Found, heading_key, read_table
from stationflow.files.product.workbook import plain_cell
from stationflow.model import MAIN_LINE, Finding, Product
from stationflow.model.schema.columns import Table
from stationflow.model.schema.tables import TABLE


@dataclass(frozen=True, slots=True, kw_only=True)
class TableTaken:
    """What a table makes of a product."""

    product: Product
    added: int
    changed: int
    findings: tuple[Finding, ...]  # what was not read, with its place


def take_table(product: Product, name: str, file: ForeignFile) -> TableTaken:
    """Return the product with the rows of a table, by its name in the schema.

    Of a workbook the sheet with the title of the table is read, else the first one. A row whose
    key is there already changes that record where the file has a column; others come behind. A
    cell that cannot be read is kept as it is written, to be cured in the table.
    """
    table, found = TABLE[name], Found()
    titled = [sheet for sheet in file.sheets if heading_key(sheet.name) == heading_key(table.title)]
    sheet = (*titled, *file.sheets)[0]
    grid = (tuple(map(plain_cell, row)) for row in sheet.rows)
    return _taken(product, table, grid, sheet.name or f"{name}.csv", found)


def _taken(
    product: Product, table: Table, grid: Iterable[Sequence[object]], where: str, found: Found
) -> TableTaken:
    rows = read_table(table, grid, where, found)
    if table.column("line") and not table.parent:
        main = product.main_line
        rows = with_line(rows, main.name if main else MAIN_LINE)
    records = list(getattr(product, table.path))
    place_of = {_key(table, record): place for place, record in reversed([*enumerate(records)])}
    were, changed = len(records), set[int]()
    for row in rows:
        record = record_of(table, row, found)
        place = place_of.setdefault(_key(table, record), len(records))
        if place == len(records):
            records.append(record)
            continue
        given = {name: getattr(record, name) for name, v in row.values.items() if v is not None}
        edited = replace(records[place], **given)
        if place < were and edited != records[place]:
            changed.add(place)
        records[place] = edited
    lines = {line.name for line in product.lines}
    unread = found.unread(lines, {task.number for task in product.tasks})
    fields: dict[str, Any] = {
        table.path: tuple(records),
        "unread": (*product.unread, *(each for each in unread if each.cell)),
    }
    return TableTaken(
        product=replace(product, **fields),
        added=len(records) - were,
        changed=len(changed),
        findings=found.findings,
    )


def _key(table: Table, record: Any) -> tuple[Any, ...]:
    return tuple(getattr(record, name) for name in table.keys)
