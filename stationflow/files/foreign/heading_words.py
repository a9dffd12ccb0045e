"""Words by which the headings of strangers' sheets are recognised; they stand in a table beside."""

import os
import re
import tomllib
import unicodedata
from collections.abc import Iterable
from pathlib import Path
from typing import Any

from stationflow.files.foreign.column_mapping import TableKind, Target
from stationflow.model import Hazard
from stationflow.units import TimeUnit

# Dashes of all kinds that people and programs write for a hyphen.
DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d"
PARTED_WORD = re.compile(
    r"(?P<first>[^\W\d_]+)(?P<mark>\u00ad\s*|[-\u2010]\s+|\s*\n\s*)(?=(?P<then>[^\W\d_]+))"
)
PARTING = re.compile(rf"[\s_()\[\]{{}}:;,.\-/*'\"?!|{DASHES}]+")


def simplified(text: str) -> str:
    """Return a heading without case, accents, brackets and doubled blanks.

    >>> simplified(" Vorgänger-Nr. ")
    'vorganger nr'
    """
    plain = text.casefold()
    if not plain.isascii():
        plain = unicodedata.normalize("NFKD", plain.replace("ł", "l").replace("ø", "o"))
        plain = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join(PARTING.sub(" ", plain).split())


def speaks_of(simple: str, words: Iterable[str]) -> bool:
    """Return whether one of some words or phrases stands whole in a simplified text.

    >>> speaks_of("zeit je stuck", ("je", "pro")), speaks_of("jede zeit", ("je", "pro"))
    (True, False)
    """
    spaced = f" {simple} "
    return any(f" {word} " in spaced for word in words)


def unbroken(heading: str) -> str:
    r"""Return a heading on one line; a word that a line break parts is one word again.

    >>> [unbroken(text) for text in ("Prede-\ncessors", "Task\nname", "Ist-\nZeit")]
    ['Predecessors', 'Task name', 'Ist-Zeit']
    """

    def join(match: re.Match[str]) -> str:
        first, mark, then = match["first"], match["mark"], match["then"]
        is_hyphen = "\n" in mark and mark[0] in "-\u00ad\u2010" and then.islower()
        is_joined = is_hyphen or simplified(first + then) in KNOWN_WORDS
        if mark == "\u00ad" or (is_joined and simplified(then) not in KNOWN_WORDS):
            return first
        return f"{first}{mark.strip()}" if "-" in mark and "\n" in mark else f"{first}{mark}"

    return " ".join(PARTED_WORD.sub(join, heading.replace("\r", "\n")).split())


def _phrases(lines: Iterable[str]) -> frozenset[str]:
    """Return the simplified phrases of some lines."""
    words = [word for line in lines for word in line.split(",")]
    return frozenset(simple for word in words if (simple := simplified(word)))


def _plain(lines: Iterable[str]) -> frozenset[str]:
    """Return the phrases of some lines, letter by letter but for case."""
    return frozenset(word.strip().casefold() for line in lines for word in line.split(","))


OWN_WORDS = "STATIONFLOW_HEADING_WORDS"
"""Names a file of the same form, whose words are added to ours."""


def with_own_words(words: dict[str, Any], path: str) -> str:
    """Add the words of a user's file; return what is wrong with it, empty: nothing.

    The file has the form of ours; it may hold only what it adds.
    """
    try:
        own = tomllib.loads(Path(path).read_text("utf-8"))
    except (OSError, ValueError) as problem:
        return f"{path} cannot be read: {problem}"
    for section, lists in own.items():
        for name, lines in lists.items() if isinstance(lists, dict) else ():
            known = words.get(section, {}).get(name)
            given = [lines] if isinstance(lines, str) else lines
            if not isinstance(known, list) or not all(isinstance(line, str) for line in given):
                return f"{path} has a list [{section}] {name}, which is not one of the lists."
            known += given
    return ""


_WORDS = tomllib.loads(Path(__file__).with_name("heading_words.toml").read_text("utf-8"))
OWN_WORDS_PROBLEM = with_own_words(_WORDS, path) if (path := os.environ.get(OWN_WORDS)) else ""

PHRASES: dict[TableKind, dict[Target, frozenset[str]]] = {
    kind: {Target[name]: _phrases(lines) for name, lines in _WORDS[words].items()}
    for kind, words in ((TableKind.TASKS, "tasks"), (TableKind.PARTS, "parts"))
}
for _target, _also in (
    (Target.PART_NUMBER, Target.PARTS),
    (Target.PART_NAME, Target.NAME),
    (Target.QUANTITY, Target.PART_QUANTITY),
):
    PHRASES[TableKind.PARTS][_target] |= PHRASES[TableKind.TASKS][_also]

KNOWN_WORDS = frozenset(
    word
    for phrases in PHRASES.values()
    for known in phrases.values()
    for phrase in known
    for word in phrase.split()
)
"""Single words that headings are made of."""

UNIT_PHRASES: dict[str, TimeUnit] = {
    word: TimeUnit[name] for name, lines in _WORDS["units"].items() for word in _plain(lines)
}
"""How units of time are written."""
UNKEPT_UNITS = {"dmh": "DMH is 1/10000 h, which is 0.36 s or 10 TMU"}
"""Units that are met but cannot be chosen, and what they are."""

FACTOR_PHRASES: dict[str, frozenset[str]] = {
    name: _phrases(lines) for name, lines in _WORDS["factors"].items()
}
"""Headings of columns that say for how many products, or how often, a row counts."""
PER_WORDS = _plain(_WORDS["saying"]["per"])
PIECE_WORDS = _plain(_WORDS["saying"]["piece"])
LOT_WORDS = _phrases(_WORDS["saying"]["lot"])
APART_WORDS = _phrases(_WORDS["saying"]["apart"])
TIME_WORDS = _phrases(_WORDS["saying"]["time"])
QUALIFIERS = _phrases(_WORDS["saying"]["qualifier"])
PACKS = {
    name.strip(): int(count)
    for line in _WORDS["saying"]["pack"]
    for name, _, count in (each.partition("=") for each in line.split(","))
}
"""Units that are several pieces."""
TOTAL_WORDS = _phrases(_WORDS["other"]["total"])
NOTHING_WORDS = _plain(_WORDS["other"]["nothing"])
MAIN_LINE_WORDS = _phrases(_WORDS["other"]["main_line"])
YES_WORDS = _plain(_WORDS["other"]["yes"]) | _phrases(_WORDS["other"]["yes"])
NO_WORDS = _plain(_WORDS["other"]["no"]) | _phrases(_WORDS["other"]["no"])
SIGNS = frozenset(_WORDS["other"]["signs"])
ALL_WORDS = frozenset(word for line in _WORDS["other"]["accented"] for word in line.split())
"""Words with letters beyond ASCII, by which an encoding is recognised."""
HAZARD_PHRASES: dict[Hazard, frozenset[str]] = {
    Hazard(name): _phrases(lines) for name, lines in _WORDS["hazards"].items()
}
