"""Words by which the headings of strangers' sheets are recognised; they stand in a table beside."""

import re
import tomllib
import unicodedata
from collections.abc import Iterable
from pathlib import Path

from stationflow.files.foreign.column_mapping import TableKind, Target
from stationflow.model import Hazard
from stationflow.units import TimeUnit

# Dashes of all kinds that people and programs write for a hyphen.
DASHES = "\u2010\u2011\u2012\u2013\u2014\u2015\u2212\ufe58\ufe63\uff0d"
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


def _phrases(lines: Iterable[str]) -> frozenset[str]:
    """Return the simplified phrases of some lines."""
    words = [word for line in lines for word in line.split(",")]
    return frozenset(simple for word in words if (simple := simplified(word)))


def _plain(lines: Iterable[str]) -> frozenset[str]:
    """Return the phrases of some lines, letter by letter but for case."""
    return frozenset(word.strip().casefold() for line in lines for word in line.split(","))


_WORDS = tomllib.loads(Path(__file__).with_name("heading_words.toml").read_text("utf-8"))

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

UNIT_PHRASES: dict[str, TimeUnit] = {
    word: TimeUnit[name] for name, lines in _WORDS["units"].items() for word in _plain(lines)
}
"""How units of time are written."""
UNKEPT_UNITS = {"dmh": "DMH is 1/10000 h, which is 0.36 s or 10 TMU"}
"""Units that are met but cannot be chosen, and what they are."""

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
