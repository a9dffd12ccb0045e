"""What was made of a stranger's sheet: tasks or parts, a report by cell, open questions."""

from dataclasses import dataclass, field
from enum import StrEnum

from stationflow.files.foreign.foreign_sheet import ForeignSheet, RawCell, stood
from stationflow.model import Part, Task


class Outcome(StrEnum):
    """What became of a cell or row that was not taken exactly as it stands."""

    ERROR = "error"  # it could not be used; the cell counts as empty
    LEFT_OUT = "left out"  # it was recognised as something that is not to be read
    OFFERED = "offered"  # it has more than one meaning: see the offer
    CHANGED = "changed"  # it was read, but not letter by letter
    NOTED = "to look at"  # it was taken as it stands, and looks wrong


@dataclass(frozen=True, slots=True, kw_only=True)
class CellReport:
    """One cell, or one row, that was not taken exactly as it stands.

    Attributes
    ----------
    address
        "Sheet1!C17"; of a whole row "Sheet1!17:17".
    row
        Row number, from 1.
    column
        Column position, from 0; None: the whole row.
    stood
        What stood there.
    became
        What was made of it; empty: nothing.
    severity
        How much it matters.
    code
        What happened, in one hyphenated word: "decimal-comma".
    message
        What happened, with the rule.
    hint
        What to do; empty: nothing need be done.
    """

    address: str
    row: int
    column: int | None = None
    stood: str
    became: str
    severity: Outcome
    code: str
    message: str
    hint: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferChoice:
    """One answer to an offer."""

    value: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """A question only the engineer can answer.

    Attributes
    ----------
    id
        Tells offers apart, the same each time the sheet is read: "time-unit:C".
    sentence
        The question.
    evidence
        What speaks for which answer, with numbers; may be empty.
    choices
        The answers.
    default
        What holds as long as nobody answers; None: it must be answered, and what
        depends on it stays empty or is left out meanwhile.
    cells
        Addresses of the cells it is about, the first few.
    """

    id: str
    sentence: str
    evidence: str = ""
    choices: tuple[OfferChoice, ...]
    default: str | None = None
    cells: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedTask:
    """One task of the sheet.

    Attributes
    ----------
    task
        The task as it would be new; fields without column have their usual values.
    row
        Row it begins in, from 1.
    given
        Names of the fields of `Task` that the sheet really says.
    station
        Station of today as it stands, or empty.
    """

    task: Task
    row: int
    given: frozenset[str] = frozenset()
    station: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskImport:
    """Tasks that a sheet holds, and what was made of it.

    Attributes
    ----------
    rows
        The tasks in the order of the sheet.
    report
        Every cell or row that was not taken exactly as it stands, by row and column.
    offers
        Questions, answered or not.
    unanswered
        Ids of the offers without answer and without default.
    models
        Names of the models that have a time column.
    lines
        Names of the lines that tasks are on, in the order met.
    rows_read
        How many rows below the headings hold anything.
    """

    rows: tuple[ImportedTask, ...]
    report: tuple[CellReport, ...]
    offers: tuple[Offer, ...]
    unanswered: tuple[str, ...] = ()
    models: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    rows_read: int = 0

    @property
    def tasks(self) -> tuple[Task, ...]:
        """The tasks."""
        return tuple(row.task for row in self.rows)

    @property
    def stations(self) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Stations of today in the order met, each with the numbers of its tasks."""
        stations: dict[str, list[str]] = {}
        for row in self.rows:
            if row.station:
                stations.setdefault(row.station, []).append(row.task.number)
        return tuple((name, tuple(numbers)) for name, numbers in stations.items())


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportedPart:
    """One part of the sheet: the part, the row it stands in, the fields the sheet says."""

    part: Part
    row: int
    given: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True, kw_only=True)
class PartImport:
    """Parts that a sheet holds, and what was made of it; see `TaskImport`."""

    rows: tuple[ImportedPart, ...]
    report: tuple[CellReport, ...]
    offers: tuple[Offer, ...]
    unanswered: tuple[str, ...] = ()
    rows_read: int = 0

    @property
    def parts(self) -> tuple[Part, ...]:
        """The parts."""
        return tuple(row.part for row in self.rows)


@dataclass(slots=True)
class Report:
    """Collects what becomes of the cells of one sheet."""

    sheet: ForeignSheet
    choices: dict[str, str] = field(default_factory=dict)
    entries: list[CellReport] = field(default_factory=list)
    offers: dict[str, Offer] = field(default_factory=dict)

    def cell(
        self,
        severity: Outcome,
        code: str,
        place: tuple[int, int | None],
        message: str,
        *,
        became: str = "",
        hint: str = "",
        raw: RawCell = None,
    ) -> None:
        """Note one cell, or one row when the place has no column."""
        row, column = place
        if raw is None:
            raw = self._standing(row, column)
        entry = CellReport(
            address=self.sheet.address(row, column),
            row=row,
            column=column,
            stood=stood(raw),
            became=became,
            severity=severity,
            code=code,
            message=message,
            hint=hint,
        )
        self.entries.append(entry)

    def ask(self, offer: Offer) -> str | None:
        """Keep an offer and return its answer, or else its default."""
        self.offers[offer.id] = offer
        return self.answer(offer.id)

    def answer(self, offer_id: str) -> str | None:
        """Return the answer to an offer that was asked, or else its default."""
        offer = self.offers[offer_id]
        given = self.choices.get(offer_id)
        known = {choice.value for choice in offer.choices}
        return given if given in known else offer.default

    @property
    def unanswered(self) -> tuple[str, ...]:
        """Ids of the offers that must be answered and are not."""
        return tuple(name for name in self.offers if self.answer(name) is None)

    @property
    def sorted_entries(self) -> tuple[CellReport, ...]:
        """All entries by row and column; of a whole row first."""
        return tuple(
            sorted(self.entries, key=lambda e: (e.row, -1 if e.column is None else e.column))
        )

    def _standing(self, row: int, column: int | None) -> RawCell:
        """Return what stands in a cell, or in a whole row."""
        if column is not None:
            return self.sheet.cell(row, column)
        cells = self.sheet.rows[row - 1] if 1 <= row <= len(self.sheet.rows) else ()
        return " | ".join(stood(cell) for cell in cells if cell is not None)
