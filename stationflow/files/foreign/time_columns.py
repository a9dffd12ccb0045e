"""The time columns of a stranger's sheet: their unit, evidence for another, every time read."""

import re
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from stationflow.files.foreign.column_mapping import ColumnMapping, MappedColumn
from stationflow.files.foreign.foreign_cells import decimal_sign, read_number
from stationflow.files.foreign.foreign_sheet import ForeignSheet, column_letters, stood
from stationflow.files.foreign.foreign_times import TimeRules, read_time
from stationflow.files.foreign.headings import heading_unit, names_unkept_unit
from stationflow.files.foreign.import_report import Offer, OfferChoice, Outcome, Report
from stationflow.units import TimeUnit, milliseconds, show_time

HUNDREDTHS = re.compile(
    r"1/100\s*min|min\s*/\s*100|0[.,]01\s*min|\bcmin\b|\bHM\b|\bDMH\b|\bTMU\b|hundertstel|"
    r"hundredths?|centi-?min|centi[eè]me|cent[eé]sim",
    re.IGNORECASE,
)
FACTOR = Decimal("0.6")  # seconds in a hundredth of a minute
CLOSE = Decimal("0.02")  # relative: both columns may be rounded
LEAST_PAIRS = 3
SHARE_ALIKE = 0.8


