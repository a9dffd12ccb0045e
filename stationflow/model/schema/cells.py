"""Single cells: what stands in them is read by the kind of their column, and written so."""

import re
from dataclasses import dataclass
from datetime import date, datetime, time
from decimal import Decimal

from stationflow.model.demand import clock_minutes
from stationflow.model.schema.columns import Column, Kind
from stationflow.model.size_limits import LONGEST_TEXT
from stationflow.model.unread import AsWritten
from stationflow.units import TimeUnit, exact, milliseconds

LARGEST_NUMBER = Decimal(10) ** 15
LARGEST_TIME_MS = 10**12  # 1000 million s, some 30 years
INVISIBLE = "\u200b\u2060\ufeff"  # blanks without width, which stick to pasted numbers

LONGEST_NUMBER = 60  # characters
PLAIN = re.compile(r"[+-]?(?:[0-9]+\.?[0-9]*|\.[0-9]+)(?:[eE][+-]?[0-9]{1,3})?", re.ASCII)
COMMA = re.compile(r"[+-]?[0-9]+,[0-9]+", re.ASCII)
THOUSANDS = re.compile(r"[+-]?[1-9][0-9]{0,2},[0-9]{3}", re.ASCII)
POINTS_THEN_COMMA = re.compile(r"[+-]?[0-9]{1,3}(?:\.[0-9]{3})+,[0-9]+", re.ASCII)
COMMAS_THEN_POINT = re.compile(r"[+-]?[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+", re.ASCII)

CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ufffe\uffff\ud800-\udfff]+")
YES = {"yes", "y", "true", "1", "x"}
NO = {"no", "n", "false", "0"}
NO_DAYS = "none"


@dataclass(frozen=True, slots=True)
class FormulaError:
    """What stands in a spreadsheet cell whose formula failed: "#DIV/0!"."""

    text: str

    def __str__(self) -> str:
        return self.text


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """What was read from a cell."""

    # the value; None: the cell is empty or was not read. A list of numbers or names is still text
    # here, because only the whole table shows what it holds.
    value: object = None
    problem: str = ""  # why it was not read, with the rule; empty: it was
    is_rounded: bool = False  # whether a time was rounded to the millisecond


def read_cell(column: Column, raw: object, unit: TimeUnit = TimeUnit.SECOND) -> Cell:
    """Read one cell.

    `raw`: text, number, yes or no, date, or list of texts, as its file gives it. `unit`: for a
    time: the unit its heading names.
    """
    if isinstance(raw, str) and len(raw) > LONGEST_TEXT:
        return Cell(problem=f"longer than {LONGEST_TEXT} characters")
    if raw is None or (isinstance(raw, str) and not tidy(raw) and column.kind != Kind.TEXT):
        return Cell(value=_empty(column.kind))
    if isinstance(raw, FormulaError):
        return Cell(problem="its formula has an error")
    if isinstance(raw, dict | bytes) or (isinstance(raw, list) and column.kind not in LISTS):
        return Cell(problem=f"it must be one {column.kind}")
    match column.kind:
        case Kind.TEXT | Kind.KEY | Kind.PICTURE | Kind.KEYS | Kind.NAMES:
            return _read_words(column.kind, raw)
        case Kind.NUMBER | Kind.WHOLE | Kind.SHARE | Kind.TIME:
            return _read_number(column, raw, unit)
        case Kind.YES_NO:
            return _read_yes_no(raw)
        case Kind.CHOICE:
            return _read_choice(column, raw)
        case Kind.DAYS:
            return _read_days(column, raw)
        case Kind.CLOCK:
            return _read_clock(raw)
        case Kind.DATE:
            return _read_date(raw)


def tidy(text: str) -> str:
    """Return text without blanks at its ends, non-breaking and invisible ones included."""
    return text.strip().strip(INVISIBLE).strip()


def capital(text: str) -> str:
    """Return a text as it begins a sentence; all letters but the first stay."""
    return text[:1].upper() + text[1:]


