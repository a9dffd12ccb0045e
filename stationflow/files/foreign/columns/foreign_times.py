"""Times as strangers write them: "0,45", "45 s", "1:15", 2'30", cells of clock time."""

import re
from datetime import datetime, timedelta
from decimal import Decimal

from stationflow.files.foreign.columns.foreign_cells import (
    ABOUT,
    as_shown,
    plain_text,
    read_number,
    typed_forms,
    without_value,
)
from stationflow.files.foreign.foreign_sheet import DateCell, RawCell
from stationflow.files.foreign.heading_words import UNIT_PHRASES
from stationflow.files.foreign.import_report import (
    Answers,
    Reading,
    changed,
    left_out,
    noted,
    offered,
    refused,
)
from stationflow.files.foreign.sheets.cell_styles import bare_format
from stationflow.model.schema.cells import LARGEST_TIME_MS, LONGEST_NUMBER
from stationflow.units import TimeUnit, milliseconds

LONG_MS = 3_600_000  # above an hour a task time is absurd for a paced line
UNIT = "time-unit"
PARTED_TIMES = "minutes-seconds"
WITH_UNIT = re.compile(r"([+-]?[\d.,' ]*\d)\s*([^\d\s.,][^\d]*?)\.?", re.IGNORECASE)
SECONDS_SIGN = r"(?:\"|''|\u2033|\u201d)"
COLON = re.compile(r"(?P<m>\d{1,4}):(?P<s>[0-5]?\d(?:[.,]\d+)?)")
# Ways to write hours, minutes, seconds in one text; each with its code and how it is called.
PARTS: tuple[tuple[re.Pattern[str], str, str], ...] = (
    (re.compile(r"(?P<h>\d{1,4}):(?P<m>[0-5]?\d):(?P<s>[0-5]?\d(?:[.,]\d+)?)"),
     "clock-time", "hours, minutes, seconds"),
    (COLON,
     "minutes-and-seconds", "minutes and seconds"),
    (re.compile(
        r"(?:(?P<h>\d+)\s*(?:h|std|hrs?)\W*)?(?P<m>\d+)\s*(?:m|min|mins|minutes?|minuten)\W*"
        r"(?P<s>\d+(?:[.,]\d+)?)\s*(?:s|sec|sek|seconds?|sekunden)\.?", re.IGNORECASE),
     "unit-in-cell", "minutes and seconds"),
    (re.compile(rf"(?!\d+'\d{{3}}$)(?P<m>\d{{1,4}})\s*['\u2019\u2032]\s*"
                rf"(?P<s>[0-5]?\d(?:[.,]\d+)?)?\s*{SECONDS_SIGN}?"),
     "minutes-and-seconds", "minutes and seconds"),
    (re.compile(rf"(?P<s>\d+(?:[.,]\d+)?)\s*{SECONDS_SIGN}"), "unit-in-cell", "seconds"),
)  # fmt: skip


def read_time(raw: RawCell, answers: Answers) -> Reading:
    """Read a time in whole milliseconds.

    Questions are about the unit of bare numbers ("time-unit"), the sign before decimals
    ("comma"), cells that show 1:15 ("clock"), and dates that were typed as times
    ("date-times").
    """
    if (without := without_value(raw)) is not None:
        return without
    if isinstance(meant := as_shown(raw, answers), Reading):
        return meant
    raw = meant
    if isinstance(raw, DateCell):
        return _judged(_of_date_cell(raw, answers))
    if isinstance(raw, str):
        text = plain_text(raw)
        if len(text) <= LONGEST_NUMBER and (reading := _of_words(text, answers)) is not None:
            return _judged(reading)
    if answers.get(PARTED_TIMES):
        return _judged(_of_parted(raw, answers[PARTED_TIMES]))
    number = read_number(raw, answers.get("comma", ""))
    if not isinstance(number.value, Decimal):
        return number
    return _judged(_in_unit(number, number.value, answers))


def _in_unit(number: Reading, value: Decimal, answers: Answers) -> Reading:
    """Return a bare number as time in the unit of its column."""
    if not answers.get(UNIT):
        return offered(UNIT, UNIT, "The unit of the time is not said.", "Choose the unit.")
    unit = TimeUnit(answers[UNIT])
    if abs(value) * unit.milliseconds > LARGEST_TIME_MS:
        return refused("time-too-long", "The time is too long.")
    kept = milliseconds(value, unit)
    if kept != value * unit.milliseconds and not number.severity:
        return changed(kept, "time-rounded", "Times are kept to the millisecond.")
    return Reading(kept, number.severity, number.code, number.message, number.hint)


