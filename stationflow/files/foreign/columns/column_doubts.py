"""Columns that could be the same thing, hidden ones, and ones left out that hold something."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from stationflow.files.foreign.column_mapping import (
    REMEMBERED,
    TIME_TARGETS,
    ColumnMapping,
    MappedColumn,
    TableKind,
    Target,
)
from stationflow.files.foreign.columns.column_content import PARTED, TIME
from stationflow.files.foreign.columns.foreign_cells import is_empty, read_number
from stationflow.files.foreign.columns.headings import BRACKETS, heading_unit
from stationflow.files.foreign.columns.number_lists import RELATION
from stationflow.files.foreign.columns.piece_factors import factor_kind
from stationflow.files.foreign.columns.spoken_units import spoken_rate, unit_of_word
from stationflow.files.foreign.foreign_sheet import DateCell, column_letters, stood
from stationflow.files.foreign.heading_words import (
    FACTOR_PHRASES,
    PHRASES,
    QUALIFIERS,
    TIME_WORDS,
    simplified,
    speaks_of,
)
from stationflow.files.foreign.import_report import OfferChoice, Report, heading_words
from stationflow.model.schema.cells import tidy
from stationflow.units import TimeUnit, milliseconds

SHARE = 0.8
MOST_ROWS = 2_000  # that are looked at
COMPOUND = re.compile(r"zeit|time|temps|tiempo|dauer|dur[eé]e|duraci|czas|tijd", re.IGNORECASE)
RATE = re.compile(
    r"(?:/|\bper|\bje|\bpro|\bpar|\bpor)\s*(?:h|hr|hour|std|stunde|min|day|shift|schicht)\b",
    re.IGNORECASE,
)
PERIODS = {TimeUnit.HOUR: "an hour", TimeUnit.MINUTE: "a minute", TimeUnit.SECOND: "a second"}
LEAVE = "leave-out"
SUM = "sum"
# What a column that speaks of time may have been taken for by another word of its heading.
APART = TIME_TARGETS | {
    Target.NUMBER, Target.NAME, Target.PREDECESSORS, Target.FOLLOWERS, Target.STEP,
    Target.KEY_POINT, Target.REASON, Target.REMARK,
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Total:
    """A column that is the sum of others, or one of them times another."""

    words: str
    whole: int
    by: int | None = None


class ColumnDoubts:
    """Asks what only a person can say of the columns, and returns the mapping that follows."""

    def __init__(self, report: Report) -> None:
        self.report = report
        self.sheet = report.sheet
        self.mapping = report.mapping
        last = min(len(self.sheet.rows), self.mapping.first_data_row + MOST_ROWS)
        self.rows = range(self.mapping.first_data_row, last + 1)

    def settled(self) -> ColumnMapping:
        """Return the mapping as it is to be read."""
        if self.mapping.kind == TableKind.TASKS:
            self._which(Target.TIME, self._time_candidates(), "the time of the tasks")
            self._rate()
            self._which_number()
            self._arrows()
        else:
            self._which(Target.QUANTITY, self._quantity_candidates(), "the quantity in one product")
        self._hidden()
        return self.mapping

    def _which(self, target: Target, others: list[MappedColumn], what: str) -> None:
        """Ask which of several columns is meant, unless they say the same."""
        own = self.mapping.of(target)
        is_chosen = own is not None and own.why in {"", REMEMBERED}
        if is_chosen or not others:
            return
        differing = [c for c in others if own is None or not self._same(own, c)]
        columns = sorted(([own] if own else []) + differing, key=lambda c: c.position)
        if not differing:
            return
        row = next(
            (
                row
                for row in self.rows
                if len({stood(self.report.raw(row, c)) for c in columns}) > 1 or len(columns) == 1
            ),
            self.rows[0],
        )
        shown = [
            OfferChoice(column_letters(c.position), f"{self._called(c)}: {self._stood(row, c)}")
            for c in columns
        ]
        total = self._total_of(columns)
        if len(columns) > 1 and total is None and target == Target.TIME:
            numbers = " + ".join(self._stood(row, c) or "0" for c in columns)
            shown.append(OfferChoice(SUM, f"All of them together: {numbers}"))
        answer = self.report.ask(
            "which-column",
            [r for r in self.rows if any(not is_empty(self.report.raw(r, c)) for c in columns)],
            of=target.name.lower().replace("_", "-"),
            at=columns,
            likely=shown,
            evidence=total.words if total else "",
            columns=" and ".join(self._called(c) for c in columns),
            what=what,
        )
        if total is not None and answer == column_letters(total.whole) and total.by is not None:
            self.report.counted.add((total.whole, total.by))
        chosen = {c.position for c in columns if answer in {SUM, column_letters(c.position)}}
        self._put(
            {
                c.position: target if c.position in chosen else Target.LEFT_OUT
                for c in columns
                if c.position in chosen or c.target == target
            }
        )

    def _rate(self) -> None:
        """Ask whether the time is to be taken from a column of pieces made in an hour."""
        own = self.mapping.of(Target.TIME)
        if self.mapping.all_of(Target.MODEL_TIME):
            return
        for column in self.mapping.columns:
            period, numbers = spoken_rate(column.heading), self._numbers(column)
            row = next((row for row, number in numbers.items() if number > 0), None)
            if period is None or period not in PERIODS or row is None:
                continue
            if not self._is_rate(column) or (own and self._agrees(own, column, period)):
                continue
            time = milliseconds(Decimal(period.milliseconds) / numbers[row] / 1000)
            instead = "the tasks come without time"
            if own and own != column:
                instead = f"{self._called(own)} is right: {self._stood(row, own)}"
            answer = self.report.ask(
                "rate",
                list(numbers),
                column,
                heading=heading_words(column),
                period=PERIODS[period],
                example=self._stood(row, column),
                time=f"{time / 1000:g} s",
                instead=instead,
            )
            left = {c.position: Target.LEFT_OUT for c in (own, column) if c}
            if answer == "divide":
                self.report.rates[column.position] = period.milliseconds
                self._put(left | {column.position: Target.TIME})
            elif not answer or own in (None, column):
                self._put(left)
            return

    @staticmethod
    def _is_rate(column: MappedColumn) -> bool:
        """Return whether nobody chose that a column holds something else."""
        return column.target == Target.LEFT_OUT or bool(column.why)

    def _agrees(self, own: MappedColumn, rate: MappedColumn, period: TimeUnit) -> bool:
        """Return whether a column of times says what a rate does, or has no unit to tell."""
        if own == rate:
            return False
        unit, times = own.unit or heading_unit(own.heading), self._numbers(own)
        if unit is None:
            return True
        whole, close = Decimal(period.milliseconds) / unit.milliseconds, Decimal("0.02")
        return all(
            abs(times[row] * number - whole) <= close * whole
            for row, number in self._numbers(rate).items()
            if row in times
        )

    def _put(self, targets: dict[int, Target]) -> None:
        """Give columns other targets."""
        columns = tuple(
            replace(
                c,
                target=targets[c.position],
                model="",
                unit=heading_unit(c.heading) or c.unit
                if targets[c.position] in TIME_TARGETS
                else None,
            )
            if c.position in targets
            else c
            for c in self.mapping.columns
        )
        self.mapping = replace(self.mapping, columns=columns)
        self.report.mapping = self.mapping

    def _called(self, column: MappedColumn) -> str:
        hidden = ", hidden" if column.position in self.sheet.hidden_columns else ""
        return f"{column_letters(column.position)} {heading_words(column)}{hidden}"

    def _stood(self, row: int, column: MappedColumn) -> str:
        return stood(self.report.raw(row, column))[:30]

    def _numbers(self, column: MappedColumn) -> dict[int, Decimal]:
        """Return the numbers of a column by row."""
        found: dict[int, Decimal] = {}
        for row in self.rows:
            raw = self.report.raw(row, column)
            for sign in (".", ","):
                value = read_number(raw, sign).value
                if isinstance(value, Decimal):
                    found[row] = value
                    break
        return found

    def _is_numeric(self, column: MappedColumn) -> bool:
        """Return whether most cells of a column hold numbers or times."""
        raws = [self.report.raw(row, column) for row in self.rows]
        filled = [raw for raw in raws if not is_empty(raw)]
        numbers = self._numbers(column)
        times = sum(
            isinstance(raw, DateCell) or bool(TIME.fullmatch(tidy(stood(raw)))) for raw in filled
        )
        return bool(filled) and max(len(numbers), times) >= SHARE * len(filled)

    def _same(self, one: MappedColumn, other: MappedColumn) -> bool:
        """Return whether two columns say the same, also in two units that both name."""
        a, b = self._numbers(one), self._numbers(other)
        both = a.keys() & b.keys()
        if not both:
            return not self._is_numeric(other)
        units = [heading_unit(c.heading) or c.unit for c in (one, other)]
        first, second = (u.milliseconds if u else 1 for u in units)
        if None in units:
            first = second = 1
        close = Decimal("0.02")
        return len(both) >= SHARE * len(b) and all(
            abs(a[row] * first - b[row] * second) <= close * abs(a[row] * first) for row in both
        )

    def _total_of(self, columns: Sequence[MappedColumn]) -> Total | None:
        """Return which column is the sum, or the product, of others; None: none is."""
        numbers = {c.position: self._numbers(c) for c in self.mapping.columns}
        for whole in columns:
            rest = [c for c in columns if c != whole]
            rows = [
                r for r in numbers[whole.position] if all(r in numbers[c.position] for c in rest)
            ]
            if (
                len(rest) > 1
                and rows
                and all(
                    sum(numbers[c.position][r] for c in rest) == numbers[whole.position][r]
                    for r in rows
                )
            ):
                names = " + ".join(column_letters(c.position) for c in rest)
                words = f"{column_letters(whole.position)} is {names} in all {len(rows)} rows."
                return Total(words, whole.position)
            for one in rest:
                for by in self.mapping.columns:
                    if by.position in {whole.position, one.position}:
                        continue
                    own, factors = numbers[one.position], numbers[by.position]
                    shared = [r for r in numbers[whole.position] if r in own and r in factors]
                    if (
                        shared
                        and any(factors[r] != 1 for r in shared)
                        and all(own[r] * factors[r] == numbers[whole.position][r] for r in shared)
                    ):
                        at = [column_letters(c.position) for c in (whole, by, one)]
                        words = f"{at[0]} is {at[1]} {heading_words(by)} x {at[2]} in all "
                        return Total(f"{words}{len(shared)} rows.", whole.position, by.position)
        return None

    def _time_candidates(self) -> list[MappedColumn]:
        """Return further columns that could hold the time of the tasks."""
        own = self.mapping.of(Target.TIME)
        has_models = bool(self.mapping.all_of(Target.MODEL_TIME))
        found = [
            c
            for c in self.mapping.columns
            if c.target not in APART and (c.why or c.target == Target.LEFT_OUT)
            if self._speaks_of_time(c) and self._is_numeric(c)
            if spoken_rate(c.heading) not in PERIODS
        ]
        if own is None and not found and not has_models:
            found = [
                c
                for c in self.mapping.columns
                if c.target in {Target.LEFT_OUT, Target.PART_QUANTITY} and c.heading
                if spoken_rate(c.heading) not in PERIODS
                if self._is_numeric(c) and not factor_kind(c.heading) and not self._is_list(c)
            ]
        return [] if has_models and own is None else found

    def _speaks_of_time(self, column: MappedColumn) -> bool:
        """Return whether heading, unit below it, or cells of a column speak of time."""
        bare = simplified(BRACKETS.sub(" ", column.heading))
        has_word = speaks_of(bare, TIME_WORDS) or bool(COMPOUND.search(column.heading))
        if factor_kind(column.heading) and not has_word:
            return False
        if bare in QUALIFIERS and column.target == Target.LEFT_OUT:
            return True
        below = range(self.mapping.header_row + 1, self.mapping.first_data_row)
        has_unit = heading_unit(column.heading) is not None or any(
            unit_of_word(stood(self.sheet.cell(row, column.position))) is not None for row in below
        )
        texts = [stood(self.report.raw(row, column)) for row in self.rows]
        filled = [text for text in texts if text.strip()]
        has_times = bool(filled) and SHARE * len(filled) <= sum(
            bool(TIME.fullmatch(tidy(text))) for text in filled
        )
        is_rate = bool(RATE.search(column.heading)) and not has_word
        return (has_word or has_unit or has_times) and not is_rate

    def _quantity_candidates(self) -> list[MappedColumn]:
        """Return further columns that could hold the quantity of the parts."""
        phrases = PHRASES[TableKind.PARTS][Target.QUANTITY]
        found = [
            c
            for c in self.mapping.columns
            if c.target == Target.LEFT_OUT and not factor_kind(c.heading).startswith("base")
            if speaks_of(simplified(c.heading), (word for word in phrases if len(word) > 2))
            or re.search(r"menge|quanti|anzahl|cantidad|qty", c.heading, re.IGNORECASE)
            if self._is_numeric(c)
        ]
        if found or self.mapping.of(Target.QUANTITY):
            return found
        return [
            c
            for c in self.mapping.columns
            if c.target == Target.LEFT_OUT and c.heading and self._is_numeric(c)
            if not factor_kind(c.heading) and not self._is_place(c)
        ]

    def _is_place(self, column: MappedColumn) -> bool:
        """Return whether a column counts the rows, or names levels or places in the list."""
        numbers = list(self._numbers(column).values())
        is_count = len(set(numbers)) == len(numbers) > 1 and numbers == sorted(numbers)
        return is_count or simplified(column.heading) in FACTOR_PHRASES["level"]

    def _tokens(self, column: MappedColumn) -> list[list[str]]:
        """Return the pieces of each filled cell of a column."""
        texts = (tidy(stood(self.report.raw(row, column))) for row in self.rows)
        return [list(filter(None, PARTED.split(text))) for text in texts if text]

    def _is_list(self, column: MappedColumn) -> bool:
        """Return whether the cells of a column are lists of other tasks, the right way round."""
        number = self.mapping.of(Target.NUMBER)
        if number is None or factor_kind(column.heading):
            return False
        if simplified(column.heading) in FACTOR_PHRASES["level"]:
            return False
        own = {tidy(stood(self.report.raw(row, number))): row for row in self.rows}
        known, named, directions = 0, set(), set()
        filled = 0
        for row in self.rows:
            text = RELATION.sub("", stood(self.report.raw(row, column)))
            pieces = [p for p in PARTED.split(tidy(text)) if p]
            if not pieces:
                continue
            filled += 1
            at = [own.get(piece) for piece in pieces]
            if row in at:
                return False  # no list of others names the task itself
            if all(place is not None for place in at):
                known += 1
                named.update(pieces)
                directions |= {place < row for place in at if place is not None}
        return filled > 1 and known >= SHARE * filled and len(named) > 1 and len(directions) == 1

    def _arrows(self) -> None:
        """Ask about columns left out that hold the numbers of other tasks."""
        for column in self.mapping.columns:
            if column.target != Target.LEFT_OUT or (not column.heading and not column.why):
                continue
            if not self._is_list(column):
                continue
            rows = [r for r in self.rows if not is_empty(self.report.raw(r, column))]
            have = [t for t in (Target.PREDECESSORS, Target.FOLLOWERS) if self.mapping.of(t)]
            row = rows[0]
            answer = self.report.ask(
                "arrow-column",
                rows,
                column,
                heading=heading_words(column),
                example=self._stood(row, column),
                own=self._stood(row, self.mapping.of(Target.NUMBER) or column),
                evidence=f"It holds numbers of other tasks in {len(rows)} rows"
                + (
                    f"; column {self._called(self.mapping.of(have[0]) or column)} is read."
                    if have
                    else "."
                ),
            )
            if answer in {"predecessors", "followers"}:
                target = Target.PREDECESSORS if answer == "predecessors" else Target.FOLLOWERS
                self._put({column.position: target})

    def _which_number(self) -> None:
        """Ask which column holds the numbers that the predecessors name."""
        own = self.mapping.of(Target.NUMBER)
        arrows = self.mapping.of(Target.PREDECESSORS) or self.mapping.of(Target.FOLLOWERS)
        if own is None or arrows is None or own.why in {"", REMEMBERED}:
            return
        named = {piece for pieces in self._tokens(arrows) for piece in pieces}
        numbers = {tidy(stood(self.report.raw(row, own))) for row in self.rows}
        others: list[MappedColumn] = []
        for column in self.mapping.columns:
            if column.target != Target.LEFT_OUT:
                continue
            texts = [tidy(stood(self.report.raw(row, column))) for row in self.rows]
            filled = [text for text in texts if text]
            if len(set(filled)) < len(filled) or len(filled) < 2 or set(filled) == numbers:
                continue
            is_known = simplified(column.heading) in PHRASES[TableKind.TASKS][Target.NUMBER]
            if named and named <= set(filled) and (is_known or not named <= numbers):
                others.append(column)
        if not others:
            return
        columns = [own, *others]
        row = self.rows[0]
        answer = self.report.ask(
            "which-column",
            [r for r in self.rows if not is_empty(self.report.raw(r, own))],
            of="number",
            at=columns,
            likely=[
                OfferChoice(column_letters(c.position), f"{self._called(c)}: {self._stood(row, c)}")
                for c in columns
            ],
            without=(LEAVE,),
            evidence=f"The lists under {heading_words(arrows)} name numbers of "
            + ("both." if named <= numbers else f"{self._called(others[0])}."),
            columns=" and ".join(self._called(c) for c in columns),
            what="the task number that the lists name",
        )
        if not answer:
            self.report.is_closed = True
        elif answer != column_letters(own.position):
            chosen = next(c for c in others if column_letters(c.position) == answer)
            self._put({own.position: Target.LEFT_OUT, chosen.position: Target.NUMBER})

    def _hidden(self) -> None:
        """Ask whether hidden columns that hold something of the tasks are read."""
        for column in self.mapping.columns:
            is_used = column.target != Target.LEFT_OUT and column.why
            is_hidden = column.position in self.sheet.hidden_columns
            rows = [r for r in self.rows if not is_empty(self.report.raw(r, column))]
            if not is_used or not is_hidden or not rows:
                continue
            if any(o.startswith("which-column") for o in self.report.offers) and any(
                self.sheet.address(rows[0], column.position) in o.cells
                for o in self.report.offers.values()
            ):
                continue  # asked about already
            answer = self.report.ask(
                "hidden-column",
                rows,
                column,
                heading=heading_words(column),
                what=column.target.value,
                example=self._stood(rows[0], column),
            )
            if answer != "read":
                self._put({column.position: Target.LEFT_OUT})
