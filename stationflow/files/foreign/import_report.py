"""What was made of a stranger's sheet: tasks or parts, a report by cell, open questions."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any, Protocol

from stationflow.files.foreign.column_mapping import ColumnMapping, MappedColumn, Target
from stationflow.files.foreign.foreign_sheet import ForeignSheet, RawCell, column_letters, stood
from stationflow.files.foreign.questions import QUESTIONS
from stationflow.model import Part, Task

MOST_CELLS = 5_000  # that a question names

Answers = Mapping[str, str]
"""What was said of the cells of one column, by kind of question; empty: not said yet."""
Asked = tuple[str, dict[str, str]]
"""A kind of question that must be answered before a cell can be read, and facts to ask it with."""


class Outcome(StrEnum):
    """What became of a cell or row that was not taken exactly as it stands."""

    ERROR = "error"  # it could not be used; the cell counts as empty
    LEFT_OUT = "left out"  # it was recognised as something that is not to be read
    OFFERED = "offered"  # it has more than one meaning: see the offer
    CHANGED = "changed"  # it was read, but not letter by letter
    NOTED = "to look at"  # it was taken as it stands, and looks wrong


@dataclass(frozen=True, slots=True)
class Reading:
    """What was read from a cell or row; without severity it was taken exactly as it stands."""

    value: object = None  # None: nothing stands there, or it could not be read
    severity: Outcome | None = None
    code: str = ""
    message: str = ""
    hint: str = ""
    asks: tuple[Asked, ...] = ()


NOTHING = Reading()


def refused(code: str, message: str, hint: str = "Correct the cell.") -> Reading:
    """Return a cell that could not be read."""
    return Reading(None, Outcome.ERROR, code, message, hint)


def left_out(code: str, message: str, hint: str = "") -> Reading:
    """Return a cell or row that is not to be read."""
    return Reading(None, Outcome.LEFT_OUT, code, message, hint)


def changed(value: object, code: str, message: str, hint: str = "") -> Reading:
    """Return a cell that was not taken letter by letter."""
    return Reading(value, Outcome.CHANGED, code, message, hint)


def noted(value: object, code: str, message: str, hint: str = "") -> Reading:
    """Return a cell that was taken, and looks wrong."""
    return Reading(value, Outcome.NOTED, code, message, hint)


def offered(kind: str, code: str, message: str, hint: str = "Say which.", **facts: str) -> Reading:
    """Return a cell with two meanings: the question of this kind must be answered first."""
    return Reading(None, Outcome.OFFERED, code, message, hint, ((kind, facts),) if kind else ())


@dataclass(frozen=True, slots=True, kw_only=True)
class CellReport:
    """One cell, or one row, that was not taken exactly as it stands."""

    address: str  # "Sheet1!C17"; of a whole row "Sheet1!17:17"
    row: int  # from 1
    column: int | None = None  # from 0; None: the whole row
    stood: str
    became: str  # empty: nothing
    severity: Outcome
    code: str  # what happened, in one hyphenated word: "decimal-comma"
    message: str
    hint: str = ""  # empty: nothing need be done


@dataclass(frozen=True, slots=True)
class OfferChoice:
    """One answer to an offer."""

    value: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A question only the engineer can answer."""

    id: str  # the same each time the sheet is read: "time-unit:C"
    sentence: str
    evidence: str = ""  # what speaks for which answer, with numbers
    choices: tuple[OfferChoice, ...]
    # What holds as long as nobody answers; None: it must be answered, and what depends on it
    # stays empty or is left out meanwhile.
    default: str | None = None
    cells: tuple[str, ...] = ()  # addresses of the cells it is about
    accepts: frozenset[str] = frozenset()  # other answers, which may be typed

    def takes(self, answer: str | None) -> bool:
        """Return whether this is one of the answers."""
        return answer in self.accepts or answer in {choice.value for choice in self.choices}

    def answer(self, choices: Mapping[str, str]) -> str | None:
        """Return the answer that was given, or else the default."""
        given = choices.get(self.id)
        return given if self.takes(given) else self.default


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedRow:
    """One task or part of the sheet, as it would be new."""

    record: Task | Part
    row: int  # it begins in, from 1
    given: frozenset[str] = frozenset()  # fields that the sheet really says
    station: str = ""  # of today, as it stands


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetImport:
    """Tasks or parts that a sheet holds, in its order, and what was made of it."""

    rows: tuple[ImportedRow, ...]
    report: tuple[CellReport, ...] = ()  # by row and column
    offers: tuple[Offer, ...] = ()  # answered or not
    unanswered: tuple[str, ...] = ()  # ids of the offers without answer and without default
    models: tuple[str, ...] = ()  # that have a time column
    mapping: ColumnMapping | None = None  # by which it was read, answers about columns included
    rows_read: int = 0  # rows below the headings that hold anything

    @property
    def records(self) -> tuple[Task | Part, ...]:
        """The tasks or parts."""
        return tuple(row.record for row in self.rows)


class Read(Protocol):
    """What is known of a cell after it was read: the questions that must be answered first."""

    @property
    def asks(self) -> Sequence[Asked]:
        """Kinds of question with the facts to ask them with."""


