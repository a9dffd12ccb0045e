"""Formulas as rows: a number and the text with the values put in come from one formula.

Worked out as it is printed, a text gives the printed number to its printed digits: values carry so
many digits, or stand as a quotient where no number of digits would do.
"""

import ast
import math
import operator
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from stationflow.model import Explained, cross_checked
from stationflow.pace.figures import MOST_PLACES, figure, fraction
from stationflow.units import TimeUnit

OPERATORS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}
FUNCTIONS: dict[str, Callable[..., Fraction]] = {
    "max": max,
    "rounded_up": lambda number: Fraction(math.ceil(number)),
    "square_root_of": lambda number: Fraction(Decimal(str(float(number))).sqrt()),
}
SHOWN_PLACES = 4
"""A number is shown with so many places in lists, whatever its formula prints."""
MOST_MORE = 12
MOST_TERMS = 12
"""Terms of a sum that are written; more are written as one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """How a number is written."""

    places: int = 3  # at most
    unit: str = ""
    keep_zeros: bool = False

    def figure(self, number: Fraction, more: int = 0) -> str:
        """Return a number without its unit, with some more places than usual."""
        return figure(number, self.places + more, keep_zeros=self.keep_zeros)

    def text(self, number: Fraction, more: int = 0) -> str:
        """Return a number with its unit."""
        return f"{self.figure(number, more)} {self.unit}".strip()

    def is_same(self, one: Fraction, other: Fraction, more: int = 0) -> bool:
        """Return whether two numbers are written alike, here and in lists."""
        return self.figure(one, more) == self.figure(other, more) and (
            figure(one, SHOWN_PLACES) == figure(other, SHOWN_PLACES)
        )


@dataclass(frozen=True, slots=True)
class Value:
    """A number that is put into a formula, and how it is written there."""

    number: Fraction
    written: Written | str  # a text gives exactly the number
    note: str = ""  # what it is, behind it in parentheses

    def text(self, more: int | None = 0) -> str:
        """Return the value with so many more places than usual; None: as a quotient."""
        text = self._text(more)
        return f"{text} ({self.note})" if self.note else text

    def _text(self, more: int | None) -> str:
        if isinstance(self.written, str):
            return self.written
        if more is not None:
            return self.written.text(self.number, more)
        return f"{exact_text(self.number)} {self.written.unit}".strip()

    def printed(self, more: int) -> Fraction:
        """Return the number that is read from the text."""
        if isinstance(self.written, str):
            return self.number
        return Fraction(self.written.figure(self.number, more).replace(" ", ""))


def exact_text(number: Fraction) -> str:
    """Return a number with all its digits, or as a quotient where they do not end.

    >>> exact_text(Fraction(5, 4)), exact_text(Fraction(20_000, 3))
    ('1.25', '(20 000 / 3)')
    """
    over, under = number.as_integer_ratio()
    if 10**MOST_PLACES % under == 0:
        return figure(number, MOST_PLACES)
    return f"({over:,} / {under:,})".replace(",", " ")


def plain(number: float | Fraction, places: int = 6) -> Value:
    """Return a value without a unit."""
    return Value(fraction(number), Written(places=places))


def entered_time(seconds: float | Fraction) -> Value:
    """Return a time that somebody entered."""
    return Value(fraction(seconds), Written(places=6, unit="s"))


def computed_time(seconds: Fraction) -> Value:
    """Return a time that came out of another formula."""
    return Value(seconds, Written(unit="s", keep_zeros=True))


def rounded_time(seconds: float | Fraction) -> Value:
    """Return a time with three places at most."""
    return Value(fraction(seconds), Written(unit="s"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One formula as a row: what it gives, how, and where it stands."""

    # name, unit, source, other, key: as in `Explained`
    name: str
    # the right side in words: "working time x lines / good units wanted". It is what is computed:
    # values are put in by their words, with + - x /, parentheses and `FUNCTIONS` between.
    right: str
    source: str
    unit: str = ""
    left: str = ""  # what stands before the equals sign; empty: the name
    tail: str = ""  # what follows the right side: ", per day"
    # whether the number is the whole one that is not below what the right side gives
    is_rounded_up: bool = False
    other: str = ""
    key: str = ""
    how: str = ""  # the independent way to the same number, as the subject of a sentence

    def number(self, values: Mapping[str, Value]) -> Fraction:
        """Return what the right side gives, exactly."""
        return self._parsed(values)[0]({word: value.number for word, value in values.items()})

    def opened(
        self,
        values: Mapping[str, Value],
        again: float | None = None,
        written: Written | None = None,
        unit: TimeUnit = TimeUnit.SECOND,
    ) -> tuple[Fraction, Explained]:
        """Return the number exactly, and opened; `again` is what the independent way gives.

        `written` is how the number stands at the end; by default with three places and its unit.
        A time in seconds stands there in `unit` too.
        """
        written = written or Written(unit=self.unit, keep_zeros=self.unit == "s")
        result = self.number(values)
        value = Fraction(math.ceil(result)) if self.is_rounded_up else result
        text = self.worked(values, written, unit)
        return value, cross_checked(self.told(float(value), text), again, self.how)

    def worked(
        self,
        values: Mapping[str, Value],
        written: Written = Written(),
        unit: TimeUnit = TimeUnit.SECOND,
    ) -> str:
        """Return the text with the values put in, and what they give."""
        values = {word: value for word, value in values.items() if word in self.right}
        compute, put_in = self._parsed(values)
        result = self.number(values)
        shown = Result(result, written, unit, self.is_rounded_up)
        more_shown = next((m for m in range(MOST_MORE) if shown.is_enough(m)), MOST_MORE)
        end = shown.text(more_shown)

        def holds(more: int) -> bool:
            try:
                got = compute({word: value.printed(more) for word, value in values.items()})
            except ZeroDivisionError:
                return False
            is_whole = not self.is_rounded_up or math.ceil(got) == math.ceil(result)
            return is_whole and written.is_same(got, result, more_shown)

        enough = next((more for more in range(MOST_MORE) if holds(more)), None)
        text = put_in({word: value.text(enough) for word, value in values.items()})
        return f"{text} = {end}"

    def _parsed(
        self, values: Mapping[str, Value]
    ) -> tuple[Callable[[Mapping[str, Fraction]], Fraction], Callable[[Mapping[str, str]], str]]:
        """Return the right side as a function of numbers, and of texts to be put in."""
        words = sorted(values, key=len, reverse=True)
        pattern = re.compile("|".join(map(re.escape, words)))
        terms = pattern.sub(lambda found: f"n{words.index(found[0])}", self.right)
        terms = terms.replace(" x ", " * ")
        for name in FUNCTIONS:
            terms = re.sub(rf"{name.replace('_', ' ')} ?\(", f"{name}(", terms)
        tree = ast.parse(terms, mode="eval").body

        def compute(numbers: Mapping[str, Fraction]) -> Fraction:
            return _value(tree, {f"n{at}": numbers[word] for at, word in enumerate(words)})

        def put_in(texts: Mapping[str, str]) -> str:
            return pattern.sub(lambda found: texts[found[0]], self.right)

        return compute, put_in

    def told(self, value: float | None, worked: str) -> Explained:
        """Return a number with other words than its values put in."""
        tail = f"{self.tail}{', rounded up' if self.is_rounded_up else ''}"
        return Explained(
            name=self.name,
            value=value,
            unit=self.unit,
            formula=f"{self.left or self.name} = {self.right}{tail}",
            worked=worked,
            source=self.source,
            other=self.other,
            key=self.key,
        )


