"""The numbers of a stranger's tasks: read, told apart, asked about when two are alike."""

from dataclasses import dataclass, field

from stationflow.files.foreign.column_mapping import ColumnMapping, Target
from stationflow.files.foreign.foreign_cells import (
    Reading,
    is_empty,
    plain_number_of,
    read_key,
    read_text,
    typed_forms,
)
from stationflow.files.foreign.foreign_sheet import DateCell, ForeignSheet
from stationflow.files.foreign.import_report import Offer, OfferChoice, Outcome, Report
from stationflow.files.foreign.number_lists import folded
from stationflow.files.foreign.row_kinds import RowKind, SheetRow

DATES = "date-numbers"
MOST_SINGLE = 20  # duplicates that are asked about one by one


@dataclass(slots=True)
class NumberedRow:
    """A task or part: its number, the row it begins in, the rows that hold more of it."""

    number: str
    row: int
    further: list[int] = field(default_factory=list)


class Numbering:
    """Gives every row of a task its number."""

    def __init__(self, sheet: ForeignSheet, mapping: ColumnMapping, report: Report) -> None:
        self.sheet = sheet
        self.mapping = mapping
        self.report = report
        self.column = mapping.of(Target.NUMBER) or mapping.of(Target.PART_NUMBER)
        self.what = "part" if mapping.of(Target.PART_NUMBER) else "task"
        self.named = mapping.of(Target.PART_NAME if self.what == "part" else Target.NAME)
        self.date_form = ""

    def number(self, rows: tuple[SheetRow, ...]) -> list[NumberedRow]:
        """Return the tasks with their numbers, in the order of the sheet."""
        self._ask_dates(rows)
        numbered: list[NumberedRow] = []
        for row in rows:
            if row.kind == RowKind.FURTHER:
                if numbered:
                    numbered[-1].further.append(row.row)
                continue
            number = row.made_number or self._read(row.row)
            if row.made_number and self.column:
                place = (row.row, self.column.position)
                message = "The row had no number and got one."
                self.report.cell(
                    Outcome.CHANGED, "numbered", place, message, became=row.made_number
                )
            if number:
                numbered.append(NumberedRow(number, row.row))
        return self._told_apart(numbered)

    def _read(self, row: int) -> str:
        """Return the number in a row; empty: it cannot be read."""
        assert self.column is not None
        place = (row, self.column.position)
        raw = self.sheet.cell(*place)
        reading = read_key(raw)
        if isinstance(raw, DateCell):
            reading = self._from_date(raw)
        number = reading.value if isinstance(reading.value, str) else ""
        if reading.severity:
            self.report.cell(
                reading.severity, reading.code, place, reading.message, became=number,
                hint=reading.hint,
            )  # fmt: skip
        if not number:
            message = f"The row has no {self.what} number that can be read; it was left out."
            severity = Outcome.OFFERED if reading.severity == Outcome.OFFERED else Outcome.ERROR
            self.report.cell(
                severity, "row-without-number", (row, None), message, hint="Correct the number."
            )
        return number

    def _from_date(self, raw: DateCell) -> Reading:
        """Return the number that became a date, as the engineer said."""
        forms = typed_forms(raw)
        if self.date_form not in {"month", "day"} or not forms:
            return read_key(raw)
        form = forms[0] if self.date_form == "month" else forms[-1]
        return Reading(form, Outcome.CHANGED, "date", f"The date was turned back into {form}.")

    def _ask_dates(self, rows: tuple[SheetRow, ...]) -> None:
        """Ask what was typed where numbers have become dates."""
        if self.column is None:
            return
        place = self.column.position
        dates = [
            (r.row, raw) for r in rows if isinstance(raw := self.sheet.cell(r.row, place), DateCell)
        ]
        if not dates:
            return
        forms = typed_forms(dates[0][1]) or ("?",)
        label = "like {}".format(" or ".join(forms))
        answer = self.report.ask(
            Offer(
                id=DATES,
                sentence=f"{self.what.capitalize()} numbers have become dates, {label}. "
                "Which is right?",
                evidence="A spreadsheet program makes a date of a number like 1-2.",
                choices=(
                    OfferChoice(value="month", label=f"Month first: {forms[0]}"),
                    OfferChoice(value="day", label=f"Day first: {forms[-1]}"),
                    OfferChoice(value="leave-out", label="Leave these rows out"),
                ),
                cells=tuple(self.sheet.address(row, place) for row, _ in dates[:10]),
            )
        )
        self.date_form = answer or ""

    def _told_apart(self, numbered: list[NumberedRow]) -> list[NumberedRow]:
        """Ask about numbers that are alike, and keep what is left."""
        groups: dict[str, list[NumberedRow]] = {}
        for row in numbered:
            groups.setdefault(folded(row.number), []).append(row)
        alike = {key: rows for key, rows in groups.items() if len(rows) > 1}
        if not alike:
            return numbered
        is_many = len(alike) > MOST_SINGLE
        if is_many:
            self._ask_all(alike)
        gone: set[int] = set()
        taken = {row.number for row in numbered}
        for rows in alike.values():
            offer_id = "duplicates" if is_many else f"duplicate:{rows[0].number}"
            answer = self.report.answer(offer_id) if is_many else self._ask_one(offer_id, rows)
            gone |= self._settle(rows, answer, taken)
        return [row for row in numbered if row.row not in gone]

    def _choices(self, example: NumberedRow | None) -> tuple[OfferChoice, ...]:
        """Return what can be done with numbers that are alike."""
        choices = [
            OfferChoice(value="keep-first", label="Keep the first, leave the others out"),
            OfferChoice(value="renumber", label="Give the others new numbers"),
            OfferChoice(value="leave-out", label="Leave all of them out"),
        ]
        if self.what == "task":
            label = "They are one task: take what the others add"
            choices.insert(2, OfferChoice(value="same-task", label=label))
        if example and (zero := self._lost_zero(example)):
            label = f"A zero was lost: the later one is {zero}"
            choices.insert(0, OfferChoice(value="lost-zero", label=label))
        return tuple(choices)

    def _ask_one(self, offer_id: str, rows: list[NumberedRow]) -> str | None:
        """Ask about one number that several rows have."""
        spelled = sorted({row.number for row in rows})
        names = [self._name(row.row) for row in rows[:3]]
        return self.report.ask(
            Offer(
                id=offer_id,
                sentence=f"{len(rows)} rows have the {self.what} number "
                f"{' or '.join(map(repr, spelled))}. What should become of them?",
                evidence="They are called: " + "; ".join(f"{n!r}" for n in names) + ".",
                choices=self._choices(rows[1]),
                cells=tuple(self.sheet.address(row.row) for row in rows[:10]),
            )
        )

    def _ask_all(self, alike: dict[str, list[NumberedRow]]) -> None:
        """Ask once about very many numbers that several rows have."""
        first = [row for rows in alike.values() for row in rows]
        self.report.ask(
            Offer(
                id="duplicates",
                sentence=f"{len(alike)} {self.what} numbers stand in several rows. "
                "What should become of them?",
                choices=self._choices(None),
                cells=tuple(self.sheet.address(row.row) for row in first[:10]),
            )
        )

    def _settle(self, rows: list[NumberedRow], answer: str | None, taken: set[str]) -> set[int]:
        """Do what was said about rows with one number; return the rows that are left out."""
        first, *others = rows
        if answer == "leave-out":
            for row in rows:
                self._note(row, Outcome.LEFT_OUT, "left out, as was said", "")
            return {row.row for row in rows}
        gone: set[int] = set()
        for row in others:
            if answer == "same-task":
                first.further += [row.row, *row.further]
                gone.add(row.row)
                self._note(row, Outcome.CHANGED, "taken as more of the same task", first.number)
            elif answer in {"renumber", "lost-zero"}:
                zero = self._lost_zero(row) if answer == "lost-zero" else ""
                row.number = zero if zero and zero not in taken else _free(row.number, taken)
                taken.add(row.number)
                self._note(row, Outcome.CHANGED, f"numbered {row.number}", row.number)
            else:
                gone.add(row.row)
                severity = Outcome.LEFT_OUT if answer else Outcome.OFFERED
                self._note(row, severity, "left out; the first one was kept", "")
        return gone

    def _note(self, row: NumberedRow, severity: Outcome, what: str, became: str) -> None:
        """Note what became of a row whose number another has too."""
        message = f"The {self.what} number stands in another row too; this row was {what}."
        hint = "" if severity == Outcome.CHANGED else "Give each its own number."
        self.report.cell(
            severity, "duplicate-number", (row.row, None), message, became=became, hint=hint
        )

    def _lost_zero(self, row: NumberedRow) -> str:
        """Return "1.10" for a number cell of 1.1, which a spreadsheet program makes of it."""
        raw = self.sheet.cell(row.row, self.column.position) if self.column else None
        if isinstance(raw, float) and not raw.is_integer():
            return f"{plain_number_of(raw)}0"
        return ""

    def _name(self, row: int) -> str:
        """Return the name in a row, for a question."""
        raw = self.sheet.cell(row, self.named.position) if self.named else None
        return "" if is_empty(raw) else str(read_text(raw).value or "")[:40]


def _free(number: str, taken: set[str]) -> str:
    """Return the first number "10-2", "10-3" that is free."""
    count = 2
    while f"{number}-{count}" in taken:
        count += 1
    return f"{number}-{count}"
