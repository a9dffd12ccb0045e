"""Rows that hold other rows together: sums with a number of their own, and levels of a list."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from difflib import get_close_matches
from fractions import Fraction
from itertools import pairwise

from stationflow.files.foreign.column_mapping import MappedColumn, Target
from stationflow.files.foreign.columns.column_content import PARTED
from stationflow.files.foreign.columns.foreign_cells import is_empty, read_number
from stationflow.files.foreign.foreign_sheet import stood
from stationflow.files.foreign.heading_words import FACTOR_PHRASES, simplified
from stationflow.files.foreign.import_report import Report, heading_words, left_out, offered
from stationflow.files.foreign.rows.row_kinds import SheetRow, says_total

LEAST_SUM = 3  # rows whose sum is no chance
CLOSE = Decimal("0.005")
PLACE = re.compile(r"\d+(?:\.\d+)+")
LEVEL = re.compile(r"\s*(?P<dots>[.\s\u00b7>+*-]*)(?P<number>\d{1,2})\s*")


@dataclass(slots=True)
class _Run:
    """Rows one after the other, and their sum."""

    total: Decimal = Decimal(0)
    count: int = 0
    first: int = 0

    def add(self, at: int, amount: Decimal) -> None:
        self.first = self.first if self.count else at
        self.total += amount
        self.count += 1


class Summaries:
    """Finds tasks that are the sum of others, and asks whether they are tasks."""

    def __init__(self, report: Report, rows: Sequence[SheetRow]) -> None:
        self.report = report
        self.rows = list(rows)
        mapping = report.mapping
        times = mapping.all_of(Target.TIME) or mapping.all_of(Target.MODEL_TIME)
        self.time = times[0] if times else None
        self.name = mapping.of(Target.NAME)
        self.arrows = [*mapping.all_of(Target.PREDECESSORS), *mapping.all_of(Target.FOLLOWERS)]
        self.gone: set[str] = set()
        texts = (stood(report.raw(row.row, column)) for row in self.rows for column in self.arrows)
        self.named = {piece for text in texts for piece in PARTED.split(text) if piece}

    def without(self) -> list[SheetRow]:
        """Return the rows that are tasks; `gone` are the numbers of the others."""
        amounts = [self._amount(row) for row in self.rows]
        found = {**self._by_sum(amounts), **self._by_number(amounts), **self._by_level(amounts)}
        if not found:
            return self.rows
        at = sorted(found)
        places = [self.rows[n].row for n in at]
        first = at[0]
        answer = self.report.ask(
            "summaries",
            places,
            at=[self.time] if self.time else (),
            evidence=" ".join(dict.fromkeys(found[n] for n in at[:3])),
            numbers=", ".join(self.rows[n].number for n in at[:8]),
            example=self.rows[first].number,
        )
        if answer == "tasks":
            return self.rows
        for n in at:
            self.gone.add(self.rows[n].number)
            message = f"Row {self.rows[n].number} holds other tasks together; it was left out."
            said = left_out("summary", message) if answer else offered("", "summary", message)
            self.report.take(self.rows[n].row, None, said)
        return [row for n, row in enumerate(self.rows) if n not in found]

    def _amount(self, row: SheetRow) -> Decimal | None:
        """Return the number in the time column of a row."""
        raw = self.report.raw(row.row, self.time)
        for sign in (".", ","):
            value = read_number(raw, sign).value
            if isinstance(value, Decimal):
                return value
        return None

    def _by_number(self, amounts: Sequence[Decimal | None]) -> dict[int, str]:
        """Return rows whose number begins those of others, and whose time is theirs or none."""
        found: dict[int, str] = {}
        numbers = [row.number for row in self.rows]
        parents: dict[int, list[int]] = {}
        place = {number: n for n, number in enumerate(numbers)}
        for n, number in enumerate(numbers):
            upper = re.sub(r"[.\-/][^.\-/]*$", "", number)
            if upper != number and (at := place.get(upper)) is not None:
                parents.setdefault(at, []).append(n)
        for at, inner in parents.items():
            total = sum((amounts[n] or Decimal(0) for n in inner), Decimal(0))
            if _is_sum(amounts[at], total):
                listed = " + ".join(numbers[n] for n in inner[:6])
                found[at] = f"The time of {numbers[at]} is that of {listed} together."
            elif amounts[at] is None and total:
                found[at] = f"{numbers[at]} has no time; {numbers[inner[0]]} and others are below."
        return found

    def _by_level(self, amounts: Sequence[Decimal | None]) -> dict[int, str]:
        """Return rows above others of a deeper level, whose time is theirs or none."""
        column = level_column(self.report, [row.row for row in self.rows])
        if column is None:
            return {}
        levels = [read_level(stood(self.report.raw(row.row, column))) for row in self.rows]
        found: dict[int, str] = {}
        for at, level in enumerate(levels):
            if level is None:
                continue
            end = at + 1
            while end < len(levels) and (deeper := levels[end]) is not None and deeper > level:
                end += 1
            inner = range(at + 1, end)
            direct = [n for n in inner if levels[n] == level + 1]
            total = sum((amounts[n] or Decimal(0) for n in direct), Decimal(0))
            if inner and (amounts[at] is None or _is_sum(amounts[at], total)):
                found[at] = f"Rows of a deeper level follow below {self.rows[at].number}."
        return found

    def _by_sum(self, amounts: Sequence[Decimal | None]) -> dict[int, str]:
        """Return rows whose time is the sum of rows in a row above or below them."""
        found: dict[int, str] = {}
        # Rows with a time that are no sums: of all above, and since the last sum.
        runs = [_Run(), _Run()]
        for at, amount in enumerate(amounts):
            if not amount:
                continue
            name = stood(self.report.raw(self.rows[at].row, self.name))
            says_so = says_total(name) or says_total(self.rows[at].number)
            is_last = at == len(amounts) - 1
            least = 2 if says_so or self._stands_apart(at) else LEAST_SUM
            run = next((r for r in runs if r.count >= least and _is_sum(amount, r.total)), None)
            if run is not None:
                first = self.rows[run.first].number
                found[at] = f"The time of {self.rows[at].number} is the sum of the {run.count} rows"
                found[at] += f" above, from {first} on."
                runs[1] = _Run()
                continue
            if says_so and is_last and at > 1:
                found[at] = f"{self.rows[at].number} is called {name[:40]!r}."
            elif self._is_sum_below(amounts, at):
                found[at] = f"The time of {self.rows[at].number} is the sum of rows right below."
            else:
                for each in runs:
                    each.add(at, amount)
        return found

    def _is_sum_below(self, amounts: Sequence[Decimal | None], at: int) -> bool:
        """Return whether rows right below a row have its time together."""
        total, amount = Decimal(0), amounts[at] or Decimal(0)
        for below in range(at + 1, len(amounts)):
            count = below - at
            total += amounts[below] or Decimal(0)
            if total > amount:
                return False
            if total == amount:
                return count >= (2 if self._stands_apart(at) else LEAST_SUM)
        return False

    def _stands_apart(self, at: int) -> bool:
        """Return whether a row has no arrows and no list names it, where others have some."""
        rows = (self.rows[at].row, *self.rows[at].further)
        return (
            bool(self.named)
            and self.rows[at].number not in self.named
            and all(
                is_empty(self.report.raw(row, column)) for row in rows for column in self.arrows
            )
        )


def _is_sum(amount: Decimal | None, total: Decimal) -> bool:
    """Return whether an amount is a sum, but for rounding."""
    return amount is not None and total > 0 and abs(amount - total) <= CLOSE * total


def level_column(report: Report, rows: Sequence[int]) -> MappedColumn | None:
    """Return the column that holds the levels of a list, or None."""
    for column in report.mapping.columns:
        if column.target != Target.LEFT_OUT:
            continue
        texts = [stood(report.raw(row, column)) for row in rows]
        filled = [text for text in texts if text.strip()]
        levels = [level for text in filled if (level := read_level(text)) is not None]
        if len(filled) < 2 or len(levels) < len(filled) or len(set(levels)) < 2:
            continue
        steps = [after - before for before, after in pairwise(levels)]
        has_dots = any(text.lstrip()[:1] in ".>" for text in filled)
        is_tree = max(steps) == 1 and levels[0] == min(levels) and min(levels) < 2
        is_named = _is_level(simplified(column.heading))
        if (
            is_named
            or has_dots
            or (is_tree and max(levels) > 1 and min(steps) < 0 and not column.heading)
        ):
            return column
    return None


def _is_level(heading: str) -> bool:
    """Return whether a heading says level, be it misspelt."""
    words = FACTOR_PHRASES["level"]
    return heading in words or (
        len(heading) > 3 and bool(get_close_matches(heading, words, 1, 0.75))
    )


def read_level(text: str) -> int | None:
    """Return the level that a cell names; None: none.

    >>> [read_level(text) for text in ("2", "..2", ". 1", "x")]
    [2, 2, 1, None]
    """
    match = LEVEL.fullmatch(text)
    return int(match["number"]) if match else None


def part_levels(
    report: Report, rows: Sequence[int]
) -> tuple[MappedColumn | None, dict[int, int | None]]:
    """Return the column that tells levels of parts, and the level of each row.

    A column of levels, of places like 1 and 1.1, or blanks before the names.
    """
    if (column := level_column(report, rows)) is not None:
        return column, {row: read_level(stood(report.raw(row, column))) for row in rows}
    for column in report.mapping.columns:
        texts = {row: stood(report.raw(row, column)).strip() for row in rows}
        places = set(texts.values())
        upper = [text.rpartition(".")[0] for text in places if PLACE.fullmatch(text)]
        if column.target == Target.LEFT_OUT and upper and places.issuperset(upper):
            return column, {row: text.count(".") for row, text in texts.items()}
    name = report.mapping.of(Target.PART_NAME)
    indents = {
        row: len(raw) - len(raw.lstrip()) if isinstance(raw := report.raw(row, name), str) else 0
        for row in rows
    }
    steps = sorted(set(indents.values()))
    if len(steps) < 2 or not rows or indents[rows[0]] != steps[0]:
        return None, {}
    return name, {row: steps.index(indent) for row, indent in indents.items()}


def level_factors(
    report: Report, rows: Sequence[int], quantity: MappedColumn
) -> dict[int, Fraction]:
    """Return what the quantity of each part is to be multiplied by, by the parts above it.

    Asks whether a quantity counts in the part above; empty: there are no levels, or it does not.
    A row whose factor is 0 has no answer yet.
    """
    column, levels = part_levels(report, rows)
    if column is None:
        return {}
    above: list[tuple[int, Fraction]] = []
    factors: dict[int, Fraction] = {}
    first: tuple[int, Fraction, Fraction] | None = None
    for row in rows:
        level = levels[row]
        own = read_number(report.raw(row, quantity), ".").value
        number = Fraction(str(own)) if isinstance(own, Decimal) else Fraction(1)
        if level is None:
            continue
        while above and above[-1][0] >= level:
            above.pop()
        factor = above[-1][1] if above else Fraction(1)
        factors[row] = factor
        above.append((level, factor * number))
        if factor != 1 and first is None:
            first = (row, number, factor)
    if first is None:
        return {}
    row, number, factor = first
    several = [r for r in rows if factors.get(r, 1) != 1]
    answer = report.ask(
        "levels",
        several,
        quantity,
        heading=heading_words(column),
        example=stood(report.raw(row, quantity)),
        row=str(row),
        product=f"{float(number * factor):.6g}",
        factor=f"{float(factor):.6g}",
    )
    if answer == "as-it-stands":
        return {}
    return factors if answer else dict.fromkeys(several, Fraction(0))
