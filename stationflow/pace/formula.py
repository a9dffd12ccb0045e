"""Formulas as rows: a number and the text with the values put in come from one formula."""

import ast
import math
import operator
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from stationflow.model import Explained, cross_checked
from stationflow.pace.figures import figure, fraction

OPERATORS = {
    ast.Add: operator.add,
    ast.Sub: operator.sub,
    ast.Mult: operator.mul,
    ast.Div: operator.truediv,
}


@dataclass(frozen=True, slots=True)
class Value:
    """A number that is put into a formula, and how it is written there."""

    number: Fraction
    text: str


def plain(number: float | Fraction, decimals: int = 6) -> Value:
    """Return a value without a unit."""
    return Value(fraction(number), figure(number, decimals))


def entered_time(seconds: float | Fraction) -> Value:
    """Return a time that somebody entered."""
    return Value(fraction(seconds), f"{figure(seconds)} s")


def computed_time(seconds: Fraction) -> Value:
    """Return a time that came out of another formula."""
    return Value(seconds, f"{figure(seconds, 3, keep_zeros=True)} s")


def rounded_time(seconds: float | Fraction) -> Value:
    """Return a time with three places at most."""
    return Value(fraction(seconds), f"{figure(seconds, 3)} s")


@dataclass(frozen=True, slots=True, kw_only=True)
class Formula:
    """One formula as a row: what it gives, how, and where it stands."""

    # name, unit, source, other, key: as in `Explained`
    name: str
    # the right side in words: "working time x lines / good units wanted". It is what is computed:
    # values are put in by their words, with + - x / and parentheses between.
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

    def worked(self, values: Mapping[str, Value]) -> Value:
        """Return what the right side gives, and its text with the values put in."""
        words = sorted(values, key=len, reverse=True)
        pattern = re.compile("|".join(map(re.escape, words)))
        numbers = {f"n{at}": values[word].number for at, word in enumerate(words)}
        terms = pattern.sub(lambda found: f"n{words.index(found[0])}", self.right)
        tree = ast.parse(terms.replace(" x ", " * "), mode="eval").body
        text = pattern.sub(lambda found: values[found[0]].text, self.right)
        return Value(_value(tree, numbers), text)

    def opened(
        self, values: Mapping[str, Value], again: float | None = None, result: str = ""
    ) -> tuple[Fraction, Explained]:
        """Return the number exactly, and opened; `again` is what the independent way gives.

        `result` is how the number stands at the end; by default with three places and its unit.
        """
        worked = self.worked(values)
        value = Fraction(math.ceil(worked.number)) if self.is_rounded_up else worked.number
        if not result:
            result = figure(worked.number, 3, keep_zeros=self.unit == "s")
            result = f"{result}, rounded up {value}" if self.is_rounded_up else result
            result = f"{result} {self.unit}".strip()
        number = self.told(float(value), f"{worked.text} = {result}")
        return value, cross_checked(number, again, self.how)

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
        case ast.Name(id=name):
            return numbers[name]
        case ast.Constant(value=int(number)):
            return Fraction(number)
    raise ValueError(f"a formula is made of + - x / and words, not of {ast.unparse(node)}")
