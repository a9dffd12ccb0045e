"""How many products the numbers of a row count for: "je 100 Stk", once in 8, two persons."""

import re
from collections.abc import Callable, Sequence
from fractions import Fraction

from stationflow.files.foreign.column_mapping import MappedColumn, Target
from stationflow.files.foreign.columns.foreign_cells import is_empty, plain_text, read_number
from stationflow.files.foreign.columns.headings import BRACKETS
from stationflow.files.foreign.columns.sheet_speech import Speech
from stationflow.files.foreign.columns.spoken_units import spoken_base, spoken_lot, spoken_rate
from stationflow.files.foreign.foreign_sheet import RawCell, column_letters, stood
from stationflow.files.foreign.heading_words import (
    FACTOR_PHRASES,
    PACKS,
    PHRASES,
    simplified,
    speaks_of,
)
from stationflow.files.foreign.import_report import (
    Reading,
    Report,
    heading_words,
    offered,
    refused,
)

ONE_IN = re.compile(
    r"(?:1|once|einmal|une fois|una vez)?\s*(?:in|every|each|alle|jede[srn]?|per|je|pro|sur|"
    r"tous les|cada|von|of|:)\s*(\d{1,5})(?:\s*\D{0,12})?",
    re.IGNORECASE,
)
EVERY = re.compile(
    r"\b(?:every|each|alle|jede[rsn]?|tous les|toutes les|cada|ogni|"
    r"(?:once|one|einmal|1\s?x?|une fois|una vez)\s+(?:in|per|pro|je|par|por|alle|sur|every))\s+"
    r"(?P<base>[2-9]|[1-9]\d{1,4})(?!\s*(?:s|sec|sek|min|h|mm|cm|m|hours?|stunden|%)\b)",
    re.IGNORECASE,
)
PERCENT = re.compile(r"(\d{1,3}(?:[.,]\d+)?)\s?(?:%|percent\b|prozent\b)", re.IGNORECASE)
NEUTRAL: dict[str, tuple[int, ...]] = {
    "frequency": (1,), "base": (1,), "persons": (1,), "quantity": (1,), "pack": (1,),
    "percent": (0, 1),
}  # fmt: skip
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
    "pack": ("multiply", "divide", "as-it-stands"),
    "percent": ("add-percent", "times-percent", "as-it-stands"),
}
SHARE = 0.8


