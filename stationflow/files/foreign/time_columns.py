"""The time columns of a stranger's sheet: their unit, evidence for another, every time read."""

import re
from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from stationflow.files.foreign.column_mapping import MappedColumn
from stationflow.files.foreign.foreign_cells import decimal_sign, read_number
from stationflow.files.foreign.foreign_sheet import RawCell, column_letters, stood
from stationflow.files.foreign.foreign_times import UNIT, read_time
from stationflow.files.foreign.headings import heading_unit, names_unkept_unit
from stationflow.files.foreign.import_report import Answers, Report, heading_words, refused
from stationflow.units import TimeUnit, milliseconds, show_time

HUNDREDTHS = re.compile(
    r"1/100\s*min|min\s*/\s*100|0[.,]01\s*min|\bcmin\b|\bHM\b|\bDMH\b|\bTMU\b|hundertstel|"
    r"hundredths?|centi-?min|centi[eè]me|cent[eé]sim",
    re.IGNORECASE,
)
FACTOR = Decimal("0.6")  # seconds in a hundredth of a minute
FACTORS = (FACTOR, 1 / FACTOR)
CLOSE = Decimal("0.02")  # relative: both columns may be rounded
CLOSE_TOTAL = Decimal("0.005")
LEAST_PAIRS = 3
MOST_PAIRS = 500
SHARE_ALIKE = 0.8


