"""What each row of a stranger's sheet is: a task, more of the task above, a total, a heading."""

import re
from collections.abc import Collection
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from stationflow.files.foreign.column_mapping import ColumnMapping, MappedColumn, Target
from stationflow.files.foreign.foreign_cells import is_empty, read_number
from stationflow.files.foreign.foreign_sheet import ForeignSheet, stood
from stationflow.files.foreign.heading_words import TOTAL_WORDS, simplified
from stationflow.files.foreign.import_report import Offer, OfferChoice, Outcome, Report
from stationflow.model.schema.cells import tidy

FURTHER_TARGETS = frozenset(
    {
        Target.STEP,
        Target.KEY_POINT,
        Target.REASON,
        Target.PARTS,
        Target.PART_QUANTITY,
        Target.TOOLS,
        Target.CHECK,
        Target.CAUTION,
        Target.REMARK,
    }
)
HIDDEN = "hidden-rows"
UNNUMBERED = "rows-without-number"
NUMBERS = "numbers"


class RowKind(StrEnum):
    """What a row is."""

    TASK = "task"
    FURTHER = "more of the task above"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """A row that is read.

    Attributes
    ----------
    row
        Row number, from 1.
    kind
        What it is.
    made_number
        A number made for a task that has none in the sheet; empty: it has its own.
    """

    row: int
    kind: RowKind
    made_number: str = ""


