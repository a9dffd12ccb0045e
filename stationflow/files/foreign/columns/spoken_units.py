"""What words of a sheet say of its numbers: a unit of time, a base of pieces, a form of clock."""

import re
from itertools import pairwise

from stationflow.files.foreign.heading_words import (
    APART_WORDS,
    LOT_WORDS,
    PACKS,
    PER_WORDS,
    PIECE_WORDS,
    TIME_WORDS,
    UNIT_PHRASES,
    simplified,
    speaks_of,
)
from stationflow.model.schema.cells import tidy
from stationflow.units import TimeUnit

HUNDREDTHS = re.compile(
    r"1/100\s*min|min\w*\s*[/x]\s*100\b|0[.,]01\s*min|\bcmin\b|\bHM\b|\bDMH\b|\bTMU\b|hundertstel|"
    r"hundredths?|centi-?min|centi[eè]me|cent[eé]sim|\b100ths?\b",
    re.IGNORECASE,
)
PIECES = "|".join(map(re.escape, sorted(PIECE_WORDS, key=len, reverse=True)))
PERS = "|".join(map(re.escape, sorted(PER_WORDS, key=len, reverse=True)))
PER_PIECE = re.compile(
    rf"(?<=\w)\s*[\s/(\[](?:{PERS})\s*(?:\d[\d.,' ]*)?\s*(?:{PIECES})\b\.?", re.IGNORECASE
)
CENTIMINUTES = re.compile(
    rf"1/100\s*min|min\w*\s*[/x]\s*100\b(?!\s*(?:{PIECES})\b)|0[.,]01\s*min|"
    r"\b100ths?\b.{0,8}\bmin|hundertstel-?\s*min|hundredths? of a min",
    re.IGNORECASE,
)
FRACTIONS_OF_UNIT = re.compile(
    r"1\s*/\s*(?P<base>10|100|1000|10000)\b\s*(?:min|h\b|s\b|sec|sek|std)", re.I
)
# Minutes before seconds, parted by anything but letters: "Min,Sek", "mm:ss".
MINUTES_SECONDS = re.compile(
    r"\b(?:mm?|mins?|minut\w*)\s*[.,;:/'+ ]\s*"
    r"(?:ss?|secs?|seks?|seg|sekund\w*|second\w*|segund\w*)\b",
    re.IGNORECASE,
)
HOURS_MINUTES = re.compile(
    r"\b(?:hh?|std|hours?|heures?|horas?|stunden?)\s*[.,;:/]\s*(?:mm?|min\w*)\b(?!\s*[:.,]\s*s)",
    re.IGNORECASE,
)
RATE = re.compile(rf"(?:/|\b(?:{PERS})\b)\s*(?P<unit>[^\W\d_]+)", re.IGNORECASE)
RATES_PER_HOUR = {"uph", "pph", "jph", "uph target"}
MADE_WORDS = {simplified(word) for word in PIECE_WORDS} | {
    "output", "rate", "throughput", "leistung", "ausbringung", "menge", "mengenleistung",
    "cadence", "debit", "cadencia", "produccion", "rendimiento", "production",
}  # fmt: skip
# Words so short that they speak of a unit only in brackets or behind "in".
SHORT = 3
IN = r"(?:\bin|\ben|\bv|\bw|[\[(<{=:])\s*"
NUMBER = r"(?P<base>\d{1,3}(?:[ '.,]?\d{3})+|\d{1,6})"