def one_line(text: str) -> str:
    r"""Return a text on one line without control characters, which no picture can hold.

    >>> one_line("Fit\tgear \x00 wheel")
    'Fit gear wheel'
    """
    return " ".join(CONTROL.sub(" ", text).split())


LISTS = {Kind.KEYS, Kind.NAMES, Kind.DAYS}


def _empty(kind: Kind) -> object:
    """Return what an empty cell stands for; None: the usual value."""
    is_text = kind in {Kind.TEXT, Kind.KEY, Kind.PICTURE, Kind.KEYS, Kind.NAMES}
    return "" if is_text else None


def _read_words(kind: Kind, raw: object) -> Cell:
    """Read text, a number that tells things apart, or a list of them."""
    if isinstance(raw, date | time):
        return Cell(problem="a date or clock time, made by a spreadsheet; enter it as text")
    if isinstance(raw, list):
        if not all(isinstance(item, str | int) and not isinstance(item, bool) for item in raw):
            return Cell(problem="a list must hold numbers or names")
        return Cell(value=join_list([str(item) for item in raw]))
    if isinstance(raw, float):
        number = _decimal(raw)
        if isinstance(number, str):
            return Cell(problem=number)
        return Cell(value=plain_number(raw))
    text = str(raw)
    return Cell(value=text if kind == Kind.TEXT else tidy(text))


def _read_number(column: Column, raw: object, unit: TimeUnit) -> Cell:
    """Read a number, a share or a time."""
    number = _decimal(raw, is_share=column.kind == Kind.SHARE)
    if isinstance(number, str):
        return Cell(problem=number)
    if abs(number) > LARGEST_NUMBER:
        return Cell(problem="the number is too large")
    if number < column.lowest:
        return Cell(problem=f"it must be at least {column.lowest}")
    if column.highest is not None and number > column.highest:
        return Cell(problem=f"it must be at most {column.highest}")
    if column.kind == Kind.TIME:
        return _kept_time(number, unit)
    if column.kind == Kind.WHOLE:
        if number != int(number):
            return Cell(problem="it must be a whole number")
        return Cell(value=int(number))
    return Cell(value=float(number) + 0.0)  # no negative zero


def _kept_time(number: Decimal, unit: TimeUnit) -> Cell:
    """Return a time in whole milliseconds."""
    if number * unit.milliseconds > LARGEST_TIME_MS:
        return Cell(problem="the time is too long")
    kept = milliseconds(number, unit)
    return Cell(value=kept, is_rounded=kept != number * unit.milliseconds)


def _decimal(raw: object, *, is_share: bool = False) -> Decimal | str:
    """Return a number, or the rule it breaks."""
    if isinstance(raw, bool) or not isinstance(raw, str | int | float):
        return "it must be a number"
    if isinstance(raw, str):
        text = tidy(raw)
        if is_share and text.endswith("%"):
            percent = _decimal(tidy(text[:-1]))
            return percent if isinstance(percent, str) else percent / 100
        return _written_number(text)
    number = exact(raw)
    return number if number.is_finite() else "it must be a number, not infinite or undefined"


def _written_number(text: str) -> Decimal | str:
    """Return the number that a text writes, with decimal point or comma."""
    if len(text) > LONGEST_NUMBER:
        return f"it must be a number of at most {LONGEST_NUMBER} characters"
    if PLAIN.fullmatch(text):
        return Decimal(text)
    if THOUSANDS.fullmatch(text):
        return "the comma may part thousands or decimals; write a decimal point, or no comma"
    if COMMA.fullmatch(text):
        return Decimal(text.replace(",", "."))
    if POINTS_THEN_COMMA.fullmatch(text):
        return Decimal(text.replace(".", "").replace(",", "."))
    if COMMAS_THEN_POINT.fullmatch(text):
        return Decimal(text.replace(",", ""))
    return "it must be a plain number without spaces; its unit stands in the heading"


def _read_yes_no(raw: object) -> Cell:
    """Read a yes or no."""
    word = tidy(str(raw)).casefold()
    if word in YES | NO:
        return Cell(value=word in YES)
    return Cell(problem="it must be yes or no")