@dataclass(slots=True)
class Report:
    """A sheet that is being read: notes what becomes of its cells, and asks about them."""

    sheet: ForeignSheet
    mapping: ColumnMapping
    choices: Mapping[str, str] = field(default_factory=dict)
    entries: list[CellReport] = field(default_factory=list)
    offers: dict[str, Offer] = field(default_factory=dict)
    heading_rows: list[int] = field(default_factory=list)  # in which the headings stand again
    is_closed: bool = False  # nothing can be read before a question is answered
    counted: set[tuple[int, int]] = field(
        default_factory=set
    )  # column, and factor it holds already
    record_rows: frozenset[int] = frozenset()  # that look like tasks or parts
    other_tables: list[int] = field(default_factory=list)  # rows with other headings
    dropped: set[tuple[int, int]] = field(default_factory=set)  # cells that are not to be read
    rates: dict[int, int] = field(default_factory=dict)  # columns of pieces in so many ms

    def raw(self, row: int, column: MappedColumn | None) -> RawCell:
        """Return what stands in a row of a column; without column nothing does."""
        if column is None or (row, column.position) in self.dropped:
            return None
        return self.sheet.cell(row, column.position)

    def take(
        self,
        row: int,
        column: MappedColumn | None,
        reading: Reading,
        became: str | None = None,
    ) -> object:
        """Return the value of a cell, or of a row; note it if it is not as it stands there."""
        if reading.severity:
            place = column.position if column else None
            value = "" if reading.value is None else str(reading.value)
            entry = CellReport(
                address=self.sheet.address(row, place),
                row=row,
                column=place,
                stood=self._standing(row, column),
                became=value if became is None else became,
                severity=reading.severity,
                code=reading.code,
                message=reading.message,
                hint=reading.hint,
            )
            self.entries.append(entry)
        return reading.value

    def ask(
        self,
        kind: str,
        rows: Sequence[int],
        column: MappedColumn | None = None,
        /,
        *,
        of: str = "",
        evidence: str = "",
        default: str | None = None,
        without: Sequence[str] = (),
        only: Sequence[str] = (),
        accepts: frozenset[str] = frozenset(),
        likely: Sequence[OfferChoice] = (),
        at: Sequence[MappedColumn] = (),
        **facts: str,
    ) -> str:
        """Ask a question of `QUESTIONS`; return its answer or its default, empty: still open.

        `of`, or what stands behind a colon in `kind`, tells questions of one kind apart where the
        column does not; `without` names choices that do not apply, `only` those that do, `likely`
        further ones that stand first; `at` names the columns of the cells. What only one choice is
        left for need not be answered.
        """
        kind, _, apart = kind.partition(":")
        question = QUESTIONS[kind]
        facts["rows"] = "One row is" if len(rows) == 1 else f"{len(rows)} rows are"
        of = column_letters(column.position) if column else of
        choices = (
            *likely,
            *(
                OfferChoice(value, label.format_map(facts))
                for value, label in question.choices.items()
                if value not in without and (not only or value in only)
            ),
        )
        offer = Offer(
            id=":".join(filter(None, (kind, of, apart))),
            sentence=question.sentence.format_map(facts),
            evidence=evidence or question.evidence.format_map(facts),
            choices=choices,
            default=choices[0].value if len(choices) == 1 else default or question.default,
            cells=tuple(
                self.sheet.address(row, place.position if place else None)
                for row in rows[:MOST_CELLS]
                for place in at or (column,)
            ),
            accepts=accepts,
        )
        self.offers[offer.id] = offer
        return offer.answer(self.choices) or ""

    def settle(
        self,
        column: MappedColumn,
        rows: Sequence[int],
        read: Callable[[RawCell, Answers], Read],
        known: Answers,
        likely: Callable[[str], tuple[OfferChoice, ...]] = lambda _: (),
        accepts: frozenset[str] = frozenset(),
    ) -> dict[str, str]:
        """Ask what the cells of a column do not tell, until every cell can be read.

        `likely` gives further choices of a kind, `accepts` holds what may be typed beside them.
        """
        answers = dict(known)
        while True:
            needed: dict[str, list[tuple[int, dict[str, str]]]] = {}
            for row in rows:
                raw = self.raw(row, column)
                for kind, facts in read(raw, answers).asks:
                    if kind not in answers:
                        needed.setdefault(kind, []).append((row, {"example": stood(raw)} | facts))
            if not needed:
                return answers
            for kind, found in needed.items():
                cells = "one cell" if len(found) == 1 else f"{len(found)} cells"
                more: dict[str, Any] = {"cells": cells, "heading": heading_words(column)}
                more |= found[0][1]
                answers[kind] = self.ask(
                    kind,
                    [row for row, _ in found],
                    column,
                    likely=likely(kind),
                    accepts=accepts if ":" in kind else frozenset(),
                    **more,
                )

    def finished(self, rows: Sequence[ImportedRow], rows_read: int) -> SheetImport:
        """Return what the sheet holds with the whole report."""
        # Of a row, what concerns all of it stands first.
        entries = sorted(self.entries, key=lambda e: (e.row, -1 if e.column is None else e.column))
        times = self.mapping.all_of(Target.MODEL_TIME)
        return SheetImport(
            rows=tuple(rows),
            report=tuple(entries),
            offers=tuple(self.offers.values()),
            unanswered=tuple(o.id for o in self.offers.values() if o.answer(self.choices) is None),
            models=tuple(dict.fromkeys(c.model for c in times if c.model)),
            rows_read=rows_read,
            mapping=self.mapping,
        )

    def _standing(self, row: int, column: MappedColumn | None) -> str:
        """Return what stands in a cell, or in a whole row."""
        if column is not None:
            return stood(self.raw(row, column))
        cells = self.sheet.rows[row - 1] if 1 <= row <= len(self.sheet.rows) else ()
        return stood(" | ".join(stood(cell) for cell in cells if cell is not None))


def heading_words(column: MappedColumn) -> str:
    """Return what a column is called in a question."""
    return repr((column.heading or f"column {column_letters(column.position)}")[:60])