def spoken_units(text: str) -> list[TimeUnit]:
    """Return the units of time that a text outside the table speaks of.

    A unit behind a number is a quantity ("takt 60 s") and says nothing of the table.

    >>> spoken_units("All times in HM"), spoken_units("Takt 60 s"), spoken_units("Zeiten (min)")
    ([<TimeUnit.CENTIMINUTE: 'cmin'>], [], [<TimeUnit.MINUTE: 'min'>])
    """
    if speaks_of(simplified(text), APART_WORDS):
        return []
    if CENTIMINUTES.search(text):
        return [TimeUnit.CENTIMINUTE]
    found: dict[TimeUnit, None] = {}
    for match in re.finditer(r"[^\W\d_]+", text.casefold()):
        unit = UNIT_PHRASES.get(match[0])
        before, behind = text[: match.start()].rstrip(), text[match.end() :].lstrip(" .")
        if unit is None or before[-1:].isdigit() or behind[:1].isdigit():
            continue
        is_upper = text[match.start() : match.end()].isupper()
        is_short = len(match[0]) < SHORT and not (is_upper and len(match[0]) > 1)
        if is_short and not re.search(rf"{IN}$", text[: match.start()], re.IGNORECASE):
            continue
        found[unit] = None
    return list(found)


def spoken_base(text: str, *, is_heading: bool = True) -> int | None:
    """Return the number of pieces that a text says its numbers are for; None: it says none.

    A text that is no heading has to speak of pieces, or of times, beside the number.

    >>> [spoken_base(t) for t in ("Zeit je 100 Stk. [min]", "Qty per 100", "s x 10", "Time (s)")]
    [100, 100, 10, None]
    """
    bare = CENTIMINUTES.sub(" ", text)
    if match := FRACTIONS_OF_UNIT.search(bare):
        return int(match["base"])
    words = simplified(bare).split()
    packs = (PACKS[word] for per, word in pairwise(words) if per in PER_WORDS and word in PACKS)
    if is_heading and (pack := next(packs, None)):
        return pack
    speaks_time = speaks_of(simplified(text), TIME_WORDS)
    patterns = [
        rf"(?:\b(?:{PERS})\b|/|[x\u00d7*])\s*{NUMBER}\b(?!\s*(?:s|sec|sek|min|h|mm|kg|g|m|cm)\b)"
    ]
    if is_heading:
        patterns.append(rf"\b{NUMBER}\s*(?:[x\u00d7*]|(?:{PIECES})\b)")
    for pattern in patterns:
        for match in re.finditer(pattern, bare, re.IGNORECASE):
            behind = re.match(rf"\s*(?:{PIECES})\b", bare[match.end("base") :], re.IGNORECASE)
            if not is_heading and (match[0][0] in "/x\u00d7*" or not (behind or speaks_time)):
                continue
            base = int(re.sub(r"\D", "", match["base"]))
            if base > 1:
                return base
    return None


def spoken_lot(heading: str) -> str:
    """Return the word for a lot of unknown size that a heading counts by; empty: none.

    >>> spoken_lot("Zeit je Los [min]"), spoken_lot("Zeit je Stück")
    ('los', '')
    """
    words = simplified(heading.replace("/", " per ")).split()
    return next(
        (word for per, word in pairwise(words) if per in PER_WORDS and word in LOT_WORDS), ""
    )


def spoken_rate(heading: str) -> TimeUnit | None:
    """Return the time in which a heading counts pieces; None: it names no such rate.

    >>> [spoken_rate(text) for text in ("pcs/h", "Stk je Std.", "Time (min/100 pcs)", "EUR/h")]
    [<TimeUnit.HOUR: 'h'>, <TimeUnit.HOUR: 'h'>, None, None]
    """
    if simplified(heading) in RATES_PER_HOUR:
        return TimeUnit.HOUR
    match = RATE.search(heading)
    if match is None or not speaks_of(simplified(heading[: match.start()]), MADE_WORDS):
        return None
    return UNIT_PHRASES.get(match["unit"].casefold())


def unit_of_word(text: str) -> TimeUnit | None:
    """Return the unit that a text is: "[s]", "min/100", "in Sekunden"."""
    bare = tidy(text).casefold().strip("[](){}<>").strip().removeprefix("in ").strip(". ")
    return UNIT_PHRASES.get(" ".join(bare.split()))
