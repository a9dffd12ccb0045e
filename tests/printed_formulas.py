"""Read the text of a formula with its values put in, and work it out: for tests only.

A small parser of its own: numbers with thousands apart, units, + - x /, parentheses, max(),
rounded up(), square root of(), and notes in parentheses behind a value.
"""

import math
import re
from dataclasses import dataclass
from decimal import ROUND_FLOOR, Decimal
from fractions import Fraction

from stationflow.model import Explained

NUMBER = r"\d{1,3}(?: \d{3})+(?!\d)(?:\.\d+)?|\d+(?:\.\d+)?(?:e[+-]\d+)?"
NOTE = re.compile(
    r" \((?:task [^()]*|\d+ (?:others|tasks|more tasks)"
    r"|(?:reach|height|travel|turn) [^()]*|[^()]* (?:hold|up to \d h))\)"
)
UNITS = {"m²": "", "1/100 min": "cmin", "units/week": "", "h/week": "", "s a day": "", "m/s2": ""}
SECONDS = {
    "s": 1,
    "ms": Fraction(1, 1000),
    "min": 60,
    "h": 3600,
    "cmin": Fraction(3, 5),
    "TMU": Fraction(9, 250),
}
WORDS = {
    "kg",
    "W",
    "s",
    "ms",
    "min",
    "h",
    "cmin",
    "TMU",
    "units",
    "pcs",
    "m",
    "days",
    "shifts",
    "a",
    "day",
}
TOKEN = re.compile(rf"\s*(?:({NUMBER})|(max|rounded up|square root of)(?= ?\()|([a-zA-Z]+)|(.))")
RESULT = re.compile(
    rf"(-?(?:{NUMBER})) ?([a-zA-Z]*)(?:, rounded up (-?(?:{NUMBER})))?( [a-zA-Z]+)?"
)
LARGEST = re.compile(r"(largest|least) of (.*)")


class Misread(ValueError):
    """The text is not what a calculator could be fed."""


@dataclass
class Reader:
    """The tokens of an expression, read from the left."""

    tokens: list[str]

    def next(self) -> str:
        return self.tokens[0] if self.tokens else ""

    def take(self, wanted: str = "") -> str:
        if not self.tokens or (wanted and self.tokens[0] != wanted):
            raise Misread(f"{wanted!r} is missing before {self.tokens[:5]}")
        return self.tokens.pop(0)

    def sum(self) -> Fraction:
        total = self.product()
        while self.next() in ("+", "-"):
            total += self.product() if self.take() == "+" else -self.product()
        return total

    def product(self) -> Fraction:
        result = self.atom()
        while self.next() in ("x", "/"):
            result = result * self.atom() if self.take() == "x" else result / self.atom()
        return result

    def atom(self) -> Fraction:
        token = self.take()
        if token == "-":
            return -self.atom()
        if token == "(":
            inner = self.sum()
            self.take(")")
            return inner
        if token in ("max", "rounded up", "square root of"):
            self.take("(")
            inner = [self.sum()]
            while self.next() == ",":
                self.take()
                inner.append(self.sum())
            self.take(")")
            return called(token, inner)
        if not token[0].isdigit():
            raise Misread(f"{token!r} is no number")
        return Fraction(token.replace(" ", ""))


def called(name: str, numbers: list[Fraction]) -> Fraction:
    if name == "max":
        return max(numbers)
    if name == "rounded up":
        return Fraction(math.ceil(numbers[0]))
    over, under = numbers[0].as_integer_ratio()
    return Fraction((Decimal(over) / Decimal(under)).sqrt())


def expression(text: str) -> Fraction:
    """Return what an expression gives; units are passed over."""
    tokens = []
    for number, name, word, other in TOKEN.findall(text):
        if word and word != "x" and word not in WORDS:
            raise Misread(f"{word!r} in {text!r}")
        if number or name or other.strip() or word == "x":
            tokens.append(number or name or other.strip() or word)
    reader = Reader(tokens)
    result = reader.sum()
    if reader.tokens:
        raise Misread(f"{reader.tokens} is left over of {text!r}")
    return result


def rounded(number: Fraction, like: str) -> Fraction:
    """Return a number rounded half up to the places that a printed one has."""
    if "e" in like:
        return Fraction(f"{float(number):.6g}")
    places = len(like.partition(".")[2])
    steps = (Decimal(math.floor(number * 10**places + Fraction(1, 2)))).to_integral_value(
        ROUND_FLOOR
    )
    return Fraction(int(steps), 10**places)


def misses(number: Explained) -> list[str]:
    """Return what in the text of a number does not give what is printed behind it."""
    said = []
    for equation in equations(number.worked):
        try:
            said += missed(equation)
        except (Misread, ZeroDivisionError) as cause:
            said.append(f"{equation!r}: {cause!r}")
    return said


def equations(worked: str) -> list[str]:
    """Return the equations of a text, without the words around them."""
    text = NOTE.sub("", worked)
    for unit, plain in UNITS.items():
        text = text.replace(unit, plain)
    parts = re.split(r"; |: |, so |\. (?=[A-Z])", text)
    return [part.strip() for part in parts if " = " in part]


def missed(equation: str) -> list[str]:
    left, *rights = equation.split(" = ")
    if found := LARGEST.match(left):
        numbers = [Fraction(n.replace(" ", "")) for n in re.findall(rf"({NUMBER}) \(", found[2])]
        exact = max(numbers) if found[1] == "largest" else min(numbers)
    else:
        exact = expression(left)
    said, unit_before = [], left.rpartition(" ")[2] if RESULT.fullmatch(left) else ""
    for right in rights:
        result = RESULT.match(right)
        if result is None:
            raise Misread(f"{right!r} is no result")
        printed, unit = result[1], result[2]
        if unit_before in SECONDS and unit in SECONDS:
            exact = exact * SECONDS[unit_before] / SECONDS[unit]
        number = Fraction(printed.replace(" ", ""))
        if rounded(exact, printed) != number:
            said.append(f"{equation!r}: it gives {float(exact)!r}, not {printed}")
        if result[3] and math.ceil(exact) != Fraction(result[3].replace(" ", "")):
            said.append(f"{equation!r}: it is rounded up to {math.ceil(exact)}")
        exact, unit_before = number, unit
    return said