def _of_parted(raw: RawCell, said: str) -> Reading:
    """Return the time of "1,15" where minutes stand before the sign and seconds behind it."""
    number = read_number(raw, ",") if isinstance(raw, str) and "," in raw else read_number(raw, ".")
    if not isinstance(number.value, Decimal):
        return number
    if said == "min":
        return _in_unit(number, number.value, {UNIT: TimeUnit.MINUTE.value})
    minutes, hundredths = divmod(number.value * 100, 100)
    if hundredths != int(hundredths) or hundredths >= 60:
        return refused("not-minutes-and-seconds", "Behind the sign there are no whole seconds.")
    return _clock(milliseconds(minutes * 60 + hundredths, TimeUnit.SECOND), "minutes and seconds")


def _of_words(text: str, answers: Answers) -> Reading | None:
    """Return the time that a text with a unit or a colon writes; None: it has neither."""
    bare = ABOUT.sub("", text)
    for way, code, called in PARTS:
        if match := way.fullmatch(bare):
            parts = match.groupdict()
            if way is COLON:
                said = answers.get("clock") or answers.get("colon")
                if not said:
                    message = "It may be minutes and seconds, or hours and minutes."
                    clock = int(parts["m"]) * 60 + Decimal(parts["s"].replace(",", "."))
                    facts = {"short": f"{clock:g}", "long": f"{clock * 60:g}"}
                    return offered("clock", "clock", message, **facts)
                if said == "h:mm":
                    parts, called = {"h": parts["m"], "m": parts["s"]}, "hours and minutes"
            time_s = sum(
                Decimal((parts.get(part) or "0").replace(",", ".")) * factor
                for part, factor in (("h", 3600), ("m", 60), ("s", 1))
            )
            return _clock(milliseconds(time_s), called, code)
    if (match := WITH_UNIT.fullmatch(bare)) is None:
        return None
    unit = UNIT_PHRASES.get(" ".join(match[2].casefold().split()).strip(". "))
    if unit is None:
        return None
    number = read_number(match[1].strip(), answers.get("comma", ""))
    if not isinstance(number.value, Decimal):
        return number
    if abs(number.value) * unit.milliseconds > LARGEST_TIME_MS:
        return refused("time-too-long", "The time is too long.")
    ms = milliseconds(number.value, unit)
    return changed(ms, "unit-in-cell", f"The unit was read from the cell: {ms / 1000:g} s.")


def _clock(ms: int, called: str, code: str = "clock-time") -> Reading:
    """Return a time of several parts."""
    return changed(ms, code, f"Read as {called}: {ms / 1000:g} s.")


def _of_date_cell(cell: DateCell, answers: Answers) -> Reading:
    """Return the time of a cell that a spreadsheet program keeps as date or clock time."""
    value = cell.value
    if isinstance(value, datetime):
        return _of_date(cell, answers)
    if not isinstance(value, timedelta):
        value = datetime.combine(datetime.min, value) - datetime.min  # noqa: DTZ901 - of no day
    ms = value / timedelta(milliseconds=1)
    if "s" in bare_format(cell.number_format).lower():
        return _clock(round(ms), "a length of time")
    match answers.get("clock"):
        case "h:mm":
            return _clock(round(ms), "hours and minutes")
        case "m:ss":
            # What shows hours and minutes is taken one place lower: minutes and seconds.
            return _clock(round(ms / 60), "minutes and seconds")
    message = "The cell shows hours and minutes, where minutes and seconds may be meant."
    hours, minutes = divmod(round(ms / 60_000), 60)
    facts = {"short": f"{ms / 60_000:g}", "long": f"{ms / 1000:g}"}
    facts["example"] = f"{hours}:{minutes:02d}"
    return offered("clock", "clock", message, **facts)


def _of_date(cell: DateCell, answers: Answers) -> Reading:
    """Return the time of a date that was typed as a number: "1.5" became 1 May."""
    said = answers.get("date-times")
    if said == "leave-out":
        return left_out("date", "A spreadsheet program made a date of the time.")
    forms = typed_forms(cell)
    if not said or not forms:
        message = "A spreadsheet program made a date of the time."
        return offered("date-times", "date", message, "Say what was typed.")
    form = forms[-1] if said == "day" else forms[0]
    typed = Decimal(form.replace("-", ".", 1))
    message = f"The date was turned back into {typed}."
    return _in_unit(changed(typed, "date", message), typed, answers)


def _judged(reading: Reading) -> Reading:
    """Refuse a negative time; name one that is zero or absurdly long."""
    ms = reading.value
    if not isinstance(ms, int):
        return reading
    if ms < 0:
        return refused("negative-time", "A time cannot be negative; the task comes without time.")
    if ms == 0 and not reading.severity:
        message = "A time of zero is for a milestone only."
        return noted(0, "zero-time", message, "Enter a time if it is work.")
    if ms > LONG_MS:
        message = f"The time would be {ms / 1000:g} s, which is more than an hour."
        hint = "Check the unit of the time."
        return noted(ms, "time-absurd", f"{message} {reading.message}".strip(), hint)
    return reading
