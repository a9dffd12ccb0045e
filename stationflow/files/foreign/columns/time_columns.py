"""The time columns of a stranger's sheet: their unit, evidence for another, every time read."""

from bisect import bisect_right
from collections.abc import Sequence
from decimal import Decimal
from fractions import Fraction
from functools import cached_property
from math import floor
from typing import Any

from stationflow.files.foreign.column_mapping import TIME_TARGETS, MappedColumn
from stationflow.files.foreign.columns.foreign_cells import decimal_sign, is_empty, read_number
from stationflow.files.foreign.columns.foreign_times import PARTED_TIMES, UNIT, read_time
from stationflow.files.foreign.columns.headings import heading_unit, names_unkept_unit
from stationflow.files.foreign.columns.piece_factors import Factors
from stationflow.files.foreign.columns.sheet_speech import Speech
from stationflow.files.foreign.columns.spoken_units import (
    HOURS_MINUTES,
    HUNDREDTHS,
    MINUTES_SECONDS,
    spoken_units,
    unit_of_word,
)
from stationflow.files.foreign.foreign_sheet import RawCell, ShownNumber, column_letters, stood
from stationflow.files.foreign.heading_words import UNIT_PHRASES
from stationflow.files.foreign.import_report import (
    Answers,
    Reading,
    Report,
    changed,
    heading_words,
    offered,
    refused,
)
from stationflow.units import TimeUnit, milliseconds

FACTOR = Decimal("0.6")  # seconds in a hundredth of a minute
FACTORS = (FACTOR, 1 / FACTOR)
TOTAL_FACTORS = (
    *FACTORS, Decimal(60), Decimal(1) / 60, Decimal(100), Decimal("0.01"), Decimal(10),
    Decimal("0.1"), Decimal(3600), Decimal(1) / 3600, Decimal("0.036"), 1 / Decimal("0.036"),
    Decimal(1000), Decimal("0.001"),
)  # fmt: skip
CLOSE = Decimal("0.02")  # relative: both columns may be rounded
CLOSE_TOTAL = Decimal("0.005")
LEAST_PAIRS = 3
MOST_PAIRS = 500
SHARE_ALIKE = 0.8


