"""What texts outside the records say: titles, units below headings, notes, totals, sheet name."""

from stationflow.files.foreign.column_mapping import MappedColumn
from stationflow.files.foreign.import_report import Report

LONGEST = 200
MOST_TEXTS = 400


class Speech:
    """The texts of a sheet that stand outside its tasks or parts."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.sheet = report.sheet
        mapping = report.mapping
        records = report.record_rows
        headings = range(mapping.header_row, mapping.first_data_row) if mapping.header_row else ()
        again = report.heading_rows
        self.rows = [
            row
            for row in range(1, len(self.sheet.rows) + 1)
            if row not in records and row not in headings and row not in again
        ]
        self.units_rows = [row for row in headings if row != mapping.header_row] + [
            row for row in self.rows if row > mapping.header_row
        ]
        self.placed = [
            (self.sheet.address(row, place), raw)
            for row in self.rows
            for place, raw in enumerate(self.sheet.rows[row - 1])
            if isinstance(raw, str) and len(raw) <= LONGEST
        ][:MOST_TEXTS]
        self.placed += [
            (f"The comment on {self.sheet.address(row, place)}", text)
            for row, place, text in self.sheet.comments
            if len(text) <= LONGEST
        ]
        if self.sheet.name:
            self.placed.append(("The name of the sheet", self.sheet.name))

    @property
    def outside(self) -> list[str]:
        """The texts."""
        return [text for _, text in self.placed]

    def below(self, column: MappedColumn) -> list[str]:
        """Return what stands in a column below its heading, in rows that are no records."""
        cells = (self.sheet.cell(row, column.position) for row in self.units_rows)
        return [raw for raw in cells if isinstance(raw, str) and len(raw) <= LONGEST]
