"""How many products the numbers of a row count for: "je 100 Stk", once in 8, two persons."""

import re
from collections.abc import Callable, Sequence
from fractions import Fraction

from stationflow.files.foreign.column_mapping import MappedColumn, Target
from stationflow.files.foreign.foreign_cells import is_empty, plain_text, read_number
from stationflow.files.foreign.foreign_sheet import RawCell, column_letters, stood
from stationflow.files.foreign.heading_words import FACTOR_PHRASES, PHRASES, simplified
from stationflow.files.foreign.headings import BRACKETS
from stationflow.files.foreign.import_report import (
    Reading,
    Report,
    heading_words,
    offered,
    refused,
)
from stationflow.files.foreign.sheet_speech import Speech
from stationflow.files.foreign.spoken_units import spoken_base, spoken_lot

ONE_IN = re.compile(
    r"(?:1|once|einmal|une fois|una vez)?\s*(?:in|every|each|alle|jede[srn]?|per|je|pro|sur|"
    r"tous les|cada|von|of|:)\s*(\d{1,5})(?:\s*\D{0,12})?",
    re.IGNORECASE,
)
KINDS = ("frequency", "base", "persons", "quantity")
NOT_FACTORS = frozenset(
    {Target.NUMBER, Target.NAME, Target.TIME, Target.MODEL_TIME, Target.PREDECESSORS,
     Target.FOLLOWERS, Target.TIME_SD, Target.PARTS, Target.PART_NUMBER, Target.PART_NAME,
     Target.QUANTITY, Target.CONTAINER_QUANTITY, Target.WEIGHT}
)  # fmt: skip
CHOICES = {
    "frequency": ("multiply", "divide", "as-it-stands"),
    "base": ("divide", "as-it-stands"),
    "persons": ("divide", "multiply", "as-it-stands"),
    "quantity": ("multiply", "divide", "as-it-stands"),
}
SHARE = 0.8


class Factors:
    """What the numbers of one column, times or quantities, are to be multiplied by in each row."""

    def __init__(
        self, report: Report, column: MappedColumn, rows: Sequence[int], speech: Speech, what: str
    ) -> None:
        self.report = report
        self.column = column
        self.rows = [row for row in rows if not is_empty(report.raw(row, column))]
        self.what = what
        self.open: list[str] = []  # kinds of question without an answer, for all rows
        self.by_column: list[tuple[MappedColumn, str]] = []  # with what was said of it
        self.whole = Fraction(1)
        if self.rows:
            self._ask_base(speech)
            for other, kind in self._columns():
                self.by_column.append((other, self._ask_factor(other, kind)))

    def applied(self, row: int, reading: Reading, scale: Callable[[Fraction], object]) -> Reading:
        """Return a reading with its number for one product; `scale` multiplies and rounds it."""
        if reading.value is None:
            return reading
        if self.open:
            message = "For how many products the number counts is not said."
            return offered("", self.open[0], message)
        factor = self.whole
        for other, said in self.by_column:
            value = _factor(self.report.raw(row, other))
            if value is None:
                message = f"The number beside it in column {column_letters(other.position)} "
                return refused("factor-not-read", f"{message}cannot be read.")
            if value != 1 and not said:
                message = "What the number beside it does to it is not said."
                return offered("", "factor", message)
            if value == 0:
                return refused("factor-not-read", "The number beside it is 0.")
            factor *= {"multiply": value, "divide": 1 / value}.get(said, Fraction(1))
        if factor == 1:
            return reading
        code = reading.code or "for-one-product"
        message = f"{reading.message} Counted for one product: times {_shown(factor)}.".strip()
        return Reading(scale(factor), reading.severity, code, message, reading.hint)

    def _ask_base(self, speech: Speech) -> None:
        """Ask about a base of pieces, or a lot, that the heading or a text of the sheet names."""
        texts = [(text, True) for text in (self.column.heading, *speech.below(self.column))]
        texts += [(text, False) for text in speech.outside]
        base, said = next(
            ((n, text) for text, own in texts if (n := spoken_base(text, is_heading=own))),
            (None, ""),
        )
        example = stood(self.report.raw(self.rows[0], self.column))
        if base is not None:
            answer = self.report.ask(
                "base",
                self.rows,
                self.column,
                what=self.what,
                heading=heading_words(self.column),
                base=str(base),
                said=said[:80],
                example=example,
                quotient=self._scaled(self.rows[0], Fraction(1, base)),
            )
            self.whole = Fraction(1, base) if answer == "divide" else Fraction(1)
            self.open += [] if answer else ["base"]
        elif self.what == "times" and (lot := spoken_lot(self.column.heading)):
            heading = heading_words(self.column)
            answer = self.report.ask(
                "lot", self.rows, self.column, heading=heading, lot=lot, example=example
            )
            self.open += [] if answer == "as-it-stands" else ["lot"]

    def _columns(self) -> list[tuple[MappedColumn, str]]:
        """Return the columns that hold such numbers, not all 1, each with its kind."""
        found: list[tuple[MappedColumn, str]] = []
        has_parts = self.report.mapping.of(Target.PARTS) is not None
        for other in self.report.mapping.columns:
            kind = factor_kind(other.heading)
            if other.target == Target.PART_QUANTITY:
                kind = "" if has_parts else "quantity"
            if (self.column.position, other.position) in self.report.counted:
                continue
            if not kind or other.target in NOT_FACTORS or (self.what != "times" and kind != "base"):
                continue
            cells = [self.report.raw(row, other) for row in self.rows]
            values = [_factor(raw) for raw in cells if not is_empty(raw)]
            read = [value for value in values if value is not None]
            if len(read) >= SHARE * max(len(values), 1) and any(value != 1 for value in read):
                found.append((other, kind))
        return found

    def _ask_factor(self, other: MappedColumn, kind: str) -> str:
        """Ask what the numbers of another column do."""
        values = {row: _factor(self.report.raw(row, other)) for row in self.rows}
        rows = [row for row, value in values.items() if value not in (1, None)]
        row, value = rows[0], values[rows[0]] or Fraction(1)
        of = f"{column_letters(self.column.position)}" if self.column.target else ""
        return self.report.ask(
            "factor",
            rows,
            other,
            only=CHOICES[kind],
            evidence=f"Row {row} has {stood(self.report.raw(row, other))!r} beside column {of}.",
            heading=heading_words(other),
            what=self.what,
            example=stood(self.report.raw(row, self.column)),
            factor=_shown(value),
            product=self._scaled(row, value),
            quotient=self._scaled(row, 1 / value) if value else "?",
        )

    def _scaled(self, row: int, factor: Fraction) -> str:
        """Return the number of a row times a factor, as it is shown in a question."""
        number = read_number(self.report.raw(row, self.column), ".").value
        if number is None:
            return f"{stood(self.report.raw(row, self.column))} times {_shown(factor)}"
        return f"{float(Fraction(str(number)) * factor):.6g}"


