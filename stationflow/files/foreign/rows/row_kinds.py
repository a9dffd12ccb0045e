"""What each row of a stranger's sheet is: a task, more of the task above, a total, a heading."""

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from enum import StrEnum

from stationflow.files.foreign.column_mapping import MappedColumn, TableKind, Target
from stationflow.files.foreign.columns.foreign_cells import is_empty, read_number
from stationflow.files.foreign.columns.headings import heading_weight
from stationflow.files.foreign.foreign_sheet import stood
from stationflow.files.foreign.heading_words import TOTAL_WORDS, simplified
from stationflow.files.foreign.import_report import (
    Report,
    left_out,
    noted,
    offered,
)
from stationflow.model.schema.cells import tidy

# What rows below a task may add to it.
FURTHER_TARGETS = frozenset(
    {
        Target.STEP, Target.KEY_POINT, Target.REASON, Target.PARTS, Target.PART_QUANTITY,
        Target.TOOLS, Target.CHECK, Target.CAUTION, Target.REMARK,
    }
)  # fmt: skip


SURE_TARGETS = frozenset(
    {Target.TIME, Target.MODEL_TIME, Target.PREDECESSORS, Target.FOLLOWERS, Target.QUANTITY}
)
"""What only a task or part has, and no title or note."""
NOTE_SIGNS = "*\u2020\u2021\u00b9\u00b2\u00b3("
DIGIT = re.compile(r"\d")
LEAST_HEADING = 6  # as much as two headings that are known word by word
LISTED = re.compile(r"[;,\s]+")


class RowKind(StrEnum):
    """What a row that is read is."""

    RECORD = "a task or part"
    FURTHER = "more of the task above"
    UNNUMBERED = "filled like a task or part, without number"


@dataclass(slots=True)
class SheetRow:
    """A task or part: the row it begins in, the rows that hold more of it, its number."""

    row: int
    further: list[int] = field(default_factory=list)
    number: str = ""
    is_unnumbered: bool = False  # no number stands in the sheet


