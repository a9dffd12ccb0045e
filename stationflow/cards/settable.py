"""Texts as they can be set on a card: no orders to a program, no more than paper holds.

What is typed stays in the product; here the card gets what a printer, a browser and a workbook
can show, and every change is told.
"""

import re
import unicodedata
from collections.abc import Callable, Iterator
from dataclasses import fields, is_dataclass, replace
from typing import Any

from stationflow.cards.card import Card, CardTask
from stationflow.model import Finding, warning
from stationflow.model.size_limits import (
    LONGEST_NAME_ON_CARD,
    LONGEST_ON_CARD,
    MOST_LINES_ON_CARD,
    MOST_MARKS_ON_LETTER,
)

LONG = frozenset(
    {"text", "texts", "key_point", "reason", "limit", "method", "record", "reaction", "remarks"}
)
"""Fields that hold sentences; all others hold names."""
KEYS = frozenset({"picture", "symbol", "number", "defer", "language", "content"})
"""Fields that are looked up by, or are our own."""
LINE_END = re.compile("\r\n|[\r\x0b\x0c\x85\u2028\u2029]")
EMPTY_LINES = re.compile(r"\n[\s\u200b]*\n")
ORDER = re.compile("[\u061c\u202a-\u202e\u2066-\u2069\ufff9-\ufffb\U000e0000-\U000e007f]")
"""Orders of direction and of annotation: they would turn round what stands behind them."""
STRETCH = "\N{ARABIC TATWEEL}"
UNREADABLE = "\N{REPLACEMENT CHARACTER}"
SHORTENED, CLEANED = "text-shortened", "text-cleaned"


def settable(text: str, most: int) -> tuple[str, str]:
    """Return a text as a card can hold it, and the code of what was changed; empty: nothing was.

    >>> settable("Fit the cover", 5)
    ('Fit…', 'text-shortened')
    """
    if len(text) <= most and text.isascii() and text.isprintable():
        return text, ""
    clean = EMPTY_LINES.sub("\n", LINE_END.sub("\n", text))
    clean = "".join(_characters(ORDER.sub("", clean[: most + most]))).strip("\n")
    lines = clean.split("\n")
    short = "\n".join(lines[:MOST_LINES_ON_CARD])
    if len(short) > most or len(lines) > MOST_LINES_ON_CARD or len(text) > most + most:
        return short[: most - 1].rstrip() + "…", SHORTENED
    is_same = short == EMPTY_LINES.sub("\n", text.replace("\r\n", "\n")).strip("\n")
    return short, "" if is_same else CLEANED


def _characters(text: str) -> Iterator[str]:
    """Yield the characters of a text that can be set."""
    marks = 0
    for character in text:
        kind = "" if character.isascii() else unicodedata.category(character)
        is_mark = kind in ("Mn", "Me", "Mc", "Cf") or character == STRETCH
        marks = marks + 1 if is_mark else 0
        if character in "\n\t":
            yield character if character == "\n" else " "
        elif kind in ("Cs", "Cc", "Co", "Cn") or (not kind and not character.isprintable()):
            yield UNREADABLE
        elif marks <= MOST_MARKS_ON_LETTER:
            yield character


def settable_card(card: Card) -> tuple[Card, tuple[Finding, ...]]:
    """Return a card with all its texts as they can be set, and what was changed."""
    findings: list[Finding] = []
    here = f"Station {card.station}"

    def told(text: str, most: int, where: str) -> str:
        shown, code = settable(text, most)
        if code:
            findings.append(_finding(code, where, text, most))
        return shown

    made = _walked(card, here, told)
    if card.code.is_shortened:
        findings.append(
            warning(
                "code-shortened",
                here,
                "the code to scan has no room for what it has to say; it is shortened.",
            )
        )
    return made, tuple(dict.fromkeys(findings))


def _walked(value: Any, where: str, told: Callable[[str, int, str], str], name: str = "") -> Any:
    """Return a part of a card with its texts changed; the same object where none is."""
    if isinstance(value, str):
        most = LONGEST_ON_CARD if name in LONG else LONGEST_NAME_ON_CARD
        return told(value, most, where)
    if isinstance(value, tuple):
        made = tuple(_walked(one, where, told, name) for one in value)
        return value if all(a is b for a, b in zip(made, value, strict=True)) else made
    if not is_dataclass(value) or isinstance(value, type):
        return value
    place = f"Task {value.task}" if isinstance(value, CardTask) else where
    changed = {}
    for each in fields(value):
        if each.name in KEYS and not (each.name == "number" and hasattr(value, "container")):
            continue
        was = getattr(value, each.name)
        now = _walked(was, place, told, each.name)
        if now is not was:
            changed[each.name] = now
    return replace(value, **changed) if changed else value


def _finding(code: str, where: str, text: str, most: int) -> Finding:
    """Say what was changed in a text."""
    beginning = "".join(c if c.isprintable() else UNREADABLE for c in text[:40])
    if code == SHORTENED:
        said = (
            f'the text "{beginning}…" has {len(text):,} characters in '
            f"{text.count(chr(10)) + 1:,} lines; a card shows up to {most:,} of them in "
            f"{MOST_LINES_ON_CARD} lines."
        )
    else:
        said = (
            f'the text "{beginning}" has characters that cannot be printed, or more than '
            f"{MOST_MARKS_ON_LETTER} marks on a letter; they are left out or shown as {UNREADABLE}."
        )
    return warning(code, where, said)