def _read_choice(column: Column, raw: object) -> Cell:
    """Read one of the words of the column."""
    word = tidy(str(raw)).casefold()
    for choice in column.words or ():
        if choice.casefold() == word:
            return Cell(value=choice)
    return Cell(problem=f"it must be one of {', '.join(column.choices)}")


def _read_days(column: Column, raw: object) -> Cell:
    """Read the working days."""
    words = raw if isinstance(raw, list) else re.split(r"[;,/\s]+", tidy(str(raw)))
    days = [tidy(str(word)).casefold() for word in words if tidy(str(word))]
    if days == [NO_DAYS]:
        return Cell(value=())
    known = {str(day): day for day in column.words or ()}
    if not known.keys() >= set(days):
        return Cell(problem=f"days are written {', '.join(column.choices)}; or {NO_DAYS}")
    return Cell(value=tuple(known[day] for day in dict.fromkeys(days)))


def _read_clock(raw: object) -> Cell:
    """Read a clock time."""
    if isinstance(raw, datetime | time):
        return Cell(value=f"{raw.hour:02d}:{raw.minute:02d}")
    text = tidy(str(raw))
    try:
        clock_minutes(text)
    except ValueError:
        return Cell(problem="a clock time is written 06:30, from 00:00 to 23:59")
    return Cell(value=text)


def _read_date(raw: object) -> Cell:
    """Read a day."""
    if isinstance(raw, date):
        return Cell(value=f"{raw:%Y-%m-%d}" if isinstance(raw, datetime) else raw.isoformat())
    text = tidy(str(raw))
    try:
        day = date.fromisoformat(text)
    except ValueError:
        return Cell(problem="a date is written 2026-09-14: year, month, day")
    return Cell(value=day.isoformat())


def split_list(text: str, separators: str, known: frozenset[str] = frozenset()) -> tuple[str, ...]:
    r"""Return the numbers or names in a list that a person wrote.

    Items are parted by semicolons; where there is none, by any of the other
    separators. What is known as a whole is never parted.

    `text`: "10; 20", "10, 20", "10/20" or "10 20". `separators`: regular expression of the other
    separators. `known`: numbers or names that exist.

    >>> split_list("10, 20", r"[,/\s]+")
    ('10', '20')
    >>> split_list("A 1; B", r"[,/\s]+")
    ('A 1', 'B')
    """
    items: list[str] = []
    has_semicolon = ";" in text
    for part in map(tidy, text.split(";")):
        pieces = [tidy(piece) for piece in re.split(separators, part) if tidy(piece)]
        is_whole = part in known or (has_semicolon and not known.issuperset(pieces))
        items += [part] if part and is_whole else pieces
    return tuple(items)


def join_list(items: tuple[str, ...] | list[str]) -> str:
    """Return a list as `split_list` reads it: "10; 20"."""
    text = "; ".join(items)
    # A closing semicolon says that the comma or blank in a single item is part of it.
    return f"{text};" if len(items) == 1 and re.search(r"[,/\s]", text) else text


def plain_number(number: float | int) -> str:
    """Return a number as text that reads back to it: "7.5", and "7" for 7.0."""
    if isinstance(number, float) and number.is_integer() and abs(number) < 1e15:
        return str(int(number))
    return repr(number)


def written_value(column: Column, value: object) -> str | int | float | bool | None:
    """Return what is written for a value of the model, times in seconds; None: an empty cell."""
    if isinstance(value, AsWritten):
        return str(value)
    if column.kind == Kind.TIME and isinstance(value, int):
        value = value / 1000
    if value is None or value == "":
        return None
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return int(value) if value.is_integer() and abs(value) < 1e15 else value
    if column.kind == Kind.DAYS and isinstance(value, tuple):
        return "; ".join(value) or NO_DAYS
    if isinstance(value, tuple):
        return join_list(value) or None
    return value if isinstance(value, int) else str(value)