class RowSorter:
    """Goes through the rows from top to bottom and says what each is."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.sheet = report.sheet
        mapping = report.mapping
        is_part = mapping.kind == TableKind.PARTS
        self.what = "part" if is_part else "task"
        self.number = mapping.of(Target.PART_NUMBER if is_part else Target.NUMBER)
        self.name = mapping.of(Target.PART_NAME if is_part else Target.NAME)
        self.amounts = mapping.all_of(Target.QUANTITY if is_part else Target.TIME)
        self.mapped = [c for c in mapping.columns if c.target != Target.LEFT_OUT]
        self.sums = {c.position: Decimal(0) for c in self.amounts}
        self.counted = 0
        self.kinds: dict[int, RowKind] = {}
        self.totals: list[int] = []
        self.rows_read = 0
        self.headings = self._texts(mapping.header_row) if mapping.header_row else {}
        self._named: frozenset[str] | None = None
        self._known_shapes: frozenset[str] | None = None
        self.merged_down = self.sheet.merged_above(self.number.position) if self.number else {}

    def sort(self, ticked_off: Collection[int]) -> list[SheetRow]:
        """Return the tasks or parts that are read, in the order of the sheet."""
        ticked_off = frozenset(ticked_off)
        for row in range(self.report.mapping.first_data_row, len(self.sheet.rows) + 1):
            if all(is_empty(raw) for raw in self.sheet.rows[row - 1]):
                continue
            self.rows_read += 1
            if row in ticked_off:
                self._leave_out(row, "left-out-by-hand", "The row was ticked off.")
            elif kind := self._kind(row, self._texts(row)):
                self.kinds[row] = kind
        self.report.record_rows = frozenset(self.kinds)
        self._ask_other_tables()
        self._leave_out_tail()
        self._ask_apart("struck-rows", self._struck_rows(), "struck out")
        self._ask_apart("hidden-rows", sorted(self.sheet.hidden_rows), "hidden")
        self._ask_unnumbered()
        rows: list[SheetRow] = []
        for row, kind in self.kinds.items():
            if kind != RowKind.FURTHER:
                rows.append(SheetRow(row, is_unnumbered=kind == RowKind.UNNUMBERED))
            elif rows:
                rows[-1].further.append(row)
        return rows

    def _leave_out_tail(self) -> None:
        """Leave out notes that stand apart below the last task, in a column of the tasks."""
        last = max((row for row, kind in self.kinds.items() if kind != RowKind.FURTHER), default=0)
        for row in [row for row in self.kinds if row > last]:
            if any(between not in self.kinds for between in range(last, row)):
                del self.kinds[row]
                message = "It stands apart below the last task, like a note."
                self._leave_out(row, "title-or-note", message, "Put it right below its task.")

    def _kind(self, row: int, texts: dict[int, str]) -> RowKind | None:
        """Return what a row is; None: it is left out, which is noted."""
        if not texts:
            self._leave_out(row, "nothing-mapped", "Nothing stands in the columns that are read.")
        elif self._is_heading(texts):
            self.report.heading_rows.append(row)
            self._leave_out(row, "headings-again", "The headings stand here once more.")
        elif self._begins_other(row):
            self.report.other_tables.append(row)
            self._leave_out(row, "headings-again", "Other headings stand here.")
        elif self._is_total(row, texts):
            self.totals.append(row)
            message = "A total of the rows above, by its word or its sum; it is no task."
            self._leave_out(row, "total-row", message, "Give it a number if it is a task.")
        elif self._is_note(texts):
            message = "Like the title of a section, or a note: unlike the numbers, without a time."
            self._leave_out(row, "title-or-note", message, "Give it a number if it is a task.")
        elif self.number is None and self.name and self.name.position not in texts:
            return RowKind.FURTHER
        elif self.number is None or self.number.position in texts:
            self.counted += 1
            for position in self.sums:
                self.sums[position] += self._amount(row, position) or 0
            return RowKind.RECORD
        elif self._continues(row, texts):
            return RowKind.FURTHER
        elif len(texts) == 1 and not self._has_amount(texts):
            message = "It has no number and one text only, like the heading of a group."
            self._leave_out(row, "group-heading", message, "Give it a number if it is a task.")
        else:
            return RowKind.UNNUMBERED
        return None

    def _continues(self, row: int, texts: dict[int, str]) -> bool:
        """Return whether a row without number belongs to the task above."""
        if row in self.merged_down:
            return bool(self.kinds)
        targets = {c.target for c in self.mapped if c.position in texts}
        adds = bool(targets & FURTHER_TARGETS) and not self._has_amount(texts)
        return adds and bool(self.kinds) and self.what == "task"

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
        if number and not says_total(number):
            return False  # what has a number of its own is a task
        has_word = any(says_total(text) for text in texts.values())
        is_sum = self.counted > 1 and any(
            self._amount(row, position) == total and total > 0
            for position, total in self.sums.items()
        )
        few = len(texts) <= max(2, len(self.amounts) + 1)
        return (has_word and (few or is_sum)) or (
            is_sum and not number and self.number is not None and few
        )

    def _begins_other(self, row: int) -> bool:
        """Return whether a row is headings that name other columns than the ones above."""
        cells = self.sheet.rows[row - 1]
        if self.number is None or any(
            not isinstance(raw, str) or DIGIT.search(raw) for raw in cells if not is_empty(raw)
        ):
            return False
        own = self.sheet.cell(row, self.number.position)
        if isinstance(own, str) and self.is_named(tidy(own)):
            return False
        return max(heading_weight(cells, kind) for kind in TableKind) > LEAST_HEADING

    def _is_note(self, texts: dict[int, str]) -> bool:
        """Return whether the number of a row is words, and nothing but a name stands beside it."""
        if self.number is None or self.number.position not in texts:
            return False
        beside = {self.number.position, self.name.position if self.name else -1}
        text = texts[self.number.position]
        if not beside >= texts.keys() or self.is_named(text):
            return False
        is_marked = text[0] in NOTE_SIGNS or text.endswith(":") or text.count(" ") > 3
        has_words = sum(map(str.isalpha, text)) > 3
        has_words &= self.what == "task" or not DIGIT.search(text)  # parts are named in any way
        return is_marked or (has_words and _shape(text) not in self._shapes())

    def is_named(self, number: str) -> bool:
        """Return whether a list of task numbers holds a number."""
        if self._named is None:
            texts = (
                stood(self.sheet.cell(row, column.position))
                for column in self.report.mapping.columns
                if column.target in {Target.PREDECESSORS, Target.FOLLOWERS}
                for row in range(self.report.mapping.first_data_row, len(self.sheet.rows) + 1)
            )
            self._named = frozenset(
                tidy(piece) for text in texts for piece in (text, *LISTED.split(text))
            )
        return number in self._named

    def _shapes(self) -> frozenset[str]:
        """Return what the numbers look like; those of rows with a time or arrows are sure ones."""
        if self._known_shapes is None and self.number:
            sure = {c.position for c in self.mapped if c.target in SURE_TARGETS}
            own = self.number.position
            rows = range(self.report.mapping.first_data_row, len(self.sheet.rows) + 1)
            met = [texts for row in rows if own in (texts := self._texts(row))]
            judged = [texts[own] for texts in met if not sure.isdisjoint(texts)]
            judged = judged or [n for texts in met if DIGIT.search(n := texts[own])]
            if not all(map(DIGIT.search, judged)):  # words may be numbers here
                judged = [texts[own] for texts in met]
            self._known_shapes = frozenset(map(_shape, judged))
        return self._known_shapes or frozenset()

    def _texts(self, row: int) -> dict[int, str]:
        """Return the texts of the mapped cells of a row that are filled, by position."""
        cells = self.sheet.rows[row - 1] if row <= len(self.sheet.rows) else ()
        return {
            c.position: tidy(stood(cells[c.position]))
            for c in self.mapped
            if c.position < len(cells) and not is_empty(cells[c.position])
        }

    def _leave_out(self, row: int, code: str, message: str, hint: str = "") -> None:
        """Note that a row was left out."""
        self.report.take(row, None, left_out(code, message, hint))

    def _ask_other_tables(self) -> None:
        """Ask what of the rows below headings that name other columns."""
        for row in self.report.other_tables:
            below = [each for each in self.kinds if each > row]
            if not below:
                continue
            answer = self.report.ask("other-table", below, of=str(row), row=str(row))
            if answer == "read":
                continue
            for each in below:
                del self.kinds[each]
                message = f"It stands below other headings, those of row {row}."
                said = (
                    left_out("other-table", message)
                    if answer
                    else offered("", "other-table", message)
                )
                self.report.take(each, None, said)

    def _ask_apart(self, kind: str, rows: Sequence[int], word: str) -> None:
        """Ask whether rows that somebody hid or struck out are read."""
        found = [row for row in rows if row in self.kinds]
        if not found:
            return
        answer = self.report.ask(kind, found)
        code = kind.removesuffix("s")
        for row in found:
            if answer == "read":
                message = f"The row is {word} in the sheet; it was read."
                self.report.take(row, None, noted("read", code, message))
                continue
            del self.kinds[row]
            message = f"The row is {word} in the sheet; it was left out."
            said = left_out(code, message) if answer else offered("", code, message)
            self.report.take(row, None, said)

    def _struck_rows(self) -> list[int]:
        """Return the rows whose number or name is struck out; ask about other struck cells."""
        of_rows = {c.position for c in (self.number, self.name) if c}
        rows = sorted({row for row, place in self.sheet.struck if place in of_rows})
        cells = sorted(
            (row, place)
            for row, place in self.sheet.struck
            if row in self.kinds and row not in rows and place in {c.position for c in self.mapped}
        )
        if cells:
            places = sorted({place for _, place in cells})
            words = "One cell is" if len(cells) == 1 else f"{len(cells)} cells are"
            by = {c.position: c for c in self.mapped}
            for place in places:
                inside = [row for row, at in cells if at == place]
                answer = self.report.ask("struck-cells", inside, by[place], cells=words)
                if answer != "read":
                    self._drop(inside, by[place], answer)
        return rows

    def _drop(self, rows: Sequence[int], column: MappedColumn, answer: str) -> None:
        """Leave cells that are struck out empty, and note it."""
        message = "It is struck out; it was left empty."
        for row in rows:
            said = left_out("struck", message) if answer else offered("", "struck", message)
            self.report.take(row, column, said)
            self.report.dropped.add((row, column.position))

    def _ask_unnumbered(self) -> None:
        """Ask whether rows that look like tasks but have no number get one."""
        found = [row for row, kind in self.kinds.items() if kind == RowKind.UNNUMBERED]
        if not found:
            return
        without = ("number",) if self.what == "part" else ()
        kind = "rows-without-number"
        answer = self.report.ask(kind, found, without=without, what=self.what)
        for row in found:
            if answer == "number":
                continue
            del self.kinds[row]
            message = f"The row has no {self.what} number; it was left out."
            said = (
                left_out("row-without-number", message, "Give it a number.")
                if answer
                else offered("", "row-without-number", message, "Say whether it gets a number.")
            )
            self.report.take(row, None, said)


def _shape(number: str) -> str:
    """Return what a number looks like: digits and single letters of one kind, words as they are.

    >>> _shape("A-120"), _shape("Station 3")
    ('a-0', 'station 0')
    """
    shape = re.sub(r"\d+", "0", number.casefold())
    return re.sub(r"[^\W\d_]+", lambda m: "a" if len(m[0]) < 4 else m[0], shape)


def says_total(text: str) -> bool:
    """Return whether a text begins or ends with a word for a total and says little else."""
    if len(text) > 60 or text.isdecimal():
        return False  # told quickly
    words = simplified(re.sub(r"[\u2211\u03a3\u03c3]", " sum ", text)).split()
    return 0 < len(words) <= 4 and (words[0] in TOTAL_WORDS or words[-1] in TOTAL_WORDS)