class TimeColumn:
    """One time column: asks what must be said, then reads its cells."""

    def __init__(
        self, report: Report, column: MappedColumn, rows: Sequence[int], totals: Sequence[int]
    ) -> None:
        self.report = report
        self.sheet = report.sheet
        self.column = column
        self.totals = totals
        self.spans = self._spans(frozenset(rows))
        sign = decimal_sign(report.raw(row, column) for row in rows)
        known = {"comma": sign} if sign else {}
        # The unit is asked last, with evidence that rests on the numbers.
        answers = report.settle(column, rows, read_time, known | {UNIT: ""})
        self.bare = {
            row: value
            for row in rows
            if read_time(raw := report.raw(row, column), answers).code == UNIT
            and isinstance(value := read_number(raw, answers.get("comma", "")).value, Decimal)
        }
        self.unit = column.unit
        self.answers: Answers = answers | {UNIT: self._unit() if self.bare else self.unit or ""}

    def read(self, row: int) -> int | None:
        """Return the time in a row in milliseconds, and note what was not taken as it stands."""
        reading = read_time(self.report.raw(row, self.column), self.answers)
        if span := self.spans.get(row):
            message = f"The time stands in a cell merged over rows {span}; whose it is, "
            message += "is not said. The tasks come without time."
            reading = refused("merged-time", message, "Give each task its own time.")
        value = reading.value if isinstance(reading.value, int) else None
        became = "" if value is None else f"{value / 1000:g} s"
        self.report.take(row, self.column, reading, became)
        return value

    def _spans(self, tasks: frozenset[int]) -> dict[int, str]:
        """Return for rows whose time is merged over several tasks, over which rows."""
        spans: dict[int, str] = {}
        for m in self.sheet.merged_over(self.column.position):
            covered = [r for r in range(m.first_row, m.last_row + 1) if r in tasks]
            if len(covered) > 1:
                spans |= dict.fromkeys(covered, f"{m.first_row} to {m.last_row}")
        return spans

    def _unit(self) -> str:
        """Ask for the unit when nothing names it, or when something speaks against it."""
        stated = self.unit
        said = [text if text.endswith(".") else f"{text}." for text in self._evidence() if text]
        if stated is not None and not said:
            # What was answered before the unit came from the heading still holds.
            before = self.report.choices.get(f"{UNIT}:{column_letters(self.column.position)}")
            return before if before in set(TimeUnit) else stated
        if stated is not None:
            said = [
                f"They are to be read in {stated.label}, but something speaks against it.",
                *said,
            ]
        row = next((row for row, number in self.bare.items() if number > 0), next(iter(self.bare)))
        example = self.bare[row]
        fits = abs(example) < 10**9
        becomes: dict[str, Any] = {
            u.value: show_time(milliseconds(example, u) if fits else 0) for u in TimeUnit
        }
        return self.report.ask(
            UNIT,
            [row],
            self.column,
            evidence=" ".join(said),
            default=stated,
            heading=heading_words(self.column),
            example=str(example),
            **becomes,
        )

    def _evidence(self) -> list[str]:
        """Return what speaks for another unit than the stated one."""
        said = [names_unkept_unit(self.column.heading)]
        if self.unit not in {TimeUnit.CENTIMINUTE, TimeUnit.TMU}:
            said.append(self._evidence_words())
        return [*said, *self._evidence_columns(), self._evidence_total()]

    def _evidence_words(self) -> str:
        """Return where the sheet speaks of hundredths of a minute or TMU."""
        mapping = self.report.mapping
        # A column that says its own unit speaks for itself only.
        apart = {(mapping.header_row, c.position) for c in mapping.columns if c.unit}
        for number, cells in enumerate(self.sheet.rows[: mapping.first_data_row - 1], start=1):
            for place, raw in enumerate(cells):
                if isinstance(raw, str) and HUNDREDTHS.search(raw) and (number, place) not in apart:
                    return f"{self.sheet.address(number, place)} says {stood(raw)[:60]!r}"
        return ""

    def _evidence_columns(self) -> list[str]:
        """Return the other columns that hold 0.6 times the numbers, or the inverse of that."""
        said: list[str] = []
        for other in self.report.mapping.columns:
            if other.position == self.column.position:
                continue
            pairs = [
                (own, theirs)
                for row, own in list(self.bare.items())[:MOST_PAIRS]
                if own > 0 and (theirs := _number(self.report.raw(row, other))) is not None
            ]
            for factor in FACTORS:
                alike = sum(abs(theirs - own * factor) <= CLOSE * own for own, theirs in pairs)
                is_same = len(pairs) >= LEAST_PAIRS and alike >= SHARE_ALIKE * len(pairs)
                if not is_same or self._explained(factor, other):
                    continue
                own, theirs = pairs[0]
                smaller = "this column" if factor < 1 else "that column"
                said.append(
                    f"Column {column_letters(other.position)} ({other.heading[:40]}) holds "
                    f"{factor:.2g} times the numbers in {alike} of {len(pairs)} rows "
                    f"({own} here, {theirs} there): {smaller} looks like hundredths of a minute, "
                    "the other like seconds"
                )
        return said

    def _explained(self, factor: Decimal, other: MappedColumn) -> bool:
        """Return whether the units said for both columns explain the factor between them."""
        unit = other.unit or heading_unit(other.heading)
        if self.unit is None or unit is None:
            return False
        return abs(Decimal(self.unit.milliseconds) / unit.milliseconds - factor) < CLOSE

    def _evidence_total(self) -> str:
        """Return the total of the sheet that differs from the sum by 0.6 or its inverse."""
        total = sum(self.bare.values(), Decimal(0))
        if total <= 0 or len(self.bare) < LEAST_PAIRS:
            return ""
        for row in self.totals:
            for place, raw in enumerate(self.sheet.rows[row - 1]):
                stated = _number(raw)
                if stated is None:
                    continue
                for factor in FACTORS:
                    if abs(stated - total * factor) <= CLOSE_TOTAL * stated:
                        return (
                            f"The total in {self.sheet.address(row, place)} is {stated}, the sum "
                            f"of the times is {total}: {factor:.2g} times as much, as between "
                            "hundredths of a minute and seconds"
                        )
        return ""


def _number(raw: RawCell) -> Decimal | None:
    """Return the plain number in a cell, or None."""
    value = read_number(raw).value
    return value if isinstance(value, Decimal) else None