class RowSorter:
    """Goes through the rows from top to bottom and says what each is."""

    def __init__(
        self,
        sheet: ForeignSheet,
        mapping: ColumnMapping,
        report: Report,
        left_out: Collection[int],
    ) -> None:
        self.sheet = sheet
        self.mapping = mapping
        self.report = report
        self.left_out = frozenset(left_out)
        is_part = mapping.of(Target.PART_NUMBER) is not None
        self.number = mapping.of(Target.PART_NUMBER if is_part else Target.NUMBER)
        self.name = mapping.of(Target.PART_NAME if is_part else Target.NAME)
        self.amounts = mapping.all_of(Target.QUANTITY if is_part else Target.TIME)
        self.mapped = [c for c in mapping.columns if c.target != Target.LEFT_OUT]
        self.sums: dict[int, Decimal] = {c.position: Decimal(0) for c in self.amounts}
        self.counted = 0
        self.rows: list[SheetRow] = []
        self.totals: list[int] = []
        self.hidden: list[int] = []
        self.unnumbered: list[int] = []
        self.rows_read = 0
        self.headings = self._texts(mapping.header_row) if mapping.header_row else {}
        self.merged_down = self._merged_down()

    def sort(self) -> tuple[SheetRow, ...]:
        """Return the rows that are read, in the order of the sheet."""
        for row in range(self.mapping.first_data_row, len(self.sheet.rows) + 1):
            cells = self.sheet.rows[row - 1]
            if all(is_empty(raw) for raw in cells):
                continue
            self.rows_read += 1
            if row in self.left_out:
                self._leave_out(row, "left-out-by-hand", "The row was ticked off.")
            else:
                self._sort_row(row)
        self._ask_hidden()
        self._ask_unnumbered()
        self._make_numbers()
        return tuple(sorted(self.rows, key=lambda r: r.row))

    def _sort_row(self, row: int) -> None:
        """Say what one row is."""
        texts = self._texts(row)
        if not texts:
            message = "Nothing stands in the columns that are read."
            self._leave_out(row, "nothing-mapped", message)
        elif self._is_heading(texts):
            self._leave_out(row, "headings-again", "The headings stand here once more.")
        elif self._is_total(row, texts):
            self.totals.append(row)
        elif row in self.sheet.hidden_rows:
            self.hidden.append(row)
            self._take(row, texts)
        else:
            self._take(row, texts)

    def _take(self, row: int, texts: dict[int, str]) -> None:
        """Keep a row as a task, or as more of the task above."""
        if self.number is None:
            if self.name is None or self.name.position in texts:
                self._keep(row, RowKind.TASK)
            elif self.rows:
                self.rows.append(SheetRow(row, RowKind.FURTHER))
            return
        if self.number.position in texts:
            self._keep(row, RowKind.TASK)
        elif self._continues(row, texts):
            self.rows.append(SheetRow(row, RowKind.FURTHER))
        elif len(texts) == 1 and not self._has_amount(texts):
            message = "It has no number and one text only, like the heading of a group."
            self._leave_out(row, "group-heading", message, "Give it a number if it is a task.")
        else:
            self.unnumbered.append(row)

    def _continues(self, row: int, texts: dict[int, str]) -> bool:
        """Return whether a row without number belongs to the task above."""
        if not any(r.kind == RowKind.TASK for r in self.rows[-1:]) and not self.rows:
            return False
        if row in self.merged_down:
            return True
        targets = {c.target for c in self.mapped if c.position in texts}
        if Target.PART_NUMBER in {c.target for c in self.mapped}:
            return False
        return bool(targets & FURTHER_TARGETS) and not self._has_amount(texts)

    def _keep(self, row: int, kind: RowKind) -> None:
        """Keep a row, and add its amounts to the sums above a total."""
        self.rows.append(SheetRow(row, kind))
        self.counted += 1
        for position in self.sums:
            self.sums[position] += self._amount(row, position) or 0

    def _amount(self, row: int, position: int) -> Decimal | None:
        """Return the plain number in a cell, or None."""
        value = read_number(self.sheet.cell(row, position), ".").value
        return value if isinstance(value, Decimal) else None

    def _has_amount(self, texts: dict[int, str]) -> bool:
        """Return whether a time, or a quantity of a part, stands in a row."""
        return any(column.position in texts for column in self.amounts)

    def _is_heading(self, texts: dict[int, str]) -> bool:
        """Return whether a row says again what the headings say."""
        same = sum(self.headings.get(place) == text for place, text in texts.items())
        return same >= 2 and same * 2 > len(texts)

    def _is_total(self, row: int, texts: dict[int, str]) -> bool:
        """Return whether a row is a total: by its word, or by its sum where it has no number."""
        number = texts.get(self.number.position, "") if self.number else ""
        if number and not _says_total(number):
            return False  # what has a number of its own is a task
        has_word = any(_says_total(text) for text in texts.values())
        is_sum = self.counted > 1 and any(
            self._amount(row, position) == total and total > 0
            for position, total in self.sums.items()
        )
        few = len(texts) <= max(2, len(self.amounts) + 1)
        return (has_word and (few or is_sum)) or (
            is_sum and not number and self.number is not None and few
        )

    def _texts(self, row: int) -> dict[int, str]:
        """Return the texts of the mapped cells of a row that are filled, by position."""
        cells = self.sheet.rows[row - 1] if row <= len(self.sheet.rows) else ()
        return {
            c.position: tidy(stood(cells[c.position]))
            for c in self.mapped
            if c.position < len(cells) and not is_empty(cells[c.position])
        }

    def _merged_down(self) -> frozenset[int]:
        """Return the rows whose number cell is merged with the one above."""
        if self.number is None:
            return frozenset()
        place = self.number.position
        return frozenset(
            row
            for m in self.sheet.merged
            if m.first_column <= place <= m.last_column
            for row in range(m.first_row + 1, min(m.last_row, len(self.sheet.rows)) + 1)
        )

    def _leave_out(self, row: int, code: str, message: str, hint: str = "") -> None:
        """Note that a row was left out."""
        self.report.cell(Outcome.LEFT_OUT, code, (row, None), message, hint=hint)

    def say_totals(self) -> None:
        """Note the totals, which were left out."""
        for row in self.totals:
            message = "A total of the rows above, by its word or its sum; it is no task."
            hint = "Give it a number if it is a task."
            self._leave_out(row, "total-row", message, hint)

    def _ask_hidden(self) -> None:
        """Ask whether hidden rows are read."""
        if not self.hidden:
            return
        answer = self.report.ask(
            Offer(
                id=HIDDEN,
                sentence=f"{_count(self.hidden)} hidden in the sheet. To be read?",
                evidence="Hidden is not deleted; somebody may have filtered the sheet.",
                choices=(
                    OfferChoice(value="read", label="Read"),
                    OfferChoice(value="leave-out", label="Leave out"),
                ),
                default="read",
                cells=self._addresses(self.hidden),
            )
        )
        if answer == "leave-out":
            self.rows = [r for r in self.rows if r.row not in set(self.hidden)]
            self.unnumbered = [r for r in self.unnumbered if r not in set(self.hidden)]
        for row in self.hidden:
            if answer == "leave-out":
                self._leave_out(row, "hidden-row", "The row is hidden in the sheet.")
            else:
                message = "The row is hidden in the sheet; it was read."
                self.report.cell(Outcome.NOTED, "hidden-row", (row, None), message, became="read")

    def _ask_unnumbered(self) -> None:
        """Ask whether rows that look like tasks but have no number get one."""
        if not self.unnumbered:
            return
        what = "part" if self.mapping.of(Target.PART_NUMBER) else "task"
        choices = [OfferChoice(value="leave-out", label="Leave them out")]
        if what == "task":
            label = "Number them after the task above: 30-1, 30-2"
            choices.insert(0, OfferChoice(value="number", label=label))
        answer = self.report.ask(
            Offer(
                id=UNNUMBERED,
                sentence=f"{_count(self.unnumbered)} without a number, but filled like a {what}.",
                choices=tuple(choices),
                default="leave-out" if len(choices) == 1 else None,
                cells=self._addresses(self.unnumbered),
            )
        )
        for row in self.unnumbered:
            if answer == "number":
                self.rows.append(SheetRow(row, RowKind.TASK, made_number="?"))
            else:
                severity = Outcome.LEFT_OUT if answer else Outcome.OFFERED
                message = f"The row has no {what} number; it was left out."
                hint = "Give it a number." if answer else "Say whether it gets a number."
                self.report.cell(severity, "row-without-number", (row, None), message, hint=hint)

    def _make_numbers(self) -> None:
        """Make numbers where the sheet has none."""
        self.rows.sort(key=lambda r: r.row)
        if self.number is None:
            if not self.rows:
                return
            choices = (("10", "10, 20, 30"), ("1", "1, 2, 3"))
            offer = Offer(
                id=NUMBERS,
                sentence="No column holds task numbers. How should the tasks be numbered?",
                choices=tuple(OfferChoice(value=v, label=text) for v, text in choices),
                default="10",
            )
            step = int(self.report.ask(offer) or 10)
            count = 0
            for place, row in enumerate(self.rows):
                if row.kind == RowKind.TASK:
                    count += step
                    self.rows[place] = SheetRow(row.row, row.kind, str(count))
            return
        column: MappedColumn = self.number
        taken = {tidy(stood(self.sheet.cell(r.row, column.position))) for r in self.rows}
        above, made = "0", 0
        for place, row in enumerate(self.rows):
            if row.made_number == "?":
                made += 1
                while f"{above}-{made}" in taken:
                    made += 1
                self.rows[place] = SheetRow(row.row, row.kind, f"{above}-{made}")
            elif row.kind == RowKind.TASK:
                above, made = tidy(stood(self.sheet.cell(row.row, column.position))), 0

    def _addresses(self, rows: list[int]) -> tuple[str, ...]:
        """Return the addresses of the first few rows."""
        return tuple(self.sheet.address(row) for row in rows[:10])


def _says_total(text: str) -> bool:
    """Return whether a text begins or ends with a word for a total and says little else."""
    if len(text) > 60 or text.isdecimal():
        return False  # told quickly
    words = simplified(re.sub(r"[\u2211\u03a3\u03c3]", " sum ", text)).split()
    return 0 < len(words) <= 4 and (words[0] in TOTAL_WORDS or words[-1] in TOTAL_WORDS)


def _count(rows: list[int]) -> str:
    """Return how many rows there are, as the start of a sentence."""
    return "One row is" if len(rows) == 1 else f"{len(rows)} rows are"
