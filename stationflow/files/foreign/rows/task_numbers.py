"""The numbers of a stranger's tasks: read, told apart, asked about when two are alike."""

from stationflow.files.foreign.column_mapping import TableKind, Target
from stationflow.files.foreign.columns.foreign_cells import is_empty, read_key, read_text
from stationflow.files.foreign.columns.number_lists import folded
from stationflow.files.foreign.foreign_sheet import stood
from stationflow.files.foreign.import_report import (
    Outcome,
    Reading,
    Report,
    changed,
    left_out,
    offered,
)
from stationflow.files.foreign.rows.row_kinds import SheetRow
from stationflow.model.schema.cells import tidy

MOST_SINGLE = 20  # duplicates that are asked about one by one


class Numbering:
    """Gives every task or part its number."""

    def __init__(self, report: Report) -> None:
        self.report = report
        mapping = report.mapping
        is_part = mapping.kind == TableKind.PARTS
        self.what = "part" if is_part else "task"
        self.column = mapping.of(Target.PART_NUMBER if is_part else Target.NUMBER)
        self.named = mapping.of(Target.PART_NAME if is_part else Target.NAME)

    def number(self, rows: list[SheetRow]) -> list[SheetRow]:
        """Return the tasks or parts that have a number, with it, in the order of the sheet."""
        if self.column is None:
            step = int(self.report.ask("numbers", []) or 10) if rows else 0
            for place, row in enumerate(rows, start=1):
                row.number = str(place * step)
            return self._told_apart(rows)
        own = [row.row for row in rows if not row.is_unnumbered]
        answers = self.report.settle(self.column, own, read_key, {})
        taken = {tidy(stood(self.report.raw(row, self.column))) for row in own}
        above = "0"
        for row in rows:
            raw = self.report.raw(row.row, self.column)
            if row.is_unnumbered:
                row.number = _free(above, taken, 1)
                taken.add(row.number)
                said = changed(row.number, "numbered", "The row had no number and got one.")
                self.report.take(row.row, self.column, said)
            else:
                above = tidy(stood(raw))
                row.number = self._taken(row.row, read_key(raw, answers))
        return self._told_apart([row for row in rows if row.number])

    def _taken(self, row: int, reading: Reading) -> str:
        """Return the number read in a row; empty: it cannot be read, which is noted."""
        if number := self.report.take(row, self.column, reading):
            return str(number)
        message = f"The row has no {self.what} number that can be read; it was left out."
        is_error = reading.severity not in {Outcome.OFFERED, Outcome.LEFT_OUT}
        severity = Outcome.ERROR if is_error else reading.severity
        said = Reading(None, severity, "row-without-number", message, "Correct the number.")
        self.report.take(row, None, said)
        return ""

    def _told_apart(self, rows: list[SheetRow]) -> list[SheetRow]:
        """Ask about numbers that are alike, and keep what is left."""
        groups: dict[str, list[SheetRow]] = {}
        for row in rows:
            groups.setdefault(folded(row.number), []).append(row)
        alike = [found for found in groups.values() if len(found) > 1]
        is_many = len(alike) > MOST_SINGLE
        answer = self._ask_all(alike) if is_many else ""
        gone: set[int] = set()
        taken = {row.number for row in rows}
        for found in alike:
            gone |= self._settle(found, answer if is_many else self._ask_one(found), taken)
        return [row for row in rows if row.row not in gone]

    def _ask_one(self, rows: list[SheetRow]) -> str:
        """Ask about one number that several rows have."""
        zero = self._lost_zero(rows[1])
        names = [self.report.raw(row.row, self.named) for row in rows[:3]]
        texts = ["" if is_empty(raw) else str(read_text(raw).value or "")[:40] for raw in names]
        return self.report.ask(
            "duplicate",
            [row.row for row in rows],
            of=rows[0].number,
            without=self._without(zero),
            count=str(len(rows)),
            what=self.what,
            spelled=" or ".join(map(repr, sorted({row.number for row in rows}))),
            names="; ".join(map(repr, texts)),
            zero=zero,
        )

    def _ask_all(self, alike: list[list[SheetRow]]) -> str:
        """Ask once about very many numbers that several rows have."""
        rows = [row.row for found in alike for row in found]
        without, count = self._without(""), str(len(alike))
        return self.report.ask(
            "duplicates", rows, without=without, count=count, what=self.what, zero=""
        )

    def _without(self, zero: str) -> list[str]:
        """Return the choices that do not apply to numbers that are alike."""
        applies = {"lost-zero": bool(zero), "same-task": self.what == "task"}
        return [choice for choice, can_be in applies.items() if not can_be]

    def _settle(self, rows: list[SheetRow], answer: str, taken: set[str]) -> set[int]:
        """Do what was said about rows with one number; return the rows that are left out."""
        first, *others = rows
        if answer == "leave-out":
            for row in rows:
                self._note(row, answer, "left out, as was said")
            return {row.row for row in rows}
        gone = set() if answer in {"renumber", "lost-zero"} else {row.row for row in others}
        for row in others:
            if answer == "same-task":
                first.further += [row.row, *row.further]
                self._note(row, answer, "taken as more of the same task", first.number)
            elif answer in {"renumber", "lost-zero"}:
                zero = self._lost_zero(row) if answer == "lost-zero" else ""
                row.number = zero if zero and zero not in taken else _free(row.number, taken, 2)
                taken.add(row.number)
                self._note(row, answer, f"numbered {row.number}", row.number)
            else:
                self._note(row, answer, "left out; the first one was kept")
        return gone

    def _note(self, row: SheetRow, answer: str, what: str, became: str = "") -> None:
        """Note what became of a row whose number another has too."""
        code, hint = "duplicate-number", "Give each its own number."
        message = f"The {self.what} number stands in another row too; this row was {what}."
        if became:
            said = changed(became, code, message)
        elif answer:
            said = left_out(code, message, hint)
        else:
            said = offered("", code, message, hint)
        self.report.take(row.row, None, said)

    def _lost_zero(self, row: SheetRow) -> str:
        """Return "1.10" for a number cell of 1.1, which a spreadsheet program makes of it."""
        raw = self.report.raw(row.row, self.column)
        return f"{raw}0" if isinstance(raw, float) and not raw.is_integer() else ""


def _free(number: str, taken: set[str], count: int) -> str:
    """Return the first number "10-2", "10-3" from a count on that is free."""
    while f"{number}-{count}" in taken:
        count += 1
    return f"{number}-{count}"