def factor_kind(heading: str) -> str:
    """Return the kind of factor a heading names; empty: none.

    >>> [factor_kind(text) for text in ("Frequency", "Base qty", "Anzahl MA", "Qty", "Tool")]
    ['frequency', 'base', 'persons', 'quantity', '']
    """
    bare, whole = simplified(BRACKETS.sub(" ", heading)), simplified(heading)
    for kind in ("frequency", "base", "persons"):
        phrases = FACTOR_PHRASES[kind]
        if bare in phrases or whole in phrases:
            return kind
        if any(len(p) > 5 and f" {p} " in f" {bare} " for p in phrases):
            return kind
    return "quantity" if bare in PHRASES_OF_QUANTITY else ""


PHRASES_OF_QUANTITY = next(
    phrases
    for targets in PHRASES.values()
    for target, phrases in targets.items()
    if target == Target.PART_QUANTITY
)


def _factor(raw: RawCell) -> Fraction | None:
    """Return the number in a cell that others are multiplied by; an empty one counts as 1."""
    if is_empty(raw):
        return Fraction(1)
    text = plain_text(stood(raw))
    if match := ONE_IN.fullmatch(text):
        return Fraction(1, int(match[1])) if int(match[1]) else None
    text = re.sub(r"(?<=\d)\s*(?:x|\u00d7|pcs|pc|stk|st)\.?$", "", text, flags=re.IGNORECASE)
    if match := re.fullmatch(r"(\d{1,5})\s*/\s*(\d{1,5})", text):
        return Fraction(int(match[1]), int(match[2])) if int(match[2]) else None
    value = read_number(text if isinstance(raw, str) else raw, "").value
    number = Fraction(str(value)) if value is not None else None
    return number if number is not None and number >= 0 else None


def _shown(number: Fraction) -> str:
    """Return a factor as it is shown: "3", "1/8", "0.35"."""
    if number.denominator == 1 or number.numerator == 1:
        return str(number)
    return f"{float(number):.6g}"
