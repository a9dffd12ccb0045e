"""How a workbook shows its numbers: dates, clock times, leading zeros, per cent."""

import re
from datetime import datetime, time, timedelta

from stationflow.files.foreign.foreign_sheet import DateCell, RawCell, ShownNumber
from stationflow.files.foreign.heading_words import PIECE_WORDS, UNIT_PHRASES
from stationflow.model.schema.cells import plain_number

# Number formats that every workbook has without writing them down (ECMA-376-1, 18.8.30).
BUILT_IN = {
    9: "0%",
    10: "0.00%",
    14: "m/d/yyyy",
    15: "d-mmm-yy",
    16: "d-mmm",
    17: "mmm-yy",
    18: "h:mm AM/PM",
    19: "h:mm:ss AM/PM",
    20: "h:mm",
    21: "h:mm:ss",
    22: "m/d/yyyy h:mm",
    45: "mm:ss",
    46: "[h]:mm:ss",
    47: "mm:ss.0",
}
NOT_SHOWN = re.compile(r'"[^"]*"|\\.|_.|\*.|\[(?!h+\]|m+\]|s+\])[^\]]*\]', re.IGNORECASE)
WRITTEN = re.compile(r'"([^"]*)"|\\(.)')
DATE_LETTERS = re.compile(r"[dyhs]|m", re.IGNORECASE)
ZEROS = re.compile(r"0{2,15}")
PERCENT = re.compile(r"0(\.0+)?\s?%")
THOUSANDS = re.compile(r"[0#?](?P<commas>,{1,3})(?![0#?,.])")
LAST_DAY = 2_958_465  # 31 December 9999


def bare_format(number_format: str) -> str:
    """Return the first section of a number format without colours and quoted words."""
    return NOT_SHOWN.sub("", number_format).split(";")[0]


def is_date_format(number_format: str) -> bool:
    """Return whether a number format shows a date or clock time."""
    bare = bare_format(number_format)
    return bool(DATE_LETTERS.search(bare)) and "general" not in bare.lower()


def shown_cell(number: float, number_format: str, *, from_1904: bool) -> RawCell:
    """Return a number as its format means it: a date, leading zeros, per cent, or as it is."""
    if not number_format or number_format in {"General", "@"}:
        return number
    if is_date_format(number_format):
        date = _date(number, from_1904=from_1904, has_day=_has_day(number_format))
        return number if date is None else DateCell(date, number_format)
    bare = bare_format(number_format)
    if match := THOUSANDS.search(bare):  # 45000 is shown as 45
        return ShownNumber(number, plain_number(number / 1000 ** len(match["commas"])), True)
    if unit := shown_unit(number_format):
        return ShownNumber(number, f"{plain_number(number)} {unit}")
    if ZEROS.fullmatch(bare) and number == int(number) and 0 <= number < 10**15:
        shown = f"{int(number):0{len(bare)}d}"
        return number if shown == str(int(number)) else ShownNumber(number, shown)
    if match := PERCENT.fullmatch(bare):
        decimals = len(match[1] or ".") - 1
        return ShownNumber(number, f"{number * 100:.{decimals}f}%")
    return number


def shown_unit(number_format: str) -> str:
    r"""Return the unit that a number format writes behind the number; empty: none.

    >>> shown_unit('0.0 "min"'), shown_unit('#,##0\\ "pcs"'), shown_unit("0.00")
    ('min', 'pcs', '')
    """
    first = number_format.split(";")[0]
    said = "".join(quoted or escaped for quoted, escaped in WRITTEN.findall(first)).strip(" .[]()")
    return said if said.casefold() in UNIT_PHRASES or said.casefold() in PIECE_WORDS else ""


def _has_day(number_format: str) -> bool:
    """Return whether a number format shows a day or a year, not clock time alone."""
    return bool(re.search(r"[dy]|m{3}", bare_format(number_format), re.IGNORECASE))


def _date(number: float, *, from_1904: bool, has_day: bool) -> datetime | time | timedelta | None:
    """Return the date that a day number stands for; None: it stands for none."""
    if not 0 <= number <= LAST_DAY:
        return None
    # To the millisecond: a day number keeps clock times to about that.
    clock = timedelta(milliseconds=round((number % 1) * 86_400_000))
    if not has_day:
        if number + 0 >= 1 or clock >= timedelta(days=1):
            return timedelta(days=int(number)) + clock
        return (datetime.min + clock).time()  # noqa: DTZ901 - a clock time of no day
    if number < 1:
        return None
    # Day 60 is 29 February 1900, which never was; before it the count is one off.
    start = datetime(1904, 1, 1) if from_1904 else datetime(1899, 12, 30)  # noqa: DTZ001
    days = int(number) + (0 if from_1904 or number >= 61 else 1)
    try:
        return start + timedelta(days=days) + clock
    except OverflowError:
        return None