class Factors:
    """What the numbers of one column, times or quantities, are to be multiplied by in each row."""

    def __init__(
        self, report: Report, column: MappedColumn, rows: Sequence[int], speech: Speech, what: str
    ) -> None:
        self.report = report
        self.column = column
        is_rate = column.position in report.rates  # its heading speaks of pieces, and that is all
        self.rows = [] if is_rate else [r for r in rows if not is_empty(report.raw(r, column))]
        self.what = what
        self.open: list[str] = []  # kinds of question without an answer, for all rows
        self.beside: list[tuple[MappedColumn, str, str]] = []  # column, kind, what was said
        self.named: dict[int, int] = {}  # rows whose own words name a base
        self.said = ""  # of these rows
        self.whole = Fraction(1)
        if self.rows:
            columns = self._columns()
            self._ask_base(speech, has_base=any(kind == "base" for _, kind in columns))
            self._ask_percent(speech)
            self.beside = [(other, kind, self._ask_factor(other, kind)) for other, kind in columns]
            self._ask_named()

    def applied(self, row: int, reading: Reading, scale: Callable[[Fraction], object]) -> Reading:
        """Return a reading with its number for one product; `scale` multiplies and rounds it."""
        if reading.value is None:
            return reading
        if self.open:
            message = "What the words around it do to the number is not said."
            return offered("", self.open[0], message)
        factor = self.whole
        for other, kind, said in self.beside:
            raw = self.report.raw(row, other)
            value = _value(raw, kind)
            if value is None or (value == 0 and said == "divide"):
                message = f"The number beside it in column {column_letters(other.position)} "
                return refused("factor-not-read", f"{message}cannot be used.")
            if value in NEUTRAL[kind] or is_empty(raw):
                continue
            if not said:
                message = "What the number beside it does to it is not said."
                return offered("", "factor", message)
            factor *= _effect(said, value)
        if row in self.named:
            if not self.said:
                return offered("", "named-base", "For how many products it counts is not said.")
            factor *= _effect(self.said, Fraction(self.named[row]))
        if factor == 1:
            return reading
        code = reading.code or "for-one-product"
        message = f"{reading.message} Counted for one product: times {_shown(factor)}.".strip()
        return Reading(scale(factor), reading.severity, code, message, reading.hint)

    def _ask_named(self) -> None:
        """Ask about rows whose own words name a base: "every 8th unit", "je 10 Stück"."""
        if self.what != "times":
            return
        columns = [
            c
            for c in self.report.mapping.columns
            if c.target in {Target.NAME, Target.REMARK, Target.LEFT_OUT}
            if not factor_kind(c.heading)
        ]
        texts: dict[int, str] = {}
        for row in self.rows:
            for column in columns:
                raw = self.report.raw(row, column)
                base = named_base(raw) if isinstance(raw, str) else None
                if base is not None:
                    self.named[row], texts[row] = base, str(raw)[:80]
        if self.named:
            row = next(iter(self.named))
            self.said = self.report.ask(
                "named-base",
                list(self.named),
                self.column,
                said=texts[row],
                example=stood(self.report.raw(row, self.column)),
                base=str(self.named[row]),
                quotient=self._scaled(row, Fraction(1, self.named[row])),
                product=self._scaled(row, Fraction(self.named[row])),
            )

    def _ask_base(self, speech: Speech, *, has_base: bool) -> None:
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
                product=self._scaled(self.rows[0], Fraction(base)),
            )
            self.whole = _effect(answer, Fraction(base))
            self.open += [] if answer else ["base"]
        elif self.what == "times" and not has_base and (lot := spoken_lot(self.column.heading)):
            heading = heading_words(self.column)
            answer = self.report.ask(
                "lot", self.rows, self.column, heading=heading, lot=lot, example=example
            )
            self.open += [] if answer == "as-it-stands" else ["lot"]

    def _ask_percent(self, speech: Speech) -> None:
        """Ask about a percentage that the heading names: "at 80 %", "+ 12 % allowance"."""
        for text in (self.column.heading, *speech.below(self.column)):
            match = PERCENT.search(text)
            share = Fraction(match[1].replace(",", ".")) / 100 if match else Fraction(1)
            if match is None or share in NEUTRAL["percent"]:
                continue
            answer = self.report.ask(
                "percent",
                self.rows,
                self.column,
                said=text[:80],
                percent=match[1],
                what=self.what,
                heading=heading_words(self.column),
                example=stood(self.report.raw(self.rows[0], self.column)),
                product=self._scaled(self.rows[0], share),
                more=self._scaled(self.rows[0], 1 + share),
            )
            self.whole *= _effect(answer, share)
            self.open += [] if answer else ["percent"]
            return

    def _columns(self) -> list[tuple[MappedColumn, str]]:
        """Return the columns that hold such numbers, not all 1, each with its kind."""
        found: list[tuple[MappedColumn, str]] = []
        has_parts = self.report.mapping.of(Target.PARTS) is not None
        for other in self.report.mapping.columns:
            kind = factor_kind(other.heading)
            if other.target == Target.PART_QUANTITY and kind in {"", "quantity"}:
                kind = "" if has_parts else "quantity"
            if other.target == Target.UNIT:
                kind = "pack"
            is_kind = (
                kind in {"base", "pack", "percent"}
                if self.what != "times"
                else kind not in {"", "pack"}
            )
            if not is_kind or other.target in NOT_FACTORS:
                continue
            if spoken_rate(other.heading):
                continue
            if (self.column.position, other.position) in self.report.counted:
                continue
            cells = [self.report.raw(row, other) for row in self.rows]
            values = [_value(raw, kind) for raw in cells if not is_empty(raw)]
            read = [value for value in values if value is not None]
            is_used = any(value not in NEUTRAL[kind] for value in read)
            if len(read) >= SHARE * max(len(values), 1) and is_used:
                found.append((other, kind))
        return found

    def _ask_factor(self, other: MappedColumn, kind: str) -> str:
        """Ask what the numbers of another column do."""
        values = {row: _value(self.report.raw(row, other), kind) for row in self.rows}
        rows = [
            row
            for row, value in values.items()
            if value is not None and value not in NEUTRAL[kind]
            if not is_empty(self.report.raw(row, other))
        ]
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
            more=self._scaled(row, 1 + value),
            percent=f"{float(value * 100):.6g}",
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
    for kind in ("frequency", "base", "persons", "percent"):
        phrases = FACTOR_PHRASES[kind]
        if bare in phrases or whole in phrases:
            return kind
        if speaks_of(bare, (p for p in phrases if len(p) > 5)):
            return kind
    return "quantity" if bare in PHRASES_OF_QUANTITY else ""


PHRASES_OF_QUANTITY = next(
    phrases
    for targets in PHRASES.values()
    for target, phrases in targets.items()
    if target == Target.PART_QUANTITY
)


def named_base(text: str) -> int | None:
    """Return the number of products that the words of a row say its time is for, or None.

    >>> [named_base(t) for t in ("Change reel (every 8th unit)", "Prüfen je 10 Stk", "Fit 4 pcs")]
    [8, 10, None]
    """
    match = EVERY.search(text)
    base = int(match["base"]) if match else spoken_base(text, is_heading=False)
    return base if base is not None and base > 1 else None


def _effect(said: str, value: Fraction) -> Fraction:
    """Return what a number is to be multiplied by."""
    match said:
        case "multiply" | "times-percent":
            return value
        case "divide":
            return 1 / value
        case "add-percent":
            return 1 + value
    return Fraction(1)


def _value(raw: RawCell, kind: str) -> Fraction | None:
    """Return the number in a cell that others are multiplied by; an empty one counts as 1."""
    if is_empty(raw):
        return Fraction(1)
    text = plain_text(stood(raw))
    if kind == "pack":
        if per := re.search(r"/\s*(\d+)", text):
            return Fraction(1, int(per[1]) or 1)
        digits = re.match(r"\d+", text)
        count = int(digits[0]) if digits else PACKS.get(text.casefold().strip(". "), 1)
        return Fraction(count or 1)
    if kind == "percent":
        bare = text.removesuffix("%").strip()
        value = read_number(bare.replace(",", "."), ".").value
        if isinstance(raw, float | int) and not isinstance(raw, bool):
            value = read_number(raw).value
        return Fraction(str(value)) / 100 if value is not None else None
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