class TimeColumn:
    """One time column: asks what must be said, then reads its cells."""

    def __init__(
        self,
        sheet: ForeignSheet,
        mapping: ColumnMapping,
        column: MappedColumn,
        rows: Sequence[int],
        totals: Sequence[int],
        report: Report,
    ) -> None:
        self.sheet = sheet
        self.mapping = mapping
        self.column = column
        self.rows = rows
        self.totals = totals
        self.report = report
        self.letters = column_letters(column.position)
        self.spans = self._spans()
        cells = [sheet.cell(row, column.position) for row in rows]
        self.rules = TimeRules(unit=column.unit or mapping.time_unit, decimal=decimal_sign(cells))

    def ask(self) -> None:
        """Ask for what the cells do not tell, and keep the answers."""
        needs = self._needs()
        if "thousands-or-decimals" in needs:
            self._ask_decimal(needs["thousands-or-decimals"])
        self._ask_unit()
        if not needs:
            return
        needs = self._needs()
        if "clock" in needs:
            self._ask_clock(needs["clock"])
        if "date" in needs:
            self._ask_date(needs["date"])

    def read(self, row: int) -> int | None:
        """Return the time in a row in milliseconds, and note what was not taken as it stands."""
        place = (row, self.column.position)
        merged = self.spans.get(row, "")
        if merged:
            message = f"The time stands in a cell merged over rows {merged}; whose it is, "
            message += "is not said. The tasks come without time."
            hint = "Give each task its own time."
            self.report.cell(Outcome.ERROR, "merged-time", place, message, hint=hint)
            return None
        reading = read_time(self.sheet.cell(*place), self.rules)
        value = reading.value if isinstance(reading.value, int) else None
        if reading.severity:
            self.report.cell(
                reading.severity,
                reading.code,
                place,
                reading.message,
                became="" if value is None else f"{value / 1000:g} s",
                hint=reading.hint,
            )
        return value

    def _needs(self) -> dict[str, list[int]]:
        """Return the rows whose time cannot be read before something is said, by what."""
        needs: dict[str, list[int]] = {}
        for row in self.rows:
            reading = read_time(self.sheet.cell(row, self.column.position), self.rules)
            if reading.severity == Outcome.OFFERED:
                needs.setdefault(reading.code, []).append(row)
        return needs

    def _spans(self) -> dict[int, str]:
        """Return for rows whose time is merged over several tasks, over which rows."""
        place = self.column.position
        tasks = frozenset(self.rows)
        spans: dict[int, str] = {}
        for m in self.sheet.merged:
            if m.first_column <= place <= m.last_column:
                covered = [r for r in range(m.first_row, m.last_row + 1) if r in tasks]
                if len(covered) > 1:
                    spans |= dict.fromkeys(covered, f"{m.first_row} to {m.last_row}")
        return spans

    def _ask_unit(self) -> None:
        """Ask for the unit when nothing names it, or when something speaks against it."""
        bare = self._bare_numbers()
        if not bare:
            return
        stated = self.rules.unit
        evidence = self._evidence(bare)
        if stated is not None and not evidence:
            offer_id = f"time-unit:{self.letters}"
            if (chosen := self.report.choices.get(offer_id)) in set(TimeUnit):
                self.rules = replace(self.rules, unit=TimeUnit(chosen))
            return
        row, example = next(((r, n) for r, n in bare.items() if n > 0), next(iter(bare.items())))
        heading = self.column.heading or f"column {self.letters}"
        if stated is None:
            sentence = f"In which unit are the times under {heading[:60]!r}?"
        else:
            sentence = (
                f"The times under {heading[:60]!r} are to be read in {stated.label}, "
                "but something speaks against it. Which unit is right?"
            )
        answer = self.report.ask(
            Offer(
                id=f"time-unit:{self.letters}",
                sentence=sentence,
                evidence=evidence,
                choices=tuple(_unit_choice(unit, example) for unit in TimeUnit),
                default=stated,
                cells=(self.sheet.address(row, self.column.position),),
            )
        )
        if answer is not None:
            self.rules = replace(self.rules, unit=TimeUnit(answer))

    def _bare_numbers(self) -> dict[int, Decimal]:
        """Return the times that stand without unit, by row."""
        in_seconds = replace(self.rules, unit=None)
        found: dict[int, Decimal] = {}
        for row in self.rows:
            raw = self.sheet.cell(row, self.column.position)
            if read_time(raw, in_seconds).code == "time-unit":
                value = read_number(raw, self.rules.decimal).value
                if isinstance(value, Decimal):
                    found[row] = value
        return found

    def _evidence(self, bare: dict[int, Decimal]) -> str:
        """Return what speaks for another unit than the stated one, in sentences; or nothing."""
        said = [names_unkept_unit(self.column.heading)]
        if self.rules.unit not in {TimeUnit.CENTIMINUTE, TimeUnit.TMU}:
            said.append(self._evidence_words())
        said += self._evidence_columns(bare)
        said.append(self._evidence_total(bare))
        return " ".join(text if text.endswith(".") else f"{text}." for text in said if text)

    def _evidence_words(self) -> str:
        """Return where the sheet speaks of hundredths of a minute or TMU."""
        last = max(self.mapping.first_data_row - 1, 0)
        for number, cells in enumerate(self.sheet.rows[:last], start=1):
            for place, raw in enumerate(cells):
                column = self._mapped(place)
                if number == self.mapping.header_row and column and column.unit:
                    continue  # that column says its own unit
                match = HUNDREDTHS.search(raw) if isinstance(raw, str) else None
                if match:
                    address = self.sheet.address(number, place)
                    return f"{address} says {stood(raw)[:60]!r}"
        return ""

    def _mapped(self, place: int) -> MappedColumn | None:
        """Return the column at a position."""
        return next((c for c in self.mapping.columns if c.position == place), None)

    def _evidence_columns(self, bare: dict[int, Decimal]) -> list[str]:
        """Return the other columns that hold 0.6 times the numbers, or the inverse of that."""
        said: list[str] = []
        for other in self.mapping.columns:
            if other.position == self.column.position:
                continue
            unit = other.unit or heading_unit(other.heading)
            pairs = self._pairs(bare, other.position)
            for factor in (FACTOR, 1 / FACTOR):
                alike = sum(abs(theirs - own * factor) <= CLOSE * own for own, theirs in pairs)
                if len(pairs) < LEAST_PAIRS or alike < SHARE_ALIKE * len(pairs):
                    continue
                if self._explained(factor, unit):
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

    def _pairs(self, bare: dict[int, Decimal], place: int) -> list[tuple[Decimal, Decimal]]:
        """Return the numbers above zero of this column and of another, side by side."""
        pairs = []
        for row, own in list(bare.items())[:500]:
            theirs = read_number(self.sheet.cell(row, place)).value
            if isinstance(theirs, Decimal) and own > 0:
                pairs.append((own, theirs))
        return pairs

    def _explained(self, factor: Decimal, other: TimeUnit | None) -> bool:
        """Return whether the units said for both columns explain the factor between them."""
        if self.rules.unit is None or other is None:
            return False
        ratio = Decimal(self.rules.unit.milliseconds) / other.milliseconds
        return abs(ratio - factor) < CLOSE

    def _evidence_total(self, bare: dict[int, Decimal]) -> str:
        """Return the total of the sheet that differs from the sum by 0.6 or its inverse."""
        total = sum(bare.values(), Decimal(0))
        if total <= 0 or len(bare) < LEAST_PAIRS:
            return ""
        for row in self.totals:
            for place, raw in enumerate(self.sheet.rows[row - 1]):
                stated = read_number(raw).value
                if not isinstance(stated, Decimal):
                    continue
                for factor in (FACTOR, 1 / FACTOR):
                    if abs(stated - total * factor) <= Decimal("0.005") * stated:
                        return (
                            f"The total in {self.sheet.address(row, place)} is {stated}, the sum "
                            f"of the times is {total}: {factor:.2g} times as much, as between "
                            "hundredths of a minute and seconds"
                        )
        return ""

    def _ask_decimal(self, rows: list[int]) -> None:
        """Ask whether the comma in "1,234" parts thousands or decimals."""
        raw = stood(self.sheet.cell(rows[0], self.column.position))
        answer = self.report.ask(
            Offer(
                id=f"comma:{self.letters}",
                sentence=f"What does the comma in {raw!r} part?",
                choices=(
                    OfferChoice(value=",", label=f"Decimals: {raw.replace(',', '.')}"),
                    OfferChoice(value=".", label=f"Thousands: {raw.replace(',', '')}"),
                ),
                cells=self._addresses(rows),
            )
        )
        self.rules = replace(self.rules, decimal=answer or "")

    def _ask_clock(self, rows: list[int]) -> None:
        """Ask whether a cell that shows 1:15 means minutes and seconds."""
        raw = stood(self.sheet.cell(rows[0], self.column.position))
        answer = self.report.ask(
            Offer(
                id=f"clock:{self.letters}",
                sentence=f"Times kept as clock time stand in the sheet, like {raw}. What is meant?",
                evidence="Who types 1:15 for 75 seconds gets a cell of 1 hour 15 minutes.",
                choices=(
                    OfferChoice(value="m:ss", label="Minutes and seconds: 1:15 is 75 s"),
                    OfferChoice(value="h:mm", label="Hours and minutes: 1:15 is 4500 s"),
                ),
                cells=self._addresses(rows),
            )
        )
        self.rules = replace(self.rules, clock=answer or "")

    def _ask_date(self, rows: list[int]) -> None:
        """Ask what was typed where a spreadsheet program made a date."""
        raw = stood(self.sheet.cell(rows[0], self.column.position))
        answer = self.report.ask(
            Offer(
                id=f"date-times:{self.letters}",
                sentence=f"Times have become dates, like {raw}. What was typed?",
                choices=(
                    OfferChoice(value="day", label="Day first: 1.5 became 1 May"),
                    OfferChoice(value="month", label="Month first: 1.5 became 5 January"),
                    OfferChoice(value="leave-out", label="Leave these times empty"),
                ),
                cells=self._addresses(rows),
            )
        )
        self.rules = replace(self.rules, date=answer if answer in {"day", "month"} else "")

    def _addresses(self, rows: list[int]) -> tuple[str, ...]:
        """Return the addresses of the first few cells."""
        return tuple(self.sheet.address(row, self.column.position) for row in rows[:10])


def _unit_choice(unit: TimeUnit, example: Decimal) -> OfferChoice:
    """Return a unit to choose, with what an example becomes in it."""
    time_ms = milliseconds(example, unit) if abs(example) < 10**9 else 0
    return OfferChoice(value=unit, label=f"{unit.label}: {example} is {show_time(time_ms)}")