def _value(node: ast.expr, numbers: Mapping[str, Fraction]) -> Fraction:
    """Return what an expression of numbers gives, exactly."""
    match node:
        case ast.BinOp(left=left, op=op, right=right):
            result: Fraction = OPERATORS[type(op)](_value(left, numbers), _value(right, numbers))
            return result
        case ast.Call(func=ast.Name(id=name), args=args) if name in FUNCTIONS:
            return Fraction(FUNCTIONS[name](*(_value(each, numbers) for each in args)))
        case ast.Name(id=name) if name in numbers:
            return numbers[name]
        case ast.Constant(value=int(number)):
            return Fraction(number)
    raise ValueError(f"a formula is made of + - x / and words, not of {ast.unparse(node)}")


@dataclass(frozen=True, slots=True)
class Result:
    """What stands behind the equals sign."""

    number: Fraction
    written: Written
    unit: TimeUnit = TimeUnit.SECOND  # a time in seconds stands there in this unit too
    is_rounded_up: bool = False

    @property
    def has_unit(self) -> bool:
        """Whether the number stands there in another unit too."""
        return self.unit != TimeUnit.SECOND and self.written.unit == "s"

    def in_unit(self, seconds: Fraction) -> str:
        """Return a time in the other unit."""
        return Written(places=self.unit.decimals + 2, unit=self.unit.label).text(
            seconds * 1000 / self.unit.milliseconds
        )

    def is_enough(self, more: int) -> bool:
        """Return whether so many more places give what follows: the next whole, the other unit."""
        printed = Value(self.number, self.written).printed(more)
        is_whole = not self.is_rounded_up or math.ceil(printed) == math.ceil(self.number)
        return is_whole and (
            not self.has_unit or self.in_unit(printed) == self.in_unit(self.number)
        )

    def text(self, more: int = 0) -> str:
        """Return the number, and what follows from it."""
        text = self.written.figure(self.number, more)
        if self.is_rounded_up:
            text += f", rounded up {math.ceil(self.number)}"
        text = f"{text} {self.written.unit}".strip()
        return f"{text} = {self.in_unit(self.number)}" if self.has_unit else text


def summed(terms: Sequence[Value], written: Written, others: str = "others") -> str:
    """Return a sum with the note of each term, and what it gives: "30 (task 1) + 20 = 50 s".

    Of many terms the last ones are written as one, with their count and `others`.
    """
    shown, bare = list(terms), replace(written, unit="")
    if len(shown) > MOST_TERMS:
        rest = shown[MOST_TERMS - 1 :]
        total = sum((value.number for value in rest), Fraction(0))
        shown[MOST_TERMS - 1 :] = [Value(total, bare, f"{len(rest)} {others}")]
    words = {f"term {at}.": value for at, value in enumerate(shown)}
    return Formula(name="sum", right=" + ".join(words), source="").worked(words, written)
