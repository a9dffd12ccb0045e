"""Times as strangers write them: "0,45", "45 s", "1:15", 2'30", cells of clock time."""

import re
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from decimal import Decimal

from stationflow.files.foreign.cell_styles import bare_format
from stationflow.files.foreign.foreign_cells import (
    ABOUT,
    BLANKS,
    NOTHING,
    Reading,
    changed,
    is_empty,
    read_number,
    refused,
    typed_forms,
)
from stationflow.files.foreign.foreign_sheet import DateCell, RawCell
from stationflow.files.foreign.heading_words import DASHES, UNIT_PHRASES
from stationflow.files.foreign.import_report import Outcome
from stationflow.model.schema.cells import INVISIBLE, LARGEST_TIME_MS, tidy
from stationflow.units import TimeUnit, milliseconds, show_time

LONG_MS = 3_600_000  # above an hour a task time is absurd for a paced line
WITH_UNIT = re.compile(r"([+-]?[\d.,' ]*\d)\s*([^\d\s.,][^\d]*?)\.?", re.IGNORECASE)
PARTS = re.compile(
    r"(?:(\d+)\s*(?:h|std|hrs?)\W*)?(?:(\d+)\s*(?:m|min|mins|minutes?|minuten)\W*)"
    r"(?:(\d+(?:[.,]\d+)?)\s*(?:s|sec|sek|seconds?|sekunden)\.?)",
    re.IGNORECASE,
)
COLON = re.compile(r"(\d{1,4}):([0-5]?\d)(?::([0-5]?\d))?([.,]\d+)?")
PRIME = re.compile(
    r"(\d{1,4})\s*['\u2019\u2032]\s*([0-5]?\d(?:[.,]\d+)?)?\s*(?:\"|''|\u2033|\u201d)?"
)
SECONDS_SIGN = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:\"|''|\u2033|\u201d)")


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeRules:
    """How the times of one column are read.

    Attributes
    ----------
    unit
        Unit of bare numbers; None: not known.
    decimal
        Sign before decimals; empty: not known.
    clock
        Whether a cell that shows 1:15 means "m:ss" or "h:mm"; empty: not known.
    date
        Whether a date was typed as "day" first ("1.5" became 1 May) or as "month" first.
    """

    unit: TimeUnit | None = None
    decimal: str = ""
    clock: str = ""
    date: str = ""


def read_time(raw: RawCell, rules: TimeRules) -> Reading:
    """Read a time in whole milliseconds.

    A reading of severity `Outcome.OFFERED` has the code of what must be said first:
    "time-unit", "clock", "date" or "thousands-or-decimals".
    """
    if is_empty(raw):
        return NOTHING
    if isinstance(raw, DateCell):
        return _judged(_of_date_cell(raw, rules), rules)
    if isinstance(raw, str):
        text = re.sub(rf"[{DASHES}]", "-", tidy(BLANKS.sub(" ", raw).strip(INVISIBLE)))
        if len(text) <= 60 and (reading := _of_words(text, rules)) is not None:
            return _judged(reading, rules)
    number = read_number(raw, rules.decimal)
    if not isinstance(number.value, Decimal):
        return number
    return _judged(_in_unit(number, number.value, rules), rules)


def _in_unit(number: Reading, value: Decimal, rules: TimeRules) -> Reading:
    """Return a bare number as time in the unit of its column."""
    if rules.unit is None:
        message = "The unit of the time is not said."
        return Reading(None, Outcome.OFFERED, "time-unit", message, "Choose the unit.")
    if abs(value) * rules.unit.milliseconds > LARGEST_TIME_MS:
        return refused("time-too-long", "The time is too long.")
    kept = milliseconds(value, rules.unit)
    if kept != value * rules.unit.milliseconds and not number.severity:
        message = "Times are kept to the millisecond."
        return changed(kept, "time-rounded", message)
    return Reading(kept, number.severity, number.code, number.message, number.hint)


def _of_words(text: str, rules: TimeRules) -> Reading | None:
    """Return the time that a text with a unit or a colon writes; None: it has neither."""
    bare = ABOUT.sub("", text)
    if match := COLON.fullmatch(bare):
        return _of_colon(match)
    if match := PARTS.fullmatch(bare):
        ms = _ms(match[1], 3_600_000) + _ms(match[2], 60_000) + _ms(match[3], 1_000)
        return changed(ms, "unit-in-cell", f"Read as {show_time(ms)}.")
    if (match := PRIME.fullmatch(bare)) and not re.fullmatch(r"\d+'\d{3}", bare):
        ms = _ms(match[1], 60_000) + _ms(match[2], 1_000)
        return changed(ms, "minutes-and-seconds", f"Read as minutes and seconds: {ms / 1000:g} s.")
    if match := SECONDS_SIGN.fullmatch(bare):
        return changed(_ms(match[1], 1_000), "unit-in-cell", "Read as seconds.")
    if match := WITH_UNIT.fullmatch(bare):
        return _with_unit(match, rules)
    return None


