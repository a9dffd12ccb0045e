"""A stranger's sheet as a parts list, with a report by cell and the questions that are open."""

from collections.abc import Collection, Mapping
from decimal import Decimal
from typing import Any

from stationflow.files.foreign.column_mapping import ColumnMapping, MappedColumn, Target
from stationflow.files.foreign.foreign_cells import (
    Reading,
    decimal_sign,
    read_key,
    read_number,
    read_text,
)
from stationflow.files.foreign.foreign_sheet import ForeignSheet, column_letters, stood
from stationflow.files.foreign.import_report import (
    ImportedPart,
    Offer,
    OfferChoice,
    Outcome,
    PartImport,
    Report,
)
from stationflow.files.foreign.row_kinds import RowSorter
from stationflow.files.foreign.task_numbers import Numbering
from stationflow.model import Part, Product
from stationflow.model.schema.cells import tidy

PIECES = frozenset(
    {"pcs", "pc", "pce", "ea", "each", "piece", "pieces", "stk", "st", "stuck", "stück", "pz",
     "szt", "szt.", "un", "ud", "u", "шт", "шт.", "个", "件", "個"}
)  # fmt: skip
"""Words for the unit that needs no word: pieces."""

FIELDS: dict[str, Target] = {
    "name": Target.PART_NAME,
    "quantity": Target.QUANTITY,
    "unit": Target.UNIT,
    "container": Target.CONTAINER,
    "container_quantity": Target.CONTAINER_QUANTITY,
    "weight_g": Target.WEIGHT,
}


def read_part_rows(
    sheet: ForeignSheet,
    mapping: ColumnMapping,
    choices: Mapping[str, str] | None = None,
    product: Product | None = None,
    *,
    left_out: Collection[int] = (),
) -> PartImport:
    """Read a parts list from a stranger's sheet; see `read_task_rows`.

    A column of weights without unit is asked about; weights are kept in grams.
    """
    del product  # a parts list stands alone
    report = Report(sheet, dict(choices or {}))
    sorter = RowSorter(sheet, mapping, report, left_out)
    rows = sorter.sort()
    sorter.say_totals()
    parts = Numbering(sheet, mapping, report).number(rows) if mapping.of(Target.PART_NUMBER) else []
    reader = _PartReader(sheet, mapping, report, [part.row for part in parts])
    return PartImport(
        rows=tuple(reader.read(part.number, part.row) for part in parts),
        report=report.sorted_entries,
        offers=tuple(report.offers.values()),
        unanswered=report.unanswered,
        rows_read=sorter.rows_read,
    )


class _PartReader:
    """Reads the fields of parts."""

    def __init__(
        self, sheet: ForeignSheet, mapping: ColumnMapping, report: Report, rows: list[int]
    ) -> None:
        self.sheet = sheet
        self.report = report
        self.rows = rows
        self.columns = {
            name: column for name, target in FIELDS.items() if (column := mapping.of(target))
        }
        self.decimals: dict[str, str] = {}
        for name in ("quantity", "container_quantity", "weight_g"):
            if name in self.columns:
                self.decimals[name] = self._decimal(self.columns[name])
        self.grams = self._grams()

    def read(self, number: str, row: int) -> ImportedPart:
        """Return the part in a row."""
        fields: dict[str, Any] = {}
        for name, column in self.columns.items():
            raw = self.sheet.cell(row, column.position)
            value: object
            if name in self.decimals:
                value = self._number(name, row, column)
            else:
                reading = read_key(raw) if name in {"unit", "container"} else read_text(raw)
                value = self._noted(row, column, reading)
                if name == "unit" and isinstance(value, str) and value.casefold() in PIECES:
                    value = None  # pieces need no word
            if value not in (None, ""):
                fields[name] = value
        return ImportedPart(part=Part(number=number, **fields), row=row, given=frozenset(fields))

    def _number(self, name: str, row: int, column: MappedColumn) -> float | None:
        """Return a quantity, or a weight in grams."""
        raw = self.sheet.cell(row, column.position)
        reading = read_number(raw, self.decimals[name])
        if name == "weight_g":
            reading = self._weight(reading, str(raw) if isinstance(raw, str) else "")
        if isinstance(reading.value, Decimal) and reading.value < 0:
            message = "It cannot be negative; it was left empty."
            reading = Reading(None, Outcome.ERROR, "negative", message, "Correct the number.")
        value = self._noted(row, column, reading)
        return float(value) if isinstance(value, Decimal) else None

    def _weight(self, reading: Reading, text: str) -> Reading:
        """Return a weight in grams."""
        factor = self.grams
        for unit, own in (("kg", 1000), ("g", 1)):
            if text and tidy(text).casefold().endswith(unit):
                reading = read_number(tidy(text)[: -len(unit)], self.decimals["weight_g"])
                factor = own
                break
        if not isinstance(reading.value, Decimal):
            return reading
        if factor is None:
            message = "The unit of the weight is not said."
            return Reading(None, Outcome.OFFERED, "weight-unit", message, "Choose the unit.")
        return Reading(
            reading.value * factor, reading.severity, reading.code, reading.message, reading.hint
        )

    def _grams(self) -> int | None:
        """Ask for the unit of the weights when their heading does not name it."""
        column = self.columns.get("weight_g")
        if column is None:
            return None
        if column.weight_unit:
            return 1000 if column.weight_unit == "kg" else 1
        cells = [(row, self.sheet.cell(row, column.position)) for row in self.rows]
        bare = [
            (row, raw)
            for row, raw in cells
            if isinstance(read_number(raw, self.decimals["weight_g"]).value, Decimal)
        ]
        if not bare:
            return None
        example = stood(bare[0][1])
        answer = self.report.ask(
            Offer(
                id=f"weight-unit:{column_letters(column.position)}",
                sentence=f"In which unit are the weights under {column.heading[:60]!r}?",
                choices=(
                    OfferChoice(value="g", label=f"Grams: {example} g"),
                    OfferChoice(value="kg", label=f"Kilograms: {example} kg"),
                ),
                cells=(self.sheet.address(bare[0][0], column.position),),
            )
        )
        return {"g": 1, "kg": 1000}.get(answer or "")

    def _decimal(self, column: MappedColumn) -> str:
        """Return the sign before decimals; ask when "1,234" has two meanings."""
        cells = [self.sheet.cell(row, column.position) for row in self.rows]
        sign = decimal_sign(cells)
        unclear = [
            row
            for row, raw in zip(self.rows, cells, strict=True)
            if read_number(raw, sign).code == "thousands-or-decimals"
        ]
        if not unclear:
            return sign
        raw = stood(self.sheet.cell(unclear[0], column.position))
        answer = self.report.ask(
            Offer(
                id=f"comma:{column_letters(column.position)}",
                sentence=f"What does the comma in {raw!r} part?",
                choices=(
                    OfferChoice(value=",", label=f"Decimals: {raw.replace(',', '.')}"),
                    OfferChoice(value=".", label=f"Thousands: {raw.replace(',', '')}"),
                ),
                cells=tuple(self.sheet.address(row, column.position) for row in unclear[:10]),
            )
        )
        return answer or ""

    def _noted(self, row: int, column: MappedColumn, reading: Reading) -> object:
        """Return the value of a reading, and note what was not taken as it stands."""
        if reading.severity:
            became = "" if reading.value is None else str(reading.value)
            self.report.cell(
                reading.severity, reading.code, (row, column.position), reading.message,
                became=became, hint=reading.hint,
            )  # fmt: skip
        return reading.value