class TimeColumn:
    """One time column: asks what must be said, then reads its cells."""

    def __init__(
        self,
        report: Report,
        column: MappedColumn,
        rows: Sequence[int],
        totals: Sequence[int],
        speech: Speech,
    ) -> None:
        self.report = report
        self.sheet = report.sheet
        self.column = column
        self.totals = totals
        self.speech = speech
        self.spans = self._spans(frozenset(rows))
        sign = decimal_sign(report.raw(row, column) for row in rows)
        known = {"comma": sign} if sign else {}
        if column.unit in {TimeUnit.SECOND, TimeUnit.MINUTE} or self._says(MINUTES_SECONDS):
            known["colon"] = "m:ss"  # 1:15 under such a heading has one meaning
        if self._says(HOURS_MINUTES):
            known.pop("colon", None)
        self.parted = self._parted(rows)
        # The unit is asked last, with evidence that rests on the numbers.
        answers = report.settle(column, rows, read_time, known | {UNIT: ""})
        self.answers: Answers = answers
        self.bare = {
            row: value
            for row in rows
            if self.parted is None
            and read_time(raw := report.raw(row, column), answers).code == UNIT
            and isinstance(value := read_number(raw, answers.get("comma", "")).value, Decimal)
        }
        self.rate = report.rates.get(column.position)
        self.unit = TimeUnit.HOUR if self.rate else column.unit or self._shown_unit()
        self.starts = self._starts()
        self.units = self._units()
        self.factors = Factors(report, column, rows, speech, "times")

    def read(self, row: int) -> int | None:
        """Return the time in a row in milliseconds, and note what was not taken as it stands."""
        raw = self.report.raw(row, self.column)
        reading = self._read(row, raw)
        if isinstance(ms := reading.value, int):

            def scaled(factor: Fraction) -> int:
                return floor(Fraction(ms) * factor + Fraction(1, 2))

            reading = self.factors.applied(row, reading, scaled)
        if span := self.spans.get(row):
            message = f"The time stands in a cell merged over rows {span}; whose it is, "
            message += "is not said. The tasks come without time."
            reading = refused("merged-time", message, "Give each task its own time.")
        value = reading.value if isinstance(reading.value, int) else None
        became = "" if value is None else f"{value / 1000:g} s"
        self.report.take(row, self.column, reading, became)
        return value

    def _read(self, row: int, raw: RawCell) -> Reading:
        """Read one time in the unit of its row."""
        if self.rate:
            return self._of_rate(raw, self.rate)
        if self.parted is not None:
            if not self.parted and not is_empty(raw):
                return offered("", PARTED_TIMES, "Which parts the time has is not said.")
            return read_time(raw, {**self.answers, PARTED_TIMES: self.parted})
        unit = self.units.get(row, self.unit or "")
        reading = read_time(raw, {**self.answers, UNIT: unit})
        if row in self.units and unit and self.unit != unit and not reading.severity:
            return changed(reading.value, "unit-of-row", f"Read in {TimeUnit(unit).label}.")
        return reading

    def _of_rate(self, raw: RawCell, period_ms: int) -> Reading:
        """Return the time of one where so many are made in a period."""
        reading = read_number(raw, self.answers.get("comma", ""))
        if not isinstance(reading.value, Decimal):
            return reading
        if reading.value <= 0:
            return refused("no-rate", "Of none, or less, no time of one follows.")
        ms = milliseconds(period_ms / reading.value / 1000)
        return changed(ms, "rate", f"Taken from the rate: {ms / 1000:g} s for one.")

    def _says(self, pattern: Any) -> bool:
        """Return whether the heading, what stands below it, or a text of the sheet has a form."""
        texts = [self.column.heading, *self.speech.below(self.column), *self.speech.outside]
        return any(pattern.search(text) for text in texts)

    def _parted(self, rows: Sequence[int]) -> str | None:
        """Ask whether seconds stand behind the sign; None: nothing says so."""
        numbers = [
            row
            for row in rows
            if isinstance(read_number(self.report.raw(row, self.column), ".").value, Decimal)
            or isinstance(read_number(self.report.raw(row, self.column), ",").value, Decimal)
        ]
        if not numbers or not self._says(MINUTES_SECONDS):
            return None
        row = next((r for r in numbers if "," in self._stood(r) or "." in self._stood(r)), 0)
        row = row or numbers[0]
        raw, shown = self.report.raw(row, self.column), {}
        for name, said in (("parts", "m,ss"), ("decimals", "min")):
            ms = read_time(raw, {PARTED_TIMES: said}).value
            shown[name] = _words(ms) if isinstance(ms, int) else "no time"
        return self.report.ask(
            PARTED_TIMES,
            numbers,
            self.column,
            heading=heading_words(self.column),
            example=self._stood(row),
            parts=shown["parts"],
            decimals=shown["decimals"],
        )

    def _stood(self, row: int) -> str:
        return stood(self.report.raw(row, self.column))

    def _spans(self, tasks: frozenset[int]) -> dict[int, str]:
        """Return for rows whose time is merged over several tasks, over which rows."""
        spans: dict[int, str] = {}
        for m in self.sheet.merged_over(self.column.position):
            covered = [r for r in range(m.first_row, m.last_row + 1) if r in tasks]
            if len(covered) > 1:
                spans |= dict.fromkeys(covered, f"{m.first_row} to {m.last_row}")
        return spans

    def _shown_unit(self) -> TimeUnit | None:
        """Return the one unit that the number formats of all bare cells write, or None."""
        shown = {self._unit_shown(row) for row in self.bare}
        return shown.pop() if len(shown) == 1 else None

    def _unit_shown(self, row: int) -> TimeUnit | None:
        """Return the unit that the number format of a cell writes behind the number."""
        raw = self.report.raw(row, self.column)
        if not isinstance(raw, ShownNumber):
            return None
        return UNIT_PHRASES.get(raw.shown.partition(" ")[2].casefold())

    def _starts(self) -> list[tuple[int, str, TimeUnit | None]]:
        """Return where headings stand again with another unit: row, heading, unit."""
        found: list[tuple[int, str, TimeUnit | None]] = []
        for row in sorted(self.report.heading_rows):
            text = stood(self.sheet.cell(row, self.column.position))
            unit = heading_unit(text) if text else None
            found.append((row, text, unit or self.unit))
        return found

    def _units(self) -> dict[int, str]:
        """Return the unit of each bare number; empty: it is not said yet."""
        if not self.bare:
            return {}
        groups: dict[int, list[int]] = {}
        starts = [row for row, _, _ in self.starts]
        for row in self.bare:
            place = bisect_right(starts, row) - 1
            own = place >= 0 and self.starts[place][2] != self.unit
            groups.setdefault(place if own else -1, []).append(row)
        units: dict[int, str] = {}
        for place, rows in sorted(groups.items()):
            said = (
                self._unit(rows) if place < 0 else self._unit_below(rows, *self.starts[place][:2])
            )
            units |= dict.fromkeys(rows, said)
        return units | self._row_units()

    def _unit_below(self, rows: list[int], start: int, text: str) -> str:
        """Ask for the unit below headings that stand again with another one."""
        before = self.unit.label if self.unit else "no unit"
        evidence = f"{self.sheet.address(start, self.column.position)} says {text[:60]!r}, the "
        evidence += f"headings above say {before}."
        return self._ask(f"{UNIT}:{start}", rows, evidence, repr(text[:60]))

    def _row_units(self) -> dict[int, str]:
        """Return the unit of each row where a column beside the times names it, when that is so."""
        other, named = self._unit_column
        if other is None or all(self.unit == unit for unit in named.values()):
            return {}
        if self.unit is not None:
            row = next(row for row, unit in named.items() if unit != self.unit)
            number = self.bare[row]
            answer = self.report.ask(
                "unit-column",
                list(named),
                other,
                other=f"{column_letters(other.position)} ({other.heading[:40]})",
                example=str(number),
                theirs=_words(milliseconds(number, named[row])),
                ours=_words(milliseconds(number, self.unit)),
                stated=self.unit.label,
            )
            if answer == "as-it-stands":
                return {}
            if not answer:
                return dict.fromkeys(named, "")
        return {row: unit.value for row, unit in named.items()}

    @cached_property
    def _unit_column(self) -> tuple[MappedColumn | None, dict[int, TimeUnit]]:
        """Return the column that names a unit of time in most rows, and the units by row."""
        for other in self.report.mapping.columns:
            if other.target in TIME_TARGETS:
                continue
            texts = {row: stood(self.report.raw(row, other)) for row in self.bare}
            filled = {row: text for row, text in texts.items() if text.strip()}
            named = {row: u for row, t in filled.items() if (u := unit_of_word(t)) is not None}
            if named and len(named) >= SHARE_ALIKE * len(filled):
                return other, named
        return None, {}

    def _unit(self, rows: list[int]) -> str:
        """Ask for the unit when nothing names it, or when something speaks against it."""
        if self.rate:
            return TimeUnit.HOUR.value
        stated = self.unit
        other, named = self._unit_column
        if stated is None and other is not None and len(named) == len(self.bare):
            return ""  # each row has its own
        said = [text if text.endswith(".") else f"{text}." for text in self._evidence() if text]
        if stated is not None and not said:
            # What was answered before the unit came from the heading still holds.
            before = self.report.choices.get(f"{UNIT}:{column_letters(self.column.position)}")
            return before if before in set(TimeUnit) else stated
        if stated is not None:
            said = [
                f"They would be read in {stated.label}, but something speaks against it.",
                *said,
            ]
        return self._ask(UNIT, rows, " ".join(said), heading_words(self.column))

    def _ask(self, kind: str, rows: list[int], evidence: str, heading: str) -> str:
        """Ask for the unit of some rows, with what the first number would be in each."""
        row = next((row for row in rows if self.bare[row] > 0), rows[0])
        example = self.bare[row]
        fits = abs(example) < 10**9
        becomes: dict[str, Any] = {
            u.value: _words(milliseconds(example, u) if fits else 0) for u in TimeUnit
        }
        return self.report.ask(
            kind,
            rows,
            self.column,
            evidence=evidence,
            heading=heading,
            example=str(example),
            **becomes,
        )

    def _evidence(self) -> list[str]:
        """Return what speaks for another unit than the stated one."""
        return [
            names_unkept_unit(self.column.heading),
            self._evidence_texts(),
            self._evidence_below(),
            self._evidence_shown(),
            *self._evidence_columns(),
            self._evidence_total(),
        ]

    def _evidence_texts(self) -> str:
        """Return where a text of the sheet speaks of another unit."""
        mapping = self.report.mapping
        # A column that says its own unit speaks for itself only.
        apart = {c.position for c in mapping.columns if c.unit}
        headings = [
            (self.sheet.address(mapping.header_row, place), raw)
            for place, raw in enumerate(self.sheet.rows[mapping.header_row - 1])
            if mapping.header_row and isinstance(raw, str) and place not in apart
            if HUNDREDTHS.search(raw)
        ]
        for place, text in (*headings, *self.speech.placed):
            units = spoken_units(text)
            is_other = bool(units) and units != [self.unit]
            is_hundredths = HUNDREDTHS.search(text) and self.unit not in {
                TimeUnit.CENTIMINUTE,
                TimeUnit.TMU,
            }
            if is_other or is_hundredths:
                return f"{place} says {text[:60]!r}"
        return ""

    def _evidence_below(self) -> str:
        """Return what stands below the heading, in a row that is no record, as another unit."""
        for row in self.speech.units_rows:
            text = stood(self.sheet.cell(row, self.column.position))
            if text and unit_of_word(text) not in {None, self.unit}:
                address = self.sheet.address(row, self.column.position)
                return f"{address}, below the heading, says {text[:30]!r}"
        return ""

    def _evidence_shown(self) -> str:
        """Return which cell is shown with another unit by its number format."""
        for row in self.bare:
            if self._unit_shown(row) not in {None, self.unit}:
                address = self.sheet.address(row, self.column.position)
                return f"{address} is shown as {self._stood(row)!r}"
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

    def _differs(self, raw: RawCell, total: Decimal) -> bool:
        """Return whether a total names its unit and is another time than the sum."""
        ms = read_time(raw, {}).value
        if self.unit is None or not isinstance(ms, int):
            return False
        own = total * self.unit.milliseconds
        return abs(ms - own) > CLOSE * max(own, Decimal(ms))

    def _evidence_total(self) -> str:
        """Return the total of the sheet that differs from the sum as units of time do."""
        total = sum(self.bare.values(), Decimal(0))
        if total <= 0 or len(self.bare) < LEAST_PAIRS:
            return ""
        for row in self.totals:
            for place, raw in enumerate(self.sheet.rows[row - 1]):
                stated = _number(raw)
                if stated is None:
                    if self._differs(raw, total):
                        address = self.sheet.address(row, place)
                        return f"The total in {address} is {stood(raw)}, the sum here is {total}"
                    continue
                for factor in TOTAL_FACTORS:
                    if abs(stated - total * factor) <= CLOSE_TOTAL * stated:
                        return (
                            f"The total in {self.sheet.address(row, place)} is {stated}, the sum "
                            f"of the times is {total}: {factor:.2g} times as much, as between "
                            "two units of time"
                        )
        return ""


def _number(raw: RawCell) -> Decimal | None:
    """Return the plain number in a cell, or None."""
    value = read_number(raw).value
    return value if isinstance(value, Decimal) else None


def _words(ms: int) -> str:
    """Return a time as it is said in a question: no digit is lost."""
    return f"{ms / 1000:g} s"