def _of_colon(match: re.Match[str]) -> Reading:
    """Return the time that stands as m:ss or h:mm:ss."""
    first, second, third, rest = match.groups()
    fraction = _ms(f"0{rest}".replace(",", "."), 1_000) if rest else 0
    if third is not None:
        ms = _ms(first, 3_600_000) + _ms(second, 60_000) + _ms(third, 1_000) + fraction
        return changed(ms, "clock-time", f"Read as hours, minutes, seconds: {ms / 1000:g} s.")
    ms = _ms(first, 60_000) + _ms(second, 1_000) + fraction
    return changed(ms, "minutes-and-seconds", f"Read as minutes and seconds: {ms / 1000:g} s.")


def _with_unit(match: re.Match[str], rules: TimeRules) -> Reading | None:
    """Return a number with its unit behind it."""
    unit = UNIT_PHRASES.get(" ".join(match[2].casefold().split()).strip(". "))
    if unit is None:
        return None
    number = read_number(match[1].strip(), rules.decimal)
    if not isinstance(number.value, Decimal):
        return number
    if abs(number.value) * unit.milliseconds > LARGEST_TIME_MS:
        return refused("time-too-long", "The time is too long.")
    ms = milliseconds(number.value, unit)
    return changed(ms, "unit-in-cell", f"The unit was read from the cell: {ms / 1000:g} s.")


def _ms(text: str | None, factor: int) -> int:
    """Return a piece of a time in milliseconds."""
    return round(Decimal((text or "0").replace(",", ".")) * factor)


def _of_date_cell(cell: DateCell, rules: TimeRules) -> Reading:
    """Return the time of a cell that a spreadsheet program keeps as date or clock time."""
    value = cell.value
    if isinstance(value, datetime):
        return _of_date(cell, rules)
    length = _length(value)
    if "s" in bare_format(cell.number_format).lower():
        ms = round(length / timedelta(milliseconds=1))
        return changed(ms, "clock-time", f"A cell of clock time, read as {ms / 1000:g} s.")
    if rules.clock == "h:mm":
        return changed(
            round(length / timedelta(milliseconds=1)), "clock-time", "Read as hours and minutes."
        )
    if rules.clock == "m:ss":
        # What shows hours and minutes is taken one place lower: minutes and seconds.
        ms = round(length / timedelta(milliseconds=1) / 60)
        return changed(ms, "clock-time", f"Read as minutes and seconds: {ms / 1000:g} s.")
    message = "The cell shows hours and minutes, where minutes and seconds may be meant."
    return Reading(None, Outcome.OFFERED, "clock", message, "Say which.")


def _of_date(cell: DateCell, rules: TimeRules) -> Reading:
    """Return the time of a date that was typed as a number: "1.5" became 1 May."""
    forms = typed_forms(cell)
    if not rules.date or not forms:
        message = "A spreadsheet program made a date of the time."
        return Reading(None, Outcome.OFFERED, "date", message, "Say what was typed.")
    form = forms[-1] if rules.date == "day" else forms[0]
    typed = Decimal(form.replace("-", ".", 1))
    message = f"The date was turned back into {typed}."
    return _in_unit(changed(typed, "date", message), typed, rules)


def _length(value: time | timedelta) -> timedelta:
    """Return a clock time as the length of time since midnight."""
    if isinstance(value, timedelta):
        return value
    return timedelta(
        hours=value.hour, minutes=value.minute, seconds=value.second, microseconds=value.microsecond
    )


def _judged(reading: Reading, rules: TimeRules) -> Reading:
    """Refuse a negative time; name one that is zero or absurdly long."""
    ms = reading.value
    if not isinstance(ms, int):
        return reading
    if ms < 0:
        return refused("negative-time", "A time cannot be negative; the task comes without time.")
    if ms == 0 and not reading.severity:
        message = "A time of zero is for a milestone only."
        return Reading(0, Outcome.NOTED, "zero-time", message, "Enter a time if it is work.")
    if ms > LONG_MS:
        message = f"The time would be {ms / 1000:g} s, which is more than an hour. "
        message += reading.message
        hint = "Check the unit of the column." if rules.unit else "Check the time."
        return Reading(ms, Outcome.NOTED, "time-absurd", message.strip(), hint)
    return reading
